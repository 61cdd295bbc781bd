//! A curve through points that are known to lie along a smooth line.

use super::{Stretch, stretch};
use crate::units::Mm;
use kurbo::{PathSeg, Point, Vec2};

/// Lines and cubics from the first point to the last, within `tolerance` of the chain of points both ways (Hausdorff), with
/// one tangent where two of them meet. `start` and `end` are the directions of travel at the ends, where they are known.
///
/// Points and tolerance share a unit: millimetres, or pixels while a picture is traced. The chain is taken for smooth: a
/// corner in it is rounded within the tolerance.
pub fn smooth_curve(points: &[Point], start: Option<Vec2>, end: Option<Vec2>, tolerance: Mm) -> Vec<PathSeg> {
    stretch(Stretch { points, start, end }, tolerance)
}
