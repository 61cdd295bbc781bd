//! Lines that run on top of each other: what they burn is burnt twice.

use crate::geometry::chords::{Chord, ChordTree, Subpath, of_paths};
use crate::units::Mm;
use kurbo::{BezPath, Point};
use std::collections::BTreeMap;

/// Chords are joined until they are this share of the tolerance long: what lies within it, no answer depends on.
const SHORTEST: f64 = 0.125;

/// Pairs of chords looked at in all; only a drawing copied onto itself hundreds of times has more.
const MOST_PAIRS: usize = 4_000_000;

/// A stretch where two lines run on top of each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubled {
    /// Index of the one path.
    pub first: usize,
    /// Index of the other; the same when a path runs over itself.
    pub second: usize,
    /// The middle of the stretch, on the first.
    pub at: Point,
    /// Its length along the first.
    pub length: Mm,
}

/// The stretches of at least `least` along which two lines, or two stretches of one, keep within `tolerance`
/// of each other, whichever way they run and wherever their nodes are. A crossing is no such stretch.
pub fn doubled_lines(lines: &[BezPath], tolerance: Mm, least: Mm) -> Vec<Doubled> {
    let (tolerance, least) = (tolerance.get(), least.get());
    let (chords, subpaths) = of_paths(lines);
    let tree = ChordTree::new(joined(chords, SHORTEST * tolerance));
    let mut runs: BTreeMap<(usize, usize), Vec<(f64, f64)>> = BTreeMap::new();
    let mut pairs = 0;
    tree.near_pairs(tolerance, |a, b| {
        // Each pair counts on the line that comes first.
        let first = (a.subpath, a.along) < (b.subpath, b.along);
        let (chord, other) = if first { (a, b) } else { (b, a) };
        if follows(chord, other) {
            return true;
        }
        pairs += 1;
        if let Some(run) = shared_run(chord, other, &subpaths, tolerance) {
            runs.entry((chord.subpath, other.subpath)).or_default().push(run);
        }
        pairs < MOST_PAIRS
    });
    let mut found = Vec::new();
    for ((first, second), runs) in runs {
        for (from, to) in merged(runs, tolerance) {
            if to - from >= least {
                let at = place_at(tree.chords(), first, 0.5 * (from + to));
                let (first, second) = (subpaths[first].path, subpaths[second].path);
                found.push(Doubled { first, second, at, length: Mm::new(to - from) });
            }
        }
    }
    found
}

/// Whether a chord goes on where another ends, and not back over it: then the two share no run.
fn follows(chord: &Chord, next: &Chord) -> bool {
    chord.subpath == next.subpath
        && chord.to == next.from
        && (chord.to - chord.from).dot(next.to - next.from) >= 0.0
}

/// Chords of dense lines, joined until they are at least so long; the ends of each line stay.
fn joined(chords: Vec<Chord>, shortest: f64) -> Vec<Chord> {
    if chords.iter().all(|c| c.length() >= shortest) {
        return chords;
    }
    let mut all: Vec<Chord> = Vec::with_capacity(chords.len());
    for subpath in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        let mut open: Option<Chord> = None;
        for (i, chord) in subpath.iter().enumerate() {
            let grown = open.map_or(*chord, |o| Chord { to: chord.to, ..o });
            let is_long = grown.length() >= shortest || i + 1 == subpath.len();
            open = if is_long { None } else { Some(grown) };
            all.extend(is_long.then_some(Chord { index: all.len(), ..grown }));
        }
    }
    all
}

/// The run along `chord` that keeps within the tolerance of `other`, in mm along its subpath.
///
/// On one and the same line a point is always near what comes just before and after it; that is no run.
fn shared_run(chord: &Chord, other: &Chord, subpaths: &[Subpath], tolerance: f64) -> Option<(f64, f64)> {
    let (from, to) = within(chord, other, tolerance)?;
    let (from, to) = (chord.along + from * chord.length(), chord.along + to * chord.length());
    if chord.subpath == other.subpath {
        let way = |s: f64| {
            let near = other.nearest(point_on(chord, s));
            subpaths[chord.subpath].way(s, other.along + other.from.distance(near))
        };
        if way(from).max(way(to)) <= 4.0 * tolerance {
            return None;
        }
    }
    Some((from, to))
}

fn point_on(chord: &Chord, along: f64) -> Point {
    let share = ((along - chord.along) / chord.length()).clamp(0.0, 1.0);
    if share.is_nan() { chord.from } else { chord.from.lerp(chord.to, share) }
}

fn place_at(chords: &[Chord], subpath: usize, along: f64) -> Point {
    let before = chords.partition_point(|c| (c.subpath, c.along) <= (subpath, along));
    point_on(&chords[before.saturating_sub(1)], along)
}

/// Which part of `chord`, as shares of it, lies within the tolerance of `other`.
///
/// What lies within it is a rectangle with a half disc at either end, which is convex: the part runs from
/// the first entry into one of the three shapes to the last exit.
fn within(chord: &Chord, other: &Chord, tolerance: f64) -> Option<(f64, f64)> {
    let run = chord.to - chord.from;
    let disc = |centre: Point| {
        let start = chord.from - centre;
        let (a, b, c) = (run.hypot2(), start.dot(run), start.hypot2() - tolerance * tolerance);
        let root = (b * b - a * c).sqrt();
        clipped((-b - root) / a, (-b + root) / a)
    };
    let side = other.to - other.from;
    let (along, length) = (side / side.hypot(), side.hypot());
    let start = chord.from - other.from;
    let strip = || {
        let lengthwise = slab(start.dot(along), run.dot(along), 0.0, length)?;
        let crosswise = slab(along.cross(start), along.cross(run), -tolerance, tolerance)?;
        clipped(lengthwise.0.max(crosswise.0), lengthwise.1.min(crosswise.1))
    };
    let parts = [disc(other.from), disc(other.to), strip()];
    parts.into_iter().flatten().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// Where `start + t * slope` lies between two bounds.
fn slab(start: f64, slope: f64, least: f64, most: f64) -> Option<(f64, f64)> {
    if slope.abs() < 1e-12 {
        return (least <= start && start <= most).then_some((0.0, 1.0));
    }
    let (a, b) = ((least - start) / slope, (most - start) / slope);
    Some((a.min(b), a.max(b)))
}

/// The part of `from..to` within `0..1`; none when nothing is, also where a number is none.
fn clipped(from: f64, to: f64) -> Option<(f64, f64)> {
    let (from, to) = (if from < 0.0 { 0.0 } else { from }, if to > 1.0 { 1.0 } else { to });
    (from < to).then_some((from, to))
}

/// Runs that overlap or lie within `gap` of each other, joined.
fn merged(mut runs: Vec<(f64, f64)>, gap: f64) -> Vec<(f64, f64)> {
    runs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for run in runs {
        match joined.last_mut() {
            Some(last) if run.0 <= last.1 + gap => last.1 = last.1.max(run.1),
            _ => joined.push(run),
        }
    }
    joined
}
