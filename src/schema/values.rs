//! One written value, checked against its kind.

use super::decoded::{Decoded, TextValue};
use super::quantities::{Least, count, quantity};
use super::rules::{BAD_NAME, UNKNOWN_WORD};
use super::scope::Scope;
use super::spec::{Choice, Kind, Slot};
use super::template::{Condition, PatternError, condition, expand_text};
use super::wording::{pattern_failure, shortened, wrong_kind};
use crate::diagnostics::{Diagnostic, Sink, near_names};
use crate::syntax::{Value, ValueData};
use crate::units::Dimension;

/// Checks one value. `None` means that a finding has been pushed.
pub(super) fn decode(value: &Value, slot: &Slot, scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    if let (Some(note), false) = (&value.annotation, takes_annotation(slot.kind)) {
        sink.push(wrong_kind(slot, value, note.span));
        return None;
    }
    match slot.kind {
        Kind::Text => text(value, slot, scope, sink),
        Kind::Verbatim => verbatim(value, slot, sink),
        Kind::Path => path(value, slot, scope, sink),
        Kind::NewName => name(value, slot, sink),
        Kind::NameOf(what) => name(value, slot, sink).map(|found| renamed(found, what, scope)),
        Kind::Quantity { dimension, zero } => {
            let least = if zero { Least::Zero } else { Least::AboveZero };
            quantity(value, slot, dimension, least, scope, sink)
        }
        Kind::Signed(dimension) => quantity(value, slot, dimension, Least::Any, scope, sink),
        Kind::NameOrLength(what) => {
            let is_name = value.text().is_some_and(|t| t.starts_with(|c: char| c.is_alphabetic()));
            if is_name {
                name(value, slot, sink).map(|found| renamed(found, what, scope))
            } else {
                quantity(value, slot, Dimension::Length, Least::Zero, scope, sink)
            }
        }
        Kind::Count(low, high) => count(value, slot, low, high, scope, sink),
        Kind::Flag => flag(value, slot, scope, sink),
        Kind::Word(words) => word(value, slot, words, scope, sink),
        Kind::Colour => colour(value, slot, sink),
        Kind::Any => Some(Decoded::Raw(value.clone())),
    }
}

fn takes_annotation(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity { .. } | Kind::Signed(_) | Kind::NameOrLength(_) | Kind::Any)
}

/// Reads a `when`; `None` when it was wrong and has been reported.
pub(super) fn holds(value: &Value, scope: &Scope, sink: &mut Sink) -> Option<bool> {
    let Some(text) = value.text() else {
        if let ValueData::Flag(flag) = value.data {
            return Some(flag);
        }
        pattern_failure(PatternError::NotACondition, value, scope, sink);
        return None;
    };
    match condition(text, scope) {
        Ok(answer) => Some(answer == Condition::Holds),
        Err(error) => {
            pattern_failure(error, value, scope, sink);
            None
        }
    }
}

fn text_of(value: &Value, text: String) -> Decoded {
    Decoded::Text(TextValue { text, span: value.span, from: value.span.source })
}

fn text(value: &Value, slot: &Slot, scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    let Some(written) = value.text() else {
        sink.push(wrong_kind(slot, value, value.span));
        return None;
    };
    match expand_text(written, scope) {
        Ok(text) => Some(text_of(value, text)),
        Err(error) => {
            pattern_failure(error, value, scope, sink);
            None
        }
    }
}

fn verbatim(value: &Value, slot: &Slot, sink: &mut Sink) -> Option<Decoded> {
    let written = value.text();
    if written.is_none() {
        sink.push(wrong_kind(slot, value, value.span));
    }
    Some(text_of(value, written?.to_owned()))
}

/// A path that is one whole `{input}` keeps the text that the input's value stands in, so that it stays
/// relative to the right folder.
fn path(value: &Value, slot: &Slot, scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    let whole = value.text().and_then(|t| t.strip_prefix('{')?.strip_suffix('}'));
    if let Some(entry) = whole.and_then(|name| scope.get(name.trim())) {
        return match entry.value.as_ref()? {
            super::InputValue::File { path, from } => {
                Some(Decoded::Text(TextValue { text: path.clone(), span: value.span, from: *from }))
            }
            _ => text(value, slot, scope, sink),
        };
    }
    text(value, slot, scope, sink)
}

/// The name of a figure as it is known in the whole recipe.
fn renamed(found: Decoded, what: &str, scope: &Scope) -> Decoded {
    match found {
        Decoded::Text(text) if what == "figure" => {
            Decoded::Text(TextValue { text: scope.figure(&text.text).to_owned(), ..text })
        }
        found => found,
    }
}

fn name(value: &Value, slot: &Slot, sink: &mut Sink) -> Option<Decoded> {
    let Some(written) = value.text() else {
        sink.push(wrong_kind(slot, value, value.span));
        return None;
    };
    let good = written.starts_with(|c: char| c.is_alphabetic())
        && written.chars().all(|c| c.is_alphanumeric() || c == '-' || c == '_')
        && written.chars().count() <= 60;
    if !good {
        sink.push(
            Diagnostic::new(&BAD_NAME, format!("`{}` is no name", shortened(written)))
                .at(value.span, "a letter, then letters, digits, `-` and `_`")
                .because("names become parts of file names and have to mean the same on every system")
                .repair(format!("write it like `{}`, here and wherever it is used", as_name(written))),
        );
        return None;
    }
    Some(text_of(value, written.to_owned()))
}

/// The nearest spelling that is a name.
fn as_name(written: &str) -> String {
    let words = written.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|w| !w.is_empty());
    let name: String = words.collect::<Vec<_>>().join("-").chars().take(60).collect();
    if name.starts_with(char::is_alphabetic) {
        name
    } else {
        format!("number-{name}").trim_end_matches('-').to_owned()
    }
}

fn flag(value: &Value, slot: &Slot, scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    match &value.data {
        ValueData::Flag(flag) => Some(Decoded::Flag(*flag)),
        ValueData::Text(text) if text.starts_with('{') => holds(value, scope, sink).map(Decoded::Flag),
        ValueData::Text(text) if text == "true" || text == "false" => {
            let repaired = format!("#{text}");
            sink.push(wrong_kind(slot, value, value.span).repair_with(
                format!("write `{repaired}`"),
                value.span,
                repaired,
            ));
            None
        }
        _ => {
            sink.push(wrong_kind(slot, value, value.span));
            None
        }
    }
}

fn word(value: &Value, slot: &Slot, words: &'static [Choice], scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    let Some(Decoded::Text(TextValue { text, .. })) = text(value, slot, scope, sink) else { return None };
    if let Some(choice) = words.iter().find(|c| c.word == text) {
        return Some(Decoded::Word(choice.word));
    }
    let near = near_names(&text, words.iter().map(|c| c.word));
    let message = format!("`{}` is none of the words for `{}`", shortened(&text), slot.name);
    let diagnostic =
        Diagnostic::new(&UNKNOWN_WORD, message).at(value.span, format!("expected {}", slot.kind.expects()));
    sink.push(match near.as_slice() {
        [only] => diagnostic.repair_with(format!("write `{only}`"), value.span, format!("\"{only}\"")),
        _ => diagnostic,
    });
    None
}

fn colour(value: &Value, slot: &Slot, sink: &mut Sink) -> Option<Decoded> {
    let digits = value.text().and_then(|t| t.strip_prefix('#')).unwrap_or_default();
    if digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Some(text_of(value, format!("#{}", digits.to_lowercase())));
    }
    sink.push(wrong_kind(slot, value, value.span));
    None
}
