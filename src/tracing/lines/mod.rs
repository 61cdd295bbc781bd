//! Centre lines: a drawing made of strokes, as the strokes that a pen would draw again.
//!
//! In: the ink. Out: one path for each stroke, along its middle, and its width. Steps, in reading order: `thin` makes the
//! ink chains of pixels, `graph` finds where they meet, `prune` and `bridges` take flaws away; `middle` moves them to the
//! middle of the ink, `ends` and `junction` say where strokes end and meet; `chains` joins and draws them.
//!
//! Invariant: time and memory grow with the picture and not with the square of anything in it.

mod thin;
mod graph;
mod prune;
mod bridges;
mod middle;
mod ends;
mod strands;
mod junction;
mod chains;

pub(super) use bridges::bridges_contracted;
pub(super) use chains::{Run, append, open_segments, runs, settings};
pub(super) use graph::{Graph, graph, radius};
pub(super) use junction::{Meeting, meeting};
pub(super) use prune::pruned;
pub(super) use strands::{Ring, Sheet, Strand, median};
pub(super) use thin::thinned;

use super::areas::{Areas, areas};
use super::ink::Ink;
use crate::raster::{Plane, distance_inside};
use chains::{closed_stroke, open_stroke};
use kurbo::{BezPath, Point, Vec2};
use rayon::prelude::*;

/// Ink of fewer pixels is a speck, whatever was asked for.
pub(super) const LEAST_INK: f64 = 9.0;

/// White of fewer pixels in the ink is a pinhole, whatever was asked for.
const LEAST_HOLE: f64 = 4.0;

/// Ink that reaches no farther from its middle than so many times its half width, and a pixel, is a dot,
const DOT_REACH: f64 = 1.35;

/// if it has no more area than so many times its half width squared; half a pixel is added, which counting leaves out.
const DOT_AREA: f64 = 3.5;

/// One stroke of a drawing.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// Its middle: one subpath, open or closed, in pixels.
    pub path: BezPath,
    /// The median of its width as drawn, in pixels.
    pub width: f64,
}

/// A spot that is no stroke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dot {
    /// In pixels.
    pub middle: Point,
    /// In pixels.
    pub radius: f64,
}

/// The strokes of a drawing, in pixels.
#[derive(Clone, Debug, Default)]
pub struct CentreLines {
    /// Each ends where it meets another that runs through.
    pub strokes: Vec<Stroke>,
    /// Compact spots.
    pub dots: Vec<Dot>,
    /// The middles of specks that were left out.
    pub specks: Vec<Point>,
    /// The width that half of all strokes do not exceed, and the one that nine in ten do not, along their length. Where they
    /// differ by more than 1.6 times the drawing has solids, which outlines suit better.
    pub widths: (f64, f64),
}

/// The centre lines of the ink; ink of less than `least_area` (square pixels) is left out, and white of less filled.
pub fn centre_lines(ink: &Ink, least_area: f64) -> CentreLines {
    let (width, height) = (ink.plane.width, ink.plane.height);
    if width == 0 || height == 0 {
        return CentreLines::default();
    }
    let mut set = inked(ink, least_area);
    let found = areas(&set, width, true);
    let blots = blots(&found, width);
    let is_speck = |b: &Blot| f64::from(b.count) < least_area.max(LEAST_INK);
    let distance = distance_inside(&set, width, height);
    let kinds = kinds(&found, &blots, &distance, is_speck);
    set.iter_mut().zip(&found.labels).for_each(|(s, &label)| *s &= kinds[label as usize] == Kind::Strokes);
    let of_kind = |kind: Kind| blots.iter().zip(&kinds[1..]).filter(move |(_, k)| **k == kind).map(|(b, _)| b);
    let dots = of_kind(Kind::Dot).map(Blot::dot).collect();
    let specks = of_kind(Kind::Speck).map(Blot::middle).collect();
    drop(found);
    let graph = skeleton(&set, width, &distance);
    let sheet = Sheet { ink, distance: &distance, has_free_ends: true };
    let (strands, rings) = (sheet.strands(&graph), sheet.rings(&graph));
    let mut widths: Vec<f64> =
        strands.iter().flat_map(|s| s.widths.clone()).chain(rings.iter().flat_map(|r| r.widths.clone())).collect();
    let widths = (quantile(&mut widths, 0.5), quantile(&mut widths, 0.9));
    let mut strokes = strokes(ink, &graph, &strands);
    strokes.extend(rings.iter().map(|ring| ring_stroke(ink, ring)));
    strokes.retain(|s| !s.path.elements().is_empty());
    CentreLines { strokes, dots, specks, widths }
}

/// What is ink, pinholes filled.
fn inked(ink: &Ink, least_area: f64) -> Vec<bool> {
    let white: Vec<bool> = ink.plane.values.iter().map(|&v| v <= ink.threshold).collect();
    let holes = areas(&white, ink.plane.width, false);
    let is_hole = |label: u32| f64::from(holes.sizes[label as usize]) < least_area.max(LEAST_HOLE);
    holes.labels.iter().map(|&label| label == 0 || is_hole(label)).collect()
}

/// The graph of the strokes of some ink, flaws taken away.
pub(super) fn skeleton(set: &[bool], width: usize, distance: &Plane) -> Graph {
    let mut graph = graph(&thinned(set, width), distance);
    pruned(&mut graph);
    bridges_contracted(&mut graph, distance);
    graph
}

/// Ink that hangs together.
#[derive(Clone, Copy, Default)]
struct Blot {
    count: u32,
    /// The sum of the places of its pixels.
    sum: Vec2,
}

impl Blot {
    fn middle(&self) -> Point {
        (self.sum / f64::from(self.count)).to_point()
    }

    fn dot(&self) -> Dot {
        Dot { middle: self.middle(), radius: (f64::from(self.count) / std::f64::consts::PI).sqrt() }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Strokes,
    Dot,
    Speck,
}

fn pixel(i: usize, width: usize) -> Point {
    Point::new((i % width) as f64 + 0.5, (i / width) as f64 + 0.5)
}

/// The areas' sizes and middles.
fn blots(found: &Areas, width: usize) -> Vec<Blot> {
    let mut blots: Vec<Blot> = found.sizes[1..].iter().map(|&count| Blot { count, sum: Vec2::ZERO }).collect();
    for (i, &label) in found.labels.iter().enumerate().filter(|(_, l)| **l > 0) {
        blots[label as usize - 1].sum += pixel(i, width).to_vec2();
    }
    blots
}

/// What each area is, area 0 included.
fn kinds(found: &Areas, blots: &[Blot], distance: &Plane, is_speck: impl Fn(&Blot) -> bool) -> Vec<Kind> {
    let mut widest = vec![0.0_f64; found.sizes.len()];
    let mut farthest = vec![0.0_f64; found.sizes.len()];
    for (i, &label) in found.labels.iter().enumerate().filter(|(_, l)| **l > 0) {
        let area = label as usize;
        let off = (pixel(i, distance.width) - blots[area - 1].middle()).hypot();
        farthest[area] = farthest[area].max(off);
        widest[area] = widest[area].max(f64::from(distance.values[i]) - 0.5);
    }
    let kind = |area: usize| {
        let (blot, r) = (&blots[area - 1], widest[area]);
        let is_compact =
            farthest[area] < DOT_REACH * r + 1.0 && f64::from(blot.count) < DOT_AREA * (r + 0.5) * (r + 0.5);
        match () {
            () if is_speck(blot) => Kind::Speck,
            () if is_compact => Kind::Dot,
            () => Kind::Strokes,
        }
    };
    std::iter::once(Kind::Strokes).chain((1..found.sizes.len()).map(kind)).collect()
}

fn quantile(values: &mut [f64], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = ((values.len() - 1) as f64 * share) as usize;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

/// For each node its meeting, if strands end there.
pub(super) fn meetings(graph: &Graph, strands: &[Strand]) -> Vec<Option<Meeting>> {
    let mut ends: Vec<Vec<(usize, usize)>> = vec![Vec::new(); graph.nodes.len()];
    for (s, strand) in strands.iter().enumerate() {
        (0..2).for_each(|end| ends[strand.ends[end].unwrap_or(0)].extend(strand.ends[end].map(|_| (s, end))));
    }
    let all = graph.nodes.par_iter().zip(&ends);
    all.map(|(node, ends)| (!ends.is_empty()).then(|| meeting(node, ends, strands))).collect()
}

/// What an end of a strand goes on with: a way to another strand or to the place where it ends, and that other end.
#[derive(Clone, Default)]
struct Tip {
    way: Vec<Point>,
    joined: Option<(usize, usize)>,
}

fn strokes(ink: &Ink, graph: &Graph, strands: &[Strand]) -> Vec<Stroke> {
    let mut tips: Vec<[Tip; 2]> = vec![<[Tip; 2]>::default(); strands.len()];
    for meeting in meetings(graph, strands).iter().flatten() {
        for (i, j, way) in &meeting.through {
            let (a, b) = (meeting.branches[*i].end, meeting.branches[*j].end);
            tips[a.0][a.1] = Tip { way: way.clone(), joined: Some(b) };
            tips[b.0][b.1] = Tip { way: way.iter().rev().copied().collect(), joined: Some(a) };
        }
        for (b, branch) in meeting.branches.iter().enumerate().filter(|(b, _)| !meeting.runs_through(*b)) {
            let way = meeting.lead(b, meeting.foot(b), None);
            tips[branch.end.0][branch.end.1] = Tip { way, joined: None };
        }
    }
    let joined: Vec<[Option<(usize, usize)>; 2]> = tips.iter().map(|t| [t[0].joined, t[1].joined]).collect();
    runs(&joined).par_iter().map(|run| stroke(ink, run, strands, &tips)).collect()
}

/// The stroke along a run of strands.
fn stroke(ink: &Ink, run: &Run, strands: &[Strand], tips: &[[Tip; 2]]) -> Stroke {
    let mut chain = Vec::new();
    for (k, &(s, is_backwards)) in run.strands.iter().enumerate() {
        let (entry, exit) = if is_backwards { (1, 0) } else { (0, 1) };
        if k == 0 && !run.is_closed {
            append(&mut chain, tips[s][entry].way.iter().rev().copied());
        }
        let points = strands[s].points.iter().copied();
        if is_backwards {
            append(&mut chain, points.rev());
        } else {
            append(&mut chain, points);
        }
        append(&mut chain, tips[s][exit].way.iter().copied());
    }
    let widths = run.strands.iter().flat_map(|&(s, _)| strands[s].widths.iter().copied()).collect();
    let half_width = run.strands.first().map_or(0.5, |&(s, _)| strands[s].half_width);
    let width = median(widths).unwrap_or(2.0 * half_width);
    let settings = settings(ink.paper, width / 2.0);
    let path = if run.is_closed { closed_stroke(&chain, &settings) } else { open_stroke(&chain, &settings) };
    Stroke { path, width }
}

pub(super) fn ring_stroke(ink: &Ink, ring: &Ring) -> Stroke {
    let path = closed_stroke(&ring.points, &settings(ink.paper, ring.half_width));
    Stroke { path, width: 2.0 * ring.half_width }
}
