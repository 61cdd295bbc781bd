//! What is asked of a puzzle, and what comes back.

use super::Character;
use crate::geometry::Region;
use crate::units::{Mm, Mm2};
use kurbo::{BezPath, Point};

/// What is asked.
#[derive(Clone, Debug)]
pub struct PuzzleRequest {
    /// The board: one closed outline without holes.
    pub board: Region,
    /// How it is divided.
    pub lattice: Lattice,
    /// The text that chance is drawn from: the same text gives the same seams.
    pub seed: String,
    /// How the knobs look.
    pub knob: Character,
    /// Width of the cut. Each knob loses it, each socket gains it.
    pub kerf: Mm,
    /// Thickness of the stock, on which the least neck depends.
    pub thickness: Mm,
    /// Least distance between two lines away from the corners where they meet; large pieces keep more.
    pub clearance: Mm,
}

/// How a board is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lattice {
    /// Into so many pieces; rows and columns follow from the board's shape.
    Pieces(usize),
    /// Into these rows and columns; where the outline is no rectangle, over the box around it.
    Grid {
        /// Rows, from top to bottom.
        rows: usize,
        /// Columns, from left to right.
        columns: usize,
    },
}

/// What comes back.
#[derive(Clone, Debug)]
pub struct PuzzleLayout {
    /// Rows of pieces.
    pub rows: usize,
    /// Columns of pieces; where the outline is no rectangle, the most pieces in one row.
    pub columns: usize,
    /// The seams: each as long and as smooth as it goes, cubic curves only, from outline to outline; every
    /// shared edge lies on exactly one. The outline itself is not among them.
    pub seams: Vec<BezPath>,
    /// The pieces, row by row from the left top.
    pub pieces: Vec<PuzzlePiece>,
    /// What was measured on the finished curves.
    pub proofs: Proofs,
}

/// One piece.
#[derive(Clone, Debug)]
pub struct PuzzlePiece {
    /// Number, from 1.
    pub number: usize,
    /// Row, from 1 at the top.
    pub row: usize,
    /// Column, from 1 at the left.
    pub column: usize,
    /// Its outline as drawn, half a kerf outside the finished piece: the very curves of the seams and of the board.
    pub outline: Region,
    /// The middle of the largest circle that fits into it, for its number.
    pub middle: Point,
    /// Radius of that circle.
    pub room: Mm,
}

/// A measured length and where it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The length.
    pub value: Mm,
    /// The place.
    pub at: Point,
}

/// What was measured on the finished curves, all as drawn: the kerf is still to be taken off.
#[derive(Clone, Copy, Debug)]
pub struct Proofs {
    /// The narrowest neck of a knob.
    pub narrowest_neck: Measure,
    /// The least distance by which a knob, however turned, is wider than the neck of its socket.
    pub least_undercut: Measure,
    /// The least distance between two lines (the outline is one) away from the corners where they meet.
    pub nearest_lines: Measure,
    /// The area of the smallest piece.
    pub smallest_piece: Mm2,
    /// The area of the largest piece.
    pub largest_piece: Mm2,
    /// By how much the areas of the pieces and of the board differ; rounding only.
    pub area_error: Mm2,
    /// The length of the longest seam.
    pub longest_seam: Mm,
    /// The length of all seams.
    pub seam_length: Mm,
}
