//! What is asked of a puzzle, and what comes back.

use super::{Character, Hold, LeastMisfit};
use crate::geometry::Region;
use crate::units::{Degrees, Mm, Mm2, Percent};
use kurbo::{BezPath, Point};

/// What is asked.
#[derive(Clone, Debug)]
pub struct PuzzleRequest {
    /// The board: one area, with holes or without.
    pub board: Region,
    /// Pieces whose outlines are given: areas inside the board without holes. Each of their contours is one piece.
    pub whimsies: Vec<Region>,
    /// How it is divided.
    pub lattice: Lattice,
    /// The text that chance is drawn from: the same text gives the same seams.
    pub seed: String,
    /// How the knobs look.
    pub knob: Character,
    /// How much the knobs differ, from 0 %, calm, to 100 %, wide; `None` takes what suits the character.
    pub variety: Option<Percent>,
    /// Width of the cut. Each knob loses it, each socket gains it.
    pub kerf: Mm,
    /// Thickness of the stock, on which the least neck depends.
    pub thickness: Mm,
    /// Least distance between two lines away from the corners where they meet; large pieces keep more.
    pub clearance: Mm,
    /// The least misfit wanted between any two seams; zero leaves them as they are first drawn. `None` takes what a hand
    /// can tell, as far as so many pieces can keep it.
    pub distinct: Option<Mm>,
    /// Whether both faces of a piece look alike, so that it may be tried turned over.
    pub faces_alike: bool,
}

/// How a board is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lattice {
    /// Into so many pieces, whimsies among them; rows and columns follow from the board's shape.
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
    /// The seams: each as long and as smooth as it goes, cubic curves only; every shared edge lies on exactly one. Then
    /// the closed lines round the whimsies. The outline itself, and lines round holes, are not among them.
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
    /// Whether its outline was given.
    pub is_whimsy: bool,
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
    /// The numbers of the pieces that it meets along seams.
    pub neighbours: Vec<usize>,
    /// How many of its seams have a knob of its own.
    pub knobs: usize,
    /// How many of its seams have a socket, for the knob of another piece.
    pub sockets: usize,
}

/// A measured length and where it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The length.
    pub value: Mm,
    /// The place.
    pub at: Point,
}

/// A corner of a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tip {
    /// The angle of the piece there.
    pub angle: Degrees,
    /// Where it is.
    pub at: Point,
}

/// What was measured on the finished curves, all as drawn: the kerf is still to be taken off.
#[derive(Clone, Debug)]
pub struct Proofs {
    /// The narrowest neck of a knob.
    pub narrowest_neck: Measure,
    /// The least distance by which a knob, however turned, is wider than the neck of its socket.
    pub least_undercut: Measure,
    /// The least distance between two lines (the outline is one) away from the corners where they meet.
    pub nearest_lines: Measure,
    /// The sharpest corner of a piece at the end of a seam; corners that the outline or a whimsy brings along are left out.
    pub sharpest_tip: Tip,
    /// The two seams that are most alike; `None` when there are not two, or too many to compare unasked.
    pub least_misfit: Option<LeastMisfit>,
    /// The piece that is held least, and on which way.
    pub weakest_hold: Hold,
    /// The pieces that can be pushed out of the finished puzzle without lifting them, each with its easiest way.
    pub loose: Vec<Hold>,
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
