//! A board cut up into interlocking pieces.
//!
//! In: a [`PuzzleRequest`] (the board's outline, rows and columns, a seed, the character of the knobs, kerf,
//! thickness and clearance). Out: a [`PuzzleLayout`] (seams as long smooth strokes, numbered pieces, and what
//! was measured on them), or a [`PuzzleError`]. Coordinates are those of the board, in mm with y down.
//!
//! The way: outline → a draft of corners and straight seams → one graph with a tangent at every seam's end → a
//! knob in every seam, tried until it keeps clear of its neighbours and is unlike all others → strokes and pieces →
//! proofs. On a rectangle the draft is plainly rows and columns, where they give the number asked for; else, and in any
//! other outline, many lattices are cut off at it, slivers are joined to their neighbours, corners are moved until all is
//! even, and the best one is taken.
//!
//! Invariant: there is one drawing. A line that two pieces share exists once, and the pieces are its faces;
//! every knob holds and no neck is too thin, by measure and not by formula.

mod model;
mod error;
mod chance;
mod character;
mod floors;
mod grid;
mod rings;
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
mod hold;
mod maker;
mod dress;
mod misfit;
mod strokes;
mod pole;
mod company;
mod pieces;
mod apart;
mod found;
mod proofs;

pub use apart::apart;
pub use character::Character;
pub use error::PuzzleError;
pub use floors::{LEAST_UNDERCUT, least_piece_size};
pub use found::{FoundPiece, found};
pub use hold::Hold;
pub use misfit::LeastMisfit;
pub use model::{Lattice, Measure, Proofs, PuzzleLayout, PuzzlePiece, PuzzleRequest, Tip};

use crate::geometry::{Corners, Region};
use crate::units::Mm;
use chance::Chance;
use character::Style;
use draft::Draft;
use drafts::Drafts;
use dress::Dresser;
use floors::Floors;
use maker::KnobMaker;
use misfit::Wish;
use rings::Rings;

/// How often all knobs are drawn anew when one found no room.
const ROUNDS: u64 = 4;

/// Cuts up a board.
pub fn lay_out(request: &PuzzleRequest) -> Result<PuzzleLayout, PuzzleError> {
    check_measures(request)?;
    let rings = Rings::of(&request.board, &request.whimsies)?;
    let chance = Chance::new(&request.seed);
    let style = Style::of(request);
    let floors = Floors::of(request);
    check_whimsies(&request.whimsies, floors)?;
    let Drafts { drafts, size } = drafts::drafts(request, &rings, chance, floors)?;
    let middle = rings.bounds().center();
    if !floors.leave_room_in(size) {
        return Err(PuzzleError::NoRoom { at: middle, clearance: request.clearance });
    }
    let maker = KnobMaker { style, floors: floors.for_cells(size), size };
    let mut failure = PuzzleError::NoRoom { at: middle, clearance: request.clearance };
    // The most even draft comes first; others, and other knobs, are for seams that find no room.
    for round in 0..ROUNDS {
        for draft in &drafts {
            match cut(request, draft, &rings, chance, maker, round) {
                Ok(layout) => return Ok(layout),
                Err(error) => failure = error,
            }
        }
    }
    Err(failure)
}

/// Puts knobs into a draft and takes the strokes and pieces from it.
fn cut(
    request: &PuzzleRequest,
    draft: &Draft,
    rings: &Rings,
    chance: Chance,
    maker: KnobMaker,
    round: u64,
) -> Result<PuzzleLayout, PuzzleError> {
    let connected = PuzzleError::Unproven { what: "all seams hang together" };
    let mut graph = draft.graph(rings).ok_or(connected)?;
    tangents::set_tangents(&mut graph, rings, maker.style.lattice(), chance);
    let cells = pieces::cells(&graph, maker.size);
    let wish = Wish::of(request, graph.faces.len(), maker.size);
    let mut dresser = Dresser::new(maker, chance, round, &mut graph);
    dresser.dress()?;
    let least_misfit = misfit::keep_apart(&mut dresser, wish);
    let locks = dresser.locks();
    let mut seams = strokes::strokes(&graph);
    seams.extend(rings.whimsies());
    let numbers = pieces::numbers(&cells);
    let holds = hold::holds(&graph, &numbers);
    let proofs = proofs::measure(&graph, &locks, &seams, rings, maker.floors, least_misfit, &holds)?;
    let pieces = pieces::pieces(&graph, &cells, &numbers);
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

/// Refuses whimsies of which nothing is as wide as the neck of a knob has to be.
fn check_whimsies(whimsies: &[Region], floors: Floors) -> Result<(), PuzzleError> {
    let least = Mm::new(floors.neck);
    let is_thin = |whimsy: &Region| whimsy.offset(-least / 2.0, Corners::Round).is_empty();
    match whimsies.iter().position(|w| !w.is_empty() && w.parts().iter().any(is_thin)) {
        Some(index) => Err(PuzzleError::WhimsyTooThin { index, least }),
        None => Ok(()),
    }
}
