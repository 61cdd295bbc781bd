//! Short bridges of a skeleton contracted: where strokes cross at a slant it parts what is one place.

use super::graph::{Chain, Graph, Node, radius};
use crate::raster::Plane;
use kurbo::Vec2;

/// Meeting points closer than this many half widths are one.
const BRIDGE: f64 = 1.6;

/// Strokes that cross at less than twice the angle of this sine cannot be told from strokes that run side by side.
const LEAST_CROSSING: f64 = 0.17;

/// A stroke bends by no more than this where another one crosses it (radians, 15 degrees).
const MOST_BEND: f64 = 0.26;

/// The direction of a chain is read from so many half widths off its node on,
const READ_FROM: f64 = 2.0;

/// over so many.
const READ_OVER: f64 = 4.0;

/// Makes one node of those that a short bridge parts, the shortest bridges first.
pub(in crate::tracing) fn bridges_contracted(graph: &mut Graph, distance: &Plane) {
    let half_widths: Vec<f64> = (0..graph.nodes.len()).map(|n| half_width(graph, n, distance)).collect();
    let mut bridges: Vec<(f64, usize)> = Vec::new();
    for (c, chain) in graph.chains.iter().enumerate() {
        let Some(chain) = chain else { continue };
        if chain.length < longest_bridge(graph, chain, &half_widths)
            && chain.ends[0] != chain.ends[1]
            && chain.ends.iter().all(|&n| graph.nodes[n].degree > 2)
        {
            bridges.push((chain.length, c));
        }
    }
    bridges.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut merged = Merged { into: (0..graph.nodes.len()).collect(), count: vec![1; graph.nodes.len()] };
    for (_, c) in bridges {
        let Some(chain) = &graph.chains[c] else { continue };
        let [a, b] = chain.ends.map(|n| merged.root(n));
        if a != b {
            let (kept, gone) = if merged.count[a] >= merged.count[b] { (a, b) } else { (b, a) };
            let share = f64::from(merged.count[gone]) / f64::from(merged.count[a] + merged.count[b]);
            let other = graph.nodes[gone].clone();
            graph.nodes[kept].merge(&other, share);
            merged.into[gone] = kept;
            merged.count[kept] += merged.count[gone];
        }
        graph.chains[c] = None;
    }
    relinked(graph, &mut merged);
}

impl Node {
    /// Makes another one part of it, which counts with a share.
    fn merge(&mut self, other: &Self, share: f64) {
        let place = self.place.lerp(other.place, share);
        let spread = |n: &Self| n.spread + (n.place - place).hypot();
        self.spread = spread(self).max(spread(other));
        self.radius = self.radius.max(other.radius);
        self.place = place;
    }
}

/// The half width of the strokes that meet at a node: the least, half way along them, of those that are long enough to tell.
fn half_width(graph: &Graph, node: usize, distance: &Plane) -> f64 {
    let widest = graph.nodes[node].radius;
    let chains = graph.at(node).into_iter().filter_map(|c| graph.chains[c].as_ref());
    let long = chains.filter(|c| c.length > 4.0 * widest);
    long.map(|c| radius(distance, c.points[c.points.len() / 2])).fold(widest, f64::min)
}

/// How long a chain between two nodes may be and still be where two strokes cross.
fn longest_bridge(graph: &Graph, chain: &Chain, half_widths: &[f64]) -> f64 {
    let [a, b] = chain.ends.map(|n| graph.nodes[n].radius);
    let plain = BRIDGE * a.max(b) + 0.5;
    let half_width = f64::midpoint(half_widths[chain.ends[0]], half_widths[chain.ends[1]]);
    // Where two strokes of half width r cross at an angle of 2a, there is no paper between them up to r / sin a from where
    // they cross.
    slant(graph, chain).map_or(plain, |sine| plain.max(2.0 * half_width / sine.max(LEAST_CROSSING)))
}

/// The sine of half the angle at which two strokes cross that have a bridge between them, if they do: if on both sides two
/// chains leave it of which each goes on with one of the other side.
fn slant(graph: &Graph, bridge: &Chain) -> Option<f64> {
    let leaving = |node: usize| -> Option<[Vec2; 2]> {
        let chains = graph.at(node).into_iter().filter_map(|c| graph.chains[c].as_ref());
        let others: Vec<Vec2> = chains
            .filter(|c| !std::ptr::eq(*c, bridge) && c.ends[0] != c.ends[1])
            .map(|c| direction(c, node, graph.nodes[node].radius))
            .collect::<Option<_>>()?;
        others.try_into().ok()
    };
    let ([a, b], [c, d]) = (leaving(bridge.ends[0])?, leaving(bridge.ends[1])?);
    let least = libm::cos(MOST_BEND);
    let go_on = |pairs: [(Vec2, Vec2); 2]| pairs.iter().all(|(from, to)| -from.dot(*to) >= least);
    let is_crossing = go_on([(a, c), (b, d)]) || go_on([(a, d), (b, c)]);
    let sine = |u: Vec2, v: Vec2| (0.5 * (1.0 - u.dot(v)).max(0.0)).sqrt();
    is_crossing.then(|| f64::midpoint(sine(a, b), sine(c, d)))
}

/// The direction in which a chain leaves a node, read where it is clear of it; `None` if it is too short.
fn direction(chain: &Chain, node: usize, radius: f64) -> Option<Vec2> {
    let count = chain.points.len();
    let at = |i: usize| chain.points.get(if chain.ends[0] == node { i } else { count.checked_sub(i + 1)? });
    let reach = (READ_FROM * radius) as usize;
    let along = *at(reach + (READ_OVER * radius) as usize)? - *at(reach)?;
    let unit = along / along.hypot();
    unit.is_finite().then_some(unit)
}

/// Which nodes have been made one.
struct Merged {
    into: Vec<usize>,
    count: Vec<u32>,
}

impl Merged {
    fn root(&mut self, mut node: usize) -> usize {
        while self.into[node] != node {
            self.into[node] = self.into[self.into[node]];
            node = self.into[node];
        }
        node
    }
}

/// Lists anew which chains end at which node.
fn relinked(graph: &mut Graph, merged: &mut Merged) {
    for node in &mut graph.nodes {
        node.chains.clear();
        node.degree = 0;
    }
    for (c, chain) in graph.chains.iter_mut().enumerate() {
        let Some(chain) = chain else { continue };
        chain.ends = chain.ends.map(|n| merged.root(n));
        for &end in &chain.ends {
            graph.nodes[end].chains.push(c);
            graph.nodes[end].degree += 1;
        }
    }
}
