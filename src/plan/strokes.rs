//! What lines and areas are burned.

use super::model::{CleanUp, Drawn};
use crate::cache::{Cache, MadeFrom};
use crate::geometry::{
    Drawing, GeometryError, Line, Region, Stroke, Strokes, clean_up, is_closed, length, subpaths,
};
use crate::units::Mm;
use kurbo::{BezPath, Rect};
use std::sync::Arc;

/// The lines of drawings: outlines of ink and middles of lines, each one subpath.
pub fn lines_of<'a>(drawings: impl IntoIterator<Item = &'a Drawing>) -> Vec<BezPath> {
    let of_one = |d: &'a Drawing| {
        let outlines = d.ink.contours().iter();
        let lines = d.lines.iter().map(|l| &l.path);
        outlines.chain(lines).flat_map(subpaths)
    };
    drawings.into_iter().flat_map(of_one).filter(|p| p.segments().next().is_some()).collect()
}

/// The strokes that lines are burned in, in no order yet, and what was done to the lines.
pub fn cleaned(lines: &[BezPath], spot: Mm) -> (Vec<Stroke>, CleanUp) {
    let Strokes { strokes, once, saved, joined } = clean_up(lines, spot * ONE_LINE);
    let drawn = Drawn { lines: lines.len(), length: lines.iter().map(length).sum() };
    let outlines = lines.iter().filter(|l| is_closed(l)).cloned().collect();
    (strokes, CleanUp { drawn, once, saved, joined, outlines })
}

/// Within this share of the spot, two lines of an operation are one, and ends meet: the second would fall into what the
/// first has burned. A quarter moves no edge by more than the spot can show, and leaves alone the two sides of a slot
/// that is hardly wider than the beam.
const ONE_LINE: f64 = 0.25;

/// More areas than this are not compared one by one.
const MOST_COMPARED: usize = 100;

/// An area of drawings together, lines at their drawn width. Those that an earlier build has widened are taken
/// from `cache`.
///
/// # Errors
/// When lines reach too far, or cross each other too often.
pub fn area_of<'a>(
    drawings: impl IntoIterator<Item = &'a Drawing>,
    cache: &Cache,
) -> Result<Region, GeometryError> {
    let areas: Vec<Arc<Result<Region, GeometryError>>> = drawings
        .into_iter()
        .map(|drawing| {
            let ink = drawing.ink.contours().iter().fold(MadeFrom::kind("area"), MadeFrom::path);
            let line = |key: MadeFrom, line: &Line| key.path(&line.path).shown(&line.width);
            let made_from = drawing.lines.iter().fold(ink.text("lines"), line);
            cache.keep(made_from, || crate::figures::area_of(drawing))
        })
        .collect();
    let areas: Vec<&Region> =
        areas.iter().map(|area| area.as_ref().as_ref().map_err(|e| *e)).collect::<Result<_, _>>()?;
    Ok(beside_each_other(&areas).unwrap_or_else(|| Region::union(&areas)))
}

/// Areas whose boxes lie apart need no sweep to be one: their contours cannot meet.
fn beside_each_other(areas: &[&Region]) -> Option<Region> {
    let boxes: Vec<Rect> = areas.iter().filter_map(|area| area.bounds()).collect();
    let apart = |a: &Rect, b: &Rect| a.x1 < b.x0 || b.x1 < a.x0 || a.y1 < b.y0 || b.y1 < a.y0;
    let all_apart = boxes.iter().enumerate().all(|(i, a)| boxes[i + 1..].iter().all(|b| apart(a, b)));
    let contours = || areas.iter().flat_map(|area| area.contours().iter().cloned()).collect();
    (all_apart && boxes.len() <= MOST_COMPARED).then(|| Region::from_clean_contours(contours()))
}
