//! The two faces of the house, shaped: Source Sans, regular and semibold.

use harfrust::{Direction, Feature, FontRef, ShapeOptions, ShapePlan, ShaperData, Tag, UnicodeBuffer, script};
use skrifa::MetadataProvider;
use skrifa::instance::{LocationRef, Size};
use std::sync::LazyLock;

/// A weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    /// For reading.
    Regular,
    /// For finding.
    Semibold,
}

/// A font that is compiled in.
pub(super) struct Face {
    /// The whole font file.
    pub bytes: &'static [u8],
    /// `PostScript` name.
    pub name: &'static str,
    font: FontRef<'static>,
    shaping: ShaperData,
    /// How every text is shaped, worked out once.
    plan: ShapePlan,
}

/// One shaped glyph, in thousandths of the type size.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Glyph {
    /// Its number in the font.
    pub id: u16,
    /// How far the pen moves.
    pub advance: f32,
    /// The characters it stands for.
    pub text: String,
}

static FACES: LazyLock<[Face; 2]> = LazyLock::new(|| {
    [
        Face::parse("SourceSansPro-Regular", include_bytes!("../fonts/SourceSansPro-Regular.ttf")),
        Face::parse("SourceSansPro-Semibold", include_bytes!("../fonts/SourceSansPro-Semibold.ttf")),
    ]
});

impl Weight {
    /// Both.
    pub(super) const ALL: [Self; 2] = [Self::Regular, Self::Semibold];

    /// The face of this weight.
    pub(super) fn face(self) -> &'static Face {
        &FACES[self as usize]
    }

    /// Text as glyphs, from left to right. A character that the face lacks becomes its empty box.
    pub(crate) fn shape(self, text: &str) -> Vec<Glyph> {
        self.face().shape(text)
    }

    /// Width of a text in thousandths of the type size.
    pub(crate) fn width(self, text: &str) -> f64 {
        self.shape(text).iter().map(|glyph| f64::from(glyph.advance)).sum()
    }
}

/// What the PDF says of a face, in font units.
pub(super) struct Metrics {
    /// Units in the type size.
    pub units_per_em: u16,
    /// Height above the baseline.
    pub ascent: i16,
    /// Depth below it, negative.
    pub descent: i16,
    /// The box around all glyphs: left, bottom, right, top.
    pub bounds: [i16; 4],
}

impl Face {
    fn parse(name: &'static str, bytes: &'static [u8]) -> Self {
        let font = FontRef::new(bytes).expect("a font that is compiled in can be read");
        let shaping = ShaperData::new(&font);
        // Ligatures are off so that one glyph is one letter, for whoever searches or copies the text. Lines are
        // set from left to right; a script that runs the other way is not in the face anyway.
        let features = [Feature::new(Tag::new(b"liga"), 0, ..)];
        let shaper = shaping.shaper(&font).build();
        let plan = ShapePlan::new(&shaper, Direction::LeftToRight, Some(script::LATIN), None, &features);
        Self { bytes, name, font, shaping, plan }
    }

    fn shape(&self, text: &str) -> Vec<Glyph> {
        let text: String = text.chars().map(plain).collect();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaper = self.shaping.shaper(&self.font).build();
        let shaped = shaper.shape(buffer, ShapeOptions::new().plan(Some(&self.plan)));
        let scale = 1000.0 / f32::from(self.metrics().units_per_em);
        let infos = shaped.glyph_infos();
        let cluster = |i: usize| infos.get(i).map_or(text.len(), |info| info.cluster as usize);
        let glyphs = infos.iter().zip(shaped.glyph_positions()).enumerate();
        glyphs
            .map(|(i, (info, position))| Glyph {
                id: u16::try_from(info.glyph_id).unwrap_or(0),
                advance: position.x_advance as f32 * scale,
                text: match info.glyph_id {
                    0 => "\u{fffd}".to_owned(),
                    _ => text.get(cluster(i)..cluster(i + 1)).unwrap_or_default().to_owned(),
                },
            })
            .collect()
    }

    /// The pen's own move after a glyph, in font units.
    pub(super) fn advance(&self, glyph: u16) -> u16 {
        let metrics = self.font.glyph_metrics(Size::unscaled(), LocationRef::default());
        metrics.advance_width(skrifa::GlyphId::from(glyph)).unwrap_or(0.0) as u16
    }

    /// What the PDF says of it.
    pub(super) fn metrics(&self) -> Metrics {
        let metrics = self.font.metrics(Size::unscaled(), LocationRef::default());
        let bounds = metrics.bounds.unwrap_or_default();
        Metrics {
            units_per_em: metrics.units_per_em,
            ascent: metrics.ascent as i16,
            descent: metrics.descent as i16,
            bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(|v| v as i16),
        }
    }
}

/// Line breaks and other controls become spaces, and a space that must not break prints as any other.
fn plain(character: char) -> char {
    if character.is_control() || character == '\u{a0}' { ' ' } else { character }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advances of Source Sans Pro 3.006, read from its tables: A 544, i 247 of 1000 units.
    #[test]
    fn advances_are_those_of_the_font() {
        assert!((Weight::Regular.width("A") - 544.0).abs() < 1e-3);
        assert!((Weight::Regular.width("i") - 247.0).abs() < 1e-3);
        let apart = Weight::Regular.width("A") + Weight::Regular.width("V");
        assert!(Weight::Regular.width("AV") < apart, "kerning is applied");
    }

    #[test]
    fn digits_stand_in_columns() {
        for weight in Weight::ALL {
            let one = weight.width("1");
            assert!(('0'..='9').all(|d| (weight.width(&d.to_string()) - one).abs() < 1e-3));
        }
    }

    #[test]
    fn what_the_face_lacks_is_a_box() {
        for text in ["木工", "مرحبا", "🦩", "a\u{301}\u{302}\u{303}", "\u{202e}abc", "\n\t\0"] {
            let glyphs = Weight::Regular.shape(text);
            assert!(!glyphs.is_empty(), "{text:?}");
        }
        assert_eq!(Weight::Semibold.shape("木")[0].id, 0);
        assert!(Weight::Regular.width("木") > 100.0, "the box can be seen");
    }
}
