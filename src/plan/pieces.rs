//! The pieces of a job: of a puzzle that was grown, else of seams that were traced.

use super::model::{DrawnSeams, Piece, Puzzle};
use super::per_piece;
use crate::cache::Cache;
use crate::figures::{Figures, traced_pieces};
use crate::geometry::Region;
use crate::puzzle::{FoundPiece, PuzzlePiece};
use crate::recipe::{Figure, FigureKind, Recipe};
use crate::shop::OperationKind;
use kurbo::Vec2;

/// What pieces are taken from.
#[derive(Clone, Copy)]
pub(super) struct On<'a> {
    pub recipe: &'a Recipe,
    pub figures: &'a Figures,
    pub cache: &'a Cache,
}

/// The first puzzle of a recipe; where it has none, the first traced seams that are cut.
pub(super) fn puzzle(on: On) -> Option<Puzzle> {
    let figures = || on.recipe.figures.iter();
    figures().find_map(|figure| grown(figure, on)).or_else(|| figures().find_map(|figure| traced(figure, on)))
}

fn grown(figure: &Figure, on: On) -> Option<Puzzle> {
    let FigureKind::Puzzle(written) = &figure.kind else { return None };
    let layout = on.figures.get(&figure.name.value)?.puzzle.as_ref()?;
    let outlines = layout.pieces.iter().map(|piece| &piece.outline);
    let apart = apart(&outlines.collect::<Vec<_>>(), figure, on)?;
    let piece = |(p, apart): (&PuzzlePiece, Vec2)| Piece {
        number: p.number,
        is_whimsy: p.is_whimsy,
        outline: p.outline.clone(),
        middle: p.middle,
        room: p.room,
        neighbours: p.neighbours.clone(),
        knobs: Some(p.knobs),
        sockets: Some(p.sockets),
        apart,
    };
    Some(Puzzle {
        name: figure.name.value.clone(),
        pieces: layout.pieces.iter().zip(apart).map(piece).collect(),
        seams: layout.seams.clone(),
        drawn: Some(DrawnSeams {
            seed: written.seed.text.clone(),
            rows: layout.rows,
            columns: layout.columns,
            proofs: layout.proofs.clone(),
        }),
    })
}

fn traced(figure: &Figure, on: On) -> Option<Puzzle> {
    let name = &figure.name.value;
    let mut operations = on.recipe.runs.iter().flat_map(|run| &run.operations);
    operations.find(|o| o.kind == OperationKind::Cut && o.figures.iter().any(|f| f.value == *name))?;
    let found = traced_pieces(figure, on.recipe, on.figures, on.cache)?;
    let outlines = found.iter().map(|piece| &piece.outline);
    let apart = apart(&outlines.collect::<Vec<_>>(), figure, on)?;
    let piece = |(p, apart): (&FoundPiece, Vec2)| Piece {
        number: p.number,
        is_whimsy: false,
        outline: p.outline.clone(),
        middle: p.middle,
        room: p.room,
        neighbours: p.neighbours.clone(),
        knobs: None,
        sockets: None,
        apart,
    };
    let drawing = &on.figures.get(name)?.drawing;
    Some(Puzzle {
        name: name.clone(),
        pieces: found.iter().zip(apart).map(piece).collect(),
        seams: drawing.lines.iter().map(|line| line.path.clone()).collect(),
        drawn: None,
    })
}

/// How far each piece is moved so that it lies free of the others; no way where they cannot be pulled apart.
fn apart(outlines: &[&Region], figure: &Figure, on: On) -> Option<Vec<Vec2>> {
    let width = on.recipe.kerf_along(&figure.name.value).or_else(|| Some(on.recipe.chosen_machine()?.spot))?;
    let apart = per_piece::apart(outlines, width, on.cache);
    Some(apart.as_ref().clone().unwrap_or_else(|| vec![Vec2::ZERO; outlines.len()]))
}
