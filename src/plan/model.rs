//! [`Plan`]: a job that is resolved, ordered and ready to be written.
//!
//! Promises, each with a test:
//! - every coordinate is in millimetres from the sheet's left top corner, x right, y down, and finite, and counts as
//!   seen from the front, also in runs that burn the back;
//! - runs and operations stand in the order in which they are burned, numbered from 1;
//! - every operation that burns has a complete setting; nothing is left to a default of a reader;
//! - cut and score lines are single subpaths, in the order in which they are burned;
//! - nothing here refers to a recipe: outputs need only this.

use super::cost::Cost;
use super::focus::Focus;
use super::last_time::LastTime;
use super::lay::Fixture;
use super::test_piece::TestPiece;
use crate::figures::Traced;
use crate::geometry::{Drawing, Region};
use crate::mending::Change;
use crate::puzzle::Proofs;
use crate::shop::{Lesson, Machine, Moment, Paper, Stock};
use crate::source::Span;
use crate::units::{Mm, Mm2};
use kurbo::{Affine, BezPath, Point, Rect, Vec2};
use std::sync::Arc;

pub use super::operation::{
    Beam, Burn, CardRead, CleanUp, Drawn, Finished, Operation, ResolvedSetting, Run, SeamCut,
};

/// A whole job.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The recipe's title.
    pub title: String,
    /// What it is, for people; may be empty.
    pub about: String,
    /// The recipe's file, as it was named.
    pub recipe: String,
    /// The name of the output folder and the stem of the recipe's file.
    pub slug: String,
    /// What tells this job from all others.
    pub version: Version,
    /// The raw piece on the bed.
    pub sheet: Sheet,
    /// The finished outline.
    pub board: Option<Region>,
    /// The machine.
    pub machine: Machine,
    /// The stock.
    pub stock: Stock,
    /// What the job sheet is printed on.
    pub paper: Paper,
    /// The inputs and the values they were given.
    pub inputs: Vec<InputUsed>,
    /// Every file that was read.
    pub files: Vec<FileUsed>,
    /// The figures, in the recipe's order.
    pub figures: Vec<FigureUsed>,
    /// The visits to the machine.
    pub runs: Vec<Run>,
    /// What it costs.
    pub cost: Cost,
    /// The puzzle, where there is one.
    pub puzzle: Option<Puzzle>,
    /// The corners cut from scrap that sheets are laid into.
    pub fixtures: Vec<Fixture>,
    /// Lessons that fit this job.
    pub lessons: Vec<Lesson>,
    /// The shop's own additions to the checklists.
    pub reminders: Vec<(Moment, String)>,
    /// Findings that the recipe accepts, with its reasons.
    pub accepted: Vec<Accepted>,
    /// Warnings that the recipe does not accept.
    pub warnings: Vec<Warned>,
    /// How it went when it was last burned, where a journal tells.
    pub last_time: Option<LastTime>,
    /// What is burned on an offcut first; nothing for a job that is a test itself.
    pub test_piece: Option<TestPiece>,
}

/// What tells a job from all others.
#[derive(Clone, Debug, Default)]
pub struct Version {
    /// SHA-256 over every file that was read, every input and the version of this program, lower-case hexadecimal.
    pub content: String,
    /// The first digits of the revision that the project is at, where it is kept under version control.
    pub revision: Option<String>,
}

impl Plan {
    /// The focus of one of its operations; `None` of what is not burned.
    pub fn focus_of(&self, operation: &Operation) -> Option<Focus> {
        Focus::of(operation, &self.machine, &self.stock)
    }

    /// Whether any of its numbers are only tried.
    pub fn is_trial(&self) -> bool {
        self.runs.iter().flat_map(|r| &r.operations).any(Operation::is_trial)
    }
}

/// The raw piece on the bed, which is also the page of every run.
#[derive(Clone, Copy, Debug)]
pub struct Sheet {
    /// Width.
    pub width: Mm,
    /// Height.
    pub height: Mm,
    /// How far its highest place rises above where it would lie flat, as measured.
    pub curl: Option<Mm>,
    /// Whether it is left over from another job, and not paid for.
    pub is_offcut: bool,
    /// Height of the block under its right edge, where it is tilted on purpose; its left edge lies on the bed.
    pub block: Option<Mm>,
    /// Where it is written.
    pub span: Span,
}

impl Sheet {
    /// Width and height.
    pub const fn size(&self) -> (Mm, Mm) {
        (self.width, self.height)
    }
}

/// An input and its value.
#[derive(Clone, Debug)]
pub struct InputUsed {
    /// Its name.
    pub name: String,
    /// Its value, as written.
    pub value: String,
    /// What it is for.
    pub about: String,
    /// Whether the value is the recipe's default.
    pub is_default: bool,
}

/// A file that was read.
#[derive(Clone, Debug)]
pub struct FileUsed {
    /// Its path relative to the recipe's folder, with `/`.
    pub path: String,
    /// SHA-256, lower-case hexadecimal.
    pub hash: String,
}

/// A figure, for the record.
#[derive(Clone, Debug)]
pub struct FigureUsed {
    /// Its name.
    pub name: String,
    /// The recipe word it was made with.
    pub kind: &'static str,
    /// The box it takes on the sheet; `None` when it is empty.
    pub bounds: Option<Rect>,
    /// Its inked area.
    pub area: Mm2,
    /// How many closed outlines and lines it has.
    pub outlines: usize,
    /// The numbers of an inlay.
    pub inlay: Option<InlayUsed>,
    /// How it was traced, where it is a picture.
    pub trace: Option<Traced>,
    /// What was mended in it.
    pub changes: Vec<Change>,
    /// Where it comes from; only of figures drawn or traced from a file.
    pub artwork: Option<ArtworkUsed>,
}

/// A drawing or a traced picture from a file, as it lies on the sheet.
#[derive(Clone, Debug)]
pub struct ArtworkUsed {
    /// The file, as the recipe names it.
    pub file: String,
    /// What it looks like, with the elements of the file where it is a drawing.
    pub drawing: Arc<Drawing>,
}

/// The numbers of an insert or a pocket.
#[derive(Clone, Debug)]
pub struct InlayUsed {
    /// The figure that is inlaid.
    pub of: String,
    /// Whether it is the insert; else the pocket.
    pub is_insert: bool,
    /// The gap on each side; negative where the insert is pressed in.
    pub gap: Mm,
    /// Kerf of the insert's stock.
    pub insert_kerf: Mm,
    /// Kerf of the pocket's stock.
    pub pocket_kerf: Mm,
    /// Width and height of what comes out: the insert, or the opening.
    pub finished: (Mm, Mm),
    /// From where the inlaid figure lies to where this piece of it does.
    pub movement: Affine,
}

/// The pieces of a puzzle.
#[derive(Clone, Debug)]
pub struct Puzzle {
    /// The figure's name.
    pub name: String,
    /// The pieces, row by row.
    pub pieces: Vec<Piece>,
    /// The seams, each once.
    pub seams: Vec<BezPath>,
    /// How its seams were drawn; nothing where they were traced.
    pub drawn: Option<DrawnSeams>,
}

/// Seams that were drawn for the board.
#[derive(Clone, Debug)]
pub struct DrawnSeams {
    /// The text that chance was drawn from.
    pub seed: String,
    /// Rows of the lattice.
    pub rows: usize,
    /// Columns of the lattice.
    pub columns: usize,
    /// What was measured on it.
    pub proofs: Proofs,
}

/// One piece.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Number, from 1, row by row.
    pub number: usize,
    /// Whether its outline was given by a `whimsy`.
    pub is_whimsy: bool,
    /// Its outline.
    pub outline: Region,
    /// A point well inside it, for its number.
    pub middle: Point,
    /// Radius of a circle about that point that stays inside.
    pub room: Mm,
    /// The numbers of the pieces that it meets along seams.
    pub neighbours: Vec<usize>,
    /// How many knobs of its own it has; nothing where its seams were traced.
    pub knobs: Option<usize>,
    /// How many sockets it has, for the knobs of others.
    pub sockets: Option<usize>,
    /// How far it is moved so that all pieces lie free of each other; zero where they cannot be pulled apart.
    pub apart: Vec2,
}

/// A warning that nobody has accepted.
#[derive(Clone, Debug)]
pub struct Warned {
    /// The rule.
    pub rule: &'static str,
    /// What it says.
    pub message: String,
}

/// A finding that the recipe accepts.
#[derive(Clone, Debug)]
pub struct Accepted {
    /// The rule.
    pub rule: &'static str,
    /// What it said.
    pub message: String,
    /// Why it is accepted.
    pub reason: String,
}
