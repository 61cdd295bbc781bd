//! Lengths of paths.

use super::flatten::subpaths;
use crate::units::Mm;
use kurbo::BezPath;

/// Arc lengths are found to this many millimetres a segment.
const LENGTH_ACCURACY: f64 = 1e-6;

/// The length along a path, jumps between subpaths left out.
pub fn length(path: &BezPath) -> Mm {
    Mm::new(subpaths(path).iter().map(|s| kurbo::Shape::perimeter(s, LENGTH_ACCURACY)).sum())
}
