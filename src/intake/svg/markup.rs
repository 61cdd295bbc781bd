//! Elements written as text for the resolver.

use super::prepare::Writer;
use roxmltree::Node;
use simplecss::Declaration;
use std::fmt::Write as _;

/// What is never copied: resolved elsewhere, or not for the resolver.
const NEVER: [&str; 9] =
    ["id", "class", "style", "href", "filter", "mask", "requiredExtensions", "requiredFeatures", "systemLanguage"];

/// Changes to an element's attributes and style on their way to the resolver.
#[derive(Default)]
pub(super) struct Changes {
    /// Attributes and properties to leave out.
    pub without: Vec<&'static str>,
    /// Attributes to add.
    pub attributes: Vec<(&'static str, String)>,
    /// Properties to add to the style.
    pub properties: Vec<(&'static str, String)>,
}

impl Writer<'_, '_> {
    pub(super) fn open(&mut self, node: Node, name: &str, declared: &[Declaration], changes: &Changes) {
        let kept = |name: &str| !NEVER.contains(&name) && !changes.without.contains(&name);
        let _ = write!(self.body, "<{name}");
        for attribute in node.attributes().filter(|a| a.namespace().is_none()) {
            let given = changes.attributes.iter().any(|(n, _)| *n == attribute.name());
            if kept(attribute.name()) && !given && !attribute.name().starts_with("on") {
                attribute_to(&mut self.body, attribute.name(), attribute.value());
            }
        }
        for (name, value) in &changes.attributes {
            attribute_to(&mut self.body, name, value);
        }
        let mut style = String::new();
        for declaration in declared.iter().filter(|d| kept(d.name)) {
            let _ = write!(style, "{}:{};", declaration.name, declaration.value);
        }
        for (name, value) in &changes.properties {
            let _ = write!(style, "{name}:{value};");
        }
        if !style.is_empty() {
            attribute_to(&mut self.body, "style", &style);
        }
        self.body.push('>');
    }

    /// A nested drawing that only moves what is in it: its `x` and `y` may be in any unit.
    pub(super) fn open_place(&mut self, moved: &Changes) {
        self.body.push_str("<svg overflow=\"visible\"");
        for (name, value) in &moved.attributes {
            attribute_to(&mut self.body, name, value);
        }
        self.body.push('>');
    }

    pub(super) fn close(&mut self, name: &str) {
        let _ = write!(self.body, "</{name}>");
    }
}

fn attribute_to(out: &mut String, name: &str, value: &str) {
    let _ = write!(out, " {name}=\"");
    for c in value.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\r' | '\t' => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
}

/// Text between tags.
pub(super) fn text_to(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c => out.push(c),
        }
    }
}
