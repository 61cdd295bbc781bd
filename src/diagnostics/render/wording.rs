//! Words, line breaks and counts that the renderings share.

use crate::diagnostics::{ArtworkPlace, Diagnostic, Severity};
use crate::units::number::fixed;

/// `text` with a visible sign for every character that a terminal would obey.
pub(super) fn visible(text: &str) -> String {
    text.chars().map(visible_char).collect()
}

/// One character, or the sign that stands for it.
pub(super) fn visible_char(c: char) -> char {
    match c {
        '\0'..='\u{1F}' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{FFFD}'),
        '\u{7F}' => '\u{2421}',
        // Marks that turn the direction of writing could make a finding read differently from what it says.
        '\u{80}'..='\u{9F}'
        | '\u{FEFF}'
        | '\u{200E}'
        | '\u{200F}'
        | '\u{202A}'..='\u{202E}'
        | '\u{2066}'..='\u{2069}' => '\u{FFFD}',
        _ => c,
    }
}

/// Breaks `text` at blanks into lines of at most `width` characters; a longer word has a line of its own.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split(' ') {
            let grown = line.chars().count() + 1 + word.chars().count();
            if !line.is_empty() && grown > width {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines
}

/// Where in which artwork, in words.
pub(super) fn artwork(place: &ArtworkPlace) -> String {
    let position = place.position.map_or(String::new(), |(line, column)| format!(":{line}:{column}"));
    let element = place.element.as_ref().map_or(String::new(), |e| format!(", `{e}`"));
    let at = place.at.map_or(String::new(), |at| {
        format!(", on the sheet {} mm from the left and {} mm from the top", fixed(at.x, 2), fixed(at.y, 2))
    });
    format!("{}{position}{element}{at}", place.file)
}

/// How many findings of each kind there are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Counts {
    pub errors: usize,
    pub warnings: usize,
    pub advice: usize,
    pub accepted: usize,
}

impl Counts {
    pub fn add(&mut self, diagnostic: &Diagnostic) {
        let count = match (diagnostic.accepted.is_some(), diagnostic.severity) {
            (true, _) => &mut self.accepted,
            (_, Severity::Error) => &mut self.errors,
            (_, Severity::Warning) => &mut self.warnings,
            (_, Severity::Advice) => &mut self.advice,
        };
        *count += 1;
    }

    /// `2 errors, 1 warning`; empty when there is nothing to count.
    pub fn words(self) -> String {
        let mut words = Vec::new();
        for (count, one, many) in [(self.errors, "error", "errors"), (self.warnings, "warning", "warnings")] {
            if count > 0 {
                words.push(format!("{count} {}", if count == 1 { one } else { many }));
            }
        }
        if self.advice > 0 {
            words.push(format!("{} advice", self.advice));
        }
        if self.accepted > 0 {
            words.push(format!("{} accepted", self.accepted));
        }
        words.join(", ")
    }
}
