//! `stock`: one sheet material.

use super::model::Stock;
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Kind, LENGTH, NodeSpec, Often, Reader, defaulted, optional, required};
use crate::syntax::Node;
use crate::units::Mm;

pub(super) static KERF_IMPLAUSIBLE: Finding = Finding {
    rule: "shop/implausible-kerf",
    severity: Severity::Warning,
    title: "a cut width is far from what workshop lasers make",
    explanation: "The kerf is the full width of a cut, not the loss on one side. Workshop lasers cut about 0.05 to \
        0.5 mm wide (common practice, no source). A value far outside is usually a slip of the decimal point, and \
        would make every fit wrong.",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\" kerf=\"1.5 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\" kerf=\"0.15 mm\"",
};

static STOCK_SHEET: NodeSpec = NodeSpec {
    name: "sheet",
    about: "The size of a sheet as bought.",
    arguments: &[
        required("width", LENGTH, "one side").fixed(),
        required("height", LENGTH, "the other side").fixed(),
    ],
    properties: &[],
    children: &[],
    example: "sheet \"300 mm\" \"600 mm\"",
};

/// `stock` in a shop file.
pub static STOCK: NodeSpec = NodeSpec {
    name: "stock",
    about: "One sheet material. Its thickness is measured with a calliper, never taken from the label.",
    arguments: &[required("name", Kind::NewName, "its name in recipes")],
    properties: &[
        required("material", Kind::Text, "the material by its full name; forbidden ones are refused"),
        required("thickness", LENGTH, "the thickness as measured").fixed(),
        optional("kerf", LENGTH, "the full width of a cut, as measured").fixed(),
        optional("price", Kind::Text, "the price of one sheet, with its currency"),
        defaulted("about", Kind::Text, "", "where it is from, for people"),
    ],
    children: &[(&STOCK_SHEET, Often::AtMostOnce)],
    example: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\" kerf=\"0.15 mm\" price=\"4.20 EUR\" {\n    \
        sheet \"300 mm\" \"600 mm\"\n}",
};

/// Decodes a `stock` of a shop file.
pub(super) fn decode(node: &Node, reader: &mut Reader) -> Option<Stock> {
    let fields = reader.read(node, &STOCK);
    let name = fields.name("name")?;
    let kerf = fields.known("kerf").map(Mm::new);
    if let Some(kerf) = kerf
        && !(0.05..=0.5).contains(&kerf.get())
    {
        reader.sink.push(
            Diagnostic::new(&KERF_IMPLAUSIBLE, format!("a kerf of {kerf} is unusual"))
                .at(fields.span_of("kerf"), "the full width of one cut")
                .because("fits, necks and knobs are worked out with it")
                .repair("measure it with a comb of strips; 0.05 to 0.5 mm is usual"),
        );
    }
    let sheet = fields.children_of(&STOCK_SHEET).next().and_then(|child| {
        let sheet = reader.read(child, &STOCK_SHEET);
        Some((Mm::new(sheet.known("width")?), Mm::new(sheet.known("height")?)))
    });
    let stock = Stock {
        name: name.value,
        about: fields.text("about")?.text,
        material: fields.text("material")?.text,
        thickness: Mm::new(fields.known("thickness")?),
        sheet,
        price: fields.text("price").map(|t| t.text),
        kerf,
        span: name.span,
    };
    fields.is_whole().then_some(stock)
}
