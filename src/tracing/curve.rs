//! A smoothed stretch drawn with lines and curves.

use super::fewest::fewest;
use super::samples::{STEP, Settings};
use super::sections::Section;
use crate::geometry::smooth_curve;
use crate::units::Mm;
use kurbo::{Line, PathSeg, Point, Vec2};

/// A run of samples is tried for a line from this length on (px).
const LEAST_LINE: f64 = 14.0;

/// A line is this much shorter than its run at ends that run on (px): the curve there begins before it can be seen.
const SHRINK: f64 = 1.0;

/// How much more one-sided a run may be counted than it is before it counts as an arc.
const BOW_FACTOR: f64 = 1.5;

/// Curves this close to their chord (share of the tolerance) are lines.
const FLAT: f64 = 0.9;

/// Lines and curves along a stretch.
pub(super) fn drawn(section: &Section, settings: &Settings) -> Vec<PathSeg> {
    let points = &section.points;
    let [start, end] = section.tangents;
    let lines = lines(section, settings);
    let direction = |&(from, to): &(usize, usize)| (points[to] - points[from]).normalize();
    let mut drawn = Vec::new();
    let mut at = 0;
    let mut before = start;
    for line in &lines {
        curve(&points[at..=line.0], before, Some(direction(line)), settings, &mut drawn);
        drawn.push(Line::new(points[line.0], points[line.1]).into());
        before = Some(direction(line));
        at = line.1;
    }
    curve(&points[at..], before, end, settings, &mut drawn);
    drawn
}

fn curve(points: &[Point], start: Option<Vec2>, end: Option<Vec2>, settings: &Settings, drawn: &mut Vec<PathSeg>) {
    if points.len() < 2 {
        return;
    }
    let (first, last) = (points[0], points[points.len() - 1]);
    if points.iter().all(|p| off_chord(*p, first, last) <= FLAT * settings.tolerance)
        && (first - last).hypot() > STEP
    {
        drawn.push(Line::new(first, last).into());
        return;
    }
    drawn.extend(fitted(points, start, end, settings));
}

/// Few cubics along a smooth chain.
///
/// Along the edge of ink kurbo's fitter needs the fewest. It throws handles far off where samples are noisy, as the middles of
/// strokes are, so what it gives is looked at, and ours, which is proved to keep to its points, takes its place.
fn fitted(points: &[Point], start: Option<Vec2>, end: Option<Vec2>, settings: &Settings) -> Vec<PathSeg> {
    let finite = |v: &Vec2| v.is_finite();
    let (start, end) = (start.filter(finite), end.filter(finite));
    let is_edge = settings.stroke == 0.0;
    let found = if is_edge { fewest(points, start, end, settings.tolerance) } else { None };
    found.unwrap_or_else(|| smooth_curve(points, start, end, Mm::new(settings.tolerance)))
}

fn off_chord(p: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let length = along.hypot();
    if length == 0.0 { (p - from).hypot() } else { (p - from).cross(along).abs() / length }
}

/// The straight runs of a stretch, as ranges of its points.
fn lines(section: &Section, settings: &Settings) -> Vec<(usize, usize)> {
    let points = &section.points;
    let last = points.len() - 1;
    let least = (LEAST_LINE / STEP) as usize;
    let shrink = (SHRINK / STEP) as usize;
    let mut lines = Vec::new();
    let mut at = 0;
    while at + least <= last {
        if !is_straight(&points[at..=at + least], settings) {
            at += 2;
            continue;
        }
        let to = farthest_straight(points, at, at + least, settings);
        let is_end = |i: usize| !section.is_loop && (i == 0 || i == last);
        let from = if is_end(at) { at } else { at + shrink };
        let end = if is_end(to) { to } else { to - shrink };
        lines.push((from, end));
        at = to;
    }
    lines
}

/// The last point up to which a run from `at` is straight, which it is up to `good`: by doubling steps, then by halving.
fn farthest_straight(points: &[Point], at: usize, good: usize, settings: &Settings) -> usize {
    let last = points.len() - 1;
    let straight = |to: usize| is_straight(&points[at..=to], settings);
    let (mut good, mut step) = (good, 8);
    while good < last && straight((good + step).min(last)) {
        good = (good + step).min(last);
        step *= 2;
    }
    let mut bad = (good + step).min(last + 1);
    while good + 1 < bad {
        let middle = good.midpoint(bad);
        if straight(middle) { good = middle } else { bad = middle }
    }
    good
}

/// Whether points lie along their chord, on both sides of it: an arc lies on one.
fn is_straight(points: &[Point], settings: &Settings) -> bool {
    let (from, to) = (points[0], points[points.len() - 1]);
    let along = (to - from).normalize();
    if !along.is_finite() {
        return false;
    }
    let mut sum = 0.0;
    for p in points {
        let off = along.cross(*p - from);
        if off.abs() > settings.line {
            return false;
        }
        sum += off;
    }
    BOW_FACTOR * sum.abs() / points.len() as f64 <= settings.bow
}
