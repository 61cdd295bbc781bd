//! The fewest cubics along a smooth chain of samples: those of kurbo's fitter, which gives each the area and the moment of
//! its part of the chain.
//!
//! It asks for places, directions and moments over and over; here all are read from sums made once.

use super::samples::{STEP, way};
use kurbo::{CurveFitSample, ParamCurve, ParamCurveFit, PathSeg, Point, Vec2, fit_to_bezpath};
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// A fit whose control polygon is this many times as long as the way along the samples has gone astray.
const LONGEST_HANDLES: f64 = 1.6;

/// Pairs of segments and points that are compared at most; what would need more is fitted by ours.
const MOST_COMPARED: usize = 4_000_000;

/// Cubics along at least two points, if they keep to them. `start` and `end` are the directions at the ends, where they are
/// known.
pub(super) fn fewest(
    points: &[Point],
    start: Option<Vec2>,
    end: Option<Vec2>,
    tolerance: f64,
) -> Option<Vec<PathSeg>> {
    let chain = Chain::new(points, start, end);
    // A debug build of it panics on the way to a wild curve.
    let fit = AssertUnwindSafe(|| fit_to_bezpath(&chain, tolerance));
    let segments: Vec<PathSeg> = catch_unwind(fit).ok()?.segments().collect();
    let handles: f64 = segments.iter().map(polygon).sum();
    let keeps = handles.is_finite() && handles <= LONGEST_HANDLES * way(points) + 2.0;
    (keeps && segments.len() * points.len() <= MOST_COMPARED && !strays(&segments, points, tolerance))
        .then_some(segments)
}

/// Whether a segment lies farther from the points than steps and tolerance explain.
fn strays(segments: &[PathSeg], points: &[Point], tolerance: f64) -> bool {
    let most = 3.0 * tolerance + STEP;
    let is_near = |p: Point| points.iter().any(|q| (*q - p).hypot2() <= most * most);
    segments.iter().any(|s| [0.25, 0.5, 0.75].into_iter().any(|t| !is_near(s.eval(t))))
}

/// The length of a segment's control polygon.
fn polygon(segment: &PathSeg) -> f64 {
    let c = segment.to_cubic();
    (c.p1 - c.p0).hypot() + (c.p2 - c.p1).hypot() + (c.p3 - c.p2).hypot()
}

/// Samples as the fitter sees them: chords, with the directions of a curve through them. Its parameter counts chords, as a
/// share of all.
struct Chain<'a> {
    points: &'a [Point],
    /// The direction of travel at each point, as long as a chord.
    tangents: Vec<Vec2>,
    /// The moments of the chain up to each point.
    moments: Vec<Moments>,
}

impl<'a> Chain<'a> {
    fn new(points: &'a [Point], start: Option<Vec2>, end: Option<Vec2>) -> Self {
        let last = points.len() - 1;
        let given = |direction: Option<Vec2>, chord: Vec2| direction.map_or(chord, |d| d * chord.hypot());
        let inner = points.windows(3).map(|p| (p[2] - p[0]) / 2.0);
        let first = given(start, points[1] - points[0]);
        let tangents = std::iter::once(first).chain(inner).chain([given(end, points[last] - points[last - 1])]);
        let mut sum = Moments::default();
        let so_far = points.windows(2).map(|p| {
            sum = sum.plus(Moments::under(p[0], p[1]));
            sum
        });
        let moments = std::iter::once(Moments::default()).chain(so_far).collect();
        Self { points, tangents: tangents.collect(), moments }
    }

    /// The chord at a parameter, by its first point, and how far along it.
    fn chord(&self, t: f64) -> (usize, f64) {
        let chords = self.points.len() - 1;
        let place = t * chords as f64;
        let i = (place as usize).min(chords - 1);
        (i, place - i as f64)
    }

    fn at(&self, t: f64) -> (Point, Vec2) {
        let (i, share) = self.chord(t);
        (self.points[i].lerp(self.points[i + 1], share), self.tangents[i].lerp(self.tangents[i + 1], share))
    }

    /// The moments up to a parameter.
    fn moments(&self, t: f64) -> Moments {
        let (i, share) = self.chord(t);
        let (from, to) = (self.points[i], self.points[i + 1]);
        self.moments[i].plus(Moments::under(from, from.lerp(to, share)))
    }
}

impl ParamCurveFit for Chain<'_> {
    fn sample_pt_tangent(&self, t: f64, _: f64) -> CurveFitSample {
        let (p, tangent) = self.at(t);
        CurveFitSample { p, tangent }
    }

    fn sample_pt_deriv(&self, t: f64) -> (Point, Vec2) {
        let (p, tangent) = self.at(t);
        (p, tangent * (self.points.len() - 1) as f64)
    }

    fn moment_integrals(&self, range: Range<f64>) -> (f64, f64, f64) {
        let (from, to) = (self.moments(range.start), self.moments(range.end));
        (to.area - from.area, to.x - from.x, to.y - from.y)
    }

    fn break_cusp(&self, _: Range<f64>) -> Option<f64> {
        None
    }
}

/// The integrals of y, x y and y² over x along a way.
#[derive(Clone, Copy, Default)]
struct Moments {
    area: f64,
    x: f64,
    y: f64,
}

impl Moments {
    /// Along a chord, in closed form.
    fn under(a: Point, b: Point) -> Self {
        let width = b.x - a.x;
        let cross = a.x * b.y + b.x * a.y;
        Self {
            area: width * (a.y + b.y) / 2.0,
            x: width * (2.0 * (a.x * a.y + b.x * b.y) + cross) / 6.0,
            y: width * (a.y * a.y + a.y * b.y + b.y * b.y) / 3.0,
        }
    }

    fn plus(self, other: Self) -> Self {
        Self { area: self.area + other.area, x: self.x + other.x, y: self.y + other.y }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{BezPath, simplify};

    /// kurbo's own moments of a path of lines are those of the sums.
    #[test]
    fn moments_agree_with_those_of_a_path() {
        let points: Vec<Point> =
            (0..30).map(|i| Point::new(f64::from(i) * 0.5, 7.0 + libm::sin(f64::from(i) * 0.3) * 4.0)).collect();
        let mut path = BezPath::new();
        path.move_to(points[0]);
        points[1..].iter().for_each(|p| path.line_to(*p));
        let reference = simplify::SimplifyBezPath::new(path);
        let chain = Chain::new(&points, None, None);
        // Between points a path's lines are not run along evenly, so the ranges run from point to point.
        for (from, to) in [(0, 29), (0, 9), (8, 22), (14, 15)] {
            let range = f64::from(from) / 29.0..f64::from(to) / 29.0;
            let (found, exact) =
                (chain.moment_integrals(range.clone()), reference.moment_integrals(range.clone()));
            for (found, exact) in [(found.0, exact.0), (found.1, exact.1), (found.2, exact.2)] {
                assert!((found - exact).abs() < 1e-9 * exact.abs().max(1.0), "{range:?}: {found} for {exact}");
            }
        }
    }

    /// A quarter of a circle takes one cubic, which strays by 2.7e-4 of the radius (M. Goldapp 1991, from memory).
    #[test]
    fn a_quarter_circle_is_one_cubic() {
        let at = |i: i32| {
            let (sine, cosine) = libm::sincos(f64::from(i) * std::f64::consts::FRAC_PI_2 / 60.0);
            Point::new(20.0 * cosine, 20.0 * sine)
        };
        let points: Vec<Point> = (0..=60).map(at).collect();
        let ends = (Some(Vec2::new(0.0, 1.0)), Some(Vec2::new(-1.0, 0.0)));
        let found = fewest(&points, ends.0, ends.1, 0.2).unwrap();
        assert_eq!(found.len(), 1);
        for i in 0..=10 {
            let off = found[0].eval(f64::from(i) / 10.0).to_vec2().hypot() - 20.0;
            assert!(off.abs() < 0.01, "{off}");
        }
    }
}
