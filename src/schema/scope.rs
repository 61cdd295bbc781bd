//! The inputs that a recipe's texts and calculations may name.

use crate::source::{SourceId, Span};
use crate::units::Quantity;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The value of an input.
#[derive(Clone, Debug, PartialEq)]
pub enum InputValue {
    /// A length, number, count, percentage, angle …
    Quantity(Quantity),
    /// A text, or one word of a choice.
    Text(String),
    /// A date.
    Date(Date),
    /// A switch.
    Flag(bool),
    /// A path and the text it is relative to.
    File {
        /// The path, as written.
        path: String,
        /// The text it stands in.
        from: SourceId,
    },
}

/// An input as calculations see it.
#[derive(Clone, Debug)]
pub struct ScopeEntry {
    /// Its value; `None` when it was wrong and has been reported, so that nothing more is said of it.
    pub value: Option<InputValue>,
    /// Where it is declared.
    pub span: Span,
}

/// All inputs by name.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    entries: BTreeMap<String, ScopeEntry>,
    /// Names that stand for another figure in a part of a recipe.
    figures: BTreeMap<String, String>,
}

impl Scope {
    /// Adds an input; the first of a name stays.
    pub fn declare(&mut self, name: &str, entry: ScopeEntry) {
        self.entries.entry(name.to_owned()).or_insert(entry);
    }

    /// The input of a name.
    pub fn get(&self, name: &str) -> Option<&ScopeEntry> {
        self.entries.get(name)
    }

    /// Lets a name stand for another figure.
    pub fn rename_figure(&mut self, name: &str, figure: String) {
        self.figures.insert(name.to_owned(), figure);
    }

    /// The figure that a name stands for.
    pub fn figure<'a>(&'a self, name: &'a str) -> &'a str {
        self.figures.get(name).map_or(name, String::as_str)
    }

    /// All names, sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }
}
