//! Twigs of a skeleton taken away: they only say that the ink has a corner.

use super::graph::{Chain, Graph, Node};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// A twig whose tip shows less than this share of the half width of the ink there beyond the ink about its foot is a flaw,
const TWIG: f64 = 0.6;

/// and so is one that shows less than this more, in pixels.
const TWIG_MORE: f64 = 1.0;

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
        is_flaw(chain, tip, foot).then_some(at)
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
        tip.degree == 1 && is_flaw(chain, tip, foot)
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

/// Whether a twig shows no more than a corner does. A drawn stroke is no wider at its tip than at its foot; where the ink is,
/// thinning has put the foot beside the middle.
fn is_flaw(twig: &Chain, tip: &Node, foot: &Node) -> bool {
    twig.length + tip.radius - foot.radius < TWIG * foot.radius.max(tip.radius) + TWIG_MORE
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
