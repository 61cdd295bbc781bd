//! Lengths, and where two drawings come closest.

use crate::geometry::chords::ChordTree;
use crate::geometry::subpaths;
use crate::units::Mm;
use kurbo::{BezPath, Point, Shape};

/// Arc lengths are found to this many millimetres a segment.
const LENGTH_ACCURACY: f64 = 1e-6;

/// The length along a path, jumps between subpaths left out.
pub fn length(path: &BezPath) -> Mm {
    Mm::new(subpaths(path).iter().map(|s| s.perimeter(LENGTH_ACCURACY)).sum())
}

/// Where two drawings come closest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// How far apart they are there; zero when they cross or touch.
    pub distance: Mm,
    /// The place on the first.
    pub on_a: Point,
    /// The place on the second.
    pub on_b: Point,
}

/// The closest places of two sets of lines; `None` when one of them has no line.
///
/// Areas count as their outlines here: ask [`Region::contains`](crate::geometry::Region::contains) too where one may lie inside the other.
pub fn nearest(a: &[BezPath], b: &[BezPath]) -> Option<Nearest> {
    let (on_a, on_b) = ChordTree::of_paths(a).nearest_pair(&ChordTree::of_paths(b))?;
    Some(Nearest { distance: Mm::new(on_a.distance(on_b)), on_a, on_b })
}
