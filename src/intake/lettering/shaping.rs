//! Text to glyphs: lines, writing direction, scripts, kerning and ligatures. Font units throughout.

use super::error::LetteringError;
use super::font::Font;
use harfrust::{Feature, Script, ShapeOptions, Shaper, ShaperData, Tag, UnicodeBuffer, script};
use skrifa::GlyphId;
use std::ops::Range;
use unicode_bidi::BidiInfo;

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

/// A glyph and where it stands, y up.
pub(super) struct ShapedGlyph {
    /// Which glyph.
    pub(super) id: GlyphId,
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

/// A stretch of one line, in one direction and one script.
struct Stretch {
    range: Range<usize>,
    script: Script,
    leftwards: bool,
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
pub(super) fn shape(font: &Font, text: &str, tracked: bool) -> Result<ShapedText, LetteringError> {
    let data = ShaperData::new(font.reader());
    let shaper = data.shaper(font.reader()).build();
    let features = if tracked { ligatures_off() } else { Vec::new() };
    let setter = LineSetter { font, shaper, features, tracked };
    let mut shaped = ShapedText { lines: Vec::new(), missing: Vec::new() };
    let text = text.replace("\r\n", "\n");
    for (index, line) in text.split(['\n', '\u{2028}', '\u{2029}']).enumerate() {
        refuse_control_characters(line, index + 1)?;
        // Spaces at the end hang: they would push a centred line off its middle.
        let set = setter.set(line.trim_end(), &mut shaped.missing)?;
        shaped.lines.push(set);
    }
    Ok(shaped)
}

fn ligatures_off() -> Vec<Feature> {
    [b"liga", b"clig", b"dlig", b"hlig", b"calt"].map(|tag| Feature::new(Tag::new(tag), 0, ..)).to_vec()
}

fn refuse_control_characters(line: &str, number: usize) -> Result<(), LetteringError> {
    let found = line.chars().enumerate().find(|(_, c)| c.is_control());
    let Some((index, character)) = found else { return Ok(()) };
    Err(LetteringError::ControlCharacter { character, line: number, column: index + 1 })
}

/// Sets lines of one font.
struct LineSetter<'a> {
    font: &'a Font<'a>,
    shaper: Shaper<'a>,
    features: Vec<Feature>,
    tracked: bool,
}

impl LineSetter<'_> {
    fn set(&self, line: &str, missing: &mut Vec<char>) -> Result<ShapedLine, LetteringError> {
        let mut set = ShapedLine::default();
        for stretch in stretches(line) {
            if let Some((_, name)) = JOINED.iter().find(|(s, _)| self.tracked && *s == stretch.script) {
                return Err(LetteringError::JoinedScript { script: name });
            }
            self.append(line, &stretch, &mut set, missing);
        }
        Ok(set)
    }

    /// Shapes one stretch and puts its clusters to the right of what is there.
    fn append(&self, line: &str, stretch: &Stretch, set: &mut ShapedLine, missing: &mut Vec<char>) {
        let part = &line[stretch.range.clone()];
        let shaped = self.shaper.shape(buffer(line, stretch), ShapeOptions::new().features(&self.features));
        let infos = shaped.glyph_infos();
        let positions = shaped.glyph_positions();
        let mut starts: Vec<usize> = infos.iter().map(|i| i.cluster as usize).collect();
        starts.sort_unstable();
        starts.dedup();
        let mut first = 0;
        while first < infos.len() {
            let start = infos[first].cluster as usize;
            let last = first + infos[first..].iter().take_while(|i| i.cluster as usize == start).count();
            let mut cluster = Cluster { advance: 0.0, glyphs: Vec::new() };
            for (info, position) in infos[first..last].iter().zip(&positions[first..last]) {
                if info.glyph_id == 0 {
                    let end = starts.iter().find(|s| start < **s).copied().unwrap_or(part.len());
                    self.note_missing(&part[start..end], missing);
                } else {
                    cluster.glyphs.push(ShapedGlyph {
                        id: GlyphId::new(info.glyph_id),
                        x: cluster.advance + f64::from(position.x_offset),
                        y: f64::from(position.y_offset),
                    });
                }
                cluster.advance += f64::from(position.x_advance);
            }
            set.clusters.push(cluster);
            first = last;
        }
    }

    /// Notes the characters of a cluster that the font cannot draw; all of them when it can draw each alone.
    fn note_missing(&self, cluster: &str, missing: &mut Vec<char>) {
        let lacking = |c: &char| self.font.glyph_of(*c).is_none();
        let any = cluster.chars().any(|c| lacking(&c));
        for character in cluster.chars().filter(|c| !any || lacking(c)) {
            if !missing.contains(&character) {
                missing.push(character);
            }
        }
    }
}

/// The stretch as the shaper wants it, with its neighbours as context for joined letters.
fn buffer(line: &str, stretch: &Stretch) -> UnicodeBuffer {
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(&line[stretch.range.clone()]);
    buffer.set_pre_context(&line[..stretch.range.start]);
    buffer.set_post_context(&line[stretch.range.end..]);
    if stretch.script != script::COMMON {
        buffer.set_script(stretch.script);
    }
    buffer.set_direction(if stretch.leftwards {
        harfrust::Direction::RightToLeft
    } else {
        harfrust::Direction::LeftToRight
    });
    buffer.guess_segment_properties();
    buffer
}

/// Cuts a line into stretches of one direction and one script, in the order in which they stand from
/// left to right (Unicode Standard Annex 9; the line's own direction is that of its first strong letter).
fn stretches(line: &str) -> Vec<Stretch> {
    let bidi = BidiInfo::new(line, None);
    let scripts = scripts(line);
    let mut stretches = Vec::new();
    for paragraph in &bidi.paragraphs {
        let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
        for run in runs {
            let leftwards = levels[run.start].is_rtl();
            let mut pieces = split_by_script(line, &scripts, run, leftwards);
            if leftwards {
                pieces.reverse();
            }
            stretches.append(&mut pieces);
        }
    }
    stretches
}

fn split_by_script(line: &str, scripts: &[Script], run: Range<usize>, leftwards: bool) -> Vec<Stretch> {
    let mut pieces: Vec<Stretch> = Vec::new();
    for (at, character) in line[run.clone()].char_indices() {
        let (start, end) = (run.start + at, run.start + at + character.len_utf8());
        match pieces.last_mut() {
            Some(piece) if piece.script == scripts[start] => piece.range.end = end,
            _ => pieces.push(Stretch { range: start..end, script: scripts[start], leftwards }),
        }
    }
    pieces
}

/// The script of every byte that starts a character. Signs that all scripts share (digits, spaces,
/// points) take the script before them, and at the start of the line the one after them.
fn scripts(line: &str) -> Vec<Script> {
    let mut scripts = vec![script::COMMON; line.len()];
    let mut current = line.chars().map(script_of).find(|s| *s != script::COMMON).unwrap_or(script::COMMON);
    for (at, character) in line.char_indices() {
        let own = script_of(character);
        if own != script::COMMON {
            current = own;
        }
        scripts[at] = current;
    }
    scripts
}

/// The script of a character, by the shaper's own tables; shared and inherited ones count as common.
fn script_of(character: char) -> Script {
    let mut buffer = UnicodeBuffer::new();
    buffer.add(character, 0);
    buffer.guess_segment_properties();
    let found = buffer.script();
    if found == script::UNKNOWN || found == script::INHERITED { script::COMMON } else { found }
}
