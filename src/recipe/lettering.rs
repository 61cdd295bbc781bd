//! `lettering`: a text set in a font or in single strokes.

use super::allow::ALLOW;
use super::lettering_parts::{
    ALONG, AXIS, AlongFigure, Axis, FALLBACK, FEATURE, Fallback, Feature, STENCIL, along, axes, contradictions,
    fallbacks, features,
};
use super::placing::{MIRROR, PLACE, SIZE, TURN, Written};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    Choice, Fields, Kind, LENGTH, NodeSpec, Often, Reader, TextValue, defaulted, optional, required,
};
use crate::source::{Span, Spanned};
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

pub(super) static NO_FACE: Finding = Finding {
    rule: "recipe/lettering-face",
    severity: Severity::Error,
    title: "lettering does not say what it is set in, or says it twice",
    explanation: "`font` names a font file, whose letters are areas. `strokes` names a face of single lines that comes with \
        Kerfbook, for scoring. One of them is needed.",
    wrong: "lettering \"date\" \"4 May\" height=\"12 mm\"",
    right: "lettering \"date\" \"4 May\" strokes=\"plain\" height=\"12 mm\"",
};

pub(super) static STROKES: &[Choice] = &[
    Choice { word: "plain", about: "upright letters without serifs, every line once" },
    Choice { word: "roman", about: "upright letters with serifs, thick parts drawn as two lines" },
    Choice { word: "script", about: "a slanted, joined hand" },
];

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
    about: "A text as outlines, set with the font's own kerning and ligatures; letters that overlap are welded. With \
        `strokes` in place of `font` the letters are single lines for scoring (A. V. Hershey's drawings).",
    arguments: &[
        required("name", Kind::NewName, "its name"),
        required("text", Kind::Text, "the text; `{day:%-d %B %Y}` puts in a date, a new line starts a new line"),
    ],
    properties: &[
        optional("font", Kind::Path, "the font file (TTF or OTF, or a collection of them)"),
        defaulted("face", Kind::Count(1, 10_000), "1", "which font of a collection, from 1"),
        optional("strokes", Kind::Word(STROKES), "a face of single strokes, in place of a font"),
        optional("height", LENGTH, "the height of its capitals"),
        optional("width", LENGTH, "the width of the whole text"),
        optional(
            "tracking",
            Kind::Signed(Dimension::Length),
            "space added between letters; negative takes some away",
        ),
        defaulted(
            "align",
            Kind::Word(ALIGNS),
            "centre",
            "how several lines stand to each other, or where on a figure it runs along",
        ),
        defaulted(
            "leading",
            Kind::Quantity { dimension: Dimension::Percent, zero: false },
            "120 %",
            "the distance from line to line, in hundredths of the font's size",
        ),
    ],
    children: &[
        (&AXIS, Often::Any),
        (&FEATURE, Often::Any),
        (&FALLBACK, Often::Any),
        (&STENCIL, Often::AtMostOnce),
        (&ARC, Often::AtMostOnce),
        (&ALONG, Often::AtMostOnce),
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "lettering \"date\" \"{day:%-d %B %Y}\" font=\"fonts/gentium.ttf\" height=\"12 mm\" {\n    \
        place centre=\"board\" bottom=\"board\" up=\"10 mm\"\n}",
};

/// A text set in a font or in strokes.
#[derive(Clone, Debug)]
pub struct Lettering {
    /// The text.
    pub text: TextValue,
    /// What it is set in.
    pub face: LetteringFace,
    /// Where a variable font stands on its axes.
    pub axes: Vec<Axis>,
    /// Features of the font that are switched on or off.
    pub features: Vec<Feature>,
    /// Fonts for the characters that the first one lacks, in order.
    pub fallbacks: Vec<Fallback>,
    /// Width of the bridges that tie the insides of letters, where it is a stencil.
    pub stencil: Option<Written>,
    /// The figure that it runs along.
    pub along: Option<AlongFigure>,
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

/// What lettering is set in.
#[derive(Clone, Debug)]
pub enum LetteringFace {
    /// A font file, and which font of it, from 1.
    Font(TextValue, u32),
    /// `plain`, `roman` or `script`.
    Strokes(&'static str, Span),
}

impl LetteringFace {
    /// Where it is written.
    pub const fn span(&self) -> Span {
        match self {
            Self::Font(file, _) => file.span,
            Self::Strokes(_, span) => *span,
        }
    }
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
        let along = self.along.iter().flat_map(|a| [&a.gap, &a.shift]);
        let own = [self.height.as_ref(), self.width.as_ref(), self.tracking.as_ref(), self.stencil.as_ref(), arc];
        own.into_iter().flatten().chain(along)
    }
}

/// Decodes what is particular to `lettering`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<Lettering> {
    let arc = fields.children_of(&ARC).next().and_then(|node| {
        let arc = reader.read(node, &ARC);
        let side = if arc.word("side")? == "under" { ArcSide::Under } else { ArcSide::Over };
        Some(LetteringArc { radius: arc.quantity("radius")?, side })
    });
    let stencil = fields.children_of(&STENCIL).next().map(|node| reader.read(node, &STENCIL).quantity("bridge"));
    let along = fields.children_of(&ALONG).next().map(|node| along(&reader.read(node, &ALONG)));
    let lettering = Lettering {
        text: fields.text("text")?,
        face: face(fields, reader, None)?,
        axes: axes(fields, reader)?,
        features: features(fields, reader)?,
        fallbacks: fallbacks(fields, reader)?,
        // What could not be read has been reported; a setting without it would be another one.
        stencil: stencil.map_or(Some(None), |s| s.map(Some))?,
        along: along.map_or(Some(None), |a| a.map(Some))?,
        height: fields.quantity("height"),
        width: fields.quantity("width"),
        tracking: fields.quantity("tracking"),
        align: fields.word("align")?,
        leading: fields.known("leading")? / 100.0,
        arc,
    };
    if fields.is_whole() {
        one_size(&lettering, fields, reader)?;
        contradictions(&lettering, fields, reader)?;
    }
    Some(lettering)
}

/// The face that is asked for, or else these strokes.
pub(super) fn face(
    fields: &Fields,
    reader: &mut Reader,
    otherwise: Option<&'static str>,
) -> Option<LetteringFace> {
    match (fields.text("font"), fields.word("strokes").or(otherwise.filter(|_| fields.text("font").is_none()))) {
        (Some(file), None) => Some(LetteringFace::Font(file, fields.count("face")?)),
        (None, Some(word)) => Some(LetteringFace::Strokes(word, fields.span_of("strokes"))),
        (Some(_), Some(_)) => {
            let diagnostic = Diagnostic::new(&NO_FACE, "this lettering is set in two faces".to_owned())
                .at(fields.span_of("strokes"), "and this")
                .also(fields.span_of("font"), "this")
                .because("letters are either areas from a font or single strokes")
                .repair("keep one of them");
            reader.sink.push(diagnostic);
            None
        }
        (None, None) => {
            if fields.is_whole() {
                let diagnostic = Diagnostic::new(
                    &NO_FACE,
                    "this lettering does not say what it is set in".to_owned(),
                )
                .at(fields.head(), "expected `font` or `strokes`")
                .because("there is no font that every machine has")
                .repair("add `font=\"fonts/….ttf\"`, or `strokes=\"plain\"` for letters of single lines to score");
                reader.sink.push(diagnostic);
            }
            None
        }
    }
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
