//! Quantities, calculations and counts, checked against what is wanted.

use super::decoded::Decoded;
use super::expression::{Expression, ExpressionError};
use super::rules::{BAD_CALCULATION, BAD_QUANTITY, NO_UNIT, OUT_OF_RANGE, WRONG_DIMENSION};
use super::scope::Scope;
use super::spec::{Kind, Slot};
use super::wording::{shortened, unknown_input, wrong_kind};
use crate::diagnostics::{Diagnostic, Sink, quoted_list};
use crate::source::{Span, Spanned};
use crate::syntax::{Value, ValueData};
use crate::units::{Dimension, Quantity, QuantityError, UNITS};

/// The units that a number without one most likely has.
const LIKELY: [&str; 11] = ["mm", "in", "mm/s", "in/s", "in/min", "mm/s2", "deg", "W", "%", "s", "min"];

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Least {
    AboveZero,
    Zero,
    Any,
}

pub(super) fn quantity(
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
    if fits {
        return within(known, slot, span, sink);
    }
    sink.push(
        Diagnostic::new(&OUT_OF_RANGE, format!("`{}` has to be {wanted}, but it is {known}", slot.name))
            .at(span, slot.about)
            .repair(match least {
                Least::AboveZero => "write it without a sign, and not as zero",
                _ => "write the opposite direction instead of a sign",
            }),
    );
    None
}

/// Whether a quantity lies in the range of its slot; reported when it does not.
fn within(known: Quantity, slot: &Slot, span: Span, sink: &mut Sink) -> Option<()> {
    let Some((least, most)) = slot.range else { return Some(()) };
    let number = known.to_f64();
    let end = |text: &str| Expression::read_constant(text).map_or(f64::NAN, Quantity::to_f64);
    let nearest = match () {
        () if number < end(least) => least,
        () if number > end(most) => most,
        () => return Some(()),
    };
    let message = format!("`{}` has to be from {least} to {most}, but it is {known}", slot.name);
    sink.push(
        Diagnostic::new(&OUT_OF_RANGE, message)
            .at(span, slot.about)
            .because("nothing sensible would be burned")
            .repair(format!("write a value in that range, such as `{nearest}`")),
    );
    None
}

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
pub(super) fn count(
    value: &Value,
    slot: &Slot,
    low: u32,
    high: u32,
    scope: &Scope,
    sink: &mut Sink,
) -> Option<Decoded> {
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
