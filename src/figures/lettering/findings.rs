//! What can be wrong with a lettering, told to the maker.

use crate::diagnostics::{Diagnostic, Finding, Severity, quoted_list};
use crate::intake::lettering::{ClampedAxis, FontProblem, LetteringError, NarrowCounter, TightTurn};
use crate::recipe::{Lettering, LetteringFace};
use crate::source::{Span, Spanned};
use crate::units::{Mm, number};
use kurbo::Point;

pub(in crate::figures) static CANNOT_SET: Finding = Finding {
    rule: "lettering/cannot-set",
    severity: Severity::Error,
    title: "a text cannot be set",
    explanation: "The text is empty or far too long, does not fit round its circle, or mixes what one figure cannot hold. \
        The message says which.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\" { arc radius=\"2 mm\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\" { arc radius=\"40 mm\" }",
};

pub(in crate::figures) static BAD_FONT: Finding = Finding {
    rule: "lettering/bad-font",
    severity: Severity::Error,
    title: "a font file is of no use",
    explanation: "A font for burning is a TrueType or OpenType file with outlines. Fonts packed for the web, fonts made of \
        pictures and broken files have none.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/a.woff2\" height=\"12 mm\"",
    right: "lettering \"name\" \"Emma\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

pub(in crate::figures) static MISSING_GLYPH: Finding = Finding {
    rule: "lettering/missing-glyph",
    severity: Severity::Error,
    title: "the font has no shape for a character",
    explanation: "A font that lacks a character would leave it out or draw an empty box in its place. Neither is noticed \
        before it is burned, so it is an error.",
    wrong: "lettering \"name\" \"Emma 漢\" font=\"fonts/latin-only.ttf\" height=\"12 mm\"",
    right: "lettering \"name\" \"Emma\" font=\"fonts/latin-only.ttf\" height=\"12 mm\"",
};

pub(in crate::figures) static NO_SUCH_AXIS: Finding = Finding {
    rule: "lettering/no-such-axis",
    severity: Severity::Error,
    title: "the font has no such axis",
    explanation: "Only variable fonts have axes, and each has its own. The message lists those of the font.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { axis \"wdht\" 80 }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { axis \"wdth\" 80 }",
};

pub(in crate::figures) static NO_SUCH_FEATURE: Finding = Finding {
    rule: "lettering/no-such-feature",
    severity: Severity::Error,
    title: "no font of the lettering has such a feature",
    explanation: "A feature that is not in the font changes nothing, and the letters come out other than they were \
        meant. The message lists the features of the font.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { feature \"smpc\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { feature \"smcp\" }",
};

pub(in crate::figures) static AXIS_RANGE: Finding = Finding {
    rule: "lettering/axis-out-of-range",
    severity: Severity::Warning,
    title: "the font does not reach so far on an axis",
    explanation: "The axes of a variable font have ends. A value beyond is taken as the end.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { axis \"wght\" 1200 }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { axis \"wght\" 900 }",
};

pub(in crate::figures) static FANNED_OUT: Finding = Finding {
    rule: "lettering/fans-out",
    severity: Severity::Warning,
    title: "letters along a line turn far from each other",
    explanation: "At a sharp corner of the line two neighbouring letters point into different directions, so that they \
        gape or lean on each other.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { along \"zigzag\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { along \"river\" }",
};

pub(in crate::figures) static COLLIDE: Finding = Finding {
    rule: "lettering/letters-collide",
    severity: Severity::Warning,
    title: "letters along a line run into each other",
    explanation: "On the inner side of a bend the heads or feet of letters come together. Letters that do not touch on \
        a straight line and overlap on this one are welded into a blot.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { along \"rim\" side=\"under\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { along \"rim\" side=\"over\" }",
};

pub(in crate::figures) static BRIDGE_BURNS: Finding = Finding {
    rule: "lettering/bridge-burns-away",
    severity: Severity::Error,
    title: "a bridge of a stencil is not wider than the kerf",
    explanation: "A cut on the line takes half a kerf off each side of a bridge.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { stencil bridge=\"0.1 mm\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { stencil bridge=\"1.2 mm\" }",
};

pub(in crate::figures) static BRIDGE_TOO_WIDE: Finding = Finding {
    rule: "lettering/bridge-too-wide",
    severity: Severity::Error,
    title: "a bridge of a stencil does not fit the inside of a letter",
    explanation: "An inside that is narrower than the bridge, or has no stroke beside it that a bridge can cross, cannot \
        be held and falls out.",
    wrong: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { stencil bridge=\"9 mm\" }",
    right: "lettering \"name\" \"Emma\" font=\"fonts/var.ttf\" height=\"12 mm\" { stencil bridge=\"1 mm\" }",
};

pub(super) fn missing(characters: &[char], lettering: &Lettering) -> Diagnostic {
    let list: Vec<String> =
        characters.iter().take(8).map(|c| format!("`{c}` (U+{:04X})", u32::from(*c))).collect();
    let more = characters.len().saturating_sub(8);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let (tried, repair) = match (&lettering.face, lettering.fallbacks.is_empty()) {
        (LetteringFace::Strokes(..), _) => (
            "the face of strokes has",
            "choose a `font` that has it, or write the text without it: strokes know the Latin letters of Europe",
        ),
        (_, true) => {
            ("the font has", "choose a font that has it, name one with `fallback`, or write the text without it")
        }
        (_, false) => ("none of the fonts has", "add a `fallback` that has it, or write the text without it"),
    };
    let label = match &lettering.face {
        LetteringFace::Font(file, _) => format!("tried `{}`", file_name(&file.text)),
        LetteringFace::Strokes(word, _) => format!("tried `{word}`"),
    };
    let mut diagnostic =
        Diagnostic::new(&MISSING_GLYPH, format!("{tried} no shape for {}{rest}", list.join(", ")))
            .at(lettering.text.span, format!("set as `{}`", lettering.text.text))
            .also(lettering.face.span(), label);
    for fallback in &lettering.fallbacks {
        diagnostic = diagnostic.also(fallback.file.span, format!("tried `{}`", file_name(&fallback.file.text)));
    }
    diagnostic.because("the character would be left out of the finished piece").repair(repair)
}

/// The last part of a path: the rest is underlined anyway.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
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
        LetteringError::LineTooShort { .. }
        | LetteringError::SeveralLinesAlong { .. }
        | LetteringError::NoLine => lettering.along.as_ref().map(|along| along.figure.span),
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
        LetteringError::LineTooShort { .. } | LetteringError::SeveralLinesAlong { .. } => {
            format!("`{text}` is to run along it")
        }
        LetteringError::NoLine => "has neither lines nor outlines".to_owned(),
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
        LetteringError::LineTooShort { .. } => {
            "make the letters smaller, the text shorter or the figure larger; `shift` takes room away too"
        }
        LetteringError::SeveralLinesAlong { .. } => "make a lettering of each line, with a `gap` of its own",
        LetteringError::NoLine => "name a figure that has a line or an outline",
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

pub(super) fn failure(error: &LetteringError, lettering: &Lettering) -> Diagnostic {
    match error {
        LetteringError::Font { file, .. } | LetteringError::TookTooLong { file } => {
            let named = lettering.fallbacks.iter().find(|f| f.file.text == *file).map(|f| f.file.span);
            let repair = match error {
                LetteringError::Font { problem: FontProblem::NoSuchFace { .. }, .. } => "choose another `face`",
                _ => "use a TrueType or OpenType font file with outlines",
            };
            Diagnostic::new(&BAD_FONT, error.to_string())
                .at(named.unwrap_or(lettering.face.span()), "cannot be used")
                .because("there is nothing to draw the letters with")
                .repair(repair)
        }
        LetteringError::NoSuchAxis { setting, known, .. } => {
            let at = lettering.axes.get(*setting).map_or(lettering.text.span, |axis| axis.tag.span);
            lacks(&NO_SUCH_AXIS, error, at, known, lettering)
        }
        LetteringError::NoSuchFeature { setting, known, .. } => {
            let at = lettering.features.get(*setting).map_or(lettering.text.span, |feature| feature.tag.span);
            lacks(&NO_SUCH_FEATURE, error, at, known, lettering)
        }
        other => Diagnostic::new(&CANNOT_SET, other.to_string())
            .at(place(other, lettering), seen_from_there(other, lettering))
            .because("there would be nothing to burn")
            .repair(way_out(other)),
    }
}

/// The finding for an axis or a feature that the font lacks.
fn lacks(
    rule: &'static Finding,
    error: &LetteringError,
    at: Span,
    known: &[String],
    lettering: &Lettering,
) -> Diagnostic {
    let repair = match known {
        [] => "remove it, or choose a font that has it".to_owned(),
        known => format!("the font has {}", quoted_list(known.iter().map(String::as_str), "and")),
    };
    Diagnostic::new(rule, error.to_string())
        .at(at, "not there")
        .also(lettering.face.span(), "this font")
        .because("the letters would come out other than they were meant")
        .repair(repair)
}

/// The finding for an axis value beyond the font's range.
pub(super) fn clamped(axis: &ClampedAxis, lettering: &Lettering) -> Diagnostic {
    let (least, greatest) = (number::fixed(axis.least, 3), number::fixed(axis.greatest, 3));
    let written = lettering.axes.get(axis.setting);
    let value = written.map_or(axis.least, |axis| axis.value);
    let (nearest, asked) = (if value < axis.least { &least } else { &greatest }, number::fixed(value, 3));
    Diagnostic::new(&AXIS_RANGE, format!("axis `{}` goes from {least} to {greatest}, found {asked}", axis.tag))
        .at(written.map_or(lettering.text.span, |axis| axis.at), format!("taken as {nearest}"))
        .also(lettering.face.span(), "this font")
        .because("the letters come out as near to it as the font can")
        .repair(format!("write {nearest}, or choose a font that reaches farther"))
}

/// The finding for letters along a line that turn too far from each other.
pub(super) fn turned(turns: &[TightTurn], lettering: &Lettering) -> Option<Diagnostic> {
    let worst = turns.iter().max_by(|a, b| a.degrees.abs().total_cmp(&b.degrees.abs()))?;
    let along = lettering.along.as_ref()?;
    let spread = if (0.0 < worst.degrees) == along.hanging { "lean on each other" } else { "fan out" };
    let message = format!(
        "two letters of `{}` {spread}: the line turns by {} degrees between them",
        lettering.text.text,
        number::fixed(worst.degrees.abs(), 0),
    );
    let more = if turns.len() > 1 { format!(", and at {} more places", turns.len() - 1) } else { String::new() };
    Some(
        Diagnostic::new(&FANNED_OUT, message)
            .at(along.figure.span, format!("the corner lies at {}{more}", spot(worst.at)))
            .because("the word falls apart there")
            .repair("move the text off the corner with `shift`, make the letters smaller, or round the corner"),
    )
}

/// The finding for letters along a line that lie on each other.
pub(super) fn collided(places: &[Point], lettering: &Lettering) -> Option<Diagnostic> {
    let (first, along) = (places.first()?, lettering.along.as_ref()?);
    let more = if places.len() > 1 { format!(", and at {} more places", places.len() - 1) } else { String::new() };
    Some(
        Diagnostic::new(&COLLIDE, format!("letters of `{}` run into each other", lettering.text.text))
            .at(along.figure.span, format!("the line bends too tightly at {}{more}", spot(*first)))
            .because("they are welded into one blot that cannot be read")
            .repair("add `tracking`, make the letters smaller, move them with `shift`, or take the other `side`"),
    )
}

fn spot(at: Point) -> String {
    format!("{} mm right, {} mm down on the sheet", number::fixed(at.x, 1), number::fixed(at.y, 1))
}

/// The finding for a bridge that the beam takes away.
pub(super) fn burns_away(bridge: Mm, kerf: Mm, at: Span) -> Diagnostic {
    Diagnostic::new(&BRIDGE_BURNS, format!("a bridge of {bridge} is not wider than the kerf of {kerf}"))
        .at(at, "nothing would be left of it")
        .because("cut on the line, a bridge loses the kerf, and the insides of the letters fall out")
        .repair("make the bridges several times as wide as the kerf")
}

/// The finding for counters that no bridge fits.
pub(super) fn too_narrow(
    counters: &[NarrowCounter],
    bridge: &Spanned<Mm>,
    lettering: &Lettering,
) -> Option<Diagnostic> {
    let worst = counters.iter().min_by(|a, b| a.across.get().total_cmp(&b.across.get()))?;
    let many = match counters.len() {
        1 => "the inside of a letter".to_owned(),
        many => format!("the insides of {many} letters"),
    };
    let message = format!("a bridge of {} does not fit {many} of `{}`", bridge.value, lettering.text.text);
    Some(
        Diagnostic::new(&BRIDGE_TOO_WIDE, message)
            .at(bridge.span, format!("the narrowest is only {} across", worst.across))
            .because("it would fall out of the stencil")
            .repair("make the bridges narrower, the letters larger, or choose a heavier face"),
    )
}
