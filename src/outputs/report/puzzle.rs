//! The part of a report that is about a puzzle: its pieces, and the proofs that they are whole, hold and fit in one place only.

use super::Number;
use super::collect::{bounds, mm, point};
use super::job::{BoxReport, PointReport};
use crate::geometry;
use crate::plan::{Hold, LeastMisfit, Piece, Puzzle};
use crate::units::Mm2;
use schemars::JsonSchema;
use serde::Serialize;

/// A puzzle and the proofs that its pieces are whole.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Puzzle", deny_unknown_fields)]
pub struct PuzzleReport<'a> {
    /// The figure's name.
    pub name: &'a str,
    /// The text the seams were drawn from; of seams that were traced, this and what is proved of drawn ones is missing.
    pub seed: Option<&'a str>,
    /// Rows of the lattice.
    pub rows: Option<usize>,
    /// Columns of the lattice.
    pub columns: Option<usize>,
    /// How many seams and lines round whimsies there are, each counted once.
    pub seams: usize,
    /// Length of all seams.
    pub seam_length_mm: Number,
    /// Narrowest neck of a knob as drawn.
    pub narrowest_neck_mm: Option<Number>,
    /// Where it is.
    pub narrowest_neck_at: Option<PointReport>,
    /// Least distance by which a knob is wider than the gap it sits in, as drawn.
    pub least_undercut_mm: Option<Number>,
    /// Where it is.
    pub least_undercut_at: Option<PointReport>,
    /// Least distance between two lines away from the corners where they meet, as drawn.
    pub nearest_lines_mm: Option<Number>,
    /// Where it is.
    pub nearest_lines_at: Option<PointReport>,
    /// Sharpest corner of a piece at the end of a seam.
    pub sharpest_tip_deg: Option<Number>,
    /// Where it is.
    pub sharpest_tip_at: Option<PointReport>,
    /// The two seams that are most alike, where they were compared.
    pub least_misfit: Option<MisfitReport>,
    /// The piece that its neighbours hold least.
    pub weakest_hold: Option<HoldReport>,
    /// The pieces that slide out without being lifted; none in a sound puzzle.
    pub loose_pieces: Vec<HoldReport>,
    /// Area of all pieces; the same as the area of what was cut up, when nothing is lost or doubled.
    pub pieces_area_mm2: Number,
    /// By how much the two differ: rounding only.
    pub area_error_mm2: Option<Number>,
    /// Area of the smallest piece.
    pub smallest_piece_mm2: Number,
    /// Area of the largest piece.
    pub largest_piece_mm2: Number,
    /// The pieces, row by row.
    pub pieces: Vec<PieceReport>,
}

/// How alike two seams are.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Misfit", deny_unknown_fields)]
pub struct MisfitReport {
    /// What is left between them when one is laid onto the other as well as can be.
    pub misfit_mm: Number,
    /// The least that was wanted; 0 when nothing was.
    pub wanted_mm: Number,
    /// The knob of the one; the same as the other for a knob that fits its own socket turned over.
    pub first: PointReport,
    /// The knob of the other.
    pub second: PointReport,
    /// Whether a piece has to be turned over to fit so.
    pub turned_over: bool,
    /// In how many rounds seams were drawn anew because they were too much alike.
    pub rounds: usize,
}

/// How a piece is held on the way on which its neighbours stand in it least.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Hold", deny_unknown_fields)]
pub struct HoldReport {
    /// The number of the piece.
    pub piece: usize,
    /// Width across the way of the widest stretch of a neighbour that stands in it, as drawn; a kerf of it is play.
    pub width_mm: Number,
    /// The way: 0 is to the right, 90 is down.
    pub way_deg: Number,
}

/// One piece of a puzzle.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Piece", deny_unknown_fields)]
pub struct PieceReport {
    /// Number, from 1, row by row.
    pub number: usize,
    /// Whether its outline was given by a `whimsy`.
    pub is_whimsy: bool,
    /// The box around it.
    pub bounds: Option<BoxReport>,
    /// Its area.
    pub area_mm2: Number,
    /// A point well inside it.
    pub middle: PointReport,
    /// Radius of a circle about that point that stays inside.
    pub room_mm: Number,
    /// The numbers of the pieces that it meets along seams.
    pub neighbours: Vec<usize>,
    /// How many knobs of its own it has.
    pub knobs: Option<usize>,
    /// How many sockets it has, for the knobs of other pieces.
    pub sockets: Option<usize>,
}

/// Gathers it.
pub(super) fn puzzle(puzzle: &Puzzle) -> PuzzleReport<'_> {
    let areas: Vec<Mm2> = puzzle.pieces.iter().map(|p| p.outline.area()).collect();
    let least = areas.iter().copied().reduce(Mm2::min).unwrap_or(Mm2::ZERO);
    let most = areas.iter().copied().reduce(Mm2::max).unwrap_or(Mm2::ZERO);
    let drawn = puzzle.drawn.as_ref();
    let proofs = drawn.map(|drawn| &drawn.proofs);
    PuzzleReport {
        name: &puzzle.name,
        seed: drawn.map(|drawn| drawn.seed.as_str()),
        rows: drawn.map(|drawn| drawn.rows),
        columns: drawn.map(|drawn| drawn.columns),
        seams: puzzle.seams.len(),
        seam_length_mm: mm(puzzle.seams.iter().map(geometry::length).sum()),
        narrowest_neck_mm: proofs.map(|p| mm(p.narrowest_neck.value)),
        narrowest_neck_at: proofs.map(|p| point(p.narrowest_neck.at)),
        least_undercut_mm: proofs.map(|p| mm(p.least_undercut.value)),
        least_undercut_at: proofs.map(|p| point(p.least_undercut.at)),
        nearest_lines_mm: proofs.map(|p| mm(p.nearest_lines.value)),
        nearest_lines_at: proofs.map(|p| point(p.nearest_lines.at)),
        sharpest_tip_deg: proofs.map(|p| Number::new(p.sharpest_tip.angle.get())),
        sharpest_tip_at: proofs.map(|p| point(p.sharpest_tip.at)),
        least_misfit: proofs.and_then(|p| p.least_misfit.as_ref()).map(misfit),
        weakest_hold: proofs.map(|p| hold(&p.weakest_hold)),
        loose_pieces: proofs.iter().flat_map(|p| &p.loose).map(hold).collect(),
        pieces_area_mm2: Number::new(areas.iter().copied().sum::<Mm2>().get()),
        area_error_mm2: proofs.map(|p| Number::new(p.area_error.get())),
        smallest_piece_mm2: Number::new(least.get()),
        largest_piece_mm2: Number::new(most.get()),
        pieces: puzzle.pieces.iter().map(piece).collect(),
    }
}

fn misfit(least: &LeastMisfit) -> MisfitReport {
    MisfitReport {
        misfit_mm: mm(least.value),
        wanted_mm: mm(least.wanted),
        first: point(least.at[0]),
        second: point(least.at[1]),
        turned_over: least.turned_over,
        rounds: least.rounds,
    }
}

fn hold(hold: &Hold) -> HoldReport {
    HoldReport { piece: hold.piece, width_mm: mm(hold.value), way_deg: Number::new(hold.way.get()) }
}

fn piece(piece: &Piece) -> PieceReport {
    PieceReport {
        number: piece.number,
        is_whimsy: piece.is_whimsy,
        bounds: piece.outline.bounds().map(bounds),
        area_mm2: Number::new(piece.outline.area().get()),
        middle: point(piece.middle),
        room_mm: mm(piece.room),
        neighbours: piece.neighbours.clone(),
        knobs: piece.knobs,
        sockets: piece.sockets,
    }
}
