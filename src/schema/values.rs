//! One written value, checked against its kind.

use super::expression::{Expression, ExpressionError};
use super::scope::Scope;
use super::spec::{Choice, Kind, Slot};
use super::template::{Condition, PatternError, condition, expand_text};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::source::{SourceId, Span, Spanned};
use crate::syntax::{Value, ValueData};
use crate::units::{Dimension, Quantity, QuantityError, UNITS};

pub(super) static WRONG_KIND: Finding = Finding {
    rule: "schema/wrong-kind",
    severity: Severity::Error,
    title: "a value is of another kind than the one wanted",
    explanation: "Each argument and property takes one kind of value: a text, a quantity, a whole number, a switch, \
        a name. A value of another kind is never converted by guessing, because a guess would be burned.",
    wrong: "shape \"sun\" { star points=\"twelve\" outer=\"26 mm\" inner=\"16 mm\" }",
    right: "shape \"sun\" { star points=12 outer=\"26 mm\" inner=\"16 mm\" }",
};

pub(super) static NO_UNIT: Finding = Finding {
    rule: "schema/no-unit",
    severity: Severity::Error,
    title: "a quantity has no unit",
    explanation: "There is no default unit. The same number in inches or in millimetres is a piece 25 times as large, \
        so every length, speed, angle and power says its unit: `\"8.5 in\"`, `\"120 mm/s\"`, `\"30 deg\"`.",
    wrong: "shape \"dot\" { circle 18 }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static WRONG_DIMENSION: Finding = Finding {
    rule: "schema/wrong-dimension",
    severity: Severity::Error,
    title: "a quantity measures something else than the one wanted",
    explanation: "A length cannot stand where a speed is wanted, and a percentage is not a length. The message says \
        what is wanted and what was found; a calculation is checked in the same way.",
    wrong: "shape \"dot\" { circle \"18 mm/s\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static BAD_QUANTITY: Finding = Finding {
    rule: "schema/bad-quantity",
    severity: Severity::Error,
    title: "a quantity cannot be read",
    explanation: "A quantity is a number and a unit: `\"8.5 in\"`, `\"1/8 in\"`, `\"1 1/2 in\"`. The decimal mark is a \
        point. `explain units` lists the units; each has one spelling.",
    wrong: "shape \"dot\" { circle \"18 millimetres\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static OUT_OF_RANGE: Finding = Finding {
    rule: "schema/out-of-range",
    severity: Severity::Error,
    title: "a value is outside the range that makes sense",
    explanation: "Sizes are above zero, counts have a least and a greatest value. A size of zero or less would burn \
        nothing or turn the drawing inside out; directions are words (`left`, `down`), never signs.",
    wrong: "shape \"dot\" { circle \"-18 mm\" }",
    right: "shape \"dot\" { circle \"18 mm\" }",
};

pub(super) static UNKNOWN_WORD: Finding = Finding {
    rule: "schema/unknown-word",
    severity: Severity::Error,
    title: "a word is none of those that may stand here",
    explanation: "Some values are one of a few words. The message lists them.",
    wrong: "offset \"halo\" of=\"sun\" by=\"2 mm\" corners=\"rounded\"",
    right: "offset \"halo\" of=\"sun\" by=\"2 mm\" corners=\"round\"",
};

pub(super) static BAD_NAME: Finding = Finding {
    rule: "schema/bad-name",
    severity: Severity::Error,
    title: "a name is not spelled as names are",
    explanation: "A name starts with a letter and goes on with letters, digits, `-` and `_`, at most 60 of them. Names \
        become parts of file names, and have to stay the same on every system.",
    wrong: "shape \"sun/moon\" { circle \"18 mm\" }",
    right: "shape \"sun-moon\" { circle \"18 mm\" }",
};

pub(super) static UNKNOWN_INPUT: Finding = Finding {
    rule: "schema/unknown-input",
    severity: Severity::Error,
    title: "braces name an input that is not declared",
    explanation: "`{name}` is replaced by the value of `input \"name\"`. Write `{{` where a brace itself is wanted.",
    wrong: "lettering \"date\" \"{dya}\" font=\"fonts/a.ttf\" height=\"12 mm\"",
    right: "lettering \"date\" \"{day}\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

pub(super) static BAD_CALCULATION: Finding = Finding {
    rule: "schema/bad-calculation",
    severity: Severity::Error,
    title: "a calculation cannot be worked out",
    explanation: "A calculation has `+ - * /`, parentheses, quantities, inputs (`{margin}`) and the width and height of \
        figures (`{board.width}`). Only like can be added to like; nothing is divided by zero.",
    wrong: "shape \"dot\" { circle \"{board.width} + 3\" }",
    right: "shape \"dot\" { circle \"{board.width} + 3 mm\" }",
};

pub(super) static BAD_CONDITION: Finding = Finding {
    rule: "schema/bad-condition",
    severity: Severity::Error,
    title: "a condition cannot be read",
    explanation: "`when` takes a switch, `when=\"{tray}\"`, or compares a choice or text with one word, \
        `when=\"{level} == hard\"` or `!=`. There is nothing more, so that a recipe can be read at a glance.",
    wrong: "shape \"dot\" when=\"{size} > 3\" { circle \"18 mm\" }",
    right: "shape \"dot\" when=\"{level} == hard\" { circle \"18 mm\" }",
};

/// A text and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextValue {
    /// The text, inputs replaced.
    pub text: String,
    /// Where it is written.
    pub span: Span,
    /// The text it is written in; paths are relative to that one.
    pub from: SourceId,
}

/// A value that fits its kind.
#[derive(Clone, Debug)]
pub(super) enum Decoded {
    Text(TextValue),
    Quantity(Spanned<Expression>),
    Count(u32),
    Flag(bool),
    Word(&'static str),
    Raw(Value),
}

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
        Kind::NewName | Kind::NameOf(_) => name(value, slot, sink),
        Kind::Quantity { dimension, zero } => {
            let least = if zero { Least::Zero } else { Least::AboveZero };
            quantity(value, slot, dimension, least, scope, sink)
        }
        Kind::Signed(dimension) => quantity(value, slot, dimension, Least::Any, scope, sink),
        Kind::NameOrLength(_) => {
            let is_name = value.text().is_some_and(|t| t.starts_with(|c: char| c.is_alphabetic()));
            if is_name {
                name(value, slot, sink)
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

/// What was found, for messages.
fn found(value: &Value) -> String {
    match &value.data {
        ValueData::Text(text) => format!("the text `{}`", shortened(text)),
        ValueData::Number(number) => format!("the bare number `{}`", shortened(number)),
        ValueData::Flag(flag) => format!("`#{flag}`"),
        ValueData::Null => "`#null`".to_owned(),
    }
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_owned() } else { text.chars().take(39).collect::<String>() + "…" }
}

fn wrong_kind(slot: &Slot, value: &Value, span: Span) -> Diagnostic {
    let diagnostic = Diagnostic::new(
        &WRONG_KIND,
        format!("expected {} for `{}`, found {}", slot.kind.expects(), slot.name, found(value)),
    )
    .at(span, slot.about);
    with_repair(diagnostic, slot)
}

/// How a value of the wanted kind is written, where the message does not say it already.
fn with_repair(diagnostic: Diagnostic, slot: &Slot) -> Diagnostic {
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

fn pattern_failure(error: PatternError, value: &Value, scope: &Scope, sink: &mut Sink) {
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
fn unknown_input(name: &str, value: &Value, at: usize, end: usize, scope: &Scope) -> Diagnostic {
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

#[derive(Clone, Copy, PartialEq, Eq)]
enum Least {
    AboveZero,
    Zero,
    Any,
}

fn quantity(
    value: &Value,
    slot: &Slot,
    wanted: Dimension,
    least: Least,
    scope: &Scope,
    sink: &mut Sink,
) -> Option<Decoded> {
    let written = match (&value.data, &value.annotation) {
        (ValueData::Text(text), None) => text.clone(),
        (ValueData::Number(number), Some(unit)) => format!("{number} {}", unit.value),
        (ValueData::Number(number), None) if wanted == Dimension::Number => number.clone(),
        (ValueData::Number(number), None) => {
            sink.push(no_unit(slot, wanted, number, value.span));
            return None;
        }
        _ => {
            sink.push(wrong_kind(slot, value, value.span));
            return None;
        }
    };
    let expression = match Expression::parse(&written, scope) {
        Ok(expression) => expression,
        Err(error) => {
            expression_failure(&error, &written, slot, value, scope, sink);
            return None;
        }
    };
    if expression.dimension() != wanted {
        sink.push(wrong_dimension(&expression, wanted, &written, slot, value.span));
        return None;
    }
    match expression.constant() {
        Some(known) => in_range(known, least, slot, value.span, sink)?,
        None if slot.fixed || wanted != Dimension::Length => {
            sink.push(figure_in_fixed(&expression, slot, value));
            return None;
        }
        None => {}
    }
    // With an annotation the text was put together here and stands nowhere.
    let inner = value.inner.filter(|_| value.annotation.is_none());
    Some(Decoded::Quantity(Spanned::new(expression.written_in(inner), value.span)))
}

fn figure_in_fixed(expression: &Expression, slot: &Slot, value: &Value) -> Diagnostic {
    let place = expression.figures().first().and_then(|(_, at)| *at).unwrap_or(value.span);
    Diagnostic::new(&BAD_CALCULATION, format!("`{}` cannot depend on the size of a figure", slot.name))
        .at(place, "not known when this is read")
        .repair("write the quantity itself, or calculate it from an input")
}

fn in_range(known: Quantity, least: Least, slot: &Slot, span: Span, sink: &mut Sink) -> Option<()> {
    let number = known.to_f64();
    let (fits, wanted) = match least {
        Least::AboveZero => (number > 0.0, "above zero"),
        Least::Zero => (number >= 0.0, "zero or more"),
        Least::Any => (true, ""),
    };
    if !fits {
        sink.push(
            Diagnostic::new(&OUT_OF_RANGE, format!("`{}` has to be {wanted}, but it is {known}", slot.name))
                .at(span, slot.about)
                .repair(match least {
                    Least::AboveZero => "write it without a sign, and not as zero",
                    _ => "write the opposite direction instead of a sign",
                }),
        );
    }
    fits.then_some(())
}

/// The units that a number without one most likely has.
const LIKELY: [&str; 11] = ["mm", "in", "mm/s", "in/s", "in/min", "mm/s2", "deg", "W", "%", "s", "min"];

fn no_unit(slot: &Slot, wanted: Dimension, number: &str, span: Span) -> Diagnostic {
    let units: Vec<String> = UNITS
        .iter()
        .filter(|u| u.dimension == wanted && LIKELY.contains(&u.symbol))
        .map(|u| format!("\"{number} {}\"", u.symbol))
        .collect();
    Diagnostic::new(&NO_UNIT, format!("`{}` needs a unit: expected {}, found {number}", slot.name, wanted.name()))
        .at(span, "millimetres or inches? there is no default unit")
        .because("a wrong guess would be a piece 25 times too large or too small")
        .repair(format!("say the unit: {}", quoted_list(units.iter().map(String::as_str), "or")))
}

fn wrong_dimension(
    expression: &Expression,
    wanted: Dimension,
    written: &str,
    slot: &Slot,
    span: Span,
) -> Diagnostic {
    let had = expression.dimension();
    if had == Dimension::Number {
        return no_unit(slot, wanted, written, span);
    }
    let found = match expression.constant() {
        Some(_) => format!("found {} `{written}`", had.name()),
        None => format!("this calculation gives {}", had.name()),
    };
    Diagnostic::new(&WRONG_DIMENSION, format!("expected {} for `{}`, {found}", wanted.name(), slot.name))
        .at(span, slot.about)
        .repair(format!("write {}, such as `{}`", wanted.name(), wanted.sample()))
}

fn expression_failure(
    error: &ExpressionError,
    written: &str,
    slot: &Slot,
    value: &Value,
    scope: &Scope,
    sink: &mut Sink,
) {
    let diagnostic = match error {
        ExpressionError::Poisoned => return,
        ExpressionError::Quantity(error) => quantity_failure(error, written, slot, value),
        ExpressionError::NotClosed { at, sign } => {
            Diagnostic::new(&BAD_CALCULATION, format!("a `{sign}` is missing"))
                .at(value.inside(*at, at + 1), "opened here")
                .repair(format!("write `{sign}` where it ends"))
        }
        ExpressionError::UnknownInput { at, end, name } => unknown_input(name, value, *at, *end, scope),
        ExpressionError::UnknownSide { at, end, side } => {
            Diagnostic::new(&BAD_CALCULATION, format!("a figure has no `{side}` that can be asked for"))
                .at(value.inside(*at, *end), "expected `width` or `height`")
                .repair("write `{name.width}` or `{name.height}`")
        }
        ExpressionError::NotAQuantity { at, end, name } => {
            Diagnostic::new(&BAD_CALCULATION, format!("input `{name}` is no quantity"))
                .at(value.inside(*at, *end), "cannot be calculated with")
                .repair("declare it with `kind=\"length\"`, `\"angle\"` …, or write the quantity itself")
        }
        ExpressionError::Dimensions { at, end, sign, left, right } => {
            let verb = match sign {
                '+' => "added to",
                '-' => "subtracted from",
                '*' => "multiplied by",
                _ => "divided by",
            };
            let (first, second) = if matches!(sign, '+' | '-') { (right, left) } else { (left, right) };
            Diagnostic::new(&BAD_CALCULATION, format!("{} cannot be {verb} {}", first.name(), second.name()))
                .at(value.inside(*at, *end), format!("{} {sign} {}", left.name(), right.name()))
                .repair("give both the same kind of unit, or multiply by a bare number")
        }
        ExpressionError::TooLong { at } => {
            Diagnostic::new(&BAD_CALCULATION, "this calculation has more than 200 terms".to_owned())
                .at(value.inside(*at, at + 1), "one too many")
                .repair("write it shorter")
        }
        ExpressionError::Overflow { at, end } => {
            Diagnostic::new(&BAD_CALCULATION, "this divides by zero or grows beyond all bounds".to_owned())
                .at(value.inside(*at, *end), "cannot be worked out")
                .repair("check the numbers on both sides of the sign")
        }
    };
    sink.push(diagnostic);
}

fn quantity_failure(error: &QuantityError, written: &str, slot: &Slot, value: &Value) -> Diagnostic {
    let expects = slot.kind.expects();
    let (message, span) = match error {
        QuantityError::NoNumber { at } => (
            format!("expected {expects} for `{}`, found `{}`", slot.name, shortened(written)),
            value.inside(*at, written.len()),
        ),
        QuantityError::DecimalComma { at, end, repaired } => {
            let span = value.inside(*at, *end);
            return Diagnostic::new(&BAD_QUANTITY, "the decimal mark is a point, not a comma".to_owned())
                .at(span, "comma")
                .repair_with(format!("write `{repaired}`"), span, repaired.clone());
        }
        QuantityError::NoUnit { at } => ("a unit is missing".to_owned(), value.inside(*at, written.len())),
        QuantityError::UnknownUnit { at, end, near } => {
            let span = value.inside(*at, *end);
            let unit = written.get(*at..*end).unwrap_or_default();
            let diagnostic = Diagnostic::new(&BAD_QUANTITY, format!("`{unit}` is no unit"))
                .at(span, "not a unit of the language");
            return match near {
                Some(near) => diagnostic.repair_with(format!("the unit is written `{near}`"), span, *near),
                None => {
                    diagnostic.repair(format!("write {expects}, with one of the units that `explain units` lists"))
                }
            };
        }
        QuantityError::DivisionByZero { at } => {
            ("this divides by zero".to_owned(), value.inside(*at, written.len()))
        }
        QuantityError::TooLarge { at } => {
            ("this number is too long to be held exactly".to_owned(), value.inside(*at, written.len()))
        }
        QuantityError::Surplus { at } => (
            format!("`{}` cannot follow a quantity", shortened(written.get(*at..).unwrap_or_default())),
            value.inside(*at, written.len()),
        ),
    };
    Diagnostic::new(&BAD_QUANTITY, message).at(span, slot.about).repair(match slot.kind {
        Kind::Quantity { dimension, .. } | Kind::Signed(dimension) => {
            format!("write {expects}, such as `{}`", dimension.sample())
        }
        _ => format!("write {expects}"),
    })
}

/// A whole number, written bare, or a quantity input in braces.
fn count(value: &Value, slot: &Slot, low: u32, high: u32, scope: &Scope, sink: &mut Sink) -> Option<Decoded> {
    let written = match &value.data {
        ValueData::Number(number) => number.as_str(),
        ValueData::Text(text) if text.contains('{') => text.as_str(),
        _ => {
            sink.push(wrong_kind(slot, value, value.span));
            return None;
        }
    };
    let expression = match Expression::parse(written, scope) {
        Ok(expression) => expression,
        Err(error) => {
            expression_failure(&error, written, slot, value, scope, sink);
            return None;
        }
    };
    let known = expression.constant().filter(|q| q.dimension == Dimension::Number && q.value.is_integer());
    let Some(number) = known.map(|q| q.value.to_integer()) else {
        sink.push(wrong_kind(slot, value, value.span));
        return None;
    };
    let fits = u32::try_from(number).ok().filter(|n| (low..=high).contains(n));
    if fits.is_none() {
        let message = format!("`{}` has to be {}, but it is {number}", slot.name, slot.kind.expects());
        sink.push(
            Diagnostic::new(&OUT_OF_RANGE, message)
                .at(value.span, slot.about)
                .repair(format!("write a number from {low} to {high}")),
        );
    }
    fits.map(Decoded::Count)
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
