//! Where lines cross or touch themselves and each other.
//!
//! Corners are taken to a lattice of a nanometre, and on it every question has an exact answer: each crossing is found
//! once, also where it falls on a corner of one line or of both.

use crate::geometry::chords::{Chord, ChordTree, Subpath, of_paths};
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect};

/// Lattice steps in a millimetre.
const STEPS_PER_MM: f64 = 1e6;

/// Coordinates are held inside this many steps (10 km), so that no product overflows.
const FARTHEST: f64 = 1e13;

/// Places that are told at most.
pub const MOST_CROSSINGS: usize = 20_000;

/// Pairs of chords that are looked at in all.
const MOST_PAIRS: usize = 8_000_000;

/// A place where two lines, or two stretches of one, cross or touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// The place.
    pub at: Point,
    /// Index of the one path.
    pub first: usize,
    /// Index of the other; the same when a path meets itself.
    pub second: usize,
    /// Whether one passes to the other side; else it ends there, or only touches.
    pub passes: bool,
    /// Where a subpath meets itself: how far it is along it from the place back to the place, by the shorter way
    /// if it is closed. So long is the loop that it closes.
    pub loop_length: Option<Mm>,
}

/// What [`crossings`] found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Crossings {
    /// The places, in the order of the paths and along them; at most [`MOST_CROSSINGS`].
    pub places: Vec<Crossing>,
    /// Whether these are all of them: there is a bound to what is looked at.
    pub complete: bool,
}

/// Where lines cross or touch themselves or each other: drawn lines, the outlines of a region, or a
/// [`Part`](crate::geometry::Part)'s path as it was drawn, before any clean-up.
///
/// Stretches that run on top of each other are no crossings, nor are the places where they part:
/// [`doubled_lines`](super::doubled_lines) finds them. Lines count as they are flattened: two curves that touch within the flattening
/// tolerance may cross twice or not at all.
pub fn crossings(lines: &[BezPath]) -> Crossings {
    let (chords, subpaths) = of_paths(lines);
    let chords = with_ends(&chords, &subpaths);
    let strands = strands(&chords, &subpaths);
    let tree = ChordTree::new(chords.clone());
    let mut found = Crossings { places: Vec::new(), complete: true };
    let mut pairs = 0;
    for (index, strand) in strands.iter().enumerate() {
        let Some(mine) = strand else { continue };
        let mut others: Vec<usize> = tree.meeting(bounds(&chords[index])).iter().map(|c| c.index).collect();
        pairs += others.len();
        others.retain(|&other| index < other);
        others.sort_unstable();
        for other in others {
            let Some(theirs) = &strands[other] else { continue };
            let Some((at, passes)) = mine.meets(theirs) else { continue };
            found.places.push(crossing(&subpaths, [&chords[index], &chords[other]], at, passes));
        }
        if pairs > MOST_PAIRS || found.places.len() > MOST_CROSSINGS {
            found.places.truncate(MOST_CROSSINGS);
            found.complete = false;
            break;
        }
    }
    found
}

/// The box of a chord, with room for the lattice.
fn bounds(chord: &Chord) -> Rect {
    let room = 2.0 / STEPS_PER_MM;
    Rect::from_points(chord.from, chord.to).inflate(room, room)
}

fn crossing(subpaths: &[Subpath], [a, b]: [&Chord; 2], at: Point, passes: bool) -> Crossing {
    let along = |c: &Chord| c.along + c.from.distance(at);
    let same = a.subpath == b.subpath;
    let loop_length = same.then(|| Mm::new(subpaths[a.subpath].way(along(a), along(b))));
    Crossing { at, first: subpaths[a.subpath].path, second: subpaths[b.subpath].path, passes, loop_length }
}

/// A point or a way on the lattice.
#[derive(Clone, Copy, PartialEq)]
struct Step {
    x: i64,
    y: i64,
}

impl Step {
    fn nearest(p: Point) -> Self {
        let step = |v: f64| (v * STEPS_PER_MM).round().clamp(-FARTHEST, FARTHEST) as i64;
        Self { x: step(p.x), y: step(p.y) }
    }

    fn point(self) -> Point {
        Point::new(self.x as f64 / STEPS_PER_MM, self.y as f64 / STEPS_PER_MM)
    }

    fn to(self, other: Self) -> Self {
        Self { x: other.x - self.x, y: other.y - self.y }
    }

    fn back(self) -> Self {
        Self { x: -self.x, y: -self.y }
    }

    fn cross(self, other: Self) -> i128 {
        i128::from(self.x) * i128::from(other.y) - i128::from(self.y) * i128::from(other.x)
    }

    fn dot(self, other: Self) -> i128 {
        i128::from(self.x) * i128::from(other.x) + i128::from(self.y) * i128::from(other.y)
    }

    fn is_along(self, other: Self) -> bool {
        self.cross(other) == 0 && self.dot(other) > 0
    }
}

/// A chord on the lattice: its start counts to it, its end to the next one.
#[derive(Clone, Copy)]
struct Strand {
    from: Step,
    to: Step,
    /// The way that leads to its start; none at the start of an open line.
    before: Option<Step>,
    /// Whether it is only the end of an open line, from which no way leads on.
    is_end: bool,
}

/// The chords, and behind those of each open line one without a length at its end.
fn with_ends(chords: &[Chord], subpaths: &[Subpath]) -> Vec<Chord> {
    let mut all: Vec<Chord> = Vec::with_capacity(chords.len());
    for subpath in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        let last = subpath[subpath.len() - 1];
        let Subpath { length, closed, .. } = subpaths[last.subpath];
        let end = (!closed).then_some(Chord { from: last.to, along: length, ..last });
        for chord in subpath.iter().copied().chain(end) {
            all.push(Chord { index: all.len(), ..chord });
        }
    }
    all
}

/// A strand for each chord; none for those in the midst that have no length on the lattice.
fn strands(chords: &[Chord], subpaths: &[Subpath]) -> Vec<Option<Strand>> {
    let mut all: Vec<Option<Strand>> = Vec::with_capacity(chords.len());
    for subpath in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        let first = all.len();
        let closed = subpaths[subpath[0].subpath].closed;
        let mut before = None;
        for (i, chord) in subpath.iter().enumerate() {
            let (from, to) = (Step::nearest(chord.from), Step::nearest(chord.to));
            let is_end = !closed && i + 1 == subpath.len();
            all.push((is_end || from != to).then_some(Strand { from, to, before, is_end }));
            before = if from == to { before } else { Some(from.to(to)) };
        }
        if closed && let Some(start) = all[first..].iter_mut().flatten().next() {
            start.before = before;
        }
    }
    all
}

impl Strand {
    fn way(&self) -> Step {
        self.from.to(self.to)
    }

    /// The ways that lead off from its start.
    fn ways_at_start(&self) -> [Option<Step>; 2] {
        [self.before.map(Step::back), (!self.is_end).then(|| self.way())]
    }

    /// The ways that lead off from a place in its midst.
    fn ways_within(&self) -> [Option<Step>; 2] {
        [Some(self.way().back()), Some(self.way())]
    }

    /// On which side of it a place lies.
    fn side(&self, place: Step) -> i128 {
        self.way().cross(self.from.to(place)).signum()
    }

    /// Whether a place lies on it, between its ends.
    fn holds(&self, place: Step) -> bool {
        self.side(place) == 0 && self.from.to(place).dot(self.to.to(place)) < 0
    }

    /// Where the two meet, and whether one passes to the other side; each place belongs to one pair of strands.
    fn meets(&self, other: &Self) -> Option<(Point, bool)> {
        if self.from == other.from {
            return Some((self.from.point(), passes(self.ways_at_start(), other.ways_at_start())?));
        }
        if other.holds(self.from) {
            return Some((self.from.point(), passes(self.ways_at_start(), other.ways_within())?));
        }
        if self.holds(other.from) {
            return Some((other.from.point(), passes(self.ways_within(), other.ways_at_start())?));
        }
        let parted = |a: &Self, b: &Self| a.side(b.from) * a.side(b.to) < 0;
        (parted(self, other) && parted(other, self)).then(|| (self.crossing(other), true))
    }

    fn crossing(&self, other: &Self) -> Point {
        let (u, v) = (self.way(), other.way());
        let share = self.from.to(other.from).cross(v) as f64 / u.cross(v) as f64;
        self.from.point().lerp(self.to.point(), share)
    }
}

/// Whether the line with the first two ways passes to the other side of the one with the second two; none when they run
/// on top of each other along one.
fn passes(mine: [Option<Step>; 2], theirs: [Option<Step>; 2]) -> Option<bool> {
    let together = |a: &Step| theirs.iter().flatten().any(|b| a.is_along(*b));
    if mine.iter().flatten().any(together) {
        return None;
    }
    let ([Some(a), Some(b)], [Some(c), Some(d)]) = (mine, theirs) else { return Some(false) };
    Some(is_between(a, b, c) != is_between(a, b, d))
}

/// Whether a way leads off between two others, seen anticlockwise (y up) from the first.
fn is_between(first: Step, second: Step, way: Step) -> bool {
    let wide = first.cross(second);
    if wide > 0 || (wide == 0 && first.dot(second) > 0) {
        first.cross(way) > 0 && way.cross(second) > 0
    } else if wide == 0 {
        first.cross(way) > 0
    } else {
        !(second.cross(way) > 0 && way.cross(first) > 0)
    }
}
