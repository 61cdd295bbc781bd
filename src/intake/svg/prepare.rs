//! The drawing rewritten for the resolver: only what is meant, every copy written out, every shape named.
//!
//! The resolver forgets ids inside `use`, and skips what it does not know without a word. Here each shape that
//! is to be drawn gets an id of its own before the resolver sees it, so that every outcome leads back to its
//! element; copies are written out in place; style sheets are applied; patterns, masks and filters, which are
//! reported, never reach it, and neither do references that run in circles.

use super::cascade::{Cascade, Style, url_target};
use super::census::Census;
use super::decode::TOO_LARGE;
use super::document::{Document, MAX_DEPTH, TOO_DEEP, href, is_svg, tag};
use super::document::{NodeId, id_of};
use super::kinds::Kind;
use super::page::Page;
use crate::diagnostics::{Finding, Severity};
use crate::intake::select::{Candidate, Painted, Selector};
use roxmltree::Node;
use simplecss::Declaration;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// Elements that may be written, copies counted one by one.
const MAX_ELEMENTS: usize = 200_000;

/// Clip paths may be clipped, and markers hold marked lines, this deep.
const MAX_DEFINITION_DEPTH: usize = 24;

/// References run in a circle.
pub static REFERENCE_CYCLE: Finding = Finding {
    rule: "artwork/reference-cycle",
    severity: Severity::Error,
    title: "elements of an artwork file contain each other",
    explanation: "A `use` copies an element that holds this very `use`, or clip paths and markers refer to each other \
                  in a circle. Such a drawing has no end, and SVG calls it an error. Take one of the references away.",
    wrong: "<g id=\"reed\"><use href=\"#reed\"/></g>",
    right: "<g id=\"reed\"><path d=\"M0 0h9v9z\"/></g><use href=\"#reed\"/>",
};

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
}

/// Why a drawing cannot be written out.
#[derive(Debug)]
pub(super) struct Stop {
    pub finding: &'static Finding,
    pub message: String,
    pub node: NodeId,
    pub repair: &'static str,
}

/// Rewrites the drawing.
pub(super) fn prepare(
    document: &Document,
    page: &Page,
    take: &[Selector],
    drop: &[Selector],
    census: &mut Census,
) -> Result<Prepared, Stop> {
    let cascade = Cascade::new(document);
    for (style, detail) in &cascade.not_understood {
        census.remark(Kind::StyleNotUnderstood, *style, format!("`{detail}`"));
    }
    for &id in &document.same_id {
        census.note(Kind::SameId, id);
    }
    let matchers: Vec<_> = take.iter().chain(drop).filter_map(Selector::matcher).collect();
    let mut writer = Writer {
        document,
        cascade: &cascade,
        prefix: free_prefix(document),
        takes: take.len(),
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
    Ok(Prepared { svg, origins: writer.origins, expected: writer.expected, matches: writer.matches })
}

/// A prefix that no id of the document starts with.
fn free_prefix(document: &Document) -> String {
    let mut prefix = "n-".to_owned();
    while document.xml.descendants().any(|n| n.attribute("id").is_some_and(|id| id.starts_with(&prefix))) {
        prefix.push('-');
    }
    prefix
}

struct Writer<'a, 'd> {
    document: &'a Document<'d>,
    cascade: &'a Cascade<'a>,
    prefix: String,
    /// Matchers of `take`, then of `drop`.
    matchers: Vec<simplecss::Selector<'a>>,
    takes: usize,
    matches: Vec<usize>,
    census: &'a mut Census,
    body: String,
    definitions: String,
    /// Ids of what has been written to the definitions.
    defined: BTreeMap<NodeId, String>,
    /// Definitions being written: one inside the other.
    defining: Vec<NodeId>,
    /// Elements being written: one inside the other, through copies.
    line: Vec<NodeId>,
    count: usize,
    origins: BTreeMap<String, NodeId>,
    expected: BTreeSet<NodeId>,
}

/// What an element gets from the elements around it.
#[derive(Clone)]
struct Around {
    style: Style,
    taken: bool,
    dropped: bool,
    /// Masks and filters around it, to be reported once something is drawn in them.
    marks: Vec<(Kind, NodeId)>,
}

/// Changes to an element's attributes and style on their way to the resolver.
#[derive(Default)]
struct Changes {
    /// Attributes and properties to leave out.
    without: Vec<&'static str>,
    /// Attributes to add.
    attributes: Vec<(&'static str, String)>,
    /// Properties to add to the style.
    properties: Vec<(&'static str, String)>,
}

/// What is never copied: resolved elsewhere, or not for the resolver.
const NEVER: [&str; 9] =
    ["id", "class", "style", "href", "filter", "mask", "requiredExtensions", "requiredFeatures", "systemLanguage"];

fn is_shape(tag: &str) -> bool {
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
    fn enter(&mut self, node: Node<'a, 'd>, declared: &[Declaration], outer: &Around) -> (Around, bool) {
        let style = Style::of(node, declared, &outer.style);
        let mut around = Around { style, ..outer.clone() };
        let paint = is_shape(tag(node)).then_some((&around.style.fill, &around.style.stroke));
        let candidate = Candidate { node, paint };
        let mut named = false;
        for (index, matcher) in self.matchers.iter().enumerate() {
            if matcher.matches(&candidate) {
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
        if around.style.mask.is_some() {
            around.marks.push((Kind::Mask, id_of(node)));
        }
        (around, named)
    }

    fn children(&mut self, node: Node<'a, 'd>, around: &Around) -> Result<(), Stop> {
        for child in node.children().filter(|n| is_svg(*n)) {
            self.element(child, around)?;
        }
        Ok(())
    }

    fn element(&mut self, node: Node<'a, 'd>, outer: &Around) -> Result<(), Stop> {
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
            "text" | "flowRoot" => self.census.note(Kind::Text, id_of(node)),
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
    fn step_in(&mut self, node: Node<'a, 'd>) -> Result<(), Stop> {
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
        if style.invisible || (style.fill == Painted::None && style.stroke == Painted::None) {
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
    fn name(&mut self, node: Node<'a, 'd>) -> String {
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

    /// Resolves one paint. Tells whether it paints at all.
    fn paint(
        &mut self,
        node: Node<'a, 'd>,
        property: &'static str,
        paint: &Painted,
        changes: &mut Changes,
    ) -> Result<bool, Stop> {
        let Painted::Other(text) = paint else { return Ok(*paint != Painted::None) };
        let Some(id) = url_target(text) else {
            if text.starts_with("url(") {
                self.census.note(Kind::LinkedFile, id_of(node));
            }
            return Ok(true);
        };
        let target = self.document.by_id(id);
        let flat = match target.map(tag) {
            Some("linearGradient" | "radialGradient") => {
                self.census.note(Kind::Gradient, id_of(node));
                target.map(|t| self.define(t)).transpose()?.flatten().map(|id| format!("url(#{id})"))
            }
            Some("pattern") => {
                self.census.note(Kind::Pattern, id_of(node));
                Some("#000".to_owned())
            }
            _ => {
                self.census.remark(Kind::DanglingReference, id_of(node), format!("`{property}` to `#{id}`"));
                text.split_once(')').map(|(_, fallback)| fallback.trim().to_owned()).filter(|f| !f.is_empty())
            }
        };
        let paints = flat.is_some();
        changes.without.push(property);
        changes.properties.push((property, flat.unwrap_or_else(|| "none".to_owned())));
        Ok(paints)
    }

    fn clip(&mut self, node: Node<'a, 'd>, style: &Style, changes: &mut Changes) -> Result<(), Stop> {
        let Some(text) = &style.clip_path else { return Ok(()) };
        changes.without.push("clip-path");
        let Some(id) = url_target(text) else { return Ok(()) };
        match self.document.by_id(id).filter(|t| tag(*t) == "clipPath") {
            Some(target) => {
                if let Some(id) = self.define(target)? {
                    changes.properties.push(("clip-path", format!("url(#{id})")));
                }
            }
            None => self.census.remark(Kind::DanglingReference, id_of(node), format!("`clip-path` to `#{id}`")),
        }
        Ok(())
    }

    /// Markers on a line are drawn; they may be inherited, so whatever is declared here is resolved here.
    fn markers(
        &mut self,
        node: Node<'a, 'd>,
        declared: &[Declaration],
        changes: &mut Changes,
    ) -> Result<(), Stop> {
        if !matches!(tag(node), "path" | "line" | "polyline" | "polygon") {
            return Ok(());
        }
        for property in ["marker-start", "marker-mid", "marker-end"] {
            let Some(text) = self.inherited(node, property, declared) else { continue };
            changes.without.push(property);
            let Some(target) = url_target(&text).and_then(|id| self.document.by_id(id)) else { continue };
            if tag(target) == "marker"
                && let Some(id) = self.define(target)?
            {
                changes.properties.push((property, format!("url(#{id})")));
            }
        }
        changes.without.push("marker");
        Ok(())
    }

    /// The value of an inherited property: the nearest one on the way up through copies.
    fn inherited(&self, node: Node<'a, 'd>, property: &str, declared: &[Declaration]) -> Option<String> {
        let own = |node: Node<'a, 'd>, declared: &[Declaration]| {
            let in_css = declared.iter().rev().find(|d| d.name == property || d.name == "marker").map(|d| d.value);
            in_css.or_else(|| node.attribute(property)).map(ToOwned::to_owned)
        };
        own(node, declared).or_else(|| {
            self.line.iter().rev().skip(1).find_map(|id| {
                let node = self.document.node(*id)?;
                own(node, &self.cascade.declarations(node))
            })
        })
    }

    fn picture(&mut self, node: Node) {
        match href(node) {
            Some(link) if !link.starts_with("data:") => {
                let short: String = link.chars().take(60).filter(|c| !c.is_control()).collect();
                self.census.remark(Kind::LinkedFile, id_of(node), format!("`{short}`"));
            }
            _ => self.census.note(Kind::Picture, id_of(node)),
        }
    }

    /// Writes out the copy that a `use` stands for.
    fn copy(&mut self, node: Node<'a, 'd>, declared: &[Declaration], around: &Around) -> Result<(), Stop> {
        let Some(target) = self.copied(node, around) else { return Ok(()) };
        if self.line.contains(&id_of(target)) {
            return Err(self.cycle(id_of(target), &self.line));
        }
        let mut changes = Changes { without: vec!["x", "y", "width", "height"], ..Changes::default() };
        self.clip(node, &around.style, &mut changes)?;
        self.open(node, "g", declared, &changes);
        let moved = Changes {
            attributes: ["x", "y"].into_iter().filter_map(|n| Some((n, node.attribute(n)?.to_owned()))).collect(),
            ..Changes::default()
        };
        if tag(target) == "symbol" {
            self.symbol(target, node, moved, around)?;
        } else {
            self.open_place(&moved);
            if tag(target) == "svg" {
                self.used_svg(target, node, around)?;
            } else {
                self.element(target, around)?;
            }
            self.close("svg");
        }
        self.close("g");
        Ok(())
    }

    /// The element that a `use` copies; what is wrong with the reference is noted.
    fn copied(&mut self, node: Node<'a, 'd>, around: &Around) -> Option<Node<'a, 'd>> {
        let silent = around.style.hidden() || around.dropped;
        let link = href(node);
        let Some(id) = link.and_then(|l| l.strip_prefix('#')) else {
            if let Some(link) = link.filter(|l| !silent && !l.is_empty()) {
                let short: String = link.chars().take(60).filter(|c| !c.is_control()).collect();
                self.census.remark(Kind::LinkedFile, id_of(node), format!("`{short}`"));
            }
            return None;
        };
        let target = self.document.by_id(id).filter(|t| is_svg(*t));
        if target.is_none() && !silent {
            self.census.remark(Kind::DanglingReference, id_of(node), format!("`use` of `#{id}`"));
        }
        target
    }

    /// A symbol is a drawing of its own with a view box: a nested `svg` at the place of its copy.
    fn symbol(
        &mut self,
        target: Node<'a, 'd>,
        copy: Node<'a, 'd>,
        mut changes: Changes,
        outer: &Around,
    ) -> Result<(), Stop> {
        self.step_in(target)?;
        let declared = self.cascade.declarations(target);
        let (around, _) = self.enter(target, &declared, outer);
        changes.without.extend(["x", "y", "width", "height"]);
        for side in ["width", "height"] {
            changes.attributes.push((side, copy.attribute(side).unwrap_or("100%").to_owned()));
        }
        self.clip(target, &around.style, &mut changes)?;
        self.open(target, "svg", &declared, &changes);
        self.children(target, &around)?;
        self.close("svg");
        self.line.pop();
        Ok(())
    }

    /// A nested drawing whose size its copy may set.
    fn used_svg(&mut self, target: Node<'a, 'd>, copy: Node<'a, 'd>, outer: &Around) -> Result<(), Stop> {
        self.step_in(target)?;
        let declared = self.cascade.declarations(target);
        let (around, _) = self.enter(target, &declared, outer);
        let mut changes = Changes::default();
        for side in ["width", "height"] {
            if let Some(size) = copy.attribute(side) {
                changes.without.push(side);
                changes.attributes.push((side, size.to_owned()));
            }
        }
        self.clip(target, &around.style, &mut changes)?;
        self.open(target, "svg", &declared, &changes);
        self.children(target, &around)?;
        self.close("svg");
        self.line.pop();
        Ok(())
    }

    fn cycle(&self, again: NodeId, line: &[NodeId]) -> Stop {
        let from = line.iter().position(|id| *id == again).unwrap_or(0);
        let mut names: Vec<String> = Vec::new();
        for id in line[from..].iter().chain([&again]) {
            let name = format!("`{}`", self.document.name(*id));
            if names.last() != Some(&name) && names.len() < 8 {
                names.push(name);
            }
        }
        Stop {
            finding: &REFERENCE_CYCLE,
            message: format!("holds elements that contain each other: {}", names.join(" > ")),
            node: again,
            repair: "take one of these references away",
        }
    }

    /// Writes a gradient, clip path or marker to the definitions, once; `None` when it is too broken for that.
    fn define(&mut self, node: Node<'a, 'd>) -> Result<Option<String>, Stop> {
        if let Some(id) = self.defined.get(&id_of(node)) {
            return Ok(Some(id.clone()));
        }
        if self.defining.contains(&id_of(node)) {
            return Err(self.cycle(id_of(node), &self.defining));
        }
        if self.defining.len() >= MAX_DEFINITION_DEPTH {
            return Err(Stop {
                finding: &TOO_DEEP,
                message: format!(
                    "is nested too deep: over {MAX_DEFINITION_DEPTH} clip paths, markers or gradients refer to each other in turn"
                ),
                node: id_of(node),
                repair: "release the clip paths in the drawing's editor",
            });
        }
        self.defining.push(id_of(node));
        let id = format!("{}d{}", self.prefix, self.defined.len() + self.defining.len());
        let kept = std::mem::take(&mut self.body);
        let written = self.definition(node, Some(id.clone()));
        let text = std::mem::replace(&mut self.body, kept);
        written?;
        self.definitions.push_str(&text);
        self.defining.pop();
        self.defined.insert(id_of(node), id.clone());
        Ok(Some(id))
    }

    /// One element of the definitions with all that it holds.
    fn definition(&mut self, node: Node<'a, 'd>, id: Option<String>) -> Result<(), Stop> {
        self.step_in(node)?;
        let name = tag(node);
        let declared = self.cascade.declarations(node);
        let mut changes = Changes::default();
        // Shapes of clip paths are named as well, to be read in full precision.
        let id = id.or_else(|| is_shape(name).then(|| self.name(node)));
        changes.attributes.extend(id.map(|id| ("id", id)));
        let style = Style::of(node, &declared, &Style::initial());
        self.clip(node, &style, &mut changes)?;
        let target = href(node).and_then(|l| l.strip_prefix('#')).and_then(|id| self.document.by_id(id));
        if let Some(target) =
            target.filter(|t| matches!(tag(*t), "linearGradient" | "radialGradient") || name == "use")
            && let Some(id) = self.define(target)?
        {
            changes.attributes.push(("href", format!("#{id}")));
        }
        for property in ["fill", "stroke"] {
            let paint = if property == "fill" { &style.fill } else { &style.stroke };
            if matches!(paint, Painted::Other(_)) {
                changes.without.push(property);
                let flat = paint_of_definition(self.document, paint);
                changes.properties.push((property, flat.to_owned()));
            }
        }
        changes.without.extend(["marker", "marker-start", "marker-mid", "marker-end"]);
        let name = if name == "a" { "g" } else { name };
        self.open(node, name, &declared, &changes);
        for child in node.children().filter(|n| is_svg(*n)) {
            let inner = tag(child);
            if is_shape(inner) || matches!(inner, "g" | "a" | "svg" | "use" | "stop") {
                self.definition(child, None)?;
            }
        }
        self.close(name);
        self.line.pop();
        Ok(())
    }

    fn open(&mut self, node: Node, name: &str, declared: &[Declaration], changes: &Changes) {
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
    fn open_place(&mut self, moved: &Changes) {
        self.body.push_str("<svg overflow=\"visible\"");
        for (name, value) in &moved.attributes {
            attribute_to(&mut self.body, name, value);
        }
        self.body.push('>');
    }

    fn close(&mut self, name: &str) {
        let _ = write!(self.body, "</{name}>");
    }
}

/// Paint inside markers and clip paths: a flat one will do, for only the outline is looked at.
fn paint_of_definition(document: &Document, paint: &Painted) -> &'static str {
    match paint {
        Painted::Other(text) if text == "context-fill" => "context-fill",
        Painted::Other(text) if text == "context-stroke" => "context-stroke",
        Painted::Other(text) if url_target(text).is_some_and(|id| document.by_id(id).is_some()) => "#000",
        _ => "none",
    }
}

/// Elements that are drawn only where something refers to them.
fn is_definition(tag: &str) -> bool {
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
