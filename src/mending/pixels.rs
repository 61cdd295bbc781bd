//! Outlines that follow the edges of pixels: a picture in the dress of a drawing.

use super::Place;
use crate::geometry::Drawing;
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Point};

/// So many steps are no accident of a drawing.
const LEAST_STEPS: usize = 1_000;

/// All but this share of the edges have to run level or upright.
const SLANTING: f64 = 0.02;

/// Edges that are level or upright to this (mm) are.
const LEVEL: f64 = 1e-4;

/// A length is a whole number of steps when it misses one by this share of a step at most.
const WHOLE: f64 = 0.02;

/// The shortest step among many such edges, and where one of them lies; none where edges are not the stairs of pixels
/// smaller than `below`.
pub(super) fn look(drawing: &Drawing, below: Mm) -> Option<(usize, Place)> {
    let segments = || drawing.ink.contours().iter().flat_map(BezPath::segments);
    let (mut edges, mut slanting): (Vec<(f64, Point)>, usize) = (Vec::new(), 0);
    for segment in segments() {
        match segment {
            PathSeg::Line(l) if (l.p0.x - l.p1.x).abs().min((l.p0.y - l.p1.y).abs()) <= LEVEL => {
                edges.push((l.p0.distance(l.p1), l.p0.midpoint(l.p1)));
            }
            _ => slanting += 1,
        }
    }
    edges.retain(|e| e.0 > LEVEL);
    if edges.len() < LEAST_STEPS || slanting as f64 > SLANTING * edges.len() as f64 {
        return None;
    }
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The median of the shortest tenth: one edge cut short is no step.
    let (step, at) = edges[edges.len() / 20];
    let is_whole =
        |length: f64| (length / step - (length / step).round()).abs() <= WHOLE * (length / step).max(1.0);
    let whole = edges.iter().filter(|e| is_whole(e.0)).count();
    let is_stairs = whole as f64 >= (1.0 - SLANTING) * edges.len() as f64 && step < below.get();
    is_stairs.then_some((edges.len(), Place { at, size: Mm::new(step) }))
}
