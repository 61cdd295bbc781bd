//! Offsets worked out by overlaying: slower, but nothing is too degenerate or too ragged for it.
//!
//! The raw line runs through inner corners, so each strip and wedge is wound about once, and the area where the windings
//! are positive is *exactly* their union: no step guesses which loops of the raw line are false.

use super::cover::Aside;
use super::cross::cross_more_than;
use super::raw::{self, InnerCorners};
use super::source::{Beside, Outline};
use crate::geometry::edges::EdgeTree;
use crate::geometry::grid::{self, Node, Ring};
use crate::geometry::{Corners, FIT_TOLERANCE, Region, boolean, fit};
use kurbo::{BezPath, Point};

/// A ragged outline, whose raw offset would cross itself all over, is offset by this share first. That
/// smooths it, and the rest costs little: growing by a disc and then by another is growing by their sum.
const STRIDE: f64 = 0.25;

/// So many crossings of the raw offset make an outline ragged.
const RAGGED: usize = 300_000;

/// Offsets of less than this (mm) are taken in one go.
const SHORTEST_STRIDE: f64 = 0.005;

/// An outline that is still ragged after so many strides within strides is taken as it is.
const MOST_STRIDES: u8 = 8;

/// What the outlines of an area become when they are offset.
pub(super) fn offset(asides: &[Aside], by: f64, corners: Corners) -> Region {
    smooth(&offset_rings(asides, by, corners, MOST_STRIDES))
}

/// By strides where the outlines are ragged. Sums of discs are discs; mitred and bevelled corners of such outlines come out
/// a little rounder than in one go.
fn offset_rings(asides: &[Aside], by: f64, corners: Corners, strides: u8) -> Vec<Ring> {
    let raw = raw_lines(asides);
    if strides == 0 || by.abs() <= SHORTEST_STRIDE || !is_ragged(&raw) {
        return boolean::chords_of_fine_rings(&on_lattice(&raw));
    }
    drop(raw);
    let aside = |by: f64| move |outline: Outline| (outline, Beside { distance: by, corners });
    let first: Vec<Aside> = asides.iter().map(|(outline, _)| aside(STRIDE * by)(outline.clone())).collect();
    let stepped: Vec<BezPath> =
        offset_rings(&first, STRIDE * by, corners, strides - 1).iter().map(|r| grid::path_of(r)).collect();
    let rest = by - STRIDE * by;
    let second: Vec<Aside> = stepped.iter().filter_map(Outline::of_contour).map(aside(rest)).collect();
    offset_rings(&second, rest, corners, strides - 1)
}

/// The area about widened lines.
pub(super) fn area(asides: &[Aside]) -> Region {
    smooth(&boolean::chords_of_fine_rings(&on_lattice(&raw_lines(asides))))
}

fn raw_lines(asides: &[Aside]) -> Vec<Vec<Point>> {
    asides.iter().map(|(outline, beside)| raw::beside(outline, *beside, InnerCorners::Through).points).collect()
}

fn is_ragged(raw: &[Vec<Point>]) -> bool {
    cross_more_than(&EdgeTree::new(raw.iter().map(Vec::as_slice).collect()), RAGGED)
}

fn on_lattice(raw: &[Vec<Point>]) -> Vec<Ring> {
    raw.iter().map(|line| line.iter().map(|p| Node::nearest_fine(*p)).collect()).collect()
}

/// The rings as contours, their chords as curves again.
fn smooth(rings: &[Ring]) -> Region {
    let contour = |ring: &Ring| {
        let points: Vec<Point> = ring.iter().map(|n| n.point()).collect();
        fit::ring(&points, FIT_TOLERANCE)
    };
    Region::from_clean_contours(rings.iter().map(contour).collect())
}
