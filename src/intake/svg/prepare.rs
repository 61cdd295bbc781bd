//! The drawing rewritten for the resolver: only what is meant, every copy written out, every shape named.
//!
//! The resolver forgets ids inside `use`, and skips what it does not know without a word. Here each shape that
//! is to be drawn gets an id of its own before the resolver sees it, so that every outcome leads back to its
//! element; copies are written out in place; style sheets are applied; filters, which are reported, never reach it,
//! and neither do references that run in circles.

use super::cascade::{Cascade, Style};
use super::census::Census;
use super::decode::TOO_LARGE;
use super::document::{Document, MAX_DEPTH, TOO_DEEP, href, is_svg, tag};
use super::document::{NodeId, id_of};
use super::kinds::Kind;
use super::markup::Changes;
use super::page::Page;
use crate::diagnostics::Finding;
use crate::intake::select::{Matcher, Painted, Selector};
use roxmltree::Node;
use simplecss::Declaration;
use std::collections::{BTreeMap, BTreeSet};

/// Elements that may be written, copies counted one by one.
const MAX_ELEMENTS: usize = 200_000;

/// The rewritten drawing.
pub(super) struct Prepared {
    /// SVG for the resolver.
    pub svg: String,
    /// The element behind each id in it.
    pub origins: BTreeMap<String, NodeId>,
    /// Elements that should draw something.
    pub expected: BTreeSet<NodeId>,
    /// How many elements each `take` and `drop` selector matched, in that order.
    pub matches: Vec<usize>,
    /// Embedded pictures, by the ids of the rectangles that stand for them.
    pub pictures: Vec<(String, NodeId)>,
}

/// Why a drawing cannot be written out.
#[derive(Debug)]
pub(super) struct Stop {
    pub finding: &'static Finding,
    pub message: String,
    pub node: NodeId,
    pub repair: &'static str,
}

/// What of a drawing is written.
pub(super) struct Choice<'a> {
    /// Selectors of what is taken; all when empty.
    pub take: &'a [Selector],
    /// Selectors of what is left out.
    pub drop: &'a [Selector],
    /// Whether there are fonts to set text in.
    pub sets_text: bool,
    /// Whether a rectangle is written for each embedded picture, to learn where it lies.
    pub frames_pictures: bool,
}

/// Rewrites the drawing.
pub(super) fn prepare(
    document: &Document,
    page: &Page,
    choice: &Choice,
    census: &mut Census,
) -> Result<Prepared, Stop> {
    let cascade = Cascade::new(document);
    for (style, detail) in &cascade.not_understood {
        census.remark(Kind::StyleNotUnderstood, *style, format!("`{detail}`"));
    }
    for &id in &document.same_id {
        census.note(Kind::SameId, id);
    }
    let matchers: Vec<_> = choice.take.iter().chain(choice.drop).map(Selector::matcher).collect();
    let mut writer = Writer {
        document,
        cascade: &cascade,
        prefix: free_prefix(document),
        takes: choice.take.len(),
        sets_text: choice.sets_text,
        frames_pictures: choice.frames_pictures,
        pictures: Vec::new(),
        matches: vec![0; matchers.len()],
        matchers,
        census,
        body: String::new(),
        definitions: String::new(),
        defined: BTreeMap::new(),
        defining: Vec::new(),
        line: Vec::new(),
        count: 0,
        origins: BTreeMap::new(),
        expected: BTreeSet::new(),
    };
    writer.root(page)?;
    let svg = format!("{}<defs>{}</defs></svg>", writer.body, writer.definitions);
    Ok(Prepared {
        svg,
        origins: writer.origins,
        expected: writer.expected,
        matches: writer.matches,
        pictures: writer.pictures,
    })
}

/// A prefix that no id of the document starts with.
fn free_prefix(document: &Document) -> String {
    let mut prefix = "n-".to_owned();
    while document.xml.descendants().any(|n| n.attribute("id").is_some_and(|id| id.starts_with(&prefix))) {
        prefix.push('-');
    }
    prefix
}

/// What has been written so far, and what it is written from.
pub(super) struct Writer<'a, 'd> {
    pub document: &'a Document<'d>,
    pub cascade: &'a Cascade<'a>,
    pub prefix: String,
    /// Matchers of `take`, then of `drop`.
    pub matchers: Vec<Matcher<'a>>,
    pub takes: usize,
    /// Whether there are fonts to set text in.
    pub sets_text: bool,
    pub frames_pictures: bool,
    /// Embedded pictures, by the ids of the rectangles that stand for them.
    pub pictures: Vec<(String, NodeId)>,
    pub matches: Vec<usize>,
    pub census: &'a mut Census,
    pub body: String,
    pub definitions: String,
    /// Ids of what has been written to the definitions.
    pub defined: BTreeMap<NodeId, String>,
    /// Definitions being written: one inside the other.
    pub defining: Vec<NodeId>,
    /// Elements being written: one inside the other, through copies.
    pub line: Vec<NodeId>,
    pub count: usize,
    pub origins: BTreeMap<String, NodeId>,
    pub expected: BTreeSet<NodeId>,
}

/// What an element gets from the elements around it.
#[derive(Clone)]
pub(super) struct Around {
    pub style: Style,
    pub taken: bool,
    pub dropped: bool,
    /// Filters around it, to be reported once something is drawn in them.
    pub marks: Vec<(Kind, NodeId)>,
}

pub(super) fn is_shape(tag: &str) -> bool {
    matches!(tag, "path" | "rect" | "circle" | "ellipse" | "line" | "polyline" | "polygon")
}

impl<'a, 'd> Writer<'a, 'd> {
    fn root(&mut self, page: &Page) -> Result<(), Stop> {
        let root = self.document.xml.root_element();
        let declared = self.cascade.declarations(root);
        let (around, _) = self.enter(
            root,
            &declared,
            &Around { style: Style::initial(), taken: self.takes == 0, dropped: false, marks: Vec::new() },
        );
        let mut changes = Changes { without: vec!["width", "height", "viewBox", "x", "y"], ..Changes::default() };
        changes.attributes.push(("xmlns", "http://www.w3.org/2000/svg".into()));
        changes.attributes.push(("width", page.size.0.to_string()));
        changes.attributes.push(("height", page.size.1.to_string()));
        if let Some(v) = page.view_box {
            changes.attributes.push(("viewBox", format!("{} {} {} {}", v.x, v.y, v.w, v.h)));
        }
        self.clip(root, &around.style, &mut changes)?;
        self.open(root, "svg", &declared, &changes);
        if !around.style.removed {
            self.children(root, &around)?;
        }
        Ok(())
    }

    /// The style and choice that hold inside an element, and whether a selector names this very element.
    pub(super) fn enter(
        &mut self,
        node: Node<'a, 'd>,
        declared: &[Declaration],
        outer: &Around,
    ) -> (Around, bool) {
        let style = Style::of(node, declared, &outer.style);
        let mut around = Around { style, ..outer.clone() };
        let is_drawn = is_shape(tag(node)) || matches!(tag(node), "text" | "flowRoot");
        let paint = is_drawn.then_some((&around.style.fill, &around.style.stroke));
        let document = self.document;
        let outside: Vec<Node<'a, 'd>> = match self.matchers.as_slice() {
            [] => Vec::new(),
            _ => self.line.iter().filter_map(|id| document.node(*id)).filter(|n| *n != node).collect(),
        };
        let mut named = false;
        for (index, matcher) in self.matchers.iter().enumerate() {
            if matcher.matches(node, paint, &outside) {
                named = true;
                self.matches[index] += 1;
                if index < self.takes {
                    around.taken = true;
                } else {
                    around.dropped = true;
                }
            }
        }
        if around.style.filter.is_some() {
            around.marks.push((Kind::Filter, id_of(node)));
        }
        (around, named)
    }

    pub(super) fn children(&mut self, node: Node<'a, 'd>, around: &Around) -> Result<(), Stop> {
        for child in node.children().filter(|n| is_svg(*n)) {
            self.element(child, around)?;
        }
        Ok(())
    }

    pub(super) fn element(&mut self, node: Node<'a, 'd>, outer: &Around) -> Result<(), Stop> {
        let name = tag(node);
        if is_definition(name) || !conditions_hold(node) {
            return Ok(());
        }
        self.step_in(node)?;
        let declared = self.cascade.declarations(node);
        let (around, _) = self.enter(node, &declared, outer);
        let wanted = around.taken && !around.dropped;
        match name {
            _ if is_shape(name) => self.shape(node, name, &declared, &around)?,
            "g" | "a" | "svg" => self.group(node, if name == "a" { "g" } else { name }, &declared, &around)?,
            "switch" => self.switch(node, &declared, &around)?,
            "use" => self.copy(node, &declared, &around)?,
            _ if around.style.hidden() || !wanted => {}
            "text" => self.text(node, &declared, &around)?,
            "flowRoot" => self.census.note(Kind::Text, id_of(node)),
            "image" => self.picture(node),
            "foreignObject" | "script" | "video" | "audio" | "iframe" | "canvas" => {
                self.census.remark(Kind::NotADrawing, id_of(node), format!("`<{name}>`"));
            }
            _ if is_animation(name) => self.census.remark(Kind::NotADrawing, id_of(node), format!("`<{name}>`")),
            // Titles, descriptions, metadata and what no edition of SVG draws.
            _ => {}
        }
        self.line.pop();
        Ok(())
    }

    /// Guards against drawings that are endless, or as good as.
    pub(super) fn step_in(&mut self, node: Node<'a, 'd>) -> Result<(), Stop> {
        self.line.push(id_of(node));
        self.count += 1;
        let copied = self.line.iter().find(|id| self.document.node(**id).is_some_and(|n| tag(n) == "use"));
        let blamed = copied.copied().unwrap_or(id_of(node));
        if self.line.len() > MAX_DEPTH {
            return Err(Stop {
                finding: &TOO_DEEP,
                message: format!(
                    "is nested too deep: more than {MAX_DEPTH} elements stand inside each other, copies counted"
                ),
                node: blamed,
                repair: "unlink the copies and ungroup the drawing in its editor",
            });
        }
        if self.count > MAX_ELEMENTS {
            return Err(Stop {
                finding: &TOO_LARGE,
                message: format!("draws more than {MAX_ELEMENTS} elements, copies counted one by one"),
                node: blamed,
                repair: "take away copies of copies, or take only a part: `take \"#part\"`",
            });
        }
        Ok(())
    }

    fn group(
        &mut self,
        node: Node<'a, 'd>,
        name: &str,
        declared: &[Declaration],
        around: &Around,
    ) -> Result<(), Stop> {
        let mut changes = Changes::default();
        self.clip(node, &around.style, &mut changes)?;
        self.open(node, name, declared, &changes);
        self.children(node, around)?;
        self.close(name);
        Ok(())
    }

    /// Of a `switch`, the first child whose conditions hold is drawn.
    fn switch(&mut self, node: Node<'a, 'd>, declared: &[Declaration], around: &Around) -> Result<(), Stop> {
        let drawn = |n: &Node| is_svg(*n) && conditions_hold(*n) && (is_container(tag(*n)) || is_shape(tag(*n)));
        self.open(node, "g", declared, &Changes::default());
        if let Some(child) = node.children().find(drawn) {
            self.element(child, around)?;
        }
        self.close("g");
        Ok(())
    }

    fn shape(
        &mut self,
        node: Node<'a, 'd>,
        name: &str,
        declared: &[Declaration],
        around: &Around,
    ) -> Result<(), Stop> {
        let style = &around.style;
        if style.removed || !around.taken || around.dropped {
            if around.taken && !around.dropped {
                self.census.note(Kind::Hidden, id_of(node));
            } else if !style.removed {
                self.ghost(node, name);
            }
            return Ok(());
        }
        let is_bare = style.fill == Painted::None && style.stroke == Painted::None;
        if style.invisible || (is_bare && !self.is_marked(node, declared)) {
            self.census.note(Kind::Hidden, id_of(node));
            self.ghost(node, name);
            return Ok(());
        }
        let mut changes = Changes::default();
        let painted = self.paint(node, "fill", &style.fill, &mut changes)?
            | self.paint(node, "stroke", &style.stroke, &mut changes)?;
        self.clip(node, style, &mut changes)?;
        self.markers(node, declared, &mut changes)?;
        if painted {
            self.expected.insert(id_of(node));
            for &(kind, by) in &around.marks {
                self.census.note(kind, by);
            }
        }
        for child in node.children().filter(|n| is_animation(tag(*n))) {
            self.census.remark(Kind::NotADrawing, id_of(child), format!("`<{}>`", tag(child)));
        }
        changes.attributes.push(("id", self.name(node)));
        self.open(node, name, declared, &changes);
        self.close(name);
        Ok(())
    }

    /// A new id for a shape, which leads back to its element.
    pub(super) fn name(&mut self, node: Node<'a, 'd>) -> String {
        let id = format!("{}{}", self.prefix, self.origins.len());
        self.origins.insert(id.clone(), id_of(node));
        id
    }

    /// A shape that is not drawn still counts for the box that its group's clip path may refer to.
    fn ghost(&mut self, node: Node<'a, 'd>, name: &str) {
        let properties = vec![("fill", "none".to_owned()), ("stroke", "none".to_owned())];
        let without =
            vec!["fill", "stroke", "clip-path", "opacity", "marker", "marker-start", "marker-mid", "marker-end"];
        self.open(node, name, &[], &Changes { without, properties, ..Changes::default() });
        self.close(name);
    }

    fn picture(&mut self, node: Node<'a, 'd>) {
        match href(node) {
            Some(link) if !link.starts_with("data:") => {
                let short: String = link.chars().take(60).filter(|c| !c.is_control()).collect();
                self.census.remark(Kind::LinkedFile, id_of(node), format!("`{short}`"));
            }
            _ => self.census.note(Kind::Picture, id_of(node)),
        }
        if self.frames_pictures && href(node).is_some_and(|link| link.starts_with("data:")) {
            let id = self.name(node);
            self.pictures.push((id.clone(), id_of(node)));
            let properties = vec![("fill", "#000".to_owned()), ("stroke", "none".to_owned())];
            let without = vec!["fill", "stroke", "clip-path", "opacity"];
            self.open(node, "rect", &[], &Changes { without, properties, attributes: vec![("id", id)] });
            self.close("rect");
        }
    }
}

/// Elements that are drawn only where something refers to them.
pub(super) fn is_definition(tag: &str) -> bool {
    matches!(
        tag,
        "defs"
            | "symbol"
            | "clipPath"
            | "mask"
            | "pattern"
            | "filter"
            | "marker"
            | "linearGradient"
            | "radialGradient"
            | "style"
            | "font"
            | "font-face"
            | "cursor"
            | "view"
            | "color-profile"
    )
}

fn is_container(tag: &str) -> bool {
    matches!(tag, "g" | "a" | "svg" | "use" | "switch")
}

fn is_animation(tag: &str) -> bool {
    matches!(tag, "animate" | "animateTransform" | "animateMotion" | "animateColor" | "set" | "discard")
}

/// Whether the conditions of an element hold: no extensions, and English where a language is asked for.
fn conditions_hold(node: Node) -> bool {
    let extended = node.attribute("requiredExtensions").is_some();
    let spoken = |list: &str| list.split(',').any(|l| l.trim() == "en" || l.trim().starts_with("en-"));
    !extended && node.attribute("systemLanguage").is_none_or(spoken)
}
