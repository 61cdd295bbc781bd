//! The typed recipe.
//!
//! In: the tree of a recipe's text and the files it uses. Out: a [`Recipe`], in which every word has become
//! a value with the place where it was written, every name points at something that exists, and inputs have
//! been put in.
//!
//! One file per part of the language: description, type, decoding and findings stand together.
//!
//! Invariant: nothing is computed here but what stands in the text; the sizes of figures come later.

mod document;
mod inputs;
mod bench;
mod placing;
mod shape;
mod artwork;
mod mend;
mod lettering;
mod photo;
mod lettering_parts;
mod trace;
mod derived;
mod inlay;
mod tray;
mod fixture;
mod grid;
mod repeat;
mod numbers;
mod figure;
mod run;
mod allow;
mod names;
mod load;

pub use allow::{ALLOW, Allow, apply_allows};
pub use artwork::{Artwork, ArtworkFont, ArtworkFrame};
pub use bench::SheetSize;
pub use derived::{OffsetOf, PiecesWanted, PuzzleOf, RegisterMarks};
pub use document::{RECIPE_FILE, Recipe};
pub use figure::{BOARD_NAME, Figure, FigureKind};
pub use fixture::{FixtureOf, SheetCorner};
pub use inlay::InlayOf;
pub use inputs::{Given, Input, InputKind};
pub use lettering::{ArcSide, Lettering, LetteringArc, LetteringFace};
pub use lettering_parts::{AlongFigure, Axis, Fallback, Feature};
pub use load::{
    Instead, LoadRequest, Loaded, LoadedShop, journal_name, load, load_shop, load_shop_text, read_failure,
};
pub use mend::Mend;
pub use names::SHEET_NAME;
pub use numbers::NumbersOf;
pub use photo::{Crop, Fit as PhotoFit, Photo, PhotoDither, PhotoTone, Vignette};
pub use placing::{Anchor, AnchorSide, Direction, MirrorAxis, Place, Placing, Size, Turn, Written};
pub use repeat::{Cell, Repeated};
pub use run::{LaidIn, OperationNode, RunNode};
pub use shape::{Combine, Drawn, Item, Position, Primitive};
pub use trace::{Reading, TraceOf};
pub use tray::TrayOf;

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &document::NEWER_LANGUAGE,
    &document::WRONG_FILE_NAME,
    &inputs::NO_VALUE,
    &inputs::BAD_VALUE,
    &inputs::UNKNOWN_SET,
    &inputs::DOUBLED_INPUT,
    &placing::CONTRADICTION,
    &shape::BAD_PATH,
    &shape::TOO_FEW,
    &lettering::NO_SIZE,
    &photo::NOTHING_LEFT,
    &photo::NO_HALFTONE,
    &lettering::NO_FACE,
    &lettering_parts::BAD_TAG,
    &derived::GRID,
    &run::FIT_OF_SHARED,
    &run::TAB_WITHOUT_TABS,
    &inlay::FIT,
    &names::DOUBLED_NAME,
    &names::UNKNOWN_FIGURE,
    &names::FIGURE_CIRCLE,
    &names::UNKNOWN_SHOP_NAME,
    &names::NO_BOARD,
    &load::UNREADABLE,
    &load::OUTSIDE_PROJECT,
    &load::NOT_TEXT,
    &load::NOT_A_RECIPE,
    &load::USE_CIRCLE,
    &repeat::NO_COLUMN,
    &repeat::TAKEN,
    &repeat::NO_SUCH_ROWS,
    &repeat::FEWER_ROWS,
    &repeat::DOES_NOT_FIT,
    &repeat::TOO_MANY,
    &allow::UNKNOWN_RULE,
    &allow::NOT_EXCUSABLE,
    &allow::EXCUSES_NOTHING,
];

/// The descriptions of everything that a recipe, a shop file and a journal may hold.
pub static ROOTS: [&crate::schema::NodeSpec; 3] =
    [&RECIPE_FILE, &crate::shop::SHOP_FILE, &crate::journal::JOURNAL_FILE];
