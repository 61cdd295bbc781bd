//! `run` and the operations in it.

use super::allow::{ALLOW, Allow};
use super::placing::{MirrorAxis, Written, named};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    Choice, DISTANCE, Expression, Kind, NodeSpec, Often, PERCENT, Reader, Slot, defaulted, optional, repeated,
    required,
};
use crate::shop::{
    AIR_SLOT, FOCUS_SLOT, INTERVAL_SLOT, OperationKind, PASSES_SLOT, POWER_SLOT, SPEED_SLOT, SettingValues,
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
    /// Whether a new sheet is laid in.
    pub is_fresh: bool,
    /// What is done in it, in order.
    pub operations: Vec<OperationNode>,
    /// What is underlined when the whole is meant.
    pub head: Span,
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
    /// What is underlined when the whole is meant.
    pub head: Span,
}

impl OperationNode {
    /// The figures that it refers to, each with the place of the reference.
    pub fn references(&self) -> Vec<Spanned<String>> {
        let mut names = self.figures.clone();
        for length in [&self.margin, &self.fit].into_iter().flatten() {
            named(length, &mut names);
        }
        names
    }
}

/// Decodes a `run` and the `allow`s in it.
pub(super) fn decode(node: &Node, reader: &mut Reader, allows: &mut Vec<Allow>) -> Option<RunNode> {
    let fields = reader.read(node, &RUN);
    allows.extend(super::allow::take(&fields, reader));
    let operations = fields
        .children()
        .filter_map(|(spec, child)| {
            Some(operation(OperationKind::from_word(spec.name)?, spec, child, reader, allows))
        })
        .collect();
    let axis =
        |word| if word == MirrorAxis::TopBottom.word() { MirrorAxis::TopBottom } else { MirrorAxis::LeftRight };
    Some(RunNode {
        name: fields.name("name")?,
        turned: fields.word("turned").map(|word| Spanned::new(axis(word), fields.span_of("turned"))),
        is_fresh: fields.word("sheet") == Some("fresh"),
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
    let overrides = if is_burned { SettingValues::take(&fields, kind) } else { SettingValues::default() };
    OperationNode {
        kind,
        figures: fields.names("figure"),
        setting: if is_burned { fields.name("setting") } else { None },
        shade: if kind == OperationKind::Engrave { fields.quantity("shade") } else { None },
        overrides,
        waste_side: asks("beam", "waste-side"),
        per_piece,
        fit,
        margin: if is_cut { fields.quantity("margin") } else { None },
        head: fields.head(),
    }
}

fn fit_of_shared(fit: &Written) -> Diagnostic {
    Diagnostic::new(&FIT_OF_SHARED, "seams that are cut once leave no choice of fit".to_owned())
        .at(fit.span, "has no effect")
        .because("between two pieces lies the kerf, whatever is asked for")
        .repair("add `seams=\"per-piece\"`, or leave out `fit`")
}
