//! What a drawing holds, for people who want to take it apart: its page, parts, colours, texts and pictures.

use super::cascade::{Cascade, Style};
use super::document::{Document, is_svg, tag};
use super::embedded::{EmbeddedPicture, embedded_pictures};
use super::prepare::{is_definition, is_shape};
use super::{Job, SvgArtwork, SvgRequest, decode, read_svg};
use crate::diagnostics::Sink;
use crate::intake::budget;
use crate::intake::select::parse_selector;
use roxmltree::Node;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Parts that are listed at most.
const MOST_PARTS: usize = 5_000;
/// Characters of a text that are shown.
const TEXT_SHOWN: usize = 60;

/// What a drawing holds.
#[derive(Clone, Debug)]
pub struct Inventory {
    /// What it draws, all of it; `None` when that is nothing.
    pub artwork: Option<SvgArtwork>,
    /// How many elements of each tag it draws.
    pub counts: BTreeMap<String, usize>,
    /// Its named parts, each after the part that it stands in.
    pub parts: Vec<PartListed>,
    /// Its texts.
    pub texts: Vec<TextListed>,
    /// The pictures embedded in it.
    pub pictures: Vec<EmbeddedPicture>,
}

/// A part that can be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartListed {
    /// A selector that finds it.
    pub selector: String,
    /// The name that its editor shows.
    pub label: Option<String>,
    /// Its tag.
    pub tag: String,
    /// Named parts around it.
    pub depth: usize,
    /// Shapes, texts and pictures in it.
    pub shapes: usize,
}

/// A text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextListed {
    /// `#id`, or tag and line.
    pub element: String,
    /// What it says.
    pub text: String,
    /// The font families it asks for, as written.
    pub family: Option<String>,
}

/// Lists what a drawing holds; `None` when it cannot be read.
pub fn inventory(request: &SvgRequest, sink: &mut Sink) -> Option<Inventory> {
    let artwork = read_svg(request, sink);
    let job = Job::of(request, Arc::default());
    let listed = budget::run(budget::BUDGET, move || job.listed()).ok().flatten()?;
    Some(Inventory { artwork, pictures: embedded_pictures(request), ..listed })
}

impl Job {
    fn listed(&self) -> Option<Inventory> {
        let mut text = decode::text(&self.bytes).ok()?;
        super::document::declare_lost_prefixes(&mut text);
        let document = Document::parse(&text, &self.file).ok()?;
        let cascade = Cascade::new(&document);
        let mut listing = Listing {
            document: &document,
            cascade: &cascade,
            counts: BTreeMap::new(),
            parts: Vec::new(),
            texts: Vec::new(),
        };
        listing.children(document.xml.root_element(), 0, None, &Style::initial());
        Some(Inventory {
            artwork: None,
            counts: listing.counts,
            parts: listing.parts,
            texts: listing.texts,
            pictures: Vec::new(),
        })
    }
}

struct Listing<'a, 'd> {
    document: &'a Document<'d>,
    cascade: &'a Cascade<'a>,
    counts: BTreeMap<String, usize>,
    parts: Vec<PartListed>,
    texts: Vec<TextListed>,
}

impl<'a, 'd> Listing<'a, 'd> {
    /// Lists what stands in an element. Tells how many shapes that are.
    fn children(&mut self, node: Node<'a, 'd>, depth: usize, family: Option<&str>, around: &Style) -> usize {
        let mut shapes = 0;
        for child in node.children().filter(|n| is_svg(*n) && !is_definition(tag(*n))) {
            let declared = self.cascade.declarations(child);
            let style = Style::of(child, &declared, around);
            if style.removed {
                continue;
            }
            let own = declared.iter().find(|d| d.name == "font-family").map(|d| d.value);
            let family = own.or_else(|| child.attribute("font-family")).or(family);
            let name = tag(child);
            let is_leaf = is_shape(name) || matches!(name, "text" | "image" | "use");
            if !is_leaf && !matches!(name, "g" | "a" | "svg" | "switch") {
                continue;
            }
            let at = self.parts.len();
            let named = if at < MOST_PARTS { selector_of(child) } else { None };
            if let Some(selector) = named.clone() {
                let label = child.attributes().find(|a| a.name() == "label").map(|a| a.value().to_owned());
                self.parts.push(PartListed { selector, label, tag: name.to_owned(), depth, shapes: 0 });
            }
            let own = if is_leaf {
                *self.counts.entry(name.to_owned()).or_default() += 1;
                self.text(child, name, family);
                1
            } else {
                self.children(child, depth + usize::from(named.is_some()), family, &style)
            };
            if named.is_some() {
                self.parts[at].shapes = own;
            }
            shapes += own;
        }
        shapes
    }

    fn text(&mut self, node: Node<'a, 'd>, name: &str, family: Option<&str>) {
        if name != "text" {
            return;
        }
        let whole: String = node.descendants().filter_map(|n| if n.is_text() { n.text() } else { None }).collect();
        let words: Vec<&str> = whole.split_whitespace().collect();
        let text: String = words.join(" ").chars().filter(|c| !c.is_control()).take(TEXT_SHOWN).collect();
        // Words inside may ask for fonts of their own; the first one asked for stands for all.
        let inner = node.descendants().find_map(|n| n.attribute("font-family"));
        let family = family.or(inner).map(|f| f.replace(['"', '\''], ""));
        self.texts.push(TextListed { element: self.document.label(super::id_of(node)), text, family });
    }
}

/// A selector for an element by its id, its editor's label or its first class.
fn selector_of(node: Node) -> Option<String> {
    let value = |name: &str| node.attributes().find(|a| a.name() == name).map(|a| a.value().trim());
    let quoted = |name: &str, value: &str| {
        let selector = format!("[{name}=\"{value}\"]");
        (!value.contains('"') && !value.chars().any(char::is_control) && parse_selector(&selector).is_ok())
            .then_some(selector)
    };
    let is_plain = |name: &str| {
        name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'))
            && name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_')
    };
    if let Some(id) = value("id").filter(|v| !v.is_empty()) {
        return if is_plain(id) { Some(format!("#{id}")) } else { quoted("id", id) };
    }
    if let Some(label) = value("label").filter(|v| !v.is_empty()) {
        return quoted("label", label);
    }
    let class = value("class")?.split_ascii_whitespace().next()?;
    is_plain(class).then(|| format!(".{class}"))
}
