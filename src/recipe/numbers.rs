//! `numbers`: the number of each piece of a puzzle, inside it.

use super::allow::ALLOW;
use super::lettering::{Lettering, STROKES, face};
use super::placing::Written;
use crate::schema::{Fields, Kind, LENGTH, NodeSpec, Often, Reader, TextValue, defaulted, optional, required};
use crate::source::Spanned;

/// `numbers`.
pub static NUMBERS: NodeSpec = NodeSpec {
    name: "numbers",
    about: "The number of each piece of a puzzle, in the middle of the largest circle that fits into it: the numbers of the key \
        on the job sheet. All have one size, the largest that fits every piece, but not beyond `height`. A bar under a number \
        tells it from the one that it reads as upside down (6 and 9). In a run that is `turned` they are set to be read \
        from the back.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("of", Kind::NameOf("figure"), "the puzzle"),
        optional("font", Kind::Path, "the font file, for engraved digits; single strokes for scoring if left out"),
        defaulted("face", Kind::Count(1, 10_000), "1", "which font of a collection, from 1"),
        optional("strokes", Kind::Word(STROKES), "a face of single strokes; `plain` if left out"),
        defaulted("height", LENGTH, "6 mm", "the greatest height of the digits"),
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "numbers \"labels\" of=\"pieces\" height=\"5 mm\"",
};

/// The number of each piece of a puzzle.
#[derive(Clone, Debug)]
pub struct NumbersOf {
    /// The puzzle.
    pub of: Spanned<String>,
    /// The greatest height of the digits.
    pub height: Written,
    /// The ten digits and what they are set in.
    pub digits: Box<Lettering>,
}

/// Decodes what is particular to `numbers`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<NumbersOf> {
    let height = fields.quantity("height")?;
    let head = fields.head();
    let digits = Lettering {
        text: TextValue { text: "0123456789".to_owned(), span: head, from: head.source },
        face: face(fields, reader, Some("plain"))?,
        axes: Vec::new(),
        features: Vec::new(),
        fallbacks: Vec::new(),
        stencil: None,
        along: None,
        height: Some(height.clone()),
        width: None,
        tracking: None,
        align: "left",
        leading: 1.2,
        arc: None,
    };
    Some(NumbersOf { of: fields.name("of")?, height, digits: Box::new(digits) })
}
