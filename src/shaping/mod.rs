//! Writing direction and scripts of a line of text.
//!
//! In: one line. Out: its [`Stretch`]es, each in one direction and one script, in the order in which they stand from left to
//! right; and each as the shaper wants it.
//!
//! Invariant: nothing here knows of fonts; `intake` sets lettering with it, and `outputs` the text of papers.

use harfrust::{Direction, Script, UnicodeBuffer, script};
use std::ops::Range;
use unicode_bidi::{BidiInfo, Level};

/// A stretch of one line, in one direction and one script.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Its bytes in the line.
    pub range: Range<usize>,
    /// Its script; common where nothing in the line tells.
    pub script: Script,
    /// Whether it is written from right to left.
    pub leftwards: bool,
}

impl Stretch {
    /// The stretch as the shaper wants it, with its neighbours as context for joined letters.
    pub fn buffer(&self, line: &str) -> UnicodeBuffer {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&line[self.range.clone()]);
        buffer.set_pre_context(&line[..self.range.start]);
        buffer.set_post_context(&line[self.range.end..]);
        if self.script != script::COMMON {
            buffer.set_script(self.script);
        }
        buffer.set_direction(if self.leftwards { Direction::RightToLeft } else { Direction::LeftToRight });
        buffer.guess_segment_properties();
        buffer
    }
}

/// The direction of a whole line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Base {
    /// That of its first strong letter.
    OfText,
    /// From left to right, whatever it holds: a line of a longer text that began so.
    Rightwards,
    /// From right to left, whatever it holds: the same the other way.
    Leftwards,
}

/// Whether the first strong letter of a text is one of a script that runs from right to left (Unicode Standard Annex 9, rules
/// P2 and P3).
pub fn runs_leftwards(text: &str) -> bool {
    unicode_bidi::get_base_direction(text) == unicode_bidi::Direction::Rtl
}

/// Cuts a line into stretches of one direction and one script, in the order in which they stand from left to right (Unicode
/// Standard Annex 9).
pub fn stretches(line: &str, base: Base) -> Vec<Stretch> {
    let level = match base {
        Base::OfText => None,
        Base::Rightwards => Some(Level::ltr()),
        Base::Leftwards => Some(Level::rtl()),
    };
    let bidi = BidiInfo::new(line, level);
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
pub fn script_of(character: char) -> Script {
    let mut buffer = UnicodeBuffer::new();
    buffer.add(character, 0);
    buffer.guess_segment_properties();
    let found = buffer.script();
    if found == script::UNKNOWN || found == script::INHERITED { script::COMMON } else { found }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(line: &str, base: Base) -> Vec<&str> {
        stretches(line, base).into_iter().map(|s| &line[s.range]).collect()
    }

    /// Unicode Standard Annex 9: in a line from left to right, two Hebrew words stand as one run; with a Latin word between,
    /// each stays on its side, and a blank goes with the script before it. In a line that begins in Hebrew the order of the runs is turned round.
    #[test]
    fn stretches_stand_as_they_are_seen() {
        assert_eq!(parts("for \u{5d3}\u{5e0} at", Base::Rightwards), ["for ", "\u{5d3}\u{5e0}", " ", "at"]);
        let mixed = "\u{5d3}\u{5e0} at \u{5d2}";
        assert_eq!(parts(mixed, Base::Rightwards).first(), Some(&"\u{5d3}\u{5e0}"));
        assert_eq!(parts(mixed, Base::OfText).first(), Some(&"\u{5d2}"));
        assert_eq!(parts("at \u{5d2}", Base::Leftwards).first(), Some(&"\u{5d2}"));
    }

    /// Unicode Standard Annex 9, P2 and P3: digits and signs are not strong, and what has no strong letter runs rightwards.
    #[test]
    fn the_first_strong_letter_tells_the_direction() {
        assert!(runs_leftwards("12 \u{2013} \u{5d3} at"));
        assert!(runs_leftwards("\u{628}"));
        assert!(!runs_leftwards("at \u{5d3}"));
        assert!(!runs_leftwards("12 \u{2013}"));
    }
}
