//! Lettering from outside: against the fonts' own tables, read by another library, and closed forms.
//!
//! The figures in font units (T1 to T6, T9 and T10 of the checks) were read from the fonts of the named
//! releases with fontTools, a library that has nothing in common with the ones used here; `ttf-parser`
//! reads the same tables again in the tests.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::intake::lettering::{
    Align, Arc, ArcSide, CapitalsFrom, FontFile, FontProblem, Lettering, LetteringError, LetteringRequest,
    LetteringSize, Typeface, set,
};
use kerfbook::units::{Mm, Percent};
use kurbo::{BezPath, Point, Rect, Shape};
use std::path::{Path, PathBuf};

pub const DEJAVU: &[u8] = include_bytes!("fixtures/lettering/DejaVuSans-subset.ttf");
pub const ROBOTO: &[u8] = include_bytes!("fixtures/lettering/Roboto-subset.ttf");
pub const SOURCE_SANS: &[u8] = include_bytes!("fixtures/lettering/SourceSansPro-Regular.otf");
pub const AMIRI: &[u8] = include_bytes!("fixtures/lettering/Amiri-subset.ttf");
pub const PACIFICO: &[u8] = include_bytes!("fixtures/lettering/Pacifico-subset.ttf");

/// One typographic point (CSS Values and Units 3: 1 pt = 1/72 in).
const POINT: f64 = 25.4 / 72.0;

/// Areas are worked out on a lattice of 0.0001 mm; a size may lose half a step at each end.
pub const LATTICE: f64 = 1.01e-4;

pub fn request<'a>(text: &'a str, font: &'a [u8]) -> LetteringRequest<'a> {
    LetteringRequest {
        text,
        typeface: Typeface::Font(FontFile { bytes: font, name: "test.ttf", face: 1 }),
        fallbacks: &[],
        axes: &[],
        features: &[],
        size: LetteringSize::Height(Mm::new(10.0)),
        tracking: Mm::ZERO,
        arc: None,
        along: None,
        align: Align::Left,
        line_spacing: Percent::new(130.0),
    }
}

/// Sets at a size at which ten font units are a millimetre; `capitals` is the height of an `H` in units.
fn set_units(text: &str, font: &[u8], capitals: f64) -> Lettering {
    let size = LetteringSize::Height(Mm::new(capitals / 10.0));
    set(&LetteringRequest { size, ..request(text, font) }).expect(text)
}

pub fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "found {found}, expected {expected} within {within}");
}

pub fn bounds(set: &Lettering) -> Rect {
    set.drawing.bounds().expect("ink")
}

/// Checks T1 and T2: `DejaVu` Sans 2.37, em 2048, H 1493 high.
#[test]
fn capitals_get_the_height_that_is_asked_for() {
    let twenty_points = 5.143_527_6;
    let size = LetteringSize::Height(Mm::new(twenty_points));
    let set_h = set(&LetteringRequest { size, ..request("H", DEJAVU) }).unwrap();
    near(set_h.em.get() / POINT, 20.0, 1e-6);
    near(bounds(&set_h).height(), twenty_points, LATTICE);
    let ten = set(&request("H", DEJAVU)).unwrap();
    near(ten.em.get() / POINT, 38.883_82, 1e-4);
    near(bounds(&ten).y1, 0.0, LATTICE);
    assert_eq!(ten.capitals_from, CapitalsFrom::Letter('H'));
    assert_eq!(ten.cap_height, Mm::new(10.0));
}

/// Check T3: advances of "EMMA" in `DejaVu` Sans sum to 6229 units, 77.2541992 mm at 72 pt.
#[test]
fn advances_sum_as_the_tables_say() {
    let size = LetteringSize::Height(Mm::new(72.0 * POINT * 1493.0 / 2048.0));
    let set_text = set(&LetteringRequest { size, ..request("EMMA", DEJAVU) }).unwrap();
    near(set_text.em.get(), 25.4, 1e-9);
    near(set_text.lines[0].advance.get(), 77.254_199_2, 1e-6);
}

/// Check T4: "AVA" is 4203 units without kerning, 3941 with it.
#[test]
fn pairs_are_kerned() {
    near(set_units("AVA", DEJAVU, 1493.0).lines[0].advance.get(), 394.1, 1e-6);
    let face = ttf_parser::Face::parse(DEJAVU, 0).unwrap();
    let unkerned: u16 = "AVA".chars().map(|c| face.glyph_hor_advance(face.glyph_index(c).unwrap()).unwrap()).sum();
    assert_eq!(unkerned, 4203);
    // T, o: -348.
    let pair = set_units("To", DEJAVU, 1493.0).lines[0].advance.get();
    let alone: f64 = ["T", "o"].iter().map(|t| set_units(t, DEJAVU, 1493.0).lines[0].advance.get()).sum();
    near(pair - alone, -34.8, 1e-6);
}

/// Checks T5 and T6: other fonts; Source Sans notes a cap height of 660, but its H is 656 high.
#[test]
fn the_letter_is_measured_not_the_note() {
    for (font, capitals, em, advances) in [
        (ROBOTO, 1456.0, 204.8, [("A", 133.6), ("H", 146.0), ("i", 49.7)]),
        (SOURCE_SANS, 656.0, 100.0, [("A", 54.4), ("H", 65.2), ("i", 24.7)]),
    ] {
        for (letter, advance) in advances {
            let set_letter = set_units(letter, font, capitals);
            near(set_letter.em.get(), em, 1e-9);
            near(set_letter.lines[0].advance.get(), advance, 1e-9);
        }
    }
    near(bounds(&set(&request("H", SOURCE_SANS)).unwrap()).height(), 10.0, LATTICE);
}

/// Check T9: outlines of letters, and that counters wind against their letters.
#[test]
fn counters_stay_open() {
    for (letter, contours) in [("B", 3), ("8", 3), ("A", 2), ("O", 2), ("i", 2), ("H", 1)] {
        let ink = set(&request(letter, DEJAVU)).unwrap().drawing.ink;
        assert_eq!(ink.contours().len(), contours, "{letter}");
        let signs: Vec<bool> = ink.contours().iter().map(|c| 0.0 < c.area()).collect();
        let holes = signs.iter().filter(|s| **s != signs[0]).count();
        let expected = match letter {
            "i" | "H" => 0,
            _ => contours - 1,
        };
        assert!(holes == expected || contours - holes == expected, "{letter}");
    }
}

/// Check T10: areas of glyphs made of straight lines only.
#[test]
fn areas_agree_with_the_outlines() {
    for (letter, units) in [("H", 727_952.0), ("I", 301_586.0), (".", 53_594.0)] {
        let area = set_units(letter, DEJAVU, 1493.0).drawing.ink.area().get();
        near(area, units / 100.0, 0.01);
    }
}

/// The ink of every ASCII letter has the box that another reader finds in the font.
#[test]
fn boxes_agree_with_another_reader() {
    for (font, capitals) in [(DEJAVU, 1493.0), (ROBOTO, 1456.0), (SOURCE_SANS, 656.0)] {
        let face = ttf_parser::Face::parse(font, 0).unwrap();
        for letter in ('A'..='Z').chain('a'..='z').chain('0'..='9') {
            let id = face.glyph_index(letter).unwrap();
            let own = bounds(&set_units(&letter.to_string(), font, capitals));
            let mut theirs = TheirPath(BezPath::new());
            face.outline_glyph(id, &mut theirs).unwrap();
            // `u` of DejaVu Sans has a contour of a single point above it, which has no ink.
            let theirs = Region::from_path(&theirs.0, FillRule::NonZero).unwrap().bounds().unwrap();
            near(own.x0, theirs.x0 / 10.0, 0.003);
            near(own.x1, theirs.x1 / 10.0, 0.003);
            near(-own.y1, theirs.y0 / 10.0, 0.003);
            near(-own.y0, theirs.y1 / 10.0, 0.003);
        }
    }
}

/// An outline as the other reader draws it.
pub struct TheirPath(pub BezPath);

impl ttf_parser::OutlineBuilder for TheirPath {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to((f64::from(x), f64::from(y)));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to((f64::from(x), f64::from(y)));
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.0.quad_to((f64::from(cx), f64::from(cy)), (f64::from(x), f64::from(y)));
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let (a, b) = ((f64::from(ax), f64::from(ay)), (f64::from(bx), f64::from(by)));
        self.0.curve_to(a, b, (f64::from(x), f64::from(y)));
    }
    fn close(&mut self) {
        self.0.close_path();
    }
}

/// Advance and ink box of whole words, in font units: shaped by `HarfBuzz` 15.0.0 from these very files,
/// the outlines measured by fontTools 4.
#[test]
fn words_agree_with_the_reference_shaper() {
    for (font, capitals, text, advance, [left, right, bottom, top]) in [
        (AMIRI, 646.0, "شِتَاء", 1422.0, [62.4, 1359.4, -498.6, 1026.6]),
        (AMIRI, 646.0, "بركة", 1192.0, [-37.3, 1176.3, -198.3, 917.8]),
        (AMIRI, 646.0, "البلشون", 2318.0, [63.7, 2257.0, -281.1, 714.0]),
        (PACIFICO, 877.0, "Heron by the pond", 7730.0, [-16.0, 7846.0, -457.0, 940.0]),
        (DEJAVU, 1493.0, "AVATAR Tomboy", 16265.0, [16.0, 16204.0, -426.0, 1556.0]),
        (SOURCE_SANS, 656.0, "Affluent Wave 2027", 7915.0, [3.0, 7873.0, -12.0, 724.0]),
        (ROBOTO, 1456.0, "Type of TAVERN", 14786.0, [49.0, 14614.0, -437.0, 1557.0]),
    ] {
        let set_word = set_units(text, font, capitals);
        near(set_word.lines[0].advance.get(), advance / 10.0, 1e-6);
        let ink = bounds(&set_word);
        near(ink.x0, left / 10.0, 0.01);
        near(ink.x1, right / 10.0, 0.01);
        near(-ink.y1, bottom / 10.0, 0.01);
        near(-ink.y0, top / 10.0, 0.01);
    }
}

/// The letter with the stray point is still given the width of its ink.
#[test]
fn stray_points_are_no_ink() {
    let size = LetteringSize::Width(Mm::new(93.8));
    let set_u = set(&LetteringRequest { size, ..request("u", DEJAVU) }).unwrap();
    near(bounds(&set_u).width(), 93.8, 1e-4);
    near(set_u.drawing.parts[0].path.bounding_box().height(), 114.9, 1e-4);
}

#[test]
fn width_is_the_width_of_the_ink() {
    for (text, font, tracking) in [
        ("Heron 2027", DEJAVU, 0.0),
        ("Heron 2027", SOURCE_SANS, 1.5),
        ("Heron\nby the pond\n2027", PACIFICO, 0.0),
        ("I\nI I I I I I", ROBOTO, -0.4),
    ] {
        for align in [Align::Left, Align::Centre, Align::Right] {
            let size = LetteringSize::Width(Mm::new(120.0));
            let tracking = Mm::new(tracking);
            let set_text = set(&LetteringRequest { size, tracking, align, ..request(text, font) }).unwrap();
            near(bounds(&set_text).width(), 120.0, 0.01);
        }
    }
}

#[test]
fn tracking_goes_between_letters_only() {
    let plain = set(&request("HHH", DEJAVU)).unwrap();
    let tracked = set(&LetteringRequest { tracking: Mm::new(2.0), ..request("HHH", DEJAVU) }).unwrap();
    near((tracked.lines[0].advance - plain.lines[0].advance).get(), 4.0, 1e-9);
    near(bounds(&tracked).width() - bounds(&plain).width(), 4.0, 1e-4);
}

#[test]
fn lines_stand_below_each_other_and_align() {
    let text = "H\r\nHHH";
    for (align, share) in [(Align::Left, 0.0), (Align::Centre, 0.5), (Align::Right, 1.0)] {
        let set_text = set(&LetteringRequest { align, ..request(text, DEJAVU) }).unwrap();
        assert_eq!(set_text.lines.len(), 2);
        // 130 % of an em of 10 mm * 2048 / 1493.
        near(set_text.lines[1].baseline.get(), 1.3 * 20.48 / 1.493, 1e-9);
        near(bounds(&set_text).y1, 1.3 * 20.48 / 1.493, 1e-4);
        // An H is 1540 units wide with 201 on each side of its ink.
        let left = -share * 3.0 * 15.40 / 1.493 + 2.01 / 1.493;
        near(bounds(&set_text).x0, left, 1e-4);
    }
}

/// The foot of an upright bar: the middle of the edge that lay on the baseline.
fn foot(bar: &BezPath, centre: Point) -> Point {
    let mut corners: Vec<Point> = bar.segments().map(|s| kurbo::ParamCurve::start(&s)).collect();
    corners.sort_by(|a, b| a.distance(centre).total_cmp(&b.distance(centre)));
    corners[0].midpoint(corners[1])
}

/// An `I` is a bar; on a circle its foot is a chord's distance from the centre and its angle is known.
#[test]
fn letters_on_a_circle_stand_on_their_tangents() {
    let radius = 40.0;
    let advance = 10.0 * 604.0 / 1493.0;
    let face = ttf_parser::Face::parse(DEJAVU, 0).unwrap();
    assert_eq!(face.glyph_hor_advance(face.glyph_index('I').unwrap()), Some(604));
    let arc = Some(Arc { radius: Mm::new(radius), side: ArcSide::OverTop });
    let over = set(&LetteringRequest { arc, align: Align::Centre, ..request("IIIII", DEJAVU) }).unwrap();
    for (index, part) in over.drawing.parts.iter().enumerate() {
        let angle = (index as f64 - 2.0) * advance / radius;
        let expected = Point::new(radius * libm::sin(angle), -radius * libm::cos(angle));
        near(foot(&part.path, Point::ORIGIN).distance(expected), 0.0, 1e-3);
    }
    assert!(bounds(&over).y1 < 0.0);

    let arc = Some(Arc { radius: Mm::new(radius), side: ArcSide::UnderBottom });
    let under = set(&LetteringRequest { arc, align: Align::Left, ..request("II", DEJAVU) }).unwrap();
    let head = foot(&under.drawing.parts[1].path, Point::ORIGIN);
    let angle = 1.5 * advance / radius;
    let expected = Point::new((radius - 10.0) * libm::sin(angle), (radius - 10.0) * libm::cos(angle));
    near(head.distance(expected), 0.0, 1e-3);
}

#[test]
fn a_circle_that_is_too_short_is_refused() {
    let arc = Some(Arc { radius: Mm::new(10.0), side: ArcSide::OverTop });
    let long = LetteringRequest { arc, ..request("once around the pond and again", DEJAVU) };
    assert!(matches!(set(&long), Err(LetteringError::ArcTooShort { line: 1, .. })));
    let deep = LetteringRequest { arc, ..request("a\nb", DEJAVU) };
    assert!(matches!(set(&deep), Err(LetteringError::ArcTooSmall { line: 2, .. })));
}

#[test]
fn missing_characters_are_named_and_not_drawn() {
    let set_text = set(&request("H鷺H鷺🐦", DEJAVU)).unwrap();
    assert_eq!(set_text.missing, ['鷺', '🐦']);
    assert_eq!(set_text.drawing.parts.len(), 2);
}

#[test]
fn joined_hands_are_welded() {
    let set_text = set(&request("heron", PACIFICO)).unwrap();
    let outer = set_text.drawing.ink.contours().len();
    let counters = 2; // of e and o
    let letters: f64 = set_text
        .drawing
        .parts
        .iter()
        .map(|p| Region::from_path(&p.path, FillRule::NonZero).unwrap())
        .map(|r| r.area().get())
        .sum();
    let welded = set_text.drawing.ink.area().get();
    assert!(welded < letters - 0.5, "letters overlap: {letters} mm² alone, {welded} mm² together");
    assert!(outer <= 1 + counters + 2, "one outline and its counters, found {outer} outlines");
}

/// Arabic is joined and runs to the left: the word takes less room than its letters alone, the first
/// letter stands rightmost, and digits in it keep their order.
#[test]
fn arabic_is_joined_and_runs_leftwards() {
    let word = "بركة";
    let joined = set(&request(word, AMIRI)).unwrap();
    let alone: f64 =
        word.chars().map(|c| set(&request(&c.to_string(), AMIRI)).unwrap().lines[0].advance.get()).sum();
    assert!(joined.missing.is_empty());
    assert!(joined.lines[0].advance.get() < 0.9 * alone);
    let mixed = set(&request("ا 2027", AMIRI)).unwrap();
    let alef = set(&request("ا", AMIRI)).unwrap();
    let number = set(&request("2027", AMIRI)).unwrap();
    // The alef is the rightmost ink and the number the leftmost, with its digits in reading order.
    near(bounds(&mixed).x0, bounds(&number).x0, 0.02);
    let bar = mixed.drawing.parts.iter().map(|p| p.path.bounding_box()).max_by(|a, b| a.x1.total_cmp(&b.x1));
    near(bar.unwrap().width(), bounds(&alef).width(), 1e-3);
    let spaced = LetteringRequest { tracking: Mm::new(1.0), ..request(word, AMIRI) };
    assert_eq!(set(&spaced).unwrap_err(), LetteringError::JoinedScript { script: "Arabic" });
}

#[test]
fn what_cannot_be_set_is_refused() {
    let refused = |r: LetteringRequest| set(&r).unwrap_err();
    assert_eq!(refused(request(" \n ", DEJAVU)), LetteringError::NothingToSet);
    let tab = refused(request("a\nb\tc", DEJAVU));
    assert_eq!(tab, LetteringError::ControlCharacter { character: '\t', line: 2, column: 2 });
    let endless = "heron ".repeat(1000);
    assert!(matches!(refused(request(&endless, DEJAVU)), LetteringError::TextTooLong { found: 6000, .. }));
    for size in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e9] {
        let size = LetteringSize::Height(Mm::new(size));
        assert!(matches!(
            refused(LetteringRequest { size, ..request("H", DEJAVU) }),
            LetteringError::Length { word: "height", .. }
        ));
    }
    let wide = LetteringRequest {
        size: LetteringSize::Width(Mm::new(10.0)),
        tracking: Mm::new(50.0),
        ..request("HHH", DEJAVU)
    };
    assert!(matches!(refused(wide), LetteringError::TooMuchTracking { .. }));
}

fn problem(font: &[u8]) -> FontProblem {
    match set(&request("Heron", font)) {
        Err(LetteringError::Font { problem, file }) => {
            assert_eq!(file, "test.ttf");
            problem
        }
        other => panic!("expected a font's problem, found {other:?}"),
    }
}

#[test]
fn broken_fonts_are_named_with_their_table() {
    assert_eq!(problem(b""), FontProblem::Empty);
    assert_eq!(problem(b"<svg/>"), FontProblem::NotAFont);
    assert_eq!(problem(b"wOF2aaaaaaaaaaaaaaa"), FontProblem::Packed { format: "WOFF2" });
    assert_eq!(problem(b"OTTO\0"), FontProblem::Directory);
    assert!(matches!(problem(&DEJAVU[..20_000]), FontProblem::TableCut { .. }));
    let renamed = |from: &[u8; 4], to: &[u8; 4]| {
        let mut font = DEJAVU.to_vec();
        let at = font[..400].windows(4).position(|w| w == from).unwrap();
        font[at..at + 4].copy_from_slice(to);
        font
    };
    assert_eq!(problem(&renamed(b"glyf", b"CBDT")), FontProblem::NoOutlines { pictures: Some("CBDT") });
    assert_eq!(problem(&renamed(b"glyf", b"glyX")), FontProblem::NoOutlines { pictures: None });
    assert_eq!(problem(&renamed(b"hmtx", b"hmtX")), FontProblem::TableMissing { table: "hmtx" });
    assert_eq!(problem(&renamed(b"loca", b"locA")), FontProblem::TableMissing { table: "loca" });
}

/// Every thousandth byte of three fonts turned over, one at a time: an answer or an error, never a panic.
#[test]
fn damaged_fonts_never_panic() {
    for font in [DEJAVU, SOURCE_SANS, AMIRI] {
        let step = font.len() / 60;
        for at in (0..font.len()).step_by(step.max(1)) {
            let mut damaged = font.to_vec();
            for byte in damaged.iter_mut().skip(at).take(9) {
                *byte = !*byte;
            }
            match set(&request("Heron بركة 2027", &damaged)) {
                Ok(_) => {}
                Err(error) => {
                    assert!(!error.to_string().is_empty());
                    let unforeseen = matches!(
                        error,
                        LetteringError::Font { problem: FontProblem::Unreadable, .. }
                            | LetteringError::TookTooLong { .. }
                    );
                    assert!(!unforeseen, "byte {at}: {error}");
                }
            }
        }
    }
}

#[test]
fn the_same_text_gives_the_same_bits() {
    let arc = Some(Arc { radius: Mm::new(60.0), side: ArcSide::OverTop });
    let asked = LetteringRequest { arc, ..request("Heron pond 2027", PACIFICO) };
    assert_eq!(set(&asked).unwrap().drawing.ink, set(&asked).unwrap().drawing.ink);
}

/// Every font of the fetched set either sets the words or tells why not.
#[test]
fn fonts_of_the_corpus_are_set_or_refused() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA") else {
        eprintln!("skipped: set not fetched");
        return;
    };
    let mut files = Vec::new();
    collect(&PathBuf::from(root).join("font"), &mut files);
    files.sort();
    assert!(!files.is_empty());
    for file in files {
        let data = std::fs::read(&file).unwrap();
        let name = file.to_string_lossy().into_owned();
        let typeface = Typeface::Font(FontFile { bytes: &data, name: &name, face: 1 });
        match set(&LetteringRequest { typeface, ..request("Heron 2027", &data) }) {
            Ok(set_text) => {
                assert!(set_text.missing.is_empty(), "{name}: {:?}", set_text.missing);
                assert!(!set_text.drawing.is_empty(), "{name}");
                eprintln!("{name}: {:?} em {}", set_text.capitals_from, set_text.em);
            }
            Err(error) => eprintln!("{error}"),
        }
    }
}

pub fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, files);
        } else {
            files.push(path);
        }
    }
}

/// Thirty glyphs, each composed of the next one twice, are a thousand million parts.
#[test]
fn glyphs_of_endless_parts_are_refused() {
    let composed = include_bytes!("fixtures/lettering/composite-bomb.ttf");
    assert!(matches!(problem(composed), FontProblem::GlyphTooComplex { .. }));
}
