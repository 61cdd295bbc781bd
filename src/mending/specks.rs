//! Dots and pinholes.

use super::Place;
use crate::geometry::{Drawing, Line, Region, is_closed};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Rect, Shape};
use std::collections::BTreeMap;

/// Ends within this (mm) of each other meet.
const MEETS: f64 = 0.01;

/// The larger side of a box.
fn extent(bounds: Rect) -> f64 {
    bounds.width().max(bounds.height())
}

fn speck(bounds: Rect) -> Place {
    Place { at: bounds.center(), size: Mm::new(extent(bounds)) }
}

/// Whether a contour is smaller than `below` in both directions.
fn is_speck(contour: &BezPath, below: Mm) -> bool {
    extent(contour.bounding_box()) < below.get()
}

/// Lines that are smaller than `below`, their width included, and whose ends meet no other.
fn specks_of_lines(lines: &[Line], below: Mm) -> Vec<bool> {
    let ends = Ends::of(lines);
    let is_speck = |line: &Line| {
        let width = line.width.unwrap_or(Mm::ZERO).get();
        extent(line.path.bounding_box()) + width < below.get() && (is_closed(&line.path) || !ends.meet(line))
    };
    lines.iter().map(is_speck).collect()
}

/// The inked dots and the pinholes that are smaller than `below`, and the lines that are.
pub(super) fn look(drawing: &Drawing, below: Mm) -> Vec<Place> {
    let contours = drawing.ink.contours().iter().filter(|c| is_speck(c, below)).map(Shape::bounding_box);
    let lines = drawing.lines.iter().zip(specks_of_lines(&drawing.lines, below));
    let lines = lines.filter(|(_, is)| *is).map(|(l, _)| l.path.bounding_box());
    contours.chain(lines).map(speck).collect()
}

/// Whether a drawing consists of nothing else.
pub(super) fn is_all(drawing: &Drawing, below: Mm) -> bool {
    !drawing.is_empty() && look(drawing, below).len() == drawing.ink.contours().len() + drawing.lines.len()
}

/// Drops them; a drawing of nothing else is left as it is.
pub(super) fn drop_from(drawing: &mut Drawing, below: Mm) -> Vec<Place> {
    let places = look(drawing, below);
    if is_all(drawing, below) {
        return Vec::new();
    }
    let kept = drawing.ink.contours().iter().filter(|c| !is_speck(c, below)).cloned();
    drawing.ink = Region::from_clean_contours(kept.collect());
    let mut dropped = specks_of_lines(&drawing.lines, below).into_iter();
    drawing.lines.retain(|_| !dropped.next().unwrap_or(false));
    places
}

/// How many open lines end in each cell of a grid.
struct Ends(BTreeMap<(i64, i64), usize>);

impl Ends {
    fn of(lines: &[Line]) -> Self {
        let mut cells = BTreeMap::new();
        for line in lines.iter().filter(|l| !is_closed(&l.path)) {
            ends(&line.path).for_each(|p| *cells.entry(cell(p)).or_default() += 1);
        }
        Self(cells)
    }

    /// Whether an end of a line meets an end of another.
    fn meet(&self, line: &Line) -> bool {
        let near = |p: Point| {
            let (x, y) = cell(p);
            let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
            around.filter_map(|c| self.0.get(&c)).sum::<usize>()
        };
        let own = |p: Point| {
            let (x, y) = cell(p);
            ends(&line.path).filter(|o| (cell(*o).0 - x).abs() <= 1 && (cell(*o).1 - y).abs() <= 1).count()
        };
        ends(&line.path).any(|p| near(p) > own(p))
    }
}

fn cell(p: Point) -> (i64, i64) {
    ((p.x / MEETS).round() as i64, (p.y / MEETS).round() as i64)
}

fn ends(path: &BezPath) -> impl Iterator<Item = Point> + '_ {
    let first = path.elements().first().and_then(PathEl::end_point);
    let last = path.elements().iter().rev().find_map(PathEl::end_point);
    first.into_iter().chain(last)
}
