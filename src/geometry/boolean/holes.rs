//! Holes where they belong.
//!
//! Where rings touch each other at corners, the overlay may hang a hole on a neighbour that it only touches. The area as a
//! whole is right then, its parts are not; and with a neighbour too small to be kept the hole would be lost.

use super::super::grid::{self, Node, Ring};
use super::Shape;

/// Shapes whose holes lie within their outer rings. A hole hangs wrongly when its box reaches beyond that of its outer ring,
/// which is looked at for all; only such a hole is given to the smallest outer ring that encloses it.
pub(super) fn settled(shapes: Vec<Shape>) -> Vec<Shape> {
    let mut strayed = Vec::new();
    let mut settled: Vec<Shape> = Vec::with_capacity(shapes.len());
    for mut shape in shapes {
        if let Some(outer) = shape.first().map(Bounds::of) {
            let (kept, others) = shape.drain(1..).partition(|hole| outer.holds(&Bounds::of(hole)));
            strayed.extend::<Vec<Ring>>(others);
            shape.extend::<Vec<Ring>>(kept);
        }
        settled.push(shape);
    }
    for hole in strayed {
        let encloses = |shape: &&mut Shape| shape.first().is_some_and(|outer| encloses(outer, &hole));
        let owner = settled.iter_mut().filter(encloses).min_by_key(|shape| grid::doubled_area(&shape[0]).abs());
        if let Some(owner) = owner {
            owner.push(hole);
        }
    }
    settled
}

/// The box around a ring.
struct Bounds {
    low: Node,
    high: Node,
}

impl Bounds {
    fn of(ring: &Ring) -> Self {
        let (xs, ys) = (|| ring.iter().map(|n| n.x), || ring.iter().map(|n| n.y));
        let end = |value: Option<i64>| value.unwrap_or_default();
        Self {
            low: Node { x: end(xs().min()), y: end(ys().min()) },
            high: Node { x: end(xs().max()), y: end(ys().max()) },
        }
    }

    fn holds(&self, other: &Self) -> bool {
        self.low.x <= other.low.x
            && self.low.y <= other.low.y
            && other.high.x <= self.high.x
            && other.high.y <= self.high.y
    }
}

/// Whether a ring goes round a hole, which it may touch at corners: the middles of most of its edges tell.
fn encloses(outer: &Ring, hole: &Ring) -> bool {
    if !Bounds::of(outer).holds(&Bounds::of(hole)) {
        return false;
    }
    let next = hole.iter().cycle().skip(1);
    let inside = hole.iter().zip(next).filter(|(a, b)| has_inside(outer, (a.x + b.x, a.y + b.y))).count();
    hole.len() < 2 * inside
}

/// Whether a point lies inside of a ring, its coordinates doubled, by the crossings of a ray to the right.
fn has_inside(ring: &Ring, (x, y): (i64, i64)) -> bool {
    let next = ring.iter().cycle().skip(1);
    let crosses = |(a, b): &(&Node, &Node)| {
        let (ax, ay, bx, by) = (2 * a.x, 2 * a.y, 2 * b.x, 2 * b.y);
        if (y < ay) == (y < by) {
            return false;
        }
        let side = i128::from(bx - ax) * i128::from(y - ay) - i128::from(x - ax) * i128::from(by - ay);
        (side > 0) == (by > ay)
    };
    ring.iter().zip(next).filter(crosses).count() % 2 == 1
}
