//! A tagged PDF read back object by object: what must hold for it to be read aloud.
//!
//! Rules by ISO 32000-1, 14.6 to 14.8, and ISO 14289-1 (PDF/UA-1), clauses 7.1 to 7.6, from memory.

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::{BTreeMap, BTreeSet};

/// Operators that put something on the page (ISO 32000-1, table 51).
const PAINTING: [&str; 16] =
    ["Tj", "TJ", "'", "\"", "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "EI"];

/// An element of the structure.
#[derive(Debug)]
pub struct Element {
    /// Its structure type.
    pub kind: String,
    /// Its alternative text.
    pub alternative: Option<String>,
    /// The text that it stands for.
    pub actual: Option<String>,
    /// Elements in it, in order.
    pub kids: Vec<Element>,
    /// Stretches of content in it: page, from 0, and number there.
    pub contents: Vec<(usize, i64)>,
    id: ObjectId,
    attributes: Dictionary,
}

impl Element {
    /// This element and all in it, in reading order.
    pub fn all(&self) -> Vec<&Element> {
        std::iter::once(self).chain(self.kids.iter().flat_map(Self::all)).collect()
    }

    fn kinds(&self) -> Vec<&str> {
        self.kids.iter().map(|kid| kid.kind.as_str()).collect()
    }
}

/// Reads the structure of a file, and fails where a rule is broken.
pub fn read(name: &str, bytes: &[u8]) -> Element {
    let file = Document::load_mem(bytes).expect("it loads");
    let catalog = file.catalog().expect("there is one");
    let marked = dictionary(&file, catalog.get(b"MarkInfo").expect("it says that it is tagged"));
    assert!(marked.get(b"Marked").and_then(Object::as_bool).expect("said"), "{name}");
    let root = catalog.get(b"StructTreeRoot").and_then(Object::as_reference).expect("there is a structure");
    let tree = file.get_dictionary(root).expect("there");
    let pages: Vec<ObjectId> = file.page_iter().collect();
    let top = tree.get(b"K").and_then(Object::as_reference).expect("one element holds all others");
    let document = element(&file, &pages, top, root);
    assert_eq!(document.kind, "Document", "{name}");
    contents_belong(name, &file, &pages, tree, &document);
    headings_nest(name, &document);
    for one in document.all() {
        rules_of(name, one);
    }
    document
}

fn dictionary<'a>(file: &'a Document, object: &'a Object) -> &'a Dictionary {
    file.dereference(object).and_then(|(_, object)| object.as_dict()).expect("a dictionary")
}

fn element(file: &Document, pages: &[ObjectId], id: ObjectId, parent: ObjectId) -> Element {
    let own = file.get_dictionary(id).expect("an element");
    assert_eq!(own.get(b"P").and_then(Object::as_reference).expect("set"), parent, "every kid knows its parent");
    let text = |key: &[u8]| own.get(key).ok().map(|t| lopdf::decode_text_string(t).expect("a text"));
    let kind =
        String::from_utf8(own.get(b"S").and_then(Object::as_name).expect("a type").to_vec()).expect("a word");
    let page = own.get(b"Pg").and_then(Object::as_reference).ok();
    let kids: Vec<Object> = match own.get(b"K") {
        Ok(Object::Array(kids)) => kids.clone(),
        Ok(only) => vec![only.clone()],
        Err(_) => Vec::new(),
    };
    let number_of = |page: ObjectId| pages.iter().position(|p| *p == page).expect("a page of the file");
    let mut made = Element {
        kind,
        alternative: text(b"Alt"),
        actual: text(b"ActualText"),
        kids: Vec::new(),
        contents: Vec::new(),
        id,
        attributes: own.get(b"A").map(|a| dictionary(file, a).clone()).unwrap_or_default(),
    };
    for kid in kids {
        match kid {
            Object::Integer(number) => made.contents.push((number_of(page.expect("of a page")), number)),
            Object::Reference(kid) => made.kids.push(element(file, pages, kid, id)),
            Object::Dictionary(content) => {
                let page = content.get(b"Pg").and_then(Object::as_reference).expect("of a page");
                let number = content.get(b"MCID").and_then(Object::as_i64).expect("a number");
                made.contents.push((number_of(page), number));
            }
            other => panic!("no kid of an element: {other:?}"),
        }
    }
    made
}

/// Everything that is painted is an artifact, or content of an element that the tree holds; and all that the tree claims is
/// there.
fn contents_belong(name: &str, file: &Document, pages: &[ObjectId], tree: &Dictionary, document: &Element) {
    let numbers = dictionary(file, tree.get(b"ParentTree").expect("there"));
    let numbers = numbers.get(b"Nums").and_then(Object::as_array).expect("pairs");
    let parents: BTreeMap<i64, &Object> =
        numbers.chunks(2).map(|pair| (pair[0].as_i64().expect("a key"), &pair[1])).collect();
    let mut claimed: BTreeMap<(usize, i64), ObjectId> = BTreeMap::new();
    for one in document.all() {
        for content in &one.contents {
            assert!(claimed.insert(*content, one.id).is_none(), "{name}: {content:?} is claimed twice");
        }
    }
    let mut painted = BTreeSet::new();
    for (number, page) in pages.iter().enumerate() {
        let own = file.get_dictionary(*page).expect("a page");
        assert_eq!(own.get(b"Tabs").and_then(Object::as_name).expect("set"), b"S", "{name}: tab order");
        let key = own.get(b"StructParents").and_then(Object::as_i64).expect("set");
        let (_, parents) = file.dereference(parents[&key]).expect("there");
        let parents = parents.as_array().expect("one element for each stretch");
        for found in painted_on(name, file, *page) {
            let parent = parents[found as usize].as_reference().expect("an element");
            assert_eq!(claimed.get(&(number, found)), Some(&parent), "{name}, page {number}: stretch {found}");
            assert!(painted.insert((number, found)), "{name}, page {number}: stretch {found} comes twice");
        }
    }
    let missing: Vec<_> = claimed.keys().filter(|content| !painted.contains(content)).collect();
    assert!(missing.is_empty(), "{name}: claimed and not there: {missing:?}");
}

/// What a stretch of marked content is.
#[derive(Clone, Copy, PartialEq)]
enum Marked {
    Artifact,
    Content,
    Span,
}

/// The numbers of the stretches of a page; nothing is painted outside one or outside an artifact.
fn painted_on(name: &str, file: &Document, page: ObjectId) -> Vec<i64> {
    let bytes = file.get_page_content(page);
    let mut open: Vec<Marked> = Vec::new();
    let mut found = Vec::new();
    let mut in_text = false;
    for operation in Content::decode(&bytes).expect("it can be read").operations {
        match operation.operator.as_str() {
            "BT" => in_text = true,
            "ET" => in_text = false,
            "BDC" => {
                assert!(!in_text, "{name}: content is marked around texts, not within");
                let tag = operation.operands[0].as_name().expect("a tag");
                let properties = operation.operands[1].as_dict().expect("properties in place");
                let marked = match properties.get(b"MCID") {
                    Ok(number) => {
                        found.push(number.as_i64().expect("a number"));
                        Marked::Content
                    }
                    Err(_) if tag == b"Artifact" => Marked::Artifact,
                    Err(_) => Marked::Span,
                };
                let is_within = open.iter().any(|o| *o != Marked::Span);
                assert!(marked == Marked::Span || !is_within, "{name}: neither stands in the other");
                open.push(marked);
            }
            "EMC" => assert!(open.pop().is_some(), "{name}: what ends has begun"),
            painting if PAINTING.contains(&painting) => {
                assert!(open.iter().any(|o| *o != Marked::Span), "{name}: `{painting}` belongs to nothing");
            }
            _ => {}
        }
    }
    assert!(open.is_empty(), "{name}: what begins ends");
    found
}

/// One title; each further heading is at most one level below the one before it.
fn headings_nest(name: &str, document: &Element) {
    let level = |kind: &str| kind.strip_prefix('H').and_then(|n| n.parse::<usize>().ok());
    let levels: Vec<usize> = document.all().iter().filter_map(|one| level(&one.kind)).collect();
    assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1, "{name}: {levels:?}");
    assert_eq!(levels.first(), Some(&1), "{name}: {levels:?}");
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{name}: {levels:?}");
}

fn rules_of(name: &str, one: &Element) {
    let kinds = one.kinds();
    let only = |allowed: &[&str]| kinds.iter().all(|kind| allowed.contains(kind));
    let attribute = |key: &[u8]| one.attributes.get(key).ok();
    match one.kind.as_str() {
        "Document" | "Sect" => assert!(one.contents.is_empty() && !kinds.is_empty(), "{name}: {kinds:?}"),
        "Table" => {
            assert!(only(&["TR"]) && one.contents.is_empty(), "{name}: {kinds:?}");
            let head = &one.kids[0];
            assert!(head.kinds().iter().all(|kind| *kind == "TH"), "{name}: {:?}", head.kinds());
            for row in &one.kids[1..] {
                assert!(row.kinds().iter().all(|kind| *kind == "TD"), "{name}: {:?}", row.kinds());
                assert_eq!(row.kids.len(), head.kids.len(), "{name}: as many cells as the head has");
            }
        }
        "TR" => assert!(only(&["TH", "TD"]) && one.contents.is_empty(), "{name}: {kinds:?}"),
        "TH" => assert_eq!(attribute(b"Scope").expect("set").as_name().expect("a word"), b"Column", "{name}"),
        "L" => {
            assert!(only(&["LI"]) && one.contents.is_empty() && !kinds.is_empty(), "{name}: {kinds:?}");
        }
        "LI" => assert!(matches!(kinds.as_slice(), ["Lbl", "LBody"] | ["LBody"]), "{name}: {kinds:?}"),
        "Figure" => {
            assert!(one.alternative.as_ref().is_some_and(|text| 10 < text.len()), "{name}: {one:?}");
            let edges = attribute(b"BBox").expect("set").as_array().expect("four edges");
            let edges: Vec<f32> = edges.iter().map(|e| e.as_float().expect("a number")).collect();
            let on_page = edges.iter().all(|e| (-1.0..6000.0).contains(e));
            assert!(on_page && edges[0] < edges[2] && edges[1] < edges[3], "{name}: {edges:?}");
        }
        "H1" | "H2" | "H3" | "P" | "Lbl" | "Span" => assert!(only(&["Span"]), "{name}: {} {kinds:?}", one.kind),
        "TD" | "LBody" => assert!(only(&["P", "Figure", "Span", "L"]), "{name}: {} {kinds:?}", one.kind),
        other => panic!("{name}: no structure type that is written: {other}"),
    }
}
