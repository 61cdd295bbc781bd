//! Where findings are collected.

use super::diagnostic::Diagnostic;
use super::finding::Severity;
use crate::source::Span;
use std::collections::BTreeSet;

/// Collects findings; a stage goes on as long as it can and pushes everything it sees.
#[derive(Clone, Debug, Default)]
pub struct Sink {
    list: Vec<Diagnostic>,
    /// What has been said, so that nothing is said twice.
    said: BTreeSet<(&'static str, Option<Span>, String)>,
}

impl Sink {
    /// An empty sink.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a finding, unless the same rule already said the same of the same place.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        let span = diagnostic.primary.as_ref().map(|l| l.span);
        if self.said.insert((diagnostic.finding.rule, span, diagnostic.message.clone())) {
            self.list.push(diagnostic);
        }
    }

    /// Adds all of `other`.
    pub fn append(&mut self, other: Sink) {
        for diagnostic in other.list {
            self.push(diagnostic);
        }
    }

    /// Whether an error was found.
    pub fn has_errors(&self) -> bool {
        self.count(Severity::Error) > 0
    }

    /// How many findings of one severity have not been accepted.
    pub fn count(&self, severity: Severity) -> usize {
        self.list.iter().filter(|d| d.severity == severity && d.accepted.is_none()).count()
    }

    /// The findings, as they were pushed.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.list.iter()
    }

    /// The findings, to be changed in place: how `allow` marks what it accepts.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut Diagnostic> {
        self.list.iter_mut()
    }

    /// Puts the findings in the order of the text they point at, those without a place last.
    pub fn sort(&mut self) {
        self.list.sort_by_key(|d| {
            d.primary.as_ref().map_or((u32::MAX, usize::MAX), |l| (l.span.source.0, l.span.start))
        });
    }

    /// The findings themselves.
    pub fn into_vec(self) -> Vec<Diagnostic> {
        self.list
    }
}
