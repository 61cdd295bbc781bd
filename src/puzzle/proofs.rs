//! What is measured on the finished drawing, and what must hold there.

use super::dress::to_nearest;
use super::floors::Floors;
use super::graph::{Graph, Kind, Side, back};
use super::lock::Lock;
use super::polyline::Polyline;
use super::rings::{Rings, Role};
use super::{Hold, LeastMisfit, Measure, Proofs, PuzzleError, Tip};
use crate::units::{Degrees, Mm, Mm2};
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
    rings: &Rings,
    floors: Floors,
    least_misfit: Option<LeastMisfit>,
    holds: &[Hold],
) -> Result<Proofs, PuzzleError> {
    let least =
        |of: fn(&Lock) -> Measure| locks.iter().map(of).min_by(|a, b| a.value.get().total_cmp(&b.value.get()));
    let areas: Vec<f64> = graph.faces.iter().map(|sides| graph.area(sides)).collect();
    let lengths = seams.iter().map(|s| Mm::new(s.perimeter(1e-3)));
    let weakest_hold = holds.iter().copied().min_by(|a, b| a.value.get().total_cmp(&b.value.get()));
    let (Some(narrowest_neck), Some(least_undercut), Some(nearest_lines), Some(sharpest_tip), Some(weakest_hold)) =
        (least(|l| l.neck), least(|l| l.undercut), nearest_lines(graph, floors), sharpest_tip(graph), weakest_hold)
    else {
        return Err(PuzzleError::Unproven { what: "every seam has a knob" });
    };
    let proofs = Proofs {
        narrowest_neck,
        least_undercut,
        nearest_lines,
        sharpest_tip,
        least_misfit,
        weakest_hold,
        loose: holds.iter().filter(|h| h.value.get() <= floors.kerf).copied().collect(),
        smallest_piece: Mm2::new(areas.iter().copied().fold(f64::INFINITY, f64::min)),
        largest_piece: Mm2::new(areas.iter().copied().fold(0.0, f64::max)),
        area_error: Mm2::new((areas.iter().sum::<f64>() - rings.board_area()).abs()),
        longest_seam: lengths.clone().fold(Mm::ZERO, Mm::max),
        seam_length: lengths.sum(),
    };
    check(graph, locks, &proofs, rings)?;
    Ok(proofs)
}

/// What must hold whatever was drawn.
fn check(graph: &Graph, locks: &[Lock], proofs: &Proofs, rings: &Rings) -> Result<(), PuzzleError> {
    let seams = graph.edges.iter().filter(|e| e.is_seam()).count();
    let faces = graph.faces.len() + rings.count(Role::Hole) + 1;
    let demands = [
        (locks.len() == seams, "every seam has a knob"),
        (graph.nodes.len() + faces == graph.edges.len() + 2, "Euler's formula, V - E + F = 2"),
        (graph.edges.iter().all(|e| e.faces[0].is_some()), "every line borders on a piece"),
        (
            graph.edges.iter().all(|e| (e.kind != Kind::Outline) == e.faces[1].is_some()),
            "every seam lies between two pieces",
        ),
        (proofs.area_error.get() <= AREA_ERROR * rings.board_area(), "the pieces' areas add up to the board's"),
    ];
    match demands.into_iter().find(|(holds, _)| !holds) {
        Some((_, what)) => Err(PuzzleError::Unproven { what }),
        None => Ok(()),
    }
}

/// The sharpest corner of a cell between two edges of which one at least is a seam.
fn sharpest_tip(graph: &Graph) -> Option<Tip> {
    let corner = |sides: &[Side], k: usize| {
        let (side, next) = (sides[k], sides[(k + 1) % sides.len()]);
        let is_cut = graph.edges[side.edge].is_seam() || graph.edges[next.edge].is_seam();
        let (back, on) = (graph.leaving(back(side)), graph.leaving(next));
        let angle = libm::atan2(on.cross(back), on.dot(back)).to_degrees().rem_euclid(360.0);
        is_cut.then(|| Tip { angle: Degrees::new(angle), at: graph.nodes[graph.start(next)].at })
    };
    let corners = graph.faces.iter().flat_map(|sides| (0..sides.len()).filter_map(|k| corner(sides, k)));
    corners.min_by(|a, b| a.angle.get().total_cmp(&b.angle.get()))
}

/// The least distance between two edges of one face, away from the corners that they share.
fn nearest_lines(graph: &Graph, floors: Floors) -> Option<Measure> {
    let mut lines: Vec<Option<Polyline>> = vec![None; graph.edges.len()];
    let mut best: Option<Measure> = None;
    for (face, sides) in graph.faces.iter().enumerate() {
        // The two sides of a slender whimsy may be near each other: it is drawn that way.
        if graph.is_whimsy(face) {
            continue;
        }
        for side in sides {
            let edge = &graph.edges[side.edge];
            lines[side.edge].get_or_insert_with(|| Polyline::of(&edge.curve, TOLERANCE));
        }
        for (k, a) in sides.iter().enumerate() {
            for b in &sides[k + 1..] {
                let (Some(one), Some(other)) = (&lines[a.edge], &lines[b.edge]) else { continue };
                let ends = graph.edges[b.edge].ends;
                let shared: Vec<Point> = graph.edges[a.edge]
                    .ends
                    .iter()
                    .filter(|n| ends.contains(n))
                    .map(|&n| graph.nodes[n].at)
                    .collect();
                let away = |point: Point, _: f64| to_nearest(point, &shared) > floors.clearance / CORNER_SLOPE;
                let limit = best.map_or(f64::INFINITY, |m| m.value.get());
                if let Some(way) = one.nearest(other, limit, away) {
                    let at = way.ends[0].midpoint(way.ends[1]);
                    best = Some(Measure { value: Mm::new(way.distance), at });
                }
            }
        }
        // Chords of large puzzles fill the memory: those that no later face needs are let go.
        for side in sides.iter().filter(|s| graph.edges[s.edge].faces.iter().flatten().all(|&f| f <= face)) {
            lines[side.edge] = None;
        }
    }
    best
}
