//! `stock`: one sheet material.

use super::model::Stock;
use super::price;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::schema::{
    DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, PERCENT, Reader, defaulted, optional, required,
};
use crate::source::Span;
use crate::syntax::Node;
use crate::units::{Mm, Percent};

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

pub(super) static TONES_ALIKE: Finding = Finding {
    rule: "shop/stock-tones-alike",
    severity: Severity::Error,
    title: "a stock looks the same bare and burned, or only one of the two is given",
    explanation: "`bare` and `burned` are the luminance of the stock before and after burning, 0 % black to 100 % white, as \
        read from an evenly lit photograph beside a grey card, or with a light meter. Photos are toned between the two, \
        so both are needed, and they have to differ by a twentieth of white.",
    wrong: "stock \"slate\" material=\"slate\" thickness=\"4 mm\" bare=\"12 %\" burned=\"13 %\"",
    right: "stock \"slate\" material=\"slate\" thickness=\"4 mm\" bare=\"12 %\" burned=\"45 %\"",
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
        optional("kerf", LENGTH, "the full width of a cut, as measured; a setting may have its own").fixed(),
        optional(
            "curl",
            DISTANCE,
            "how far the highest place of a sheet rises above where it would lie flat, as measured on the sheets at hand",
        )
        .fixed(),
        optional("bare", PERCENT, "the luminance of the bare stock; photos are toned for it").fixed(),
        optional("burned", PERCENT, "the luminance of the stock where it is burned all over").fixed(),
        optional("price", Kind::Text, "the price of one sheet, with the three letters of its currency"),
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
    judge_kerf(kerf, fields.span_of("kerf"), reader.sink);
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
        price: price::price(&fields, "price", reader),
        kerf,
        curl: fields.known("curl").map(Mm::new),
        tones: tones(&fields, reader)?,
        span: name.span,
    };
    fields.is_whole().then_some(stock)
}

/// Reports a kerf that no workshop laser makes.
pub(super) fn judge_kerf(kerf: Option<Mm>, at: Span, sink: &mut Sink) {
    let Some(kerf) = kerf.filter(|k| !(0.05..=0.5).contains(&k.get())) else { return };
    sink.push(
        Diagnostic::new(&KERF_IMPLAUSIBLE, format!("a kerf of {kerf} is unusual"))
            .at(at, "the full width of one cut")
            .because("fits, necks and knobs are worked out with it")
            .repair("measure it with a comb of strips; 0.05 to 0.5 mm is usual"),
    );
}

/// Luminance bare and burned; `None` where they are given and make no sense, which is reported.
#[allow(
    clippy::option_option,
    reason = "the outer one says that it could be read, the inner one that it is there"
)]
fn tones(fields: &Fields, reader: &mut Reader) -> Option<Option<(Percent, Percent)>> {
    let (bare, burned) = (fields.known("bare"), fields.known("burned"));
    let (label, at) = match (bare, burned) {
        (None, None) => return Some(None),
        (Some(bare), Some(burned)) if (bare - burned).abs() >= 5.0 => {
            return Some(Some((Percent::new(bare), Percent::new(burned))));
        }
        (Some(_), Some(_)) => ("no photo can be seen between the two", "burned"),
        (Some(_), None) => ("and `burned`?", "bare"),
        (None, Some(_)) => ("and `bare`?", "burned"),
    };
    if fields.is_whole() {
        reader.sink.push(
            Diagnostic::new(&TONES_ALIKE, "the tones of this stock say nothing".to_owned())
                .at(fields.span_of(at), label)
                .because("photos are toned between the bare and the burned stock")
                .repair("give both, as measured, or leave both out"),
        );
    }
    None
}
