//! `artwork` figures: a file read once, its findings pointed at the recipe.

use super::bench::Bench;
use super::placed::Made;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::intake::{Selector, SvgArtwork, SvgRequest, parse_selector, read_svg};
use crate::recipe::{Artwork, Figure};
use crate::schema::TextValue;
use std::sync::Arc;

pub(super) static BAD_SELECTOR: Finding = Finding {
    rule: "artwork/bad-selector",
    severity: Severity::Error,
    title: "a selector cannot be read",
    explanation: "`take` and `drop` hold CSS selectors (W3C Selectors Level 3: type, `#id`, `.class`, `[attribute=value]`, \
        descendant and child).",
    wrong: "take \"#bird >\"",
    right: "take \"#bird\"",
};

pub(super) static NO_PHYSICAL_SIZE: Finding = Finding {
    rule: "artwork/no-physical-size",
    severity: Severity::Error,
    title: "an artwork does not say how large it is",
    explanation: "Many SVG files give their size in pixels or not at all. Programs have read a pixel as 1/72, 1/90 and 1/96 \
        inch, so its size on the stock would be a guess that can be wrong by a third. Say the size in the recipe.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\"",
    right: "artwork \"heron\" file=\"art/heron.svg\" { size width=\"120 mm\" }",
};

const USUAL_SELECTORS: &str = "write `#id`, `.class`, a tag such as `path`, or `[fill=\"#d40000\"]`";

/// What a reading depends on.
#[derive(Debug)]
#[allow(dead_code, reason = "read through Debug, as the cache's key")]
struct MadeFrom<'a> {
    hash: &'a str,
    file: &'a str,
    take: Vec<(&'a str, usize)>,
    drop: Vec<(&'a str, usize)>,
}

/// Reads an artwork.
pub(super) fn make(artwork: &Artwork, figure: &Figure, bench: Bench, sink: &mut Sink) -> Option<Made> {
    let (take, drop) = (selectors(&artwork.take, sink), selectors(&artwork.drop, sink));
    let file = bench.read(&artwork.file, sink)?;
    let (take, drop) = (take?, drop?);
    // Findings point at selectors, so their places count too, seen from the file's.
    let from_file = |t: &TextValue| t.span.start.abs_diff(artwork.file.span.start);
    let made_from = MadeFrom {
        hash: &file.hash,
        file: &artwork.file.text,
        take: artwork.take.iter().map(|t| (t.text.as_str(), from_file(t))).collect(),
        drop: artwork.drop.iter().map(|t| (t.text.as_str(), from_file(t))).collect(),
    };
    let request = SvgRequest {
        file: &artwork.file.text,
        bytes: &file.bytes,
        take: &take,
        drop: &drop,
        node: artwork.file.span,
    };
    let read: Arc<Option<SvgArtwork>> =
        bench.cache.get(&made_from, artwork.file.span, sink, |sink| read_svg(&request, sink));
    let read = read.as_ref().as_ref()?;
    if read.physical_size.is_none() && figure.placing.size.is_none() {
        sink.push(no_physical_size(artwork, figure, read));
        return None;
    }
    Some(Made::of(read.drawing.clone()))
}

fn no_physical_size(artwork: &Artwork, figure: &Figure, read: &SvgArtwork) -> Diagnostic {
    let frame = read.drawing.bounds().unwrap_or_default();
    let guess = crate::units::number::fixed(frame.width(), 1);
    Diagnostic::new(&NO_PHYSICAL_SIZE, format!("`{}` does not say how large it is", artwork.file.text))
        .at(figure.head, "needs a size")
        .because(format!("its pixels would make it {guess} mm wide at 1/96 in, and a third wider at 1/72 in"))
        .repair("add `size width=\"…\"` or `size within=\"board\" margin=\"…\"` inside it")
}

fn selectors(written: &[TextValue], sink: &mut Sink) -> Option<Vec<Selector>> {
    let mut all = Vec::new();
    let mut is_whole = true;
    for text in written {
        match parse_selector(&text.text) {
            Ok(selector) => all.push(selector.written_at(text.span)),
            Err(error) => {
                is_whole = false;
                sink.push(
                    Diagnostic::new(
                        &BAD_SELECTOR,
                        format!("`{}` is no CSS selector: {}", text.text, error.message),
                    )
                    .at(text.span, "cannot be read")
                    .repair(error.repair.unwrap_or_else(|| USUAL_SELECTORS.to_owned())),
                );
            }
        }
    }
    is_whole.then_some(all)
}
