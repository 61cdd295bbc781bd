//! The resolved job.
//!
//! In: a [`Recipe`](crate::recipe::Recipe) and its [`Figures`](crate::figures::Figures). Out: a [`Plan`]: every
//! operation with what it burns, in which order, with which numbers and how long it takes.
//!
//! Invariant: a plan refers to nothing of the recipe but places in its text, so that outputs need only the plan;
//! no number in it is a guess.

mod model;
mod lay;
mod colours;
mod setting;
mod strokes;
mod order;
mod kerf;
mod per_piece;
mod rows;
mod dots;
mod photo;
mod time;
mod assemble;

pub use crate::figures::Traced;
pub use crate::mending::{Change, MendKind};
pub use crate::puzzle::{Hold, LeastMisfit, Proofs};
pub use crate::recipe::MirrorAxis;
pub use assemble::{assemble, figure_spans};
pub use dots::Dots;
pub use lay::{Lay, Turned};
pub use model::{
    Accepted, ArtworkUsed, Beam, Burn, CleanUp, Drawn, FigureUsed, FileUsed, Finished, InlayUsed, InputUsed,
    Operation, Piece, Plan, Puzzle, ResolvedSetting, Run, SeamCut, Sheet,
};
pub use rows::{Rows, rows};
pub use time::{line_time, move_time, row_time};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &setting::NO_SETTING,
    &setting::WHICH_SETTING,
    &setting::OTHER_OPERATION,
    &setting::SHADE_AND_SETTING,
    &setting::NO_SHADE_CARD,
    &setting::SHADE_OUTSIDE_CARD,
    &kerf::FEATURE_LOST,
    &kerf::NO_WASTE_SIDE,
    &kerf::OUTLINES_CROSS,
    &kerf::TWICE,
    &per_piece::NO_PIECES,
    &per_piece::FIT_BEYOND_HOLD,
    &per_piece::SHEET_TOO_SMALL,
    &photo::NOT_ENGRAVED,
    &photo::NOT_ALONE,
    &photo::TOO_MANY_DOTS,
    &photo::DOTS_TOO_FINE,
    &photo::NO_TONE_CARD,
    &photo::OTHER_TONE_CARD,
    &photo::TONES_ASSUMED,
    &photo::OTHER_WAY,
];
