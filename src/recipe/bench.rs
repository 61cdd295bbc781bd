//! `machine`, `stock` and `sheet` of a recipe: what it is made on and from.

use super::placing::Written;
use crate::schema::{DISTANCE, Kind, LENGTH, NodeSpec, Reader, defaulted, optional, required};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::Mm;

/// `machine` in a recipe.
pub static MACHINE_CHOICE: NodeSpec = NodeSpec {
    name: "machine",
    about: "The machine that the job is burned on: one of the shop's.",
    arguments: &[required("name", Kind::NameOf("machine"), "its name in the shop file")],
    properties: &[],
    children: &[],
    example: "machine \"bench-diode\"",
};

/// `stock` in a recipe.
pub static STOCK_CHOICE: NodeSpec = NodeSpec {
    name: "stock",
    about: "The stock that the job is made from: one of the shop's.",
    arguments: &[required("name", Kind::NameOf("stock"), "its name in the shop file")],
    properties: &[],
    children: &[],
    example: "stock \"birch-3\"",
};

/// `sheet` in a recipe.
pub static SHEET: NodeSpec = NodeSpec {
    name: "sheet",
    about: "The raw piece on the bed. It is the page of every run, and its left top corner is where positions count from.",
    arguments: &[
        required("width", LENGTH, "from left to right").fixed(),
        required("height", LENGTH, "from top to bottom").fixed(),
    ],
    properties: &[
        optional(
            "curl",
            DISTANCE,
            "how far its highest place rises above where it would lie flat, as measured on this sheet; that of the stock if \
                left out",
        )
        .fixed(),
        defaulted(
            "offcut",
            Kind::Flag,
            "#false",
            "whether it is left over from another job, as for test cards: it is not paid for then",
        ),
        optional(
            "block",
            LENGTH,
            "the height of a block under its right edge, where it is tilted on purpose, as for a focus card; it lies flat if \
                left out",
        )
        .fixed(),
    ],
    children: &[],
    example: "sheet \"12 in\" \"12 in\"",
};

/// The size of the sheet.
#[derive(Clone, Debug)]
pub struct SheetSize {
    /// From left to right.
    pub width: Written,
    /// From top to bottom.
    pub height: Written,
    /// How far its highest place rises above where it would lie flat, and where that is written.
    pub curl: Option<Spanned<Mm>>,
    /// Whether it is left over from another job.
    pub is_offcut: bool,
    /// Height of the block under its right edge, where it is tilted on purpose.
    pub block: Option<Mm>,
    /// Where it is written.
    pub span: Span,
}

/// Decodes `machine` or `stock` of a recipe.
pub(super) fn choice(node: &Node, spec: &'static NodeSpec, reader: &mut Reader) -> Option<Spanned<String>> {
    reader.read(node, spec).name("name")
}

/// Decodes `sheet`.
pub(super) fn sheet(node: &Node, reader: &mut Reader) -> Option<SheetSize> {
    let fields = reader.read(node, &SHEET);
    Some(SheetSize {
        width: fields.quantity("width")?,
        height: fields.quantity("height")?,
        curl: fields.known("curl").map(|curl| Spanned::new(Mm::new(curl), fields.span_of("curl"))),
        is_offcut: fields.flag("offcut"),
        block: fields.known("block").map(Mm::new),
        span: fields.head(),
    })
}
