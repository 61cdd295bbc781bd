//! Rings drawn again with the curves that their chords come from.

use super::sources::{Origin, Source, Sources, Trace};
use crate::geometry::flatten::Place;
use crate::geometry::grid::{self, Node};
use kurbo::{BezPath, ParamCurve, ParamCurveDeriv, PathEl, PathSeg, Point, Vec2};

/// Curves that are cut short meet this near (mm) to the node that their chords met in, or in the node itself.
const NEAR_NODE: f64 = 0.01;

/// Two curves have met when they come this near to each other (mm).
const MET: f64 = 1e-9;

/// Parameters nearer to an end of a segment than this are that end.
const AT_END: f64 = 1e-9;

/// Edges of a ring that follow one source.
struct Run {
    /// The first and the last of them, where they are known to come from somewhere.
    origin: Option<(Origin, Origin)>,
    /// How many chords of the source they run along.
    span: f64,
    /// The node it ends in.
    end: Point,
}

/// A ring as a closed contour.
///
/// Of lines alone it is drawn from node to node on the lattice, where it is known to be sound.
pub(super) fn contour(ring: &[Node], trace: &Trace) -> BezPath {
    let sources = trace.sources;
    if !sources.any_curved {
        return grid::path_of(ring);
    }
    let origins = trace.origins(ring);
    let runs = runs(ring, &origins, sources);
    if let [Run { origin: Some((first, last)), .. }] = runs[..]
        && sources.continues(&last, &first)
        && sources.source(&first).is_curved()
    {
        return closed(whole(&first, sources));
    }
    let mut drawn: Vec<Vec<PathSeg>> = runs.iter().map(|run| segments(run, sources)).collect();
    if drawn.iter().flatten().all(|s| matches!(s, PathSeg::Line(_))) {
        return grid::path_of(ring);
    }
    join(&mut drawn, &runs);
    closed(drawn.into_iter().flatten().collect())
}

/// The edges of a ring gathered to runs, each as long as can be; the first starts where none goes on.
fn runs(ring: &[Node], origins: &[Vec<Origin>], sources: &Sources) -> Vec<Run> {
    let count = ring.len();
    let goes_on = |i: usize| {
        let before = &origins[(i + count - 1) % count];
        origins[i].iter().any(|o| before.iter().any(|b| sources.continues(b, o)))
    };
    let start = (0..count).find(|&i| !goes_on(i)).unwrap_or(0);
    let mut runs: Vec<Run> = Vec::new();
    for step in 0..count {
        let i = (start + step) % count;
        let end = ring[(i + 1) % count].point();
        let last = runs.last_mut().filter(|_| step > 0);
        let next = last
            .as_ref()
            .and_then(|run| run.origin)
            .and_then(|(_, last)| origins[i].iter().find(|o| sources.continues(&last, o)).copied());
        if let (Some(run), Some(next)) = (last, next) {
            run.end = end;
            run.span += next.span(sources.source(&next).count());
            run.origin = run.origin.map(|(first, _)| (first, next));
        } else {
            let origin = farthest(i, count, origins, sources);
            let span = origin.map_or(0.0, |o| o.span(sources.source(&o).count()));
            runs.push(Run { origin: origin.map(|o| (o, o)), span, end });
        }
    }
    runs
}

/// Of the origins of an edge, the one that is followed farthest from there.
fn farthest(i: usize, count: usize, origins: &[Vec<Origin>], sources: &Sources) -> Option<Origin> {
    let follow = |origin: &Origin| {
        let mut last = *origin;
        let mut length = 0;
        while length < count {
            let next = origins[(i + length + 1) % count].iter().find(|o| sources.continues(&last, o));
            let Some(next) = next else { break };
            last = *next;
            length += 1;
        }
        length
    };
    match origins[i][..] {
        [] => None,
        [only] => Some(only),
        // The first of equals: sources have an order of their own.
        _ => origins[i].iter().rev().max_by_key(|o| follow(o)).copied(),
    }
}

/// All segments of a source, the way an origin runs.
fn whole(origin: &Origin, sources: &Sources) -> Vec<PathSeg> {
    let segments = sources.source(origin).segments.iter();
    if origin.forwards { segments.copied().collect() } else { segments.rev().map(PathSeg::reverse).collect() }
}

/// The stretch of a source that a run follows; a line where it comes from nowhere, with its start still to be set.
fn segments(run: &Run, sources: &Sources) -> Vec<PathSeg> {
    let followed = run.origin.map(|(first, last)| {
        let source = sources.source(&first);
        let (from, to) = if first.forwards { (first.from, last.to) } else { (last.to, first.from) };
        // Rounding may have put the end of a short run before its start: it does not go all the way round.
        let count = source.count() as f64;
        let is_short = (to - from).rem_euclid(count) - run.span > 0.5 * count;
        let segments = if is_short { Vec::new() } else { stretch(source, from, to, run.span) };
        if first.forwards { segments } else { segments.into_iter().rev().map(|s| s.reverse()).collect() }
    });
    followed.filter(|s| !s.is_empty()).unwrap_or_else(|| vec![kurbo::Line::new(run.end, run.end).into()])
}

/// The segments of a source from one place to another, in chords; `span` chords lie between them.
fn stretch(source: &Source, from: f64, to: f64, span: f64) -> Vec<PathSeg> {
    let (from, to) = (place(source, from), place(source, to));
    let count = source.segments.len();
    let ahead = (to.segment, to.t) > (from.segment, from.t);
    let last = if ahead || span == 0.0 { to.segment } else { to.segment + count };
    let mut found = Vec::new();
    for i in from.segment..=last {
        let segment = source.segments[i % count];
        let start = if i == from.segment { from.t } else { 0.0 };
        let end = if i == last { to.t } else { 1.0 };
        if end - start > 1.0 - 2.0 * AT_END {
            found.push(segment);
        } else if end - start > AT_END {
            found.push(segment.subsegment(start..end));
        }
    }
    found
}

/// The place on the segments that lies so many chords along a source.
fn place(source: &Source, along: f64) -> Place {
    let count = source.count();
    let i = along as usize % count;
    let (here, next) = (source.places[i], source.places[(i + 1) % count]);
    let end = if next.segment == here.segment && next.t > here.t { next.t } else { 1.0 };
    let t = here.t + (end - here.t) * along.fract();
    Place { segment: here.segment, t: if t > 1.0 - AT_END { 1.0 } else { t } }
}

/// Makes runs end where the next ones start: where their curves cross, if that is near the node, or else in the node.
fn join(drawn: &mut [Vec<PathSeg>], runs: &[Run]) {
    let count = drawn.len();
    for i in 0..count {
        let next = (i + 1) % count;
        let node = runs[i].end;
        let (before, after) = (drawn[i].last().copied(), drawn[next].first().copied());
        let (Some(before), Some(after)) = (before, after) else { continue };
        let is_known = runs[i].origin.is_some() && runs[next].origin.is_some();
        let met = if is_known { meeting(before, after, node) } else { None };
        let at = met.unwrap_or_else(|| {
            if runs[i].origin.is_some() { near(before.end(), node) } else { near(after.start(), node) }
        });
        if let Some(last) = drawn[i].last_mut() {
            *last = ended(*last, at);
        }
        if let Some(first) = drawn[next].first_mut() {
            *first = ended(first.reverse(), at).reverse();
        }
    }
}

/// The end that a curve has by itself, if it is the node but for rounding.
fn near(end: Point, node: Point) -> Point {
    if end.distance(node) <= 2e-4 { end } else { node }
}

/// A segment that ends elsewhere, its last handle moved along.
fn ended(segment: PathSeg, at: Point) -> PathSeg {
    match segment {
        PathSeg::Line(mut line) => {
            line.p1 = at;
            line.into()
        }
        PathSeg::Quad(mut quad) => {
            quad.p2 = at;
            quad.into()
        }
        PathSeg::Cubic(mut cubic) => {
            cubic.p2 += at - cubic.p3;
            cubic.p3 = at;
            cubic.into()
        }
    }
}

/// Where the end of one curve and the start of another cross (Newton's method in both parameters); `None` when they do
/// not near the node.
fn meeting(before: PathSeg, after: PathSeg, node: Point) -> Option<Point> {
    let (mut s, mut t) = (1.0, 0.0);
    for _ in 0..8 {
        let (p, q) = (before.eval(s), after.eval(t));
        let gap = q - p;
        if gap.hypot() <= MET {
            return (p.distance(node) <= NEAR_NODE).then_some(p);
        }
        let (u, v) = (speed(before, s), speed(after, t));
        let area = u.cross(v);
        if area.abs() <= 1e-3 * u.hypot() * v.hypot() {
            return None;
        }
        s += gap.cross(v) / area;
        t += gap.cross(u) / area;
        if !(-0.5..=1.5).contains(&s) || !(-0.5..=1.5).contains(&t) {
            return None;
        }
    }
    None
}

fn speed(segment: PathSeg, t: f64) -> Vec2 {
    match segment {
        PathSeg::Line(line) => line.p1 - line.p0,
        PathSeg::Quad(quad) => quad.deriv().eval(t).to_vec2(),
        PathSeg::Cubic(cubic) => cubic.deriv().eval(t).to_vec2(),
    }
}

fn closed(segments: Vec<PathSeg>) -> BezPath {
    let mut path = BezPath::new();
    let Some(start) = segments.first().map(ParamCurve::start) else { return path };
    path.move_to(start);
    let last = segments.len() - 1;
    for (i, segment) in segments.into_iter().enumerate() {
        // The line back to the start is drawn by closing, and a line of no length not at all.
        let is_line = matches!(segment, PathSeg::Line(_));
        if !is_line || (i != last && segment.start() != segment.end()) {
            path.push(segment.as_path_el());
        }
    }
    path.push(PathEl::ClosePath);
    path
}
