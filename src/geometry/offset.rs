//! Areas grown and shrunk.

use super::beside::Beside;
use super::boolean::{self, Originals};
use super::circle::Circle;
use super::grid::{Node, Ring};
use super::{Corners, Region, crossings};
use crate::units::Mm;
use kurbo::{BezPath, Point};

/// Rings are thinned to this (mm) before they are offset: it removes the tiny chords of dense outlines, which
/// cost time and say nothing.
const THINNING: f64 = 0.0005;

/// Farther offsets than this (mm) are taken as this: nothing that fits a bed is left or asked for beyond it.
const FARTHEST: f64 = 10_000.0;

/// A ragged outline, whose raw offset would cross itself all over, is offset by this share first. That
/// smooths it, and the rest costs little: growing by a disc and then by another is growing by their sum.
const STRIDE: f64 = 0.25;

/// So many crossings of the raw offset make an outline ragged.
const RAGGED: f64 = 3e5;

/// Offsets of less than this (mm) are taken in one go.
const SHORTEST_STRIDE: f64 = 0.005;

impl Region {
    /// The area grown by `by` on all sides, or shrunk when `by` is negative.
    ///
    /// Outer corners become what `corners` says (when shrinking, those are the corners of the area that point
    /// inwards). Parts may merge or vanish, holes may close, a part may split in two. Arcs are chords within
    /// [`FLATTEN_TOLERANCE`](super::FLATTEN_TOLERANCE) of the true arc; a circle that nothing else touches stays
    /// a circle of curves.
    ///
    /// A mitred corner follows SVG: a tip as long as tip over distance is within the limit, else a bevel.
    pub fn offset(&self, by: Mm, corners: Corners) -> Self {
        let distance = by.get().clamp(-FARTHEST, FARTHEST);
        if distance == 0.0 || distance.is_nan() {
            return self.clone();
        }
        let beside = Beside { distance, corners };
        let rings: Vec<Ring> = boolean::plain_rings(self).iter().filter_map(|r| raw_ring(r, beside)).collect();
        if distance.abs() > SHORTEST_STRIDE && crossings::of_rings_exceed(&rings, RAGGED) {
            let first = Mm::new(STRIDE * distance);
            return self.offset(first, corners).offset(Mm::new(distance) - first, corners);
        }
        let circles: Vec<(Ring, BezPath)> =
            self.contours().iter().filter_map(|c| Circle::of(c)?.beside(c, beside)).collect();
        let mut originals = Originals::new();
        for (ring, circle) in &circles {
            originals.remember(ring, circle);
        }
        boolean::region_of_fine_rings(&rings, &originals)
    }
}

/// The raw outline beside a ring, on the fine lattice.
pub(super) fn raw_ring(ring: &Ring, beside: Beside) -> Option<Ring> {
    let thin = thinned_ring(&ring.iter().map(|n| n.point()).collect::<Vec<_>>());
    (thin.len() > 2).then(|| beside.ring(&thin).into_iter().map(Node::nearest_fine).collect())
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
