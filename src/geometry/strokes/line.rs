//! Lines in an order of their own, and the way along each.

use super::nesting::Sample;
use crate::geometry::flatten::{self, is_closed};
use kurbo::{BezPath, ParamCurve, PathEl, PathSeg, Point, Shape};
use std::cmp::Ordering;

/// Long chords are cut into pieces of about this length (mm), so that the boxes of slanting ones stay small.
const PIECE: f64 = 5.0;

/// No more pieces than this are made of long chords, whatever lengths are given.
const MOST_PIECES: f64 = 200_000.0;

/// Ways along a line that differ by less than this (mm) are the same place.
const ROUNDING: f64 = 1e-9;

/// One subpath.
pub(super) struct Line {
    /// Which of the given lines it is.
    pub index: usize,
    /// Its segments; those without length are left out, unless there are no others.
    pub segments: Vec<PathSeg>,
    /// Whether it ends where it starts.
    pub closed: bool,
    /// Its chords, in order.
    pub steps: Vec<Step>,
    /// Where each segment starts, and at last its end, in mm along the chords.
    pub nodes: Vec<f64>,
    /// Whether the line before it in the order is the same one again.
    pub again: bool,
    /// The segments, each from its smaller end, sorted: equal for equal lines, however they run.
    key: Vec<[f64; 8]>,
    /// The enclosed area, in mm²; zero for open lines.
    area: f64,
}

/// A chord of a segment.
#[derive(Clone, Copy)]
pub(super) struct Step {
    pub from: Point,
    pub to: Point,
    /// Where it starts, in mm along the chords of its line.
    pub along: f64,
    /// Which segment it is of.
    pub segment: usize,
    /// The parameter at its start.
    pub t: f64,
    /// The parameter at its end.
    pub t_end: f64,
}

impl Line {
    fn new(index: usize, path: &BezPath, piece: f64) -> Option<Self> {
        let all: Vec<PathSeg> = path.segments().collect();
        let has_length = |s: &&PathSeg| !points(s).iter().all(|p| *p == s.start());
        let mut segments: Vec<PathSeg> = all.iter().filter(has_length).copied().collect();
        if segments.is_empty() {
            segments.extend(all.first());
        }
        let mut line = Self {
            index,
            closed: is_closed(path) && !segments.is_empty(),
            steps: Vec::new(),
            nodes: vec![0.0],
            again: false,
            key: segments.iter().map(key_of).collect(),
            area: if is_closed(path) { path.area().abs() } else { 0.0 },
            segments,
        };
        line.key.sort_by(compare);
        line.walk(piece);
        (!line.segments.is_empty()).then_some(line)
    }

    fn walk(&mut self, piece: f64) {
        let mut along = 0.0;
        for (segment, curve) in self.segments.iter().enumerate() {
            let shares = shares(curve, piece);
            for pair in shares.windows(2) {
                let (from, to) = (curve.eval(pair[0]), curve.eval(pair[1]));
                self.steps.push(Step { from, to, along, segment, t: pair[0], t_end: pair[1] });
                along += from.distance(to);
            }
            self.nodes.push(along);
        }
    }

    /// Its length, in mm along its chords.
    pub fn length(&self) -> f64 {
        self.nodes.last().copied().unwrap_or(0.0)
    }

    /// Whether it is a mere dot.
    pub fn is_dot(&self) -> bool {
        self.length() <= 0.0
    }

    /// What tells where it lies.
    pub fn sample(&self) -> Sample {
        let at = |share: usize| self.segments[(self.segments.len() - 1) * share / 4].eval(0.5);
        Sample { points: [at(2), at(1), at(3)], area: self.area }
    }

    /// The point at a way along it.
    pub fn point(&self, along: f64) -> Point {
        let (segment, t) = self.place(along, true);
        self.segments[segment].eval(t)
    }

    /// The segment and parameter at a way along it; at a node the segment that `starts` there, or the one that ends.
    pub fn place(&self, along: f64, starts: bool) -> (usize, f64) {
        let is_before = |s: &Step| if starts { s.along <= along } else { s.along < along };
        let step = self.steps[self.steps.partition_point(is_before).saturating_sub(1)];
        let length = step.from.distance(step.to);
        let into = along - step.along;
        // At a node the parameter is that of the node exactly, so that a whole segment is known for one.
        if into <= ROUNDING {
            (step.segment, step.t)
        } else if into >= length - ROUNDING {
            (step.segment, step.t_end)
        } else {
            (step.segment, step.t + (step.t_end - step.t) * (into / length))
        }
    }

    /// The segments between two ways along it; whole ones as they are.
    pub fn between(&self, from: f64, to: f64) -> impl Iterator<Item = PathSeg> + '_ {
        let ((first, t), (last, t_end)) = (self.place(from, true), self.place(to, false));
        self.segments.iter().enumerate().take(last + 1).skip(first).map(move |(i, segment)| {
            let range = (if i == first { t } else { 0.0 })..(if i == last { t_end } else { 1.0 });
            // A whole segment is taken as it is: `subsegment` would work its points out anew.
            let whole = range.start <= 0.0 && range.end >= 1.0;
            if whole { *segment } else { segment.subsegment(range) }
        })
    }

    /// The order of lines that differ only in where they start and which way they run.
    fn run_order(&self, other: &Self) -> Ordering {
        let coordinates =
            |line: &Self| line.segments.iter().flat_map(points).map(|p| [p.x, p.y]).collect::<Vec<_>>();
        let (a, b) = (coordinates(self), coordinates(other));
        let pairs = a.iter().flatten().zip(b.iter().flatten()).map(|(a, b)| a.total_cmp(b));
        pairs.fold(Ordering::Equal, Ordering::then)
    }

    /// The order of lines: closed before open, long before short, then by coordinates.
    fn order(&self, other: &Self) -> Ordering {
        other
            .closed
            .cmp(&self.closed)
            .then_with(|| micrometres(other.length()).cmp(&micrometres(self.length())))
            .then_with(|| self.key.len().cmp(&other.key.len()))
            .then_with(|| {
                let pairs = self.key.iter().zip(&other.key).map(|(a, b)| compare(a, b));
                pairs.fold(Ordering::Equal, Ordering::then)
            })
    }
}

/// The lines in their order. Lines without a segment are left out.
pub(super) fn in_order(lines: &[BezPath]) -> Vec<Line> {
    let total: f64 = lines.iter().flat_map(BezPath::segments).map(|s| s.start().distance(s.end())).sum();
    let piece = PIECE.max(total / MOST_PIECES);
    let mut given: Vec<Line> =
        lines.iter().enumerate().filter_map(|(index, path)| Line::new(index, path, piece)).collect();
    // Of equal lines that run differently the same one has to come first, in whichever order they were drawn.
    given.sort_by(|a, b| a.order(b).then_with(|| a.run_order(b)));
    for i in 1..given.len() {
        given[i].again = given[i - 1].order(&given[i]) == Ordering::Equal;
    }
    given
}

/// The parameters at which a segment is cut into chords.
fn shares(segment: &PathSeg, piece: f64) -> Vec<f64> {
    let of_curve = BezPath::from_vec(vec![PathEl::MoveTo(segment.start()), segment.as_path_el()]);
    let chords = flatten::chords(&of_curve).len().saturating_sub(1).max(1);
    let of_length = (segment.start().distance(segment.end()) / piece).ceil().max(1.0) as usize;
    let count = if matches!(segment, PathSeg::Line(_)) { of_length } else { chords };
    (0..=count).map(|i| i as f64 / count as f64).collect()
}

/// The points that draw a segment.
pub(super) fn points(segment: &PathSeg) -> Vec<Point> {
    match segment {
        PathSeg::Line(l) => vec![l.p0, l.p1],
        PathSeg::Quad(q) => vec![q.p0, q.p1, q.p2],
        PathSeg::Cubic(c) => vec![c.p0, c.p1, c.p2, c.p3],
    }
}

/// The coordinates of a segment from its smaller end; those it does not have are without end.
fn key_of(segment: &PathSeg) -> [f64; 8] {
    let coordinates = |segment: &PathSeg| {
        let mut key = [f64::INFINITY; 8];
        // Zero has one sign here: `-0` is the same place.
        let flat = points(segment).into_iter().flat_map(|p| [p.x + 0.0, p.y + 0.0]);
        key.iter_mut().zip(flat).for_each(|(slot, value)| *slot = value);
        key
    };
    let (forwards, backwards) = (coordinates(segment), coordinates(&segment.reverse()));
    if compare(&backwards, &forwards) == Ordering::Less { backwards } else { forwards }
}

fn compare(a: &[f64; 8], b: &[f64; 8]) -> Ordering {
    a.iter().zip(b).map(|(a, b)| a.total_cmp(b)).fold(Ordering::Equal, Ordering::then)
}

/// Lengths are compared in whole micrometres: the same line added up the other way round is as long.
fn micrometres(length: f64) -> i64 {
    (length * 1000.0).round() as i64
}
