//! What may stand inside `lettering`: axes and features of its font, further fonts, bridges, the figure it runs along.

use super::lettering::{Lettering, LetteringFace};
use super::placing::{CONTRADICTION, MIRROR, PLACE, SIZE, TURN, Written};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Choice, Fields, Kind, LENGTH, NodeSpec, Reader, TextValue, defaulted, optional, required};
use crate::source::{Span, Spanned};
use crate::units::Dimension;

pub(super) static BAD_TAG: Finding = Finding {
    rule: "recipe/font-tag",
    severity: Severity::Error,
    title: "a tag is not one that a font can have",
    explanation: "Axes and features of fonts are named by tags of up to four letters and digits, as the OpenType standard \
        registers them: `wght` is the weight, `smcp` are small capitals.",
    wrong: "axis \"weight\" 650",
    right: "axis \"wght\" 650",
};

/// `axis`.
pub static AXIS: NodeSpec = NodeSpec {
    name: "axis",
    about: "Where a variable font stands on one of its axes: `wght` (weight), `wdth` (width), `slnt` (slant), `opsz` (optical \
        size), or one of the font's own. Fallback fonts follow as far as they have the axis.",
    arguments: &[
        required("tag", Kind::Verbatim, "the axis, by its OpenType tag"),
        required("value", Kind::Signed(Dimension::Number), "the place on it, in the axis's own measure"),
    ],
    properties: &[],
    children: &[],
    example: "axis \"wght\" 650",
};

/// `feature`.
pub static FEATURE: NodeSpec = NodeSpec {
    name: "feature",
    about: "Switches a feature of the font on or off for the whole text: `smcp` (small capitals), `onum` (old-style \
        figures), `liga` (ligatures), `ss01` (the first stylistic set) …",
    arguments: &[required("tag", Kind::Verbatim, "the feature, by its OpenType tag")],
    properties: &[
        defaulted("on", Kind::Flag, "#true", "whether it is on"),
        optional("alternate", Kind::Count(1, 999), "which one, where the feature offers several"),
    ],
    children: &[],
    example: "feature \"liga\" on=#false",
};

/// `fallback`.
pub static FALLBACK: NodeSpec = NodeSpec {
    name: "fallback",
    about: "A font for the characters that the ones before it lack. It is set at the same font size (the same em), so its \
        capitals may come out a little taller or smaller. Accents stay with their letters.",
    arguments: &[required("font", Kind::Path, "the font file")],
    properties: &[defaulted("face", Kind::Count(1, 10_000), "1", "which font of a collection, from 1")],
    children: &[],
    example: "fallback \"fonts/amiri.ttf\"",
};

/// `stencil`.
pub static STENCIL: NodeSpec = NodeSpec {
    name: "stencil",
    about: "Leaves bridges across the strokes, so that the insides of letters (of `o`, `A`, `8` …) stay tied to the sheet when \
        the letters are cut out: two for a wide inside, one for a narrow one. A cut on the line takes the kerf off their \
        width.",
    arguments: &[],
    properties: &[required("bridge", LENGTH, "the width of the bridges as drawn")],
    children: &[],
    example: "stencil bridge=\"1.2 mm\"",
};

static SIDES: &[Choice] = &[
    Choice { word: "over", about: "the letters stand on the line" },
    Choice { word: "under", about: "the letters hang under the line" },
];

/// `along`.
pub static ALONG: NodeSpec = NodeSpec {
    name: "along",
    about: "Lets the text run along a line or outline of another figure; of several the longest. It lies where that figure \
        lies and is not placed itself. On an open line it reads from the left end to the right one, and `align` sets it \
        at the start, the middle or the end. Round an outline it goes clockwise and meets the middle of the top \
        (`reverse`: anticlockwise, at the middle of the bottom), `over` outside and `under` inside; reversed the other \
        way about.",
    arguments: &[required("figure", Kind::NameOf("figure"), "the figure whose line it follows")],
    properties: &[
        defaulted("side", Kind::Word(SIDES), "over", "whether the letters stand on the line or hang under it"),
        defaulted(
            "gap",
            Kind::Signed(Dimension::Length),
            "0 mm",
            "the distance between the line and the letters' feet, or their heads where they hang",
        ),
        defaulted("shift", Kind::Signed(Dimension::Length), "0 mm", "moves the text on along the line"),
        defaulted("reverse", Kind::Flag, "#false", "runs the other way"),
    ],
    children: &[],
    example: "along \"river\" side=\"over\" gap=\"1 mm\"",
};

/// A place on an axis of a variable font.
#[derive(Clone, Debug)]
pub struct Axis {
    /// The OpenType tag.
    pub tag: Spanned<[u8; 4]>,
    /// The place on the axis.
    pub value: f64,
    /// Where that is written.
    pub at: Span,
}

/// A feature that is switched on or off.
#[derive(Clone, Debug)]
pub struct Feature {
    /// The OpenType tag.
    pub tag: Spanned<[u8; 4]>,
    /// 0 is off, 1 on, more chooses among alternates.
    pub value: u32,
}

/// A font for what the ones before it lack.
#[derive(Clone, Debug)]
pub struct Fallback {
    /// The file.
    pub file: TextValue,
    /// Which font of a collection, from 1.
    pub face: u32,
}

/// The figure that a text runs along.
#[derive(Clone, Debug)]
pub struct AlongFigure {
    /// Its name.
    pub figure: Spanned<String>,
    /// Whether the letters hang under the line.
    pub hanging: bool,
    /// From the line to the letters.
    pub gap: Written,
    /// How far the text is moved on.
    pub shift: Written,
    /// Whether it runs the other way.
    pub reverse: bool,
}

/// Decodes all `axis` nodes; `None` when one is wrong.
pub(super) fn axes(fields: &Fields, reader: &mut Reader) -> Option<Vec<Axis>> {
    let nodes: Vec<_> = fields.children_of(&AXIS).collect();
    let decoded: Vec<Option<Axis>> = nodes
        .into_iter()
        .map(|node| {
            let axis = reader.read(node, &AXIS);
            Some(Axis { tag: tag(&axis, reader)?, value: axis.known("value")?, at: axis.span_of("value") })
        })
        .collect();
    decoded.into_iter().collect()
}

/// Decodes all `feature` nodes; `None` when one is wrong.
pub(super) fn features(fields: &Fields, reader: &mut Reader) -> Option<Vec<Feature>> {
    let nodes: Vec<_> = fields.children_of(&FEATURE).collect();
    let decoded: Vec<Option<Feature>> = nodes
        .into_iter()
        .map(|node| {
            let feature = reader.read(node, &FEATURE);
            let value = if feature.flag("on") { feature.count("alternate").unwrap_or(1) } else { 0 };
            Some(Feature { tag: tag(&feature, reader)?, value })
        })
        .collect();
    decoded.into_iter().collect()
}

/// Decodes all `fallback` nodes; `None` when one is wrong.
pub(super) fn fallbacks(fields: &Fields, reader: &mut Reader) -> Option<Vec<Fallback>> {
    let nodes: Vec<_> = fields.children_of(&FALLBACK).collect();
    let decoded: Vec<Option<Fallback>> = nodes
        .into_iter()
        .map(|node| {
            let fallback = reader.read(node, &FALLBACK);
            Some(Fallback { file: fallback.text("font")?, face: fallback.count("face")? })
        })
        .collect();
    decoded.into_iter().collect()
}

/// Decodes `along`.
pub(super) fn along(fields: &Fields) -> Option<AlongFigure> {
    Some(AlongFigure {
        figure: fields.name("figure")?,
        hanging: fields.word("side")? == "under",
        gap: fields.quantity("gap")?,
        shift: fields.quantity("shift")?,
        reverse: fields.flag("reverse"),
    })
}

fn tag(fields: &Fields, reader: &mut Reader) -> Option<Spanned<[u8; 4]>> {
    let written = fields.text("tag")?;
    let bytes = written.text.as_bytes();
    let mut tag = [b' '; 4];
    if (1..=4).contains(&bytes.len()) && bytes.iter().all(u8::is_ascii_graphic) {
        tag[..bytes.len()].copy_from_slice(bytes);
        return Some(Spanned::new(tag, written.span));
    }
    let message = format!("expected a tag of one to four letters or digits, found `{}`", written.text);
    let diagnostic = Diagnostic::new(&BAD_TAG, message)
        .at(written.span, "no font can have this")
        .repair("look for the tag in the font's description: `wght` is the weight, `smcp` are small capitals");
    reader.sink.push(diagnostic);
    None
}

/// Refuses what cannot hold together; `None` when something was refused.
pub(super) fn contradictions(lettering: &Lettering, fields: &Fields, reader: &mut Reader) -> Option<()> {
    let first = |spec: &'static NodeSpec| fields.children_of(spec).next().map(|node| node.head);
    let along = lettering.along.as_ref().and_then(|_| first(&ALONG));
    let arc = fields.children().find(|(spec, _)| spec.name == "arc").map(|(_, node)| node.head);
    let strokes = match lettering.face {
        LetteringFace::Strokes(_, span) => Some(span),
        LetteringFace::Font(..) => None,
    };
    let placed = [&SIZE, &TURN, &MIRROR, &PLACE].into_iter().find_map(first);
    let of_fonts = [&AXIS, &FEATURE, &FALLBACK].into_iter().find_map(first);
    let pairs = [
        (along, arc, "a text runs round a circle or along a figure", "keep `arc` or `along`"),
        (
            along,
            placed,
            "a text along a figure lies where that figure lies",
            "move it with `gap` and `shift` of `along`",
        ),
        (
            strokes,
            of_fonts,
            "faces of strokes have no axes, features or further fonts",
            "remove it, or choose a `font`",
        ),
        (
            strokes,
            first(&STENCIL),
            "letters of single strokes have no insides that could fall out",
            "remove `stencil`",
        ),
    ];
    let mut refused = false;
    for (one, other, why, repair) in pairs {
        let (Some(one), Some(other)) = (one, other) else { continue };
        let diagnostic =
            Diagnostic::new(&CONTRADICTION, format!("two parts of this lettering contradict each other: {why}"))
                .at(other, "and this")
                .also(one, "this")
                .repair(repair);
        reader.sink.push(diagnostic);
        refused = true;
    }
    (!refused).then_some(())
}
