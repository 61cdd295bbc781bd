//! `run` and the operations in it.

use super::allow::{ALLOW, Allow};
use super::placing::{MirrorAxis, Written, named};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    Choice, DISTANCE, Expression, Kind, LENGTH, NodeSpec, Often, PERCENT, Reader, Slot, defaulted, optional,
    repeated, required,
};
use crate::shop::{
    AIR_SLOT, FOCUS_SLOT, INTERVAL_SLOT, OperationKind, PASSES_SLOT, POWER_SLOT, SPEED_SLOT, START_POINTS,
    SettingValues, StartPoint,
};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::Dimension;

pub(super) static FIT_OF_SHARED: Finding = Finding {
    rule: "recipe/fit-of-shared-seams",
    severity: Severity::Error,
    title: "a fit is asked for where every seam is cut once",
    explanation: "One cut parts the pieces on both sides of a seam, so between them lies what the beam takes away: the kerf, \
        whatever is asked for. Only pieces that are cut one by one, each along its own line, can fit closer or looser.",
    wrong: "cut \"pieces\" fit=\"0.05 mm\"",
    right: "cut \"pieces\" seams=\"per-piece\" fit=\"0.05 mm\"",
};

pub(super) static TAB_WITHOUT_TABS: Finding = Finding {
    rule: "recipe/tab-without-tabs",
    severity: Severity::Error,
    title: "the width of bridges is given, and none are asked for",
    explanation: "`tabs` says how many bridges are left in the outline of each part, `tab` how wide they are. The width alone \
        leaves none.",
    wrong: "cut \"board\" tab=\"0.4 mm\"",
    right: "cut \"board\" tabs=3 tab=\"0.4 mm\"",
};

static SEAMS: &[Choice] = &[
    Choice {
        word: "shared",
        about: "each seam is cut once and parts the pieces on both sides of it, where they lie: half the burning, no edge \
            charred twice, and pictures stay whole; between two pieces lies the kerf",
    },
    Choice {
        word: "per-piece",
        about: "each piece of a puzzle is cut along a line of its own, so that pieces fit as closely as `fit` says. A line \
            burned twice in one place would leave twice the kerf, so the pieces are pulled apart on the sheet; that takes \
            more room and nearly twice the time, and nothing can be burned on them before",
    },
];

static SHEETS: &[Choice] = &[
    Choice { word: "same", about: "the sheet of the run before" },
    Choice {
        word: "fresh",
        about: "a new sheet of the same size and stock is laid in, also for the runs after it; what was burned on other \
            sheets does not matter to it",
    },
    Choice {
        word: "scrap",
        about: "a piece of scrap lies on the bed, which becomes no part of the piece: a `fixture` is cut from it",
    },
];

static TURNS: &[Choice] = &[
    Choice {
        word: "left-right",
        about: "like the page of a book, about the upright line through the middle of the board",
    },
    Choice {
        word: "top-bottom",
        about: "like a calendar on a wall, about the level line through the middle of the board",
    },
];

static BEAMS: &[Choice] = &[
    Choice {
        word: "on-line",
        about: "the beam follows the drawn lines: parts come out a kerf smaller than drawn, openings a kerf larger, \
            and the two sides of a line fit into each other",
    },
    Choice {
        word: "waste-side",
        about: "the beam runs half the kerf beside the drawn outlines, in what is waste: parts and their openings come \
            out as drawn",
    },
];

/// `setting=`, of every operation that burns.
const SETTING_SLOT: Slot =
    optional("setting", Kind::NameOf("setting"), "the shop's setting; may be left out where there is only one");

static ENGRAVE: NodeSpec = NodeSpec {
    name: "engrave",
    about: "Burns the area of figures, row by row.",
    arguments: &[repeated("figure", Kind::NameOf("figure"), "what is burned")],
    properties: &[
        SETTING_SLOT,
        optional("shade", PERCENT, "how dark, read from the shop's shade card, instead of a setting"),
        optional(
            "shade-card",
            Kind::NameOf("shade card"),
            "which shade card; may be left out where there is only one",
        ),
        SPEED_SLOT,
        POWER_SLOT,
        PASSES_SLOT,
        INTERVAL_SLOT,
        FOCUS_SLOT,
        AIR_SLOT,
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "engrave \"heron\" \"date\" setting=\"dark\"",
};

static SCORE: NodeSpec = NodeSpec {
    name: "score",
    about: "Marks the outlines and lines of figures without going through.",
    arguments: &[repeated("figure", Kind::NameOf("figure"), "what is marked")],
    properties: &[SETTING_SLOT, SPEED_SLOT, POWER_SLOT, PASSES_SLOT, FOCUS_SLOT, AIR_SLOT],
    children: &[(&ALLOW, Often::Any)],
    example: "score \"halo\"",
};

static CUT: NodeSpec = NodeSpec {
    name: "cut",
    about: "Cuts through along the outlines and lines of figures, those inside before those around them.",
    arguments: &[repeated("figure", Kind::NameOf("figure"), "what is cut")],
    properties: &[
        SETTING_SLOT,
        defaulted("seams", Kind::Word(SEAMS), "shared", "how the seams of a puzzle are cut"),
        optional(
            "fit",
            Kind::Signed(Dimension::Length),
            "the gap between two pieces once they are cut, for `seams=\"per-piece\"`; negative lets them press on each \
                other; `\"0 mm\"` if left out",
        ),
        defaulted(
            "beam",
            Kind::Word(BEAMS),
            "on-line",
            "where the beam runs. Of the closed outlines of one cut, those in no other are parts, those in a part are its \
                openings, and so on inwards; open lines and seams are always cut on the line",
        ),
        defaulted(
            "margin",
            DISTANCE,
            "1 mm",
            "the distance that engraving keeps from this cut; seams of a puzzle are meant to run through pictures and \
                are not measured",
        ),
        optional(
            "tabs",
            Kind::Count(1, 50),
            "so many bridges are left in the outline of each part, on straight stretches, and hold it until a knife frees it",
        ),
        optional("tab", LENGTH, "what stays of the stock in each bridge; `\"0.5 mm\"` if left out"),
        optional(
            "lead-in",
            LENGTH,
            "closed lines are begun so far beside the outline, in the waste, where there is room, and so without a mark \
                where the beam goes on; between bridges, beside each of them",
        ),
        optional(
            "overcut",
            LENGTH,
            "closed lines run so far past the point where they close, so that nothing hangs there",
        ),
        optional(
            "spread",
            LENGTH,
            "no stroke is begun within this distance of the last six, unless nothing else is left, so that thin ribs can \
                cool; the moves between strokes become longer",
        ),
        SPEED_SLOT,
        POWER_SLOT,
        PASSES_SLOT,
        FOCUS_SLOT,
        AIR_SLOT,
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "cut \"pieces\" seams=\"shared\"",
};

static GUIDE: NodeSpec = NodeSpec {
    name: "guide",
    about: "Drawn for people in its own layer and on the paper; never burned, and not in the file of the run.",
    arguments: &[repeated("figure", Kind::NameOf("figure"), "what is drawn")],
    properties: &[],
    children: &[(&ALLOW, Often::Any)],
    example: "guide \"board\"",
};

/// `run`.
pub static RUN: NodeSpec = NodeSpec {
    name: "run",
    about: "Everything that is burned in one visit to the machine, in the order in which it is written. All runs share \
        one page and one origin. A run that is `turned` burns the back: all that it names comes to lie behind its place on \
        the front, mirrored as seen from there, for which its file is mirrored about the middle of the board. Numbers are \
        set so that they can be read from the back; lettering needs a `mirror`.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        optional("turned", Kind::Word(TURNS), "the sheet lies with its back up, turned over this way"),
        defaulted("sheet", Kind::Word(SHEETS), "same", "the sheet that is burned"),
        optional(
            "start",
            Kind::Word(START_POINTS),
            "the point that the head is put over before the start, where that is not the habit of the machine",
        ),
        defaulted(
            "trial",
            Kind::Flag,
            "#false",
            "whether numbers are tried in it, as on a test card: an operation may then state all of its numbers in place, \
                without a setting",
        ),
    ],
    children: &[
        (&ENGRAVE, Often::Any),
        (&SCORE, Often::Any),
        (&CUT, Often::Any),
        (&GUIDE, Often::Any),
        (&ALLOW, Often::Any),
    ],
    example: "run \"picture\" {\n    engrave \"heron\" \"date\" setting=\"dark\"\n    score \"halo\"\n}",
};

/// One visit to the machine.
#[derive(Clone, Debug)]
pub struct RunNode {
    /// Its name.
    pub name: Spanned<String>,
    /// How the sheet is turned over for it; `None` where its face lies up.
    pub turned: Option<Spanned<MirrorAxis>>,
    /// What is laid in for it.
    pub laid_in: LaidIn,
    /// Where it is started from, where that is not left to the machine.
    pub start: Option<Spanned<StartPoint>>,
    /// Whether numbers are tried in it.
    pub is_trial: bool,
    /// What is done in it, in order.
    pub operations: Vec<OperationNode>,
    /// What is underlined when the whole is meant.
    pub head: Span,
}

/// What is laid in for a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LaidIn {
    /// The sheet of the run before stays, or comes back.
    Same,
    /// A new sheet.
    Fresh,
    /// Scrap.
    Scrap,
}

/// One operation, as written.
#[derive(Clone, Debug)]
pub struct OperationNode {
    /// What it does to the stock.
    pub kind: OperationKind,
    /// The figures.
    pub figures: Vec<Spanned<String>>,
    /// The shop's setting.
    pub setting: Option<Spanned<String>>,
    /// How dark.
    pub shade: Option<Spanned<Expression>>,
    /// The shade card that the shade is read from.
    pub shade_card: Option<Spanned<String>>,
    /// Numbers overridden in place.
    pub overrides: SettingValues,
    /// The distance that engraving keeps from it; only cuts have one.
    pub margin: Option<Written>,
    /// Where it asks for pieces to be cut one by one, instead of each seam once; only cuts can.
    pub per_piece: Option<Span>,
    /// The gap between such pieces.
    pub fit: Option<Written>,
    /// Where it asks for the beam to run in the waste; only cuts can.
    pub waste_side: Option<Span>,
    /// How many bridges are left in each outline; only cuts have the following.
    pub tabs: Option<Spanned<u32>>,
    /// What stays of the stock in each.
    pub tab: Option<Written>,
    /// How far beside the outline closed lines are begun.
    pub lead_in: Option<Written>,
    /// How far closed lines run past their end.
    pub overcut: Option<Written>,
    /// How far from the last ones strokes are begun.
    pub spread: Option<Written>,
    /// Whether its numbers may be on trial.
    pub is_trial: bool,
    /// What is underlined when the whole is meant.
    pub head: Span,
}

impl OperationNode {
    /// The figures that it refers to, each with the place of the reference.
    pub fn references(&self) -> Vec<Spanned<String>> {
        let mut names = self.figures.clone();
        let lengths = [&self.margin, &self.fit, &self.tab, &self.lead_in, &self.overcut, &self.spread];
        for length in lengths.into_iter().flatten() {
            named(length, &mut names);
        }
        names
    }
}

/// Decodes a `run` and the `allow`s in it.
pub(super) fn decode(node: &Node, reader: &mut Reader, allows: &mut Vec<Allow>) -> Option<RunNode> {
    let fields = reader.read(node, &RUN);
    allows.extend(super::allow::take(&fields, reader));
    let is_trial = fields.flag("trial");
    let operations = fields
        .children()
        .filter_map(|(spec, child)| {
            let read = operation(OperationKind::from_word(spec.name)?, spec, child, reader, allows);
            Some(OperationNode { is_trial, ..read })
        })
        .collect();
    let axis =
        |word| if word == MirrorAxis::TopBottom.word() { MirrorAxis::TopBottom } else { MirrorAxis::LeftRight };
    Some(RunNode {
        name: fields.name("name")?,
        turned: fields.word("turned").map(|word| Spanned::new(axis(word), fields.span_of("turned"))),
        laid_in: match fields.word("sheet") {
            Some("fresh") => LaidIn::Fresh,
            Some("scrap") => LaidIn::Scrap,
            _ => LaidIn::Same,
        },
        start: fields
            .word("start")
            .and_then(|word| Some(Spanned::new(StartPoint::from_word(word)?, fields.span_of("start")))),
        is_trial,
        operations,
        head: fields.head(),
    })
}

fn operation(
    kind: OperationKind,
    spec: &'static NodeSpec,
    node: &Node,
    reader: &mut Reader,
    allows: &mut Vec<Allow>,
) -> OperationNode {
    let fields = reader.read(node, spec);
    allows.extend(super::allow::take(&fields, reader));
    let (is_burned, is_cut) = (kind != OperationKind::Guide, kind == OperationKind::Cut);
    let asks = |word, value| (is_cut && fields.word(word) == Some(value)).then(|| fields.span_of(word));
    let (per_piece, fit) = (asks("seams", "per-piece"), if is_cut { fields.quantity("fit") } else { None });
    if let (None, Some(fit)) = (per_piece, &fit) {
        reader.sink.push(fit_of_shared(fit));
    }
    let of_cut = |word| if is_cut { fields.quantity(word) } else { None };
    let tabs = if is_cut { fields.count("tabs").map(|n| Spanned::new(n, fields.span_of("tabs"))) } else { None };
    let tab = of_cut("tab");
    if let (None, Some(tab)) = (&tabs, &tab) {
        reader.sink.push(tab_without_tabs(tab));
    }
    let overrides = if is_burned { SettingValues::take(&fields, kind) } else { SettingValues::default() };
    OperationNode {
        kind,
        figures: fields.names("figure"),
        setting: if is_burned { fields.name("setting") } else { None },
        shade: if kind == OperationKind::Engrave { fields.quantity("shade") } else { None },
        shade_card: if kind == OperationKind::Engrave { fields.name("shade-card") } else { None },
        overrides,
        waste_side: asks("beam", "waste-side"),
        per_piece,
        fit,
        is_trial: false,
        margin: of_cut("margin"),
        tabs,
        tab,
        lead_in: of_cut("lead-in"),
        overcut: of_cut("overcut"),
        spread: of_cut("spread"),
        head: fields.head(),
    }
}

fn tab_without_tabs(tab: &Written) -> Diagnostic {
    Diagnostic::new(&TAB_WITHOUT_TABS, "the width of bridges is given, and none are asked for".to_owned())
        .at(tab.span, "has no effect")
        .because("the outlines would be cut all round, and what is cut out is not held")
        .repair("add `tabs=3`, or leave out `tab`")
}

fn fit_of_shared(fit: &Written) -> Diagnostic {
    Diagnostic::new(&FIT_OF_SHARED, "seams that are cut once leave no choice of fit".to_owned())
        .at(fit.span, "has no effect")
        .because("between two pieces lies the kerf, whatever is asked for")
        .repair("add `seams=\"per-piece\"`, or leave out `fit`")
}
