//! The XML beside the drawing: parsing, places and names of elements.

use crate::diagnostics::{ArtworkPlace, Finding, Severity};
use crate::geometry::Element;
use roxmltree::Node;
use std::collections::{BTreeMap, BTreeSet};

/// Namespace of SVG elements.
const SVG_NAMESPACE: &str = "http://www.w3.org/2000/svg";
/// Namespace of the older `href`.
const XLINK_NAMESPACE: &str = "http://www.w3.org/1999/xlink";

/// Elements nested deeper than this are refused: real drawings stay below 40.
pub(super) const MAX_DEPTH: usize = 400;
/// More nodes than this are refused: the largest real drawing met had 40 000.
const MAX_NODES: u32 = 1_000_000;

/// The file is not well-formed XML.
pub static MALFORMED: Finding = Finding {
    rule: "artwork/malformed",
    severity: Severity::Error,
    title: "an artwork file is not well-formed",
    explanation: "An SVG is XML: every tag is closed, every `&` is written `&amp;`, every attribute is quoted and \
                  stands once. A file that breaks this is usually cut short or was edited by hand. Nothing is taken \
                  from it, because a guess could leave half a drawing on the board.",
    wrong: "artwork \"heron\" file=\"art/cut-short.svg\"",
    right: "artwork \"heron\" file=\"art/heron.svg\"",
};

/// Elements are nested too deep.
pub static TOO_DEEP: Finding = Finding {
    rule: "artwork/too-deep",
    severity: Severity::Error,
    title: "elements of an artwork file are nested too deep",
    explanation: "Groups in groups, and elements used inside elements that are used, may stand 400 deep. Real \
                  drawings stay below 40; deeper files are broken exports or made to exhaust a program. Ungroup \
                  the drawing in its editor and save it again.",
    wrong: "artwork \"heron\" file=\"art/grouped-again-and-again.svg\"",
    right: "artwork \"heron\" file=\"art/heron.svg\"",
};

/// Namespaces are missing and were filled in.
pub static NAMESPACE_MISSING: Finding = Finding {
    rule: "artwork/namespace-missing",
    severity: Severity::Advice,
    title: "an artwork file lacks a namespace",
    explanation: "An SVG names the SVG namespace on its root element, and every prefix it uses. Browsers show nothing \
                  without them. Here the drawing is read all the same; other programs may refuse it.",
    wrong: "<svg width=\"10mm\" height=\"10mm\"></svg>",
    right: "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\" height=\"10mm\"></svg>",
};

/// Names a node of the document; ordered as in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct NodeId(u32);

/// The name of a node.
pub(super) fn id_of(node: Node) -> NodeId {
    NodeId(node.id().get())
}

/// A parsed file.
pub(super) struct Document<'t> {
    pub(super) xml: roxmltree::Document<'t>,
    /// Line and column of each node, by node id.
    places: Vec<(usize, usize)>,
    /// Lines, and the tags of which several elements stand in one.
    crowded: BTreeSet<(usize, String)>,
    /// The first element with each id.
    ids: BTreeMap<String, NodeId>,
    /// Elements whose id was given to an earlier one.
    pub(super) same_id: Vec<NodeId>,
    file: &'t str,
}

/// Why a text is no document: what to say, and where in the text.
#[derive(Debug)]
pub(super) struct XmlError {
    pub(super) finding: &'static Finding,
    pub(super) message: String,
    pub(super) place: Option<(usize, usize)>,
    pub(super) repair: &'static str,
}

/// Declares prefixes that the file uses without declaring them, which editors' leftovers often are.
/// Returns the prefixes it declared.
pub(super) fn declare_lost_prefixes(text: &mut String) -> Vec<String> {
    let mut added = Vec::new();
    while added.len() < 16 {
        let Err(roxmltree::Error::UnknownNamespace(prefix, _)) =
            roxmltree::Document::parse_with_options(text, options())
        else {
            break;
        };
        let Some(at) = root_name_end(text) else { break };
        let uri = match prefix.as_str() {
            "xlink" => XLINK_NAMESPACE,
            "svg" => SVG_NAMESPACE,
            _ => "urn:undeclared",
        };
        text.insert_str(at, &format!(" xmlns:{prefix}=\"{uri}\""));
        added.push(prefix);
    }
    added
}

/// The byte after the name in the root element's tag.
fn root_name_end(text: &str) -> Option<usize> {
    let mut from = 0;
    loop {
        let open = from + text[from..].find('<')?;
        let rest = &text[open..];
        if rest.starts_with("<!--") {
            from = open + rest.find("-->")? + 3;
        } else if rest.starts_with("<?") {
            from = open + rest.find("?>")? + 2;
        } else if rest.starts_with("<!") {
            // A document type may hold declarations of its own, in brackets.
            let end = match (rest.find('['), rest.find('>')?) {
                (Some(bracket), close) if bracket < close => rest.find(']')?,
                (_, close) => close,
            };
            from = open + end + 1;
        } else {
            let name = rest[1..].find(|c: char| c.is_whitespace() || c == '>' || c == '/')?;
            return Some(open + 1 + name);
        }
    }
}

fn options<'i>() -> roxmltree::ParsingOptions<'i> {
    roxmltree::ParsingOptions { allow_dtd: true, nodes_limit: MAX_NODES, entity_resolver: None }
}

/// Lines with the tags of which several elements without an id stand in them.
fn crowded(xml: &roxmltree::Document, places: &[(usize, usize)]) -> BTreeSet<(usize, String)> {
    let mut seen = BTreeSet::new();
    let nameless = xml.descendants().filter(|n| n.is_element() && n.attribute("id").is_none());
    let at = nameless.map(|n| (places[id_of(n).0 as usize].0, n.tag_name().name()));
    let again: BTreeSet<(usize, &str)> = at.filter(|place| !seen.insert(*place)).collect();
    again.into_iter().map(|(line, tag)| (line, tag.to_owned())).collect()
}

impl<'t> Document<'t> {
    /// Parses `text`, which came from `file`.
    pub(super) fn parse(text: &'t str, file: &'t str) -> Result<Self, XmlError> {
        let xml = roxmltree::Document::parse_with_options(text, options()).map_err(|e| explain(&e, text))?;
        let root = xml.root_element();
        if root.tag_name().name() != "svg" || !is_svg(root) {
            return Err(XmlError {
                finding: &super::decode::NOT_SVG,
                message: format!("is not SVG: its root element is `{}`", root.tag_name().name().escape_default()),
                place: Some(position(&xml, root.range().start)),
                repair: "export the drawing as SVG",
            });
        }
        check_depth(&xml)?;
        let places = all_places(&xml);
        let (mut ids, mut same_id) = (BTreeMap::new(), Vec::new());
        for (node, id) in xml.descendants().filter_map(|n| Some((n, n.attribute("id")?))) {
            if ids.contains_key(id) {
                same_id.push(id_of(node));
            } else {
                ids.insert(id.to_owned(), id_of(node));
            }
        }
        let crowded = crowded(&xml, &places);
        Ok(Self { xml, places, crowded, ids, same_id, file })
    }

    /// The file, as the recipe names it.
    pub(super) fn file(&self) -> &'t str {
        self.file
    }

    /// The node of a name.
    pub(super) fn node(&self, id: NodeId) -> Option<Node<'_, 't>> {
        self.xml.get_node(roxmltree::NodeId::new(id.0))
    }

    /// The name and place of an element, for people.
    pub(super) fn element(&self, id: NodeId) -> Element {
        let (line, column) = self.places[id.0 as usize];
        Element { name: self.name(id), line, column }
    }

    /// `#id` where the element has one, else its tag.
    pub(super) fn name(&self, id: NodeId) -> String {
        let Some(node) = self.node(id) else { return String::new() };
        match node.attribute("id") {
            Some(id) if !id.trim().is_empty() => format!("#{}", printable(id)),
            _ => node.tag_name().name().to_owned(),
        }
    }

    /// `#id` where the element has one, else its tag and line, with the column where others like it stand in that line:
    /// what tells it apart in a message.
    pub(super) fn label(&self, id: NodeId) -> String {
        let name = self.name(id);
        let (line, column) = self.places[id.0 as usize];
        match () {
            () if name.starts_with('#') => name,
            () if self.crowded.contains(&(line, name.clone())) => {
                format!("{name} in line {line}, column {column}")
            }
            () => format!("{name} in line {line}"),
        }
    }

    /// The place of an element.
    pub(super) fn place(&self, id: NodeId) -> ArtworkPlace {
        ArtworkPlace {
            file: self.file.to_owned(),
            figure: None,
            element: Some(self.label(id)),
            position: Some(self.places[id.0 as usize]),
            at: None,
        }
    }

    /// The place `offset` bytes into the value of an attribute.
    pub(super) fn place_in_attribute(&self, id: NodeId, attribute: &str, offset: usize) -> ArtworkPlace {
        let mut place = self.place(id);
        let found = self.node(id).and_then(|n| n.attribute_node(attribute));
        if let Some(attribute) = found {
            let range = attribute.range_value();
            place.position = Some(position(&self.xml, (range.start + offset).min(range.end)));
        }
        place
    }

    /// The element that a same-document reference leads to: the first with this id.
    pub(super) fn by_id(&self, id: &str) -> Option<Node<'_, 't>> {
        self.node(*self.ids.get(id)?)
    }
}

/// Whether a node is an SVG element; files without any namespace are taken at their word.
pub(super) fn is_svg(node: Node) -> bool {
    node.is_element() && matches!(node.tag_name().namespace(), None | Some(SVG_NAMESPACE))
}

/// The tag of an SVG element; empty for all other nodes.
pub(super) fn tag<'d>(node: Node<'_, 'd>) -> &'d str {
    if is_svg(node) { node.tag_name().name() } else { "" }
}

/// The `href` of an element: the plain one wins over the older `xlink:href`.
pub(super) fn href<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    let named = |namespace| node.attributes().find(move |a| a.name() == "href" && a.namespace() == namespace);
    named(None).or_else(|| named(Some(XLINK_NAMESPACE))).map(|a| a.value().trim())
}

/// Control characters out, and not too long: names go to terminals and job sheets.
fn printable(name: &str) -> String {
    let short: String = name.chars().take(60).collect();
    short.chars().map(|c| if c.is_control() { '?' } else { c }).collect()
}

fn check_depth(xml: &roxmltree::Document) -> Result<(), XmlError> {
    let mut depth: Vec<u32> = Vec::new();
    for node in xml.descendants() {
        let own = node.parent().map_or(0, |p| depth[p.id().get_usize()] + 1);
        depth.push(own);
        if node.is_element() && own as usize > MAX_DEPTH {
            return Err(XmlError {
                finding: &TOO_DEEP,
                message: format!("is nested too deep: more than {MAX_DEPTH} elements stand inside each other"),
                place: Some(position(xml, node.range().start)),
                repair: "ungroup the drawing in its editor and save it again",
            });
        }
    }
    Ok(())
}

/// Places of all nodes in one pass over the text; asking for each alone would take time squared.
fn all_places(xml: &roxmltree::Document) -> Vec<(usize, usize)> {
    let text = xml.input_text();
    let (mut at, mut line, mut column) = (0, 1, 1);
    let mut places = Vec::new();
    for node in xml.descendants() {
        let start = node.range().start;
        // Nodes that came out of an entity stand before the place that has been reached.
        if let Some(between) = text.get(at..start) {
            for c in between.chars() {
                (line, column) = if c == '\n' { (line + 1, 1) } else { (line, column + 1) };
            }
            at = start;
        }
        places.push((line, column));
    }
    places
}

fn position(xml: &roxmltree::Document, offset: usize) -> (usize, usize) {
    let at = xml.text_pos_at(offset);
    (at.row as usize, at.col as usize)
}

/// Says what the parser found in words for people who do not write XML.
fn explain(error: &roxmltree::Error, text: &str) -> XmlError {
    use roxmltree::Error as E;
    let (message, repair) = match error {
        E::NoRootNode => ("holds no element at all".to_owned(), "export the drawing as SVG"),
        E::UnexpectedEndOfStream | E::UnclosedRootNode => (
            "stops before its root element is closed".to_owned(),
            "save or download the file again; it is cut short",
        ),
        E::UnexpectedCloseTag(expected, found, _) => (
            format!("closes `{found}` where `{expected}` is still open"),
            "save the drawing again in its editor, or close the tags in order",
        ),
        E::UnknownEntityReference(name, _) => (
            format!(
                "uses the entity `&{name};`, which it does not define; entities from other files are never read"
            ),
            "write the character itself instead",
        ),
        E::MalformedEntityReference(_) => {
            ("holds an `&` that starts no entity".to_owned(), "write `&amp;` for it")
        }
        E::EntityReferenceLoop(_) => (
            "defines entities that expand without end".to_owned(),
            "do not use this file; it was made to exhaust programs that read it",
        ),
        E::DuplicatedAttribute(name, _) => {
            (format!("gives the attribute `{name}` twice on one element"), "delete one of the two")
        }
        E::UnknownNamespace(prefix, _) => (
            format!("uses the prefix `{prefix}` without declaring it"),
            "declare it on the root element, or save the drawing as plain SVG",
        ),
        E::NonXmlChar(c, _) => {
            (format!("holds the character U+{:04X}, which XML forbids", *c as u32), "delete that character")
        }
        E::NodesLimitReached | E::AttributesLimitReached | E::NamespacesLimitReached => {
            return XmlError {
                finding: &super::decode::TOO_LARGE,
                message: format!("holds more than {MAX_NODES} elements, comments and texts"),
                place: None,
                repair: "simplify the drawing in its editor",
            };
        }
        other => (format!("is not well-formed: {other}"), "save the drawing again in its editor"),
    };
    let place = match error {
        // These come without a place: the end of the file is where something is missing.
        E::NoRootNode | E::UnexpectedEndOfStream | E::UnclosedRootNode => {
            (text.matches('\n').count() + 1, text.rsplit('\n').next().unwrap_or_default().chars().count() + 1)
        }
        other => (other.pos().row as usize, other.pos().col as usize),
    };
    XmlError { finding: &MALFORMED, message, place: Some(place), repair }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_lines_and_characters() {
        let text = "<svg xmlns='http://www.w3.org/2000/svg'>\n  <!-- é --><path id='a'/>\n</svg>";
        let document = Document::parse(text, "a.svg").unwrap();
        let path = document.by_id("a").unwrap();
        assert_eq!(document.element(id_of(path)), Element { name: "#a".into(), line: 2, column: 13 });
    }

    #[test]
    fn lost_prefixes_are_declared_once_each() {
        let mut text =
            "<!DOCTYPE svg [<!ENTITY a \"b\">]><!-- <g> --><svg><use xlink:href='#a' odd:x='1'/></svg>".to_owned();
        assert_eq!(declare_lost_prefixes(&mut text), ["xlink", "odd"]);
        assert!(Document::parse(&text, "a.svg").is_ok(), "{text}");
    }

    #[test]
    fn faults_have_places() {
        let fault = |text: &str| Document::parse(text, "a.svg").map(|_| ()).unwrap_err();
        assert_eq!(fault("<svg>\n<g></svg>").place, Some((2, 4)));
        assert_eq!(fault("<svg>\n a & b</svg>").place, Some((2, 4)));
        assert!(fault("<svg a='1' a='2'/>").message.contains("twice"));
        assert!(fault("<svg><g>").message.contains("stops before"));
        assert_eq!(fault("<svg>\n<g>").place, Some((2, 4)));
        assert!(fault("<!-- nothing -->").message.contains("no element"));
        assert!(fault("<html/>").message.contains("`html`"));
        let external = "<!DOCTYPE svg [<!ENTITY x SYSTEM \"file:///etc/hostname\">]><svg><t>&x;</t></svg>";
        assert!(fault(external).message.contains("&x;"));
    }

    #[test]
    fn depth_is_bounded_with_a_place() {
        let text = format!("<svg>{}{}</svg>", "\n<g>".repeat(5000), "</g>".repeat(5000));
        let fault = Document::parse(&text, "a.svg").map(|_| ()).unwrap_err();
        assert_eq!(fault.finding.rule, "artwork/too-deep");
        assert_eq!(fault.place, Some((MAX_DEPTH + 1, 1)), "the svg is the first of them");
    }
}
