//! Curves through the corners of a stroke.
//!
//! Hershey drew round letters as polygons of short sides, which show as facets when they are scored large. A point
//! whose two sides turn little is one on a curve: it gets a common tangent. Corners, and long sides, stay straight.

use kurbo::{BezPath, Point, Vec2};

/// Sides that turn by more than this are meant as a corner (60 degrees; the roundest bows turn by 45).
const CORNER_COSINE: f64 = 0.5;

/// A side longer than this is a straight stem, not part of a curve.
const STRAIGHT: f64 = 7.0;

/// A stroke as a path: closed where it comes back to its start without a corner.
pub(super) fn drawn(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return path };
    let closed = 3 < points.len() && first == last;
    path.move_to(*first);
    for (index, side) in points.windows(2).enumerate() {
        let (from, to) = (side[0], side[1]);
        let (Some(out), Some(into)) = (tangent(points, index, closed), tangent(points, index + 1, closed)) else {
            corner_side(&mut path, points, index, closed);
            continue;
        };
        curve(&mut path, from, to, out, into);
    }
    if closed {
        path.close_path();
    }
    path
}

/// A side with a corner at one end or both: a curve that leaves the corner as it likes, or a straight line.
fn corner_side(path: &mut BezPath, points: &[Point], index: usize, closed: bool) {
    let (from, to) = (points[index], points[index + 1]);
    let chord = (to - from).normalize();
    if STRAIGHT < from.distance(to) {
        path.line_to(to);
        return;
    }
    match (tangent(points, index, closed), tangent(points, index + 1, closed)) {
        // At its free end a curve goes on as it was bending: the tangent mirrored at the chord.
        (None, Some(into)) => curve(path, from, to, mirrored(into, chord), into),
        (Some(out), None) => curve(path, from, to, out, mirrored(out, chord)),
        _ => path.line_to(to),
    }
}

fn curve(path: &mut BezPath, from: Point, to: Point, out: Vec2, into: Vec2) {
    let chord = to - from;
    let straight = chord.normalize();
    if straight.dot(out) > 0.9999 && straight.dot(into) > 0.9999 {
        path.line_to(to);
        return;
    }
    // A third of the chord, lengthened for the bend as a circle needs it: 2 / (3 (1 + cos of half the turn)).
    let bend = out.dot(into).clamp(-0.5, 1.0);
    let half = f64::midpoint(1.0, bend).sqrt();
    let arm = chord.hypot() * 2.0 / (3.0 * (1.0 + half));
    path.curve_to(from + out * arm, to - into * arm, to);
}

fn mirrored(direction: Vec2, axis: Vec2) -> Vec2 {
    axis * (2.0 * axis.dot(direction)) - direction
}

/// The common tangent of the two sides that meet at a point; `None` at a corner or a free end.
fn tangent(points: &[Point], index: usize, closed: bool) -> Option<Vec2> {
    let last = points.len() - 1;
    let before = if index == 0 { closed.then(|| points[last - 1])? } else { points[index - 1] };
    let after = if index == last { closed.then(|| points[1])? } else { points[index + 1] };
    let (one, two) = (points[index] - before, after - points[index]);
    let (a, b) = (one.normalize(), two.normalize());
    if a.dot(b) < CORNER_COSINE {
        return None;
    }
    // A stem goes into its bow without a bend of its own.
    match (STRAIGHT < one.hypot(), STRAIGHT < two.hypot()) {
        (true, true) => (0.9999 < a.dot(b)).then_some(a),
        (true, false) => Some(a),
        (false, true) => Some(b),
        // The circle through the three points: the nearer side counts more.
        (false, false) => Some((a / one.hypot() + b / two.hypot()).normalize()),
    }
}
