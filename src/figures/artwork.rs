//! `artwork` figures: a file read once, its findings pointed at the recipe.

use super::bench::Bench;
use super::placed::Made;
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::intake::{Selector, Strokes, SvgArtwork, SvgFont, SvgRequest, parse_selector, read_svg};
use crate::recipe::{Artwork, ArtworkFont, ArtworkFrame, Figure};
use crate::schema::TextValue;
use crate::source::{FileBytes, Span};
use std::sync::Arc;

pub(super) static BAD_SELECTOR: Finding = Finding {
    rule: "artwork/bad-selector",
    severity: Severity::Error,
    title: "a selector cannot be read",
    explanation: "`take` and `drop` hold CSS selectors (W3C Selectors Level 4: type, `#id`, `.class`, `[attribute=value]` \
        and its `^=`, `$=`, `*=`, `:not(…)`, descendant, child, next sibling, and lists with commas).",
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

pub(super) static NO_PAGE: Finding = Finding {
    rule: "artwork/no-page",
    severity: Severity::Error,
    title: "an artwork is to be placed by a page that it does not have",
    explanation: "The page of an SVG is its width and height, or its view box. A file that states neither has no page, and \
        what viewers show then depends on their window. Its drawing has a box all the same.",
    wrong: "artwork \"heron\" file=\"art/no-page.svg\" frame=\"page\"",
    right: "artwork \"heron\" file=\"art/no-page.svg\" frame=\"drawing\"",
};

/// Reads an artwork.
pub(super) fn make(artwork: &Artwork, figure: &Figure, bench: Bench, sink: &mut Sink) -> Option<Made> {
    let (take, drop) = (selectors(&artwork.take, sink), selectors(&artwork.drop, sink));
    let file = bench.read(&artwork.file, sink);
    let fonts: Vec<Option<FileBytes>> = artwork.fonts.iter().map(|font| bench.read(&font.file, sink)).collect();
    let (take, drop, file) = (take?, drop?, file?);
    let fonts: Vec<FileBytes> = fonts.into_iter().collect::<Option<_>>()?;
    let named: Vec<SvgFont> = artwork.fonts.iter().zip(&fonts).map(|(font, read)| font_of(font, read)).collect();
    let request = SvgRequest {
        take: &take,
        drop: &drop,
        strokes: if artwork.strokes_as_areas { Strokes::Areas } else { Strokes::CentreLines },
        fonts: &named,
        ..SvgRequest::new(&artwork.file.text, &file.bytes, artwork.file.span)
    };
    let read = reading(artwork, &file, &fonts, &request, bench, sink);
    let read = read.as_ref().as_ref()?;
    if read.physical_size.is_none() && figure.placing.size.is_none() {
        sink.push(no_physical_size(artwork, figure, read));
        return None;
    }
    let frame = match artwork.frame {
        ArtworkFrame::Taken => None,
        ArtworkFrame::Page => Some(read.page.or_else(|| {
            sink.push(no_page(artwork));
            None
        })?),
        // The same box, turned as a box, whether parts are taken or all: else they would not meet.
        ArtworkFrame::Drawing if take.is_empty() && drop.is_empty() => read.drawing.bounds(),
        ArtworkFrame::Drawing => {
            let whole = SvgRequest { take: &[], drop: &[], ..request };
            // What is wrong with parts that are not taken is nobody's business.
            let all = reading(artwork, &file, &fonts, &whole, bench, &mut Sink::new());
            all.as_ref().as_ref().and_then(|all| all.drawing.bounds())
        }
    };
    Some(Made { frame, ..Made::of(read.drawing.clone()) })
}

fn font_of<'a>(font: &'a ArtworkFont, read: &FileBytes) -> SvgFont<'a> {
    SvgFont {
        family: &font.family.text,
        file: &font.file.text,
        bytes: Arc::clone(&read.bytes),
        span: font.file.span,
    }
}

/// What the file gives, from the cache where it was read before.
fn reading(
    artwork: &Artwork,
    file: &FileBytes,
    fonts: &[FileBytes],
    request: &SvgRequest,
    bench: Bench,
    sink: &mut Sink,
) -> Arc<Option<SvgArtwork>> {
    // Findings point at selectors and fonts, so their places count too, seen from the file's.
    let from_file = |span: Span| span.start.abs_diff(artwork.file.span.start);
    let chosen = |key: MadeFrom, s: &Selector| key.text(s.text()).shown(&s.span().map(from_file));
    let key = MadeFrom::kind("artwork").text(&file.hash).text(request.file).shown(&request.strokes);
    let key = request.take.iter().fold(key, chosen).text("drop");
    let key = request.drop.iter().fold(key, chosen).text("fonts");
    let key = request.fonts.iter().zip(fonts).fold(key, |key, (font, read)| {
        key.text(font.family).text(font.file).text(&read.hash).shown(&from_file(font.span))
    });
    bench.cache.keep_with(key, artwork.file.span, sink, |sink| read_svg(request, sink))
}

fn no_page(artwork: &Artwork) -> Diagnostic {
    Diagnostic::new(&NO_PAGE, format!("`{}` has no page", artwork.file.text))
        .at(artwork.file.span, "gives neither width and height nor a view box")
        .because("there is no page to size and place it by")
        .repair("write `frame=\"drawing\"`, which goes by the box around all that it draws")
}

fn no_physical_size(artwork: &Artwork, figure: &Figure, read: &SvgArtwork) -> Diagnostic {
    let frame = read.drawing.bounds().unwrap_or_default();
    let guess = crate::units::number::fixed(frame.width(), 1);
    Diagnostic::new(&NO_PHYSICAL_SIZE, format!("`{}` does not say how large it is", artwork.file.text))
        .at(figure.head, "needs a size")
        .because(format!("its pixels would make it {guess} mm wide at 1/96 in, and a third wider at 1/72 in"))
        .repair("add `size width=\"…\"` or `size within=\"board\" margin=\"…\"` inside it")
}

pub(super) fn selectors(written: &[TextValue], sink: &mut Sink) -> Option<Vec<Selector>> {
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
