//! What no knob may fall below, whatever chance draws.

use super::{Character, PuzzleRequest};
use crate::units::Mm;

/// A neck thinner than this breaks in the hand. A judgement of this project, no source.
const LEAST_NECK: f64 = 2.0;
/// The least neck as a share of the stock's thickness. A judgement of this project, no source.
const NECK_PER_THICKNESS: f64 = 0.8;
/// What a knob must keep beyond its socket's neck once the kerf is gone. A judgement of this project, no source.
pub const LEAST_UNDERCUT: Mm = Mm::new(0.8);
/// Lines keep at least this share of the cell's size apart: in a large piece a bridge of the least width both
/// looks like a mistake and breaks first. A judgement of this project, no source.
const CLEARANCE_PER_CELL: f64 = 0.07;
/// A wider clearance than this share of a cell's size leaves no room for a knob.
const WIDEST_CLEARANCE: f64 = 0.25;

/// The floors for one puzzle, as drawn and in mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Floors {
    /// A neck: what must be left of it, and the kerf.
    pub neck: f64,
    /// An undercut: the knob loses a kerf and the socket gains one.
    pub undercut: f64,
    /// The distance between two lines.
    pub clearance: f64,
    /// The size of a cell.
    pub cell: f64,
    /// The width of the cut, which pieces have as play.
    pub kerf: f64,
}

impl Floors {
    /// The floors that a request leads to.
    pub(super) fn of(request: &PuzzleRequest) -> Self {
        let kerf = request.kerf.get();
        let left = LEAST_NECK.max(NECK_PER_THICKNESS * request.thickness.get());
        // The sum of what one knob needs; the factors were measured on prototypes: below them knobs find no room.
        let need = left + 3.0 * kerf + LEAST_UNDERCUT.get();
        let factor = match request.knob {
            Character::Round => 4.6,
            Character::Wavy => 5.6,
            Character::Angular => 5.2,
        };
        Self {
            neck: left + kerf,
            undercut: LEAST_UNDERCUT.get() + 2.0 * kerf,
            clearance: request.clearance.get(),
            cell: factor * need,
            kerf,
        }
    }

    /// Whether so wide a clearance leaves room for knobs in cells of this size, mm.
    pub(super) fn leave_room_in(self, size: f64) -> bool {
        self.clearance <= WIDEST_CLEARANCE * size
    }

    /// The same floors where cells are of this size, mm.
    pub(super) fn for_cells(self, size: f64) -> Self {
        Self { clearance: self.clearance.max(CLEARANCE_PER_CELL * size), ..self }
    }
}

/// The least size of a piece: the side of a square of the same area, less for long pieces.
pub fn least_piece_size(request: &PuzzleRequest) -> Mm {
    Mm::new(Floors::of(request).cell)
}
