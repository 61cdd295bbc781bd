//! Entries of a shop file: what was measured, written where it belongs, and nothing else touched.
//!
//! In: the text and nodes of a shop file, and a number. Out: the text with the number in it, and what was said there
//! before. Comments, order and line ends stay byte for byte.
//!
//! Invariant: one entry changes one thing of the shop; it never leaves a text that KDL reads otherwise elsewhere.

mod beam;
mod kerf;
mod setting;
mod shades;

pub use beam::beam;
pub use kerf::{kerf, kerf_of_setting};
pub use setting::{SettingEntry, setting};
pub use shades::{BurnedNumbers, ShadesEntry, shades};

use crate::shop::Setting;
use crate::syntax::{Edits, Node};
use std::fmt;

/// A shop file as it was read.
#[derive(Clone, Copy, Debug)]
pub struct ShopText<'a> {
    /// Its text.
    pub text: &'a str,
    /// Its top nodes.
    pub nodes: &'a [Node],
}

/// A shop file with something written into it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The whole text.
    pub text: String,
    /// What changed: one line each, with what was there before.
    pub changes: Vec<String>,
}

/// Why something cannot be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryError {
    /// What is wrong.
    pub message: String,
    /// What can be done.
    pub repair: String,
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\n  repair: {}", self.message, self.repair)
    }
}

impl std::error::Error for EntryError {}

impl<'a> ShopText<'a> {
    /// The node of a kind and a name.
    fn named(&self, kind: &str, name: &str) -> Result<&'a Node, EntryError> {
        self.of(kind).find(|n| names(n) == Some(name)).ok_or_else(|| EntryError {
            message: format!("`{kind} \"{name}\"` does not stand in this shop file itself"),
            repair: "name with `--shop` the file that it stands in".to_owned(),
        })
    }

    /// The node of a setting that was read from this file; `None` where it stands in another one.
    fn setting(&self, which: &Setting) -> Option<&'a Node> {
        let (name, source) = (which.span, which.span.source);
        let holds = |n: &&Node| n.span.source == source && n.span.start <= name.start && name.end <= n.span.end;
        self.of("setting").find(holds)
    }

    /// All nodes of a kind.
    fn of(&self, kind: &str) -> impl DoubleEndedIterator<Item = &'a Node> {
        let nodes: &'a [Node] = self.nodes;
        let kind = kind.to_owned();
        nodes.iter().filter(move |n| n.name.value == kind)
    }

    /// Adds a node behind the last of its kind; where there is none, behind the last of other kinds, apart from it.
    fn add(&self, edits: &mut Edits, kinds: &[&str], lines: &[String]) {
        let several = lines.len() > 1;
        let last = kinds.iter().enumerate().find_map(|(i, kind)| Some((i, self.of(kind).next_back()?)));
        let last = last.or_else(|| Some((kinds.len(), self.nodes.last()?)));
        if let Some((i, node)) = last {
            edits.insert_after(node, lines, several || i > 0);
        }
    }
}

fn elsewhere(setting: &str) -> EntryError {
    EntryError {
        message: format!("setting `{setting}` does not stand in this shop file itself"),
        repair: "name with `--shop` the file that it stands in, or write it there by hand".to_owned(),
    }
}

/// The name that a node gives itself.
fn names(node: &Node) -> Option<&str> {
    node.arguments.first().and_then(|v| v.text())
}

/// What a property says, as it is written.
fn says<'t>(node: &Node, name: &str, text: &'t str) -> Option<&'t str> {
    let property = node.properties.iter().find(|p| p.name.value == name)?;
    text.get(property.value.span.start..property.value.span.end).map(|t| t.trim_matches(['"', '#']))
}

/// `kerf: was 0.16 mm, is now 0.163 mm`.
fn changed(what: &str, was: Option<&str>, now: &str) -> String {
    match was {
        Some(was) if was == now => format!("{what}: {now}, as before"),
        Some(was) => format!("{what}: was {was}, is now {now}"),
        None => format!("{what}: was not measured, is now {now}"),
    }
}

/// A text in quotes, as KDL reads it back; control characters become blanks.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{FEFF}') => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
