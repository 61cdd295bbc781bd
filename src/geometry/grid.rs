//! The lattice that areas are worked out on: points in whole steps of 0.0001 mm, and rings of them.
//!
//! One lattice for every operation makes results exact inputs of the next one: nothing drifts, and what an
//! operation did not touch comes back as the same numbers.

use kurbo::{BezPath, Point};

/// Lattice steps in a millimetre. A step is a four-hundredth of the finest spot a workshop laser makes.
const STEPS_PER_MM: f64 = 10_000.0;

/// Coordinates are held inside this many steps (10 000 km, or 10 km on the fine lattice), whatever a caller's transform made of them, so that
/// no product overflows.
const FARTHEST: f64 = 1e14;

/// Steps of the fine lattice in one step: see [`Node::nearest_fine`].
const FINE: i64 = 1_000;

/// A point of the lattice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Node {
    pub x: i64,
    pub y: i64,
}

/// A closed polygon; the last node is joined to the first, which is not repeated.
pub(super) type Ring = Vec<Node>;

impl Node {
    /// The node nearest to a point in millimetres.
    pub fn nearest(p: Point) -> Self {
        Self { x: step(p.x), y: step(p.y) }
    }

    /// The nearest node of a lattice a thousand times finer.
    ///
    /// Outlines that are built aside of an edge need it: there, a rounding of one step over an edge of one
    /// step would turn the edge round and tear a crack as long as the offset.
    pub fn nearest_fine(p: Point) -> Self {
        Self { x: step(p.x * FINE as f64), y: step(p.y * FINE as f64) }
    }

    /// Where it lies, in millimetres.
    pub fn point(self) -> Point {
        Point::new(self.x as f64 / STEPS_PER_MM, self.y as f64 / STEPS_PER_MM)
    }
}

fn step(millimetres: f64) -> i64 {
    (millimetres * STEPS_PER_MM).round().clamp(-FARTHEST, FARTHEST) as i64
}

/// Twice the signed area of the triangle `a b c`, in square steps.
fn cross(a: Node, b: Node, c: Node) -> i128 {
    let (ux, uy) = (i128::from(b.x - a.x), i128::from(b.y - a.y));
    let (vx, vy) = (i128::from(c.x - b.x), i128::from(c.y - b.y));
    ux * vy - uy * vx
}

/// Whether `a b c` goes forth and back over itself.
fn turns_back(a: Node, b: Node, c: Node) -> bool {
    let (ux, uy) = (i128::from(b.x - a.x), i128::from(b.y - a.y));
    let (vx, vy) = (i128::from(c.x - b.x), i128::from(c.y - b.y));
    cross(a, b, c) == 0 && ux * vx + uy * vy < 0
}

/// Whether `b` lies on the straight way from `a` to `c`.
pub(super) fn is_between(a: Node, b: Node, c: Node) -> bool {
    cross(a, b, c) == 0 && !turns_back(a, b, c)
}

/// Twice the signed area of a ring, in square steps; positive for an outer contour.
pub(super) fn doubled_area(ring: &[Node]) -> i128 {
    let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
    pairs.map(|(a, b)| i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)).sum()
}

/// Signed area (mm²) and perimeter (mm) of a ring.
pub(super) fn area_and_perimeter(ring: &[Node]) -> (f64, f64) {
    let area = doubled_area(ring) as f64 / 2.0 / (STEPS_PER_MM * STEPS_PER_MM);
    let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
    (area, pairs.map(|(a, b)| a.point().distance(b.point())).sum())
}

/// A ring of the fine lattice on the lattice.
pub(super) fn coarsened(ring: &[Node]) -> Ring {
    let coarse = |v: i64| (v + FINE / 2).div_euclid(FINE);
    ring.iter().map(|n| Node { x: coarse(n.x), y: coarse(n.y) }).collect()
}

/// The ring begun at its smallest node: equal cycles become equal lists.
pub(super) fn from_smallest(mut ring: Ring) -> Ring {
    let smallest = ring.iter().enumerate().min_by_key(|(_, n)| **n).map_or(0, |(i, _)| i);
    ring.rotate_left(smallest);
    ring
}

/// The ring as a closed path of lines.
pub(super) fn path_of(ring: &[Node]) -> BezPath {
    let mut path = BezPath::new();
    for (i, node) in ring.iter().enumerate() {
        if i == 0 {
            path.move_to(node.point());
        } else {
            path.line_to(node.point());
        }
    }
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_survive_the_lattice() {
        let p = Point::new(12.3457, -0.0001);
        assert_eq!(Node::nearest(p).point(), p);
        assert_eq!(Node::nearest(Point::new(f64::NAN, f64::INFINITY)).x, 0);
    }
}
