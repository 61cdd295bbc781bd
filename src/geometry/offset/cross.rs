//! Where raw lines cross.

use crate::geometry::edges::{EdgeId, EdgeTree};
use geo::GeoNum;
use geo::kernels::{Kernel, Orientation};
use kurbo::Point;
use std::ops::ControlFlow;

/// A place where two edges cross. The first edge passes from the right of the second to its left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crossing {
    pub at: Point,
    /// Both edges, and how far along each as a share of it.
    pub on: [(EdgeId, f64); 2],
}

/// Lines that cross this many times an edge are not worth being taken apart crossing by crossing.
const MOST_PER_EDGE: usize = 32;

/// Edges whose boxes meet this often, without crossing, are better swept than tried pair by pair.
const MOST_TRIED_PER_EDGE: usize = 64;

/// More crossings than this take up more memory than another way does.
const MOST: usize = 1_000_000;

/// All crossings of the rings' edges with each other.
///
/// The signs are exact, so each crossing of two lines is met in exactly one pair of edges.
///
/// # Errors
/// Where the lines do more than cross, and where they cross so often that another way is better.
pub(super) fn crossings(tree: &EdgeTree, edges: usize) -> Result<Vec<Crossing>, Tangle> {
    let mut found = Vec::new();
    let mut tried = 0;
    let most = (MOST_PER_EDGE * edges + 1_000).min(MOST);
    let tangle = tree.pairs(|p, q| {
        tried += 1;
        if tried > MOST_TRIED_PER_EDGE * edges + MOST {
            return ControlFlow::Break(Tangle::TooMany);
        }
        let (a, b) = tree.ends(p);
        let (c, d) = tree.ends(q);
        if a == d || b == c {
            // Neighbours on a ring share a point and nothing else, unless one folds back over the other.
            let folds = folds(a, b, c, d);
            return if folds { ControlFlow::Break(Tangle::Touching) } else { ControlFlow::Continue(()) };
        }
        match crossing(p, q, [a, b, c, d]) {
            Meeting::None => ControlFlow::Continue(()),
            Meeting::Touching => ControlFlow::Break(Tangle::Touching),
            Meeting::Crossing(_) if found.len() == most => ControlFlow::Break(Tangle::TooMany),
            Meeting::Crossing(crossing) => {
                found.push(crossing);
                ControlFlow::Continue(())
            }
        }
    });
    found.sort_by_key(|c: &Crossing| (c.on[0].0, c.on[1].0));
    match tangle {
        ControlFlow::Break(tangle) => Err(tangle),
        ControlFlow::Continue(()) => Ok(found),
    }
}

/// Whether edges cross or touch more than so many times.
pub(super) fn cross_more_than(tree: &EdgeTree, limit: usize) -> bool {
    let mut count = 0;
    let counted = tree.pairs(|p, q| {
        let ((a, b), (c, d)) = (tree.ends(p), tree.ends(q));
        let neighbours = a == d || b == c;
        count += usize::from(!neighbours && !matches!(crossing(p, q, [a, b, c, d]), Meeting::None));
        if count > limit { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    counted.is_break()
}

/// Why lines are not taken apart at their crossings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tangle {
    /// An edge ends on another, or two run over each other.
    Touching,
    /// They cross too often.
    TooMany,
}

enum Meeting {
    None,
    Crossing(Crossing),
    Touching,
}

fn folds(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (shared, p, q) = if b == c { (b, a, d) } else { (a, b, c) };
    side(p, shared, q) == Orientation::Collinear && (p - shared).dot(q - shared) > 0.0
}

fn side(a: Point, b: Point, c: Point) -> Orientation {
    let coord = |p: Point| geo::Coord { x: p.x, y: p.y };
    <f64 as GeoNum>::Ker::orient2d(coord(a), coord(b), coord(c))
}

fn crossing(p: EdgeId, q: EdgeId, [a, b, c, d]: [Point; 4]) -> Meeting {
    let (c_side, d_side) = (side(a, b, c), side(a, b, d));
    if c_side == d_side && c_side != Orientation::Collinear {
        return Meeting::None;
    }
    let (a_side, b_side) = (side(c, d, a), side(c, d, b));
    if a_side == b_side && a_side != Orientation::Collinear {
        return Meeting::None;
    }
    if [a_side, b_side, c_side, d_side].contains(&Orientation::Collinear) {
        return Meeting::Touching;
    }
    let (u, v, w) = (b - a, d - c, c - a);
    let area = u.cross(v);
    let along = |t: f64| if t.is_finite() { t.clamp(0.0, 1.0) } else { 0.5 };
    let (s, t) = (along(w.cross(v) / area), along(w.cross(u) / area));
    let on = [(p, s), (q, t)];
    // The first edge comes from the right of the second when it starts there.
    let on = if a_side == Orientation::Clockwise { on } else { [on[1], on[0]] };
    Meeting::Crossing(Crossing { at: a + u * s, on })
}
