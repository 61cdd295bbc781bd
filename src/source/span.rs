//! Texts and places in them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Names one text of a compilation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub u32);

/// A run of bytes in one text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The text.
    pub source: SourceId,
    /// First byte.
    pub start: usize,
    /// First byte after it.
    pub end: usize,
}

impl Span {
    /// The bytes `start..end` of `source`.
    pub const fn new(source: SourceId, start: usize, end: usize) -> Self {
        Self { source, start, end }
    }

    /// A part of this span, given in bytes from its start and kept inside it.
    pub fn within(self, start: usize, end: usize) -> Self {
        let from = (self.start + start).min(self.end);
        Self { source: self.source, start: from, end: (self.start + end).clamp(from, self.end) }
    }

    /// The smallest span that holds both; they have to lie in one text, else the first is returned.
    pub fn to(self, other: Self) -> Self {
        if self.source != other.source {
            return self;
        }
        Self { source: self.source, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// A value and the place where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Spanned<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Pairs a value with its place.
    pub const fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

/// Line and column, both from 1; columns count characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One text: a recipe, a shop file, the value of a `--set`.
#[derive(Clone, Debug)]
pub struct Source {
    /// How the text is named in messages: relative to where the command was started, with `/`.
    pub name: String,
    /// Where it lies, for paths relative to it; `None` for the command line.
    pub path: Option<PathBuf>,
    /// The text itself.
    pub text: Arc<str>,
    /// The `use` or `from` that brought it in.
    pub imported_at: Option<Span>,
}

/// All texts of one compilation.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    list: Vec<Source>,
}

impl Sources {
    /// Adds a text and returns its name for spans.
    pub fn add(&mut self, source: Source) -> SourceId {
        let id = SourceId(u32::try_from(self.list.len()).unwrap_or(u32::MAX));
        self.list.push(source);
        id
    }

    /// The text of an id that [`Sources::add`] returned.
    pub fn get(&self, id: SourceId) -> &Source {
        &self.list[id.0 as usize]
    }

    /// All texts, in the order in which they were read.
    pub fn iter(&self) -> impl Iterator<Item = (SourceId, &Source)> {
        (0..).map(SourceId).zip(&self.list)
    }

    /// The id of the text that was read from `path`.
    pub fn find(&self, path: &Path) -> Option<SourceId> {
        self.iter().find(|(_, s)| s.path.as_deref() == Some(path)).map(|(id, _)| id)
    }

    /// The text that the first one itself brings in and through which another came; that other one where it is the first.
    pub fn entrance(&self, id: SourceId) -> SourceId {
        match self.get(id).imported_at.map(|span| span.source) {
            Some(above) if self.get(above).imported_at.is_some() => self.entrance(above),
            _ => id,
        }
    }

    /// The written text of a span.
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.source).text.get(span.start..span.end).unwrap_or("")
    }

    /// Line and column of a byte offset.
    pub fn position(&self, source: SourceId, offset: usize) -> Position {
        let text = &self.get(source).text;
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &text[..offset];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        Position { line: before.matches('\n').count() + 1, column: before[line_start..].chars().count() + 1 }
    }

    /// `file:line:column` of a span's start.
    pub fn place(&self, span: Span) -> String {
        let Position { line, column } = self.position(span.source, span.start);
        format!("{}:{line}:{column}", self.get(span.source).name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_came_in_through_what_the_first_one_names() {
        let mut sources = Sources::default();
        let mut add = |name: &str, from: Option<u32>| {
            let imported_at = from.map(|id| Span::new(SourceId(id), 0, 0));
            sources.add(Source { name: name.to_owned(), path: None, text: "".into(), imported_at })
        };
        let job = add("job.recipe.kdl", None);
        let bench = add("bench.shop.kdl", Some(0));
        let stocks = add("stocks.shop.kdl", Some(1));
        assert_eq!([stocks, bench, job].map(|id| sources.entrance(id)), [bench, bench, job]);
    }
}
