//! What a shape refers to: gradients, clip paths and markers, written to the definitions once each.

use super::cascade::{Style, url_target};
use super::copies::cycle;
use super::document::{TOO_DEEP, href, id_of, is_svg, tag};
use super::kinds::Kind;
use super::markup::Changes;
use super::prepare::{Stop, Writer, is_shape};
use crate::intake::select::Painted;
use roxmltree::Node;
use simplecss::Declaration;

/// The properties that set markers on a line.
const MARKERS: [&str; 3] = ["marker-start", "marker-mid", "marker-end"];

/// Clip paths may be clipped, and markers hold marked lines, this deep.
const MAX_DEFINITION_DEPTH: usize = 24;

impl<'a, 'd> Writer<'a, 'd> {
    /// Resolves one paint. Tells whether it paints at all.
    pub(super) fn paint(
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
            Some("pattern") if self.defining.is_empty() => {
                target.map(|t| self.define(t)).transpose()?.flatten().map(|id| format!("url(#{id})"))
            }
            // Patterns in patterns multiply, to more than any computer can draw.
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

    /// Resolves the clip path and the mask of an element.
    pub(super) fn clip(&mut self, node: Node<'a, 'd>, style: &Style, changes: &mut Changes) -> Result<(), Stop> {
        for (property, value, wanted) in
            [("clip-path", &style.clip_path, "clipPath"), ("mask", &style.mask, "mask")]
        {
            let Some(text) = value else { continue };
            changes.without.push(property);
            let Some(id) = url_target(text) else { continue };
            match self.document.by_id(id).filter(|t| tag(*t) == wanted) {
                Some(target) => {
                    if let Some(id) = self.define(target)? {
                        changes.properties.push((property, format!("url(#{id})")));
                    }
                }
                None => {
                    self.census.remark(Kind::DanglingReference, id_of(node), format!("`{property}` to `#{id}`"));
                }
            }
        }
        Ok(())
    }

    /// Whether markers stand on a line: they are drawn even where the line itself is not.
    pub(super) fn is_marked(&self, node: Node<'a, 'd>, declared: &[Declaration]) -> bool {
        let marker = |property: &str| self.inherited(node, property, declared);
        MARKERS.into_iter().filter_map(marker).any(|text| url_target(&text).is_some())
    }

    /// Markers on a line are drawn; they may be inherited, so whatever is declared here is resolved here.
    pub(super) fn markers(
        &mut self,
        node: Node<'a, 'd>,
        declared: &[Declaration],
        changes: &mut Changes,
    ) -> Result<(), Stop> {
        for property in MARKERS {
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
    pub(super) fn inherited(
        &self,
        node: Node<'a, 'd>,
        property: &str,
        declared: &[Declaration],
    ) -> Option<String> {
        let own = |node: Node<'a, 'd>, declared: &[Declaration]| {
            let is_meant = |name: &str| name == property || name == "marker" && property.starts_with("marker-");
            let in_css = declared.iter().rev().find(|d| is_meant(d.name)).map(|d| d.value);
            in_css.or_else(|| node.attribute(property)).map(ToOwned::to_owned)
        };
        own(node, declared).or_else(|| {
            self.line.iter().rev().skip(1).find_map(|id| {
                let node = self.document.node(*id)?;
                own(node, &self.cascade.declarations(node))
            })
        })
    }

    /// Writes a gradient, clip path or marker to the definitions, once; `None` when it is too broken for that.
    pub(super) fn define(&mut self, node: Node<'a, 'd>) -> Result<Option<String>, Stop> {
        if let Some(id) = self.defined.get(&id_of(node)) {
            return Ok(Some(id.clone()));
        }
        if self.defining.contains(&id_of(node)) {
            return Err(cycle(self.document, id_of(node), &self.defining));
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
        let around = self.style_around(node);
        let written = self.definition(node, Some(id.clone()), &around);
        let text = std::mem::replace(&mut self.body, kept);
        written?;
        self.definitions.push_str(&text);
        self.defining.pop();
        self.defined.insert(id_of(node), id.clone());
        Ok(Some(id))
    }

    /// What a definition inherits: from the elements that it stands in, not from where it is used.
    fn style_around(&self, node: Node<'a, 'd>) -> Style {
        let mut around: Vec<_> = node.ancestors().skip(1).filter(|n| is_svg(*n)).collect();
        around.reverse();
        let shown = around
            .iter()
            .fold(Style::initial(), |style, node| Style::of(*node, &self.cascade.declarations(*node), &style));
        // A definition that stands in a hidden group is used all the same.
        shown.in_use()
    }

    /// One element of the definitions with all that it holds.
    fn definition(&mut self, node: Node<'a, 'd>, id: Option<String>, around: &Style) -> Result<(), Stop> {
        self.step_in(node)?;
        let name = tag(node);
        let declared = self.cascade.declarations(node);
        let mut changes = Changes::default();
        // Shapes of clip paths are named as well, to be read in full precision.
        let is_top = id.is_some();
        let id = id.or_else(|| is_shape(name).then(|| self.name(node)));
        changes.attributes.extend(id.map(|id| ("id", id)));
        let style = Style::of(node, &declared, around);
        self.clip(node, &style, &mut changes)?;
        let target = href(node).and_then(|l| l.strip_prefix('#')).and_then(|id| self.document.by_id(id));
        let refers =
            |t: &Node| matches!(tag(*t), "linearGradient" | "radialGradient" | "pattern") || name == "use";
        if let Some(target) = target.filter(refers)
            && let Some(id) = self.define(target)?
        {
            changes.attributes.push(("href", format!("#{id}")));
        }
        if is_top {
            self.inherit(node, &declared, &mut changes);
        }
        for property in ["fill", "stroke"] {
            let paint = if property == "fill" { &style.fill } else { &style.stroke };
            match paint {
                Painted::Other(text) if text.starts_with("context-") => {
                    changes.without.push(property);
                    changes.properties.push((property, text.clone()));
                }
                // Of a clip path, only the outline counts.
                Painted::Other(_) if self.clips() => {
                    changes.without.push(property);
                    changes.properties.push((property, "#000".to_owned()));
                }
                Painted::Other(_) if is_shape(name) => drop(self.paint(node, property, paint, &mut changes)?),
                Painted::Colour([r, g, b]) if is_top => {
                    changes.without.push(property);
                    changes.properties.push((property, format!("#{r:02x}{g:02x}{b:02x}")));
                }
                _ => {}
            }
        }
        if style.filter.is_some() {
            self.census.note(Kind::Filter, id_of(node));
        }
        changes.without.extend(["marker", "marker-start", "marker-mid", "marker-end"]);
        let name = if name == "a" { "g" } else { name };
        self.open(node, name, &declared, &changes);
        for child in node.children().filter(|n| is_svg(*n)) {
            match tag(child) {
                inner if is_shape(inner) || matches!(inner, "g" | "a" | "svg" | "use" | "stop") => {
                    self.definition(child, None, &style)?;
                }
                "text" => self.census.note(Kind::Text, id_of(child)),
                "image" => self.census.note(Kind::Picture, id_of(child)),
                _ => {}
            }
        }
        self.close(name);
        self.line.pop();
        Ok(())
    }

    /// Whether a clip path is being written.
    fn clips(&self) -> bool {
        self.defining.iter().any(|id| self.document.node(*id).is_some_and(|n| tag(n) == "clipPath"))
    }

    /// Gives a definition what it inherits besides paint.
    fn inherit(&self, node: Node<'a, 'd>, declared: &[Declaration], changes: &mut Changes) {
        for property in INHERITED {
            let is_own = declared.iter().any(|d| d.name == property) || node.attribute(property).is_some();
            let from = |n: Node<'a, 'd>| {
                let declared = self.cascade.declarations(n);
                let in_css = declared.iter().find(|d| d.name == property).map(|d| d.value.to_owned());
                in_css.or_else(|| n.attribute(property).map(ToOwned::to_owned))
            };
            let found = if is_own { None } else { node.ancestors().skip(1).find_map(from) };
            changes.properties.extend(found.map(|value| (property, value)));
        }
    }
}

/// Inherited properties, besides `fill` and `stroke`, that show in masks, patterns, markers and clip paths.
const INHERITED: [&str; 11] = [
    "fill-opacity",
    "fill-rule",
    "clip-rule",
    "stroke-width",
    "stroke-opacity",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-dasharray",
    "stroke-dashoffset",
    "visibility",
];
