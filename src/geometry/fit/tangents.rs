//! The direction of the curve behind a chain of chords at one of its vertices.

use kurbo::{Point, Vec2};

/// How many vertices on each side are looked at.
const REACH: usize = 3;

/// The chain is followed no farther than it turns by this cosine (40 degrees) from its first edge.
const FARTHEST_TURN: f64 = 0.77;

/// Where an edge is this many times as long as the first or as short, the curve is another one.
const UNLIKE: f64 = 3.0;

/// What one side of a vertex says: sums for a parabola `direction * s + bend * s * s` from the vertex.
#[derive(Clone, Copy, Default)]
struct Side {
    s2: f64,
    s3: f64,
    s4: f64,
    q1: Vec2,
    q2: Vec2,
    count: usize,
}

impl Side {
    /// The sums over the points that follow `at`, in the order they are met; `sign` is -1 against the travel.
    fn of(at: Point, following: impl Iterator<Item = Point>, sign: f64) -> Self {
        let mut side = Self::default();
        let (mut last, mut first_edge, mut way) = (at, None, 0.0);
        for p in following.take(REACH) {
            let edge = p - last;
            let length = edge.hypot2().sqrt();
            let (first, first_length) = *first_edge.get_or_insert((edge, length));
            let alike = length < UNLIKE * first_length && first_length < UNLIKE * length;
            if !alike || edge.dot(first) < FARTHEST_TURN * length * first_length {
                break;
            }
            way += length;
            last = p;
            let (s, q) = (sign * way, p - at);
            side.s2 += s * s;
            side.s3 += s * s * s;
            side.s4 += s * s * s * s;
            side.q1 += q * s;
            side.q2 += q * (s * s);
            side.count += 1;
        }
        side
    }

    /// Its part of the equation `weight * direction = moment`, with the bend of this side worked out.
    ///
    /// Each side has a bend of its own, so that a straight edge that runs into an arc is no compromise. Of a
    /// single edge no bend is known: alone it says its direction, beside another side nothing.
    fn share(&self) -> (f64, Vec2) {
        if self.count < 2 {
            return (0.0, Vec2::ZERO);
        }
        (self.s2 - self.s3 * self.s3 / self.s4, self.q1 - self.q2 * (self.s3 / self.s4))
    }
}

fn direction(before: Side, after: Side) -> Vec2 {
    let ((wb, mb), (wa, ma)) = (before.share(), after.share());
    // Evenly: the longer side's chords are as far from its curve as the shorter one's.
    let mut sum = Vec2::ZERO;
    for (weight, moment) in [(wb, mb), (wa, ma)] {
        if weight > 0.0 {
            sum += moment / weight.sqrt();
        }
    }
    let fallback = before.q1 + after.q1;
    let unit = |v: Vec2| (v.hypot() > 0.0).then(|| v.normalize());
    unit(sum).or_else(|| unit(fallback)).unwrap_or(Vec2::new(1.0, 0.0))
}

/// The direction of travel at vertex `i` of an open chain.
pub(super) fn along(points: &[Point], i: usize) -> Vec2 {
    let before = Side::of(points[i], points[..i].iter().rev().copied(), -1.0);
    let after = Side::of(points[i], points[i + 1..].iter().copied(), 1.0);
    direction(before, after)
}

/// The direction of travel at vertex `i` of a closed chain whose first point is not repeated.
pub(super) fn round(points: &[Point], i: usize) -> Vec2 {
    let count = points.len();
    let reach = REACH.min(count.saturating_sub(1) / 2).max(1);
    let before = Side::of(points[i], (1..=reach).map(|k| points[(i + count - k) % count]), -1.0);
    let after = Side::of(points[i], (1..=reach).map(|k| points[(i + k) % count]), 1.0);
    direction(before, after)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_circle(radius: f64, turn: f64) -> Point {
        Point::new(radius * libm::sin(turn), radius * (1.0 - libm::cos(turn)))
    }

    #[test]
    fn on_a_circle_it_is_the_tangent() {
        let points: Vec<Point> = (0..20).map(|i| on_circle(3.0, 0.1 * f64::from(i))).collect();
        for (i, exact) in [(0, 0.0), (7, 0.7), (19, 1.9)] {
            let found = along(&points, i);
            assert!((libm::atan2(found.y, found.x) - exact).abs() < 2e-3, "{i}: {found:?}");
        }
    }

    #[test]
    fn where_a_line_runs_into_an_arc_it_is_the_lines() {
        let line = (-20..0).map(|i| Point::new(f64::from(i), 0.0));
        let points: Vec<Point> = line.chain((0..9).map(|i| on_circle(0.5, 0.18 * f64::from(i)))).collect();
        assert!(along(&points, 20).y.abs() < 3e-3, "{:?}", along(&points, 20));
    }

    #[test]
    fn a_single_edge_says_its_direction() {
        let points = [Point::new(0.0, 0.0), Point::new(0.0, 2.0)];
        assert_eq!((along(&points, 0), along(&points, 1)), (Vec2::new(0.0, 1.0), Vec2::new(0.0, 1.0)));
    }
}
