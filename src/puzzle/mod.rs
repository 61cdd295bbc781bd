//! A board cut up into interlocking pieces.
//!
//! In: a [`PuzzleRequest`] (the board's outline, rows and columns, a seed, the character of the knobs, kerf,
//! thickness and clearance). Out: a [`PuzzleLayout`] (seams as long smooth strokes, numbered pieces, and what
//! was measured on them), or a [`PuzzleError`]. Coordinates are those of the board, in mm with y down.
//!
//! The way: outline → lattice → one graph of straight chords → a tangent at every corner → a knob in every
//! chord, tried until it keeps clear of its neighbours → strokes and pieces → proofs.
//!
//! Invariant: there is one drawing. A line that two pieces share exists once, and the pieces are its faces;
//! every knob holds and no neck is too thin, by measure and not by formula.

mod model;
mod error;
mod chance;
mod character;
mod floors;
mod grid;
mod ring;
mod graph;
mod lattice;
mod polyline;
mod knob;
mod round;
mod angular;
mod lock;
mod maker;
mod dress;
mod strokes;
mod pole;
mod pieces;
mod proofs;

pub use character::Character;
pub use error::PuzzleError;
pub use floors::least_piece_size;
pub use model::{Lattice, Measure, Proofs, PuzzleLayout, PuzzlePiece, PuzzleRequest};

use chance::Chance;
use dress::Dresser;
use floors::Floors;
use grid::Grid;
use lattice::LatticeMaker;
use maker::KnobMaker;
use ring::Ring;

/// Cuts up a board.
pub fn lay_out(request: &PuzzleRequest) -> Result<PuzzleLayout, PuzzleError> {
    check_measures(request)?;
    let ring = Ring::of(&request.board)?;
    let bounds = ring.bounds();
    let floors = Floors::of(request);
    let grid = Grid::choose(request.lattice, bounds.size(), floors.cell)?;
    let size = grid.cell_size(bounds.size());
    if !floors.leave_room_in(size) {
        return Err(PuzzleError::NoRoom { at: bounds.center(), clearance: request.clearance });
    }
    let floors = floors.for_cells(size);
    let (character, chance) = (request.knob, Chance::new(&request.seed));
    let mut graph = LatticeMaker { ring: &ring, grid, size, style: character.lattice(), chance }.make()?;
    let cells = pieces::cells(&graph, grid, bounds)?;
    let maker = KnobMaker { character, floors, size };
    let locks = Dresser { maker, chance, graph: &mut graph }.dress()?;
    let seams = strokes::strokes(&graph);
    let proofs = proofs::measure(&graph, &locks, &seams, ring.area(), floors)?;
    let pieces = pieces::pieces(&graph, &cells);
    Ok(PuzzleLayout { rows: grid.rows, columns: grid.columns, seams, pieces, proofs })
}

fn check_measures(request: &PuzzleRequest) -> Result<(), PuzzleError> {
    let measures = [("kerf", request.kerf), ("thickness", request.thickness), ("clearance", request.clearance)];
    match measures.into_iter().find(|(_, m)| !m.get().is_finite() || m.get() < 0.0) {
        Some((what, _)) => Err(PuzzleError::BadMeasure { what }),
        None => Ok(()),
    }
}
