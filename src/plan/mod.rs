//! The resolved job.
//!
//! In: a [`Recipe`](crate::recipe::Recipe) and its [`Figures`](crate::figures::Figures). Out: a [`Plan`]: every
//! operation with what it burns, in which order, with which numbers and how long it takes.
//!
//! Invariant: a plan refers to nothing of the recipe but places in its text, so that outputs need only the plan;
//! no number in it is a guess.

mod model;
mod operation;
mod lay;
mod origin;
mod colours;
mod setting;
mod shade;
mod missing;
mod estimate;
mod focus;
mod trial;
mod card_command;
mod strokes;
mod travel;
mod kerf;
mod per_piece;
mod pieces;
mod cutting;
mod rows;
mod dots;
mod photo;
mod time;
mod measure;
mod cost;
mod test_piece;
mod assemble;
mod last_time;
mod resume;

pub use crate::figures::Traced;
pub use crate::journal::{HowItWent, RunThen};
pub use crate::mending::{Change, MendKind};
pub use crate::puzzle::{Hold, LeastMisfit, Proofs};
pub use crate::recipe::{MirrorAxis, SheetCorner};
pub use assemble::{assemble, figure_spans};
pub use cost::Cost;
pub use cutting::{LeadIns, Manner, Spread, Tabs};
pub use dots::Dots;
pub use focus::{Focus, Room, Widths};
pub use last_time::{Difference, LastTime, last_time};
pub use lay::{Fixture, Laid, Lay, Turned};
pub use model::{
    Accepted, ArtworkUsed, Beam, Burn, CardRead, CleanUp, Drawn, DrawnSeams, FigureUsed, FileUsed, Finished,
    InlayUsed, InputUsed, Operation, Piece, Plan, Puzzle, ResolvedSetting, Run, SeamCut, Sheet, Version, Warned,
};
pub use origin::{Reach, SAME_PLACE};
pub use resume::{Asked, BackTo, Part, Remainder, ResumeError, remainder};
pub use rows::{Row, Rows, rows};
pub use test_piece::{PATCH, Step, TestPiece, Try};
pub use time::{Cornering, Estimate, Motion, line_time, move_time, row_time, run_up};
pub use travel::{Order, ordered, travel};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &missing::NO_SETTING,
    &setting::WHICH_SETTING,
    &setting::OTHER_OPERATION,
    &shade::SHADE_AND_SETTING,
    &shade::NO_SHADE_CARD,
    &shade::WHICH_SHADE_CARD,
    &shade::SHADE_OUTSIDE_CARD,
    &shade::CARD_OUTDATED,
    &trial::INCOMPLETE,
    &kerf::FEATURE_LOST,
    &kerf::NO_WASTE_SIDE,
    &kerf::OUTLINES_CROSS,
    &kerf::TWICE,
    &per_piece::NO_PIECES,
    &per_piece::FIT_BEYOND_HOLD,
    &per_piece::SHEET_TOO_SMALL,
    &cutting::NOTHING_CLOSED,
    &cutting::NO_ROOM_FOR_TABS,
    &cutting::NO_ROOM_FOR_LEAD_IN,
    &cutting::OVERCUT_LONG,
    &photo::NOT_ENGRAVED,
    &photo::NOT_ALONE,
    &photo::TOO_MANY_DOTS,
    &photo::DOTS_TOO_FINE,
    &photo::NO_TONE_CARD,
    &photo::OTHER_TONE_CARD,
    &photo::TONES_ASSUMED,
    &photo::OTHER_WAY,
];
