//! A puzzle before its knobs: corners and straight seams that can still be moved, joined and taken out.

use super::graph::{Edge, Graph, Kind, Node};
use super::rings::{Rings, Role};
use std::ops::Range;

/// A straight seam.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seam {
    /// The corners that it runs from and to.
    pub ends: [usize; 2],
    /// What its chance is drawn by.
    pub key: u64,
}

/// Corners and straight seams.
#[derive(Clone, Debug, Default)]
pub(super) struct Draft {
    /// The corners; those on the outline know their place along it.
    pub nodes: Vec<Node>,
    /// The seams.
    pub seams: Vec<Seam>,
}

impl Draft {
    /// The graph of this draft and the rings, its seams under the same numbers; `None` when it is not connected.
    pub(super) fn graph(&self, rings: &Rings) -> Option<Graph> {
        let mut graph = Graph { nodes: self.nodes.clone(), ..Graph::default() };
        for seam in &self.seams {
            let [a, b] = seam.ends.map(|n| self.nodes[n].at);
            let along = (b - a) / a.distance(b).max(f64::MIN_POSITIVE);
            graph.edges.push(Edge::seam(&self.nodes, seam.ends, seam.key, [along, along]));
        }
        for (role, places) in rings.roles() {
            add_ring(&mut graph, rings, role, places)?;
        }
        graph.trace_faces();
        // Euler's formula for one connected drawing; an island of seams would break it.
        let faces = graph.faces.len() + rings.count(Role::Hole);
        (graph.nodes.len() + faces == graph.edges.len() + 1).then_some(graph)
    }

    /// The seams at every corner.
    pub(super) fn stars(&self) -> Vec<Vec<usize>> {
        let mut stars = vec![Vec::new(); self.nodes.len()];
        for (index, seam) in self.seams.iter().enumerate() {
            for end in seam.ends {
                stars[end].push(index);
            }
        }
        stars
    }

    /// Takes out seams, then loose ends, then corners with only two seams, whose seams become one.
    ///
    /// False when two seams would then join the same two corners.
    pub(super) fn take_out(&mut self, removed: &[bool]) -> bool {
        let mut index = 0;
        self.seams.retain(|_| {
            index += 1;
            !removed[index - 1]
        });
        while let Some((node, star)) = self.loose_corner() {
            let merged = star.get(1).filter(|&&second| second != star[0]).map(|&second| {
                let other = |seam: usize| {
                    let [a, b] = self.seams[seam].ends;
                    if a == node { b } else { a }
                };
                Seam { ends: [other(star[0]), other(second)], key: self.seams[star[0]].key }
            });
            let mut gone = star;
            gone.sort_unstable_by(|a, b| b.cmp(a));
            // A seam that comes back to its own corner stands there twice.
            gone.dedup();
            for seam in gone {
                self.seams.remove(seam);
            }
            self.seams.extend(merged);
        }
        self.drop_unused();
        let mut pairs: Vec<[usize; 2]> =
            self.seams.iter().map(|s| [s.ends[0].min(s.ends[1]), s.ends[0].max(s.ends[1])]).collect();
        pairs.sort_unstable();
        pairs.windows(2).all(|p| p[0] != p[1]) && pairs.iter().all(|p| p[0] != p[1])
    }

    /// A corner inside the board with one or two seams.
    fn loose_corner(&self) -> Option<(usize, Vec<usize>)> {
        self.stars()
            .into_iter()
            .enumerate()
            .find(|(node, star)| self.nodes[*node].place.is_none() && (1..=2).contains(&star.len()))
    }

    fn drop_unused(&mut self) {
        let stars = self.stars();
        let mut names = vec![0; self.nodes.len()];
        let mut kept = Vec::new();
        for (node, star) in stars.iter().enumerate() {
            if !star.is_empty() {
                names[node] = kept.len();
                kept.push(self.nodes[node].clone());
            }
        }
        self.nodes = kept;
        for seam in &mut self.seams {
            seam.ends = seam.ends.map(|n| names[n]);
        }
    }
}

/// Adds a ring, split where seams end on it; `None` when none does.
fn add_ring(graph: &mut Graph, rings: &Rings, role: Role, places: Range<f64>) -> Option<()> {
    let on_ring = |(n, node): (usize, &Node)| Some((node.place.filter(|p| places.contains(p))?, n));
    let mut stops: Vec<(f64, usize)> = graph.nodes.iter().enumerate().filter_map(on_ring).collect();
    stops.sort_by(|a, b| a.0.total_cmp(&b.0));
    let kind = if role == Role::Whimsy { Kind::Whimsy } else { Kind::Outline };
    for (position, &(place, node)) in stops.iter().enumerate() {
        let (next_place, next) = stops[(position + 1) % stops.len()];
        let [at, next_at] = [node, next].map(|n| graph.nodes[n].at);
        graph.edges.push(Edge {
            ends: [node, next],
            kind,
            tangents: [rings.tangents(place)[1], rings.tangents(next_place)[0]],
            faces: [None; 2],
            curve: rings.stretch(place, next_place, [at, next_at]),
        });
    }
    (!stops.is_empty()).then_some(())
}
