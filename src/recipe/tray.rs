//! `tray`: the frame and the backing board that a piece is kept in.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, TURN, Written};
use crate::schema::{Choice, DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, defaulted, required};
use crate::source::Spanned;

static PARTS: &[Choice] = &[
    Choice { word: "frame", about: "the wall round the piece, glued onto the backing board" },
    Choice { word: "back", about: "the backing board under frame and piece, as large as the frame" },
];

/// `tray`.
pub static TRAY: NodeSpec = NodeSpec {
    name: "tray",
    about: "A part of the tray that a piece is kept in: the frame round it, or the backing board under both. Both are made \
        from the outline of the piece, holes left out; two nodes make a tray. They are cut from sheets of their own: write \
        `sheet=\"fresh\"` on the run of each. With the beam on the waste side, the gap comes out as it is written. Without \
        `place`, `turn` and `mirror` it lies about the piece.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("of", Kind::NameOf("figure"), "the piece that is kept in it"),
        required("part", Kind::Word(PARTS), "which part"),
        required("wall", LENGTH, "the width of the frame"),
        defaulted("gap", DISTANCE, "0.5 mm", "the room between the drawn outline of the piece and the frame"),
    ],
    children: &[
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "tray \"frame\" of=\"board\" part=\"frame\" wall=\"12 mm\" gap=\"0.5 mm\"",
};

/// A part of a tray.
#[derive(Clone, Debug)]
pub struct TrayOf {
    /// The piece that is kept in it.
    pub of: Spanned<String>,
    /// Whether it is the frame; else the backing board.
    pub is_frame: bool,
    /// The width of the frame.
    pub wall: Written,
    /// The room between piece and frame.
    pub gap: Written,
}

/// Decodes what is particular to `tray`.
pub(super) fn decode(fields: &Fields) -> Option<TrayOf> {
    Some(TrayOf {
        of: fields.name("of")?,
        is_frame: fields.word("part")? == "frame",
        wall: fields.quantity("wall")?,
        gap: fields.quantity("gap")?,
    })
}
