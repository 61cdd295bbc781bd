//! Raw lines taken apart where they cross, and what lies on the border put together again.

use super::cover::{Aside, Cover};
use super::cross::{Crossing, Tangle, crossings};
use super::raw::{Mark, Marked};
use crate::geometry::crossings::mixed;
use crate::geometry::edges::EdgeTree;
use kurbo::Point;

/// A stretch of a raw line from one crossing to the next.
struct Piece {
    ring: usize,
    /// The edge it starts on, and the crossing it starts from; none where the ring crosses nothing.
    first: usize,
    from: Option<usize>,
    /// The edge it ends on, and the crossing it runs into.
    last: usize,
    to: Option<usize>,
    on_border: bool,
}

/// A crossing on one ring.
#[derive(Clone, Copy)]
struct Cut {
    ring: usize,
    edge: usize,
    along: f64,
    crossing: usize,
}

/// The border of what the outlines' strips and wedges cover together (with what the outlines enclose, or without it).
///
/// `None` where raw lines cross too often, or where the pieces do not fit together after all or leave nothing that must be. Where they touch without
/// crossing, all points are moved by less than any output shows, and they cross or keep clear.
pub(super) fn trimmed(asides: &[Aside], mut raw: Vec<Marked>) -> Option<Vec<Marked>> {
    let crossings = match all_crossings(&raw) {
        Err(Tangle::Touching) => {
            raw.iter_mut().flat_map(|ring| &mut ring.points).for_each(|p| *p = shaken(*p));
            all_crossings(&raw).ok()?
        }
        crossings => crossings.ok()?,
    };
    let raw = raw.as_slice();
    let mut pieces = pieces(raw, &crossings);
    let grows = asides.iter().any(|(_, beside)| beside.distance > 0.0);
    rule_out(&mut pieces, raw, &crossings, grows);
    let cover = Cover::new(asides);
    for piece in pieces.iter_mut().filter(|p| p.on_border) {
        piece.on_border = cover.is_border(sample(piece, &raw[piece.ring], &crossings));
    }
    let rings = stitched(&pieces, raw, &crossings)?;
    // What grows leaves something: nothing is no answer.
    (!grows || !rings.is_empty()).then_some(rings)
}

fn all_crossings(raw: &[Marked]) -> Result<Vec<Crossing>, Tangle> {
    let tree = EdgeTree::new(raw.iter().map(|r| r.points.as_slice()).collect());
    crossings(&tree, raw.iter().map(|r| r.points.len()).sum())
}

/// How far a point is shaken at most, in mm.
const SHAKE: f64 = 2e-8;

/// A point moved a little, always in the same way: its coordinates say how.
fn shaken(p: Point) -> Point {
    let z = mixed(p.x.to_bits().rotate_left(32) ^ p.y.to_bits().wrapping_mul(0x9e37_79b9_7f4a_7c15));
    let share = |bits: u64| (bits & 0xffff) as f64 / 32_768.0 - 1.0;
    Point::new(p.x + SHAKE * share(z >> 16), p.y + SHAKE * share(z >> 40))
}

fn pieces(raw: &[Marked], crossings: &[Crossing]) -> Vec<Piece> {
    let cuts_of = |(crossing, c): (usize, &Crossing)| {
        c.on.map(|(e, along)| Cut { ring: e.ring as usize, edge: e.start as usize, along, crossing })
    };
    let mut cuts: Vec<Cut> = crossings.iter().enumerate().flat_map(cuts_of).collect();
    cuts.sort_by(|a, b| (a.ring, a.edge).cmp(&(b.ring, b.edge)).then(a.along.total_cmp(&b.along)));
    let mut pieces = Vec::new();
    let mut rest = cuts.as_slice();
    for (ring, line) in raw.iter().enumerate() {
        let (cuts, others) = rest.split_at(rest.partition_point(|c| c.ring <= ring));
        rest = others;
        if cuts.is_empty() && !line.points.is_empty() {
            let last = line.points.len() - 1;
            pieces.push(Piece { ring, first: 0, from: None, last, to: None, on_border: true });
        }
        for (a, b) in cuts.iter().zip(cuts.iter().cycle().skip(1)) {
            let (from, to) = (Some(a.crossing), Some(b.crossing));
            pieces.push(Piece { ring, first: a.edge, from, last: b.edge, to, on_border: true });
        }
    }
    pieces
}

/// The edges of a piece, in order.
fn edges(piece: &Piece, line: &Marked, crossings: &[Crossing]) -> impl Iterator<Item = usize> + use<> {
    let count = line.points.len();
    let along = |crossing: Option<usize>, edge: usize| {
        let on = crossing.map(|c| crossings[c].on)?;
        on.iter()
            .filter(|(e, _)| e.ring as usize == piece.ring && e.start as usize == edge)
            .map(|(_, t)| *t)
            .next()
    };
    // On one and the same edge a piece either ends behind its start or goes all the way round.
    let round = piece.last < piece.first
        || (piece.last == piece.first && along(piece.to, piece.last) <= along(piece.from, piece.first));
    let last = if round { piece.last + count } else { piece.last };
    (piece.first..=last).map(move |i| i % count)
}

/// Rules out pieces that cannot lie on the border: those that cut across a corner, and those that have just entered
/// another strip or are about to leave one.
fn rule_out(pieces: &mut [Piece], raw: &[Marked], crossings: &[Crossing], grows: bool) {
    for piece in pieces {
        let line = &raw[piece.ring];
        let crosses_inner = edges(piece, line, crossings).any(|i| line.marks[i] == Mark::Inner);
        let covered = |crossing: Option<usize>, edge: usize, leaving: bool| {
            crossing.is_some_and(|c| {
                let [entering, other] = crossings[c].on.map(|(e, _)| e);
                let is_entering = (entering.ring as usize, entering.start as usize) == (piece.ring, edge);
                let against = if is_entering { other } else { entering };
                let strip = raw[against.ring as usize].marks[against.start as usize] != Mark::Inner;
                // What goes to the left of a strip's far side is under the strip, unless strips lie on the left.
                strip && (is_entering == leaving) == grows
            })
        };
        piece.on_border =
            !crosses_inner && !covered(piece.from, piece.first, true) && !covered(piece.to, piece.last, false);
    }
}

/// A point of a piece: the middle of its longest stretch on one edge.
fn sample(piece: &Piece, line: &Marked, crossings: &[Crossing]) -> Point {
    let points = points(piece, line, crossings);
    let pairs = points.iter().zip(&points[1..]);
    let longest = pairs.max_by(|a, b| (*a.0 - *a.1).hypot2().total_cmp(&(*b.0 - *b.1).hypot2()));
    longest.map_or(points[0], |(a, b)| a.midpoint(*b))
}

/// The points of a piece from end to end; of a whole ring, the first again at the end.
fn points(piece: &Piece, line: &Marked, crossings: &[Crossing]) -> Vec<Point> {
    let mut points: Vec<Point> = edges(piece, line, crossings).map(|i| line.points[i]).collect();
    match (piece.from, piece.to) {
        (Some(from), Some(to)) => {
            points[0] = crossings[from].at;
            points.push(crossings[to].at);
        }
        _ => points.push(points[0]),
    }
    points
}

/// Puts the pieces on the border together; `None` where some do not continue.
fn stitched(pieces: &[Piece], raw: &[Marked], crossings: &[Crossing]) -> Option<Vec<Marked>> {
    let mut after: Vec<Option<usize>> = vec![None; crossings.len()];
    let (mut into, mut out) = (0, 0);
    for (i, piece) in pieces.iter().enumerate().filter(|(_, p)| p.on_border) {
        if let Some(from) = piece.from {
            out += 1;
            if after[from].replace(i).is_some() {
                return None;
            }
        }
        into += usize::from(piece.to.is_some());
    }
    if into != out {
        return None;
    }
    let mut used = vec![false; pieces.len()];
    let mut rings = Vec::new();
    for start in 0..pieces.len() {
        if !pieces[start].on_border || used[start] {
            continue;
        }
        let whole = pieces[start].from.is_none().then_some(pieces[start].ring);
        let mut ring = Marked { beside: whole, ..Marked::default() };
        let mut next = start;
        while !std::mem::replace(&mut used[next], true) {
            add(&pieces[next], &raw[pieces[next].ring], crossings, &mut ring);
            next = match pieces[next].to {
                Some(crossing) => after[crossing]?,
                None => next,
            };
        }
        if next != start {
            return None;
        }
        rings.push(ring);
    }
    Some(rings)
}

/// Adds a piece without its end.
fn add(piece: &Piece, line: &Marked, crossings: &[Crossing], ring: &mut Marked) {
    for (nth, i) in edges(piece, line, crossings).enumerate() {
        match piece.from.filter(|_| nth == 0) {
            Some(crossing) => ring.push(crossings[crossing].at, line.marks[i], false),
            None => ring.push(line.points[i], line.marks[i], line.smooth[i]),
        }
    }
}
