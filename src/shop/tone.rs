//! `tone-card`: how dark patches of dots come out, from which photos get their tone curve.

use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Choice, Kind, NodeSpec, Often, Reader, required};
use crate::source::Span;
use crate::syntax::Node;
use crate::units::{Dimension, Percent};

pub(super) static BAD_TONE_CARD: Finding = Finding {
    rule: "shop/bad-tone-card",
    severity: Severity::Error,
    title: "a tone card gives no curve",
    explanation: "A tone curve needs the patch without dots (0 %), the one that is burned all over (100 %) and one or more \
        between, coverage rising from patch to patch, and the last one clearly darker than the first. A patch \
        that came out lighter than the one before is evened out.",
    wrong: "patch coverage=\"10 %\" darkness=\"30 %\"\npatch coverage=\"20 %\" darkness=\"50 %\"",
    right: "patch coverage=\"0 %\" darkness=\"0 %\"\npatch coverage=\"50 %\" darkness=\"68 %\"\npatch coverage=\"100 %\" darkness=\"100 %\"",
};

/// The dithers by which a photo becomes dots.
pub static DITHERS: &[Choice] = &[
    Choice {
        word: "floyd-steinberg",
        about: "error diffusion with the kernel of Floyd and Steinberg (1976), the rows to and fro and the threshold \
            shaken: fine detail, even tones",
    },
    Choice { word: "stucki", about: "error diffusion with Stucki's wider kernel (1981): crisper edges" },
    Choice {
        word: "jarvis-judice-ninke",
        about: "error diffusion with the kernel of Jarvis, Judice and Ninke (1976): crisp edges, calm tones",
    },
    Choice { word: "blue-noise", about: "an even grain without any pattern (Ulichney's void and cluster, 1993)" },
    Choice {
        word: "halftone",
        about: "dots on a slanted grid that grow with the tone: for a spot wider than the interval and for stocks that bleed",
    },
];

const SHARE: Kind = Kind::Quantity { dimension: Dimension::Percent, zero: true };

static PATCH: NodeSpec = NodeSpec {
    name: "patch",
    about: "One patch of the card: how much of it is covered with dots and how dark it came out.",
    arguments: &[],
    properties: &[
        required("coverage", SHARE, "how much of the patch is burned"),
        required("darkness", SHARE, "0 % is the bare stock, 100 % what is burned all over, in light, not by eye"),
    ],
    children: &[],
    example: "patch coverage=\"20 %\" darkness=\"34 %\"",
};

/// `tone-card` in a shop file.
pub static TONE_CARD: NodeSpec = NodeSpec {
    name: "tone-card",
    about: "Measured darkness of patches of dots, for one machine, stock, engrave setting and dither. A photo burned with \
        that setting and dither is toned by it: dots run together and come out darker than asked for.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("machine", Kind::NameOf("machine"), "the machine it was burned on"),
        required("stock", Kind::NameOf("stock"), "the stock it was burned on"),
        required("setting", Kind::NameOf("setting"), "the engrave setting it was burned with, as it is"),
        required("dither", Kind::Word(DITHERS), "the dither of its patches"),
    ],
    children: &[(&PATCH, Often::Any)],
    example: "tone-card \"birch-dots\" machine=\"bench-diode\" stock=\"birch-3\" setting=\"dark\" dither=\"floyd-steinberg\" {\n    \
        patch coverage=\"0 %\" darkness=\"0 %\"\n    patch coverage=\"50 %\" darkness=\"66 %\"\n    patch coverage=\"100 %\" darkness=\"100 %\"\n}",
};

/// Measured darkness of patches of dots.
#[derive(Clone, Debug)]
pub struct ToneCard {
    /// Its name.
    pub name: String,
    /// The machine it was burned on.
    pub machine: String,
    /// The stock it was burned on.
    pub stock: String,
    /// The engrave setting it was burned with.
    pub setting: String,
    /// The dither of its patches.
    pub dither: &'static str,
    /// Coverage and darkness of each patch, coverage rising.
    pub patches: Vec<(Percent, Percent)>,
    /// Where it is written.
    pub span: Span,
}

/// Decodes a `tone-card` of a shop file.
pub(super) fn decode(node: &Node, reader: &mut Reader) -> Option<ToneCard> {
    let fields = reader.read(node, &TONE_CARD);
    let name = fields.name("name")?;
    let (mut patches, mut places) = (Vec::new(), Vec::new());
    for child in fields.children_of(&PATCH) {
        let patch = reader.read(child, &PATCH);
        patches.push((Percent::new(patch.known("coverage")?), Percent::new(patch.known("darkness")?)));
        places.push(patch.head());
    }
    if let Some((place, why)) = fault(&patches, &places, fields.head()) {
        reader.sink.push(
            Diagnostic::new(&BAD_TONE_CARD, format!("tone card `{}` gives no curve", name.value))
                .at(place, why)
                .because("photos would come out in other tones than they have")
                .repair("write the patches in order of coverage, from `coverage=\"0 %\"` to `coverage=\"100 %\"`"),
        );
        return None;
    }
    let card = ToneCard {
        name: name.value,
        machine: fields.text("machine")?.text,
        stock: fields.text("stock")?.text,
        setting: fields.text("setting")?.text,
        dither: fields.word("dither")?,
        patches,
        span: name.span,
    };
    fields.is_whole().then_some(card)
}

/// What is wrong with patches, and where.
fn fault(patches: &[(Percent, Percent)], places: &[Span], head: Span) -> Option<(Span, &'static str)> {
    let (first, last) = (patches.first(), patches.last());
    let Some((first, last)) = first.zip(last).filter(|_| patches.len() >= 3) else {
        return Some((head, "needs three patches or more"));
    };
    if let Some(index) = patches.windows(2).position(|w| w[0].0 >= w[1].0) {
        return Some((places[index + 1], "coverage has to rise from patch to patch"));
    }
    if first.0.get() > 0.0 {
        return Some((places[0], "the first patch has to be the bare stock"));
    }
    if last.0.get() < 100.0 {
        return Some((places[places.len() - 1], "the last patch has to be burned all over"));
    }
    let is_flat = last.1.get() - first.1.get() < 5.0;
    is_flat.then(|| (places[places.len() - 1], "hardly darker than the first"))
}
