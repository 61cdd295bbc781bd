//! The order in which figures are worked out.

use super::bench::{Bench, geometry_failure, layout_failure};
use super::photo::{self, PlacedPhoto};
use super::placed::{Figures, Made, Placed};
use super::{artwork, body, derived, fixture, inlay, lettering, mended, numbers, puzzle, trace, tray};
use crate::diagnostics::Sink;
use crate::geometry::{Drawing, GeometryError};
use crate::layout::{Rest, movement};
use crate::recipe::{BOARD_NAME, Figure, FigureKind, Recipe, SHEET_NAME};
use crate::units::Mm;
use kurbo::{Affine, Rect, Shape};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A figure that reaches farther (mm) than ten metres is a slip: no bed is a tenth as large.
const FARTHEST: f64 = 10_000.0;

/// Works out all figures of a recipe on a sheet of the given size.
pub fn evaluate(bench: Bench, sheet: (Mm, Mm), sink: &mut Sink) -> Figures {
    let sheet = Rect::new(0.0, 0.0, sheet.0.get(), sheet.1.get());
    let mut figures = Figures::on(sheet, &bench.recipe.cells);
    let mut waiting: Vec<&Figure> = bench.recipe.figures.iter().collect();
    let under_board = under_board(bench.recipe);
    let mut done: BTreeSet<&str> = BTreeSet::new();
    loop {
        let (ready, later): (Vec<&Figure>, Vec<&Figure>) =
            waiting.iter().partition(|f| needs(f, &under_board).iter().all(|n| is_settled(n, &done, bench)));
        if ready.is_empty() {
            return figures; // What still waits stands in a circle, which has been reported.
        }
        let results: Vec<(Option<Placed>, Sink)> =
            ready.par_iter().map(|figure| one(figure, bench, &figures)).collect();
        for (figure, (placed, own)) in ready.iter().zip(results) {
            sink.append(own);
            done.insert(figure.name.value.as_str());
            if let Some(placed) = placed {
                figures.add(&figure.name.value, placed);
            }
        }
        waiting = later;
    }
}

/// The figures that the board is made from, and those that they are made from.
fn under_board(recipe: &Recipe) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut waiting = vec![BOARD_NAME.to_owned()];
    while let Some(name) = waiting.pop() {
        for named in recipe.figure(&name).map(Figure::references).unwrap_or_default() {
            if found.insert(named.value.clone()) {
                waiting.push(named.value);
            }
        }
    }
    found
}

/// The figures that have to be done before this one.
fn needs(figure: &Figure, under_board: &BTreeSet<String>) -> Vec<String> {
    let mut names: Vec<String> = figure.references().into_iter().map(|n| n.value).collect();
    // What the board is made from cannot wait for it: without `place` it lies on the middle of the sheet.
    let rests_on_board = figure.placing.home.is_none() && !figure.is_board() && !figure.is_in_place();
    // Where seams were traced, the board's edge parts pieces too.
    let is_of_pieces = matches!(figure.kind, FigureKind::Numbers(_));
    if (rests_on_board || is_of_pieces) && !under_board.contains(&figure.name.value) {
        names.push(BOARD_NAME.to_owned()); // Where a figure lies without `place`.
    }
    names
}

/// Whether a reference is done, or will never be because no such figure could be decoded.
fn is_settled(name: &str, done: &BTreeSet<&str>, bench: Bench) -> bool {
    name == SHEET_NAME || done.contains(name) || bench.recipe.figure(name).is_none()
}

/// Works out one figure. When a figure that it needs failed, it fails in silence: the cause has been told.
fn one(figure: &Figure, bench: Bench, figures: &Figures) -> (Option<Placed>, Sink) {
    let mut sink = Sink::new();
    let lost = figure.references().iter().any(|n| !figures.has(&n.value));
    if lost {
        return (None, sink);
    }
    let made = make(figure, bench, figures, &mut sink);
    let placed = made.and_then(|made| place(figure, made, bench, figures, &mut sink));
    // What was read for several figures is told of each, so who it is told of is known only here.
    for place in sink.iter_mut().flat_map(|d| &mut d.artwork) {
        place.figure.get_or_insert_with(|| figure.name.value.clone());
    }
    (placed, sink)
}

fn make(figure: &Figure, bench: Bench, figures: &Figures, sink: &mut Sink) -> Option<Made> {
    match &figure.kind {
        FigureKind::Artwork(artwork) => artwork::make(artwork, figure, bench, sink),
        FigureKind::Lettering(text) => lettering::make(text, figure, bench, figures, sink),
        FigureKind::Photo(photo) => photo::make(photo, figure, bench, figures, sink),
        FigureKind::Trace(of) => trace::make(of, figure, bench, figures, sink),
        FigureKind::Shape(items) => body::make(items, figure, figures, sink).map(Made::of),
        FigureKind::Offset(offset) => derived::offset(offset, figure, bench, figures, sink),
        FigureKind::Inlay(of) => inlay::make(of, figure, bench, figures, sink),
        FigureKind::Puzzle(of) => puzzle::puzzle(of, figure, bench, figures, sink),
        FigureKind::Register(marks) => derived::register(marks, figures, sink).map(Made::of),
        FigureKind::Numbers(of) => numbers::make(of, figure, bench, figures, sink),
        FigureKind::Tray(of) => tray::make(of, figure, bench, figures, sink),
        FigureKind::Fixture(of) => fixture::make(of, figure, bench, figures, sink).map(Made::of),
    }
}

fn place(figure: &Figure, made: Made, bench: Bench, figures: &Figures, sink: &mut Sink) -> Option<Placed> {
    let Made { mut drawing, puzzle, trace, frame, photo, behind } = made;
    let mut moved = Affine::IDENTITY;
    let (mut changes, mut faults) = (Vec::new(), Arc::default());
    if !figure.is_in_place() && drawing.bounds().is_some() {
        let placing = |drawing: &Drawing, sink: &mut Sink| movement_of(figure, drawing, frame, figures, sink);
        if let FigureKind::Artwork(artwork) = &figure.kind {
            let (file, mend) = (&artwork.file.text, artwork.mend.as_ref());
            let judged = mended::placed(file, mend, figure, &drawing, bench, &placing, sink)?;
            (drawing, moved, changes, faults) = (judged.drawing, judged.movement, judged.changes, judged.faults);
        } else {
            moved = placing(&drawing, sink)?;
            drawing = Arc::new(drawing.transform(moved));
        }
    }
    if let (FigureKind::Photo(written), Some(source)) = (&figure.kind, &photo) {
        drawing = Arc::new(photo::within_vignette(written, source, drawing.as_ref().clone(), sink)?);
    }
    let frame = drawing.bounds();
    let is_near = |f: Rect| [f.x0, f.y0, f.x1, f.y1].iter().all(|c| c.abs() <= FARTHEST);
    if !frame.is_none_or(is_near) {
        sink.push(geometry_failure(GeometryError::TooFar, figure.head));
        return None;
    }
    let photo = photo.map(|source| PlacedPhoto { source, movement: moved });
    Some(Placed { drawing, behind, frame, puzzle, movement: moved, photo, trace, changes, faults })
}

/// The movement that puts a drawing on the sheet: by `frame`, or else by its own box.
pub(super) fn movement_of(
    figure: &Figure,
    drawing: &Drawing,
    frame: Option<Rect>,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Affine> {
    let is_shape = matches!(figure.kind, FigureKind::Shape(_)) && !figure.is_board();
    let rest = if is_shape { Rest::Origin } else { Rest::Middle };
    let after = |movement: Affine| match frame {
        Some(frame) => movement.transform_rect_bbox(frame),
        None => bounds_after(drawing, movement),
    };
    match movement(&after, &figure.placing, rest, figures) {
        Ok(movement) => Some(movement),
        Err(problem) => {
            sink.push(layout_failure(problem));
            None
        }
    }
}

/// The exact box of a drawing after a movement.
fn bounds_after(drawing: &Drawing, movement: Affine) -> Rect {
    let areas = drawing.ink.contours().iter();
    let lines = drawing.lines.iter().map(|l| &l.path);
    areas
        .chain(lines)
        .map(|path| (movement * path.clone()).bounding_box())
        .reduce(|a, b| a.union(b))
        .unwrap_or(Rect::ZERO)
}
