//! Copies written out: what a `use` stands for.

use super::document::{Document, NodeId, href, id_of, is_svg, tag};
use super::kinds::Kind;
use super::markup::Changes;
use super::prepare::{Around, Stop, Writer};
use crate::diagnostics::{Finding, Severity};
use roxmltree::Node;
use simplecss::Declaration;

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

impl<'a, 'd> Writer<'a, 'd> {
    /// Writes out the copy that a `use` stands for.
    pub(super) fn copy(
        &mut self,
        node: Node<'a, 'd>,
        declared: &[Declaration],
        around: &Around,
    ) -> Result<(), Stop> {
        let Some(target) = self.copied(node, around) else { return Ok(()) };
        if self.line.contains(&id_of(target)) {
            return Err(cycle(self.document, id_of(target), &self.line));
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
    pub(super) fn copied(&mut self, node: Node<'a, 'd>, around: &Around) -> Option<Node<'a, 'd>> {
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
    pub(super) fn symbol(
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
    pub(super) fn used_svg(
        &mut self,
        target: Node<'a, 'd>,
        copy: Node<'a, 'd>,
        outer: &Around,
    ) -> Result<(), Stop> {
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
}

/// Says which elements contain each other: those of `line` from `again` on.
pub(super) fn cycle(document: &Document, again: NodeId, line: &[NodeId]) -> Stop {
    let from = line.iter().position(|id| *id == again).unwrap_or(0);
    let mut names: Vec<String> = Vec::new();
    for id in line[from..].iter().chain([&again]) {
        let name = format!("`{}`", document.name(*id));
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
