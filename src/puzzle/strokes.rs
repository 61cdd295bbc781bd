//! Seams joined into strokes as long and as smooth as they go.

use super::graph::{Graph, Side, back};
use super::tangents::STRAIGHT;
use kurbo::{BezPath, PathSeg};

/// The strokes; each seam lies on exactly one. Edge order decides which way and in which order they run.
pub(super) fn strokes(graph: &Graph) -> Vec<BezPath> {
    let onward = Onward::of(graph);
    let mut used = vec![false; graph.edges.len()];
    let mut found = Vec::new();
    for edge in (0..graph.edges.len()).filter(|&e| graph.edges[e].is_seam()) {
        if used[edge] {
            continue;
        }
        // Walk back to where the stroke begins, or once round when it closes on itself.
        let start = Side { edge, forwards: true };
        let mut first = start;
        while let Some(side) = onward.after(back(first)).map(back).filter(|&s| s != start) {
            first = side;
        }
        let mut sides = vec![first];
        used[first.edge] = true;
        while let Some(side) = onward.after(sides[sides.len() - 1]).filter(|s| !used[s.edge]) {
            used[side.edge] = true;
            sides.push(side);
        }
        let segments: Vec<PathSeg> = sides.into_iter().flat_map(|s| graph.walk(s)).collect();
        found.push(BezPath::from_path_segments(segments.into_iter()));
    }
    found
}

/// Which side follows on which at the corner in between.
struct Onward {
    after: Vec<Option<Side>>,
}

impl Onward {
    /// Pairs the seams at every corner, straightest first.
    fn of(graph: &Graph) -> Self {
        let mut onward = Self { after: vec![None; 2 * graph.edges.len()] };
        for fan in graph.fans() {
            let leaving: Vec<Side> = fan.into_iter().filter(|s| graph.edges[s.edge].is_seam()).collect();
            let mut pairs: Vec<(f64, Side, Side)> = Vec::new();
            for (k, &a) in leaving.iter().enumerate() {
                for &b in &leaving[k + 1..] {
                    pairs.push((graph.leaving(a).dot(graph.leaving(b)), a, b));
                }
            }
            pairs.retain(|p| p.0 < STRAIGHT);
            pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, a, b) in pairs {
                if onward.after(back(a)).is_none() && onward.after(back(b)).is_none() {
                    onward.after[index(back(a))] = Some(b);
                    onward.after[index(back(b))] = Some(a);
                }
            }
        }
        onward
    }

    fn after(&self, side: Side) -> Option<Side> {
        self.after[index(side)]
    }
}

fn index(side: Side) -> usize {
    2 * side.edge + usize::from(!side.forwards)
}
