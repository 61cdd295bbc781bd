//! `artwork`: a drawing from a file.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, SIZE, TURN};
use crate::schema::{Fields, Kind, NodeSpec, Often, Reader, TextValue, repeated, required};

static TAKE: NodeSpec = NodeSpec {
    name: "take",
    about: "Keeps only the parts of the artwork that one of these CSS selectors finds: `#id`, `.class`, `path`, \
        `[fill=\"#d40000\"]`, `[label=\"Reeds\"]`. Everything inside such a part is kept.",
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

/// `artwork`.
pub static ARTWORK: NodeSpec = NodeSpec {
    name: "artwork",
    about: "A drawing from an SVG file. What looks dark in it is burned; its lines can be scored or cut.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[required("file", Kind::Path, "the SVG file")],
    children: &[
        (&TAKE, Often::Any),
        (&DROP, Often::Any),
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "artwork \"heron\" file=\"art/heron.svg\" {\n    take \"#bird\" \".reeds\"\n    \
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
}

/// Decodes what is particular to `artwork`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<Artwork> {
    Some(Artwork {
        file: fields.text("file")?,
        take: selectors(fields, &TAKE, reader),
        drop: selectors(fields, &DROP, reader),
    })
}

fn selectors(fields: &Fields, spec: &'static NodeSpec, reader: &mut Reader) -> Vec<TextValue> {
    let nodes: Vec<_> = fields.children_of(spec).collect();
    nodes
        .into_iter()
        .flat_map(|node| reader.read(node, spec).names("selector"))
        .map(|name| TextValue { text: name.value, span: name.span, from: name.span.source })
        .collect()
}
