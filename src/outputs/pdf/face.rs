//! The fonts of papers, shaped: Source Sans in two weights, and for other scripts what sets them.

use super::clusters::{Clusters, is_told};
use super::scripts::FALLBACKS;
use crate::shaping::{Base, Stretch, stretches};
use harfrust::{
    Direction, Feature, FontRef, GlyphBuffer, ShapeOptions, ShapePlan, ShaperData, Tag, UnicodeBuffer, script,
};
use skrifa::MetadataProvider;
use skrifa::instance::{LocationRef, Size};
use std::ops::Range;
use std::sync::{LazyLock, OnceLock};

/// A weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    /// For reading.
    Regular,
    /// For finding.
    Semibold,
}

/// Which of the faces: first the weights, then the fonts of other scripts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct FaceId(usize);

/// A font that is compiled in.
pub(super) struct Face {
    /// The whole font file.
    pub bytes: &'static [u8],
    /// `PostScript` name.
    pub name: &'static str,
    font: FontRef<'static>,
    shaping: ShaperData,
    /// How Latin text is shaped, worked out once.
    latin: ShapePlan,
}

/// One shaped glyph, in thousandths of the type size.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Glyph {
    /// The face it is in.
    pub face: FaceId,
    /// Its number in the font.
    pub id: u16,
    /// How far the pen moves.
    pub advance: f32,
    /// How far it stands to the right of the pen, and above it.
    pub shift: (f32, f32),
    /// The character it stands for; nothing where it does not stand for one alone.
    pub text: String,
    /// On the first glyph of a part whose glyphs do not tell its text one by one: the text of the part.
    pub whole: Option<String>,
}

static HOUSE: LazyLock<[Face; 2]> = LazyLock::new(|| {
    [
        Face::parse("SourceSansPro-Regular", include_bytes!("../fonts/SourceSansPro-Regular.ttf")),
        Face::parse("SourceSansPro-Semibold", include_bytes!("../fonts/SourceSansPro-Semibold.ttf")),
    ]
});

/// The faces of other scripts, each read when it is first asked for.
static OTHERS: [OnceLock<Face>; FALLBACKS.len()] = [const { OnceLock::new() }; FALLBACKS.len()];

impl Weight {
    /// The face of this weight.
    const fn face(self) -> FaceId {
        FaceId(self as usize)
    }

    /// Whether this face has the whole of a text, which then runs from left to right.
    pub(super) fn sets(self, text: &str) -> bool {
        let face = self.face().face();
        text.chars().all(|c| face.has(plain_character(c)))
    }

    /// Text as glyphs, from left to right. A character that no face has becomes the empty box of this one.
    pub(crate) fn shape(self, text: &str) -> Vec<Glyph> {
        let text = plain(text);
        if self.sets(&text) {
            return self.face().latin(&text);
        }
        stretches(&text, Base::OfText).iter().flat_map(|stretch| self.shape_stretch(&text, stretch)).collect()
    }

    /// A stretch of a plain text as glyphs, from left to right.
    pub(super) fn shape_stretch(self, text: &str, stretch: &Stretch) -> Vec<Glyph> {
        let mut parts = by_face(self.face(), text, stretch);
        if stretch.leftwards {
            parts.reverse();
        }
        parts.into_iter().flat_map(|(face, part)| face.stretch(text, &part)).collect()
    }

    /// Width of a text in thousandths of the type size.
    pub(crate) fn width(self, text: &str) -> f64 {
        self.shape(text).iter().map(|glyph| f64::from(glyph.advance)).sum()
    }
}

/// A stretch in parts that one face sets, in the order of the text. What no face has is left to the face of the house.
fn by_face(own: FaceId, text: &str, stretch: &Stretch) -> Vec<(FaceId, Stretch)> {
    let mut parts: Vec<(FaceId, Stretch)> = Vec::new();
    for (at, character) in text[stretch.range.clone()].char_indices() {
        let start = stretch.range.start + at;
        let range = start..start + character.len_utf8();
        let before = parts.last().map(|(face, _)| *face);
        let face = face_for(own, before, character);
        match parts.last_mut() {
            Some((last, part)) if *last == face => part.range.end = range.end,
            _ => parts.push((face, Stretch { range, ..stretch.clone() })),
        }
    }
    parts
}

/// The face that sets a character: the one before it where it can, so that words and marks are not torn apart.
fn face_for(own: FaceId, before: Option<FaceId>, character: char) -> FaceId {
    let others = (0..FALLBACKS.len()).map(|i| FaceId(HOUSE.len() + i));
    let mut all = before.into_iter().chain([own]).chain(others);
    all.find(|face| face.face().has(character)).unwrap_or(own)
}

impl FaceId {
    /// The face.
    pub(super) fn face(self) -> &'static Face {
        match self.0.checked_sub(HOUSE.len()) {
            None => &HOUSE[self.0],
            Some(i) => OTHERS[i].get_or_init(|| Face::parse(FALLBACKS[i].name, FALLBACKS[i].bytes)),
        }
    }

    /// Whether it is one of the two weights of the house; the others have one weight only.
    pub(super) fn is_house(self) -> bool {
        self.0 < HOUSE.len()
    }

    /// Its weight, as OS/2 tables count.
    pub(super) fn weight_class(self) -> u16 {
        if self == Weight::Semibold.face() { 600 } else { 400 }
    }

    /// Shapes a text that this face has as a whole, from left to right.
    fn latin(self, text: &str) -> Vec<Glyph> {
        let face = self.face();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaper = face.shaping.shaper(&face.font).build();
        let shaped = shaper.shape(buffer, ShapeOptions::new().plan(Some(&face.latin)));
        self.glyphs(text, 0..text.len(), false, &shaped)
    }

    /// Shapes a part of a text.
    fn stretch(self, text: &str, stretch: &Stretch) -> Vec<Glyph> {
        let face = self.face();
        let shaper = face.shaping.shaper(&face.font).build();
        let shaped = shaper.shape(stretch.buffer(text), ShapeOptions::new().features(&no_ligatures()));
        let mut glyphs = self.glyphs(text, stretch.range.clone(), stretch.leftwards, &shaped);
        let part = &text[stretch.range.clone()];
        let told = |glyph: &Glyph| glyph.text.clone();
        // Readers turn round what runs leftwards themselves (ISO 32000-1, 14.8.2.3.3); told otherwise, they turn it twice.
        let told: String = if stretch.leftwards {
            glyphs.iter().rev().map(told).collect()
        } else {
            glyphs.iter().map(told).collect()
        };
        if let Some(first) = glyphs.first_mut().filter(|_| !is_told(&told, part)) {
            first.whole = Some(part.to_owned());
        }
        glyphs
    }

    /// The glyphs of a shaped part of a text, each with the character of its cluster that it is the letter of.
    fn glyphs(self, text: &str, range: Range<usize>, leftwards: bool, shaped: &GlyphBuffer) -> Vec<Glyph> {
        let face = self.face();
        let scale = 1000.0 / f32::from(face.metrics().units_per_em);
        let clusters = Clusters::new(face, text, range, shaped);
        let mut glyphs = Vec::new();
        for (info, position) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
            let glyph = Glyph {
                face: self,
                id: u16::try_from(info.glyph_id).unwrap_or(0),
                advance: position.x_advance as f32 * scale,
                shift: (position.x_offset as f32 * scale, position.y_offset as f32 * scale),
                text: clusters.told(info),
                whole: None,
            };
            match clusters.ligature(info).filter(|_| leftwards && glyph.text.is_empty()) {
                Some((first, second)) => glyphs.extend(glyph.shared(first, second)),
                None => glyphs.push(glyph),
            }
        }
        glyphs
    }
}

impl Glyph {
    /// A ligature that tells its second letter, and to the right of it a glyph that shows nothing and tells the first one:
    /// readers turn round what runs leftwards glyph by glyph, and would turn round two letters of one glyph too.
    fn shared(self, first: char, second: char) -> Vec<Self> {
        // All ligatures of two letters that Arabic is not written without begin with lam.
        let blank = Some(first).filter(|c| *c == '\u{644}').and_then(|_| self.face.face().glyph_of('\u{200b}'));
        let Some(blank) = blank.and_then(|glyph| u16::try_from(glyph).ok()) else { return vec![self] };
        let lam = Self { id: blank, advance: 0.0, shift: (0.0, 0.0), text: first.to_string(), ..self.clone() };
        vec![Self { text: second.to_string(), ..self }, lam]
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

/// Ligatures are off so that one glyph is one letter, for whoever searches or copies the text; those that a script cannot be
/// written without are other features.
fn no_ligatures() -> [Feature; 1] {
    [Feature::new(Tag::new(b"liga"), 0, ..)]
}

impl Face {
    fn parse(name: &'static str, bytes: &'static [u8]) -> Self {
        let font = FontRef::new(bytes).expect("a font that is compiled in can be read");
        let shaping = ShaperData::new(&font);
        let shaper = shaping.shaper(&font).build();
        let latin = ShapePlan::new(&shaper, Direction::LeftToRight, Some(script::LATIN), None, &no_ligatures());
        Self { bytes, name, font, shaping, latin }
    }

    fn has(&self, character: char) -> bool {
        self.font.charmap().map(character).is_some_and(|glyph| glyph != skrifa::GlyphId::NOTDEF)
    }

    /// The glyph of a character by the font's own table.
    pub(super) fn glyph_of(&self, character: char) -> Option<u32> {
        self.font.charmap().map(character).map(harfrust::GlyphId::to_u32)
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

/// A text as it prints.
pub(super) fn plain(text: &str) -> String {
    text.chars().map(plain_character).collect()
}

/// Line breaks and other controls become spaces, and a space that must not break prints as any other.
fn plain_character(character: char) -> char {
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
        for weight in [Weight::Regular, Weight::Semibold] {
            let one = weight.width("1");
            assert!(('0'..='9').all(|d| (weight.width(&d.to_string()) - one).abs() < 1e-3));
        }
    }

    #[test]
    fn what_no_face_has_is_a_box() {
        for text in ["🦩", "a\u{301}\u{302}\u{303}", "\u{202e}abc", "\n\t\0", "\u{10fffd}", "م\u{202e}a木"] {
            let glyphs = Weight::Regular.shape(text);
            assert!(!glyphs.is_empty(), "{text:?}");
        }
        assert_eq!(Weight::Semibold.shape("\u{10fffd}")[0].id, 0);
        assert!(Weight::Regular.width("\u{10fffd}") > 100.0, "the box can be seen");
    }

    /// The name of the wood in nineteen scripts, and words beside it (translations from memory; only that no letter is
    /// missing matters).
    #[test]
    fn every_script_is_set() {
        for text in [
            "خشب",
            "עץ",
            "փայտ",
            "ხე",
            "लकड़ी",
            "কাঠ",
            "લાકડું",
            "ਲੱਕੜ",
            "ಮರ",
            "മരം",
            "ලී",
            "மரம்",
            "చెక్క",
            "ไม้",
            "ໄມ້",
            "ឈើ",
            "သစ်သား",
            "እንጨት",
            "木工",
            "나무",
            "ひらがな",
            "дерево",
            "ξύλο",
            "gỗ",
        ] {
            let glyphs = Weight::Semibold.shape(text);
            assert!(glyphs.iter().all(|g| g.id != 0), "{text}: {glyphs:?}");
            let told: String = glyphs.iter().map(|g| g.text.as_str()).collect();
            let parts: String = glyphs.iter().filter_map(|g| g.whole.as_deref()).collect();
            let leftwards: String = glyphs.iter().rev().map(|g| g.text.as_str()).collect();
            assert!(
                [told, parts, leftwards].contains(&text.to_owned()),
                "{text} can be copied as a whole: {glyphs:?}"
            );
        }
    }

    /// Lam and alef are written as one (Unicode, chapter 9.2), letters with marks as several; read from the right, each glyph
    /// tells what was typed, so that no reader has to guess.
    #[test]
    fn letters_written_as_one_are_told_apart() {
        for text in ["سلال بلا حلاوة الأخشاب", "شَمس", "שָׁלוֹם"] {
            let glyphs = Weight::Regular.shape(text);
            assert!(glyphs.iter().all(|g| g.id != 0 && g.whole.is_none()), "{text}: {glyphs:?}");
            let told: String = glyphs.iter().rev().map(|g| g.text.as_str()).collect();
            assert!(is_told(&told, text), "{text}: {told}");
        }
    }

    /// Arabic letters join: beh in front of another letter is not the letter that stands alone (Unicode, chapter 9.2).
    #[test]
    fn letters_that_join_are_joined_and_run_leftwards() {
        let alone = Weight::Regular.shape("\u{628}")[0].id;
        let joined = Weight::Regular.shape("\u{628}\u{627}\u{628}");
        assert_ne!(joined.last().map(|g| g.id), Some(alone), "the first letter stands at the right, joined");
        assert_eq!(joined[0].id, alone, "after alef nothing joins");
    }
}
