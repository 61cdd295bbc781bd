//! A stretch between corners as lines, arcs and cubics, joined smoothly.

use super::arcs::{self, Arc};
use super::corners::Outline;
use super::cubic::{self, End};
use super::{Budget, tangents};
use kurbo::{CubicBez, Line, PathSeg, Point, Vec2};

/// No cubic turns farther than this (radians, 200 degrees), forth and back counted alike.
const MOST_TURN: f64 = 3.5;

/// The first run tried has this many edges.
const FIRST_STEP: usize = 8;

/// The end of the longest run is found to this share of it; nothing is gained by more.
const FINENESS: usize = 8;

/// A part of a stretch, as a range of vertices with both ends.
#[derive(Clone, Copy)]
enum Piece {
    Straight(usize, usize),
    Round(Arc),
    Free(usize, usize),
}

impl Piece {
    fn ends(self) -> (usize, usize) {
        match self {
            Self::Straight(from, to) | Self::Free(from, to) => (from, to),
            Self::Round(arc) => (arc.from, arc.to),
        }
    }

    /// The direction at its first or last vertex as the piece has it, and how firmly: a straight edge is sure of it,
    /// others the more the longer their chords there are.
    fn direction(self, points: &[Point], at: usize) -> (f64, Vec2) {
        let (from, to) = self.ends();
        let edge = if at == from { points[from + 1] - points[from] } else { points[to] - points[to - 1] };
        match self {
            Self::Straight(..) => (f64::INFINITY, edge.normalize()),
            Self::Round(arc) => (2.0 * edge.hypot(), arc.direction(points[at])),
            Self::Free(..) => (edge.hypot(), tangents::along(&points[from..=to], at - from)),
        }
    }

    /// The direction at an end of a stretch, where the piece dictates it.
    fn outer_direction(self, points: &[Point], at: usize) -> Option<Vec2> {
        (!matches!(self, Self::Free(..))).then(|| self.direction(points, at).1)
    }
}

/// Appends the segments of a stretch of an outline. `ends` are the directions at its ends where they are given.
pub(super) fn of_stretch(
    outline: &Outline,
    from: usize,
    to: usize,
    ends: (Option<Vec2>, Option<Vec2>),
    budget: Budget,
    found: &mut Vec<PathSeg>,
) {
    let points = &outline.points;
    let pieces = pieces(outline, from, to, ends, budget);
    let mut start = ends.0.or_else(|| pieces[0].outer_direction(points, from));
    for (k, &piece) in pieces.iter().enumerate() {
        let at = piece.ends().1;
        let end = match pieces.get(k + 1) {
            Some(next) => Some(joined(piece.direction(points, at), next.direction(points, at))),
            None => ends.1.or_else(|| piece.outer_direction(points, at)),
        };
        draw(outline, piece, (start, end), budget, found);
        start = end;
    }
}

/// The direction where two pieces meet: that of the surer one.
fn joined(before: (f64, Vec2), after: (f64, Vec2)) -> Vec2 {
    if before.0 == after.0 && before.1 != -after.1 {
        return (before.1 + after.1).normalize();
    }
    if before.0 > after.0 { before.1 } else { after.1 }
}

fn draw(
    outline: &Outline,
    piece: Piece,
    ends: (Option<Vec2>, Option<Vec2>),
    budget: Budget,
    found: &mut Vec<PathSeg>,
) {
    let (from, to) = piece.ends();
    match piece {
        Piece::Straight(..) => found.push(Line::new(outline.points[from], outline.points[to]).into()),
        Piece::Round(arc) => {
            let start = ends.0.unwrap_or_else(|| arc.direction(outline.points[from]));
            let end = ends.1.unwrap_or_else(|| arc.direction(outline.points[to]));
            match arcs::drawn(outline, arc, start, end, budget) {
                Some(arcs) => found.extend(arcs),
                None => cubics(outline, (from, to), ends, budget, found),
            }
        }
        Piece::Free(..) => cubics(outline, (from, to), ends, budget, found),
    }
}

/// Takes a stretch apart at its straight edges and arcs.
fn pieces(
    outline: &Outline,
    from: usize,
    to: usize,
    ends: (Option<Vec2>, Option<Vec2>),
    budget: Budget,
) -> Vec<Piece> {
    let points = &outline.points;
    let agrees = |edge: usize, direction: Option<Vec2>| {
        let along = points[edge + 1] - points[edge];
        direction.is_none_or(|d| d.cross(along).abs() <= 2.0 * budget.thinning && d.dot(along) > 0.0)
    };
    let is_straight = |edge: usize| {
        (outline.is_straight(edge) || to - from == 1)
            && (edge != from || agrees(edge, ends.0))
            && (edge + 1 != to || agrees(edge, ends.1))
    };
    let mut pieces = Vec::new();
    let mut at = from;
    while at < to {
        if is_straight(at) {
            pieces.push(Piece::Straight(at, at + 1));
            at += 1;
            continue;
        }
        let next = (at + 1..to).find(|&edge| is_straight(edge)).unwrap_or(to);
        for arc in arcs::within(outline, at, next, budget) {
            if arc.from > at {
                pieces.push(Piece::Free(at, arc.from));
            }
            pieces.push(Piece::Round(arc));
            at = arc.to;
        }
        if at < next {
            pieces.push(Piece::Free(at, next));
        }
        at = next;
    }
    pieces
}

/// A run of an outline that is to become cubics.
struct Run<'a> {
    outline: &'a Outline,
    range: (usize, usize),
    ends: (Option<Vec2>, Option<Vec2>),
    most: f64,
}

/// Appends cubics along a run, each as far as one can go.
fn cubics(
    outline: &Outline,
    range: (usize, usize),
    ends: (Option<Vec2>, Option<Vec2>),
    budget: Budget,
    found: &mut Vec<PathSeg>,
) {
    let run = Run { outline, range, ends, most: budget.curves };
    let mut at = range.0;
    let mut step = FIRST_STEP;
    while at < range.1 {
        let (to, curve) = run.farthest(at, step);
        step = (to - at).max(FIRST_STEP);
        at = to;
        found.push(PathSeg::Cubic(curve));
    }
}

impl Run<'_> {
    /// The direction at a vertex: as given at the ends, a first guess where nothing is given, else the chain's.
    fn end(&self, at: usize) -> End {
        let (from, to) = self.range;
        let given = if at == from {
            self.ends.0
        } else if at == to {
            self.ends.1
        } else {
            None
        };
        match given {
            Some(direction) => End { direction, free: false },
            None => End {
                direction: tangents::along(&self.outline.points[from..=to], at - from),
                free: at == from || at == to,
            },
        }
    }

    fn cubic(&self, from: usize, to: usize) -> Option<CubicBez> {
        cubic::fit(&self.outline.points[from..=to], self.end(from), self.end(to), self.most)
    }

    /// The longest cubic from a vertex on, and where it ends: by doubling steps, then by halving.
    fn farthest(&self, at: usize, step: usize) -> (usize, CubicBez) {
        let most = self.outline.reach(at, MOST_TURN).min(self.range.1);
        let mut good = None;
        let (mut step, mut bad) = (step, most + 1);
        loop {
            let to = (at + step).min(most);
            let Some(curve) = self.cubic(at, to) else {
                bad = to;
                break;
            };
            good = Some((to, curve));
            if to == most {
                break;
            }
            step *= 2;
        }
        loop {
            let reached = good.map_or(at, |(to, _)| to);
            if reached + 1 + (reached - at) / FINENESS >= bad {
                break;
            }
            let to = reached.midpoint(bad);
            match self.cubic(at, to) {
                Some(curve) => good = Some((to, curve)),
                None => bad = to,
            }
        }
        good.unwrap_or_else(|| {
            let (a, b) = (self.outline.points[at], self.outline.points[at + 1]);
            (at + 1, cubic::along_edge(a, b, self.end(at).direction, self.end(at + 1).direction, self.most))
        })
    }
}
