//! An SVG of unknown quality becomes a drawing in millimetres.
//!
//! In: the bytes of a file and selectors. Out: [`SvgArtwork`], and a finding for everything in the file that
//! does not come through as it looks on screen. Steps, in reading order: `decode` to text, `document` to
//! XML, `page` for the scale, `prepare` for what is meant, the resolver `usvg` for transforms and paint,
//! `painter` for ink and lines, `census` for what is said about it.
//!
//! Invariant: no file makes it panic, hang, read another file or touch the network; and every element of the
//! file is drawn, or is reported, or draws nothing in any viewer.

mod decode;
mod document;
mod page;
mod cascade;
mod prepare;
mod copies;
mod references;
mod fonts;
mod words;
mod markup;
mod path_data;
mod outline;
mod strokes;
mod tone;
mod cut;
mod layers;
mod painter;
mod clip;
mod stencil;
mod mask;
mod losses;
mod kinds;
mod census;
mod suggest;
mod embedded;
mod inventory;

pub use embedded::{EmbeddedPicture, embedded_pictures};
pub use fonts::SvgFont;
pub use inventory::{Inventory, PartListed, TextListed, inventory};
pub use painter::ColourUse;
pub use strokes::Strokes;

use super::budget;
use super::select::Selector;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::geometry::Drawing;
use crate::source::Span;
use crate::units::Mm;
use census::Census;
use document::{Document, XmlError, id_of};
use kinds::Kind;
use kurbo::Rect;
use page::Page;
use prepare::Prepared;
use std::sync::Arc;
use usvg::fontdb::Database;

/// The size of a drawing and what to take of it.
#[derive(Clone, Copy, Debug)]
pub struct SvgRequest<'a> {
    /// The file, as the recipe names it.
    pub file: &'a str,
    /// What it holds: SVG, or SVG packed with gzip.
    pub bytes: &'a [u8],
    /// Only elements that one of these names, with what is in them; all when there are none.
    pub take: &'a [Selector],
    /// Elements to leave out, with what is in them.
    pub drop: &'a [Selector],
    /// What becomes of strokes.
    pub strokes: Strokes,
    /// The fonts for its text; without any, text is left out.
    pub fonts: &'a [SvgFont<'a>],
    /// The artwork node in the recipe, where findings point.
    pub node: Span,
}

impl<'a> SvgRequest<'a> {
    /// All of a file, its strokes as lines and its text left out.
    pub const fn new(file: &'a str, bytes: &'a [u8], node: Span) -> Self {
        Self { file, bytes, take: &[], drop: &[], strokes: Strokes::CentreLines, fonts: &[], node }
    }
}

/// A drawing read from an SVG.
#[derive(Clone, Debug)]
pub struct SvgArtwork {
    /// Ink and lines in millimetres from the left top corner of the document's page; a pixel is 1/96 inch.
    pub drawing: Drawing,
    /// Width and height of the page, if the document states them in units of length. Without, the scale of the
    /// drawing is a guess, and the recipe has to give a size.
    pub physical_size: Option<(Mm, Mm)>,
    /// The page, in the drawing's frame; `None` for a document that gives neither a size nor a view box.
    pub page: Option<Rect>,
    /// Its flat colours, the largest first.
    pub colours: Vec<ColourUse>,
    /// How many text elements were left out.
    pub holds_text: usize,
}

/// A selector matches no element.
pub static SELECTOR_MATCHES_NOTHING: Finding = Finding {
    rule: "artwork/selector-matches-nothing",
    severity: Severity::Error,
    title: "a selector matches nothing in the artwork",
    explanation: "`take` and `drop` name elements of the file by tag, `#id`, `.class` or attribute; layers by \
                  `[label=\"…\"]`; colours by `[fill=\"…\"]` and `[stroke=\"…\"]`, in any spelling. A selector that \
                  matches nothing is a mistyped one, or the file has changed: without the error a part would \
                  silently be missing, or be burned although it was to be dropped.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\" { take \"#brid\" }",
    right: "artwork \"heron\" file=\"art/heron.svg\" { take \"#bird\" }",
};

/// What follows from a file that cannot be read.
const NOTHING_BURNED: &str = "nothing of it is burned";

/// Nothing is left to burn.
pub static NOTHING_DRAWN: Finding = Finding {
    rule: "artwork/nothing-drawn",
    severity: Severity::Error,
    title: "an artwork file draws nothing that can be burned",
    explanation: "The file was read, but no dark area and no line came of it: all is hidden, near white, outside the \
                  page, clipped away, or made of text and pictures. The other findings on the same file say what \
                  became of each part.",
    wrong: "<svg xmlns=\"http://www.w3.org/2000/svg\"><rect width=\"9\" height=\"9\" fill=\"white\"/></svg>",
    right: "<svg xmlns=\"http://www.w3.org/2000/svg\"><rect width=\"9\" height=\"9\" fill=\"black\"/></svg>",
};

/// Path data cannot be read to their end.
pub static BAD_PATH_DATA: Finding = Finding {
    rule: "artwork/bad-path-data",
    severity: Severity::Error,
    title: "path data in an artwork file break off",
    explanation: "The `d` attribute of a path holds something that is no command or number, or stops in the middle. \
                  SVG asks to draw what stands before the fault, and so viewers show half a shape. Half a shape \
                  must not be cut, so this is an error here.",
    wrong: "<path d=\"M0 0 L10 10 L20\"/>",
    right: "<path d=\"M0 0 L10 10 L20 0\"/>",
};

/// Reading takes too long.
pub static TOO_SLOW: Finding = Finding {
    rule: "artwork/too-slow",
    severity: Severity::Error,
    title: "an artwork file takes too long to read",
    explanation: "Reading one drawing may take thirty seconds. Real drawings take a fraction of one; a file that needs \
                  longer holds hundreds of thousands of overlapping curves, or was made to exhaust programs.",
    wrong: "artwork \"meadow\" file=\"art/every-blade-of-grass.svg\"",
    right: "artwork \"meadow\" file=\"art/every-blade-of-grass.svg\" { take \"#foreground\" }",
};

/// The reader failed.
pub static READER_FAILED: Finding = Finding {
    rule: "artwork/reader-failed",
    severity: Severity::Error,
    title: "the reader failed on an artwork file",
    explanation: "This is a fault of the program, not of the file. Saving the drawing as plain SVG from its editor \
                  often avoids it. Please report it with the file.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\"",
    right: "artwork \"heron\" file=\"art/heron-plain.svg\"",
};

/// The rules that reading an SVG may raise.
pub static RULES: &[&Finding] = &[
    &decode::NOT_SVG,
    &decode::TOO_LARGE,
    &document::MALFORMED,
    &document::TOO_DEEP,
    &document::NAMESPACE_MISSING,
    &page::BAD_SIZE,
    &page::BAD_VIEW_BOX,
    &page::ASPECT_DIFFERS,
    &copies::REFERENCE_CYCLE,
    &SELECTOR_MATCHES_NOTHING,
    &NOTHING_DRAWN,
    &BAD_PATH_DATA,
    &TOO_SLOW,
    &READER_FAILED,
    &losses::TEXT_NOT_OUTLINED,
    &losses::FONT_NOT_NAMED,
    &losses::GLYPH_MISSING,
    &losses::FONT_STYLE,
    &fonts::BAD_FONT,
    &losses::EMBEDDED_PICTURE,
    &losses::LINKED_FILE,
    &losses::NOT_A_DRAWING,
    &losses::DANGLING_REFERENCE,
    &losses::SAME_ID,
    &losses::STYLE_NOT_UNDERSTOOD,
    &losses::GRADIENT,
    &losses::PATTERN,
    &losses::MASK,
    &losses::FILTER,
    &losses::TRANSLUCENT,
    &losses::TOO_MANY_DASHES,
    &losses::FAR_AWAY,
    &losses::OUTSIDE_PAGE,
    &losses::CLIPPED_AWAY,
    &losses::SHAPE_LOST,
    &losses::NO_AREA,
    &losses::WHITE_COVERS,
    &losses::COLOURS_MERGED,
    &losses::HIDDEN,
];

/// Reads an SVG. `None` when there is nothing to go on with; the sink then holds an error.
pub fn read_svg(request: &SvgRequest, sink: &mut Sink) -> Option<SvgArtwork> {
    let job = Job::of(request, Arc::new(database(request, sink)?));
    let failed = |finding, message: &str| {
        Diagnostic::new(finding, format!("`{}` {message}", request.file)).at(request.node, "this file")
    };
    match budget::run(budget::BUDGET, move || job.read()) {
        Ok((artwork, findings)) => {
            sink.append(findings);
            return artwork;
        }
        Err(budget::Failure::TooSlow) => sink.push(
            failed(&TOO_SLOW, &format!("takes longer than {} s to read", budget::BUDGET.as_secs()))
                .because("nothing of it is burned")
                .repair("simplify the drawing in its editor, or take only a part: `take \"#part\"`"),
        ),
        Err(budget::Failure::Panicked | budget::Failure::NoThread) => sink.push(
            failed(&READER_FAILED, "made the reader fail")
                .because("nothing of it is burned")
                .repair("save the drawing as plain SVG in its editor, and report the fault"),
        ),
    }
    None
}

/// A request that owns what it needs, to be worked on in a thread of its own.
struct Job {
    file: String,
    bytes: Vec<u8>,
    take: Vec<Selector>,
    drop: Vec<Selector>,
    strokes: Strokes,
    fonts: Arc<Database>,
    sets_text: bool,
    node: Span,
}

/// The fonts of a request; those that cannot be read are reported.
fn database(request: &SvgRequest, sink: &mut Sink) -> Option<Database> {
    let (fonts, bad) = fonts::database(request.fonts);
    for font in bad.iter().map(|index| &request.fonts[*index]) {
        sink.push(
            Diagnostic::new(&fonts::BAD_FONT, format!("`{}` is no font that can be read", font.file))
                .at(font.span, "expected a TrueType or OpenType file")
                .because(NOTHING_BURNED)
                .repair("name a TTF or OTF file with outlines"),
        );
    }
    bad.is_empty().then_some(fonts)
}

impl Job {
    fn of(request: &SvgRequest, fonts: Arc<Database>) -> Self {
        Self {
            file: request.file.to_owned(),
            bytes: request.bytes.to_vec(),
            take: request.take.to_vec(),
            drop: request.drop.to_vec(),
            strokes: request.strokes,
            fonts,
            sets_text: !request.fonts.is_empty(),
            node: request.node,
        }
    }

    fn read(&self) -> (Option<SvgArtwork>, Sink) {
        let mut sink = Sink::new();
        let artwork = self.artwork(&mut sink);
        if artwork.is_none() && !sink.has_errors() {
            sink.push(self.diagnostic(&READER_FAILED, "could not be read"));
        }
        (artwork, sink)
    }

    fn artwork(&self, sink: &mut Sink) -> Option<SvgArtwork> {
        let mut text = match decode::text(&self.bytes) {
            Ok(text) => text,
            Err(refusal) => {
                let diagnostic = self.diagnostic(refusal.finding.finding(), &refusal.message);
                let diagnostic = diagnostic.because(NOTHING_BURNED).repair(refusal.repair);
                sink.push(diagnostic.in_artwork(self.place(None)));
                return None;
            }
        };
        let added = document::declare_lost_prefixes(&mut text);
        let document = match Document::parse(&text, &self.file) {
            Ok(document) => document,
            Err(error) => {
                sink.push(self.xml_error(&error));
                return None;
            }
        };
        self.namespaces(&document, &added, sink);
        let (page, faults) = page::read(&document);
        for fault in faults {
            sink.push(self.xml_error(&fault));
        }
        self.drawing(&document, &page, sink)
    }

    fn drawing(&self, document: &Document, page: &Page, sink: &mut Sink) -> Option<SvgArtwork> {
        let mut census = Census::default();
        let choice = prepare::Choice {
            take: &self.take,
            drop: &self.drop,
            sets_text: self.sets_text,
            frames_pictures: false,
        };
        let prepared = match prepare::prepare(document, page, &choice, &mut census) {
            Ok(prepared) => prepared,
            Err(stop) => {
                let diagnostic = self.diagnostic(stop.finding, &stop.message);
                let diagnostic = diagnostic.because(NOTHING_BURNED).repair(stop.repair);
                sink.push(diagnostic.in_artwork(document.place(stop.node)));
                return None;
            }
        };
        let matched = self.selectors_match(document, &prepared, sink);
        let tree = match usvg::Tree::from_str(&prepared.svg, &self.options()) {
            Ok(tree) => tree,
            Err(error) => {
                sink.push(self.diagnostic(&document::MALFORMED, &format!("cannot be resolved: {error}")));
                return None;
            }
        };
        let mut painting = painter::paint(document, page, &tree, &prepared.origins, self.strokes, &mut census);
        for &node in prepared.expected.difference(&painting.seen) {
            match outline::path_fault(document, node) {
                Some(fault) => drop(painting.faults.insert(node, fault)),
                None => census.note(Kind::Lost, node),
            }
        }
        if let Some(node) = painting.too_many {
            let message = "holds more path segments than can be worked on";
            let diagnostic = self.diagnostic(&decode::TOO_LARGE, message).in_artwork(document.place(node));
            sink.push(diagnostic.repair("simplify the paths in the drawing's editor"));
        }
        self.path_faults(document, &painting, sink);
        let empty = painting.drawing.is_empty();
        census.report(document, self.node, empty, sink);
        if empty && matched {
            let (why, repair) = self.nothing_because(&census, prepared.expected.is_empty());
            sink.push(
                self.diagnostic(&NOTHING_DRAWN, &format!("draws nothing that can be burned: {why}"))
                    .because("nothing of it is burned")
                    .repair(repair)
                    .in_artwork(self.place(None)),
            );
        }
        if empty {
            return None;
        }
        Some(SvgArtwork {
            drawing: painting.drawing,
            physical_size: page.physical_size(),
            colours: painting.colours,
            page: page.bounded.then(|| page.rect_mm()),
            holds_text: census.count(Kind::Text),
        })
    }

    /// Settings of the resolver: CSS pixels, only the fonts named, and no file or address is ever read.
    fn options(&self) -> usvg::Options<'static> {
        usvg::Options {
            dpi: 96.0,
            font_family: "serif".to_owned(),
            fontdb: Arc::clone(&self.fonts),
            font_resolver: fonts::resolver(),
            image_href_resolver: usvg::ImageHrefResolver {
                resolve_data: Box::new(|_, _, _| None),
                resolve_string: Box::new(|_, _| None),
            },
            ..usvg::Options::default()
        }
    }

    fn diagnostic(&self, finding: &'static Finding, message: &str) -> Diagnostic {
        Diagnostic::new(finding, format!("`{}` {message}", self.file)).at(self.node, "this file")
    }

    fn place(&self, position: Option<(usize, usize)>) -> ArtworkPlace {
        ArtworkPlace { file: self.file.clone(), figure: None, element: None, position, at: None }
    }

    fn xml_error(&self, error: &XmlError) -> Diagnostic {
        let consequence = if std::ptr::eq(error.finding, &raw const page::ASPECT_DIFFERS) {
            "the drawing comes out smaller than its page says"
        } else if page::SIZES.iter().any(|f| std::ptr::eq(*f, error.finding)) {
            "how large it is on the stock would be a guess"
        } else {
            NOTHING_BURNED
        };
        let diagnostic = self.diagnostic(error.finding, &error.message).because(consequence);
        diagnostic.repair(error.repair).in_artwork(self.place(error.place))
    }

    fn namespaces(&self, document: &Document, added: &[String], sink: &mut Sink) {
        let root = document.xml.root_element();
        let message = if !added.is_empty() {
            format!("uses {} without declaring it", quoted_list(added.iter().map(String::as_str), "and"))
        } else if root.tag_name().namespace().is_none() {
            "names no SVG namespace".to_owned()
        } else {
            return;
        };
        sink.push(
            self.diagnostic(&document::NAMESPACE_MISSING, &message)
                .because("it is read all the same, but browsers and other programs may show nothing")
                .repair("add `xmlns=\"http://www.w3.org/2000/svg\"` and what is missing to its root element")
                .in_artwork(document.place(id_of(root))),
        );
    }

    /// Reports selectors that match nothing. Tells whether all matched.
    fn selectors_match(&self, document: &Document, prepared: &Prepared, sink: &mut Sink) -> bool {
        let all = self.take.iter().map(|s| ("take", s)).chain(self.drop.iter().map(|s| ("drop", s)));
        let mut matched = true;
        for ((word, selector), _) in all.zip(&prepared.matches).filter(|(_, count)| **count == 0) {
            matched = false;
            let consequence = match word {
                "take" => "the part is missing from the piece",
                _ => "the part is burned although it was to be dropped",
            };
            let message = format!("`{}` has nothing that `{word} \"{selector}\"` matches", self.file);
            let diagnostic = Diagnostic::new(&SELECTOR_MATCHES_NOTHING, message).because(consequence);
            let diagnostic = match selector.span() {
                Some(span) => diagnostic.at(span, "matches nothing").also(self.node, "in this file"),
                None => diagnostic.at(self.node, "this file"),
            };
            sink.push(suggest::other_name(diagnostic, document, selector));
        }
        matched
    }

    fn path_faults(&self, document: &Document, painting: &painter::Painting, sink: &mut Sink) {
        for (&node, fault) in painting.faults.iter().take(5) {
            let name = document.label(node);
            let place = document.place_in_attribute(node, "d", fault.offset.unwrap_or(0));
            sink.push(
                self.diagnostic(
                    &BAD_PATH_DATA,
                    &format!("has a path `{name}` whose data break off: {}", fault.why),
                )
                .because("the rest of the shape is missing, and an outline cut so far does not come free")
                .repair("draw the shape again, or mend the `d` attribute at this place")
                .in_artwork(place),
            );
        }
        if painting.faults.len() > 5 {
            let more = painting.faults.len() - 5;
            sink.push(self.diagnostic(&BAD_PATH_DATA, &format!("has {more} more paths whose data break off")));
        }
    }

    /// What most likely is the reason that nothing is left, and what to look at. `is_unchosen` is whether no shape was
    /// chosen at all.
    fn nothing_because(&self, census: &Census, is_unchosen: bool) -> (&'static str, &'static str) {
        let look = "open it in a drawing editor and look at what is filled, stroked and shown";
        let choice = "look at what `take` and `drop` name, with `kerfbook inspect`";
        let photo = "burn the picture as a figure of its own: `photo` with `element`";
        let reasons = [
            (Kind::OutsidePage, "all that it draws lies outside its page", look),
            (Kind::ClippedAway, "all that it draws is clipped away", look),
            (
                Kind::Text,
                "it holds nothing but text, which is not outlined",
                "name a font for its text: `font \"…\" file=\"…\"`",
            ),
            (Kind::Picture, "it holds nothing but pictures made of pixels", photo),
            (Kind::LinkedFile, "it holds nothing but links to other files", "bring in the file that it links to"),
            (Kind::FarAway, "all that it draws lies farther out than any bed", look),
            (Kind::Hidden, "all that it draws is hidden or unpainted", look),
        ];
        let found = reasons.iter().find(|(kind, ..)| census.count(*kind) > 0);
        match (found, self.take.is_empty(), self.drop.is_empty()) {
            (Some((_, why, repair)), ..) => (why, repair),
            (None, false, false) if is_unchosen => ("`drop` leaves out all that `take` keeps", choice),
            (None, true, false) if is_unchosen => ("`drop` leaves out all that it draws", choice),
            (None, false, true) if is_unchosen => ("what `take` names holds no shape", choice),
            (None, ..) => ("nothing in it is dark", look),
        }
    }
}
