//! A skeleton as a graph: where its chains of pixels meet and end, and the chains between.
//!
//! Pixels are neighbours over a corner only where no pixel beside both is set (m-adjacency), so that a staircase is one
//! chain and not a row of triangles.

use super::thin::Skeleton;
use crate::raster::Plane;
use kurbo::Point;
use std::collections::VecDeque;

/// A chain that goes round and comes back in fewer pixels than this is a flaw of thinning: it goes round nothing.
const LEAST_LOOP: usize = 8;

/// Where chains meet or end.
#[derive(Clone, Debug)]
pub(in crate::tracing) struct Node {
    /// In pixels.
    pub place: Point,
    /// How far the edge of the ink is, in pixels.
    pub radius: f64,
    /// How far the places lie from it that have been made one with it, in pixels.
    pub spread: f64,
    /// The chains that may end here, each once for every end; those that no longer do have to be passed over.
    pub chains: Vec<usize>,
    /// How many chain ends there are.
    pub degree: usize,
}

/// A chain between nodes.
#[derive(Clone, Debug)]
pub(in crate::tracing) struct Chain {
    /// The nodes at its start and end.
    pub ends: [usize; 2],
    /// The places it goes through, in pixels.
    pub points: VecDeque<Point>,
    /// Its length, in pixels.
    pub length: f64,
}

/// Nodes and the chains between them.
#[derive(Clone, Debug, Default)]
pub(in crate::tracing) struct Graph {
    /// Those that nothing meets at any more stay, with a degree of 0.
    pub nodes: Vec<Node>,
    /// `None` where one has been pruned or joined to another.
    pub chains: Vec<Option<Chain>>,
    /// Chains that go round without a node, the first place not repeated.
    pub rings: Vec<Vec<Point>>,
}

impl Graph {
    /// Adds a node at which nothing ends yet.
    pub fn add_node(&mut self, place: Point, radius: f64) -> usize {
        self.nodes.push(Node { place, radius, spread: 0.0, chains: Vec::new(), degree: 0 });
        self.nodes.len() - 1
    }

    /// Adds a chain between two nodes.
    pub fn add_chain(&mut self, ends: [usize; 2], points: Vec<Point>) {
        let length = points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum();
        for end in ends {
            self.nodes[end].chains.push(self.chains.len());
            self.nodes[end].degree += 1;
        }
        self.chains.push(Some(Chain { ends, points: points.into(), length }));
    }

    /// The chains that end at a node, in the order they were added, each once for every end.
    pub fn at(&self, node: usize) -> Vec<usize> {
        let ends_here = |&c: &usize| self.chains[c].as_ref().is_some_and(|c| c.ends.contains(&node));
        self.nodes[node].chains.iter().copied().filter(ends_here).collect()
    }
}

/// The half width of the ink about a place, from the distances to the nearest paper.
pub(in crate::tracing) fn radius(distance: &Plane, place: Point) -> f64 {
    // Distances are from middle to middle, and the edge of the ink lies between two middles.
    f64::from((distance.near(place.x.floor() as isize, place.y.floor() as isize) - 0.5).max(0.5))
}

/// A path that has been gone along.
const PASSED: u32 = u32::MAX;

struct Walker<'a> {
    skeleton: &'a Skeleton,
    steps: [usize; 8],
    /// The node that a pixel belongs to, from 1.
    nodes: Vec<u32>,
}

/// The graph of a skeleton; `distance` is that of each pixel to the nearest paper.
pub(in crate::tracing) fn graph(skeleton: &Skeleton, distance: &Plane) -> Graph {
    let mut walker = Walker { skeleton, steps: skeleton.steps(), nodes: vec![0; skeleton.cells.len()] };
    let mut graph = Graph::default();
    let set: Vec<usize> = (0..skeleton.cells.len()).filter(|&i| skeleton.is_set(i)).collect();
    for &i in &set {
        if walker.nodes[i] == 0 && walker.degree(i) != 2 {
            walker.node(i, distance, &mut graph);
        }
    }
    for &i in &set {
        if walker.degree(i) != 2 {
            walker.chains_from(i, &mut graph);
        }
    }
    for &i in &set {
        if walker.nodes[i] == 0 {
            let ring = walker.ring(i);
            graph.rings.push(ring);
        }
    }
    graph
}

impl Walker<'_> {
    fn place(&self, i: usize) -> Point {
        let (x, y) = (i % self.skeleton.stride, i / self.skeleton.stride);
        Point::new(x as f64 - 0.5, y as f64 - 0.5)
    }

    /// The neighbours of a pixel, those beside it and those over a corner that nothing else joins it to.
    fn next_to(&self, i: usize) -> impl Iterator<Item = usize> {
        let code = self.skeleton.code(i);
        let has = move |k: usize| code & (1 << (k % 8)) > 0;
        let joined = move |k: usize| has(k) && (k.is_multiple_of(2) || (!has(k + 7) && !has(k + 1)));
        let steps = self.steps;
        (0..8).filter(move |&k| joined(k)).map(move |k| i.wrapping_add(steps[k]))
    }

    fn degree(&self, i: usize) -> usize {
        self.next_to(i).count()
    }

    /// Makes a node of a pixel where chains end, or of all those about it where chains meet.
    fn node(&mut self, start: usize, distance: &Plane, graph: &mut Graph) {
        let id = graph.nodes.len() as u32 + 1;
        let meets = self.degree(start) > 2;
        let mut found = vec![start];
        self.nodes[start] = id;
        let mut at = 0;
        while meets && at < found.len() {
            for j in self.steps.map(|step| found[at].wrapping_add(step)) {
                if self.skeleton.is_set(j) && self.nodes[j] == 0 && self.degree(j) > 2 {
                    self.nodes[j] = id;
                    found.push(j);
                }
            }
            at += 1;
        }
        let sum = found.iter().fold(kurbo::Vec2::ZERO, |sum, &i| sum + self.place(i).to_vec2());
        let widest = found.iter().map(|&i| radius(distance, self.place(i))).fold(0.0, f64::max);
        graph.add_node((sum / found.len() as f64).to_point(), widest);
    }

    /// The chains that start at a pixel of a node and have not been gone along yet.
    fn chains_from(&mut self, i: usize, graph: &mut Graph) {
        let here = self.nodes[i];
        for j in self.next_to(i).collect::<Vec<_>>() {
            let there = self.nodes[j];
            let is_new = if there == 0 { true } else { there != PASSED && there != here && i < j };
            if !is_new {
                continue;
            }
            let (end, points) = self.walk(i, j);
            let far = self.nodes[end];
            if far != here || points.len() >= LEAST_LOOP {
                graph.add_chain([here as usize - 1, far as usize - 1], points);
            }
        }
    }

    /// Goes along a path from a node's pixel to that of the next one.
    fn walk(&mut self, from: usize, to: usize) -> (usize, Vec<Point>) {
        let (mut before, mut at) = (from, to);
        let mut points = vec![self.place(from), self.place(to)];
        while self.nodes[at] == 0 {
            self.nodes[at] = PASSED;
            let Some(next) = self.next_to(at).find(|&j| j != before) else { break };
            (before, at) = (at, next);
            points.push(self.place(at));
        }
        // A path of pixels with two neighbours each ends at a node; one that came back on itself ends where it began.
        if self.nodes[at] == PASSED { (from, points) } else { (at, points) }
    }

    fn ring(&mut self, start: usize) -> Vec<Point> {
        let (mut before, mut at) = (start, start);
        let mut points = Vec::new();
        while self.nodes[at] == 0 {
            self.nodes[at] = PASSED;
            points.push(self.place(at));
            let Some(next) = self.next_to(at).find(|&j| j != before && self.nodes[j] == 0) else { break };
            (before, at) = (at, next);
        }
        points
    }
}
