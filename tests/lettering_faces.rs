//! What a text is set in: axes, features, collections, further fonts, strokes.
//!
//! `reed-variable.ttf` is drawn of rectangles whose sizes are written beside it, so every figure here is a closed form.

use crate::lettering::{AMIRI, DEJAVU, LATTICE, ROBOTO, SOURCE_SANS, bounds, near, request};
use kerfbook::geometry::clean_up;
use kerfbook::intake::lettering::{
    Align, AxisSetting, CapitalsFrom, ClampedAxis, FeatureSetting, FontFile, FontProblem, LetteringError,
    LetteringRequest, LetteringSize, StrokeFace, Typeface, font_tag, set,
};
use kerfbook::units::Mm;
use kurbo::{PathEl, Shape};

pub const REED: &[u8] = include_bytes!("fixtures/lettering/reed-variable.ttf");
const PAIR: &[u8] = include_bytes!("fixtures/lettering/reed-pair.ttc");

fn axis(tag: &str, value: f64) -> AxisSetting {
    AxisSetting { tag: font_tag(tag).unwrap(), value }
}

fn feature(tag: &str, value: u32) -> FeatureSetting {
    FeatureSetting { tag: font_tag(tag).unwrap(), value }
}

/// Outline, advance and height of the capitals all follow the axes; between the masters they are in proportion.
#[test]
fn variable_fonts_follow_their_axes() {
    for (axes, advance, capitals, stem) in [
        (vec![], 600.0, 700.0, 80.0),
        (vec![axis("wght", 900.0)], 700.0, 720.0, 160.0),
        (vec![axis("wght", 100.0)], 550.0, 700.0, 40.0),
        (vec![axis("wght", 650.0)], 650.0, 710.0, 120.0),
        (vec![axis("wdth", 75.0)], 450.0, 700.0, 80.0),
        (vec![axis("wdth", 75.0), axis("wght", 900.0)], 550.0, 720.0, 160.0),
    ] {
        let done = set(&LetteringRequest { axes: &axes, ..request("H", REED) }).unwrap();
        // The height is kept, whatever the axes do to it.
        near(bounds(&done).height(), 10.0, LATTICE);
        near(done.em.get(), 10.0 * 1000.0 / capitals, 1e-6);
        near(done.lines[0].advance.get(), 10.0 * advance / capitals, 1e-6);
        near(bounds(&done).width(), 10.0 * (advance - 100.0) / capitals, LATTICE);
        let bar = done.drawing.parts[0].path.elements().iter().filter_map(PathEl::end_point);
        let edge = bar.map(|p| p.x).filter(|x| *x > bounds(&done).x0 + 0.01).fold(f64::MAX, f64::min);
        near(edge - bounds(&done).x0, 10.0 * stem / capitals, LATTICE);
        assert!(done.clamped.is_empty());
    }
}

#[test]
fn axes_out_of_range_are_clamped_and_unknown_ones_refused() {
    let far = [axis("wdth", 100.0), axis("wght", 5000.0)];
    let done = set(&LetteringRequest { axes: &far, ..request("H", REED) }).unwrap();
    let said = ClampedAxis { setting: 1, tag: "wght".to_owned(), least: 100.0, greatest: 900.0 };
    assert_eq!(done.clamped, [said]);
    near(done.lines[0].advance.get(), 7000.0 / 720.0, 1e-6);
    let unknown = [axis("opsz", 12.0)];
    let error = set(&LetteringRequest { axes: &unknown, ..request("H", REED) }).unwrap_err();
    let LetteringError::NoSuchAxis { setting: 0, tag, known } = error else { panic!("{error}") };
    assert_eq!((tag.as_str(), known), ("opsz", vec!["wght".to_owned(), "wdth".to_owned()]));
    let error = set(&LetteringRequest { axes: &unknown, ..request("H", DEJAVU) }).unwrap_err();
    assert!(error.to_string().contains("not a variable font"));
}

#[test]
fn features_are_switched_by_their_tags() {
    let advance = |text: &str, features: &[FeatureSetting]| {
        let done = set(&LetteringRequest { features, ..request(text, REED) }).unwrap();
        (done.lines[0].advance.get() * 70.0, done.drawing.parts.len())
    };
    let same = |found: (f64, usize), units: f64, parts: usize| {
        near(found.0, units, 1e-6);
        assert_eq!(found.1, parts);
    };
    same(advance("HO", &[]), 1200.0, 1);
    same(advance("HO", &[feature("liga", 0)]), 1200.0, 2);
    same(advance("OO", &[]), 1100.0, 2);
    same(advance("OO", &[feature("kern", 0)]), 1200.0, 2);
    same(advance("h", &[feature("smcp", 1)]), 450.0, 1);
    // To switch off what is not there is no mistake, to switch it on is one.
    same(advance("h", &[feature("zero", 0)]), 400.0, 1);
    let wanted = [feature("zero", 1)];
    let error = set(&LetteringRequest { features: &wanted, ..request("h", REED) }).unwrap_err();
    let LetteringError::NoSuchFeature { known, .. } = error else { panic!("{error}") };
    assert_eq!(known, ["kern", "liga", "smcp"]);
}

#[test]
fn a_font_of_a_collection_is_chosen_by_its_number() {
    let face = |face| {
        let typeface = Typeface::Font(FontFile { bytes: PAIR, name: "pair.ttc", face });
        set(&LetteringRequest { typeface, ..request("H", PAIR) })
    };
    near(face(1).unwrap().lines[0].advance.get(), 6000.0 / 700.0, 1e-6);
    near(face(2).unwrap().lines[0].advance.get(), 9000.0 / 700.0, 1e-6);
    let none = FontProblem::NoSuchFace { wanted: 3, count: 2 };
    assert_eq!(face(3).unwrap_err(), LetteringError::Font { file: "pair.ttc".to_owned(), problem: none });
    let single = Typeface::Font(FontFile { bytes: REED, name: "reed.ttf", face: 2 });
    let error = set(&LetteringRequest { typeface: single, ..request("H", REED) }).unwrap_err();
    assert!(error.to_string().ends_with("found number 2 where there is only one"), "{error}");
}

/// Only what the first font lacks comes from the next, at the same em, whatever units that one counts in.
#[test]
fn further_fonts_fill_gaps_only() {
    let fallbacks = [
        FontFile { bytes: ROBOTO, name: "roboto.ttf", face: 1 },
        FontFile { bytes: AMIRI, name: "amiri.ttf", face: 1 },
    ];
    let done = set(&LetteringRequest { fallbacks: &fallbacks, ..request("HaH", REED) }).unwrap();
    let face = ttf_parser::Face::parse(ROBOTO, 0).unwrap();
    let a = f64::from(face.glyph_hor_advance(face.glyph_index('a').unwrap()).unwrap()) / 2048.0;
    near(done.lines[0].advance.get(), 10.0 / 0.7 * (1.2 + a), 1e-6);
    let word = "بركة";
    let mixed = set(&LetteringRequest { fallbacks: &fallbacks, ..request(&format!("H {word}"), REED) }).unwrap();
    assert!(mixed.missing.is_empty());
    // The word is joined as it is alone: 1192 of 1000 units (HarfBuzz 15.0.0), beside an H and a space.
    near(mixed.lines[0].advance.get(), 10.0 / 0.7 * (0.6 + 0.25 + 1.192), 1e-6);
    let lost = set(&LetteringRequest { fallbacks: &fallbacks, ..request("H漢O🐦", REED) }).unwrap();
    assert_eq!(lost.missing, ['漢', '🐦']);
}

/// A mark that the first font has stays with its letter from the next font, and so does the letter with its mark.
#[test]
fn marks_stay_with_their_letters() {
    let fallbacks = [FontFile { bytes: SOURCE_SANS, name: "source.otf", face: 1 }];
    // The first font has the acute but no E; the second has both.
    let done = set(&LetteringRequest { fallbacks: &fallbacks, ..request("HE\u{301}", REED) }).unwrap();
    let alone = set(&LetteringRequest {
        // The same em: an H is 656 of 1000 units high.
        size: LetteringSize::Height(done.em * 0.656),
        ..request("E\u{301}", SOURCE_SANS)
    })
    .unwrap();
    assert!(done.missing.is_empty() && alone.missing.is_empty());
    let height = |parts: &[kerfbook::geometry::Part]| {
        parts.iter().map(|p| p.path.bounding_box()).reduce(|a, b| a.union(b)).unwrap().height()
    };
    near(height(&done.drawing.parts[1..]), height(&alone.drawing.parts), 1e-6);
    near(done.lines[0].advance.get(), 0.6 * done.em.get() + alone.lines[0].advance.get(), 1e-6);
}

fn strokes(text: &str, face: StrokeFace) -> LetteringRequest<'_> {
    LetteringRequest { typeface: Typeface::Strokes(face), ..request(text, &[]) }
}

/// Check T8: in Hershey's plain face capitals are 21 high, an `H` is 22 wide and an `A` 18.
#[test]
fn strokes_are_open_lines_of_the_right_size() {
    let done = set(&strokes("AH", StrokeFace::Plain)).unwrap();
    near(done.lines[0].advance.get(), 10.0 * 40.0 / 21.0, 1e-9);
    assert_eq!(done.capitals_from, CapitalsFrom::Strokes);
    assert!(done.drawing.ink.is_empty());
    assert_eq!(done.drawing.lines.len(), 6);
    assert!(done.drawing.lines.iter().all(|l| l.width.is_none()));
    near(done.drawing.bounds().unwrap().height(), 10.0, 1e-9);
    // Straight letters keep their length: 54.9444 and 56 units.
    let ink: f64 = done.drawing.lines.iter().map(|l| l.path.perimeter(1e-6)).sum();
    near(ink, 10.0 / 21.0 * (54.9444 + 56.0), 1e-4);
}

/// Every letter of the European names that are asked for, in every face; scored, no stroke comes twice.
#[test]
fn names_of_europe_can_be_scored() {
    for face in [StrokeFace::Plain, StrokeFace::Roman, StrokeFace::Script] {
        for name in [
            "Zoë",
            "Łukasz",
            "Jürgen",
            "Ñandú",
            "Åse",
            "Strauß",
            "Dvořák",
            "Ţepeş",
            "Ðuro",
            "Gülşah İnce",
            "Ťažký ďobák",
            "Ķegums ģimene",
            "Æsir Œuvre æon cœur",
            "Þór þing ðan",
            "Nguyễn Thị Hương",
            "Ǿ ǽ",
            "«3 €» · 5 £ …",
        ] {
            let done = set(&strokes(name, face)).unwrap();
            assert!(done.missing.is_empty(), "{name}: {:?}", done.missing);
            let paths: Vec<_> = done.drawing.lines.iter().map(|l| l.path.clone()).collect();
            let drawn: f64 = paths.iter().map(|p| p.perimeter(1e-4)).sum();
            let once = drawn - clean_up(&paths, Mm::new(0.01)).saved.get();
            near(once, drawn, 0.02 * drawn);
        }
        let apart = set(&strokes("Zoe\u{308}", face)).unwrap();
        let whole = set(&strokes("Zoë", face)).unwrap();
        assert_eq!(apart.drawing.lines, whole.drawing.lines);
        assert_eq!(set(&strokes("鷺ж", face)).unwrap().missing, ['鷺', 'ж']);
    }
}

/// All Latin letters that Unicode takes apart into a letter of ASCII and marks: 488 of the blocks Latin-1 Supplement, Extended-A,
/// -B and Additional (counted in the Unicode Character Database, version 14, with Python's `unicodedata`).
#[test]
fn every_latin_letter_with_marks_is_composed() {
    let is_marked = |c: &char| {
        let mut parts = Vec::new();
        unicode_normalization::char::decompose_canonical(*c, |part| parts.push(part));
        parts.len() > 1 && parts[0].is_ascii_alphabetic()
    };
    let blocks = ('\u{c0}'..='\u{24f}').chain('\u{1e00}'..='\u{1eff}');
    let letters: String = blocks.filter(is_marked).collect();
    assert_eq!(letters.chars().count(), 488);
    for face in [StrokeFace::Plain, StrokeFace::Roman, StrokeFace::Script] {
        let missing = set(&strokes(&letters, face)).unwrap().missing;
        assert!(missing.is_empty(), "{face:?}: {missing:?}");
    }
}

#[test]
fn lines_of_strokes_align_and_space_like_those_of_fonts() {
    let text =
        LetteringRequest { align: Align::Right, tracking: Mm::new(1.0), ..strokes("I\nII", StrokeFace::Plain) };
    let done = set(&text).unwrap();
    near(done.lines[1].advance.get() - 2.0 * done.lines[0].advance.get(), 1.0, 1e-9);
    // An I is 8 units wide with its bar in the middle.
    near(done.drawing.bounds().unwrap().x1, -4.0 * 10.0 / 21.0, 1e-9);
}
