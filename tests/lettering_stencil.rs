//! Stencils: after cutting nothing but the strokes falls out. GEOS says what is connected.

use crate::geometry::oracle_region;
use crate::lettering::{AMIRI, DEJAVU, PACIFICO, ROBOTO, SOURCE_SANS, collect, request};
use geos::{Geom, Geometry};
use kerfbook::geometry::Region;
use kerfbook::intake::lettering::{FontFile, LetteringRequest, Typeface, bridge, set};
use kerfbook::units::Mm;
use std::path::PathBuf;

/// How many pieces the sheet round the letters falls into: one, when nothing falls out.
fn pieces_of_sheet(ink: &Region) -> usize {
    let bounds = ink.bounds().expect("ink").inflate(5.0, 5.0);
    let sheet = format!(
        "POLYGON(({0} {1}, {2} {1}, {2} {3}, {0} {3}, {0} {1}))",
        bounds.x0, bounds.y0, bounds.x1, bounds.y1
    );
    let sheet = Geometry::new_from_wkt(&sheet).unwrap();
    let left = sheet.difference(&oracle_region(ink)).unwrap();
    let count = left.get_num_geometries().unwrap();
    // What is thinner than a tenth of a millimetre everywhere burns away: a wedge where two strokes nearly touch.
    let is_piece = |i: &usize| !left.get_geometry_n(*i).unwrap().buffer(-0.05, 8).unwrap().is_empty().unwrap();
    (0..count).filter(is_piece).count()
}

/// The ink of one character, where the font has it.
fn ink_of(character: char, font: &[u8], name: &str) -> Option<Region> {
    let text = character.to_string();
    let typeface = Typeface::Font(FontFile { bytes: font, name, face: 1 });
    let done = set(&LetteringRequest { typeface, ..request(&text, font) }).ok()?;
    (done.missing.is_empty() && !done.drawing.ink.is_empty()).then_some(done.drawing.ink)
}

/// Every character, alone, 10 mm high: either all its counters are tied, or each that is not is named.
fn check(font: &[u8], name: &str, characters: impl Iterator<Item = char>, width: f64) -> (usize, usize, usize) {
    let (mut letters, mut bridges, mut refused) = (0, 0, 0);
    for character in characters {
        let Some(ink) = ink_of(character, font, name) else { continue };
        let bridged = bridge(&ink, Mm::new(width));
        letters += 1;
        bridges += bridged.bridges;
        if bridged.narrow.is_empty() {
            assert_eq!(pieces_of_sheet(&bridged.ink), 1, "`{character}` of {name}");
        } else {
            refused += 1;
        }
        // A bridge takes away no more than its width across strokes, and never adds ink.
        assert!(bridged.ink.area().get() <= ink.area().get() + 0.1, "`{character}` of {name}");
        assert!(bridged.ink.area().get() > 0.35 * ink.area().get(), "`{character}` of {name} loses its strokes");
    }
    eprintln!("{name}: {letters} characters, {bridges} bridges of {width} mm, {refused} refused");
    (letters, bridges, refused)
}

fn printable() -> impl Iterator<Item = char> {
    ('!'..='~').chain('¡'..='ÿ')
}

#[test]
fn nothing_falls_out_of_a_stencil() {
    for (font, name) in
        [(DEJAVU, "DejaVu"), (ROBOTO, "Roboto"), (SOURCE_SANS, "Source Sans"), (PACIFICO, "Pacifico")]
    {
        let (letters, bridges, refused) = check(font, name, printable(), 0.6);
        assert!(letters > 25 && bridges > 15, "{name}");
        assert!(refused * 20 <= letters, "{name}: {refused} of {letters} refused");
    }
    let (letters, _, refused) = check(AMIRI, "Amiri", '\u{621}'..='\u{64a}', 0.6);
    assert!(letters > 30 && refused * 10 <= letters, "{refused} of {letters} refused");
}

/// A wide inside is held on two sides, a narrow one on one; without an inside there is nothing to hold.
#[test]
fn wide_insides_get_two_bridges() {
    let count = |c: char, width: f64| bridge(&ink_of(c, ROBOTO, "Roboto").unwrap(), Mm::new(width)).bridges;
    assert_eq!(count('O', 0.8), 2);
    assert_eq!(count('D', 0.8), 2);
    // Its inside has a point at the top, where no bridge goes.
    assert_eq!(count('A', 0.8), 1);
    assert_eq!(count('O', 2.2), 1);
    assert_eq!(count('H', 0.8), 0);
    let ink = ink_of('O', ROBOTO, "Roboto").unwrap();
    let none = bridge(&ink, Mm::new(9.0));
    assert_eq!((none.bridges, none.narrow.len()), (0, 1));
    assert_eq!(none.ink, ink);
}

/// A ring of known size: two bridges across it take their width times its thickness away.
#[test]
fn bridges_are_as_wide_as_they_are_asked_for() {
    let ink = ink_of('O', crate::lettering_faces::REED, "reed").unwrap();
    let (scale, width) = (10.0 / 700.0, 1.0);
    let bridged = bridge(&ink, Mm::new(width));
    assert_eq!(bridged.bridges, 2);
    let taken = ink.area().get() - bridged.ink.area().get();
    assert!((taken - 2.0 * width * 80.0 * scale).abs() < 1e-3, "{taken}");
}

/// Whole words, where letters are welded and insides lie between letters too.
#[test]
fn words_in_a_joined_hand_hold_together() {
    for text in ["Heron edge moor", "allée des roseaux", "Good evening"] {
        let ink = set(&request(text, PACIFICO)).unwrap().drawing.ink;
        let bridged = bridge(&ink, Mm::new(0.5));
        assert!(bridged.narrow.is_empty(), "{text}: {:?}", bridged.narrow);
        assert_eq!(pieces_of_sheet(&bridged.ink), 1, "{text}");
    }
}

#[test]
fn fonts_of_the_corpus_make_stencils() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA") else {
        eprintln!("skipped: set not fetched");
        return;
    };
    let mut files = Vec::new();
    collect(&PathBuf::from(root).join("font"), &mut files);
    files.retain(|f| f.extension().is_some_and(|e| e == "ttf"));
    files.sort();
    for file in files {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        check(&std::fs::read(&file).unwrap(), &name, printable(), 0.5);
    }
}
