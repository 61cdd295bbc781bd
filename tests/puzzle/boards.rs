//! Boards and requests that several tests cut up.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::puzzle::{Character, Lattice, PuzzleLayout, PuzzleRequest, lay_out};
use kerfbook::units::Mm;
use kurbo::{Rect, RoundedRect, Shape};

/// A rectangle with its left top corner off the origin, so that no test leans on the origin.
pub fn rectangle(width: f64, height: f64) -> Region {
    region(&Rect::new(10.0, 20.0, 10.0 + width, 20.0 + height))
}

/// A rectangle with rounded corners.
pub fn rounded(width: f64, height: f64, radius: f64) -> Region {
    region(&RoundedRect::new(10.0, 20.0, 10.0 + width, 20.0 + height, radius))
}

/// Any shape as a board.
pub fn region(shape: &impl Shape) -> Region {
    Region::from_path(&shape.to_path(1e-4), FillRule::NonZero).unwrap()
}

/// A usual request: 3 mm stock, 0.15 mm kerf, 2 mm clearance.
pub fn request(board: Region, lattice: Lattice, seed: &str) -> PuzzleRequest {
    PuzzleRequest {
        board,
        lattice,
        seed: seed.to_owned(),
        knob: Character::Round,
        kerf: Mm::new(0.15),
        thickness: Mm::new(3.0),
        clearance: Mm::new(2.0),
    }
}

/// The layout of a usual request that must work.
pub fn cut_up(board: Region, lattice: Lattice, seed: &str) -> PuzzleLayout {
    cut_up_as(Character::Round, board, lattice, seed)
}

/// The same with other knobs.
pub fn cut_up_as(knob: Character, board: Region, lattice: Lattice, seed: &str) -> PuzzleLayout {
    let request = PuzzleRequest { knob, ..request(board, lattice, seed) };
    lay_out(&request).unwrap_or_else(|e| panic!("{knob:?}, {seed}: {e}"))
}
