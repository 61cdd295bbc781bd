//! Selectors: which elements of an artwork file are meant.
//!
//! The grammar is the part of CSS selectors that suits a drawing: tag, `#id`, `.class`, `[attribute]`,
//! `[attribute="value"]`, a space for "inside" and `>` for "directly inside". `fill` and `stroke` are
//! compared as colours with what is really painted, and an attribute is found under any namespace, because
//! editors keep layer names in namespaces of their own.

use crate::source::Span;
use simplecss::{AttributeOperator, PseudoClass, SelectorToken, SelectorTokenizer};
use std::fmt;
use std::str::FromStr;

/// One selector, checked when it was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selector {
    text: String,
    span: Option<Span>,
}

/// Why a text is not a selector: lower case, no full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SelectorError {
    /// What is wrong.
    pub message: String,
    /// What to write instead, where that is known.
    pub repair: Option<String>,
}

/// What an element is painted with, as far as selectors care.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(super) enum Painted {
    /// Nothing.
    #[default]
    None,
    /// One colour.
    Colour([u8; 3]),
    /// A reference such as `url(#sky)`, as it was written.
    Other(String),
}

impl Selector {
    /// The selector as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The selector with the place where it is written.
    #[must_use]
    pub fn written_at(self, span: Span) -> Self {
        Self { span: Some(span), ..self }
    }

    /// Where it is written, if that was said.
    pub const fn span(&self) -> Option<Span> {
        self.span
    }

    /// Whether it is one id, class or tag and nothing else.
    pub(super) fn is_one_name(&self) -> bool {
        let name = self.text.trim_start_matches(['#', '.']);
        name.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_'))
    }

    /// Makes the matcher; it borrows from the selector, so it is made once for a whole document.
    pub(super) fn matcher(&self) -> Option<simplecss::Selector<'_>> {
        simplecss::Selector::parse(&self.text)
    }

    /// The ids, classes and attribute values it asks for, to suggest near ones.
    pub(super) fn wanted_names(&self) -> Vec<String> {
        SelectorTokenizer::from(self.text.as_str())
            .filter_map(|token| match token.ok()? {
                SelectorToken::IdSelector(name)
                | SelectorToken::ClassSelector(name)
                | SelectorToken::TypeSelector(name)
                | SelectorToken::AttributeSelector(_, AttributeOperator::Matches(name)) => Some(name.to_owned()),
                _ => None,
            })
            .collect()
    }
}

impl fmt::Display for Selector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// Reads a selector.
pub fn parse_selector(text: &str) -> Result<Selector, SelectorError> {
    let text = text.trim();
    let fail = |message: String, repair: Option<&str>| {
        Err(SelectorError { message, repair: repair.map(ToOwned::to_owned) })
    };
    if text.is_empty() {
        return fail("the selector is empty".into(), Some("write `#id`, `.class`, a tag or `[label=\"name\"]`"));
    }
    if text.contains(',') && !text.contains('"') && !text.contains('\'') {
        return fail(
            "it holds several selectors in one string".into(),
            Some("write each selector in its own quotes: `take \"#bird\" \".reeds\"`"),
        );
    }
    if let Some(name) = namespaced_attribute(text) {
        return fail(
            "it names an attribute with a prefix".into(),
            Some(&format!("leave the prefix out: `[{name}=…]` finds it under any prefix")),
        );
    }
    let mut tokenizer = SelectorTokenizer::from(text);
    for token in &mut tokenizer {
        match token {
            Ok(SelectorToken::PseudoClass(name)) if name != "first-child" => {
                return fail(format!("`:{name}` is not among the selectors that work here"), Some(GRAMMAR));
            }
            Ok(SelectorToken::LangPseudoClass(_)) => {
                return fail("`:lang()` is not among the selectors that work here".into(), Some(GRAMMAR));
            }
            Ok(_) => {}
            Err(error) => return fail(error.to_string().to_lowercase(), Some(GRAMMAR)),
        }
    }
    match simplecss::Selector::parse(text) {
        Some(_) => Ok(Selector { text: text.to_owned(), span: None }),
        None => fail("a part of it is missing".into(), Some(GRAMMAR)),
    }
}

const GRAMMAR: &str = "write a tag, `#id`, `.class`, `[attribute=\"value\"]`, with a space for inside and `>` for \
                       directly inside";

/// The local name in `[prefix:name…]`.
fn namespaced_attribute(text: &str) -> Option<&str> {
    let inner = text.split_once('[')?.1;
    let name = inner.split(['=', ']', '~', '|']).next()?;
    Some(name.split_once(':')?.1)
}

/// An element as selectors see it.
#[derive(Clone, Copy)]
pub(super) struct Candidate<'a, 'd> {
    /// The element, in the document as it was written.
    pub node: roxmltree::Node<'a, 'd>,
    /// What it is filled and stroked with; `None` for elements that draw nothing themselves.
    pub paint: Option<(&'a Painted, &'a Painted)>,
}

impl simplecss::Element for Candidate<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.node.parent_element().map(|node| Self { node, paint: None })
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.node.prev_sibling_element().map(|node| Self { node, paint: None })
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.node.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator<'_>) -> bool {
        match name {
            "fill" => self.paint.is_some_and(|(fill, _)| paint_matches(fill, operator)),
            "stroke" => self.paint.is_some_and(|(_, stroke)| paint_matches(stroke, operator)),
            _ => self.node.attributes().any(|a| a.name() == name && attribute_value_matches(a.value(), operator)),
        }
    }

    fn pseudo_class_matches(&self, class: PseudoClass<'_>) -> bool {
        class == PseudoClass::FirstChild && self.node.prev_sibling_element().is_none()
    }
}

/// Class lists may be spread over lines; otherwise as the library does it.
fn attribute_value_matches(value: &str, operator: AttributeOperator<'_>) -> bool {
    match operator {
        AttributeOperator::Contains(word) => value.split_ascii_whitespace().any(|w| w == word),
        other => other.matches(value),
    }
}

fn paint_matches(paint: &Painted, operator: AttributeOperator<'_>) -> bool {
    match operator {
        AttributeOperator::Exists => *paint != Painted::None,
        AttributeOperator::Matches(wanted) => {
            let wanted = wanted.trim();
            match paint {
                Painted::None => wanted == "none",
                Painted::Colour(rgb) => parse_colour(wanted) == Some(*rgb),
                Painted::Other(text) => text == wanted,
            }
        }
        AttributeOperator::Contains(_) | AttributeOperator::StartsWith(_) => false,
    }
}

/// A colour in any spelling that CSS knows.
pub(super) fn parse_colour(text: &str) -> Option<[u8; 3]> {
    let colour = svgtypes::Color::from_str(text).ok()?;
    Some([colour.red, colour.green, colour.blue])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_selector_is_refused_with_a_repair() {
        for text in ["", "#a, #b", "[x:label=\"Reeds\"]", "path:nth-child(2)", "[fill^=\"#d\"]", "> path", "##a"] {
            let error = parse_selector(text).expect_err(text);
            assert!(error.repair.is_some(), "{text}: {error:?}");
        }
    }

    #[test]
    fn the_promised_grammar_is_read() {
        for text in [
            "path",
            "*",
            "#bird",
            ".reeds",
            "[label=\"Reeds\"]",
            "[fill=\"#d40000\"]",
            "g.far > path",
            "#pond .reeds [stroke]",
            "path.a.b[fill='red']",
        ] {
            assert!(parse_selector(text).is_ok(), "{text}");
        }
    }

    #[test]
    fn colours_are_compared_not_spelt() {
        let red = Painted::Colour([255, 0, 0]);
        for spelling in ["red", "#f00", "#FF0000", "rgb(255,0,0)", "rgb(100%,0%,0%)"] {
            assert!(paint_matches(&red, AttributeOperator::Matches(spelling)), "{spelling}");
        }
        assert!(!paint_matches(&red, AttributeOperator::Matches("#d40000")));
        assert!(paint_matches(&Painted::None, AttributeOperator::Matches("none")));
    }
}
