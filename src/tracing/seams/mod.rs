//! Seams: the lines between the areas of a drawing, as a puzzle is drawn.
//!
//! In: the ink. Out: the seams between white areas, each once, which meet at exactly shared places. Every pixel of ink is
//! given to the nearest white area (`labels`); where two areas touch is a crack (`cracks`), which is moved to the middle
//! of the ink as centre lines are. So no seam ends in the open: what parts nothing is left out and counted.
//!
//! Invariant: a seam's end is another seam's end, or a place on one's way where it has one of its points, or the rim.

mod cracks;
mod labels;

use super::areas::{Areas, areas};
use super::ink::Ink;
use super::lines::{
    Graph, LEAST_INK, Meeting, Sheet, Strand, Stroke, append, bridges_contracted, median, meetings, open_segments,
    ring_stroke, runs, settings, skeleton,
};
use super::paths::path;
use crate::raster::{Plane, distance_inside};
use cracks::cracks;
use kurbo::{PathSeg, Point, Vec2};
use labels::nearest_labels;

/// The seams of a drawing, in pixels.
#[derive(Clone, Debug, Default)]
pub struct Seams {
    /// Seams that run on smoothly where others end are one.
    pub strokes: Vec<Stroke>,
    /// White areas, what lies about the drawing among them.
    pub regions: usize,
    /// Places where three or more areas meet.
    pub junctions: usize,
    /// Seams between two such places, or the rim; and those that go round without one.
    pub edges: usize,
    /// Strokes that part nothing, and were left out.
    pub loose: Vec<Loose>,
    /// The length of the seams, in pixels, as the middles of their ink were found.
    pub length: f64,
    /// The width that half of the ink along the seams does not exceed.
    pub width: f64,
    /// Where the ink is widest, and how wide: a circle there touches paper on both sides. Where that is many times the
    /// usual width, the drawing has solids.
    pub widest: Option<(Point, f64)>,
}

/// A stroke with the same area on both sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loose {
    /// A place on it.
    pub at: Point,
    /// Its length, in pixels.
    pub length: f64,
}

/// The seams between white areas; an area of less than `least_area` (square pixels) is none. With `joined`, seams that run
/// on smoothly where others end are made one stroke, which keeps a point there.
pub fn seams(ink: &Ink, least_area: f64, joined: bool) -> Seams {
    let (width, height) = (ink.plane.width, ink.plane.height);
    let white = white_areas(ink, least_area);
    if width == 0 || height == 0 {
        return Seams::default();
    }
    let set: Vec<bool> = white.labels.iter().map(|&label| label == 0).collect();
    let distance = distance_inside(&set, width, height);
    let widest = widest(&distance);
    if white.sizes.len() < 2 {
        return Seams { widest, ..Seams::default() };
    }
    let nearest = nearest_labels(&white.labels, width);
    let mut graph = cracks(&nearest, width, &distance);
    bridges_contracted(&mut graph, &distance);
    let sheet = Sheet { ink, distance: &distance, has_free_ends: false };
    let (strands, rings) = (sheet.strands(&graph), sheet.rings(&graph));
    let mut strokes = strokes(ink, &graph, &strands, joined);
    strokes.extend(rings.iter().map(|ring| ring_stroke(ink, ring)));
    strokes.retain(|s| !s.path.elements().is_empty());
    Seams {
        strokes,
        regions: white.sizes.len() - 1,
        junctions: graph.nodes.iter().filter(|n| n.degree > 2).count(),
        edges: strands.len() + rings.len(),
        loose: loose(ink, &set, &nearest, &distance),
        length: strands.iter().map(|s| way(&s.points)).chain(rings.iter().map(|r| way(&r.points))).sum(),
        width: median(
            strands.iter().flat_map(|s| &s.widths).chain(rings.iter().flat_map(|r| &r.widths)).copied().collect(),
        )
        .unwrap_or(0.0),
        widest,
    }
}

/// The length of a chain.
fn way(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// The middle of the widest ink, and how wide it is there.
fn widest(distance: &Plane) -> Option<(Point, f64)> {
    let deeper = |best: Option<(usize, f32)>, (i, &d): (usize, &f32)| match best {
        Some((_, most)) if most >= d => best,
        _ => Some((i, d)),
    };
    let (i, depth) = distance.values.iter().enumerate().fold(None, deeper)?;
    let middle = Point::new((i % distance.width) as f64 + 0.5, (i / distance.width) as f64 + 0.5);
    // A pixel in the middle is half a pixel nearer to the edge than its distance to the nearest paper.
    (depth > 0.0).then(|| (middle, 2.0 * f64::from(depth) - 1.0))
}

/// The white areas that count, numbered anew.
fn white_areas(ink: &Ink, least_area: f64) -> Areas {
    let white: Vec<bool> = ink.plane.values.iter().map(|&v| v <= ink.threshold).collect();
    let Areas { mut labels, sizes } = areas(&white, ink.plane.width, false);
    let mut kept = vec![0];
    let mut numbers = vec![0; sizes.len()];
    for (area, &size) in sizes.iter().enumerate().skip(1) {
        if f64::from(size) >= least_area.max(LEAST_INK) {
            numbers[area] = kept.len() as u32;
            kept.push(size);
        }
    }
    for label in &mut labels {
        *label = numbers[*label as usize];
    }
    Areas { labels, sizes: kept }
}

/// An end of a seam: the way to the place where it ends, and how it goes on there.
#[derive(Clone, Default)]
struct Tip {
    way: Vec<Point>,
    direction: Option<Vec2>,
    joined: Option<(usize, usize)>,
}

fn strokes(ink: &Ink, graph: &Graph, strands: &[Strand], is_joined: bool) -> Vec<Stroke> {
    let (width, height) = (ink.plane.width as f64, ink.plane.height as f64);
    let mut tips: Vec<[Tip; 2]> = vec![<[Tip; 2]>::default(); strands.len()];
    for (node, meeting) in graph.nodes.iter().zip(meetings(graph, strands)) {
        let Some(meeting) = meeting else { continue };
        let place =
            if node.degree == 1 { meeting.at_rim(node.place, width, height) } else { meeting.shared_place() };
        for (b, branch) in meeting.branches.iter().enumerate() {
            let direction = meeting.direction(b, place);
            let joined = if is_joined { partner(&meeting, b) } else { None };
            tips[branch.end.0][branch.end.1] = Tip { way: meeting.lead(b, place, direction), direction, joined };
        }
    }
    let segments: Vec<Vec<PathSeg>> = strands.iter().zip(&tips).map(|(s, t)| seam(ink, s, t)).collect();
    let joined: Vec<[Option<(usize, usize)>; 2]> = tips.iter().map(|t| [t[0].joined, t[1].joined]).collect();
    let stroke = |run: super::lines::Run| {
        let along = run.strands.iter().flat_map(|&(s, is_backwards)| {
            let segments = segments[s].iter().copied();
            if is_backwards { segments.rev().map(|s| s.reverse()).collect::<Vec<_>>() } else { segments.collect() }
        });
        let path = path(&along.collect::<Vec<_>>(), run.is_closed);
        let widths = run.strands.iter().flat_map(|&(s, _)| strands[s].widths.iter().copied()).collect();
        let first = run.strands.first().map_or(0.5, |&(s, _)| strands[s].half_width);
        Stroke { path, width: median(widths).unwrap_or(2.0 * first) }
    };
    runs(&joined).into_iter().map(stroke).collect()
}

/// The end that a branch runs through to.
fn partner(meeting: &Meeting, branch: usize) -> Option<(usize, usize)> {
    let other = meeting.through.iter().find_map(|(i, j, _)| match branch {
        b if b == *i => Some(*j),
        b if b == *j => Some(*i),
        _ => None,
    });
    other.map(|b| meeting.branches[b].end)
}

/// Lines and curves along a seam, from where it meets others to where it does again.
fn seam(ink: &Ink, strand: &Strand, [start, end]: &[Tip; 2]) -> Vec<PathSeg> {
    let mut chain = Vec::new();
    append(&mut chain, start.way.iter().rev().copied());
    append(&mut chain, strand.points.iter().copied());
    append(&mut chain, end.way.iter().copied());
    // The places where seams meet are shared to the last bit.
    let ends = [start.way.last(), end.way.last()];
    let last = chain.len().saturating_sub(1);
    if let ([Some(&from), Some(&to)], true) = (ends, last > 0) {
        (chain[0], chain[last]) = (from, to);
    }
    let tangents = [start.direction.map(|d| -d), end.direction];
    open_segments(&chain, tangents, &settings(ink.paper, strand.half_width))
}

/// The strokes that have the same area on both sides.
fn loose(ink: &Ink, set: &[bool], nearest: &[u32], distance: &Plane) -> Vec<Loose> {
    let graph = skeleton(set, ink.plane.width, distance);
    let sheet = Sheet { ink, distance, has_free_ends: true };
    let parts_nothing = |strand: &&Strand| {
        let at = |p: Point| {
            let (x, y) =
                (p.x.clamp(0.0, distance.width as f64 - 1.0), p.y.clamp(0.0, distance.height as f64 - 1.0));
            nearest[y as usize * distance.width + x as usize]
        };
        let sides = strand.points.windows(2).filter_map(|w| {
            let along = w[1] - w[0];
            let side = Vec2::new(-along.y, along.x) * ((strand.half_width + 1.0) / along.hypot());
            side.is_finite().then(|| at(w[0] + side) == at(w[0] - side))
        });
        let (same, all) = sides.fold((0, 0), |(same, all), is_same| (same + usize::from(is_same), all + 1));
        2 * same > all
    };
    let strands = sheet.strands(&graph);
    let loose = strands.iter().filter(parts_nothing);
    loose.map(|s| Loose { at: s.points[s.points.len() / 2], length: way(&s.points) }).collect()
}
