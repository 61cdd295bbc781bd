//! `lettering`: a text set in a font.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, SIZE, TURN, Written};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    Choice, Fields, Kind, LENGTH, NodeSpec, Often, Reader, TextValue, defaulted, optional, required,
};
use crate::source::Spanned;
use crate::units::Dimension;

pub(super) static NO_SIZE: Finding = Finding {
    rule: "recipe/lettering-size",
    severity: Severity::Error,
    title: "lettering has no size, or two",
    explanation: "A font has no size of its own. `height` is the height of its capitals, `width` the width of the whole \
        text; one of them is needed, and the other follows.",
    wrong: "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\"",
    right: "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

static ARC_SIDES: &[Choice] = &[
    Choice { word: "over", about: "over the top of the circle, feet towards its middle" },
    Choice { word: "under", about: "under the bottom of the circle, heads towards its middle" },
];

static ALIGNS: &[Choice] = &[
    Choice { word: "left", about: "lines start at the left" },
    Choice { word: "centre", about: "lines share their middle" },
    Choice { word: "right", about: "lines end at the right" },
];

static ARC: NodeSpec = NodeSpec {
    name: "arc",
    about: "Sets the text round a circle.",
    arguments: &[],
    properties: &[
        required("radius", LENGTH, "from the middle of the circle to the line that the letters stand on"),
        defaulted("side", Kind::Word(ARC_SIDES), "over", "over the top or under the bottom"),
    ],
    children: &[],
    example: "arc radius=\"60 mm\" side=\"over\"",
};

/// `lettering`.
pub static LETTERING: NodeSpec = NodeSpec {
    name: "lettering",
    about: "A text as outlines, set with the font's own kerning and ligatures; letters that overlap are welded.",
    arguments: &[
        required("name", Kind::NewName, "its name"),
        required("text", Kind::Text, "the text; `{day:%-d %B %Y}` puts in a date, a new line starts a new line"),
    ],
    properties: &[
        required("font", Kind::Path, "the font file (TTF or OTF)"),
        optional("height", LENGTH, "the height of its capitals"),
        optional("width", LENGTH, "the width of the whole text"),
        optional(
            "tracking",
            Kind::Signed(Dimension::Length),
            "space added between letters; negative takes some away",
        ),
        defaulted("align", Kind::Word(ALIGNS), "centre", "how several lines stand to each other"),
        defaulted(
            "leading",
            Kind::Quantity { dimension: Dimension::Percent, zero: false },
            "120 %",
            "the distance from line to line, in hundredths of the font's size",
        ),
    ],
    children: &[
        (&ARC, Often::AtMostOnce),
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "lettering \"date\" \"{day:%-d %B %Y}\" font=\"fonts/gentium.ttf\" height=\"12 mm\" {\n    \
        place centre=\"board\" bottom=\"board\" up=\"10 mm\"\n}",
};

/// A text set in a font.
#[derive(Clone, Debug)]
pub struct Lettering {
    /// The text.
    pub text: TextValue,
    /// The font file.
    pub font: TextValue,
    /// Height of the capitals.
    pub height: Option<Written>,
    /// Width of the whole text.
    pub width: Option<Written>,
    /// Space added between letters.
    pub tracking: Option<Written>,
    /// `left`, `centre` or `right`.
    pub align: &'static str,
    /// Distance from line to line, as a factor of the font's size.
    pub leading: f64,
    /// The circle it stands on.
    pub arc: Option<LetteringArc>,
}

/// A circle that lettering stands on.
#[derive(Clone, Debug)]
pub struct LetteringArc {
    /// From the middle to the line that the letters stand on.
    pub radius: Written,
    /// Over or under it.
    pub side: ArcSide,
}

/// On which side of the circle the text runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArcSide {
    /// Over the top.
    Over,
    /// Under the bottom.
    Under,
}

impl Lettering {
    /// The lengths it is written with.
    pub(super) fn lengths(&self) -> impl Iterator<Item = &Written> {
        let arc = self.arc.as_ref().map(|a| &a.radius);
        [self.height.as_ref(), self.width.as_ref(), self.tracking.as_ref(), arc].into_iter().flatten()
    }
}

/// Decodes what is particular to `lettering`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<Lettering> {
    let arc = fields.children_of(&ARC).next().and_then(|node| {
        let arc = reader.read(node, &ARC);
        let side = if arc.word("side")? == "under" { ArcSide::Under } else { ArcSide::Over };
        Some(LetteringArc { radius: arc.quantity("radius")?, side })
    });
    let lettering = Lettering {
        text: fields.text("text")?,
        font: fields.text("font")?,
        height: fields.quantity("height"),
        width: fields.quantity("width"),
        tracking: fields.quantity("tracking"),
        align: fields.word("align")?,
        leading: fields.known("leading")? / 100.0,
        arc,
    };
    if fields.is_whole() {
        one_size(&lettering, fields, reader)?;
    }
    Some(lettering)
}

fn one_size(lettering: &Lettering, fields: &Fields, reader: &mut Reader) -> Option<()> {
    let diagnostic = match (&lettering.height, &lettering.width) {
        (None, None) => Diagnostic::new(&NO_SIZE, "this lettering has no size".to_owned())
            .at(fields.head(), "expected `height` (of its capitals) or `width` (of the whole text)")
            .because("a font has no size of its own")
            .repair("add `height=\"12 mm\"`"),
        (Some(Spanned { span: height, .. }), Some(Spanned { span: width, .. })) => {
            Diagnostic::new(&NO_SIZE, "this lettering has two sizes".to_owned())
                .at(*width, "and this")
                .also(*height, "this")
                .because("letters keep their proportions, so one of them decides")
                .repair("keep one of them")
        }
        _ => return Some(()),
    };
    reader.sink.push(diagnostic);
    None
}
