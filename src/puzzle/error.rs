//! Why a board cannot be cut up as asked. The caller turns these into findings.

use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;
use std::fmt;

/// Why there is no puzzle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PuzzleError {
    /// The board is not one area.
    BoardNotWhole {
        /// How many areas it has.
        outlines: usize,
    },
    /// A whimsy encloses nothing, or has a hole.
    WhimsyNotWhole {
        /// Which one of those asked for, from 0.
        index: usize,
    },
    /// A whimsy is so thin that nothing of it would hold together.
    WhimsyTooThin {
        /// Which one of those asked for, from 0.
        index: usize,
        /// How wide it has to be somewhere.
        least: Mm,
    },
    /// A hole is so small that no seam can end on it, and none of the lattices that were tried leaves it inside a piece.
    HoleTooSmall {
        /// Its middle.
        at: Point,
        /// How large holes have to be.
        least: Mm,
    },
    /// A whimsy is not wholly inside the board, or so near to its outline, to a hole or to another whimsy that no sound
    /// piece fits in between.
    WhimsyTooNear {
        /// Which one of those asked for, from 0.
        index: usize,
        /// Where it is too near, or lies outside.
        at: Point,
        /// Whether it lies outside the board, in a hole or in another whimsy there.
        is_outside: bool,
        /// How near it may be.
        least: Mm,
    },
    /// A measure is not finite, or negative where it must not be.
    BadMeasure {
        /// Which one: `kerf`, `thickness` or `clearance`.
        what: &'static str,
    },
    /// No rows and columns give so many pieces of a good shape (at most half as long again as wide).
    NoSuchGrid {
        /// How many were asked for.
        pieces: usize,
        /// The next smaller number that works.
        below: Option<usize>,
        /// The next larger number that works.
        above: Option<usize>,
    },
    /// More pieces than are fitted to an outline that is no rectangle.
    TooManyForOutline {
        /// How many were asked for.
        pieces: usize,
        /// The most.
        most: usize,
    },
    /// No lattice was found that gives so many sound pieces in this outline: other numbers or seeds may work.
    NoLatticeForOutline {
        /// How many were asked for.
        pieces: usize,
    },
    /// The pieces would be too small for knobs that hold and do not break.
    PiecesTooSmall {
        /// How large they would be: the side of a square of the same area, less for long pieces.
        size: Mm,
        /// The least size that works with this kerf, thickness and character.
        floor: Mm,
        /// About how many pieces this board can be cut into.
        most: usize,
    },
    /// A seam found no place for its knob with the clearance asked for.
    NoRoom {
        /// The middle of that seam.
        at: Point,
        /// The clearance asked for.
        clearance: Mm,
    },
    /// The finished drawing failed one of its own proofs: a defect of the program, never of the recipe.
    Unproven {
        /// What does not hold.
        what: &'static str,
    },
}

impl fmt::Display for PuzzleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::BoardNotWhole { outlines } => {
                write!(f, "a puzzle needs a board in one part, found {outlines}")
            }
            Self::WhimsyNotWhole { .. } => {
                f.write_str("a piece with a hole in it, or without an area, cannot be set in")
            }
            Self::WhimsyTooThin { least, .. } => {
                write!(f, "a piece less than {} mm wide all over cannot be set in", fixed(least.get(), 2))
            }
            Self::HoleTooSmall { at, least } => write!(
                f,
                "no seam can end on the hole {} mm from the sheet's left and {} mm from its top: holes are {} mm across or more",
                fixed(at.x, 1),
                fixed(at.y, 1),
                fixed(least.get(), 0)
            ),
            Self::WhimsyTooNear { at, is_outside: true, .. } => write!(
                f,
                "the line {} mm from the sheet's left and {} mm from its top lies outside the board, or in another piece",
                fixed(at.x, 1),
                fixed(at.y, 1)
            ),
            Self::WhimsyTooNear { at, least, is_outside: false, .. } => write!(
                f,
                "the line {} mm from the sheet's left and {} mm from its top leaves less than {} mm for the pieces beside it",
                fixed(at.x, 1),
                fixed(at.y, 1),
                fixed(least.get(), 1)
            ),
            Self::BadMeasure { what } => write!(f, "the {what} is not a usable length"),
            Self::NoSuchGrid { pieces, below, above } => {
                write!(f, "no rows and columns give {pieces} pieces of a good shape")?;
                match (below, above) {
                    (Some(b), Some(a)) => write!(f, "; {b} and {a} work"),
                    (Some(n), None) | (None, Some(n)) => write!(f, "; {n} works"),
                    (None, None) => Ok(()),
                }
            }
            Self::TooManyForOutline { pieces, most } => {
                write!(f, "{pieces} pieces are too many for an outline that is no rectangle: at most {most}")
            }
            Self::NoLatticeForOutline { pieces } => {
                write!(f, "no lattice gives {pieces} sound pieces in this outline; try another number or seed")
            }
            Self::PiecesTooSmall { size, floor, most } => write!(
                f,
                "pieces of {} mm are too small for knobs that hold: at least {} mm, at most about {most} pieces",
                fixed(size.get(), 1),
                // Rounded up: a piece of the size that is said has to be large enough.
                fixed((floor.get() * 10.0).ceil() / 10.0, 1)
            ),
            Self::NoRoom { at, clearance } => write!(
                f,
                "the seam {} mm from the sheet's left and {} mm from its top finds no place {clearance} clear of its neighbours",
                fixed(at.x, 1),
                fixed(at.y, 1)
            ),
            Self::Unproven { what } => write!(f, "the puzzle failed its own proof: {what}"),
        }
    }
}

impl std::error::Error for PuzzleError {}
