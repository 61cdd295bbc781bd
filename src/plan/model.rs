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
use super::cutting::Manner;
use super::dots::Dots;
use super::focus::Focus;
use super::last_time::LastTime;
use super::lay::{Fixture, Lay};
use super::time::Estimate;
use crate::figures::Traced;
use crate::geometry::{Drawing, Once, Region};
use crate::mending::Change;
use crate::puzzle::Proofs;
use crate::shop::{Lesson, Machine, Moment, OperationKind, Paper, StartPoint, Stock};
use crate::source::Span;
use crate::units::{Mm, Mm2, MmPerSecond, Percent};
use kurbo::{Affine, BezPath, Point, Rect, Vec2};
use std::sync::Arc;

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
    /// How it went when it was last burned, where a journal tells.
    pub last_time: Option<LastTime>,
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
    /// Where it is written.
    pub span: Span,
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

/// One visit to the machine, one file.
#[derive(Clone, Debug)]
pub struct Run {
    /// Number, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// How the sheet lies.
    pub lay: Lay,
    /// Where it is started from, where the recipe says so; else as the machine is used to.
    pub start: Option<StartPoint>,
    /// What is done in it, in order.
    pub operations: Vec<Operation>,
    /// The box around everything it burns; `None` when it burns nothing.
    pub burned: Option<Rect>,
    /// Time for it, moves with the beam off included.
    pub time: Estimate,
    /// Where it is written.
    pub span: Span,
}

/// One operation.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Number in its run, from 1.
    pub number: usize,
    /// What it does to the stock.
    pub kind: OperationKind,
    /// A short name for files, from its figures (`heron-date`).
    pub name: String,
    /// The figures it burns.
    pub figures: Vec<String>,
    /// What is burned.
    pub burn: Burn,
    /// How; `None` only for guides.
    pub setting: Option<ResolvedSetting>,
    /// Stroke or fill colour in the files: `#rrggbb`.
    pub colour: String,
    /// Length of lines burned in one pass; for areas, of the rows.
    pub length: Mm,
    /// Area burned; zero for lines.
    pub area: Mm2,
    /// Length of the moves with the beam off between its lines, one pass.
    pub travel: Mm,
    /// How many separate lines it burns; zero for areas.
    pub strokes: usize,
    /// What it burns is counted through the run: the number of each of its lines, in their order; of an area or a photo,
    /// which is burned in rows, a single one. Guides have none.
    pub numbers: Vec<usize>,
    /// How large what it cuts out comes out; `None` where it cuts nothing out or the kerf was not measured.
    pub finished: Option<Finished>,
    /// How the seams in it are cut; `None` where it cuts none.
    pub seams: Option<SeamCut>,
    /// What was done to its lines before they are burned; nothing for areas and guides.
    pub clean_up: CleanUp,
    /// How it is cut beyond following its lines; nothing for all but cuts.
    pub manner: Manner,
    /// Time for it, all passes.
    pub time: Estimate,
    /// The box around what it burns (the paths themselves, half the kerf left out).
    pub bounds: Option<Rect>,
    /// Where it is written.
    pub span: Span,
}

impl Operation {
    /// Whether its numbers are only tried: whatever they are, they are meant.
    pub fn is_trial(&self) -> bool {
        self.setting.as_ref().is_some_and(|setting| setting.is_trial)
    }
}

/// Where the beam runs in a cut, and how large what it cuts out comes out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finished {
    /// Where the beam runs.
    pub beam: Beam,
    /// Full width of the cut, as measured.
    pub kerf: Mm,
    /// Width of the largest part, as drawn.
    pub width: Mm,
    /// Height of the largest part, as drawn.
    pub height: Mm,
}

impl Finished {
    /// Width and height of the largest part when it is cut so.
    pub fn size(&self, beam: Beam) -> (Mm, Mm) {
        let lost = if beam == Beam::OnLine { self.kerf } else { Mm::ZERO };
        (self.width - lost, self.height - lost)
    }
}

/// Where the beam runs in a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beam {
    /// On the drawn lines.
    OnLine,
    /// Half the kerf beside them, in the waste.
    WasteSide,
}

impl Beam {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OnLine => "on-line",
            Self::WasteSide => "waste-side",
        }
    }
}

/// How the seams of a puzzle are cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SeamCut {
    /// Each seam once, for the pieces on both sides of it.
    Shared {
        /// The kerf, which lies between the pieces then; `None` where it was not measured.
        kerf: Option<Mm>,
    },
    /// Each piece along a line of its own, the pieces pulled apart on the sheet.
    PerPiece {
        /// The gap between two pieces; negative where they press on each other.
        fit: Mm,
    },
}

impl SeamCut {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Shared { .. } => "shared",
            Self::PerPiece { .. } => "per-piece",
        }
    }

    /// The gap between two pieces once they are cut; negative where they press on each other.
    pub const fn gap(self) -> Option<Mm> {
        match self {
            Self::Shared { kerf } => kerf,
            Self::PerPiece { fit } => Some(fit),
        }
    }
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

/// What was done to the lines of an operation so that each is burned once, in the longest strokes.
#[derive(Clone, Debug, Default)]
pub struct CleanUp {
    /// The lines as they were drawn.
    pub drawn: Drawn,
    /// The stretches that lay on another line of the operation. The numbers of the lines count the closed outlines and
    /// lines of its figures, in their order.
    pub once: Vec<Once>,
    /// The length of lines that is not burned a second time, one pass.
    pub saved: Mm,
    /// How many ends of different lines were joined.
    pub joined: usize,
    /// The closed lines as they were drawn: what is cut out along them, whichever strokes they have become part of.
    pub outlines: Vec<BezPath>,
}

/// Lines as they were drawn.
#[derive(Clone, Copy, Debug, Default)]
pub struct Drawn {
    /// How many.
    pub lines: usize,
    /// Their length.
    pub length: Mm,
}

/// What an operation burns.
#[derive(Clone, Debug)]
pub enum Burn {
    /// An area, filled in rows.
    Area(Region),
    /// Lines, in the order in which they are burned; each is one subpath.
    Lines(Vec<BezPath>),
    /// A photo, in dots.
    Dots(Box<Dots>),
}

impl Burn {
    /// The area that it covers, where it is one: of a photo, what its dots lie in.
    pub fn area(&self) -> Option<&Region> {
        match self {
            Self::Area(region) => Some(region),
            Self::Dots(dots) => Some(&dots.region),
            Self::Lines(_) => None,
        }
    }
}

/// The numbers an operation is burned with.
#[derive(Clone, Debug)]
pub struct ResolvedSetting {
    /// The shop's setting it came from; empty where all numbers are on trial.
    pub name: String,
    /// Speed of the head while it burns.
    pub speed: MmPerSecond,
    /// Power, in hundredths of the machine's.
    pub power: Percent,
    /// How many times everything is burned.
    pub passes: u32,
    /// Distance between the rows of an area.
    pub interval: Option<Mm>,
    /// Height of the focus above the stock's upper face.
    pub focus: Option<Mm>,
    /// Whether air assist is on.
    pub air: Option<bool>,
    /// Full width of the cut it makes, as measured for it or for its stock; only of cuts.
    pub kerf: Option<Mm>,
    /// How dark it burns, by the shop's shade card; `None` where none was measured for these numbers.
    pub shade: Option<Percent>,
    /// Where that was read.
    pub card: Option<CardRead>,
    /// When it was measured.
    pub measured: Option<String>,
    /// How it was measured.
    pub how: Option<String>,
    /// The words that the recipe overrides in place (`speed`, `power` …).
    pub overridden: Vec<&'static str>,
    /// Whether these numbers are only tried, as on a test card.
    pub is_trial: bool,
}

/// Where a shade or its power was read on a shade card.
#[derive(Clone, Debug, PartialEq)]
pub struct CardRead {
    /// The card.
    pub card: String,
    /// Power and darkness of the patch below.
    pub lighter: (Percent, Percent),
    /// Power and darkness of the patch above.
    pub darker: (Percent, Percent),
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
