//! Lines that cross themselves: small loops, which are slips of the pen, and outlines that wind over themselves.

use super::Place;
use crate::geometry::{Crossing, Drawing, FillRule, Line, Region, crossings, is_closed};
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, ParamCurveNearest, PathEl, PathSeg, Point, Rect, Shape};
use rayon::prelude::*;

/// A line may lie this far (mm) from where its chords cross.
const NEAR: f64 = 0.006;

/// Lengths of curves are worked out to this (mm).
const LENGTH_ACCURACY: f64 = 1e-4;

/// Curves are looked at in so many stretches: a curve that crosses itself passes a place twice.
const STRETCHES: usize = 8;

/// Loops in loops take a round each; after so many rounds the rest is left.
const MOST_ROUNDS: usize = 8;

/// Where the lines cross themselves in a loop of at most `longest`.
pub(super) fn look(drawing: &Drawing, longest: Mm) -> Vec<Place> {
    let of_line = |line: &Line| small(&line.path, longest).into_iter().filter_map(|c| place(&c)).collect();
    let found: Vec<Vec<Place>> = drawing.lines.par_iter().map(of_line).collect();
    found.concat()
}

fn place(crossing: &Crossing) -> Option<Place> {
    Some(Place { at: crossing.at, size: crossing.loop_length? })
}

fn own_crossings(path: &BezPath) -> Vec<Crossing> {
    let mut found = crossings(std::slice::from_ref(path)).places;
    found.retain(|c| c.passes);
    found
}

/// The crossings whose loop is at most so long, the smallest first.
fn small(path: &BezPath, longest: Mm) -> Vec<Crossing> {
    let mut found = own_crossings(path);
    found.retain(|c| c.loop_length.is_some_and(|l| l <= longest));
    found.sort_by(|a, b| {
        a.loop_length.map(Mm::get).partial_cmp(&b.loop_length.map(Mm::get)).unwrap_or(std::cmp::Ordering::Equal)
    });
    found
}

/// Cuts loops of at most `longest` off all lines.
pub(super) fn cut_off(drawing: &mut Drawing, longest: Mm) -> Vec<Place> {
    let cut: Vec<Vec<Place>> =
        drawing.lines.par_iter_mut().map(|line| without_loops(&mut line.path, longest)).collect();
    cut.concat()
}

fn without_loops(path: &mut BezPath, longest: Mm) -> Vec<Place> {
    let mut cut = Vec::new();
    for _ in 0..MOST_ROUNDS {
        let found = small(path, longest);
        if found.is_empty() {
            break;
        }
        let way = Way::of(path);
        let mut loops: Vec<Stretch> = Vec::new();
        for crossing in &found {
            let Some(stretch) = way.loop_at(crossing) else { continue };
            if loops.iter().all(|other| !other.meets(&stretch)) {
                loops.push(stretch);
                cut.extend(place(crossing));
            }
        }
        if loops.is_empty() {
            break;
        }
        loops.sort_by(|a, b| a.from.along.total_cmp(&b.from.along));
        *path = way.without(&loops);
    }
    cut
}

/// A place on a path.
#[derive(Clone, Copy, Debug)]
struct OnPath {
    segment: usize,
    t: f64,
    /// In mm along the path.
    along: f64,
}

/// From one place of a path to a later one; a loop through the start of a closed path is all but the stretch.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    from: OnPath,
    to: OnPath,
    through_start: bool,
}

impl Stretch {
    /// Whether two loops have anything in common. One through the start is cut alone.
    fn meets(&self, other: &Self) -> bool {
        let apart = self.to.along <= other.from.along || other.to.along <= self.from.along;
        self.through_start || other.through_start || !apart
    }
}

/// A path as segments, with the way to the start of each.
struct Way {
    segments: Vec<PathSeg>,
    boxes: Vec<Rect>,
    starts: Vec<f64>,
    length: f64,
    closed: bool,
}

impl Way {
    fn of(path: &BezPath) -> Self {
        let segments: Vec<PathSeg> = path.segments().collect();
        let mut length = 0.0;
        let mut starts = Vec::with_capacity(segments.len());
        for segment in &segments {
            starts.push(length);
            length += segment.arclen(LENGTH_ACCURACY);
        }
        let boxes = segments.iter().map(|s| s.bounding_box().inflate(NEAR, NEAR)).collect();
        Self { segments, boxes, starts, length, closed: is_closed(path) }
    }

    /// The places at which the path passes a point.
    fn passes(&self, at: Point) -> Vec<OnPath> {
        let mut found: Vec<OnPath> = Vec::new();
        for (segment, curve) in self.segments.iter().enumerate().filter(|(i, _)| self.boxes[*i].contains(at)) {
            let count = if matches!(curve, PathSeg::Line(_)) { 1 } else { STRETCHES };
            for i in 0..count {
                let (from, to) = (i as f64 / count as f64, (i + 1) as f64 / count as f64);
                let nearest = curve.subsegment(from..to).nearest(at, 1e-9);
                if nearest.distance_sq > NEAR * NEAR {
                    continue;
                }
                let t = from + (to - from) * nearest.t;
                let along = self.starts[segment] + curve.subsegment(0.0..t).arclen(LENGTH_ACCURACY);
                if found.last().is_none_or(|last| along - last.along > 2.0 * NEAR) {
                    found.push(OnPath { segment, t, along });
                }
            }
        }
        found
    }

    /// The loop that a crossing closes: of the passes through its place the two that are as far apart as it says.
    fn loop_at(&self, crossing: &Crossing) -> Option<Stretch> {
        let wanted = crossing.loop_length?.get();
        let passes = self.passes(crossing.at);
        let mut best: Option<(f64, Stretch)> = None;
        for (i, &from) in passes.iter().enumerate() {
            for &to in &passes[i + 1..] {
                let inside = to.along - from.along;
                let mut judge = |length: f64, through_start: bool| {
                    let miss = (length - wanted).abs();
                    if best.is_none_or(|(least, _)| miss < least) {
                        best = Some((miss, Stretch { from, to, through_start }));
                    }
                };
                judge(inside, false);
                if self.closed {
                    judge(self.length - inside, true);
                }
            }
        }
        best.map(|(_, stretch)| stretch)
    }

    /// The path without its loops, which lie apart, in their order.
    fn without(&self, loops: &[Stretch]) -> BezPath {
        let start = OnPath { segment: 0, t: 0.0, along: 0.0 };
        let end = OnPath { segment: self.segments.len() - 1, t: 1.0, along: self.length };
        if let Some(only) = loops.iter().find(|l| l.through_start) {
            return self.path(&[(only.from, only.to)]);
        }
        let mut kept = Vec::new();
        let mut from = start;
        for stretch in loops {
            kept.push((from, stretch.from));
            from = stretch.to;
        }
        kept.push((from, end));
        self.path(&kept)
    }

    fn path(&self, kept: &[(OnPath, OnPath)]) -> BezPath {
        let mut path = BezPath::new();
        for &(from, to) in kept {
            for segment in from.segment..=to.segment {
                let low = if segment == from.segment { from.t } else { 0.0 };
                let high = if segment == to.segment { to.t } else { 1.0 };
                if low >= high {
                    continue;
                }
                let whole = low <= 0.0 && high >= 1.0;
                let curve = self.segments[segment];
                let curve = if whole { curve } else { curve.subsegment(low..high) };
                if path.elements().is_empty() {
                    path.move_to(curve.start());
                }
                path.push(curve.as_path_el());
            }
        }
        if self.closed {
            close(&mut path);
        }
        path
    }
}

/// Closes a path, without a line back to its start that has no length.
fn close(path: &mut BezPath) {
    let start = path.elements().first().and_then(PathEl::end_point);
    if let (Some(PathEl::LineTo(end)), Some(start)) = (path.elements().last().copied(), start)
        && end.distance(start) < 1e-9
    {
        path.pop();
    }
    path.close_path();
}

/// Turns closed lines that cross themselves into the outline of what they wind about.
pub(super) fn resolve(drawing: &mut Drawing) -> Vec<Place> {
    let (mut places, mut lines) = (Vec::new(), Vec::with_capacity(drawing.lines.len()));
    for line in &drawing.lines {
        let found = if is_closed(&line.path) { own_crossings(&line.path) } else { Vec::new() };
        match Region::from_path(&line.path, FillRule::NonZero) {
            Ok(region) if !found.is_empty() && !region.is_empty() => {
                lines.extend(region.contours().iter().map(|c| Line { path: c.clone(), ..line.clone() }));
                places.extend(found.iter().filter_map(place));
            }
            _ => lines.push(line.clone()),
        }
    }
    drawing.lines = lines;
    places
}
