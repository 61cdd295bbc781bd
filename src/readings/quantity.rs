//! One quantity as it is typed: the grammar of recipes, without their calculations.

use crate::units::{Dimension, QuantityError, parse_quantity};

/// A quantity of a dimension, in its base unit, above zero.
///
/// # Errors
/// What is wrong with the text, and what was expected.
pub fn above_zero(text: &str, dimension: Dimension) -> Result<f64, String> {
    any(text, dimension)
        .and_then(|value| if value > 0.0 { Ok(value) } else { Err(format!("`{text}` has to be more than zero")) })
}

/// A quantity of a dimension, in its base unit, zero or more.
///
/// # Errors
/// What is wrong with the text, and what was expected.
pub fn zero_or_more(text: &str, dimension: Dimension) -> Result<f64, String> {
    any(text, dimension)
        .and_then(|value| if value >= 0.0 { Ok(value) } else { Err(format!("`{text}` cannot be less than zero")) })
}

/// A quantity of a dimension, in its base unit, of any sign.
///
/// # Errors
/// What is wrong with the text, and what was expected.
pub fn any(text: &str, dimension: Dimension) -> Result<f64, String> {
    let written = text.trim();
    let expects = format!("expected {}, such as `{}`", dimension.name(), dimension.sample());
    let (minus, rest) = match written.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, written.strip_prefix('+').unwrap_or(written)),
    };
    let (found, used) = parse_quantity(rest, 0).map_err(|error| said(&error, written, &expects))?;
    if used < rest.len() {
        return Err(format!("`{}` cannot follow a quantity; {expects}", &rest[used..]));
    }
    if found.dimension == Dimension::Number {
        return Err(format!("`{written}` has no unit; {expects}"));
    }
    if found.dimension != dimension {
        return Err(format!("`{written}` is {}; {expects}", found.dimension.name()));
    }
    Ok(minus * found.to_f64())
}

fn said(error: &QuantityError, written: &str, expects: &str) -> String {
    match error {
        QuantityError::DecimalComma { repaired, .. } => {
            format!("the decimal mark is a point, not a comma: write `{repaired}`")
        }
        QuantityError::UnknownUnit { near: Some(near), .. } => {
            format!("`{written}` has no unit of the language: the unit is written `{near}`")
        }
        QuantityError::UnknownUnit { near: None, .. } | QuantityError::NoUnit { .. } => {
            format!("`{written}` has no unit of the language; {expects}")
        }
        QuantityError::DivisionByZero { .. } => format!("`{written}` divides by zero"),
        QuantityError::TooLarge { .. } => format!("`{written}` is too long to be held exactly"),
        QuantityError::NoNumber { .. } | QuantityError::Surplus { .. } => {
            format!("`{written}` is no number; {expects}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_read_as_in_a_recipe() {
        assert_eq!(above_zero(" 98.4 mm ", Dimension::Length), Ok(98.4));
        assert_eq!(above_zero("1/8 in", Dimension::Length), Ok(3.175));
        assert_eq!(any("-1.5 mm", Dimension::Length), Ok(-1.5));
        assert_eq!(any("+1.5mm", Dimension::Length), Ok(1.5));
        assert_eq!(zero_or_more("0 %", Dimension::Percent), Ok(0.0));
    }

    #[test]
    fn what_is_no_quantity_is_told() {
        let wrong = [
            ("98.4", "has no unit"),
            ("98,4 mm", "write `98.4`"),
            ("98.4 inch", "written `in`"),
            ("12 %", "expected a length"),
            ("0 mm", "more than zero"),
            ("mm", "is no number"),
            ("", "is no number"),
            ("5 mm extra", "cannot follow"),
            ("--5 mm", "is no number"),
        ];
        for (text, says) in wrong {
            let error = above_zero(text, Dimension::Length).unwrap_err();
            assert!(error.contains(says), "{text}: {error}");
        }
    }
}
