//! What one word without quotes is, and what is wrong with it.

use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::source::Span;
use crate::units::parse_unit;

/// A quantity without quotes.
pub static QUANTITY_WITHOUT_QUOTES: Finding = Finding {
    rule: "syntax/quantity-without-quotes",
    severity: Severity::Error,
    title: "a number with a unit is written without quotes",
    explanation: "A quantity is one value, number and unit together, in quotes: `\"8.5 in\"`, `\"1/8 in\"`, `\"40 %\"`. \
        Without quotes the unit would be a value of its own, and the number would have no unit: on the machine, \
        3 inches and 3 millimetres are not the same cut.",
    wrong: "rectangle 8.5in 11 in",
    right: "rectangle \"8.5 in\" \"11 in\"",
};

/// A word that needs quotes.
pub static NEEDS_QUOTES: Finding = Finding {
    rule: "syntax/needs-quotes",
    severity: Severity::Error,
    title: "a value is written without the quotes it needs",
    explanation: "One plain word needs no quotes. Everything else does: paths, dates, times, names that start with a \
        digit, and whatever holds a blank or one of `( ) { } [ ] / \\ \" # ; =`.",
    wrong: "artwork \"heron\" file=art/heron.svg",
    right: "artwork \"heron\" file=\"art/heron.svg\"",
};

/// `true` for `#true`.
pub static KEYWORD_WITHOUT_HASH: Finding = Finding {
    rule: "syntax/keyword-without-hash",
    severity: Severity::Error,
    title: "`true`, `false` or `null` is written without its `#`",
    explanation: "In KDL 2 the words for yes, no and nothing are `#true`, `#false` and `#null`, so that they cannot be \
        mixed up with names.",
    wrong: "allow-flip true",
    right: "allow-flip #true",
};

/// A `#word` that KDL does not know.
pub static UNKNOWN_KEYWORD: Finding = Finding {
    rule: "syntax/unknown-keyword",
    severity: Severity::Error,
    title: "a word with `#` before it is no keyword that a recipe can use",
    explanation: "Only `#true`, `#false` and `#null` start with `#`. A colour, a selector or a number sign goes in \
        quotes; infinite and undefined numbers have no place in a job.",
    wrong: "take #bird",
    right: "take \"#bird\"",
};

/// A number that is written in a way KDL has not.
pub static NUMBER_FORM: Finding = Finding {
    rule: "syntax/number-form",
    severity: Severity::Error,
    title: "a number is written in a form that is not read",
    explanation: "A number is digits with at most one `.` between them: `0.5`, not `.5`, `5.` or `0,5`. Thousands may be \
        parted by `_`. More than 30 digits are never measured.",
    wrong: "pieces 15. scale=.5",
    right: "pieces 15 scale=0.5",
};

/// `[` or `]`.
pub static LIST: Finding = Finding {
    rule: "syntax/list",
    severity: Severity::Error,
    title: "values are written as a list in brackets",
    explanation: "KDL has no lists. Several values follow each other on the line of their node, with blanks between \
        them.",
    wrong: "engrave [\"heron\", \"date\"]",
    right: "engrave \"heron\" \"date\"",
};

/// A comma between values.
pub static COMMA: Finding = Finding {
    rule: "syntax/comma",
    severity: Severity::Error,
    title: "values are parted by commas",
    explanation: "Values and properties are parted by blanks. A comma would become part of the value before it.",
    wrong: "engrave heron, date",
    right: "engrave heron date",
};

/// A colon behind a name.
pub static COLON: Finding = Finding {
    rule: "syntax/colon",
    severity: Severity::Error,
    title: "a name is followed by a colon",
    explanation: "A node is its name and its values with blanks between them; a property is `name=value`. A colon would \
        become part of the name.",
    wrong: "stock: \"birch-3\"",
    right: "stock \"birch-3\"",
};

/// Typographic or single quotes.
pub static WRONG_QUOTES: Finding = Finding {
    rule: "syntax/wrong-quotes",
    severity: Severity::Error,
    title: "a text is in typographic or single quotes",
    explanation: "Only the straight double quote `\"` encloses a text. Word processors and telephones like to replace \
        it; the others are taken for letters, and a text with blanks would fall apart into several values.",
    wrong: "about \u{201C}A tag\u{201D}",
    right: "about \"A tag\"",
};

/// A property without its value.
pub static MISSING_VALUE: Finding = Finding {
    rule: "syntax/missing-value",
    severity: Severity::Error,
    title: "nothing follows the `=` of a property",
    explanation: "A property is `name=value`, on one line. To leave a setting at its usual value, leave the whole \
        property out.",
    wrong: "offset \"halo\" of=\"heron\" by=",
    right: "offset \"halo\" of=\"heron\" by=\"2 mm\"",
};

/// A word without quotes, looked at by itself.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Word {
    /// A word that needs no quotes.
    Plain,
    /// A number.
    Number,
    /// `#true`, `#false` or `#null`.
    Keyword,
    /// A number that is meant, in the form KDL has for it.
    Misformed(String),
    /// More digits than anything that can be measured.
    TooManyDigits,
    /// Number and unit, as they should be written, without the quotes.
    Quantity(String),
    /// A fraction, to which a unit belongs.
    Fraction,
    /// `true`, `false` or `null`.
    BareKeyword,
    /// A `#` with another word.
    UnknownKeyword,
    /// A list, or a part of one.
    List,
    /// Ends with a comma.
    Comma,
    /// Cannot stand without quotes.
    NeedsQuotes,
}

/// What `word` is.
pub(super) fn classify(word: &str) -> Word {
    let digits = word.chars().filter(char::is_ascii_digit).count();
    if is_number(word) {
        return if digits > 30 { Word::TooManyDigits } else { Word::Number };
    }
    match word {
        "#true" | "#false" | "#null" => return Word::Keyword,
        "true" | "false" | "null" => return Word::BareKeyword,
        "inf" | "-inf" | "nan" => return Word::NeedsQuotes,
        _ => {}
    }
    if word.starts_with('#') {
        return Word::UnknownKeyword;
    }
    if word.contains(['[', ']']) {
        return Word::List;
    }
    if word.ends_with(',') {
        return Word::Comma;
    }
    if starts_like_a_number(word) {
        return number_like(word);
    }
    if word.contains(['/', '\\', '#']) { Word::NeedsQuotes } else { Word::Plain }
}

fn starts_like_a_number(word: &str) -> bool {
    let rest = word.strip_prefix(['+', '-']).unwrap_or(word);
    let rest = rest.strip_prefix('.').unwrap_or(rest);
    rest.starts_with(|c: char| c.is_ascii_digit())
}

/// A word that starts with a digit, a sign or a point but is no number in KDL.
fn number_like(word: &str) -> Word {
    let end = word.find(|c: char| !c.is_ascii_digit() && !matches!(c, '+' | '-' | '.' | ',' | '/' | '_'));
    let (number, unit) = word.split_at(end.unwrap_or(word.len()));
    // The slash of `5/min` belongs to the unit.
    let number = number.strip_suffix('/').filter(|_| !unit.is_empty()).unwrap_or(number);
    let Some(value) = repaired_number(number) else { return Word::NeedsQuotes };
    if number.len() == word.len() {
        return if value.contains('/') { Word::Fraction } else { Word::Misformed(value) };
    }
    match unit_symbol(&word[number.len()..]) {
        Some(symbol) => Word::Quantity(format!("{value} {symbol}")),
        None => Word::NeedsQuotes,
    }
}

/// `.5`, `5.`, `8,5` and `1/8` in the form a quantity has for them; `None` for what is no number at all.
fn repaired_number(written: &str) -> Option<String> {
    let (sign, rest) = match written.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", written.strip_prefix('+').unwrap_or(written)),
    };
    let plain = rest.replacen(',', ".", 1).replace('_', "");
    let plain = plain.strip_suffix('.').unwrap_or(&plain);
    let parts: Vec<&str> = plain.split('/').collect();
    let is_decimal = |p: &&str| {
        let point_free = p.replacen('.', "", 1);
        !point_free.is_empty() && point_free.chars().all(|c| c.is_ascii_digit()) && point_free.len() <= 12
    };
    if parts.len() > 2 || !parts.iter().all(is_decimal) {
        return None;
    }
    let zero = if plain.starts_with('.') { "0" } else { "" };
    Some(format!("{sign}{zero}{plain}"))
}

/// The one spelling of a unit, however it is written; `None` for other words.
pub(super) fn unit_symbol(word: &str) -> Option<&'static str> {
    match parse_unit(word) {
        Ok(unit) => Some(unit.symbol),
        Err(meant) => meant,
    }
}

/// The fraction of `1 1/2` or `1 1/2in`: the fraction, and the unit that touches it.
pub(super) fn fraction(word: &str) -> Option<(&str, Option<&'static str>)> {
    let top = word.bytes().take_while(u8::is_ascii_digit).count();
    let bottom = word.get(top..)?.strip_prefix('/')?.bytes().take_while(u8::is_ascii_digit).count();
    if top == 0 || bottom == 0 {
        return None;
    }
    let (fraction, unit) = word.split_at(top + 1 + bottom);
    if unit.is_empty() {
        return Some((fraction, None));
    }
    Some((fraction, Some(unit_symbol(unit)?)))
}

/// Whether KDL reads `word` as a number.
fn is_number(word: &str) -> bool {
    let rest = word.strip_prefix(['+', '-']).unwrap_or(word);
    let radix = rest.get(..2).map(str::to_ascii_lowercase);
    let digit: Option<fn(&char) -> bool> = match radix.as_deref() {
        Some("0x") => Some(char::is_ascii_hexdigit),
        Some("0o") => Some(|c| ('0'..='7').contains(c)),
        Some("0b") => Some(|c| matches!(c, '0' | '1')),
        _ => None,
    };
    if let Some(digit) = digit {
        return is_digits(&rest[2..], digit);
    }
    let (mantissa, exponent) = match rest.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent.strip_prefix(['+', '-']).unwrap_or(exponent))),
        None => (rest, None),
    };
    let (whole, decimals) = match mantissa.split_once('.') {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (mantissa, None),
    };
    [Some(whole), decimals, exponent].into_iter().flatten().all(|part| is_digits(part, char::is_ascii_digit))
}

/// A digit, then digits and `_`.
fn is_digits(text: &str, digit: fn(&char) -> bool) -> bool {
    text.starts_with(|c: char| digit(&c)) && text.chars().all(|c| c == '_' || digit(&c))
}

/// A property whose `=` is at `equals`.
pub(super) fn missing_value(equals: Span) -> Diagnostic {
    Diagnostic::new(&MISSING_VALUE, "this property has no value")
        .at(equals, "expected a value behind it")
        .repair("write the value directly behind the `=`, or leave the property out")
}

/// A text that needs quotes, with `quoted` as it should be written.
pub(super) fn needs_quotes(span: Span, written: &str, quoted: &str) -> Diagnostic {
    Diagnostic::new(&NEEDS_QUOTES, format!("`{written}` needs quotes"))
        .at(span, "is not a plain word")
        .repair_with(format!("write `{quoted}`"), span, quoted)
}

/// A quantity without quotes; `repaired` is the quantity as it should be written, without the quotes.
pub(super) fn quantity(span: Span, written: &str, repaired: &str) -> Diagnostic {
    let quoted = format!("\"{repaired}\"");
    Diagnostic::new(&QUANTITY_WITHOUT_QUOTES, format!("the quantity `{written}` has no quotes"))
        .at(span, "number and unit are one value")
        .repair_with(format!("write `{quoted}`"), span, quoted)
}

/// A fraction, to which a unit belongs.
pub(super) fn fraction_without_unit(span: Span, written: &str) -> Diagnostic {
    Diagnostic::new(&QUANTITY_WITHOUT_QUOTES, format!("the fraction `{written}` has no quotes"))
        .at(span, "number and unit are one value")
        .repair(format!("write it in quotes and with its unit, as in `\"{written} in\"`"))
}

/// A number in a form that is not read.
pub(super) fn misformed(span: Span, written: &str, repaired: &str) -> Diagnostic {
    let finding = Diagnostic::new(&NUMBER_FORM, format!("`{written}` is not read as a number"));
    let label = if written.contains(',') {
        "the decimal mark is a point"
    } else {
        "expected digits on both sides of the point"
    };
    finding.at(span, label).repair_with(format!("write `{repaired}`"), span, repaired)
}

/// A number that is too long.
pub(super) fn too_many_digits(span: Span) -> Diagnostic {
    Diagnostic::new(&NUMBER_FORM, "this number has more than 30 digits")
        .at(span, "longer than anything that can be measured")
        .repair("round it")
}

/// `true`, `false` or `null`.
pub(super) fn keyword_without_hash(span: Span, written: &str) -> Diagnostic {
    Diagnostic::new(&KEYWORD_WITHOUT_HASH, format!("`{written}` is written `#{written}`"))
        .at(span, format!("expected `#{written}`"))
        .repair_with(format!("write `#{written}`"), span, format!("#{written}"))
}

/// `#word`.
pub(super) fn unknown_keyword(span: Span, written: &str) -> Diagnostic {
    let lower = written.to_lowercase();
    let finding = Diagnostic::new(&UNKNOWN_KEYWORD, format!("`{written}` is not a keyword of a recipe"));
    match lower.as_str() {
        "#true" | "#false" | "#null" => finding.at(span, "keywords are written in small letters").repair_with(
            format!("write `{lower}`"),
            span,
            lower.clone(),
        ),
        "#inf" | "#-inf" | "#nan" => {
            finding.at(span, "no job is done with such a number").repair("write the number that is meant")
        }
        _ => {
            let quoted = format!("\"{written}\"");
            finding.at(span, "expected `#true`, `#false` or `#null`").repair_with(
                format!("write `{quoted}`, if it is a text"),
                span,
                quoted,
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_told_apart() {
        let quantity = |q: &str| Word::Quantity(q.to_owned());
        let misformed = |n: &str| Word::Misformed(n.to_owned());
        for (word, expected) in [
            ("heron", Word::Plain),
            ("birch-3", Word::Plain),
            ("-", Word::Plain),
            ("1_000", Word::Number),
            ("-0x1F", Word::Number),
            ("1e-5", Word::Number),
            ("8.5in", quantity("8.5 in")),
            ("40%", quantity("40 %")),
            ("5in/min", quantity("5 in/min")),
            ("1/8in", quantity("1/8 in")),
            ("3inches", quantity("3 in")),
            ("8,5mm", quantity("8.5 mm")),
            (".5", misformed("0.5")),
            ("-.5", misformed("-0.5")),
            ("5.", misformed("5")),
            ("8,5", misformed("8.5")),
            ("1/8", Word::Fraction),
            ("2027-08-14", Word::NeedsQuotes),
            ("12:30", Word::NeedsQuotes),
            ("3rd", Word::NeedsQuotes),
            ("art/heron.svg", Word::NeedsQuotes),
            ("true", Word::BareKeyword),
            ("#True", Word::UnknownKeyword),
            ("[1", Word::List),
            ("3,", Word::Comma),
        ] {
            assert_eq!(classify(word), expected, "{word}");
        }
        assert_eq!(classify(&"9".repeat(31)), Word::TooManyDigits);
    }
}
