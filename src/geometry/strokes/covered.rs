//! Stretches of lines that run along what is already burned.

use super::Once;
use super::line::{Line, Step};
use crate::geometry::chords::{Chord, ChordTree};
use crate::units::Mm;
use kurbo::Rect;
use std::collections::BTreeMap;

/// Pairs of chords that are looked at, beside [`PAIRS_A_CHORD`] for each; more has only what lies on itself hundreds of
/// times. What comes after that is burned as it is.
const MOST_PAIRS: usize = 4_000_000;

/// Pairs of chords looked at for each chord.
const PAIRS_A_CHORD: usize = 64;

/// A stretch that runs along another for less than this many tolerances is left: lines meet and cross at such lengths.
const LEAST: f64 = 4.0;

/// At the end of an open line, shorter stretches (mm) are dropped too: lines that are to meet are drawn a little too
/// long.
const LEAST_AT_END: f64 = 0.002;

/// Lines that touch like a circle and its tangent keep near each other for a way that halves when the distance is
/// quartered; where lines cross at a small angle it is quartered. Between these shares of the way, they only touch.
const TOUCHING: std::ops::Range<f64> = 0.2..0.7;

/// Lines that keep near each other for longer than this (mm) do not merely touch: two arcs of half a metre's radius do
/// so for less.
const LONGEST_TOUCH: f64 = 12.0;

/// Chords whose directions differ by a greater tangent than this (27 degrees) cross; chords of one small curve differ
/// by up to 23 degrees when they are cut at different points.
const PARALLEL: f64 = 0.5;

/// From, to: in mm along a line.
type Stretch = (f64, f64);

/// What need not be burned again.
pub(super) struct Covered {
    /// For each line the stretches that are dropped, in order.
    pub stretches: Vec<Vec<Stretch>>,
    /// Each dropped stretch and the line that is burned there.
    pub once: Vec<Once>,
    /// The length dropped.
    pub saved: f64,
}

/// What a line has beside it of one other line: within the tolerance, and within a quarter of it.
#[derive(Default)]
struct Beside {
    runs: Vec<Stretch>,
    near: Vec<Stretch>,
}

/// Finds, line by line in their order, what runs along a kept stretch of an earlier line, or of itself.
pub(super) fn covered(lines: &[Line], tolerance: f64) -> Covered {
    let tree = tree(lines);
    let most = MOST_PAIRS + PAIRS_A_CHORD * tree.chords().len();
    let mut search = Search { lines, tree, tolerance, pairs: 0, most, done: Vec::with_capacity(lines.len()) };
    let mut once = Vec::new();
    let mut first = 0;
    for (number, line) in lines.iter().enumerate() {
        first = if line.again { first } else { number };
        let found = if line.again {
            let whole = (0.0, line.length());
            once.push(noted(lines, number, first, whole));
            vec![whole]
        } else if search.is_over() || line.is_dot() {
            Vec::new()
        } else {
            search.of_line(number, &mut once)
        };
        search.done.push(found);
    }
    let saved = search.done.iter().flatten().map(|(from, to)| to - from).sum();
    Covered { stretches: search.done, once, saved }
}

fn noted(lines: &[Line], dropped: usize, kept: usize, (from, to): Stretch) -> Once {
    let at = lines[dropped].point(0.5 * (from + to));
    Once { dropped: lines[dropped].index, kept: lines[kept].index, at, length: Mm::new(to - from) }
}

fn tree(lines: &[Line]) -> ChordTree {
    let chord = |(index, (subpath, s)): (usize, (usize, &Step))| Chord {
        from: s.from,
        to: s.to,
        subpath,
        along: s.along,
        index,
    };
    let unlike = lines.iter().enumerate().filter(|(_, l)| !l.again && !l.is_dot());
    let steps = unlike.flat_map(|(i, l)| l.steps.iter().map(move |s| (i, s)));
    ChordTree::new(steps.enumerate().map(chord).collect())
}

struct Search<'a> {
    lines: &'a [Line],
    tree: ChordTree,
    tolerance: f64,
    pairs: usize,
    /// How many pairs of chords are looked at.
    most: usize,
    /// What was dropped of the lines that are done.
    done: Vec<Vec<Stretch>>,
}

impl Search<'_> {
    fn is_over(&self) -> bool {
        self.pairs > self.most
    }

    fn of_line(&mut self, number: usize, once: &mut Vec<Once>) -> Vec<Stretch> {
        let line = &self.lines[number];
        let mut runs: Vec<(usize, Stretch)> = Vec::new();
        for (other, beside) in self.beside(number) {
            runs.extend(kept_runs(&beside, line, self.tolerance).into_iter().map(|run| (other, run)));
        }
        let stretches = runs.iter().map(|(_, run)| *run).collect();
        let dropped = tidied(merged(stretches, self.tolerance), line, self.tolerance);
        // Runs that are as short as nothing once they end at nodes are not dropped.
        let is_dropped = |&(from, to): &Stretch| {
            let middle = 0.5 * (from + to);
            dropped.iter().any(|d| d.0 <= middle && middle <= d.1)
        };
        let told = runs.into_iter().filter(|(_, run)| is_dropped(run));
        once.extend(told.map(|(other, run)| noted(self.lines, number, other, run)));
        dropped
    }

    /// What a line has beside it of each earlier line, and of the way it has come itself.
    fn beside(&mut self, number: usize) -> BTreeMap<usize, Beside> {
        let line = &self.lines[number];
        let mut found: BTreeMap<usize, Beside> = BTreeMap::new();
        // Of the line itself, what lies on an earlier stretch: that stretch is what is kept.
        let mut own: Vec<Stretch> = Vec::new();
        for (index, step) in line.steps.iter().enumerate() {
            // One line alone may cross itself as often as thousands.
            if self.is_over() {
                break;
            }
            let chord = Chord { from: step.from, to: step.to, subpath: number, along: step.along, index };
            let reach = Rect::from_points(step.from, step.to).inflate(self.tolerance, self.tolerance);
            let mut here = Vec::new();
            for other in self.tree.meeting(reach) {
                self.pairs += 1;
                if (other.subpath, other.along) >= (number, step.along) || !are_parallel(&chord, other) {
                    continue;
                }
                let dropped = if other.subpath == number { &own } else { &self.done[other.subpath] };
                let on = Along { chord, other: *other, line, tolerance: self.tolerance };
                let beside = found.entry(other.subpath).or_default();
                for part in kept(dropped, (other.along, other.along + other.length())) {
                    let run = on.within(part, self.tolerance);
                    here.extend(run.filter(|_| other.subpath == number));
                    beside.runs.extend(run);
                    beside.near.extend(on.within(part, self.tolerance / 4.0));
                }
            }
            // A step lies farther along than all before it, so only the last stretch can go on.
            for stretch in merged(here, 0.0) {
                match own.last_mut() {
                    Some(last) if stretch.0 <= last.1 => last.1 = last.1.max(stretch.1),
                    _ => own.push(stretch),
                }
            }
        }
        found
    }
}

fn are_parallel(a: &Chord, b: &Chord) -> bool {
    let (u, v) = (a.to - a.from, b.to - b.from);
    u.cross(v).abs() <= PARALLEL * u.dot(v).abs()
}

/// A chord beside another one.
struct Along<'a> {
    chord: Chord,
    other: Chord,
    line: &'a Line,
    tolerance: f64,
}

impl Along<'_> {
    /// The stretch of the chord that lies within a distance of a part of the other one, beside it and not beyond its
    /// ends; in mm along its line.
    fn within(&self, (from, to): Stretch, distance: f64) -> Option<Stretch> {
        let (run, side) = (self.chord.to - self.chord.from, self.other.to - self.other.from);
        let along = side / side.hypot();
        let start = self.chord.from - self.other.from;
        let part = (from - self.other.along, to - self.other.along);
        let lengthwise = slab(start.dot(along), run.dot(along), part.0, part.1)?;
        let crosswise = slab(along.cross(start), along.cross(run), -distance, distance)?;
        let (a, b) = (lengthwise.0.max(crosswise.0).max(0.0), lengthwise.1.min(crosswise.1).min(1.0));
        let length = self.chord.length();
        let stretch = (self.chord.along + a * length, self.chord.along + b * length);
        (a < b && !self.is_own_neighbour(stretch)).then_some(stretch)
    }

    /// Whether both are one stretch of a line: a point is always near what comes just before and after it. A line that
    /// comes back over itself is not meant, unless it is as small as that.
    fn is_own_neighbour(&self, (from, to): Stretch) -> bool {
        if self.chord.subpath != self.other.subpath {
            return false;
        }
        let (u, v) = (self.chord.to - self.chord.from, self.other.to - self.other.from);
        if u.dot(v) < 0.0 && self.line.length() > 2.0 * LEAST * self.tolerance {
            return false;
        }
        let way = |along: f64| {
            let near = self.other.nearest(self.line.point(along));
            let way = (along - self.other.along - self.other.from.distance(near)).abs();
            if self.line.closed { way.min(self.line.length() - way) } else { way }
        };
        way(from).min(way(to)) <= LEAST * self.tolerance
    }
}

/// Where `start + t * slope` lies between two bounds.
fn slab(start: f64, slope: f64, least: f64, most: f64) -> Option<Stretch> {
    if slope.abs() < 1e-12 {
        return (least <= start && start <= most).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    let (a, b) = ((least - start) / slope, (most - start) / slope);
    Some((a.min(b), a.max(b)))
}

/// What is left of a stretch of a line of which others are dropped.
fn kept(dropped: &[Stretch], (from, to): Stretch) -> Vec<Stretch> {
    let first = dropped.partition_point(|d| d.1 <= from);
    let mut left = Vec::new();
    let mut at = from;
    for &(start, end) in dropped[first..].iter().take_while(|d| d.0 < to) {
        if start > at {
            left.push((at, start));
        }
        at = at.max(end);
    }
    if at < to {
        left.push((at, to));
    }
    left
}

/// The runs beside another line that need not be burned.
fn kept_runs(beside: &Beside, line: &Line, tolerance: f64) -> Vec<Stretch> {
    let near = merged(beside.near.clone(), 0.0);
    let is_run = |&(from, to): &Stretch| {
        let length = to - from;
        let (at_start, at_end) = (from <= tolerance / 4.0, to >= line.length() - tolerance / 4.0);
        let is_end = !line.closed && (at_start || at_end) && length >= LEAST_AT_END;
        let inside = near[near.partition_point(|n| n.1 <= from)..].iter().take_while(|n| n.0 < to);
        let share = inside.map(|n| n.1.min(to) - n.0.max(from)).sum::<f64>() / length;
        let touches = length < LONGEST_TOUCH && TOUCHING.contains(&share);
        (length >= LEAST * tolerance || is_end) && !touches
    };
    merged(beside.runs.clone(), tolerance).into_iter().filter(is_run).collect()
}

/// Stretches that end at a node where they end near one, and that take the short stubs at the ends of the line with
/// them.
fn tidied(mut stretches: Vec<Stretch>, line: &Line, tolerance: f64) -> Vec<Stretch> {
    let snapped = |along: f64| {
        let next = line.nodes.partition_point(|n| *n < along);
        let near = [next.checked_sub(1), Some(next)].into_iter().flatten().filter_map(|i| line.nodes.get(i));
        let nearest = near.copied().min_by(|a, b| (a - along).abs().total_cmp(&(b - along).abs()));
        nearest.filter(|n| (n - along).abs() <= tolerance / 4.0).unwrap_or(along)
    };
    for stretch in &mut stretches {
        *stretch = (snapped(stretch.0), snapped(stretch.1));
    }
    if let Some(first) = stretches.first_mut().filter(|s| s.0 <= tolerance / 2.0) {
        first.0 = 0.0;
    }
    if let Some(last) = stretches.last_mut().filter(|s| line.length() - s.1 <= tolerance / 2.0) {
        last.1 = line.length();
    }
    stretches.retain(|s| s.1 > s.0);
    merged(stretches, tolerance)
}

/// Stretches that overlap or lie within `gap` of each other, joined.
fn merged(mut stretches: Vec<Stretch>, gap: f64) -> Vec<Stretch> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut joined: Vec<Stretch> = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        match joined.last_mut() {
            Some(last) if stretch.0 <= last.1 + gap => last.1 = last.1.max(stretch.1),
            _ => joined.push(stretch),
        }
    }
    joined
}

/// Where the stretches of a line that are kept lie.
pub(super) fn left_over(stretches: &[Stretch], line: &Line) -> Vec<Stretch> {
    kept(stretches, (0.0, line.length()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_of_a_stretch() {
        assert_eq!(kept(&[(1.0, 2.0), (4.0, 9.0)], (0.0, 5.0)), [(0.0, 1.0), (2.0, 4.0)]);
        assert_eq!(kept(&[(0.0, 5.0)], (1.0, 3.0)), []);
        assert_eq!(kept(&[], (1.0, 3.0)), [(1.0, 3.0)]);
    }

    #[test]
    fn a_slab_is_entered_and_left() {
        assert_eq!(slab(0.0, 2.0, 1.0, 3.0), Some((0.5, 1.5)));
        assert_eq!(slab(0.0, -2.0, -3.0, -1.0), Some((0.5, 1.5)));
        assert_eq!(slab(5.0, 0.0, 1.0, 3.0), None);
    }
}
