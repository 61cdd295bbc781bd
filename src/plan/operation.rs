//! The runs of a plan, and in them its operations: what is burned, and with which numbers.

use super::cutting::Manner;
use super::dots::Dots;
use super::lay::Lay;
use super::time::Estimate;
use crate::geometry::{Once, Region};
use crate::shop::{OperationKind, StartPoint};
use crate::source::Span;
use crate::units::{Mm, Mm2, MmPerSecond, Percent};
use kurbo::{BezPath, Rect};

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
