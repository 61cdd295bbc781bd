//! What strips and wedges cover.

use super::raw::{Turn, Wedge};
use super::source::{Beside, Join, Outline, right};
use crate::geometry::Corners;
use crate::geometry::edges::{EdgeId, EdgeTree};
use kurbo::{Point, Rect, Vec2};
use std::ops::ControlFlow;

/// A point counts as covered when it lies this far (mm) inside a strip or a straight wedge: more than rounding.
const INSIDE: f64 = 1e-7;

/// The same for the sector of an arc, whose chords are not quite the arc.
const INSIDE_ARC: f64 = 0.0012;

/// An outline with how far it is offset.
pub(in crate::geometry) type Aside = (Outline, Beside);

/// The strips and wedges of outlines, ready to be asked.
pub(super) struct Cover<'a> {
    asides: &'a [Aside],
    tree: EdgeTree<'a>,
    /// How far from its chord a strip or wedge can reach, in mm.
    reach: f64,
}

impl<'a> Cover<'a> {
    pub fn new(asides: &'a [Aside]) -> Self {
        let tree = EdgeTree::new(asides.iter().map(|(outline, _)| outline.points.as_slice()).collect());
        let reach = asides.iter().map(|(_, beside)| reach(*beside)).fold(0.0, f64::max);
        Self { asides, tree, reach }
    }

    /// Whether a point of a raw line lies on the border of the offset area, being neither covered nor on the wrong side
    /// of the outlines.
    pub fn is_border(&self, p: Point) -> bool {
        let grows = self.asides.iter().any(|(_, beside)| beside.distance > 0.0);
        (self.tree.winding(p) == 0) == grows && !self.covers(p)
    }

    fn covers(&self, p: Point) -> bool {
        let around = Rect::new(p.x, p.y, p.x, p.y).inflate(self.reach, self.reach);
        self.tree
            .near(around, |edge| {
                if self.covers_beside(edge, p) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            })
            .is_break()
    }

    /// Whether the strip of a chord or the wedge at its start covers a point.
    fn covers_beside(&self, edge: EdgeId, p: Point) -> bool {
        let (outline, aside) = &self.asides[edge.ring as usize];
        let (from, to) = self.tree.ends(edge);
        let (distance, out) = (aside.distance.abs(), aside.distance.signum());
        let (chord, v) = (to - from, p - from);
        // Farther from the start of the chord than strip or wedge reach?
        if v.hypot() > chord.hypot() + self.reach {
            return false;
        }
        let length = chord.hypot();
        let along = chord / length;
        let (s, d) = (v.dot(along), v.dot(right(along)) * out);
        // At the end of a line the strip ends too; elsewhere it goes on into the next one, or into a wedge.
        let next = if edge.start as usize + 1 == outline.joins.len() { 0 } else { edge.start as usize + 1 };
        let margin = |i: usize| if matches!(outline.joins[i], Join::End(_)) { INSIDE } else { 0.0 };
        let beside = margin(edge.start as usize) <= s && s <= length - margin(next);
        if beside && -INSIDE <= d && d < distance - INSIDE {
            return true;
        }
        if v.hypot() > self.reach {
            return false;
        }
        let turn = Turn::of(outline, edge.start as usize, *aside);
        turn.is_outer() && covers_wedge(&turn, v, distance)
    }
}

fn reach(beside: Beside) -> f64 {
    let longest = match beside.corners {
        Corners::Mitre { limit } => limit.max(std::f64::consts::SQRT_2),
        Corners::Round | Corners::Bevel => std::f64::consts::SQRT_2,
    };
    beside.distance.abs() * longest + INSIDE
}

/// Whether the wedge of an outer corner covers what lies at `v` from it.
fn covers_wedge(turn: &Turn, v: Vec2, distance: f64) -> bool {
    let between = v.dot(turn.before) >= 0.0 && v.dot(turn.after) <= 0.0;
    if !between {
        return false;
    }
    let (from, to) = turn.ends();
    match turn.wedge() {
        Wedge::Arc => v.hypot() < distance - INSIDE_ARC,
        Wedge::Bevel => beyond(from, to, v),
        Wedge::Square => {
            v.dot(turn.before) < distance - INSIDE && v.dot(from).abs() < distance * (distance - INSIDE)
        }
        // Between the strips' ends and their far sides.
        Wedge::Tip => v.dot(from) < distance * (distance - INSIDE) && v.dot(to) < distance * (distance - INSIDE),
    }
}

/// Whether a point lies on the near side of the straight cut between two ends, which are equally far off.
fn beyond(from: Vec2, to: Vec2, v: Vec2) -> bool {
    let middle = (from + to) * 0.5;
    v.dot(middle) < middle.hypot() * (middle.hypot() - INSIDE)
}
