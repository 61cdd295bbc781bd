//! Outlines and lines with far more nodes than their shape needs.

use super::Place;
use crate::geometry::{Drawing, Region, length, simplified};
use crate::units::Mm;
use kurbo::{BezPath, PathEl};
use rayon::prelude::*;

/// What nodes are spared within by default: nobody sees it and no belt repeats it.
pub(super) const UNSEEN: Mm = Mm::new(0.01);

/// A path is drawn anew where that takes at most this share of its nodes; less is not worth touching it.
const WORTH_IT: f64 = 0.5;

/// Paths of fewer segments are no flood.
const FEW: usize = 8;

fn segments(path: &BezPath) -> usize {
    path.segments().count()
}

/// The path with fewer nodes, where that spares at least half of them.
fn spared(path: &BezPath, tolerance: Mm) -> Option<BezPath> {
    let before = segments(path);
    if before < FEW {
        return None;
    }
    let fewer = simplified(path, tolerance);
    let after = segments(&fewer);
    (after > 0 && after as f64 <= WORTH_IT * before as f64).then_some(fewer)
}

fn place(path: &BezPath) -> Place {
    let start = path.elements().first().and_then(PathEl::end_point);
    Place { at: start.unwrap_or_default(), size: length(path) }
}

/// Draws paths with fewer nodes; the size of a place is the length of the path.
pub(super) fn spare(drawing: &mut Drawing, tolerance: Mm) -> Vec<Place> {
    let contours = drawing.ink.contours().par_iter().map(|c| spared(c, tolerance));
    let contours: Vec<Option<BezPath>> = contours.collect();
    let lines: Vec<Option<BezPath>> = drawing.lines.par_iter().map(|l| spared(&l.path, tolerance)).collect();
    let all = contours.iter().chain(&lines).flatten();
    let places: Vec<Place> = all.map(place).collect();
    if contours.iter().any(Option::is_some) {
        let old = drawing.ink.contours().iter().cloned();
        let new = old.zip(contours).map(|(old, new)| new.unwrap_or(old)).collect();
        drawing.ink = Region::from_clean_contours(new);
    }
    for (line, new) in drawing.lines.iter_mut().zip(lines) {
        line.path = new.unwrap_or_else(|| std::mem::take(&mut line.path));
    }
    places
}

/// Fewer segments than this in all are no flood, however dense.
const LEAST_FLOOD: usize = 2_000;

/// A flood of nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flood {
    /// How many segments there are in the flooded paths.
    pub segments: usize,
    /// How many would do.
    pub enough: usize,
    /// The middle of the worst path.
    pub worst: Place,
}

/// Paths whose segments are on average shorter than `short`, and how few would do; none where that is not at least
/// three times fewer.
pub(super) fn look(drawing: &Drawing, short: Mm) -> Option<Flood> {
    let lines = drawing.lines.iter().map(|l| &l.path);
    let counted = drawing.ink.contours().iter().chain(lines).map(|p| (segments(p), p));
    let dense = counted.filter(|(count, path)| *count >= FEW && length(path) < short * *count as f64);
    let dense: Vec<(usize, &BezPath)> = dense.collect();
    let all: usize = dense.iter().map(|d| d.0).sum();
    let worst = dense.iter().max_by_key(|d| d.0)?;
    if all < LEAST_FLOOD {
        return None;
    }
    let enough: usize =
        dense.par_iter().map(|(count, p)| spared(p, UNSEEN).map_or(*count, |s| segments(&s))).sum();
    let worst = place(worst.1);
    (3 * enough <= all).then_some(Flood { segments: all, enough, worst })
}
