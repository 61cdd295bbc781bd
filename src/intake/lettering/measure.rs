//! How large a text becomes: millimetres per font unit.

use super::error::LetteringError;
use super::outline::Outline;
use super::shaping::{Glyph, ShapedLine};
use super::{Align, LetteringRequest, LetteringSize};
use crate::units::Mm;
use std::collections::BTreeMap;

/// An ink edge whose place is `slope * scale + offset`, in mm: glyphs grow with the scale, tracking does not.
#[derive(Clone, Copy)]
struct Edge {
    slope: f64,
    offset: f64,
}

impl Edge {
    fn at(self, scale: f64) -> f64 {
        self.slope * scale + self.offset
    }
}

/// Millimetres per font unit that give the size which is asked for.
pub(super) fn scale(
    request: &LetteringRequest,
    lines: &[ShapedLine],
    outlines: &BTreeMap<Glyph, Outline>,
    capitals: f64,
) -> Result<f64, LetteringError> {
    match request.size {
        LetteringSize::Height(height) => Ok(height.get() / capitals),
        LetteringSize::Width(width) => {
            let edges = ink_edges(lines, outlines, request.align, request.tracking);
            scale_for_width(&edges, width)
        }
    }
}

/// The left and right ink edges of every glyph.
fn ink_edges(
    lines: &[ShapedLine],
    outlines: &BTreeMap<Glyph, Outline>,
    align: Align,
    tracking: Mm,
) -> Vec<(Edge, Edge)> {
    let mut edges = Vec::new();
    for line in lines {
        let share = super::placing::share_before(align);
        let gaps = line.clusters.len().saturating_sub(1) as f64;
        let mut origin = Edge { slope: -share * line.advance(), offset: -share * gaps * tracking.get() };
        for cluster in &line.clusters {
            for glyph in &cluster.glyphs {
                let Some(outline) = outlines.get(&glyph.id) else { continue };
                let edge = |x: f64| Edge { slope: origin.slope + glyph.x + x, offset: origin.offset };
                edges.push((edge(outline.bounds.x0), edge(outline.bounds.x1)));
            }
            origin.slope += cluster.advance;
            origin.offset += tracking.get();
        }
    }
    edges
}

/// Solves for the scale at which the ink is `width` wide.
///
/// The width is the largest of linear functions of the scale, so it is convex, and the method of Newton
/// from the far side reaches the answer in as many steps as there are pieces, in practice two or three.
fn scale_for_width(edges: &[(Edge, Edge)], width: Mm) -> Result<f64, LetteringError> {
    let (Some(first), wanted) = (edges.first(), width.get()) else { return Err(LetteringError::NoInk) };
    // A scale so large that the answer lies below it: one font unit as wide as everything.
    let mut scale = wanted.max(1.0) + edges.iter().map(|e| e.0.offset.abs()).fold(0.0, f64::max) * 2.0;
    for _ in 0..100 {
        let (mut left, mut right) = (first.0, first.1);
        for (low, high) in edges {
            left = if low.at(scale) < left.at(scale) { *low } else { left };
            right = if right.at(scale) < high.at(scale) { *high } else { right };
        }
        let (slope, offset) = (right.slope - left.slope, right.offset - left.offset);
        if slope <= 0.0 {
            return Err(LetteringError::NoInk);
        }
        let next = (wanted - offset) / slope;
        if next <= 0.0 {
            return Err(LetteringError::TooMuchTracking { width });
        }
        if next == scale {
            break;
        }
        scale = next;
    }
    Ok(scale)
}
