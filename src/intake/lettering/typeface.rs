//! What letters are set in: fonts from files, or strokes.

use super::strokes::StrokeFace;

/// What a text is set in.
#[derive(Clone, Copy, Debug)]
pub enum Typeface<'a> {
    /// A font from a file: outlines.
    Font(FontFile<'a>),
    /// Single strokes without width, for scoring.
    Strokes(StrokeFace),
}

/// A font file.
#[derive(Clone, Copy, Debug)]
pub struct FontFile<'a> {
    /// Its bytes: TrueType, OpenType, or a collection of such.
    pub bytes: &'a [u8],
    /// Its name, for messages.
    pub name: &'a str,
    /// Which font of a collection, from 1.
    pub face: u32,
}

/// A four-letter tag of the OpenType standard, shorter ones filled up with spaces.
pub type FontTag = [u8; 4];

/// Where a variable font stands on one of its axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisSetting {
    /// The axis (`wght`, `wdth`, `opsz` …).
    pub tag: FontTag,
    /// The place on it, in the axis's own measure.
    pub value: f64,
}

/// A feature of the font that is switched on or off for the whole text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FeatureSetting {
    /// The feature (`smcp`, `liga`, `ss01` …).
    pub tag: FontTag,
    /// 0 is off and 1 on; where the feature offers alternates, which one of them.
    pub value: u32,
}

/// An axis value that the font does not reach.
#[derive(Clone, Debug, PartialEq)]
pub struct ClampedAxis {
    /// Which of the settings it was, from 0.
    pub setting: usize,
    /// The axis.
    pub tag: String,
    /// The least value that the font knows.
    pub least: f64,
    /// The greatest value that the font knows.
    pub greatest: f64,
}

/// A tag from its text: one to four printable ASCII signs.
pub fn font_tag(text: &str) -> Option<FontTag> {
    let bytes = text.as_bytes();
    let fits = (1..=4).contains(&bytes.len()) && bytes.iter().all(u8::is_ascii_graphic);
    let mut tag = [b' '; 4];
    tag.get_mut(..bytes.len()).filter(|_| fits)?.copy_from_slice(bytes);
    Some(tag)
}

/// A tag as text, without the spaces at its end.
pub(super) fn written(tag: FontTag) -> String {
    String::from_utf8_lossy(&tag).trim_end().to_owned()
}
