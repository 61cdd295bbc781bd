//! What is left of the lines, joined at their ends.

use super::SAME_END;
use super::covered::left_over;
use super::line::{Line, points};
use crate::geometry::flatten;
use kurbo::{BezPath, ParamCurve, PathSeg, Point, Vec2};
use std::collections::BTreeMap;

/// Ends this near (mm) to each other are one node: four times the rounding of areas.
const SAME_NODE: f64 = 4e-4;

/// Where more ends than this meet, each line only goes on as it was drawn.
const MOST_AT_NODE: usize = 32;

/// Turns are compared in hundredths of a degree, so that rounding does not decide between two equal ones.
const TURN_STEPS: f64 = 100.0;

/// A segment that is burned.
pub(super) struct Edge {
    segment: PathSeg,
    /// Which line it is of, in their order.
    line: usize,
    /// The edge that was drawn before it without a gap.
    after: Option<usize>,
    /// How many outlines go round that line. What lies deeper is burned before, so it is a stroke of its own.
    depth: usize,
}

/// An end of an edge: twice its number, and one more for its end.
type End = usize;

/// What is left of the lines once the dropped stretches are taken out.
pub(super) fn edges(lines: &[Line], dropped: &[Vec<(f64, f64)>], depths: &[usize]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        let start = edges.len();
        let mut add = |segment, is_first: bool| {
            let after = edges.len().checked_sub(1).filter(|_| !is_first);
            edges.push(Edge { segment, line: number, after, depth: depths[number] });
        };
        if line.is_dot() && !line.again {
            line.segments.iter().for_each(|s| add(*s, true));
        }
        for (from, to) in left_over(&dropped[number], line) {
            line.between(from, to).enumerate().for_each(|(i, segment)| add(segment, i == 0));
        }
        if line.closed && dropped[number].is_empty() && edges.len() > start {
            edges[start].after = Some(edges.len() - 1);
        }
    }
    edges
}

/// Joins edges to the longest strokes; also tells how many ends of different lines were joined.
pub(super) fn joined(edges: Vec<Edge>, tolerance: f64) -> (Vec<BezPath>, usize) {
    let mut graph = Graph { mates: vec![None; 2 * edges.len()], edges };
    graph.join_at_nodes();
    graph.join_free_ends(tolerance);
    let of_two_lines = |(end, mate): (End, &Option<End>)| {
        mate.is_some_and(|m| end < m && graph.edges[end / 2].line != graph.edges[m / 2].line)
    };
    let joined = graph.mates.iter().enumerate().filter(|&pair| of_two_lines(pair)).count();
    (graph.strokes(), joined)
}

struct Graph {
    edges: Vec<Edge>,
    /// For each end the end that it is joined to.
    mates: Vec<Option<End>>,
}

impl Graph {
    fn at(&self, end: End) -> Point {
        let segment = &self.edges[end / 2].segment;
        if end.is_multiple_of(2) { segment.start() } else { segment.end() }
    }

    fn depth(&self, end: End) -> usize {
        self.edges[end / 2].depth
    }

    /// The direction in which an edge leaves one of its ends.
    fn leaving(&self, end: End) -> Vec2 {
        let mut drawn = points(&self.edges[end / 2].segment);
        if !end.is_multiple_of(2) {
            drawn.reverse();
        }
        // A handle of no length has no direction; the next point has.
        let away = drawn.iter().map(|p| *p - drawn[0]).find(|d| d.hypot() > 1e-6);
        away.unwrap_or_default()
    }

    /// By how many degrees a stroke turns that comes in at one end and goes on at the other.
    fn turn(&self, a: End, b: End) -> f64 {
        let (u, v) = (-self.leaving(a), self.leaving(b));
        libm::atan2(u.cross(v).abs(), u.dot(v)).to_degrees()
    }

    /// Whether two ends were one node of one line.
    fn follow(&self, a: End, b: End) -> bool {
        let goes_on = |from: End, to: End| {
            !from.is_multiple_of(2) && to.is_multiple_of(2) && self.edges[to / 2].after == Some(from / 2)
        };
        goes_on(a, b) || goes_on(b, a)
    }

    fn join(&mut self, a: End, b: End) {
        self.mates[a] = Some(b);
        self.mates[b] = Some(a);
    }

    /// Joins ends that lie on each other.
    fn join_at_nodes(&mut self) {
        for node in self.nodes() {
            if let [a, b] = node[..] {
                let is_dot = a / 2 == b / 2 && self.leaving(a) == Vec2::ZERO;
                if self.depth(a) == self.depth(b) && !is_dot {
                    self.join(a, b);
                }
            } else if node.len() <= MOST_AT_NODE {
                self.join_straightest(pairs_of(&node));
            } else {
                self.join_straightest(self.drawn_pairs(&node));
            }
        }
    }

    /// Of many ends at one node, those that were drawn as one line.
    fn drawn_pairs(&self, node: &[End]) -> Vec<(End, End)> {
        let starts = node.iter().filter(|e| e.is_multiple_of(2));
        let before = |&&b: &&End| Some((2 * self.edges[b / 2].after? + 1, b));
        starts.filter_map(|b| before(&b)).filter(|(a, _)| node.contains(a)).collect()
    }

    /// The ends that lie on each other, for each place.
    fn nodes(&self) -> Vec<Vec<End>> {
        let mut nodes: Vec<Vec<End>> = Vec::new();
        let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        let cell = 4.0 * SAME_NODE;
        for end in 0..self.mates.len() {
            let at = self.at(end);
            let near = cells(at, SAME_NODE, cell).filter_map(|c| grid.get(&c)).flatten().copied();
            let node = near.filter(|&n| self.at(nodes[n][0]).distance(at) <= SAME_NODE).min();
            if let Some(node) = node {
                nodes[node].push(end);
            } else {
                grid.entry(cell_of(at, cell)).or_default().push(nodes.len());
                nodes.push(vec![end]);
            }
        }
        nodes
    }

    /// Joins pairs, the straightest first; of equally straight ones those that were drawn so.
    fn join_straightest(&mut self, pairs: Vec<(End, End)>) {
        let mut ranked: Vec<(i64, bool, i64, End, End)> = pairs
            .into_iter()
            .filter(|&(a, b)| self.depth(a) == self.depth(b))
            .map(|(a, b)| {
                let gap = (self.at(a).distance(self.at(b)) * 1e6).round() as i64;
                let turn = (self.turn(a, b) * TURN_STEPS).round() as i64;
                (turn, !self.follow(a, b), gap, a, b)
            })
            .collect();
        ranked.sort_unstable();
        for (_, _, _, a, b) in ranked {
            if self.mates[a].is_none() && self.mates[b].is_none() {
                self.join(a, b);
            }
        }
    }

    /// Joins ends that are still free and lie within the tolerance of each other.
    fn join_free_ends(&mut self, tolerance: f64) {
        let cell = 2.0 * tolerance;
        let mut grid: BTreeMap<(i64, i64), Vec<End>> = BTreeMap::new();
        let mut near = Vec::new();
        for end in (0..self.mates.len()).filter(|&e| self.mates[e].is_none()) {
            let at = self.at(end);
            let others = cells(at, tolerance, cell).filter_map(|c| grid.get(&c)).flatten();
            let meets = |other: &&End| self.at(**other).distance(at) <= tolerance && self.may_meet(**other, end);
            near.extend(others.filter(meets).take(MOST_AT_NODE).map(|&other| (other, end)));
            grid.entry(cell_of(at, cell)).or_default().push(end);
        }
        self.join_straightest(near);
    }

    /// Whether free ends may be joined: not those of one tiny edge, and not where the way from the one to the other
    /// would go back over both.
    fn may_meet(&self, a: End, b: End) -> bool {
        let gap = self.at(b) - self.at(a);
        let goes_back = gap.hypot() > SAME_END && gap.dot(self.leaving(a)) > 0.0 && gap.dot(self.leaving(b)) < 0.0;
        a / 2 != b / 2 && !goes_back
    }

    /// The strokes, each in the direction of its first edge.
    fn strokes(&self) -> Vec<BezPath> {
        let mut is_done = vec![false; self.edges.len()];
        let mut strokes = Vec::new();
        for edge in 0..self.edges.len() {
            if is_done[edge] {
                continue;
            }
            let mut way = Vec::new();
            let first = self.first_end(2 * edge);
            let mut next = Some(first);
            while let Some(end) = next.filter(|e| !is_done[e / 2]) {
                is_done[end / 2] = true;
                way.push(end);
                next = self.mates[end ^ 1];
            }
            strokes.push(self.stroke(&way, next.is_some()));
        }
        strokes
    }

    /// The end at which the stroke starts that goes through an edge from the given end; that end itself where it goes
    /// round.
    fn first_end(&self, from: End) -> End {
        let mut at = from;
        while let Some(before) = self.mates[at] {
            at = before ^ 1;
            if at == from {
                break;
            }
        }
        at
    }

    fn stroke(&self, way: &[End], goes_round: bool) -> BezPath {
        let mut path = BezPath::new();
        let start = self.at(way[0]);
        path.move_to(start);
        let mut pen = start;
        for (i, &end) in way.iter().enumerate() {
            let edge = &self.edges[end / 2].segment;
            let mut segment = if end.is_multiple_of(2) { *edge } else { edge.reverse() };
            if pen.distance(segment.start()) > SAME_END {
                path.line_to(segment.start());
            }
            if goes_round && i + 1 == way.len() && segment.end().distance(start) <= SAME_END {
                segment = ending_at(segment, start);
            }
            pen = segment.end();
            path.push(segment.as_path_el());
        }
        if goes_round { flatten::closed(&path) } else { path }
    }
}

fn ending_at(segment: PathSeg, end: Point) -> PathSeg {
    match segment {
        PathSeg::Line(l) => PathSeg::Line(kurbo::Line { p1: end, ..l }),
        PathSeg::Quad(q) => PathSeg::Quad(kurbo::QuadBez { p2: end, ..q }),
        PathSeg::Cubic(c) => PathSeg::Cubic(kurbo::CubicBez { p3: end, ..c }),
    }
}

fn pairs_of(ends: &[End]) -> Vec<(End, End)> {
    ends.iter().enumerate().flat_map(|(i, &a)| ends[i + 1..].iter().map(move |&b| (a, b))).collect()
}

fn cell_of(at: Point, cell: f64) -> (i64, i64) {
    ((at.x / cell).floor() as i64, (at.y / cell).floor() as i64)
}

/// The cells that a square about a point meets.
fn cells(at: Point, reach: f64, cell: f64) -> impl Iterator<Item = (i64, i64)> {
    let (low, high) = (cell_of(at - Vec2::new(reach, reach), cell), cell_of(at + Vec2::new(reach, reach), cell));
    (low.0..=high.0).flat_map(move |x| (low.1..=high.1).map(move |y| (x, y)))
}
