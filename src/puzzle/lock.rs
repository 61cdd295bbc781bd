//! Whether a knob holds: its neck and its width, measured on the finished curve.
//!
//! A convex body passes a gap in the plane, by any motion, only if its least width is no larger than the gap. So
//! a knob whose least width beyond the neck is larger than its socket's neck cannot come out sideways.

use super::Measure;
use super::knob::{Dressed, segments};
use super::polyline::Polyline;
use crate::units::Mm;
use geo::ConvexHull;
use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, Point};

/// How near the measured chords are to the curve, mm.
const TOLERANCE: f64 = 0.005;
/// Points of a shoulder at which its radius is taken.
const SAMPLES: u32 = 12;

/// What was measured on one knob.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lock {
    /// The width of the neck.
    pub neck: Measure,
    /// 1 for a knob that stands clockwise of the direction of travel (y down), -1 for one on the other side.
    pub side: f64,
    /// How much wider than the neck the head is, in its slimmest direction.
    pub undercut: Measure,
    /// The least distance between the head and a shoulder.
    pub under_head: f64,
}

impl Lock {
    /// Measures a knob. Both figures are on the safe side by the error of the chords.
    pub(super) fn of(knob: &Dressed) -> Option<Self> {
        let [before, head, behind] = knob.parts().map(|part| Polyline::of(&segments(part), TOLERANCE));
        let neck = before.nearest(&behind, f64::INFINITY, |_, _| true)?;
        let beyond = before.points[neck.indices[0] + 1..]
            .iter()
            .chain(&head.points)
            .chain(&behind.points[..=neck.indices[1]])
            .chain(&neck.ends)
            .copied()
            .collect();
        let width = least_width(&hull(beyond));
        let top = head.points[head.points.len() / 2] - neck.ends[0];
        let value = neck.distance - 2.0 * TOLERANCE;
        let at = neck.ends[0].midpoint(neck.ends[1]);
        let under = |shoulder: &[CubicBez]| {
            let shoulder = Polyline::of(&segments(shoulder), TOLERANCE);
            shoulder.nearest(&head, f64::INFINITY, |_, _| true).map(|n| n.distance)
        };
        let [first, last] = knob.shoulders().map(under);
        Some(Self {
            neck: Measure { value: Mm::new(value), at },
            side: (neck.ends[1] - neck.ends[0]).cross(top).signum(),
            // The true gap may be wider than the chords say.
            undercut: Measure { value: Mm::new(width - neck.distance), at },
            under_head: first?.min(last?),
        })
    }
}

/// The least radius of a cubic at evenly spaced parameters, mm.
pub(super) fn least_radius(cubic: CubicBez) -> f64 {
    let (first, second) = (cubic.deriv(), cubic.deriv().deriv());
    let radius = |k: u32| {
        let t = f64::from(k) / f64::from(SAMPLES);
        let (speed, turn) = (first.eval(t).to_vec2(), second.eval(t).to_vec2());
        let length = speed.hypot();
        length * length * length / speed.cross(turn).abs().max(1e-12)
    };
    (0..=SAMPLES).map(radius).fold(f64::INFINITY, f64::min)
}

/// The corners of the convex hull, in order.
fn hull(points: Vec<Point>) -> Vec<Point> {
    let cloud: geo::MultiPoint = points.into_iter().map(|p| geo::Point::new(p.x, p.y)).collect();
    let ring = cloud.convex_hull();
    let corners = ring.exterior().coords().map(|c| Point::new(c.x, c.y));
    corners.skip(1).collect() // The ring ends where it starts.
}

/// The least distance between two parallel lines with the hull between them.
///
/// One of the two lines lies along an edge (Houle and Toussaint, "Computing the width of a set", 1988).
fn least_width(hull: &[Point]) -> f64 {
    let edges = hull.iter().zip(hull.iter().cycle().skip(1));
    let width = |(&a, &b): (&Point, &Point)| {
        let along = (b - a) / a.distance(b).max(f64::MIN_POSITIVE);
        hull.iter().map(|&p| along.cross(p - a).abs()).fold(0.0, f64::max)
    };
    edges.map(width).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::super::knob::{Span, Stand};
    use super::super::round::RoundKnob;
    use super::*;
    use kurbo::Vec2;

    #[test]
    fn widths_of_known_shapes() {
        let box_points = vec![(0.0, 0.0), (7.0, 0.0), (7.0, 3.0), (0.0, 3.0), (2.0, 1.0), (7.0, 1.5)];
        let of = |points: Vec<(f64, f64)>| least_width(&hull(points.into_iter().map(Point::from).collect()));
        assert!((of(box_points) - 3.0).abs() < 1e-12);
        // The width of an equilateral triangle is its height, of a regular pentagon too: side/2 tan 72° + ...
        assert!((of(vec![(0.0, 0.0), (2.0, 0.0), (1.0, 3.0_f64.sqrt())]) - 3.0_f64.sqrt()).abs() < 1e-12);
        let disc = (0..360).map(|k| {
            let (s, c) = libm::sincos(f64::from(k).to_radians());
            (c * 5.0, s * 5.0)
        });
        assert!((of(disc.collect()) - 10.0).abs() < 1e-3);
    }

    #[test]
    fn a_plain_knob_is_as_wide_as_its_circle() {
        let knob = RoundKnob {
            stand: Stand { place: 0.5, sag: 0.0, tilt: 0.0, side: 1.0 },
            head: 10.0,
            neck: 5.0,
            fillets: [3.0, 3.0],
            lean: 0.0,
            stretch: 1.0,
            rise: 1.0,
            dips: [0.0, 0.0],
            reaches: [0.4, 0.4],
        };
        let along = Vec2::new(1.0, 0.0);
        let span = Span { ends: [Point::new(0.0, 0.0), Point::new(40.0, 0.0)], tangents: [along, along] };
        let lock = Lock::of(&knob.dress(span).unwrap()).unwrap();
        // Fillets of radius f at a head of radius r and a neck n: they stand n/2 + f from the middle, and their
        // highest point of contact is at height f. The head is slimmest across: its diameter.
        assert!((lock.neck.value.get() - 5.0).abs() < 0.02, "{:?}", lock.neck);
        assert!((lock.undercut.value.get() - 5.0).abs() < 0.02, "{:?}", lock.undercut);
        assert!(lock.neck.at.distance(Point::new(20.0, 3.0)) < 0.3, "{:?}", lock.neck);
    }

    #[test]
    fn the_radius_of_a_circle_is_its_radius() {
        let handle = 4.0 / 3.0 * libm::tan(std::f64::consts::FRAC_PI_8) * 10.0;
        let quarter = CubicBez::new((10.0, 0.0), (10.0, handle), (handle, 10.0), (0.0, 10.0));
        assert!((least_radius(quarter) - 10.0).abs() < 0.1);
    }
}
