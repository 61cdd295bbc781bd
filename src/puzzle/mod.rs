//! A board cut up into interlocking pieces.
//!
//! In: a [`PuzzleRequest`] (the board's outline, rows and columns, a seed, the character of the knobs, kerf,
//! thickness and clearance). Out: a [`PuzzleLayout`] (seams as long smooth strokes, numbered pieces, and what
//! was measured on them), or a [`PuzzleError`]. Coordinates are those of the board, in mm with y down.
//!
//! The way: outline → a draft of corners and straight seams → one graph with a tangent at every seam's end → a
//! knob in every seam, tried until it keeps clear of its neighbours → strokes and pieces → proofs. On a
//! rectangle the draft is plainly rows and columns; in any other outline many lattices are cut off at it, slivers are
//! joined to their neighbours, corners are moved until all is even, and the best one is taken.
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
mod draft;
mod lattice;
mod clip;
mod merge;
mod relax;
mod shaped;
mod drafts;
mod tangents;
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
use draft::Draft;
use drafts::Drafts;
use dress::Dresser;
use floors::Floors;
use maker::KnobMaker;
use ring::Ring;

/// How often all knobs are drawn anew when one found no room.
const ROUNDS: u64 = 4;

/// Cuts up a board.
pub fn lay_out(request: &PuzzleRequest) -> Result<PuzzleLayout, PuzzleError> {
    check_measures(request)?;
    let ring = Ring::of(&request.board)?;
    let chance = Chance::new(&request.seed);
    let character = request.knob;
    let floors = Floors::of(request);
    let Drafts { drafts, size } = drafts::drafts(request, &ring, chance, floors)?;
    let middle = ring.bounds().center();
    if !floors.leave_room_in(size) {
        return Err(PuzzleError::NoRoom { at: middle, clearance: request.clearance });
    }
    let maker = KnobMaker { character, floors: floors.for_cells(size), size };
    let mut failure = PuzzleError::NoRoom { at: middle, clearance: request.clearance };
    // The most even draft comes first; others, and other knobs, are for seams that find no room.
    for round in 0..ROUNDS {
        for draft in &drafts {
            match cut(draft, &ring, chance, maker, round) {
                Ok(layout) => return Ok(layout),
                Err(error) => failure = error,
            }
        }
    }
    Err(failure)
}

/// Puts knobs into a draft and takes the strokes and pieces from it.
fn cut(
    draft: &Draft,
    ring: &Ring,
    chance: Chance,
    maker: KnobMaker,
    round: u64,
) -> Result<PuzzleLayout, PuzzleError> {
    let connected = PuzzleError::Unproven { what: "all seams hang together" };
    let mut graph = draft.graph(ring).ok_or(connected)?;
    tangents::set_tangents(&mut graph, ring, maker.character.lattice(), chance);
    let cells = pieces::cells(&graph, maker.size);
    let locks = Dresser::new(maker, chance, round, &mut graph).dress()?;
    let seams = strokes::strokes(&graph);
    let proofs = proofs::measure(&graph, &locks, &seams, ring.area(), maker.floors)?;
    let pieces = pieces::pieces(&graph, &cells);
    let most = |of: fn(&PuzzlePiece) -> usize| pieces.iter().map(of).max().unwrap_or(0);
    Ok(PuzzleLayout { rows: most(|p| p.row), columns: most(|p| p.column), seams, pieces, proofs })
}

fn check_measures(request: &PuzzleRequest) -> Result<(), PuzzleError> {
    let measures = [("kerf", request.kerf), ("thickness", request.thickness), ("clearance", request.clearance)];
    match measures.into_iter().find(|(_, m)| !m.get().is_finite() || m.get() < 0.0) {
        Some((what, _)) => Err(PuzzleError::BadMeasure { what }),
        None => Ok(()),
    }
}
