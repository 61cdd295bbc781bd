//! Strands chained into strokes, and strokes drawn.

use super::super::corners::{corners, open_corners};
use super::super::curve::drawn;
use super::super::ink::Paper;
use super::super::paths::{closed, merged, path};
use super::super::samples::{STEP, Settings, resampled, resampled_open};
use super::super::sections::{open_sections, sections};
use kurbo::{BezPath, PathSeg, Point, Vec2};

/// Curves may lie at least this far from the middles that were read (px): they are no more certain.
const LEAST_TOLERANCE: f64 = 0.3;

/// Strands that follow each other, each with whether it is gone along backwards.
pub(in crate::tracing) struct Run {
    /// The strands.
    pub strands: Vec<(usize, bool)>,
    /// Whether the last is joined to the first.
    pub is_closed: bool,
}

/// Every strand in one run; `joined` holds for both ends of each strand the end that it is joined to.
pub(in crate::tracing) fn runs(joined: &[[Option<(usize, usize)>; 2]]) -> Vec<Run> {
    let mut taken = vec![false; joined.len()];
    let mut runs = Vec::new();
    for start in 0..joined.len() {
        for backwards in [false, true] {
            if !taken[start] && joined[start][usize::from(backwards)].is_none() {
                runs.push(run(joined, start, backwards, &mut taken));
            }
        }
    }
    for start in 0..joined.len() {
        if !taken[start] {
            runs.push(Run { is_closed: true, ..run(joined, start, false, &mut taken) });
        }
    }
    runs
}

fn run(joined: &[[Option<(usize, usize)>; 2]], start: usize, backwards: bool, taken: &mut [bool]) -> Run {
    let mut strands = Vec::new();
    let mut next = Some((start, usize::from(backwards)));
    while let Some((strand, entry)) = next
        && !taken[strand]
    {
        taken[strand] = true;
        strands.push((strand, entry == 1));
        next = joined[strand][1 - entry];
    }
    Run { strands, is_closed: false }
}

/// What counts as what along the middle of a stroke.
pub(in crate::tracing) fn settings(paper: Paper, half_width: f64) -> Settings {
    let edge = paper.settings();
    let skip = (0.7 * half_width).max(1.5);
    let reach = skip + (1.5 * half_width).max(6.0);
    Settings { skip, reach, tolerance: edge.tolerance.max(LEAST_TOLERANCE), stroke: half_width.max(0.5), ..edge }
}

/// Lines and curves along the middle of an open stroke; `tangents` are its directions at its ends, where they are known.
pub(in crate::tracing) fn open_segments(
    points: &[Point],
    tangents: [Option<Vec2>; 2],
    settings: &Settings,
) -> Vec<PathSeg> {
    let samples = resampled_open(points);
    if samples.len() < 2 || points.len() < 2 {
        return Vec::new();
    }
    let corners = open_corners(&samples, settings);
    let sections = open_sections(&samples, &corners, tangents, settings);
    merged(sections.iter().flat_map(|s| drawn(s, settings)).collect(), settings)
}

/// An open stroke.
pub(in crate::tracing) fn open_stroke(points: &[Point], settings: &Settings) -> BezPath {
    path(&open_segments(points, [None, None], settings), false)
}

/// A closed stroke, from samples of which the first is not repeated.
pub(in crate::tracing) fn closed_stroke(points: &[Point], settings: &Settings) -> BezPath {
    if points.len() < 3 {
        return BezPath::new();
    }
    let samples = resampled(points);
    let corners = corners(&samples, settings);
    let sections = sections(&samples, &corners, settings);
    closed(sections.iter().flat_map(|s| drawn(s, settings)).collect(), settings)
}

/// Appends places to a chain, without those that repeat its last one.
pub(in crate::tracing) fn append(chain: &mut Vec<Point>, points: impl Iterator<Item = Point>) {
    for p in points {
        if chain.last().is_none_or(|last| (p - *last).hypot() > STEP / 50.0) {
            chain.push(p);
        }
    }
}
