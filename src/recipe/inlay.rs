//! `inlay`: a figure cut out of one stock that fits into another.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, TURN, Written};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Choice, DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, Reader, optional, required};
use crate::source::Spanned;

pub(super) static FIT: Finding = Finding {
    rule: "recipe/inlay-fit",
    severity: Severity::Error,
    title: "an inlay does not say how it fits, or says it twice",
    explanation: "Between insert and pocket there is either a `gap` on each side, for glue or an easy fit, or the insert is \
        larger by a `press` on each side and is pressed in.",
    wrong: "inlay \"sun-in\" of=\"sun\" piece=\"insert\"",
    right: "inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\"",
};

static PIECES: &[Choice] = &[
    Choice { word: "insert", about: "the path that cuts out what is laid in" },
    Choice { word: "pocket", about: "the path that cuts the opening it is laid into" },
];

/// `inlay`.
pub static INLAY: NodeSpec = NodeSpec {
    name: "inlay",
    about: "The insert or the pocket of another figure, as the beam has to run: both are worked out from the one outline \
        and the measured kerf, so that after burning they lie beside each other with the same gap (or press) all round. \
        The pocket comes out as the figure is drawn. The round beam leaves small arcs in the inner corners of \
        both; the same arcs are put on the outer corners of the other piece, so a corner never stands in the way. \
        Cut both with the beam on the line. The insert is cut with its good face up; lay its stock face down and it has \
        to be mirrored: `mirror \"left-right\"`. Without `place`, `turn` and `mirror` it lies where the figure lies. A \
        pocket that is engraved instead of cut through takes the width that the beam burns as its `pocket-kerf`.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("of", Kind::NameOf("figure"), "the figure that is inlaid"),
        required("piece", Kind::Word(PIECES), "which of the two"),
        optional("gap", DISTANCE, "the room between insert and pocket on each side"),
        optional("press", LENGTH, "by how much the insert is larger than the pocket on each side"),
        optional("insert-kerf", LENGTH, "the kerf of the stock of the insert; that of this stock if left out"),
        optional("pocket-kerf", LENGTH, "the kerf of the stock of the pocket; that of this stock if left out"),
    ],
    children: &[
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "inlay \"leaf-pocket\" of=\"leaf\" piece=\"pocket\" gap=\"0.05 mm\" insert-kerf=\"0.12 mm\"",
};

/// The insert or the pocket of another figure.
#[derive(Clone, Debug)]
pub struct InlayOf {
    /// The figure that is inlaid.
    pub of: Spanned<String>,
    /// Whether it is the insert; else the pocket.
    pub is_insert: bool,
    /// The gap or press on each side.
    pub fit: Written,
    /// Whether that is a press.
    pub is_press: bool,
    /// The kerf of the insert's stock, where it is not that of the recipe.
    pub insert_kerf: Option<Written>,
    /// The kerf of the pocket's stock, where it is not that of the recipe.
    pub pocket_kerf: Option<Written>,
}

impl InlayOf {
    /// The lengths that are written in it.
    pub fn lengths(&self) -> impl Iterator<Item = &Written> {
        std::iter::once(&self.fit).chain(&self.insert_kerf).chain(&self.pocket_kerf)
    }
}

/// Decodes what is particular to `inlay`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<InlayOf> {
    let (fit, is_press) = match (fields.quantity("gap"), fields.quantity("press")) {
        (Some(gap), None) => (gap, false),
        (None, Some(press)) => (press, true),
        _ => {
            if fields.is_whole() {
                reader.sink.push(
                    Diagnostic::new(&FIT, "it is not clear how this inlay fits".to_owned())
                        .at(fields.head(), "expected either `gap` or `press`")
                        .because("insert and pocket would be cut to sizes that nobody chose")
                        .repair("write `gap=\"0.05 mm\"` for glue, or `press=\"0.05 mm\"` to press it in"),
                );
            }
            return None;
        }
    };
    Some(InlayOf {
        of: fields.name("of")?,
        is_insert: fields.word("piece")? == "insert",
        fit,
        is_press,
        insert_kerf: fields.quantity("insert-kerf"),
        pocket_kerf: fields.quantity("pocket-kerf"),
    })
}
