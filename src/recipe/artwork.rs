//! `artwork`: a drawing from a file.

use super::allow::ALLOW;
use super::mend::{self, MEND, Mend};
use super::placing::{MIRROR, PLACE, SIZE, TURN};
use crate::schema::{Choice, Fields, Kind, NodeSpec, Often, Reader, TextValue, defaulted, repeated, required};

static TAKE: NodeSpec = NodeSpec {
    name: "take",
    about: "Keeps only the parts of the artwork that one of these CSS selectors finds: `#id`, `.class`, `path`, \
        `[fill=\"#d40000\"]`, `[label=\"Reeds\"]`, `path:not(.far)`. Everything inside such a part is kept. `fill` and \
        `stroke` are compared as colours, after style sheets, in any spelling.",
    arguments: &[repeated("selector", Kind::Verbatim, "a CSS selector over the original file")],
    properties: &[],
    children: &[],
    example: "take \"#bird\" \".reeds\"",
};

static DROP: NodeSpec = NodeSpec {
    name: "drop",
    about: "Leaves out the parts of the artwork that one of these CSS selectors finds.",
    arguments: &[repeated("selector", Kind::Verbatim, "a CSS selector over the original file")],
    properties: &[],
    children: &[],
    example: "drop \"#frame\"",
};

static FONT: NodeSpec = NodeSpec {
    name: "font",
    about: "Names the file for a font family that the artwork's text asks for; its text is then outlined with it. Bold and \
        italic letters take files of their own under the same family. No other font is ever used.",
    arguments: &[required(
        "family",
        Kind::Verbatim,
        "the family as the artwork names it, or `serif`, `sans-serif`, `monospace`, `cursive`, `fantasy`",
    )],
    properties: &[required("file", Kind::Path, "the font file (TTF, OTF or a collection)")],
    children: &[],
    example: "font \"Gentium\" file=\"fonts/gentium.ttf\"",
};

static STROKES: &[Choice] = &[
    Choice {
        word: "centre-lines",
        about: "a stroke is a line with a width: scoring and cutting follow its middle, engraving burns its width",
    },
    Choice {
        word: "areas",
        about: "a stroke is the area that it inks: scoring and cutting follow the edges of the drawn stroke",
    },
];

static FRAMES: &[Choice] = &[
    Choice { word: "taken", about: "the box around what is taken of the file" },
    Choice { word: "drawing", about: "the box around all that the file draws, whatever is taken of it" },
    Choice { word: "page", about: "the page of the file, margins included" },
];

/// `artwork`.
pub static ARTWORK: NodeSpec = NodeSpec {
    name: "artwork",
    about: "A drawing from an SVG file. What looks dark in it is burned; its lines can be scored or cut. Parts of one \
        file that are figures of their own, each with its `take`, stay in register where they have the same `frame`, \
        `drawing` or `page`, and the same `size`, `turn`, `mirror` and `place`.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("file", Kind::Path, "the SVG file"),
        defaulted("strokes", Kind::Word(STROKES), "centre-lines", "what becomes of its strokes"),
        defaulted("frame", Kind::Word(FRAMES), "taken", "which box `size`, `turn`, `mirror` and `place` go by"),
    ],
    children: &[
        (&TAKE, Often::Any),
        (&DROP, Often::Any),
        (&FONT, Often::Any),
        (&MEND, Often::AtMostOnce),
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "artwork \"heron\" file=\"art/heron.svg\" {\n    take \"#bird\" \".reeds\"\n    mend gaps=\"0.2 mm\"\n    \
        size within=\"board\" margin=\"12 mm\"\n    place centre=\"board\" up=\"14 mm\"\n}",
};

/// A drawing from a file.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// The file.
    pub file: TextValue,
    /// Selectors of what is kept; everything when empty.
    pub take: Vec<TextValue>,
    /// Selectors of what is left out.
    pub drop: Vec<TextValue>,
    /// Whether strokes are taken as the areas that they ink.
    pub strokes_as_areas: bool,
    /// The box that it is sized and placed by.
    pub frame: ArtworkFrame,
    /// Fonts for its text: the family, and the file.
    pub fonts: Vec<ArtworkFont>,
    /// What is put right.
    pub mend: Option<Mend>,
}

/// The box that an artwork is sized and placed by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArtworkFrame {
    /// Around what is taken.
    Taken,
    /// Around all that the file draws.
    Drawing,
    /// The page of the file.
    Page,
}

/// A font for the text of an artwork.
#[derive(Clone, Debug)]
pub struct ArtworkFont {
    /// The family, as the artwork names it.
    pub family: TextValue,
    /// The font file.
    pub file: TextValue,
}

/// Decodes what is particular to `artwork`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<Artwork> {
    Some(Artwork {
        file: fields.text("file")?,
        take: selectors(fields, &TAKE, reader),
        drop: selectors(fields, &DROP, reader),
        strokes_as_areas: fields.word("strokes")? == "areas",
        frame: match fields.word("frame")? {
            "page" => ArtworkFrame::Page,
            "drawing" => ArtworkFrame::Drawing,
            _ => ArtworkFrame::Taken,
        },
        fonts: fonts(fields, reader),
        mend: mend::take(fields, reader),
    })
}

fn fonts(fields: &Fields, reader: &mut Reader) -> Vec<ArtworkFont> {
    let nodes: Vec<_> = fields.children_of(&FONT).collect();
    nodes
        .into_iter()
        .filter_map(|node| {
            let font = reader.read(node, &FONT);
            Some(ArtworkFont { family: font.text("family")?, file: font.text("file")? })
        })
        .collect()
}

fn selectors(fields: &Fields, spec: &'static NodeSpec, reader: &mut Reader) -> Vec<TextValue> {
    let nodes: Vec<_> = fields.children_of(spec).collect();
    nodes
        .into_iter()
        .flat_map(|node| reader.read(node, spec).names("selector"))
        .map(|name| TextValue { text: name.value, span: name.span, from: name.span.source })
        .collect()
}
