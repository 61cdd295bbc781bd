//! Selectors: which elements of an artwork file are meant.
//!
//! The grammar is the part of CSS selectors that suits a drawing (W3C Selectors Level 4): tag, `#id`, `.class`,
//! `[attribute]`, `[attribute="value"]` and its `^=`, `$=`, `*=`, `~=` and `|=`, `:not(…)`, a space for "inside", `>`
//! for "directly inside", `+` for "right after", and a comma between several. `fill` and `stroke` are compared as
//! colours with what is really painted, and an attribute is found under any namespace, because editors keep
//! layer names in namespaces of their own.
//!
//! The library knows neither lists nor negation nor parts of attribute values. They are cut out of the text before
//! it sees it, and a made-up attribute stands in their place, which the matcher answers.

use crate::source::Span;
use roxmltree::Node;
use simplecss::{AttributeOperator, PseudoClass, SelectorToken, SelectorTokenizer};
use std::fmt;
use std::str::FromStr;

/// Made-up attributes that stand for what was cut out: no XML name can start with these, and the library takes them (it
/// refuses what is not ASCII up to U+00ED).
const NEGATION: char = '÷';
const PART_OF_VALUE: char = '←';
/// Negations inside negations, at most.
const DEEPEST: usize = 4;

/// One selector, checked when it was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selector {
    text: String,
    span: Option<Span>,
    alternatives: Vec<Alternative>,
}

/// One member of a comma list.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Alternative {
    /// What the library reads.
    text: String,
    /// What was cut out of it.
    extras: Vec<Extra>,
    /// Whether it says nothing but what is not meant.
    only_negates: bool,
}

/// What the library cannot read.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Extra {
    Not(Vec<Alternative>),
    Part { attribute: String, end: End, value: String },
}

/// Which part of an attribute's value is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Front,
    Back,
    Anywhere,
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
    pub(super) fn matcher(&self) -> Matcher<'_> {
        Matcher(self.alternatives.iter().filter_map(Alternative::matcher).collect())
    }

    /// The ids, classes and attribute values it asks for, to suggest near ones.
    pub(super) fn wanted_names(&self) -> Vec<String> {
        self.alternatives.iter().flat_map(Alternative::wanted_names).collect()
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
    if text.is_empty() {
        return fail("the selector is empty", Some("write `#id`, `.class`, a tag or `[label=\"name\"]`"));
    }
    Ok(Selector { text: text.to_owned(), span: None, alternatives: alternatives(text, DEEPEST)? })
}

const GRAMMAR: &str = "write a tag, `#id`, `.class`, `[attribute=\"value\"]` or `:not(…)`, with a space for inside, \
                       `>` for directly inside and a comma between several";

fn fail<T>(message: impl Into<String>, repair: Option<&str>) -> Result<T, SelectorError> {
    Err(SelectorError { message: message.into(), repair: repair.map(ToOwned::to_owned) })
}

/// The members of a comma list.
fn alternatives(text: &str, depth: usize) -> Result<Vec<Alternative>, SelectorError> {
    let mut all = Vec::new();
    let mut rest = text;
    loop {
        let end = find_outside(rest, |c| c == ',').unwrap_or(rest.len());
        all.push(alternative(rest[..end].trim(), depth)?);
        match rest.get(end + 1..) {
            Some(more) => rest = more,
            None => return Ok(all),
        }
    }
}

fn alternative(text: &str, depth: usize) -> Result<Alternative, SelectorError> {
    if text.is_empty() {
        return fail("a part of its list is missing", Some("write a selector on both sides of each comma"));
    }
    let mut extras = Vec::new();
    let text = cut_out(text, depth, &mut extras)?;
    for token in SelectorTokenizer::from(text.as_str()) {
        match token {
            Ok(SelectorToken::PseudoClass(name)) if name != "first-child" => {
                return fail(format!("`:{name}` is not among the selectors that work here"), Some(GRAMMAR));
            }
            Ok(SelectorToken::LangPseudoClass(_)) => {
                return fail("`:lang()` is not among the selectors that work here", Some(GRAMMAR));
            }
            Ok(_) => {}
            Err(error) => return fail(error.to_string().to_lowercase(), Some(GRAMMAR)),
        }
    }
    if simplecss::Selector::parse(&text).is_none() {
        return fail("a part of it is missing", Some(GRAMMAR));
    }
    let only_negates = only_negates(&text);
    Ok(Alternative { text, extras, only_negates })
}

/// The text with everything that the library cannot read moved to `extras`.
fn cut_out(text: &str, depth: usize, extras: &mut Vec<Extra>) -> Result<String, SelectorError> {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find([':', '[', '"', '\'']) {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let (seen, left) = if let Some(inner) = rest.strip_prefix(":not(") {
            let end = find_outside(inner, |c| c == ')');
            let Some(end) = end else {
                return fail("`:not(` is not closed", Some("close it: `path:not(#frame)`"));
            };
            if depth == 0 {
                return fail("`:not()` stands in too many others", Some(GRAMMAR));
            }
            extras.push(Extra::Not(alternatives(&inner[..end], depth - 1)?));
            (format!("[{NEGATION}{}]", extras.len() - 1), &inner[end + 1..])
        } else if let Some(inner) = rest.strip_prefix('[') {
            let Some(end) = find_outside(inner, |c| c == ']') else {
                return fail("`[` is not closed", Some("close it: `[label=\"Reeds\"]`"));
            };
            (bracket(&inner[..end], extras)?, &inner[end + 1..])
        } else {
            (rest[..1].to_owned(), &rest[1..])
        };
        out.push_str(&seen);
        rest = left;
    }
    Ok(out + rest)
}

/// What stands in brackets, as the library is to see it.
fn bracket(inner: &str, extras: &mut Vec<Extra>) -> Result<String, SelectorError> {
    let name_end = inner.find(['=', '~', '|', '^', '$', '*', '"', '\'']).unwrap_or(inner.len());
    let name = inner[..name_end].trim();
    if let Some((_, local)) = name.split_once(':') {
        return fail(
            "it names an attribute with a prefix",
            Some(&format!("leave the prefix out: `[{local}=…]` finds it under any prefix")),
        );
    }
    let comparison = &inner[name_end..];
    let end = match comparison.get(..2) {
        Some("^=") => End::Front,
        Some("$=") => End::Back,
        Some("*=") => End::Anywhere,
        _ => return Ok(format!("[{inner}]")),
    };
    if matches!(name, "fill" | "stroke") {
        return fail(
            "colours are compared as a whole",
            Some("write `[fill=\"#d40000\"]`, in any spelling of the colour"),
        );
    }
    let value = comparison[2..].trim().trim_matches(['"', '\'']).to_owned();
    extras.push(Extra::Part { attribute: name.to_owned(), end, value });
    Ok(format!("[{PART_OF_VALUE}{}]", extras.len() - 1))
}

/// The first character that `wanted` is true of, outside quotes, brackets and parentheses.
fn find_outside(text: &str, wanted: impl Fn(char) -> bool) -> Option<usize> {
    let (mut quote, mut depth) = (None, 0_usize);
    for (at, c) in text.char_indices() {
        match (quote, c) {
            (Some(open), _) if c == open => quote = None,
            (None, '"' | '\'') => quote = Some(c),
            (None, _) if depth == 0 && wanted(c) => return Some(at),
            (None, '(' | '[') => depth += 1,
            (None, ')' | ']') => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    None
}

/// Whether the last part of a selector holds negations and nothing else.
fn only_negates(text: &str) -> bool {
    let last = text.rsplit([' ', '>', '+']).next().unwrap_or_default().trim_start_matches('*');
    let bare = |part: &str| part.is_empty() || part.strip_suffix(']').is_some_and(|p| p.starts_with(NEGATION));
    last.starts_with('[') && last.split('[').all(bare)
}

impl Extra {
    fn matcher(&self) -> ExtraMatcher<'_> {
        match self {
            Self::Not(list) => ExtraMatcher::Not(list.iter().filter_map(Alternative::matcher).collect()),
            Self::Part { attribute, end, value } => ExtraMatcher::Part { attribute, end: *end, value },
        }
    }
}

impl Alternative {
    fn matcher(&self) -> Option<AlternativeMatcher<'_>> {
        Some(AlternativeMatcher {
            selector: simplecss::Selector::parse(&self.text)?,
            extras: self.extras.iter().map(Extra::matcher).collect(),
            only_negates: self.only_negates,
        })
    }

    fn wanted_names(&self) -> Vec<String> {
        let own = SelectorTokenizer::from(self.text.as_str()).filter_map(|token| match token.ok()? {
            SelectorToken::IdSelector(name)
            | SelectorToken::ClassSelector(name)
            | SelectorToken::TypeSelector(name)
            | SelectorToken::AttributeSelector(_, AttributeOperator::Matches(name)) => Some(name.to_owned()),
            _ => None,
        });
        let negated = self.extras.iter().flat_map(|extra| match extra {
            Extra::Not(list) => list.iter().flat_map(Self::wanted_names).collect(),
            Extra::Part { value, .. } => vec![value.clone()],
        });
        own.chain(negated).collect()
    }
}

/// A selector ready to be asked.
pub(super) struct Matcher<'s>(Vec<AlternativeMatcher<'s>>);

struct AlternativeMatcher<'s> {
    selector: simplecss::Selector<'s>,
    extras: Vec<ExtraMatcher<'s>>,
    only_negates: bool,
}

enum ExtraMatcher<'s> {
    Not(Vec<AlternativeMatcher<'s>>),
    Part { attribute: &'s str, end: End, value: &'s str },
}

/// What an element is filled and stroked with; `None` for elements that draw nothing themselves.
pub(super) type Paints<'a> = Option<(&'a Painted, &'a Painted)>;

impl Matcher<'_> {
    /// Whether it finds an element, which stands in `around`: the elements around it, through copies.
    pub(super) fn matches<'n, 'd>(&self, node: Node<'n, 'd>, paint: Paints, around: &[Node<'n, 'd>]) -> bool {
        self.0.iter().any(|alternative| alternative.matches(node, paint, around))
    }
}

impl AlternativeMatcher<'_> {
    fn matches<'n, 'd>(&self, node: Node<'n, 'd>, paint: Paints, around: &[Node<'n, 'd>]) -> bool {
        // In CSS, `:not(#frame)` is also true of the root, and so of all that is in it. What a maker means is
        // everything that is drawn, but neither is `#frame` nor stands in it.
        if self.only_negates && paint.is_none() && node.tag_name().name() != "image" {
            return false;
        }
        let around = if self.only_negates { around } else { &[] };
        self.selector.matches(&Candidate { node, paint, extras: &self.extras, around })
    }
}

/// An element as selectors see it.
#[derive(Clone, Copy)]
struct Candidate<'e, 'n, 'd> {
    /// The element, in the document as it was written.
    node: Node<'n, 'd>,
    paint: Paints<'e>,
    extras: &'e [ExtraMatcher<'e>],
    /// Elements around it that a negation is asked of as well.
    around: &'e [Node<'n, 'd>],
}

impl<'n, 'd> Candidate<'_, 'n, 'd> {
    fn other(&self, node: Node<'n, 'd>) -> Self {
        Self { node, paint: None, around: &[], ..*self }
    }

    /// The answer for a made-up attribute.
    fn extra_matches(&self, index: &str) -> bool {
        match index.parse().ok().and_then(|index: usize| self.extras.get(index)) {
            Some(ExtraMatcher::Not(list)) => {
                let found = |node, paint| list.iter().any(|a| a.matches(node, paint, &[]));
                !found(self.node, self.paint) && !self.around.iter().any(|node| found(*node, None))
            }
            Some(ExtraMatcher::Part { attribute, end, value }) => {
                let fits = |found: &str| match end {
                    End::Front => found.starts_with(value),
                    End::Back => found.ends_with(value),
                    End::Anywhere => found.contains(value),
                };
                !value.is_empty() && self.node.attributes().any(|a| a.name() == *attribute && fits(a.value()))
            }
            None => false,
        }
    }
}

impl simplecss::Element for Candidate<'_, '_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.node.parent_element().map(|node| self.other(node))
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.node.prev_sibling_element().map(|node| self.other(node))
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.node.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator<'_>) -> bool {
        if let Some(index) = name.strip_prefix([NEGATION, PART_OF_VALUE]) {
            return self.extra_matches(index);
        }
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
        for text in [
            "",
            "#a,",
            ":not(#a",
            "[label",
            "path:not()",
            "[x:label=\"Reeds\"]",
            "path:nth-child(2)",
            "[fill^=\"#d\"]",
            "> path",
            "##a",
        ] {
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
            "#a, #b",
            "path:not(.far, [fill=\"white\"]), [label^=\"Reed\"]",
            "[label=\"a, b) c\"]:not([id='x,y'])",
        ] {
            assert!(parse_selector(text).is_ok(), "{text}: {:?}", parse_selector(text).err());
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
