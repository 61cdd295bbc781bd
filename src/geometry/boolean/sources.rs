//! Where the chords of an operation come from: which contour, which of its segments, and where on it.
//!
//! What an operation leaves alone is found again by its nodes on the lattice, and what it cut short by the chord that it
//! lies on. So the outcome can be drawn with the curves that were there before ([`super::redraw`]).

use crate::geometry::edges::{EdgeId, EdgeTree};
use crate::geometry::flatten::{self, Place};
use crate::geometry::grid::{Node, Ring, is_between};
use kurbo::{BezPath, PathEl, PathSeg, Point};
use std::cell::OnceCell;
use std::cmp::Ordering;
use std::ops::ControlFlow;

/// A node that lies on a chord may have been rounded off it by this much (mm): two and a half steps of the lattice.
const ROUNDING: f64 = 2.5e-4;

/// So many contours that run on top of each other are told apart; more would only say the same again, at a cost.
const MOST_ALIKE: usize = 32;

/// So many nodes of a chain may have been left out because they lie on a line.
const MOST_SKIPPED: usize = 16;

/// A contour as it went into an operation.
pub(super) struct Source {
    /// Its segments, the closing line included.
    pub segments: Vec<PathSeg>,
    /// Its chords' corners on the lattice, the first not repeated.
    nodes: Ring,
    /// The same in mm.
    points: Vec<Point>,
    /// Where on the segments each of them lies.
    pub places: Vec<Place>,
}

impl Source {
    fn new(contour: &BezPath) -> Self {
        let (points, places): (Vec<Point>, Vec<Place>) = flatten::placed_chords(contour).into_iter().unzip();
        let nodes: Ring = points.into_iter().map(Node::nearest).collect();
        let points = nodes.iter().map(|n| n.point()).collect();
        Self { segments: contour.segments().collect(), nodes, points, places }
    }

    pub fn is_curved(&self) -> bool {
        self.segments.iter().any(|s| !matches!(s, PathSeg::Line(_)))
    }

    /// The number of its chords.
    pub fn count(&self) -> usize {
        self.nodes.len()
    }

    /// The two ends of a chord.
    fn chord(&self, i: usize) -> (Point, Point) {
        (self.points[i], self.points[(i + 1) % self.count()])
    }

    /// How near (in chords) two places along it are the same, for all that rounding tells.
    fn slack(&self, along: f64) -> f64 {
        let (a, b) = self.chord(along as usize % self.count());
        ROUNDING * 2.0 / a.distance(b).max(ROUNDING)
    }
}

/// An edge of an outcome as a stretch of a source, in chords from the source's first point; `from > to` where it runs
/// against the source. Both lie in `0..count`, and a stretch never runs over half of the source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Origin {
    pub source: usize,
    pub forwards: bool,
    pub from: f64,
    pub to: f64,
}

impl Origin {
    /// How many chords of the source it runs along.
    pub fn span(&self, count: usize) -> f64 {
        let forth = if self.forwards { self.to - self.from } else { self.from - self.to };
        forth.rem_euclid(count as f64)
    }
}

/// The contours that went into an operation.
pub(super) struct Sources {
    all: Vec<Source>,
    /// Whether there is any curve among them.
    pub any_curved: bool,
    /// Every node with the source and the chord that starts there, in order.
    index: Vec<(Node, u32, u32)>,
}

impl Sources {
    /// The contours in an order of their own, so that nothing depends on the order they were given in.
    pub fn new<'a>(contours: impl IntoIterator<Item = &'a BezPath>) -> Self {
        let mut contours: Vec<&BezPath> = contours.into_iter().collect();
        if !contours.iter().any(|c| is_curved(c)) {
            // Lines are drawn again as they come out.
            contours.clear();
        }
        contours.sort_by(|a, b| compare(a, b));
        contours.dedup();
        let sources: Vec<Source> = contours.into_iter().map(Source::new).collect();
        let nodes = |(s, source): (usize, &Source)| {
            source.nodes.iter().enumerate().map(move |(i, n)| (*n, s as u32, i as u32)).collect::<Vec<_>>()
        };
        let mut index: Vec<_> = sources.iter().enumerate().flat_map(nodes).collect();
        index.sort_unstable();
        Self { any_curved: !sources.is_empty(), all: sources, index }
    }

    pub fn source(&self, origin: &Origin) -> &Source {
        &self.all[origin.source]
    }

    fn starting_at(&self, node: Node) -> &[(Node, u32, u32)] {
        let from = self.index.partition_point(|entry| entry.0 < node);
        let count = self.index[from..].iter().take_while(|entry| entry.0 == node).count();
        &self.index[from..from + count]
    }

    /// Sources that run from one node to another, over nothing but nodes in line.
    fn whole_chords(&self, u: Node, v: Node) -> Vec<Origin> {
        let mut found = Vec::new();
        for &(_, source, i) in self.starting_at(u).iter().take(MOST_ALIKE) {
            let nodes = &self.all[source as usize].nodes;
            let count = nodes.len();
            for forwards in [true, false] {
                let step = |k: usize| (i as usize + if forwards { k } else { count - k }) % count;
                let reached = (1..=MOST_SKIPPED.min(count / 2))
                    .take_while(|&k| nodes[step(k)] == v || is_between(u, nodes[step(k)], v))
                    .find(|&k| nodes[step(k)] == v);
                if let Some(k) = reached {
                    let (from, to) = (f64::from(i), step(k) as f64);
                    found.push(Origin { source: source as usize, forwards, from, to });
                }
            }
        }
        found
    }

    /// Whether one stretch goes on where another ends, the same way along the same source.
    pub fn continues(&self, before: &Origin, after: &Origin) -> bool {
        if (before.source, before.forwards) != (after.source, after.forwards) {
            return false;
        }
        let source = self.source(before);
        let count = source.count() as f64;
        let apart = (before.to - after.from).rem_euclid(count);
        apart.min(count - apart) <= source.slack(before.to).min(0.5)
    }
}

/// Sources that are asked where the edges of rings come from.
pub(super) struct Trace<'a> {
    pub sources: &'a Sources,
    /// Their chords; only needed where something was cut short.
    tree: OnceCell<EdgeTree<'a>>,
}

impl<'a> Trace<'a> {
    pub fn new(sources: &'a Sources) -> Self {
        Self { sources, tree: OnceCell::new() }
    }

    /// Where each edge of a ring may come from.
    pub fn origins(&self, ring: &[Node]) -> Vec<Vec<Origin>> {
        let ends = ring.iter().zip(ring.iter().cycle().skip(1));
        let origins = ends.map(|(&u, &v)| match self.sources.whole_chords(u, v) {
            whole if whole.is_empty() => self.parts_of_chords(u.point(), v.point()),
            whole => whole,
        });
        origins.collect()
    }

    /// Chords that a stretch lies on.
    fn parts_of_chords(&self, u: Point, v: Point) -> Vec<Origin> {
        let rings = || self.sources.all.iter().map(|s| s.points.as_slice()).collect();
        let tree = self.tree.get_or_init(|| EdgeTree::new(rings()));
        let mut found = Vec::new();
        let about = kurbo::Rect::from_points(u, v).inflate(ROUNDING, ROUNDING);
        let _: ControlFlow<()> = tree.near(about, |EdgeId { ring, start }| {
            let (a, b) = tree.ends(EdgeId { ring, start });
            let along = |p: Point| {
                let run = b - a;
                let share = ((p - a).dot(run) / run.hypot2()).clamp(0.0, 1.0);
                ((a + run * share).distance(p) <= ROUNDING).then_some(share)
            };
            if let (Some(s), Some(t)) = (along(u), along(v))
                && (t - s).abs() * a.distance(b) >= 0.5 * u.distance(v)
            {
                let (from, to) = (f64::from(start) + s, f64::from(start) + t);
                found.push(Origin { source: ring as usize, forwards: s < t, from, to });
            }
            ControlFlow::Continue(())
        });
        found.sort_by_key(|o| (o.source, o.from as usize));
        found.truncate(MOST_ALIKE);
        found
    }
}

fn is_curved(contour: &BezPath) -> bool {
    contour.elements().iter().any(|e| matches!(e, PathEl::QuadTo(..) | PathEl::CurveTo(..)))
}

/// An order of contours by their coordinates.
pub(super) fn compare(a: &BezPath, b: &BezPath) -> Ordering {
    let pairs = a.elements().iter().zip(b.elements());
    let differing = pairs.map(|(x, y)| compare_elements(*x, *y)).find(|order| order.is_ne());
    differing.unwrap_or_else(|| a.elements().len().cmp(&b.elements().len()))
}

fn compare_elements(a: PathEl, b: PathEl) -> Ordering {
    let ((a, many), (b, others)) = (points(a), points(b));
    let coordinates = |points: [Point; 3]| points.into_iter().flat_map(|p| [p.x, p.y]);
    let differing = coordinates(a).zip(coordinates(b)).map(|(x, y)| x.total_cmp(&y)).find(|order| order.is_ne());
    differing.unwrap_or_else(|| many.cmp(&others))
}

/// The points of an element, the others zero, and how many they are.
fn points(element: PathEl) -> ([Point; 3], usize) {
    match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => ([p, Point::ZERO, Point::ZERO], 1),
        PathEl::QuadTo(p, q) => ([p, q, Point::ZERO], 2),
        PathEl::CurveTo(p, q, r) => ([p, q, r], 3),
        PathEl::ClosePath => ([Point::ZERO; 3], 0),
    }
}
