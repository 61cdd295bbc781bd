//! `lettering` figures: a text set in a font, its findings pointed at the recipe.

use super::bench::{Bench, any_length, positive};
use super::placed::{Figures, Made};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::intake::lettering::{
    self as set, Align, Arc as Circle, LetteringError, LetteringRequest, LetteringSize,
};
use crate::recipe::{ArcSide, Figure, Lettering};
use crate::source::Span;
use crate::units::{Mm, Percent};

pub(super) static CANNOT_SET: Finding = Finding {
    rule: "lettering/cannot-set",
    severity: Severity::Error,
    title: "a text cannot be set",
    explanation: "The text is empty or far too long, does not fit round its circle, or mixes what one figure cannot hold. \
        The message says which.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\" { arc radius=\"2 mm\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\" { arc radius=\"40 mm\" }",
};

pub(super) static BAD_FONT: Finding = Finding {
    rule: "lettering/bad-font",
    severity: Severity::Error,
    title: "a font file is of no use",
    explanation: "A font for burning is a TrueType or OpenType file with outlines. Fonts packed for the web, fonts made of \
        pictures and broken files have none.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/a.woff2\" height=\"12 mm\"",
    right: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

pub(super) static MISSING_GLYPH: Finding = Finding {
    rule: "lettering/missing-glyph",
    severity: Severity::Error,
    title: "the font has no shape for a character",
    explanation: "A font that lacks a character would leave it out or draw an empty box in its place. Neither is noticed \
        before it is burned, so it is an error.",
    wrong: "lettering \"name\" \"Emma 漢\" font=\"fonts/latin-only.ttf\" height=\"12 mm\"",
    right: "lettering \"name\" \"Emma\" font=\"fonts/latin-only.ttf\" height=\"12 mm\"",
};

/// What a setting depends on.
#[derive(Debug)]
#[allow(dead_code, reason = "read through Debug, as the cache's key")]
struct MadeFrom<'a> {
    text: &'a str,
    font: &'a str,
    size: LetteringSize,
    tracking: Mm,
    arc: Option<Circle>,
    align: &'a str,
    leading: f64,
}

/// Sets a lettering.
pub(super) fn make(
    lettering: &Lettering,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let size = match (&lettering.height, &lettering.width) {
        (Some(height), _) => LetteringSize::Height(positive(height, figures, sink)?),
        (None, width) => LetteringSize::Width(positive(width.as_ref()?, figures, sink)?),
    };
    let tracking = lettering.tracking.as_ref().map_or(Some(Mm::ZERO), |t| any_length(t, figures, sink))?;
    let arc = match &lettering.arc {
        None => None,
        Some(arc) => {
            let side = match arc.side {
                ArcSide::Over => set::ArcSide::OverTop,
                ArcSide::Under => set::ArcSide::UnderBottom,
            };
            Some(Circle { radius: positive(&arc.radius, figures, sink)?, side })
        }
    };
    let font = bench.read(&lettering.font, sink)?;
    let request = LetteringRequest {
        text: &lettering.text.text,
        font: &font.bytes,
        font_file: &lettering.font.text,
        size,
        tracking,
        arc,
        align: match lettering.align {
            "left" => Align::Left,
            "right" => Align::Right,
            _ => Align::Centre,
        },
        line_spacing: Percent::new(lettering.leading * 100.0),
    };
    let made_from = MadeFrom {
        text: &lettering.text.text,
        font: &font.hash,
        size,
        tracking,
        arc,
        align: lettering.align,
        leading: lettering.leading,
    };
    let result = bench.cache.get(&made_from, figure.head, &mut Sink::new(), |_| set::set(&request));
    match result.as_ref() {
        Ok(done) if done.missing.is_empty() => Some(Made::of(done.drawing.clone())),
        Ok(done) => {
            sink.push(missing(&done.missing, lettering));
            None
        }
        Err(error) => {
            sink.push(failure(error, lettering));
            None
        }
    }
}

fn missing(characters: &[char], lettering: &Lettering) -> Diagnostic {
    let list: Vec<String> =
        characters.iter().take(8).map(|c| format!("`{c}` (U+{:04X})", u32::from(*c))).collect();
    let more = characters.len().saturating_sub(8);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    Diagnostic::new(&MISSING_GLYPH, format!("the font has no shape for {}{rest}", list.join(", ")))
        .at(lettering.text.span, format!("set as `{}`", lettering.text.text))
        .also(lettering.font.span, "this font")
        .because("the character would be left out of the finished piece")
        .repair("choose a font that has it, or write the text without it")
}

/// Where the cause of a failure is written.
fn place(error: &LetteringError, lettering: &Lettering) -> Span {
    let written = match error {
        LetteringError::ArcTooShort { .. } | LetteringError::ArcTooSmall { .. } => {
            lettering.arc.as_ref().map(|arc| arc.radius.span)
        }
        LetteringError::TooMuchTracking { .. } | LetteringError::JoinedScript { .. } => {
            lettering.tracking.as_ref().map(|tracking| tracking.span)
        }
        _ => None,
    };
    written.unwrap_or(lettering.text.span)
}

fn seen_from_there(error: &LetteringError, lettering: &Lettering) -> String {
    let text = &lettering.text.text;
    match error {
        LetteringError::ArcTooShort { .. } | LetteringError::ArcTooSmall { .. } => {
            format!("too small for `{text}`")
        }
        LetteringError::TooMuchTracking { .. } | LetteringError::JoinedScript { .. } => format!("spaces `{text}`"),
        _ => format!("set as `{text}`"),
    }
}

const fn way_out(error: &LetteringError) -> &'static str {
    match error {
        LetteringError::ArcTooShort { .. } | LetteringError::ArcTooSmall { .. } => {
            "make the radius larger, the letters smaller or the text shorter"
        }
        LetteringError::TooMuchTracking { .. } | LetteringError::JoinedScript { .. } => {
            "make the tracking smaller, or leave it out"
        }
        LetteringError::NothingToSet | LetteringError::NoInk => {
            "write a text that can be seen, or leave the figure out"
        }
        LetteringError::ControlCharacter { .. } => "remove the character",
        LetteringError::TextTooLong { .. } | LetteringError::TooDetailed { .. } => {
            "divide the text among several figures"
        }
        _ => "give the letters a size that fits the piece",
    }
}

fn failure(error: &LetteringError, lettering: &Lettering) -> Diagnostic {
    match error {
        LetteringError::Font { .. } | LetteringError::TookTooLong { .. } => {
            Diagnostic::new(&BAD_FONT, error.to_string())
                .at(lettering.font.span, "cannot be used")
                .because("there is nothing to draw the letters with")
                .repair("use a TrueType or OpenType font file with outlines")
        }
        other => Diagnostic::new(&CANNOT_SET, other.to_string())
            .at(place(other, lettering), seen_from_there(other, lettering))
            .because("there would be nothing to burn")
            .repair(way_out(other)),
    }
}
