//! A smoothed stretch drawn with lines and curves.

use super::samples::{STEP, Settings};
use super::sections::Section;
use crate::geometry::smooth_curve;
use crate::units::Mm;
use kurbo::simplify::SimplifyBezPath;
use kurbo::{BezPath, Line, ParamCurve, PathSeg, Point, Vec2, fit_to_bezpath};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// A run of samples is tried for a line from this length on (px).
const LEAST_LINE: f64 = 14.0;

/// A line is this much shorter than its run at ends that run on (px): the curve there begins before it can be seen.
const SHRINK: f64 = 1.0;

/// How much more one-sided a run may be counted than it is before it counts as an arc.
const BOW_FACTOR: f64 = 1.5;

/// A fit whose control polygon is this many times as long as the way along the samples has gone astray.
const LONGEST_HANDLES: f64 = 1.6;

/// Pairs of segments and points that are compared at most; what would need more is fitted by ours.
const MOST_COMPARED: usize = 4_000_000;

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

/// What kurbo's fitter gives, if it keeps to the points.
fn fewest(points: &[Point], start: Option<Vec2>, end: Option<Vec2>, tolerance: f64) -> Option<Vec<PathSeg>> {
    let through = hermite(points, start, end);
    // A debug build of it panics on the way to a wild curve.
    let fit = AssertUnwindSafe(|| fit_to_bezpath(&SimplifyBezPath::new(through), tolerance));
    let segments: Vec<PathSeg> = catch_unwind(fit).ok()?.segments().collect();
    let handles: f64 = segments.iter().map(polygon).sum();
    let way: f64 = points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum();
    let keeps = handles.is_finite() && handles <= LONGEST_HANDLES * way + 2.0;
    (keeps && segments.len() * points.len() <= MOST_COMPARED && !strays(&segments, points, tolerance))
        .then_some(segments)
}

/// Whether a segment lies farther from the points than steps and tolerance explain.
fn strays(segments: &[PathSeg], points: &[Point], tolerance: f64) -> bool {
    let most = 3.0 * tolerance + STEP;
    let is_near = |p: Point| points.iter().any(|q| (*q - p).hypot2() <= most * most);
    segments.iter().any(|s| [0.25, 0.5, 0.75].into_iter().any(|t| !is_near(s.eval(t))))
}

/// The length of a segment's control polygon.
fn polygon(segment: &PathSeg) -> f64 {
    let c = segment.to_cubic();
    (c.p1 - c.p0).hypot() + (c.p2 - c.p1).hypot() + (c.p3 - c.p2).hypot()
}

/// A smooth curve through every point (cubic Hermite, tangents from the neighbours).
fn hermite(points: &[Point], start: Option<Vec2>, end: Option<Vec2>) -> BezPath {
    let last = points.len() - 1;
    let tangent = |i: usize| match i {
        0 => start.map_or(points[1] - points[0], |d| d * (points[1] - points[0]).hypot()),
        _ if i == last => end.map_or(points[i] - points[i - 1], |d| d * (points[i] - points[i - 1]).hypot()),
        _ => (points[i + 1] - points[i - 1]) / 2.0,
    };
    let mut path = BezPath::new();
    path.move_to(points[0]);
    for i in 1..=last {
        path.curve_to(points[i - 1] + tangent(i - 1) / 3.0, points[i] - tangent(i) / 3.0, points[i]);
    }
    path
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
