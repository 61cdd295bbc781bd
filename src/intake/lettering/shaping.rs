//! Text to glyphs: lines, writing direction, scripts, kerning and ligatures. Units of the first font throughout.
//!
//! What the first font cannot set goes to the next one: whole clusters, so that a mark is never parted from its letter.

use super::error::LetteringError;
use super::fonts::Fonts;
use super::typeface::{FeatureSetting, written};
use crate::shaping::{Base, Stretch, stretches};
use harfrust::{Feature, GlyphBuffer, Script, ShapeOptions, Shaper, ShaperData, ShaperInstance, Tag, script};
use skrifa::GlyphId;

/// A text as glyphs.
pub(super) struct ShapedText {
    /// Its lines.
    pub(super) lines: Vec<ShapedLine>,
    /// Characters without a glyph, each once.
    pub(super) missing: Vec<char>,
}

/// A line as glyphs, from left to right.
#[derive(Default)]
pub(super) struct ShapedLine {
    /// What must stay together: a letter with its marks, or a ligature.
    pub(super) clusters: Vec<Cluster>,
}

/// Glyphs that must stay together.
pub(super) struct Cluster {
    /// How far the next cluster lies to the right.
    pub(super) advance: f64,
    /// The glyphs, measured from the cluster's own origin on the baseline.
    pub(super) glyphs: Vec<ShapedGlyph>,
}

/// A glyph of one of the fonts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Glyph {
    /// Which font, from 0.
    pub(super) face: usize,
    /// Which glyph of it.
    pub(super) id: GlyphId,
}

/// A glyph and where it stands, y up.
pub(super) struct ShapedGlyph {
    /// Which glyph.
    pub(super) id: Glyph,
    /// To the right of the cluster's origin.
    pub(super) x: f64,
    /// Above the baseline.
    pub(super) y: f64,
}

impl ShapedLine {
    /// The sum of the advances.
    pub(super) fn advance(&self) -> f64 {
        self.clusters.iter().map(|c| c.advance).sum()
    }
}

/// Scripts that are written joined, so that letters must not be spaced.
///
/// The list of CSS Text Module Level 3, section 8.2.1 ("cursive scripts"), from memory.
const JOINED: [(Script, &str); 7] = [
    (script::ARABIC, "Arabic"),
    (script::SYRIAC, "Syriac"),
    (script::MONGOLIAN, "Mongolian"),
    (script::NKO, "N'Ko"),
    (script::MANDAIC, "Mandaic"),
    (script::PHAGS_PA, "Phags-pa"),
    (script::HANIFI_ROHINGYA, "Hanifi Rohingya"),
];

/// Shapes a text. Letters that are `tracked` are set without ligatures, which could not be spaced.
pub(super) fn shape(
    fonts: &Fonts,
    text: &str,
    settings: &[FeatureSetting],
    tracked: bool,
) -> Result<ShapedText, LetteringError> {
    refuse_unknown_features(fonts, settings)?;
    let data: Vec<ShaperData> = fonts.all().iter().map(|font| ShaperData::new(font.reader())).collect();
    let instance =
        |f: &super::font::Font| ShaperInstance::from_coords(f.reader(), f.location().coords().iter().copied());
    let instances: Vec<ShaperInstance> = fonts.all().iter().map(instance).collect();
    let shapers = fonts.all().iter().zip(data.iter().zip(&instances));
    let shapers =
        shapers.map(|(font, (data, at))| data.shaper(font.reader()).instance(Some(at)).build()).collect();
    let mut features = if tracked { ligatures_off() } else { Vec::new() };
    // What the recipe says comes last and wins.
    features.extend(settings.iter().map(|s| Feature::new(Tag::new(&s.tag), s.value, ..)));
    let setter = LineSetter { fonts, shapers, features, tracked };
    let mut shaped = ShapedText { lines: Vec::new(), missing: Vec::new() };
    for (index, line) in lines_of(text).iter().enumerate() {
        refuse_control_characters(line, index + 1)?;
        // Spaces at the end hang: they would push a centred line off its middle.
        let set = setter.set(line.trim_end(), &mut shaped.missing)?;
        shaped.lines.push(set);
    }
    Ok(shaped)
}

/// The lines of a text.
pub(super) fn lines_of(text: &str) -> Vec<String> {
    text.replace("\r\n", "\n").split(['\n', '\u{2028}', '\u{2029}']).map(str::to_owned).collect()
}

/// A feature to be switched on has to be there; to switch off what is not there is no mistake.
fn refuse_unknown_features(fonts: &Fonts, settings: &[FeatureSetting]) -> Result<(), LetteringError> {
    for (setting, wanted) in settings.iter().enumerate().filter(|(_, s)| 0 < s.value) {
        let tag = written(wanted.tag);
        if !fonts.all().iter().any(|font| font.features().contains(&tag)) {
            return Err(LetteringError::NoSuchFeature { setting, tag, known: fonts.first().features() });
        }
    }
    Ok(())
}

fn ligatures_off() -> Vec<Feature> {
    [b"liga", b"clig", b"dlig", b"hlig", b"calt"].map(|tag| Feature::new(Tag::new(tag), 0, ..)).to_vec()
}

pub(super) fn refuse_control_characters(line: &str, number: usize) -> Result<(), LetteringError> {
    let found = line.chars().enumerate().find(|(_, c)| c.is_control());
    let Some((index, character)) = found else { return Ok(()) };
    Err(LetteringError::ControlCharacter { character, line: number, column: index + 1 })
}

/// Sets lines.
struct LineSetter<'a> {
    fonts: &'a Fonts<'a>,
    shapers: Vec<Shaper<'a>>,
    features: Vec<Feature>,
    tracked: bool,
}

/// What one font makes of a stretch, before its gaps are filled from the next font.
struct Attempt {
    /// Where the cluster starts in the line, in bytes.
    start: usize,
    cluster: Cluster,
    is_missing: bool,
}

impl LineSetter<'_> {
    fn set(&self, line: &str, missing: &mut Vec<char>) -> Result<ShapedLine, LetteringError> {
        let mut set = ShapedLine::default();
        for stretch in stretches(line, Base::OfText) {
            if let Some((_, name)) = JOINED.iter().find(|(s, _)| self.tracked && *s == stretch.script) {
                return Err(LetteringError::JoinedScript { script: name });
            }
            self.append(line, &stretch, 0, &mut set, missing);
        }
        Ok(set)
    }

    /// Shapes one stretch with a font and puts its clusters to the right of what is there; the clusters that
    /// the font lacks are shaped with the next one.
    fn append(&self, line: &str, stretch: &Stretch, face: usize, set: &mut ShapedLine, missing: &mut Vec<char>) {
        let shaped = self.shapers[face].shape(stretch.buffer(line), ShapeOptions::new().features(&self.features));
        let mut attempts = self.clusters(&shaped, stretch, face).into_iter().peekable();
        let mut starts: Vec<usize> =
            shaped.glyph_infos().iter().map(|i| stretch.range.start + i.cluster as usize).collect();
        starts.sort_unstable();
        let end_of = |start: usize| starts.iter().find(|s| start < **s).copied().unwrap_or(stretch.range.end);
        while let Some(attempt) = attempts.next() {
            if !attempt.is_missing {
                set.clusters.push(attempt.cluster);
                continue;
            }
            let mut range = attempt.start..end_of(attempt.start);
            // Neighbours that are lacking too go together, so that they can be kerned and joined.
            while let Some(next) = attempts.next_if(|a| a.is_missing) {
                range = range.start.min(next.start)..range.end.max(end_of(next.start));
            }
            if face + 1 < self.shapers.len() {
                let part = Stretch { range, ..*stretch };
                self.append(line, &part, face + 1, set, missing);
            } else {
                self.note_missing(&line[range], missing);
                set.clusters.push(Cluster { advance: attempt.cluster.advance, glyphs: Vec::new() });
            }
        }
    }

    /// The clusters of a shaped stretch, from left to right.
    fn clusters(&self, shaped: &GlyphBuffer, stretch: &Stretch, face: usize) -> Vec<Attempt> {
        let ratio = self.fonts.ratio(face);
        let mut attempts: Vec<Attempt> = Vec::new();
        for (info, position) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
            let start = stretch.range.start + info.cluster as usize;
            if attempts.last().is_none_or(|a| a.start != start) {
                let cluster = Cluster { advance: 0.0, glyphs: Vec::new() };
                attempts.push(Attempt { start, cluster, is_missing: false });
            }
            let Some(attempt) = attempts.last_mut() else { continue };
            attempt.is_missing |= info.glyph_id == 0;
            attempt.cluster.glyphs.push(ShapedGlyph {
                id: Glyph { face, id: GlyphId::new(info.glyph_id) },
                x: attempt.cluster.advance + f64::from(position.x_offset) * ratio,
                y: f64::from(position.y_offset) * ratio,
            });
            attempt.cluster.advance += f64::from(position.x_advance) * ratio;
        }
        attempts
    }

    /// Notes the characters that no font can draw; all of them when each alone could be drawn.
    fn note_missing(&self, cluster: &str, missing: &mut Vec<char>) {
        let lacking = |c: &char| self.fonts.all().iter().all(|font| font.glyph_of(*c).is_none());
        let any = cluster.chars().any(|c| lacking(&c));
        for character in cluster.chars().filter(|c| !any || lacking(c)) {
            if !missing.contains(&character) {
                missing.push(character);
            }
        }
    }
}
