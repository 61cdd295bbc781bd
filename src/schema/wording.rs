//! What is said of a value that does not fit.

use super::rules::{BAD_CALCULATION, BAD_CONDITION, UNKNOWN_INPUT, WRONG_KIND};
use super::scope::Scope;
use super::spec::{Kind, Slot};
use super::template::PatternError;
use crate::diagnostics::{Diagnostic, Sink, near_names, quoted_list};
use crate::source::Span;
use crate::syntax::{Value, ValueData};

/// What was found, for messages.
fn found(value: &Value) -> String {
    match &value.data {
        ValueData::Text(text) => format!("the text `{}`", shortened(text)),
        ValueData::Number(number) => format!("the bare number `{}`", shortened(number)),
        ValueData::Flag(flag) => format!("`#{flag}`"),
        ValueData::Null => "`#null`".to_owned(),
    }
}

pub(super) fn shortened(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_owned() } else { text.chars().take(39).collect::<String>() + "…" }
}

pub(super) fn wrong_kind(slot: &Slot, value: &Value, span: Span) -> Diagnostic {
    let diagnostic = Diagnostic::new(
        &WRONG_KIND,
        format!("expected {} for `{}`, found {}", slot.kind.expects(), slot.name, found(value)),
    )
    .at(span, slot.about);
    with_repair(diagnostic, slot)
}

/// How a value of the wanted kind is written, where the message does not say it already.
pub(super) fn with_repair(diagnostic: Diagnostic, slot: &Slot) -> Diagnostic {
    match slot.kind {
        Kind::Count(low, high) => {
            diagnostic.repair(format!("write it in digits and without quotes: `{}`", 12.clamp(low, high)))
        }
        Kind::Text | Kind::Verbatim | Kind::Path | Kind::NewName | Kind::NameOf(_) => {
            diagnostic.repair("put it in quotes")
        }
        Kind::Quantity { dimension, .. } | Kind::Signed(dimension) => {
            diagnostic.repair(format!("write {}, such as `{}`", dimension.name(), dimension.sample()))
        }
        _ => diagnostic,
    }
}

pub(super) fn pattern_failure(error: PatternError, value: &Value, scope: &Scope, sink: &mut Sink) {
    let diagnostic = match error {
        PatternError::Poisoned => return,
        PatternError::UnknownInput { at, end, name } => unknown_input(&name, value, at, end, scope),
        PatternError::NotClosed { at } => Diagnostic::new(&BAD_CALCULATION, "this brace is not closed".to_owned())
            .at(value.inside(at, at + 1), "`{` without `}`")
            .repair("close it, or write `{{` where a brace itself is wanted"),
        PatternError::NotADate { at, end, name } => {
            Diagnostic::new(&BAD_CALCULATION, format!("a pattern needs a date, but input `{name}` is none"))
                .at(value.inside(at, end), "only dates take a pattern")
                .repair_with("leave out the pattern", value.inside(at, end), format!("{{{name}}}"))
        }
        PatternError::BadPattern { at, end, why } => Diagnostic::new(
            &BAD_CALCULATION,
            format!("this date pattern does not work: {why}"),
        )
        .at(value.inside(at, end), "cannot be written")
        .repair(
            "use `%d` day, `%-d` day without zero, `%B` month, `%b` short month, `%m`, `%Y` year, `%A` weekday",
        ),
        PatternError::NotACondition => Diagnostic::new(&BAD_CONDITION, "this is no condition".to_owned())
            .at(value.span, "expected a switch or a comparison with one word")
            .repair("write `when=\"{switch}\"`, `when=\"{choice} == word\"` or `when=\"{choice} != word\"`"),
    };
    sink.push(diagnostic);
}

/// `at..end` are the bytes from the brace that opens to the one that closes.
pub(super) fn unknown_input(name: &str, value: &Value, at: usize, end: usize, scope: &Scope) -> Diagnostic {
    let near = near_names(name, scope.names());
    // Only where the text stands as it is written can a part of it be replaced.
    let braces = value.text().filter(|_| value.inner.is_some()).and_then(|t| t.get(at..end));
    let place = braces.and_then(|b| b.find(name)).map(|found| value.inside(at + found, at + found + name.len()));
    let diagnostic = Diagnostic::new(&UNKNOWN_INPUT, format!("there is no input `{name}`"))
        .at(place.unwrap_or_else(|| value.inside(at, end)), "not declared");
    match near.as_slice() {
        [only] => {
            let written = format!("there is an input with a similar name: `{only}`");
            match place {
                Some(place) => diagnostic.repair_with(written, place, (*only).to_owned()),
                None => diagnostic.repair(written),
            }
        }
        [] => diagnostic.repair(format!("declare it with `input \"{name}\" kind=…`, or write `{{{{` for a brace")),
        _ => diagnostic.repair(format!("inputs with similar names: {}", quoted_list(near, "and"))),
    }
}
