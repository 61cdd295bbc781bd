//! What a drawing holds that cannot be burned as it is: counted by kind, one finding for each kind.

use super::document::Document;
use super::document::NodeId;
use super::kinds::{ENTRIES, Entry, Kind};
use crate::diagnostics::{Diagnostic, Severity, Sink};
use crate::source::Span;
use std::collections::{BTreeMap, BTreeSet};

/// Elements named in one finding; the rest is counted.
const NAMED: usize = 5;

/// What was seen, by kind.
#[derive(Clone, Debug, Default)]
pub(super) struct Census {
    seen: BTreeMap<Kind, BTreeSet<NodeId>>,
    /// What else is to be said of a kind, such as the target of a reference.
    remarks: BTreeMap<Kind, BTreeSet<String>>,
}

impl Census {
    /// Counts an element under a kind, once.
    pub(super) fn note(&mut self, kind: Kind, node: NodeId) {
        self.seen.entry(kind).or_default().insert(node);
    }

    /// Counts an element and remembers a detail to print.
    pub(super) fn remark(&mut self, kind: Kind, node: NodeId, detail: impl Into<String>) {
        self.note(kind, node);
        self.remarks.entry(kind).or_default().insert(detail.into());
    }

    /// How many elements of a kind there are.
    pub(super) fn count(&self, kind: Kind) -> usize {
        self.seen.get(&kind).map_or(0, BTreeSet::len)
    }

    /// One finding for each kind that was seen. `nothing_left` says that no ink and no line remain.
    pub(super) fn report(&self, document: &Document, node: Span, nothing_left: bool, sink: &mut Sink) {
        for entry in &ENTRIES {
            let Some(seen) = self.seen.get(&entry.kind) else { continue };
            let mut diagnostic = Diagnostic::new(entry.finding, self.message(entry, seen, document))
                .at(node, format!("reads `{}`", document.file()))
                .because(entry.consequence)
                .repair(entry.repair);
            diagnostic.artwork = seen.iter().take(NAMED).map(|id| document.place(*id)).collect();
            if nothing_left && entry.kind == Kind::Text {
                diagnostic.severity = Severity::Error;
            }
            sink.push(diagnostic);
        }
    }

    fn message(&self, entry: &Entry, seen: &BTreeSet<NodeId>, document: &Document) -> String {
        let count = seen.len();
        let what = if count == 1 { entry.one.to_owned() } else { format!("{count} {}", entry.many) };
        let mut names: Vec<String> = Vec::new();
        for name in seen.iter().map(|id| document.label(*id)) {
            if names.len() == NAMED {
                break;
            }
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let more = if count > names.len() { ", …" } else { "" };
        let names: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
        let remarks = self.remarks.get(&entry.kind).map_or_else(String::new, |all| {
            let shown: Vec<&str> = all.iter().take(NAMED).map(String::as_str).collect();
            format!(": {}", shown.join(", "))
        });
        let file = document.file();
        format!("`{file}` holds {what} ({}{more}{remarks}), {}", names.join(", "), entry.fate)
    }
}
