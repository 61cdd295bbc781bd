//! `offset`, `puzzle` and `register`: figures made from other figures.

use super::allow::ALLOW;
use super::placing::Written;
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::geometry::Corners;
use crate::schema::{
    Choice, DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, Reader, TextValue, defaulted, optional, required,
};
use crate::source::{Span, Spanned};
use crate::units::{Dimension, Mm, Percent};

pub(super) static GRID: Finding = Finding {
    rule: "recipe/puzzle-grid",
    severity: Severity::Error,
    title: "a puzzle does not say how many pieces it has, or says it twice",
    explanation: "A puzzle has either a number of `pieces` or `rows` and `columns`.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 rows=3 seed=\"pond\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
};

static CORNERS: &[Choice] = &[
    Choice { word: "round", about: "an arc about each corner" },
    Choice { word: "mitre", about: "sharp tips, cut off where they grow longer than the mitre limit" },
    Choice { word: "bevel", about: "a straight cut at each corner" },
];

static SIDES: &[Choice] = &[
    Choice { word: "outside", about: "the outline grows" },
    Choice { word: "inside", about: "the outline shrinks" },
];

/// `offset`.
pub static OFFSET: NodeSpec = NodeSpec {
    name: "offset",
    about: "The outline at a distance from another figure: round it, or inside it.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("of", Kind::NameOf("figure"), "the figure it follows"),
        required("by", LENGTH, "the distance from that figure"),
        defaulted("side", Kind::Word(SIDES), "outside", "on which side"),
        defaulted("corners", Kind::Word(CORNERS), "round", "what becomes of corners"),
        optional(
            "mitre-limit",
            Kind::Quantity { dimension: Dimension::Number, zero: false },
            "how many times the distance a sharp tip may be long; 4 if left out",
        ),
        defaulted("holes", Kind::Flag, "#true", "whether holes of the figure are followed too"),
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "offset \"halo\" of=\"heron\" by=\"0.07 in\" corners=\"round\"",
};

/// The outline at a distance from another figure.
#[derive(Clone, Debug)]
pub struct OffsetOf {
    /// The figure it follows.
    pub of: Spanned<String>,
    /// The distance.
    pub by: Written,
    /// Whether it lies inside.
    pub inside: bool,
    /// What becomes of corners.
    pub corners: Corners,
    /// Whether holes are followed too.
    pub holes: bool,
}

/// Decodes what is particular to `offset`.
pub(super) fn offset(fields: &Fields) -> Option<OffsetOf> {
    let corners = match fields.word("corners")? {
        "mitre" => Corners::Mitre { limit: fields.known("mitre-limit").unwrap_or(4.0).max(1.0) },
        "bevel" => Corners::Bevel,
        _ => Corners::Round,
    };
    Some(OffsetOf {
        of: fields.name("of")?,
        by: fields.quantity("by")?,
        inside: fields.word("side")? == "inside",
        corners,
        holes: fields.flag("holes"),
    })
}

static KNOBS: &[Choice] = &[
    Choice { word: "round", about: "round heads on calm seams" },
    Choice { word: "wavy", about: "round, leaning heads; every seam is one flowing wave" },
    Choice { word: "angular", about: "straight sides and small rounded corners" },
];

static KNOB: NodeSpec = NodeSpec {
    name: "knob",
    about: "The character of the knobs.",
    arguments: &[required("character", Kind::Word(KNOBS), "which")],
    properties: &[optional(
        "variety",
        Kind::Quantity { dimension: Dimension::Percent, zero: true },
        "how much they differ, from `0 %`, calm, to `100 %`, wide; if left out 25 % for round, 10 % for wavy and 30 % for \
            angular ones",
    )
    .within("0 %", "100 %")],
    children: &[],
    example: "knob \"round\" variety=\"60 %\"",
};

/// A piece of a given outline.
static WHIMSY: NodeSpec = NodeSpec {
    name: "whimsy",
    about: "A piece in the shape of a figure, set in where that figure lies. Its outline is cut as it is, seams end on it, \
        and it counts as one of the pieces.",
    arguments: &[required(
        "figure",
        Kind::NameOf("figure"),
        "the figure: one area, or several that are a piece each",
    )],
    properties: &[],
    children: &[],
    example: "whimsy \"fish\"",
};
static FACES: &[Choice] = &[
    Choice { word: "different", about: "a picture tells them apart, so no piece is tried turned over" },
    Choice { word: "alike", about: "a piece may be tried turned over, so seams differ from mirrored ones too" },
];

/// `puzzle`.
pub static PUZZLE: NodeSpec = NodeSpec {
    name: "puzzle",
    about: "The seams that take a figure apart into interlocking pieces. Cutting them together with the outline of the \
        figure gives the pieces. The same seed always gives the same seams.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("of", Kind::NameOf("figure"), "the figure that is taken apart"),
        optional("pieces", Kind::Count(2, 10_000), "the number of pieces"),
        optional("rows", Kind::Count(1, 1000), "the number of rows"),
        optional("columns", Kind::Count(1, 1000), "the number of columns"),
        required("seed", Kind::Text, "any text; another one gives other seams"),
        defaulted("clearance", DISTANCE, "2 mm", "the least distance between two seams away from where they meet"),
        optional(
            "distinct",
            DISTANCE,
            "the least misfit of any two seams: what is left between them when one is laid onto the other as well as can be. \
                Seams nearer to each other than that are drawn anew. If left out 0.6 mm, or three times the kerf if that is \
                more, and less the smaller, the calmer and the more the pieces are; nothing beyond 5000 pieces. `0 mm` leaves \
                seams as they are first drawn",
        )
        .fixed(),
        defaulted("faces", Kind::Word(FACES), "different", "whether the two faces of a piece look alike"),
    ],
    children: &[(&KNOB, Often::AtMostOnce), (&WHIMSY, Often::Any), (&ALLOW, Often::Any)],
    example: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"heron-2027\" { knob \"round\" }",
};

/// The seams of a puzzle.
#[derive(Clone, Debug)]
pub struct PuzzleOf {
    /// The figure that is taken apart.
    pub of: Spanned<String>,
    /// How many pieces.
    pub wanted: PiecesWanted,
    /// The text the seams are drawn from.
    pub seed: TextValue,
    /// The figures that become pieces as they are.
    pub whimsies: Vec<Spanned<String>>,
    /// The character of the knobs: `round`, `wavy` or `angular`.
    pub knob: &'static str,
    /// How much the knobs differ, if it is written.
    pub variety: Option<Percent>,
    /// Least distance between seams.
    pub clearance: Written,
    /// Least misfit of any two seams, if it is written.
    pub distinct: Option<Spanned<Mm>>,
    /// Whether a piece may be tried turned over.
    pub faces_alike: bool,
}

/// How many pieces.
#[derive(Clone, Copy, Debug)]
pub enum PiecesWanted {
    /// So many, in rows and columns that suit the figure.
    Pieces(u32, Span),
    /// Rows and columns.
    Grid {
        /// Rows.
        rows: u32,
        /// Columns.
        columns: u32,
        /// Where it is written.
        span: Span,
    },
}

/// Decodes what is particular to `puzzle`.
pub(super) fn puzzle(fields: &Fields, reader: &mut Reader) -> Option<PuzzleOf> {
    let whimsies: Option<Vec<_>> =
        fields.children_of(&WHIMSY).map(|n| reader.read(n, &WHIMSY).name("figure")).collect();
    let knob = fields.children_of(&KNOB).next().map(|n| reader.read(n, &KNOB));
    let wanted = match (fields.count("pieces"), fields.count("rows"), fields.count("columns")) {
        (Some(pieces), None, None) => PiecesWanted::Pieces(pieces, fields.span_of("pieces")),
        (None, Some(rows), Some(columns)) => PiecesWanted::Grid { rows, columns, span: fields.span_of("rows") },
        _ => {
            if fields.is_whole() {
                reader.sink.push(
                    Diagnostic::new(&GRID, "it is not clear how many pieces are wanted".to_owned())
                        .at(fields.head(), "expected either `pieces`, or `rows` and `columns`")
                        .repair("write `pieces=15`, or `rows=5 columns=3`"),
                );
            }
            return None;
        }
    };
    Some(PuzzleOf {
        of: fields.name("of")?,
        wanted,
        seed: fields.text("seed")?,
        whimsies: whimsies?,
        knob: knob.as_ref().and_then(|k| k.word("character")).unwrap_or("round"),
        variety: knob.as_ref().and_then(|k| k.known("variety")).map(Percent::new),
        clearance: fields.quantity("clearance")?,
        distinct: fields.known("distinct").map(|d| Spanned::new(Mm::new(d), fields.span_of("distinct"))),
        faces_alike: fields.word("faces")? == "alike",
    })
}

/// `register`.
pub static REGISTER: NodeSpec = NodeSpec {
    name: "register",
    about: "Four small corner marks in the waste round a figure. Scored in every run they give all runs the same box \
        and so the same centre, and show at the second run whether the sheet has moved.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("around", Kind::NameOf("figure"), "the figure whose box is marked"),
        defaulted("gap", LENGTH, "4 mm", "the distance from that box to the marks"),
        defaulted("arm", LENGTH, "5 mm", "the length of each mark's two arms"),
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "register \"marks\" around=\"board\" gap=\"4 mm\" arm=\"5 mm\"",
};

/// Corner marks in the waste.
#[derive(Clone, Debug)]
pub struct RegisterMarks {
    /// The figure whose box is marked.
    pub around: Spanned<String>,
    /// Distance from that box.
    pub gap: Written,
    /// Length of the arms.
    pub arm: Written,
}

/// Decodes what is particular to `register`.
pub(super) fn register(fields: &Fields) -> Option<RegisterMarks> {
    Some(RegisterMarks {
        around: fields.name("around")?,
        gap: fields.quantity("gap")?,
        arm: fields.quantity("arm")?,
    })
}
