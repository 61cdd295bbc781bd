//! `trace`: a drawing on paper, as curves.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, SIZE, TURN, Written};
use crate::schema::{
    Choice, Fields, Kind, LENGTH, NodeSpec, Often, PERCENT, TextValue, defaulted, optional, required,
};

static READINGS: &[Choice] = &[
    Choice { word: "outlines", about: "the edges of what is inked, as areas" },
    Choice { word: "centre-lines", about: "the middles of drawn lines, each one stroke as wide as it is drawn" },
    Choice {
        word: "seams",
        about: "the lines between the areas that they part, each once; lines that part nothing are left out",
    },
];

/// `trace`.
pub static TRACE: NodeSpec = NodeSpec {
    name: "trace",
    about: "A drawing that arrives as pixels (PNG, JPEG or WebP: a scan, a photo of a sketch, a picture from the screen), \
        read as curves. Pixels have no size of their own, so it needs a `size`; that is the size of what is drawn, without \
        the paper about it. Edges are found to a part of a pixel and corners are kept, but a tip thinner than a pixel is \
        lost. A line that is to be cut or scored once wants `centre-lines` or `seams`: its outline would be burned on both \
        sides of it.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("file", Kind::Path, "the picture"),
        defaulted("as", Kind::Word(READINGS), "outlines", "what is read in it"),
        optional(
            "threshold",
            PERCENT,
            "how dark a pixel has to be to count as drawn, from paper (0 %) to black (100 %); found in the picture when \
             left out",
        )
        .within("1 %", "99 %"),
        optional(
            "specks",
            LENGTH,
            "what is smaller than this on the piece, in every direction, is left out, and pinholes too; without it, what goes \
             round less than four square pixels",
        ),
    ],
    children: &[
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "trace \"seams\" file=\"art/seams.png\" as=\"seams\" specks=\"0.5 mm\" {\n    size within=\"board\"\n}",
};

/// What is read in a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// The edges of what is inked.
    Outlines,
    /// The middles of lines.
    CentreLines,
    /// The lines between areas.
    Seams,
}

impl Reading {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Outlines => "outlines",
            Self::CentreLines => "centre-lines",
            Self::Seams => "seams",
        }
    }
}

/// A drawing on paper.
#[derive(Clone, Debug)]
pub struct TraceOf {
    /// The picture.
    pub file: TextValue,
    /// What is read in it.
    pub reading: Reading,
    /// What counts as drawn, in hundredths; found in the picture when it is not given.
    pub threshold: Option<f64>,
    /// What is smaller than this on the piece is left out.
    pub specks: Option<Written>,
}

impl TraceOf {
    /// The lengths it is written with.
    pub(super) fn lengths(&self) -> impl Iterator<Item = &Written> {
        self.specks.iter()
    }
}

/// Decodes what is particular to `trace`.
pub(super) fn decode(fields: &Fields) -> Option<TraceOf> {
    Some(TraceOf {
        file: fields.text("file")?,
        reading: match fields.word("as")? {
            "centre-lines" => Reading::CentreLines,
            "seams" => Reading::Seams,
            _ => Reading::Outlines,
        },
        threshold: fields.known("threshold"),
        specks: fields.quantity("specks"),
    })
}
