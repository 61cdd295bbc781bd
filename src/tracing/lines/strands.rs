//! Strands: the chains of a graph moved to the middles of their strokes.

use super::super::ink::Ink;
use super::super::samples::{STEP, resampled, resampled_open};
use super::super::sections::{smoothed, smoothed_loop};
use super::ends::extended;
use super::graph::{Chain, Graph, Node, radius};
use super::middle::{Middle, centred, reach};
use crate::raster::Plane;
use kurbo::Point;
use rayon::prelude::*;

/// Within so many half widths of the place where strokes meet, the edges beside one are those of others.
pub(super) const CLEAR: f64 = 1.3;

/// Rounds in which samples are moved to the middle; the second one has better normals to go by.
const ROUNDS: usize = 2;

/// A stretch of a stroke between the places where it meets others or ends.
#[derive(Clone, Debug)]
pub(in crate::tracing) struct Strand {
    /// The nodes at its start and end; `None` where it ends freely.
    pub ends: [Option<usize>; 2],
    /// Samples about a step apart, those too near to a node left out; at least two.
    pub points: Vec<Point>,
    /// The widths of the stroke that were read along it.
    pub widths: Vec<f64>,
    /// Half the width of the stroke.
    pub half_width: f64,
}

/// A stroke that goes round without meeting another.
pub(in crate::tracing) struct Ring {
    /// Samples, the first not repeated.
    pub points: Vec<Point>,
    /// The widths that were read along it.
    pub widths: Vec<f64>,
    /// Half the width of the stroke.
    pub half_width: f64,
}

/// What is known of the sheet when middles are looked for.
#[derive(Clone, Copy)]
pub(in crate::tracing) struct Sheet<'a> {
    /// What is drawn.
    pub ink: &'a Ink,
    /// The distance of each pixel to the nearest paper.
    pub distance: &'a Plane,
    /// Whether a chain that meets no other ends there: the seams' ones end at the rim of the sheet.
    pub has_free_ends: bool,
}

impl Sheet<'_> {
    /// The strands of a graph, one for each chain that is left, in their order.
    pub fn strands(&self, graph: &Graph) -> Vec<Strand> {
        let left: Vec<&Chain> = graph.chains.iter().flatten().collect();
        left.par_iter().map(|chain| self.strand(chain, &graph.nodes)).collect()
    }

    /// The rings of a graph.
    pub fn rings(&self, graph: &Graph) -> Vec<Ring> {
        graph.rings.par_iter().map(|ring| self.ring(ring)).collect()
    }

    /// The median half width of the ink along a chain.
    fn half_width(&self, points: &[Point]) -> f64 {
        median(points.iter().map(|&p| radius(self.distance, p)).collect()).unwrap_or(0.5)
    }

    fn ring(&self, ring: &[Point]) -> Ring {
        let half_width = self.half_width(ring);
        let mut found = Middle { points: ring.to_vec(), widths: Vec::new() };
        for _ in 0..ROUNDS {
            let samples = smoothed_loop(&resampled(&found.points), reach(half_width));
            found = centred(self.ink, &samples, true, half_width, |_| true);
        }
        let half_width = median(found.widths.clone()).map_or(half_width, |w| w / 2.0);
        Ring { points: found.points, widths: found.widths, half_width }
    }

    fn strand(&self, chain: &Chain, nodes: &[Node]) -> Strand {
        let points: Vec<Point> = chain.points.iter().copied().collect();
        let mut half_width = self.half_width(&points);
        let is_free = |n: usize| self.has_free_ends && nodes[n].degree == 1;
        let ends = chain.ends.map(|n| (!is_free(n)).then_some(n));
        let mut found = Middle { points, widths: Vec::new() };
        for round in 0..ROUNDS {
            let samples = smoothed(&resampled_open(&found.points), reach(half_width));
            let clear = clear_of_nodes(&samples, ends.map(|n| n.map(|n| &nodes[n])));
            found = centred(self.ink, &samples, false, half_width, |i| clear.contains(&i));
            if let Some(width) = median(found.widths.clone()) {
                half_width = width / 2.0;
            }
            // The rough middle says nothing of where a stroke ends; the second one nearly does.
            let unsure = if round == 0 { half_width + 1.0 } else { 0.0 };
            found.points = self.ended(&found.points, ends, half_width, unsure);
        }
        let clear = clear_of_nodes(&found.points, ends.map(|n| n.map(|n| &nodes[n])));
        let points = found.points[clear].to_vec();
        Strand { ends, points, widths: found.widths, half_width }
    }

    /// A chain with its free ends, of which the last `unsure` pixels say nothing, brought to where the stroke ends.
    fn ended(&self, points: &[Point], ends: [Option<usize>; 2], half_width: f64, unsure: f64) -> Vec<Point> {
        let drop = ((unsure / STEP) as usize).min(points.len() / 3);
        let is_free = ends.map(|n| self.has_free_ends && n.is_none());
        let from = if is_free[0] { drop } else { 0 };
        let to = points.len() - if is_free[1] { drop } else { 0 };
        let mut points = points[from..to].to_vec();
        if is_free[1] {
            points = extended(self.ink, points, half_width);
        }
        if is_free[0] {
            points.reverse();
            points = extended(self.ink, points, half_width);
            points.reverse();
        }
        points
    }
}

/// The samples that lie clear of the nodes at both ends; of a chain that is nowhere clear, those half way.
fn clear_of_nodes(samples: &[Point], ends: [Option<&Node>; 2]) -> std::ops::Range<usize> {
    let count = samples.len();
    let near = |p: &Point, node: &Node| (*p - node.place).hypot() <= node.spread + CLEAR * node.radius;
    let from = ends[0].map_or(0, |n| samples.iter().position(|p| !near(p, n)).unwrap_or(count));
    let to = ends[1].map_or(count, |n| samples.iter().rposition(|p| !near(p, n)).map_or(0, |i| i + 1));
    if from + 3 < to {
        return from..to;
    }
    let third = count / 3;
    (third.min(count.saturating_sub(2)))..(count - third).max((third + 2).min(count))
}

/// The middle one of some values.
pub(in crate::tracing) fn median(mut values: Vec<f64>) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let at = values.len() / 2;
    Some(*values.select_nth_unstable_by(at, f64::total_cmp).1)
}
