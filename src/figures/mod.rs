//! Figures: from what is written to what lies on the sheet.
//!
//! In: a `Recipe` and the files it names. Out: [`Figures`], every figure drawn, sized and placed, in
//! millimetres from the sheet's left top corner.
//!
//! Figures depend on each other, so they are worked out in waves: every figure whose references are done, at
//! the same time as all others like it. Slow steps are kept in a [`Cache`] by what they are made from, so that
//! a watch only repeats what an edit has changed.
//!
//! Invariant: the result does not depend on the order or number of threads, nor on what the cache holds.

mod graph;
mod placed;
mod bench;
mod primitive;
mod body;
mod artwork;
mod embedded;
mod mended;
mod lettering;
mod photo;
mod trace;
mod derived;
mod alike_seams;
mod offset_parts;
mod puzzle;
mod inlay;
mod numbers;
mod tray;
mod fixture;

pub use crate::cache::Cache;
pub use bench::{Bench, Sizes, geometry_failure};
pub use body::area_of;
pub use graph::evaluate;
pub use inlay::{Fit, fit_of, not_measured, path as inlay_path};
pub use photo::{PhotoSource, PlacedPhoto};
pub use placed::{Figures, Placed, Traced};
pub use trace::{RULES as TRACE_RULES, traced_pieces};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &bench::NO_FRAME,
    &bench::NOT_POSITIVE,
    &bench::MARGIN_TOO_WIDE,
    &bench::NO_EXTENT,
    &bench::TOO_MUCH,
    &body::NOTHING_LEFT,
    &body::BOARD_NOT_WHOLE,
    &artwork::BAD_SELECTOR,
    &artwork::NO_PHYSICAL_SIZE,
    &photo::NO_SIZE,
    &photo::SINGLE_PIXEL,
    &embedded::NO_EMBEDDED_PICTURE,
    &embedded::PLACED_OTHERWISE,
    &photo::VIGNETTE_MISSES,
    &artwork::NO_PAGE,
    &lettering::CANNOT_SET,
    &lettering::BAD_FONT,
    &lettering::MISSING_GLYPH,
    &lettering::NO_SUCH_AXIS,
    &lettering::NO_SUCH_FEATURE,
    &lettering::AXIS_RANGE,
    &lettering::FANNED_OUT,
    &lettering::COLLIDE,
    &lettering::BRIDGE_BURNS,
    &lettering::BRIDGE_TOO_WIDE,
    &derived::VANISHED,
    &offset_parts::PARTS_VANISHED,
    &offset_parts::PARTS_MERGED,
    &offset_parts::HOLES_CLOSED,
    &puzzle::NO_KERF,
    &puzzle::NO_SUCH_GRID,
    &puzzle::PIECES_TOO_SMALL,
    &puzzle::BOARD_SHAPE,
    &puzzle::NO_ROOM,
    &puzzle::OTHER_NUMBER,
    &puzzle::WHIMSY_SHAPE,
    &puzzle::WHIMSY_PLACE,
    &alike_seams::ALIKE_SEAMS,
    &inlay::NOT_MEASURED,
    &inlay::FEATURE_LOST,
    &inlay::PAIR_DIFFERS,
    &numbers::NO_PUZZLE,
    &numbers::TOO_SMALL,
    &tray::PARTS_DIFFER,
];
