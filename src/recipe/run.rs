//! `run` and the operations in it.

use super::allow::{ALLOW, Allow};
use super::placing::{Written, named};
use crate::schema::{
    Choice, DISTANCE, Expression, Kind, NodeSpec, Often, PERCENT, Reader, Slot, defaulted, optional, repeated,
    required,
};
use crate::shop::{
    AIR_SLOT, FOCUS_SLOT, INTERVAL_SLOT, OperationKind, PASSES_SLOT, POWER_SLOT, SPEED_SLOT, SettingValues,
};
use crate::source::{Span, Spanned};
use crate::syntax::Node;

static SEAMS: &[Choice] =
    &[Choice { word: "shared", about: "each seam is cut once and parts the pieces on both sides of it" }];

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
        optional("seams", Kind::Word(SEAMS), "how the seams of a puzzle are cut"),
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
        one page and one origin.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[],
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
    /// Where it asks for the beam to run in the waste; only cuts can.
    pub waste_side: Option<Span>,
    /// What is underlined when the whole is meant.
    pub head: Span,
}

impl OperationNode {
    /// The figures that it refers to, each with the place of the reference.
    pub fn references(&self) -> Vec<Spanned<String>> {
        let mut names = self.figures.clone();
        if let Some(margin) = &self.margin {
            named(margin, &mut names);
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
    Some(RunNode { name: fields.name("name")?, operations, head: fields.head() })
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
    let is_burned = kind != OperationKind::Guide;
    let overrides = if is_burned { SettingValues::take(&fields, kind) } else { SettingValues::default() };
    OperationNode {
        kind,
        figures: fields.names("figure"),
        setting: if is_burned { fields.name("setting") } else { None },
        shade: if kind == OperationKind::Engrave { fields.quantity("shade") } else { None },
        overrides,
        waste_side: (kind == OperationKind::Cut && fields.word("beam") == Some("waste-side"))
            .then(|| fields.span_of("beam")),
        margin: if kind == OperationKind::Cut { fields.quantity("margin") } else { None },
        head: fields.head(),
    }
}
