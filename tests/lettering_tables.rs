//! Advances and outlines against the fonts' own tables, read by another library (`ttf-parser`), point by point.

use crate::lettering::{AMIRI, DEJAVU, PACIFICO, ROBOTO, SOURCE_SANS, TheirPath, request};
use crate::lettering_faces::REED;
use kerfbook::intake::lettering::{
    AxisSetting, FeatureSetting, FontFile, LetteringRequest, LetteringSize, Typeface, font_tag, set,
};
use kerfbook::units::Mm;
use kurbo::{BezPath, PathEl, Point, Shape};
use std::path::PathBuf;

/// Single precision in both readers, in font units.
const ROUNDING: f64 = 0.02;

/// A path without closing lines, contours without extent and points twice, which the readers draw differently.
fn points(path: &BezPath) -> Vec<Point> {
    let mut all = Vec::new();
    for contour in path.elements().split_inclusive(|e| *e == PathEl::ClosePath) {
        let contour = BezPath::from_vec(contour.to_vec());
        let bounds = contour.bounding_box();
        if bounds.width() > 0.0 && bounds.height() > 0.0 {
            let mut own: Vec<Point> = Vec::new();
            for element in contour.elements() {
                match *element {
                    PathEl::MoveTo(p) | PathEl::LineTo(p) => own.push(p),
                    PathEl::QuadTo(a, p) => own.extend([a, p]),
                    PathEl::CurveTo(a, b, p) => own.extend([a, b, p]),
                    PathEl::ClosePath => {}
                }
            }
            own.dedup_by(|a, b| a.distance(*b) < ROUNDING);
            if 1 < own.len() && own[0].distance(own[own.len() - 1]) < ROUNDING {
                own.pop();
            }
            // A contour may begin at any of its points: at the lowest of the leftmost here.
            let first = (0..own.len()).min_by(|a, b| {
                let key = |i: usize| ((own[i].x / ROUNDING / 4.0).round(), (own[i].y / ROUNDING / 4.0).round());
                let ((ax, ay), (bx, by)) = (key(*a), key(*b));
                ax.total_cmp(&bx).then(ay.total_cmp(&by))
            });
            own.rotate_left(first.unwrap_or(0));
            all.extend(own);
        }
    }
    all
}

/// Points of a varied glyph: one reader rounds them to whole units of the font, the other does not, so that each has to
/// lie within half a unit to both sides of one of the others.
fn same_but_for_rounding(ours: &[Point], theirs: &[Point], what: &str) {
    for (some, others) in [(ours, theirs), (theirs, ours)] {
        for p in some {
            let near = others.iter().map(|q| p.distance(*q)).fold(f64::MAX, f64::min);
            assert!(near < 0.8, "{what}: nothing within a unit of {p:?}, but {near}");
        }
    }
}

/// Compares every character at a place on the axes; returns how many.
fn compare(font: &[u8], name: &str, axes: &[(&str, f64)], characters: impl Iterator<Item = char>) -> usize {
    let mut face = ttf_parser::Face::parse(font, 0).unwrap();
    for (tag, value) in axes {
        face.set_variation(ttf_parser::Tag::from_bytes(&font_tag(tag).unwrap()), *value as f32).unwrap();
    }
    let axes: Vec<AxisSetting> =
        axes.iter().map(|(tag, value)| AxisSetting { tag: font_tag(tag).unwrap(), value: *value }).collect();
    // A letter alone, as the tables hold it: no forms by neighbours or language.
    let plain: Vec<FeatureSetting> =
        ["calt", "ccmp", "isol", "locl", "rlig", "liga", "clig", "fina", "init", "medi"]
            .iter()
            .map(|tag| FeatureSetting { tag: font_tag(tag).unwrap(), value: 0 })
            .collect();
    let units = f64::from(face.units_per_em());
    let mut compared = 0;
    // A soft hyphen is not drawn, whatever shape the table holds for it.
    for character in characters.filter(|c| *c != '\u{ad}') {
        let Some(glyph) = face.glyph_index(character) else { continue };
        let text = character.to_string();
        let typeface = Typeface::Font(FontFile { bytes: font, name, face: 1 });
        let size = LetteringSize::Height(Mm::new(50.0));
        let asked = LetteringRequest { typeface, axes: &axes, features: &plain, size, ..request(&text, font) };
        let Ok(done) = set(&asked) else { continue };
        let to_units = units / done.em.get();
        let advance = f64::from(face.glyph_hor_advance(glyph).unwrap());
        let own = done.lines[0].advance.get() * to_units;
        // Whole units of the font on one side, rounded variations on the other.
        assert!((own - advance).abs() <= 0.5 + 1e-6, "`{character}` of {name}: {own}, {advance}");
        let mut theirs = TheirPath(BezPath::new());
        if face.outline_glyph(glyph, &mut theirs).is_none() {
            continue;
        }
        let [part] = done.drawing.parts.as_slice() else { continue };
        let back = kurbo::Affine::scale_non_uniform(to_units, -to_units) * part.path.clone();
        let (ours, theirs) = (points(&back), points(&theirs.0));
        compared += 1;
        if !axes.is_empty() {
            same_but_for_rounding(&ours, &theirs, &format!("`{character}` of {name}"));
            continue;
        }
        assert_eq!(ours.len(), theirs.len(), "`{character}` of {name} has other points");
        for (a, b) in ours.iter().zip(&theirs) {
            assert!(a.distance(*b) < 5.0 * ROUNDING, "`{character}` of {name}: {a:?} {b:?}");
        }
    }
    compared
}

#[test]
fn glyphs_are_the_tables_own() {
    for (font, name, least) in [
        (DEJAVU, "DejaVu", 60),
        (ROBOTO, "Roboto", 85),
        (SOURCE_SANS, "Source Sans", 150),
        (PACIFICO, "Pacifico", 80),
    ] {
        let compared = compare(font, name, &[], ('!'..='~').chain('¡'..='ÿ').chain('Α'..='Я'));
        assert!(least <= compared, "{name}: {compared}");
    }
    assert!(20 <= compare(AMIRI, "Amiri", &[], '\u{621}'..='\u{64a}'));
    for wght in [100.0, 333.0, 650.0, 900.0] {
        assert_eq!(compare(REED, "reed", &[("wght", wght), ("wdth", 80.0)], "HOh".chars()), 3);
    }
}

/// A font, its place on its axes, and the characters that are compared.
type Sample<'a> = (&'a str, Vec<(&'a str, f64)>, Box<dyn Iterator<Item = char> + 'a>);

/// Ten fonts of the fetched set: serif, slab, scripts, Arabic, Chinese and Japanese, and one with axes.
#[test]
fn glyphs_of_the_corpus_are_the_tables_own() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA") else {
        eprintln!("skipped: set not fetched");
        return;
    };
    let root = PathBuf::from(root).join("font");
    let latin = || ('!'..='~').chain('¡'..='ſ');
    let arabic = || '\u{621}'..='\u{64a}';
    let kanji = || ('ぁ'..='ん').chain('\u{4e00}'..='\u{4fff}');
    let plex = "variable/fonts/complete/ttf/IBM Plex Sans Var-";
    let (roman, italic) = (format!("{plex}Roman.ttf"), format!("{plex}Italic.ttf"));
    let all: Vec<Sample> = vec![
        ("serif/400Regular/PlayfairDisplay_400Regular.ttf", vec![], Box::new(latin())),
        ("serif/900Black_Italic/PlayfairDisplay_900Black_Italic.ttf", vec![], Box::new(latin())),
        ("script-a/400Regular/Pacifico_400Regular.ttf", vec![], Box::new(latin())),
        ("script-b/400Regular/GreatVibes_400Regular.ttf", vec![], Box::new(latin())),
        ("arabic/400Regular/Amiri_400Regular.ttf", vec![], Box::new(arabic())),
        ("arabic/700Bold/Amiri_700Bold.ttf", vec![], Box::new(arabic())),
        ("cjk/opentype/ipafont-gothic/ipag.ttf", vec![], Box::new(kanji())),
        ("cjk/opentype/ipafont-gothic/ipagp.ttf", vec![], Box::new(kanji())),
        (&roman, vec![("wght", 400.0)], Box::new(latin())),
        (&roman, vec![("wght", 650.0), ("wdth", 90.0)], Box::new(latin())),
        (&italic, vec![("wght", 150.0)], Box::new(latin())),
        ("serif/700Bold/PlayfairDisplay_700Bold.ttf", vec![], Box::new(latin())),
    ];
    for (file, axes, characters) in all {
        let data = std::fs::read(root.join(file)).unwrap();
        let compared = compare(&data, file, &axes, characters);
        eprintln!("{file} {axes:?}: {compared} glyphs");
        assert!(30 <= compared, "{file}");
    }
}
