//! Flaws of a skeleton taken away: twigs that only say that the ink has a corner, and short bridges where strokes cross at
//! a slant.

use super::graph::{Chain, Graph, Node, radius};
use crate::raster::Plane;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// A twig whose tip shows less than this share of the half width beyond the ink about its foot is a flaw,
const TWIG: f64 = 0.6;

/// and so is one that shows less than this more, in pixels.
const TWIG_MORE: f64 = 1.0;

/// Meeting points closer than this many half widths are one.
const BRIDGE: f64 = 1.6;

/// Strokes that cross at less than twice the angle of this sine cannot be told from strokes that run side by side.
const LEAST_CROSSING: f64 = 0.17;

/// A bridge may be this much longer than where two strokes cross it should be.
const SLANT: f64 = 1.15;

/// A chain that ends freely, by its length (its bits: they are ordered as the lengths are), and how often it had been
/// changed by then.
type Waiting = Reverse<(u64, usize, u32)>;

struct Pruner<'a> {
    graph: &'a mut Graph,
    /// How often each chain has been changed.
    changes: Vec<u32>,
    waiting: BinaryHeap<Waiting>,
}

/// Takes twigs away, the shortest first, and joins what they parted.
pub(in crate::tracing) fn pruned(graph: &mut Graph) {
    let changes = vec![0; graph.chains.len()];
    let mut pruner = Pruner { graph, changes, waiting: BinaryHeap::new() };
    (0..pruner.changes.len()).for_each(|c| pruner.wait(c));
    while let Some(Reverse((_, c, change))) = pruner.waiting.pop() {
        if pruner.changes[c] == change
            && let Some(foot) = pruner.foot(c)
        {
            pruner.prune(c, foot);
        }
    }
}

impl Pruner<'_> {
    /// The node at which a twig that is a flaw grows.
    fn foot(&self, c: usize) -> Option<usize> {
        let chain = self.graph.chains[c].as_ref()?;
        let [a, b] = chain.ends.map(|n| &self.graph.nodes[n]);
        let (tip, foot, at) = match (a.degree, b.degree) {
            (1, 3..) => (a, b, chain.ends[1]),
            (3.., 1) => (b, a, chain.ends[0]),
            _ => return None,
        };
        let shows = chain.length + tip.radius - foot.radius;
        (shows < TWIG * foot.radius + TWIG_MORE).then_some(at)
    }

    fn wait(&mut self, c: usize) {
        if self.foot(c).is_some()
            && let Some(chain) = &self.graph.chains[c]
        {
            self.waiting.push(Reverse((chain.length.to_bits(), c, self.changes[c])));
        }
    }

    fn prune(&mut self, c: usize, foot: usize) {
        self.remove(c);
        if self.graph.nodes[foot].degree != 2 {
            return;
        }
        // Two twigs at the end of a stroke are the corners of a blunt end, which is where the twigs part.
        let others = self.graph.at(foot);
        let twin = others.iter().copied().find(|&o| self.is_twin(o, foot));
        match twin {
            Some(twin) if others.iter().any(|&o| o != twin && !self.is_twin(o, foot)) => {
                self.remove(twin);
                for o in others {
                    self.wait(o);
                }
            }
            _ => self.join(foot),
        }
    }

    /// Whether a chain would be a twig too if a third one were still there.
    fn is_twin(&self, c: usize, foot: usize) -> bool {
        let Some(chain) = &self.graph.chains[c] else { return false };
        let tip = if chain.ends[0] == foot { chain.ends[1] } else { chain.ends[0] };
        let (tip, foot) = (&self.graph.nodes[tip], &self.graph.nodes[foot]);
        tip.degree == 1 && chain.length + tip.radius - foot.radius < TWIG * foot.radius + TWIG_MORE
    }

    fn remove(&mut self, c: usize) {
        if let Some(chain) = self.graph.chains[c].take() {
            chain.ends.iter().for_each(|&n| self.graph.nodes[n].degree -= 1);
        }
        self.changes[c] += 1;
    }

    /// Makes one chain of the two that meet at a node.
    fn join(&mut self, node: usize) {
        let [a, b] = self.graph.at(node)[..] else { return };
        self.graph.nodes[node].degree = 0;
        if a == b {
            let ring = self.graph.chains[a].take().map(|c| c.points);
            self.graph.rings.extend(ring.map(Vec::from));
            return;
        }
        let length = |c: usize| self.graph.chains[c].as_ref().map_or(0, |c| c.points.len());
        let (kept, gone) = if length(a) >= length(b) { (a, b) } else { (b, a) };
        let (Some(gone_chain), Some(chain)) = (self.graph.chains[gone].take(), &mut self.graph.chains[kept])
        else {
            return;
        };
        self.changes[gone] += 1;
        let far = appended(chain, gone_chain, node);
        self.graph.nodes[far].chains.push(kept);
        self.changes[kept] += 1;
        self.wait(kept);
    }
}

/// Appends a chain to a longer one at the node where they meet, and returns the node where it now ends. Only the shorter
/// one is gone along, so that however many are joined, none is gone along often.
fn appended(chain: &mut Chain, other: Chain, node: usize) -> usize {
    let Chain { ends, mut points, length } = other;
    let far = if ends[0] == node {
        ends[1]
    } else {
        points = points.into_iter().rev().collect::<VecDeque<_>>();
        ends[0]
    };
    let at_end = chain.ends[1] == node;
    let meets = if at_end { chain.points.back() } else { chain.points.front() };
    let gap = meets.zip(points.front()).map_or(0.0, |(a, b)| (*b - *a).hypot());
    chain.length += length + gap;
    chain.ends[usize::from(at_end)] = far;
    if at_end {
        chain.points.extend(points);
    } else {
        for p in points {
            chain.points.push_front(p);
        }
    }
    far
}

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
///
/// Where two strokes of half width r cross at an angle of 2a, the distance from their edges has two ridges' ends with a
/// bridge between, of half length x = r (1 - s) / (s (1 + s)) with s = sin a, and is r + x s there: so how much wider the
/// ink is at the ends tells the angle, and the angle how long a bridge is to be expected.
fn longest_bridge(graph: &Graph, chain: &Chain, half_widths: &[f64]) -> f64 {
    let [a, b] = chain.ends.map(|n| graph.nodes[n].radius);
    let plain = BRIDGE * a.max(b) + 0.5;
    let half_width = f64::midpoint(half_widths[chain.ends[0]], half_widths[chain.ends[1]]);
    let s = (2.0 * half_width / f64::midpoint(a, b) - 1.0).clamp(LEAST_CROSSING, 1.0);
    plain.max(SLANT * 2.0 * half_width * (1.0 - s) / (s * (1.0 + s)))
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
