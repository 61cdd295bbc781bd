//! Shaping against the reference shaper: glyphs and places, stored in `tests/fixtures/lettering/harfbuzz.txt`.

use super::error::{FontProblem, LetteringError};
use super::fonts::Fonts;
use super::shaping::shape;
use super::typeface::{AxisSetting, FontFile, font_tag};

fn font(name: &str) -> &'static [u8] {
    match name {
        "DejaVuSans-subset.ttf" => include_bytes!("../../../tests/fixtures/lettering/DejaVuSans-subset.ttf"),
        "Roboto-subset.ttf" => include_bytes!("../../../tests/fixtures/lettering/Roboto-subset.ttf"),
        "SourceSansPro-Regular.otf" => {
            include_bytes!("../../../tests/fixtures/lettering/SourceSansPro-Regular.otf")
        }
        "Amiri-subset.ttf" => include_bytes!("../../../tests/fixtures/lettering/Amiri-subset.ttf"),
        "Pacifico-subset.ttf" => include_bytes!("../../../tests/fixtures/lettering/Pacifico-subset.ttf"),
        "reed-variable.ttf" => include_bytes!("../../../tests/fixtures/lettering/reed-variable.ttf"),
        other => panic!("no font {other}"),
    }
}

fn axes(written: &str) -> Vec<AxisSetting> {
    let axis = |pair: &str| {
        let (tag, value) = pair.split_once('=').unwrap();
        AxisSetting { tag: font_tag(tag).unwrap(), value: value.parse().unwrap() }
    };
    written.split(',').filter(|p| !p.is_empty()).map(axis).collect()
}

/// Coloured layers are no outline: the letter would be left out in silence.
#[test]
fn letters_of_coloured_layers_are_refused() {
    let bytes = include_bytes!("../../../tests/fixtures/lettering/reed-colour.ttf");
    let file = FontFile { bytes, name: "colour.ttf", face: 1 };
    let (fonts, _) = Fonts::open(&file, &[], &[]).unwrap();
    let of = |text: &str| {
        super::outline::of_glyphs(&fonts, &shape(&fonts, text, &[], false).unwrap().lines).map(|o| o.len())
    };
    assert_eq!(of("H H"), Ok(1));
    let problem = FontProblem::GlyphIsPicture { glyph: 3, table: "COLR" };
    assert_eq!(of("HO"), Err(LetteringError::Font { file: "colour.ttf".to_owned(), problem }));
}

#[test]
fn glyphs_and_places_are_those_of_the_reference_shaper() {
    let stored = include_str!("../../../tests/fixtures/lettering/harfbuzz.txt");
    let mut checked = 0;
    for line in stored.lines().filter(|l| !l.starts_with('#')) {
        let fields: Vec<&str> = line.split('|').collect();
        let file = FontFile { bytes: font(fields[0]), name: fields[0], face: 1 };
        let (fonts, _) = Fonts::open(&file, &[], &axes(fields[1])).unwrap();
        let shaped = shape(&fonts, fields[2], &[], false).unwrap();
        assert!(shaped.missing.is_empty(), "{line}");
        let (mut origin, mut found) = (0.0, Vec::new());
        for cluster in &shaped.lines[0].clusters {
            let place = |g: &super::shaping::ShapedGlyph| format!("{}:{}:{}", g.id.id.to_u32(), origin + g.x, g.y);
            found.extend(cluster.glyphs.iter().map(place));
            origin += cluster.advance;
        }
        found.push(format!("end:{origin}"));
        assert_eq!(found.join(" "), fields[3], "{} of {} at {}", fields[2], fields[0], fields[1]);
        checked += 1;
    }
    assert!(20 <= checked);
}
