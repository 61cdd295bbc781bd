//! Inputs inside texts: `{day}`, `{day:%d %B %Y}`, `{{` for a brace; and the condition of `when`.

use super::scope::{InputValue, Scope};
use jiff::civil::Date;
use jiff::fmt::strtime::BrokenDownTime;

/// Why a text or a condition cannot be read. Offsets are bytes from the start of the text.
#[derive(Clone, Debug, PartialEq)]
pub enum PatternError {
    /// A brace that is not closed.
    NotClosed {
        /// Where it opens.
        at: usize,
    },
    /// `{name}` is no input.
    UnknownInput {
        /// Where it opens.
        at: usize,
        /// Where it closes.
        end: usize,
        /// The name.
        name: String,
    },
    /// A date pattern behind something that is no date.
    NotADate {
        /// Where it opens.
        at: usize,
        /// Where it closes.
        end: usize,
        /// The input.
        name: String,
    },
    /// A date pattern that does not work.
    BadPattern {
        /// Where it opens.
        at: usize,
        /// Where it closes.
        end: usize,
        /// Why.
        why: String,
    },
    /// A condition that is neither a switch nor a comparison.
    NotACondition,
    /// An input that was wrong and has been reported.
    Poisoned,
}

/// Writes a date by a pattern of `%` letters (those of POSIX `strftime`).
pub fn format_date(date: Date, pattern: &str) -> Result<String, String> {
    let mut out = String::new();
    BrokenDownTime::from(date).format(pattern, &mut out).map_err(|e| e.to_string())?;
    Ok(out)
}

/// Replaces every `{input}` of a text.
pub fn expand_text(text: &str, scope: &Scope) -> Result<String, PatternError> {
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while let Some(next) = text[at..].find(['{', '}']) {
        let open = at + next;
        out.push_str(&text[at..open]);
        let sign = &text[open..=open];
        if text[open..].starts_with("{{") || text[open..].starts_with("}}") {
            out.push_str(sign);
            at = open + 2;
        } else if sign == "}" {
            out.push('}');
            at = open + 1;
        } else {
            let end = text[open..].find('}').map(|l| open + l + 1).ok_or(PatternError::NotClosed { at: open })?;
            out.push_str(&substitute(&text[open + 1..end - 1], open, end, scope)?);
            at = end;
        }
    }
    out.push_str(&text[at..]);
    Ok(out)
}

fn substitute(inside: &str, at: usize, end: usize, scope: &Scope) -> Result<String, PatternError> {
    let (name, pattern) = inside.split_once(':').map_or((inside, None), |(n, p)| (n, Some(p)));
    let name = name.trim();
    let entry = scope.get(name).ok_or_else(|| PatternError::UnknownInput { at, end, name: name.to_owned() })?;
    let value = entry.value.as_ref().ok_or(PatternError::Poisoned)?;
    match (value, pattern) {
        (InputValue::Date(date), _) => format_date(*date, pattern.unwrap_or("%Y-%m-%d"))
            .map_err(|why| PatternError::BadPattern { at, end, why }),
        (_, Some(_)) => Err(PatternError::NotADate { at, end, name: name.to_owned() }),
        (InputValue::Text(text), None) => Ok(text.clone()),
        (InputValue::Quantity(quantity), None) => Ok(quantity.to_string()),
        (InputValue::Flag(flag), None) => Ok(if *flag { "yes" } else { "no" }.to_owned()),
        (InputValue::File { path, .. }, None) => Ok(path.clone()),
    }
}

/// What `when` asks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Condition {
    /// The node counts.
    Holds,
    /// The node is left out.
    Fails,
}

/// Reads `"{tray}"`, `"{level} == hard"` or `"{level} != hard"`.
pub(super) fn condition(text: &str, scope: &Scope) -> Result<Condition, PatternError> {
    let end = text.find('}').ok_or(PatternError::NotACondition)?;
    let name = text.strip_prefix('{').ok_or(PatternError::NotACondition)?[..end - 1].trim();
    let entry = scope.get(name).ok_or_else(|| PatternError::UnknownInput {
        at: 0,
        end: end + 1,
        name: name.to_owned(),
    })?;
    let value = entry.value.as_ref().ok_or(PatternError::Poisoned)?;
    let rest = text[end + 1..].trim();
    let answer = match (value, rest) {
        (InputValue::Flag(flag), "") => *flag,
        (_, "") => return Err(PatternError::NotACondition),
        (value, rest) => {
            let (equal, word) = match (rest.strip_prefix("=="), rest.strip_prefix("!=")) {
                (Some(word), _) => (true, word.trim()),
                (_, Some(word)) => (false, word.trim()),
                _ => return Err(PatternError::NotACondition),
            };
            let InputValue::Text(held) = value else { return Err(PatternError::NotACondition) };
            (held == word) == equal
        }
    };
    Ok(if answer { Condition::Holds } else { Condition::Fails })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schema::ScopeEntry;
    use crate::source::{SourceId, Span};

    fn scope() -> Scope {
        let span = Span::new(SourceId(0), 0, 0);
        let mut scope = Scope::default();
        let mut add = |name: &str, value| scope.declare(name, ScopeEntry { value: Some(value), span });
        add("day", InputValue::Date(Date::constant(2027, 8, 4)));
        add("level", InputValue::Text("hard".to_owned()));
        add("tray", InputValue::Flag(false));
        scope
    }

    #[test]
    fn dates_follow_posix_letters() {
        // POSIX.1-2017, strftime: %d two digits, %B full month name, %Y year (from memory).
        assert_eq!(expand_text("on {day:%d %B %Y}", &scope()).unwrap(), "on 04 August 2027");
        assert_eq!(expand_text("{day:%-d %B}", &scope()).unwrap(), "4 August");
        assert_eq!(expand_text("{day}", &scope()).unwrap(), "2027-08-04");
    }

    #[test]
    fn braces_can_be_written() {
        assert_eq!(expand_text("a {{b}} {level}", &scope()).unwrap(), "a {b} hard");
        assert_eq!(expand_text("{day", &scope()), Err(PatternError::NotClosed { at: 0 }));
    }

    #[test]
    fn conditions_compare_words_and_switches() {
        assert_eq!(condition("{tray}", &scope()), Ok(Condition::Fails));
        assert_eq!(condition("{level} == hard", &scope()), Ok(Condition::Holds));
        assert_eq!(condition("{level} != hard", &scope()), Ok(Condition::Fails));
        assert_eq!(condition("{level} > 3", &scope()), Err(PatternError::NotACondition));
    }
}
