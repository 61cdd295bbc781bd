//! What is measured on the finished drawing, and what must hold there.

use super::dress::to_nearest;
use super::floors::Floors;
use super::graph::Graph;
use super::lock::Lock;
use super::polyline::Polyline;
use super::{Measure, Proofs, PuzzleError};
use crate::units::{Mm, Mm2};
use kurbo::{BezPath, Point, Shape};

/// How near the measured chords are to their curves, mm.
const TOLERANCE: f64 = 0.005;
/// Two lines count as near each other only where both are farther from a shared corner than the clearance over
/// this: nearer to it they must come together.
const CORNER_SLOPE: f64 = 0.6;
/// By how much the pieces' areas may miss the board's, as a share: rounding, no more.
const AREA_ERROR: f64 = 1e-6;

/// Measures the drawing.
pub(super) fn measure(
    graph: &Graph,
    locks: &[Lock],
    seams: &[BezPath],
    board: f64,
    floors: Floors,
) -> Result<Proofs, PuzzleError> {
    let least =
        |of: fn(&Lock) -> Measure| locks.iter().map(of).min_by(|a, b| a.value.get().total_cmp(&b.value.get()));
    let areas: Vec<f64> = graph.faces.iter().map(|sides| graph.area(sides)).collect();
    let lengths = seams.iter().map(|s| Mm::new(s.perimeter(1e-3)));
    let (Some(narrowest_neck), Some(least_undercut), Some(nearest_lines)) =
        (least(|l| l.neck), least(|l| l.undercut), nearest_lines(graph, floors))
    else {
        return Err(PuzzleError::Unproven { what: "every seam has a knob" });
    };
    let proofs = Proofs {
        narrowest_neck,
        least_undercut,
        nearest_lines,
        smallest_piece: Mm2::new(areas.iter().copied().fold(f64::INFINITY, f64::min)),
        largest_piece: Mm2::new(areas.iter().copied().fold(0.0, f64::max)),
        area_error: Mm2::new((areas.iter().sum::<f64>() - board).abs()),
        longest_seam: lengths.clone().fold(Mm::ZERO, Mm::max),
        seam_length: lengths.sum(),
    };
    check(graph, locks, &proofs, board)?;
    Ok(proofs)
}

/// What must hold whatever was drawn.
fn check(graph: &Graph, locks: &[Lock], proofs: &Proofs, board: f64) -> Result<(), PuzzleError> {
    let seams = graph.edges.iter().filter(|e| e.is_seam()).count();
    let faces = graph.faces.len() + 1;
    let demands = [
        (locks.len() == seams, "every seam has a knob"),
        (graph.nodes.len() + faces == graph.edges.len() + 2, "Euler's formula, V - E + F = 2"),
        (graph.edges.iter().all(|e| e.faces[0].is_some()), "every line borders on a piece"),
        (graph.edges.iter().all(|e| e.is_seam() == e.faces[1].is_some()), "every seam lies between two pieces"),
        (proofs.area_error.get() <= AREA_ERROR * board, "the pieces' areas add up to the board's"),
    ];
    match demands.into_iter().find(|(holds, _)| !holds) {
        Some((_, what)) => Err(PuzzleError::Unproven { what }),
        None => Ok(()),
    }
}

/// The least distance between two edges of one face, away from the corners that they share.
fn nearest_lines(graph: &Graph, floors: Floors) -> Option<Measure> {
    let lines: Vec<Polyline> = graph.edges.iter().map(|e| Polyline::of(&e.curve, TOLERANCE)).collect();
    let mut best: Option<Measure> = None;
    for sides in &graph.faces {
        for (k, a) in sides.iter().enumerate() {
            for b in &sides[k + 1..] {
                let ends = graph.edges[b.edge].ends;
                let shared: Vec<Point> = graph.edges[a.edge]
                    .ends
                    .iter()
                    .filter(|n| ends.contains(n))
                    .map(|&n| graph.nodes[n].at)
                    .collect();
                let away = |point: Point, _: f64| to_nearest(point, &shared) > floors.clearance / CORNER_SLOPE;
                let limit = best.map_or(f64::INFINITY, |m| m.value.get());
                if let Some(way) = lines[a.edge].nearest(&lines[b.edge], limit, away) {
                    let at = way.ends[0].midpoint(way.ends[1]);
                    best = Some(Measure { value: Mm::new(way.distance), at });
                }
            }
        }
    }
    best
}
