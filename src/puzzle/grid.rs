//! Rows and columns for a number of pieces.

use super::{Lattice, PuzzleError};
use crate::units::Mm;
use kurbo::Size;

/// A cell may be at most this many times as long as wide.
const LONGEST_CELL: f64 = 1.5;
/// Knobs grow with the cell, but no cell counts for more than this many times its short side.
const SHORT_SIDE_LIMIT: f64 = 1.15;
/// How far the search for a number that works goes on either side.
const SEARCH: usize = 1000;

/// Rows and columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Grid {
    pub rows: usize,
    pub columns: usize,
}

impl Grid {
    /// The grid that is asked for on a board of this size, where no cell may be smaller than `floor` (mm).
    pub(super) fn choose(lattice: Lattice, board: Size, floor: f64) -> Result<Self, PuzzleError> {
        let (pieces, fixed) = match lattice {
            Lattice::Pieces(n) => (n, None),
            Lattice::Grid { rows, columns } => (rows.saturating_mul(columns), Some(Self { rows, columns })),
        };
        // Too many pieces are refused before anything is counted through: this bounds all later work.
        let mean = (board.area() / pieces.max(1) as f64).sqrt();
        if mean < floor {
            return Err(too_small(mean, board.area(), floor));
        }
        let grid = fixed.or_else(|| Self::with_pieces(pieces, board)).filter(|_| pieces >= 2);
        let grid = grid.ok_or_else(|| no_such_grid(pieces, board, floor))?;
        let size = grid.cell_size(board);
        if size < floor { Err(too_small(size, board.area(), floor)) } else { Ok(grid) }
    }

    /// The grid of exactly `pieces` cells that are nearest to squares; `None` when all are too long.
    fn with_pieces(pieces: usize, board: Size) -> Option<Self> {
        // A cell is rows² / ideal times as wide as high, which leaves few rows to try.
        let ideal = pieces as f64 * board.height / board.width;
        let fewest = ((ideal / LONGEST_CELL).sqrt().floor() as usize).max(1);
        let most = ((ideal * LONGEST_CELL).sqrt().ceil() as usize).min(pieces);
        (fewest..=most)
            .filter(|rows| pieces.is_multiple_of(*rows))
            .map(|rows| Self { rows, columns: pieces / rows })
            .filter(|grid| grid.aspect(board) <= LONGEST_CELL + 1e-9)
            .min_by(|a, b| a.aspect(board).total_cmp(&b.aspect(board)))
    }

    /// How many times as long as wide a cell is, at least 1.
    fn aspect(self, board: Size) -> f64 {
        let cell = self.cell(board);
        cell.max_side() / cell.min_side()
    }

    /// One cell.
    pub(super) fn cell(self, board: Size) -> Size {
        Size::new(board.width / self.columns as f64, board.height / self.rows as f64)
    }

    /// The length that knobs are measured by.
    pub(super) fn cell_size(self, board: Size) -> f64 {
        let cell = self.cell(board);
        cell.area().sqrt().min(SHORT_SIDE_LIMIT * cell.min_side())
    }
}

/// The refusal of pieces that would be too small on a board of this area, mm².
pub(super) fn too_small(size: f64, area: f64, floor: f64) -> PuzzleError {
    let most = (area / (floor * floor)) as usize;
    PuzzleError::PiecesTooSmall { size: Mm::new(size), floor: Mm::new(floor), most }
}

fn no_such_grid(pieces: usize, board: Size, floor: f64) -> PuzzleError {
    let works = |&n: &usize| Grid::with_pieces(n, board).is_some_and(|g| g.cell_size(board) >= floor);
    let below = (2..pieces).rev().take(SEARCH).find(works);
    let above = (pieces.max(1) + 1..).take(SEARCH).find(works);
    PuzzleError::NoSuchGrid { pieces, below, above }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choose(pieces: usize, width: f64, height: f64) -> Result<(usize, usize), PuzzleError> {
        Grid::choose(Lattice::Pieces(pieces), Size::new(width, height), 15.0).map(|g| (g.rows, g.columns))
    }

    #[test]
    fn cells_are_as_square_as_they_can_be() {
        assert_eq!(choose(15, 216.0, 279.0), Ok((5, 3)));
        assert_eq!(choose(15, 279.0, 216.0), Ok((3, 5)));
        assert_eq!(choose(48, 400.0, 300.0), Ok((6, 8)));
        assert_eq!(choose(2, 60.0, 40.0), Ok((1, 2)));
    }

    #[test]
    fn a_number_without_grid_names_its_neighbours() {
        let error = choose(13, 216.0, 279.0).unwrap_err();
        assert_eq!(error, PuzzleError::NoSuchGrid { pieces: 13, below: Some(12), above: Some(15) });
        let error = choose(1, 216.0, 279.0).unwrap_err();
        assert_eq!(error, PuzzleError::NoSuchGrid { pieces: 1, below: None, above: Some(4) });
        assert!(matches!(choose(0, 216.0, 279.0), Err(PuzzleError::NoSuchGrid { .. })));
    }

    #[test]
    fn absurd_numbers_are_refused_at_once() {
        assert!(matches!(choose(usize::MAX, 216.0, 279.0), Err(PuzzleError::PiecesTooSmall { most: 267, .. })));
        let grid = Lattice::Grid { rows: usize::MAX, columns: 3 };
        assert!(matches!(
            Grid::choose(grid, Size::new(200.0, 200.0), 15.0),
            Err(PuzzleError::PiecesTooSmall { .. })
        ));
    }
}
