//! The structure tree: which content of which page belongs to which element, and the objects that say so.
//!
//! In: what begins and ends while pages are painted, and where content stands. Out: the objects of the tree in the file
//! (ISO 32000-1, 14.7 and 14.8).
//!
//! Invariant: a text that nobody tagged becomes a paragraph of its own, so that nothing that can be read is lost.

use super::fragment::POINT;
use super::structure::{Artifact, Figure, Role, Tag};
use kurbo::Rect;
use lopdf::{Dictionary, Object, ObjectId, StringFormat, dictionary};

/// Where a mark belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// To the element of that number.
    Element(usize),
    /// To none.
    Artifact(Artifact),
}

/// An element in the making.
struct Element {
    role: Role,
    parent: Option<usize>,
    kids: Vec<Kid>,
    /// Height of the page that it begins on, in mm: PDF counts from the lower edge.
    page_height: f64,
}

/// What an element holds.
enum Kid {
    Element(usize),
    /// A stretch of a page's content, by its number there.
    Content {
        page: usize,
        number: usize,
    },
}

/// The tree in the making; the first element holds all others.
pub(super) struct Tree {
    elements: Vec<Element>,
    open: Vec<Place>,
    /// The paragraph that takes untagged texts, until something else begins or ends.
    implied: Option<usize>,
    /// For each page, the element of each stretch of its content.
    pages: Vec<Vec<usize>>,
    page_height: f64,
}

impl Tree {
    pub fn new() -> Self {
        let document = Element { role: Role::Section, parent: None, kids: Vec::new(), page_height: 0.0 };
        Self { elements: vec![document], open: Vec::new(), implied: None, pages: Vec::new(), page_height: 0.0 }
    }

    /// Goes on to the next page, its height in mm; what is open stays open.
    pub fn turn(&mut self, height: f64) {
        self.pages.push(Vec::new());
        self.page_height = height;
        self.implied = None;
    }

    /// Begins an element or an artifact in the one that is open. Within a drawing or an artifact all belongs to that.
    pub fn begin(&mut self, tag: &Tag) {
        self.implied = None;
        let place = match (self.top(), tag) {
            (Place::Artifact(kind), _) => Place::Artifact(kind),
            (Place::Element(around), _) if self.elements[around].role.is_drawn() => Place::Element(around),
            (Place::Element(_), Tag::Artifact(kind)) => Place::Artifact(*kind),
            (Place::Element(around), Tag::Element(role)) => Place::Element(self.add(around, role.clone())),
        };
        self.open.push(place);
    }

    /// Ends what was begun last.
    pub fn end(&mut self) {
        self.implied = None;
        self.open.pop();
    }

    /// Begins a stretch of text whose glyphs do not tell it in its order.
    pub fn begin_span(&mut self, text: &str) {
        let place = match self.place_of_text() {
            Place::Element(around) if !self.elements[around].role.is_drawn() => {
                Place::Element(self.add(around, Role::Span(text.to_owned())))
            }
            place => place,
        };
        self.open.push(place);
    }

    /// Ends such a stretch.
    pub fn end_span(&mut self) {
        self.open.pop();
    }

    /// Where a text belongs.
    pub fn place_of_text(&mut self) -> Place {
        let Place::Element(top) = self.top() else { return self.top() };
        if !self.elements[top].role.is_grouping() {
            return Place::Element(top);
        }
        let paragraph = self.implied.unwrap_or_else(|| self.add(top, Role::Paragraph));
        self.implied = Some(paragraph);
        Place::Element(paragraph)
    }

    /// Where something drawn belongs.
    pub fn place_of_drawing(&self) -> Place {
        match self.top() {
            Place::Element(top) if !self.elements[top].role.is_drawn() => Place::Artifact(Artifact::Layout),
            place => place,
        }
    }

    /// Numbers a stretch of this page's content that belongs to an element; tells the element's type too.
    pub fn content(&mut self, element: usize) -> (&'static str, u32) {
        let page = self.pages.len() - 1;
        let number = self.pages[page].len();
        self.pages[page].push(element);
        self.elements[element].kids.push(Kid::Content { page, number });
        (self.elements[element].role.structure_type(), u32::try_from(number).unwrap_or(u32::MAX))
    }

    fn top(&self) -> Place {
        self.open.last().copied().unwrap_or(Place::Element(0))
    }

    fn add(&mut self, parent: usize, role: Role) -> usize {
        let number = self.elements.len();
        self.elements.push(Element {
            role,
            parent: Some(parent),
            kids: Vec::new(),
            page_height: self.page_height,
        });
        self.elements[parent].kids.push(Kid::Element(number));
        number
    }

    /// Adds the tree to a file whose pages are known by these numbers; hands out its root.
    pub fn write(mut self, file: &mut lopdf::Document, pages: &[ObjectId]) -> ObjectId {
        let kept = self.prune();
        let root = file.new_object_id();
        let ids: Vec<ObjectId> =
            kept.iter().map(|is_kept| if *is_kept { file.new_object_id() } else { root }).collect();
        for (number, element) in self.elements.iter().enumerate().filter(|(number, _)| kept[*number]) {
            let parent = element.parent.map_or(root, |parent| ids[parent]);
            file.set_object(ids[number], element.dictionary(parent, &ids, pages));
        }
        let mut numbers = Vec::new();
        for (page, contents) in self.pages.iter().enumerate() {
            let elements = contents.iter().map(|element| Object::Reference(ids[*element])).collect();
            let elements = file.add_object(Object::Array(elements));
            numbers.extend([integer(page), Object::Reference(elements)]);
            if let Ok(page_dictionary) = file.get_object_mut(pages[page]).and_then(Object::as_dict_mut) {
                page_dictionary.set("StructParents", integer(page));
                page_dictionary.set("Tabs", name("S"));
            }
        }
        let parents = file.add_object(dictionary! { "Nums" => Object::Array(numbers) });
        let tree = dictionary! {
            "Type" => name("StructTreeRoot"),
            "K" => Object::Reference(ids[0]),
            "ParentTree" => Object::Reference(parents),
            "ParentTreeNextKey" => integer(self.pages.len()),
        };
        file.set_object(root, tree);
        root
    }

    /// Takes out elements that came to hold nothing; tells which are left.
    fn prune(&mut self) -> Vec<bool> {
        let mut kept = vec![true; self.elements.len()];
        // Elements come after the one that they stand in.
        for number in (1..self.elements.len()).rev() {
            let element = &mut self.elements[number];
            element.kids.retain(|kid| !matches!(kid, Kid::Element(kid) if !kept[*kid]));
            kept[number] = !element.kids.is_empty() || element.role.may_be_empty();
        }
        self.elements[0].kids.retain(|kid| !matches!(kid, Kid::Element(kid) if !kept[*kid]));
        kept
    }
}

impl Element {
    fn dictionary(&self, parent: ObjectId, ids: &[ObjectId], pages: &[ObjectId]) -> Dictionary {
        let structure_type = if self.parent.is_none() { "Document" } else { self.role.structure_type() };
        let mut dictionary = dictionary! {
            "Type" => name("StructElem"),
            "S" => name(structure_type),
            "P" => Object::Reference(parent),
        };
        let first_page = self.kids.iter().find_map(|kid| match kid {
            Kid::Content { page, .. } => Some(*page),
            Kid::Element(_) => None,
        });
        if let Some(page) = first_page {
            dictionary.set("Pg", Object::Reference(pages[page]));
        }
        let kids: Vec<Object> = self.kids.iter().map(|kid| kid.object(first_page, ids, pages)).collect();
        match <[Object; 1]>::try_from(kids) {
            Ok([only]) => dictionary.set("K", only),
            Err(kids) if kids.is_empty() => {}
            Err(kids) => dictionary.set("K", Object::Array(kids)),
        }
        match &self.role {
            Role::Figure(Figure { alternative, frame }) => {
                dictionary.set("Alt", text_string(alternative));
                dictionary.set("A", attributes("Layout", [("BBox", bounds(*frame, self.page_height))]));
            }
            Role::ColumnHead => dictionary.set("A", attributes("Table", [("Scope", name("Column"))])),
            Role::TickBox => dictionary.set("ActualText", text_string("\u{2610}")),
            Role::Span(text) => dictionary.set("ActualText", text_string(text)),
            Role::List(numbering) => {
                if let Some(word) = numbering.attribute() {
                    dictionary.set("A", attributes("List", [("ListNumbering", name(word))]));
                }
            }
            _ => {}
        }
        dictionary
    }
}

impl Kid {
    fn object(&self, own_page: Option<usize>, ids: &[ObjectId], pages: &[ObjectId]) -> Object {
        match self {
            Self::Element(number) => Object::Reference(ids[*number]),
            Self::Content { page, number } if Some(*page) == own_page => integer(*number),
            Self::Content { page, number } => Object::Dictionary(dictionary! {
                "Type" => name("MCR"),
                "Pg" => Object::Reference(pages[*page]),
                "MCID" => integer(*number),
            }),
        }
    }
}

/// Attributes of an element, by the owner that says what they mean (ISO 32000-1, 14.7.5).
fn attributes<const N: usize>(owner: &str, values: [(&str, Object); N]) -> Object {
    let mut attributes = dictionary! { "O" => name(owner) };
    for (key, value) in values {
        attributes.set(key, value);
    }
    Object::Dictionary(attributes)
}

/// A box of a page in points, y up.
fn bounds(frame: Rect, page_height: f64) -> Object {
    let edges = [frame.x0, page_height - frame.y1, frame.x1, page_height - frame.y0];
    Object::Array(edges.map(|edge| Object::Real(((edge / POINT * 1000.0).round() / 1000.0) as f32)).into())
}

fn integer(number: usize) -> Object {
    Object::Integer(i64::try_from(number).unwrap_or(i64::MAX))
}

fn name(name: &str) -> Object {
    Object::Name(name.as_bytes().to_vec())
}

/// A text string (ISO 32000-1, 7.9.2.2): as it is where it is plain ASCII, else UTF-16.
pub(super) fn text_string(text: &str) -> Object {
    if text.bytes().all(|byte| (0x20..0x7f).contains(&byte)) {
        return Object::String(text.as_bytes().to_vec(), StringFormat::Literal);
    }
    Object::String(utf_16(text), StringFormat::Hexadecimal)
}

/// A text in UTF-16, its byte order told.
pub(super) fn utf_16(text: &str) -> Vec<u8> {
    std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect()
}
