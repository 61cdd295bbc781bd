//! Slivers at the outline, and round holes and whimsies, are joined to a neighbour.

use super::graph::Graph;
use kurbo::{ParamCurveArclen, Point};
use std::collections::BTreeMap;

/// A face smaller than this share of the usual one is a sliver.
const LEAST_AREA: f64 = 0.5;
/// A face thinner than this is a sliver; a square has 1.
const LEAST_THICKNESS: f64 = 0.5;

/// A group of cells that have become one.
#[derive(Clone, Copy, Debug, Default)]
struct Patch {
    area: f64,
    perimeter: f64,
}

/// What two patches share.
#[derive(Clone, Debug, Default)]
struct Border {
    length: f64,
    edges: Vec<usize>,
}

/// Joins cells until no sliver is left, and then the smallest ones until no more than `most` faces are left; whimsies stay
/// what they are.
///
/// Tells which edges of the graph are to be taken out, and the number of faces left. `cell` is the usual area, mm².
pub(super) fn merge(graph: &Graph, cell: f64, most: Option<usize>) -> (Vec<bool>, usize) {
    let lengths: Vec<f64> = graph.edges.iter().map(|e| e.curve.iter().map(|s| s.arclen(0.01)).sum()).collect();
    let mut patch: Vec<usize> = (0..graph.faces.len()).collect();
    let mut count = patch.len();
    loop {
        let patches = measure(graph, &lengths, &patch);
        let Some(small) = next_to_join(&patches, cell, most.is_some_and(|m| count > m)) else { break };
        let borders = borders(graph, &lengths, &patch, small);
        let score =
            |(&other, border): (&usize, &Border)| score(graph, patches[&small], patches[&other], border, cell);
        let Some((&other, _)) = borders.iter().max_by(|&a, &b| score(a).total_cmp(&score(b))) else { break };
        for label in &mut patch {
            if *label == small {
                *label = other;
            }
        }
        count -= 1;
    }
    let inner = |faces: [Option<usize>; 2]| matches!(faces, [Some(a), Some(b)] if patch[a] == patch[b]);
    (graph.edges.iter().map(|e| inner(e.faces)).collect(), count)
}

fn measure(graph: &Graph, lengths: &[f64], patch: &[usize]) -> BTreeMap<usize, Patch> {
    let mut patches: BTreeMap<usize, Patch> = BTreeMap::new();
    for (face, sides) in graph.faces.iter().enumerate().filter(|&(face, _)| !graph.is_whimsy(face)) {
        patches.entry(patch[face]).or_default().area += graph.area(sides);
    }
    for (edge, length) in graph.edges.iter().zip(lengths) {
        let [a, b] = edge.faces.map(|f| f.map(|f| patch[f]));
        if a != b {
            for label in [a, b].into_iter().flatten() {
                // A whimsy has no patch.
                if let Some(patch) = patches.get_mut(&label) {
                    patch.perimeter += length;
                }
            }
        }
    }
    patches
}

/// The worst sliver, or the smallest patch when there are too many.
fn next_to_join(patches: &BTreeMap<usize, Patch>, cell: f64, too_many: bool) -> Option<usize> {
    let quality = |p: &Patch| {
        let thickness = 4.0 * p.area / (p.perimeter * cell.sqrt());
        (p.area / cell / LEAST_AREA).min(thickness / LEAST_THICKNESS)
    };
    let worst = patches.iter().min_by(|a, b| quality(a.1).total_cmp(&quality(b.1)))?;
    if quality(worst.1) < 1.0 {
        return Some(*worst.0);
    }
    let smallest = patches.iter().min_by(|a, b| a.1.area.total_cmp(&b.1.area))?;
    too_many.then_some(*smallest.0)
}

fn borders(graph: &Graph, lengths: &[f64], patch: &[usize], of: usize) -> BTreeMap<usize, Border> {
    let mut borders: BTreeMap<usize, Border> = BTreeMap::new();
    for (index, edge) in graph.edges.iter().enumerate().filter(|(_, e)| e.is_seam()) {
        let [Some(a), Some(b)] = edge.faces.map(|f| f.map(|f| patch[f])) else { continue };
        if (a == of) != (b == of) {
            let border = borders.entry(if a == of { b } else { a }).or_default();
            border.length += lengths[index];
            border.edges.push(index);
        }
    }
    borders
}

/// How good a piece two patches would make: compact, not too large, joined along one long border.
fn score(graph: &Graph, a: Patch, b: Patch, border: &Border, cell: f64) -> f64 {
    let area = a.area + b.area;
    let perimeter = a.perimeter + b.perimeter - 2.0 * border.length;
    let compactness = 4.0 * std::f64::consts::PI * area / (perimeter * perimeter).max(f64::MIN_POSITIVE);
    let over = (area / cell - 1.15).max(0.0);
    let huge = if area > 2.2 * cell { 2.0 } else { 0.0 };
    1.5 * compactness + 0.35 * border.length / cell.sqrt()
        - 0.9 * over * over
        - huge
        - 0.25 * (chains(graph, &border.edges) as f64 - 1.0)
}

/// Into how many separate lines a border falls.
fn chains(graph: &Graph, edges: &[usize]) -> usize {
    let mut ends: Vec<Point> = Vec::new();
    let mut joints = 0;
    for &edge in edges {
        for end in graph.edges[edge].ends.map(|n| graph.nodes[n].at) {
            if ends.contains(&end) { joints += 1 } else { ends.push(end) }
        }
    }
    edges.len() - joints.min(edges.len() - 1)
}
