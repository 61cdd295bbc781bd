//! Areas grown and shrunk.

use super::beside::Beside;
use super::grid::{Node, Ring};
use super::{Corners, Region, boolean};
use crate::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Point, Shape, Vec2};

/// Rings are thinned to this (mm) before they are offset: it removes the tiny chords of dense outlines, which
/// cost time and say nothing.
const THINNING: f64 = 0.0005;

/// Farther offsets than this (mm) are taken as this: nothing that fits a bed is left or asked for beyond it.
const FARTHEST: f64 = 10_000.0;

impl Region {
    /// The area grown by `by` on all sides, or shrunk when `by` is negative.
    ///
    /// Outer corners become what `corners` says (when shrinking, those are the corners of the area that point
    /// inwards). Parts may merge or vanish, holes may close, a part may split in two. Arcs are chords within
    /// [`FLATTEN_TOLERANCE`](super::FLATTEN_TOLERANCE) inside the true arc; a lone circle stays a circle of curves.
    ///
    /// A mitred corner follows SVG: a tip as long as tip over distance is within the limit, else a bevel.
    pub fn offset(&self, by: Mm, corners: Corners) -> Self {
        let distance = by.get().clamp(-FARTHEST, FARTHEST);
        if distance == 0.0 || distance.is_nan() {
            return self.clone();
        }
        if let [only] = self.contours()
            && let Some(circle) = Circle::of(only)
        {
            return circle.resized(only, distance);
        }
        let beside = Beside { distance, corners };
        let rings: Vec<Ring> = boolean::plain_rings(self)
            .iter()
            .map(|ring| thinned_ring(&ring.iter().map(|n| n.point()).collect::<Vec<_>>()))
            .filter(|ring| ring.len() > 2)
            .map(|ring| beside.ring(&ring).into_iter().map(Node::nearest_fine).collect())
            .collect();
        boolean::region_of_fine_rings(&rings)
    }
}

/// A ring with fewer points that keeps within [`THINNING`] (Ramer 1972; Douglas and Peucker 1973).
fn thinned_ring(ring: &[Point]) -> Vec<Point> {
    let Some(&first) = ring.first() else { return Vec::new() };
    // The first point and the one farthest from it are kept; each half is thinned by itself.
    let far = |p: &Point| (*p - first).hypot2();
    let middle = (0..ring.len()).max_by(|&a, &b| far(&ring[a]).total_cmp(&far(&ring[b]))).unwrap_or(0);
    if middle == 0 {
        return vec![first];
    }
    let mut kept = thinned(&ring[..=middle]);
    kept.pop();
    let back: Vec<Point> = ring[middle..].iter().copied().chain([first]).collect();
    kept.extend(thinned(&back));
    kept.pop();
    kept
}

/// A chain with fewer points that keeps within [`THINNING`]; its ends stay.
pub(super) fn thinned(chain: &[Point]) -> Vec<Point> {
    let mut keep = vec![false; chain.len()];
    let mut open = vec![(0, chain.len() - 1)];
    keep[0] = true;
    keep[chain.len() - 1] = true;
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|i| (i, distance_to_chord(chain[i], chain[from], chain[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, distance)) = farthest
            && distance > THINNING
        {
            keep[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    chain.iter().zip(&keep).filter(|(_, kept)| **kept).map(|(p, _)| *p).collect()
}

/// The distance from a point to the nearest point of a chord.
pub(super) fn distance_to_chord(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t = ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    if t.is_nan() { p.distance(a) } else { p.distance(a + along * t) }
}

/// A contour that is one circle drawn with four equal cubic arcs.
struct Circle {
    centre: Point,
    radius: f64,
}

impl Circle {
    fn of(contour: &BezPath) -> Option<Self> {
        let arcs: Vec<_> = contour.segments().map(|s| s.to_cubic()).collect();
        let curves = contour.elements().iter().filter(|e| matches!(e, PathEl::CurveTo(..))).count();
        if arcs.len() != 4 || curves != 4 {
            return None;
        }
        let centre = arcs[0].p0.midpoint(arcs[2].p0);
        let radius = arcs[0].p0.distance(centre);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-4 * radius;
        // Quarter arcs meet at right angles; their handles are tangents of the customary length.
        let handle = 4.0 / 3.0 * (std::f64::consts::SQRT_2 - 1.0) * radius;
        let quarter = |arc: &kurbo::CubicBez| {
            let (from, to) = (arc.p0 - centre, arc.p3 - centre);
            let tangent = |at: Vec2, h: Vec2| near(h.hypot(), handle) && near(at.dot(h) / radius, 0.0);
            near(from.hypot(), radius)
                && near(from.dot(to) / radius, 0.0)
                && tangent(from, arc.p1 - arc.p0)
                && tangent(to, arc.p2 - arc.p3)
                && (arc.p1 - arc.p0).dot(to) > 0.0
                && (arc.p2 - arc.p3).dot(from) > 0.0
        };
        (radius > 0.0 && arcs.iter().all(quarter)).then_some(Self { centre, radius })
    }

    /// The same drawing of the circle with a radius larger by `by`; empty when nothing is left.
    fn resized(&self, contour: &BezPath, by: f64) -> Region {
        let factor = (self.radius + by) / self.radius;
        if factor <= 0.0 {
            return Region::empty();
        }
        let move_to_origin = Affine::translate(-self.centre.to_vec2());
        let path =
            Affine::translate(self.centre.to_vec2()) * Affine::scale(factor) * move_to_origin * contour.clone();
        let path = if path.area() < 0.0 { path.reverse_subpaths() } else { path };
        Region::from_clean_contours(vec![path])
    }
}
