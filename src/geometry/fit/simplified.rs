//! Paths with fewer nodes.

use super::{FLATTEN_TOLERANCE, Stretch, chain, path, ring, stretch};
use crate::geometry::flatten;
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Vec2};

/// Curves that meet at more than this angle (radians, 3 degrees) meet in a corner.
const CORNER: f64 = 0.052;

/// Handles of less than this (mm) say no direction.
const LEAST_HANDLE: f64 = 1e-6;

/// The path with fewer nodes, within `tolerance` of it both ways (Hausdorff).
///
/// Corners stay where they are and what is closed stays closed. Runs from corner to corner of which nothing with fewer
/// segments comes are kept as they are, so there are never more segments than before; a subpath without any other run
/// comes back exactly. Flattening uses up [`FLATTEN_TOLERANCE`](crate::geometry::FLATTEN_TOLERANCE) of the tolerance:
/// below twice that nothing is changed at all.
pub fn simplified(path: &BezPath, tolerance: Mm) -> BezPath {
    let left = tolerance - FLATTEN_TOLERANCE;
    if left < FLATTEN_TOLERANCE {
        return path.clone();
    }
    let subpaths = flatten::subpaths(path).into_iter();
    BezPath::from_vec(subpaths.flat_map(|s| simplified_subpath(&s, left).unwrap_or(s)).collect())
}

/// A subpath with fewer segments, if one is found.
fn simplified_subpath(subpath: &BezPath, tolerance: Mm) -> Option<BezPath> {
    let mut segments: Vec<PathSeg> = subpath.segments().collect();
    let closed = flatten::is_closed(subpath);
    let count = segments.len();
    let mut corners: Vec<usize> = (1..count).filter(|&i| is_corner(segments[i - 1], segments[i])).collect();
    if closed && count > 1 && !is_corner(segments[count - 1], segments[0]) {
        let Some(&first) = corners.first() else {
            let whole = ring(&points(&segments, closed), tolerance);
            return Some(whole).filter(|w| (1..count).contains(&w.segments().count()));
        };
        segments.rotate_left(first);
        corners = corners[1..].iter().map(|c| c - first).collect();
    }
    let mut fitted = Vec::new();
    let mut from = 0;
    for to in corners.into_iter().chain([count]) {
        fitted.extend(simplified_run(&segments[from..to], tolerance));
        from = to;
    }
    (fitted.len() < count && !fitted.is_empty()).then(|| path(&fitted, closed))
}

/// Whether two segments meet in a corner that can be told from them. Lines may be the chords of a curve: whether those
/// meet in a corner is seen from all of them.
fn is_corner(before: PathSeg, after: PathSeg) -> bool {
    if matches!((before, after), (PathSeg::Line(_), PathSeg::Line(_))) {
        return false;
    }
    let (u, v) = (directions(before).1, directions(after).0);
    u.cross(v).abs() > CORNER * u.dot(v)
}

/// The directions at the ends of a segment, not normalised: to the nearest control point that is not the end itself.
fn directions(segment: PathSeg) -> (Vec2, Vec2) {
    let c = segment.to_cubic();
    let far = |v: &Vec2| v.hypot2() > LEAST_HANDLE * LEAST_HANDLE;
    let start = [c.p1 - c.p0, c.p2 - c.p0, c.p3 - c.p0].into_iter().find(far);
    let end = [c.p3 - c.p2, c.p3 - c.p1, c.p3 - c.p0].into_iter().find(far);
    (start.unwrap_or_default(), end.unwrap_or_default())
}

/// A run without known corners with fewer segments, or as it is.
fn simplified_run(run: &[PathSeg], tolerance: Mm) -> Vec<PathSeg> {
    let is_line = |s: &PathSeg| matches!(s, PathSeg::Line(_));
    let fitted: Vec<PathSeg> = if run.len() < 2 {
        return run.to_vec();
    } else if run.windows(2).any(|s| s.iter().all(is_line)) {
        chain(&points(run, false), tolerance).segments().collect()
    } else {
        let unit = |v: Vec2| Some(v.normalize()).filter(|v| v.is_finite());
        let (start, end) = (unit(directions(run[0]).0), unit(directions(run[run.len() - 1]).1));
        stretch(Stretch { points: &points(run, false), start, end }, tolerance)
    };
    if (1..run.len()).contains(&fitted.len()) { fitted } else { run.to_vec() }
}

/// The corners of the chords of segments that follow each other; the last is left out where it is the first.
fn points(segments: &[PathSeg], closed: bool) -> Vec<kurbo::Point> {
    let mut points = flatten::chords(&path(segments, false));
    if closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    points
}
