//! CSS: which properties each element has, and what it is painted with.

use super::document::{Document, NodeId, id_of};
use crate::intake::select::{Painted, parse_colour};
use roxmltree::Node;
use simplecss::{AttributeOperator, Declaration, DeclarationTokenizer, PseudoClass, StyleSheet};

/// The style sheets of a document.
pub(super) struct Cascade<'a> {
    sheet: StyleSheet<'a>,
    /// What the sheets hold that is not understood (at-rules, selectors, variables), and where.
    pub(super) not_understood: Vec<(NodeId, String)>,
}

/// What an element declares and inherits, as far as it matters here.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Style {
    /// Inherited: what it is filled with.
    pub fill: Painted,
    /// Inherited: what it is stroked with.
    pub stroke: Painted,
    /// Inherited: the `color` that `currentColor` means.
    colour: [u8; 3],
    /// Inherited: `visibility` is not `visible`.
    pub invisible: bool,
    /// Own or from above: `display: none`, or an opacity of nothing.
    pub removed: bool,
    /// Own references, as written: `url(#…)`.
    pub filter: Option<String>,
    /// Own mask.
    pub mask: Option<String>,
    /// Own clip path.
    pub clip_path: Option<String>,
}

impl Style {
    /// What the root element inherits: black fill, no stroke.
    pub(super) fn initial() -> Self {
        Self { fill: Painted::Colour([0, 0, 0]), ..Self::default() }
    }

    /// The style for what is shown wherever it stands.
    pub(super) fn in_use(self) -> Self {
        Self { removed: false, ..self }
    }

    /// Whether nothing of it can be seen.
    pub(super) fn hidden(&self) -> bool {
        self.removed || self.invisible
    }
}

impl<'a> Cascade<'a> {
    /// Collects the style sheets of a document.
    pub(super) fn new(document: &'a Document) -> Self {
        let mut sheet = StyleSheet::new();
        let mut not_understood = Vec::new();
        for style in document.xml.descendants().filter(|n| n.tag_name().name() == "style") {
            let is_css = style.attribute("type").is_none_or(|t| t.trim().is_empty() || t.starts_with("text/css"));
            // The text may be split by comments and CDATA sections.
            for text in style.children().filter_map(|c| if c.is_text() { c.text() } else { None }) {
                if is_css {
                    sheet.parse_more(text);
                    not_understood.extend(unknown_in(text).into_iter().map(|what| (id_of(style), what)));
                }
            }
        }
        Self { sheet, not_understood }
    }

    /// Declarations from sheets and the `style` attribute, in the order in which the last one wins, save for
    /// `!important` ones, which win over later plain ones.
    pub(super) fn declarations<'s>(&'s self, node: Node<'s, '_>) -> Vec<Declaration<'s>> {
        let matching = self.sheet.rules.iter().filter(|rule| rule.selector.matches(&CssNode(node)));
        let own = DeclarationTokenizer::from(node.attribute("style").unwrap_or_default());
        let mut winners: Vec<Declaration> = Vec::new();
        for new in matching.flat_map(|rule| rule.declarations.iter().copied()).chain(own) {
            match winners.iter_mut().find(|d| d.name == new.name) {
                Some(old) if old.important && !new.important => {}
                Some(old) => *old = new,
                None => winners.push(new),
            }
        }
        winners
    }
}

impl Style {
    /// The style of an element, given what is declared for it and what it inherits.
    pub(super) fn of(node: Node, declared: &[Declaration], parent: &Self) -> Self {
        let value = |name: &str| {
            let in_css = declared.iter().find(|d| d.name == name).map(|d| d.value.trim());
            let plain = || node.attributes().find(|a| a.name() == name && a.namespace().is_none());
            in_css.or_else(|| plain().map(|a| a.value().trim()))
        };
        let colour = value("color").and_then(parse_colour).unwrap_or(parent.colour);
        let paint = |name, inherited: &Painted, fallback: Painted| match value(name) {
            None | Some("inherit") => inherited.clone(),
            Some(text) => parse_paint(text, colour).unwrap_or(fallback),
        };
        let own_url = |name| value(name).filter(|v| *v != "none").map(ToOwned::to_owned);
        let opacity = value("opacity").map_or(1.0, parse_opacity);
        Self {
            fill: paint("fill", &parent.fill, Painted::Colour([0, 0, 0])),
            stroke: paint("stroke", &parent.stroke, Painted::None),
            colour,
            invisible: match value("visibility") {
                None | Some("inherit") => parent.invisible,
                Some(v) => v != "visible",
            },
            removed: parent.removed || value("display") == Some("none") || opacity <= 0.0,
            filter: own_url("filter"),
            mask: own_url("mask"),
            clip_path: own_url("clip-path"),
        }
    }
}

/// A paint in any spelling; `None` when it is no paint at all.
fn parse_paint(text: &str, current: [u8; 3]) -> Option<Painted> {
    match text {
        "none" | "transparent" => Some(Painted::None),
        "currentColor" | "currentcolor" => Some(Painted::Colour(current)),
        _ if text.starts_with("url(") || text.starts_with("context-") => Some(Painted::Other(text.to_owned())),
        _ => parse_colour(text).map(Painted::Colour),
    }
}

fn parse_opacity(text: &str) -> f64 {
    let (number, share) = text.strip_suffix('%').map_or((text, 1.0), |n| (n, 100.0));
    number.trim().parse().map_or(1.0, |n: f64| n / share)
}

/// The id in `url(#id)`, with or without quotes.
pub(super) fn url_target(text: &str) -> Option<&str> {
    let inner = text.trim().strip_prefix("url(")?.split(')').next()?;
    inner.trim().trim_matches(['"', '\'']).trim().strip_prefix('#')
}

/// Finds what the CSS reader would skip without a word.
fn unknown_in(text: &str) -> Vec<String> {
    let text = without_comments(text);
    let mut found: Vec<String> = Vec::new();
    let mut note = |what: String| {
        if !found.contains(&what) && found.len() < 8 {
            found.push(what);
        }
    };
    for (at, _) in text.match_indices('@') {
        let name: String = text[at..].chars().skip(1).take_while(|c| c.is_alphanumeric() || *c == '-').collect();
        if !name.is_empty() {
            note(format!("@{name}"));
        }
    }
    if text.contains("var(") {
        note("var()".to_owned());
    }
    let mut depth = 0_usize;
    for piece in text.split_inclusive(['{', '}']) {
        if let Some(selectors) = piece.strip_suffix('{') {
            let is_rule = depth == 0 && !selectors.contains(['@', ';']);
            for selector in selectors.split(',').map(str::trim).filter(|s| is_rule && !s.is_empty()) {
                if simplecss::Selector::parse(selector).is_none() {
                    note(selector.chars().take(40).collect());
                }
            }
            depth += 1;
        } else {
            depth = depth.saturating_sub(1);
        }
    }
    found
}

fn without_comments(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("/*") {
        out.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, r)| r);
    }
    out + rest
}

/// An element as the document's own style sheets see it.
struct CssNode<'a, 'd>(Node<'a, 'd>);

impl simplecss::Element for CssNode<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(CssNode)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(CssNode)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator<'_>) -> bool {
        match (self.0.attribute(name), operator) {
            (Some(value), AttributeOperator::Contains(word)) => value.split_ascii_whitespace().any(|w| w == word),
            (Some(value), other) => other.matches(value),
            (None, _) => false,
        }
    }

    fn pseudo_class_matches(&self, class: PseudoClass<'_>) -> bool {
        class == PseudoClass::FirstChild && self.prev_sibling_element().is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn style_of(body: &str) -> Style {
        let text = format!("<svg xmlns='http://www.w3.org/2000/svg'>{body}</svg>");
        let document = Document::parse(&text, "a.svg").unwrap();
        let cascade = Cascade::new(&document);
        let node = document.by_id("x").unwrap();
        let mut style = Style::initial();
        let mut line: Vec<_> = node.ancestors().filter(Node::is_element).collect();
        line.reverse();
        for node in line {
            style = Style::of(node, &cascade.declarations(node), &style);
        }
        style
    }

    #[test]
    fn sheets_beat_attributes_and_the_style_attribute_beats_sheets() {
        let sheet = "<style>#x{fill:blue} path{fill:green;stroke:red !important}</style>";
        let style = style_of(&format!("{sheet}<path id='x' fill='white' stroke='none'/>"));
        assert_eq!(style.fill, Painted::Colour([0, 0, 255]));
        assert_eq!(style.stroke, Painted::Colour([255, 0, 0]));
        let style = style_of(&format!("{sheet}<path id='x' style='fill:#123456;stroke:none'/>"));
        assert_eq!(style.fill, Painted::Colour([0x12, 0x34, 0x56]));
        assert_eq!(style.stroke, Painted::Colour([255, 0, 0]), "important stays");
    }

    #[test]
    fn paint_and_visibility_are_inherited() {
        let style = style_of("<g color='red' fill='currentColor' visibility='hidden'><path id='x'/></g>");
        assert_eq!(style.fill, Painted::Colour([255, 0, 0]));
        assert!(style.hidden());
        assert!(style_of("<g display='none'><path id='x' display='inline'/></g>").hidden());
        assert!(!style_of("<g visibility='hidden'><path id='x' visibility='visible'/></g>").hidden());
        assert!(style_of("<path id='x' style='opacity:0%'/>").hidden());
    }

    #[test]
    fn what_is_skipped_is_named() {
        let found = unknown_in("/* @none */ @media print{a{b:c}} path:nth-child(2){fill:var(--ink)} .ok, g > a{}");
        assert_eq!(found, ["@media", "var()", "path:nth-child(2)"]);
    }
}
