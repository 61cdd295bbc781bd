//! Where a closed stroke may be begun.
//!
//! Where the beam goes on and off it leaves a small mark. At a corner the head stops anyway and the mark hides in it;
//! on a smooth outline it is seen least where the outline bends most.

use crate::geometry::flatten::{self, is_closed};
use kurbo::{BezPath, ParamCurve, ParamCurveCurvature, PathEl, PathSeg, Point, Vec2};

/// A node where the outline turns by more than this many degrees is a corner: the head stops there.
const CORNER: f64 = 30.0;

/// A smooth outline may be begun at every node that bends at least this share of the most.
const NEARLY_MOST: f64 = 0.9;

/// No more starts than this are offered for one stroke; they are spread over it.
const MOST: usize = 24;

/// The nodes at which a stroke may be begun, as indexes of its segments: of an open one the first; of a closed one its
/// corners or, where it has none, the nodes at which it bends most.
pub fn starts(path: &BezPath) -> Vec<usize> {
    if !is_closed(path) {
        return vec![0];
    }
    let segments: Vec<PathSeg> = path.segments().collect();
    let before = |i: usize| &segments[(i + segments.len() - 1) % segments.len()];
    let corners: Vec<usize> = (0..segments.len()).filter(|&i| turn(before(i), &segments[i]) > CORNER).collect();
    if !corners.is_empty() {
        return spread(corners);
    }
    let bends: Vec<f64> = (0..segments.len()).map(|i| bend(before(i), 1.0).max(bend(&segments[i], 0.0))).collect();
    let most = bends.iter().copied().fold(0.0, f64::max);
    spread((0..segments.len()).filter(|&i| bends[i] >= NEARLY_MOST * most).collect())
}

/// A closed stroke begun at another node; an open one is not changed.
pub fn begun_at(path: &BezPath, start: usize) -> BezPath {
    let mut segments: Vec<PathSeg> = path.segments().collect();
    if start == 0 || segments.len() <= start || !is_closed(path) {
        return path.clone();
    }
    segments.rotate_left(start);
    let mut begun = BezPath::from_vec(vec![PathEl::MoveTo(segments[0].start())]);
    begun.extend(segments.iter().map(PathSeg::as_path_el));
    flatten::closed(&begun)
}

fn spread(starts: Vec<usize>) -> Vec<usize> {
    let every = starts.len().div_ceil(MOST).max(1);
    starts.into_iter().step_by(every).collect()
}

/// By how many degrees an outline turns from one segment to the next.
fn turn(before: &PathSeg, after: &PathSeg) -> f64 {
    let (u, v) = (-leaving(&before.reverse()), leaving(after));
    libm::atan2(u.cross(v).abs(), u.dot(v)).to_degrees()
}

fn leaving(segment: &PathSeg) -> Vec2 {
    let drawn: &[Point] = &super::line::points(segment);
    drawn.iter().map(|p| *p - drawn[0]).find(|d| d.hypot() > 1e-6).unwrap_or_default()
}

/// How sharply a segment bends at one of its ends, in 1/mm; a straight one does not.
fn bend(segment: &PathSeg, t: f64) -> f64 {
    let bend = match segment {
        PathSeg::Line(_) => 0.0,
        PathSeg::Quad(q) => q.curvature(t).abs(),
        PathSeg::Cubic(c) => c.curvature(t).abs(),
    };
    if bend.is_finite() { bend } else { 0.0 }
}
