//! Segments made one path.

use super::samples::Settings;
use kurbo::{BezPath, ParamCurve, PathSeg};

/// Lines that follow each other with less than this share of the tolerance between them are one.
const COLLINEAR: f64 = 0.5;

/// The path along segments that follow each other, open or going round.
pub(super) fn path(segments: &[PathSeg], is_closed: bool) -> BezPath {
    let mut path = BezPath::new();
    let Some(first) = segments.first() else { return path };
    path.move_to(first.start());
    for (i, segment) in segments.iter().enumerate() {
        match segment {
            PathSeg::Line(_) if is_closed && i + 1 == segments.len() => {}
            _ => path.push(segment.as_path_el()),
        }
    }
    if is_closed {
        path.close_path();
    }
    path
}

/// The closed path along segments that go round, with lines that go on in the same direction made one.
pub(super) fn closed(segments: Vec<PathSeg>, settings: &Settings) -> BezPath {
    path(&merged_round(merged(segments, settings), settings), true)
}

/// Segments with lines that go on in the same direction made one.
pub(super) fn merged(segments: Vec<PathSeg>, settings: &Settings) -> Vec<PathSeg> {
    let most = COLLINEAR * settings.tolerance;
    let mut merged: Vec<PathSeg> = Vec::with_capacity(segments.len());
    for segment in segments {
        match (merged.last_mut(), segment) {
            (Some(PathSeg::Line(before)), PathSeg::Line(line)) if goes_on(*before, line, most) => {
                before.p1 = line.p1;
            }
            _ => merged.push(segment),
        }
    }
    merged
}

/// Segments that go round, with the last line and the first made one where they go on in the same direction.
fn merged_round(mut segments: Vec<PathSeg>, settings: &Settings) -> Vec<PathSeg> {
    if let [PathSeg::Line(first), .., PathSeg::Line(last)] = segments[..]
        && segments.len() > 3
        && goes_on(last, first, COLLINEAR * settings.tolerance)
    {
        segments[0] = PathSeg::Line(kurbo::Line::new(last.p0, first.p1));
        segments.pop();
    }
    segments
}

fn goes_on(before: kurbo::Line, line: kurbo::Line, most: f64) -> bool {
    let along = line.p1 - before.p0;
    let off = (before.p1 - before.p0).cross(along).abs() / along.hypot();
    off <= most && (before.p1 - before.p0).dot(line.p1 - line.p0) > 0.0
}
