//! The pieces that traced seams part.

use crate::cache::{Cache, MadeFrom};
use crate::figures::Figures;
use crate::puzzle::{FoundPiece, found};
use crate::recipe::{BOARD_NAME, Figure, FigureKind, Recipe};
use std::sync::Arc;

/// The pieces between the lines of traced seams and the edge of the board; `None` where the figure is no seams that were
/// traced, or parts nothing.
///
/// A line that stops short of another by no more than the kerf, or where that was not measured the spot, reaches it.
pub fn traced_pieces(
    figure: &Figure,
    recipe: &Recipe,
    figures: &Figures,
    cache: &Cache,
) -> Option<Arc<Vec<FoundPiece>>> {
    let name = &figure.name.value;
    let placed = match &figure.kind {
        FigureKind::Trace(_) if figure.is_seams() => figures.get(name)?,
        _ => return None,
    };
    let lines: Vec<_> = placed.drawing.lines.iter().map(|line| line.path.clone()).collect();
    let board = figures.get(BOARD_NAME).map(|board| &board.drawing.ink);
    let reach = recipe.kerf_along(name).or_else(|| Some(recipe.chosen_machine()?.spot))?;
    let edge = board.into_iter().flat_map(crate::geometry::Region::contours);
    let made_from = edge.fold(MadeFrom::kind("traced pieces").paths(&lines).number(reach.get()), MadeFrom::path);
    let pieces = cache.keep(made_from, || found(&lines, board, reach));
    (!pieces.is_empty()).then_some(pieces)
}
