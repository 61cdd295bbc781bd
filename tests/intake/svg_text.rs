//! Text inside artwork: outlined with the recipe's fonts, as a second library reads them, or refused by name.

use kerfbook::diagnostics::Sink;
use kerfbook::intake::svg::{SvgArtwork, SvgFont, SvgRequest, read_svg};
use kerfbook::source::{SourceId, Span};
use std::path::Path;
use std::sync::Arc;

const HEAD: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='80mm' viewBox='0 0 200 80'>";

fn font(name: &str) -> Arc<[u8]> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/lettering").join(name);
    Arc::from(std::fs::read(path).unwrap())
}

fn read(body: &str, fonts: &[(&str, &str)]) -> (Option<SvgArtwork>, Vec<String>) {
    let span = Span::new(SourceId(0), 0, 0);
    let fonts: Vec<SvgFont> =
        fonts.iter().map(|(family, file)| SvgFont { family, file, bytes: font(file), span }).collect();
    let svg = format!("{HEAD}{body}</svg>");
    let mut sink = Sink::new();
    let request = SvgRequest { fonts: &fonts, ..SvgRequest::new("a.svg", svg.as_bytes(), span) };
    let artwork = read_svg(&request, &mut sink);
    (artwork, sink.iter().map(|d| format!("{} {}: {}", d.severity, d.finding.rule, d.message)).collect())
}

/// Draws what a font says.
struct Pen(kurbo::BezPath);
impl ttf_parser::OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to((f64::from(x), f64::from(y)));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to((f64::from(x), f64::from(y)));
    }
    fn quad_to(&mut self, a: f32, b: f32, x: f32, y: f32) {
        self.0.quad_to((f64::from(a), f64::from(b)), (f64::from(x), f64::from(y)));
    }
    fn curve_to(&mut self, a: f32, b: f32, c: f32, d: f32, x: f32, y: f32) {
        self.0.curve_to((f64::from(a), f64::from(b)), (f64::from(c), f64::from(d)), (f64::from(x), f64::from(y)));
    }
    fn close(&mut self) {
        self.0.close_path();
    }
}

/// The box and area of a letter as ttf-parser reads them from the font, at a size, with its origin at a place.
fn letter(file: &str, letter: char, size: f64, at: (f64, f64)) -> (kurbo::Rect, f64) {
    let bytes = font(file);
    let face = ttf_parser::Face::parse(&bytes, 0).unwrap();
    let scale = size / f64::from(face.units_per_em());
    let mut pen = Pen(kurbo::BezPath::new());
    face.outline_glyph(face.glyph_index(letter).unwrap(), &mut pen).unwrap();
    let placed = kurbo::Affine::new([scale, 0.0, 0.0, -scale, at.0, at.1]) * pen.0;
    (kurbo::Shape::bounding_box(&placed), kurbo::Shape::area(&placed).abs())
}

#[test]
fn letters_are_those_of_the_font_that_the_recipe_names() {
    for file in ["Roboto-subset.ttf", "SourceSansPro-Regular.otf"] {
        let body =
            "<style>text{font-family:'Any Name', serif;font-size:40px}</style><text x='20' y='60' id='t'>E</text>";
        let (artwork, said) = read(body, &[("any name", file)]);
        assert!(said.is_empty(), "{said:?}");
        let ink = artwork.unwrap().drawing.ink;
        let (expected, area) = letter(file, 'E', 40.0, (20.0, 60.0));
        let found = ink.bounds().unwrap();
        let off = [found.x0 - expected.x0, found.y0 - expected.y0, found.x1 - expected.x1, found.y1 - expected.y1];
        assert!(off.iter().all(|d| d.abs() < 2e-3), "{file}: {found:?} is not {expected:?}");
        assert!((ink.area().get() - area).abs() < 1e-3 * area, "{file}: {} is not {area}", ink.area().get());
    }
}

#[test]
fn letters_that_overlap_are_welded_and_text_is_selected_like_shapes() {
    let body = "<text x='20' y='60' font-family='Script' font-size='40' id='a' fill='red'>Emma</text>";
    let (artwork, said) = read(body, &[("Script", "Pacifico-subset.ttf")]);
    let ink = artwork.unwrap_or_else(|| panic!("{said:?}")).drawing.ink;
    let doubled = ink.area().get();
    let again = kerfbook::geometry::Region::union(&[&ink, &ink]).area().get();
    assert!((doubled - again).abs() < 1e-3 * doubled);
    let nothing = read(body, &[]);
    assert!(nothing.0.is_none() && nothing.1[0].contains("artwork/text-not-outlined"), "{:?}", nothing.1);
    assert!(nothing.1[0].contains("Script"), "the family is named: {:?}", nothing.1);
}

#[test]
fn what_is_missing_is_an_error_by_name() {
    let roboto: &[(&str, &str)] = &[("Gentium", "Roboto-subset.ttf")];
    let cases: &[(&str, &[&str])] = &[
        (
            "<text id='t' font-family='Charis'>Heron</text>",
            &["error artwork/font-not-named", "`#t`", "`Charis`", "“Heron”"],
        ),
        ("<text id='t'>Heron</text>", &["error artwork/font-not-named", "`serif`"]),
        (
            "<g font-family='Gentium'><text id='t'>Emma <tspan font-family='Charis'>in</tspan></text></g>",
            &["error artwork/font-not-named", "“in”"],
        ),
        (
            "<text id='t' font-family='Gentium'>Emma 漢</text>",
            &["error artwork/glyph-missing", "`#t`", "`漢` (U+6F22)", "`Gentium`"],
        ),
        (
            "<text id='t' font-family='Gentium' font-weight='bold'>Emma</text>",
            &["warning artwork/font-style", "bold"],
        ),
    ];
    for (body, words) in cases {
        let (_, said) = read(&format!("{body}<rect width='9' height='9'/>"), roboto);
        let found = said.iter().find(|s| s.starts_with(words[0])).unwrap_or_else(|| panic!("{body}: {said:?}"));
        assert!(words.iter().all(|w| found.contains(w)), "{body}: {found}");
    }
}

#[test]
fn no_font_file_makes_the_reader_fail() {
    for file in ["composite-bomb.ttf", "charstring-bomb.otf"] {
        let (_, said) = read("<rect width='9' height='9'/><text font-family='X' y='9'>AB</text>", &[("X", file)]);
        assert!(!said.iter().any(|s| s.contains("reader-failed") || s.contains("too-slow")), "{file}: {said:?}");
    }
}
