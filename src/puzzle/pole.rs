//! The middle of the largest circle that fits into an outline: where a piece's number is printed.

use super::polyline::Polyline;
use kurbo::{PathSeg, Point, Vec2};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// How near the flattened outline is to the curve, mm.
const TOLERANCE: f64 = 0.05;
/// The found circle's radius is within this share of the largest one's.
const PRECISION: f64 = 0.02;
/// Squares looked at; reached only by outlines that are no pieces.
const MOST_SQUARES: usize = 20_000;

/// A square that may hold the middle, and how large a circle it could hold at most.
#[derive(Clone, Copy)]
struct Square {
    middle: Point,
    half: f64,
    room: f64,
    most: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Square {}
impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.most.total_cmp(&other.most)
    }
}

impl Square {
    fn new(middle: Point, half: f64, outline: &Polyline) -> Self {
        let room = signed_distance(middle, outline);
        Self { middle, half, room, most: room + half * std::f64::consts::SQRT_2 }
    }
}

/// The middle and radius (mm) of the largest circle inside a closed outline, by best-first search over squares.
pub(super) fn largest_circle(outline: &[PathSeg]) -> (Point, f64) {
    let outline = Polyline::of(outline, TOLERANCE);
    let Some(&first) = outline.points.first() else { return (Point::ZERO, 0.0) };
    let bounds = outline.points.iter().fold(kurbo::Rect::from_points(first, first), |r, &p| r.union_pt(p));
    let half = bounds.size().max_side() / 2.0;
    let mut best = Square::new(bounds.center(), half, &outline);
    let mut heap = BinaryHeap::from([best]);
    for _ in 0..MOST_SQUARES {
        let Some(square) = heap.pop() else { break };
        if square.most <= best.room * (1.0 + PRECISION) && best.room > 0.0 {
            break;
        }
        let half = square.half / 2.0;
        for (x, y) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let part = Square::new(square.middle + Vec2::new(x, y), half, &outline);
            if part.room > best.room {
                best = part;
            }
            heap.push(part);
        }
    }
    (best.middle, (best.room - TOLERANCE).max(0.0))
}

/// The distance to a closed line, negative outside of it.
fn signed_distance(point: Point, outline: &Polyline) -> f64 {
    let distance = outline.distance(point);
    if outline.encloses(point) { distance } else { -distance }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Rect, Shape};

    fn circle(shape: impl Shape) -> (Point, f64) {
        largest_circle(&shape.path_segments(1e-6).collect::<Vec<_>>())
    }

    #[test]
    fn closed_forms() {
        let (middle, room) = circle(Rect::new(0.0, 0.0, 30.0, 10.0));
        assert!((room - 5.0).abs() < 0.2 && (middle.y - 5.0).abs() < 0.1, "{middle} {room}");
        let (middle, room) = circle(Circle::new((3.0, 4.0), 8.0));
        assert!((room - 8.0).abs() < 0.2 && middle.distance(Point::new(3.0, 4.0)) < 0.2, "{middle} {room}");
        // The incircle of a 3-4-5 triangle has radius 1 (area over half the perimeter) and middle (1, 1).
        let triangle = kurbo::BezPath::from_svg("M0 0 L40 0 L0 30 Z").unwrap();
        let (middle, room) = circle(triangle);
        assert!((room - 10.0).abs() < 0.25 && middle.distance(Point::new(10.0, 10.0)) < 0.3, "{middle} {room}");
    }
}
