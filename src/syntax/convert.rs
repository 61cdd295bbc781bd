//! The parser's tree to ours: spans for every value, numbers as they are written.

use super::node::{Document, Node, Property, Value, ValueData};
use super::tokens::{Kind, Token};
use crate::source::{SourceId, Span, Spanned};
use kdl::{KdlDocument, KdlEntry, KdlIdentifier, KdlNode, KdlValue};
use std::collections::BTreeMap;

/// What the conversion needs beside the parser's tree.
pub(super) struct Converter<'a> {
    source: SourceId,
    text: &'a str,
    /// From the place of each `{` to the first byte after its `}`.
    blocks: BTreeMap<usize, usize>,
    /// Values that were written wrong and are known all the same, by their first byte.
    mended: BTreeMap<usize, ValueData>,
}

impl<'a> Converter<'a> {
    /// Prepares the conversion of `text`, whose tokens are `tokens`.
    pub fn new(source: SourceId, text: &'a str, tokens: &[Token], mended: BTreeMap<usize, ValueData>) -> Self {
        Self { source, text, blocks: blocks(tokens), mended }
    }

    /// Converts the whole tree. Its depth was limited before it was parsed.
    pub fn document(&self, tree: &KdlDocument) -> Document {
        Document { nodes: self.nodes(tree), span: self.span(0, self.text.len()) }
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.source, start, end)
    }

    fn nodes(&self, tree: &KdlDocument) -> Vec<Node> {
        tree.nodes().iter().map(|node| self.node(node)).collect()
    }

    fn node(&self, node: &KdlNode) -> Node {
        let name = self.name(node.name());
        let (mut arguments, mut properties) = (Vec::new(), Vec::new());
        let mut head_end = name.span.end;
        for entry in node.entries() {
            let end = entry.span().offset() + entry.span().len();
            head_end = head_end.max(end);
            match entry.name() {
                Some(key) => {
                    let key = self.name(key);
                    let span = self.span(key.span.start, end);
                    properties.push(Property { name: key, value: self.value(entry), span });
                }
                None => arguments.push(self.value(entry)),
            }
        }
        let end = node.children().map_or(head_end, |_| self.block_end(node, head_end));
        Node {
            arguments,
            properties,
            children: node.children().map(|c| self.nodes(c)),
            span: self.span(name.span.start, end),
            head: self.span(name.span.start, head_end),
            name,
        }
    }

    /// The first byte after the node's children, which start after `head_end` and what is commented out there.
    fn block_end(&self, node: &KdlNode, head_end: usize) -> usize {
        let before = node.format().map_or(0, |f| f.before_children.len());
        let open = head_end + before;
        self.blocks.get(&open).copied().unwrap_or(open)
    }

    fn name(&self, identifier: &KdlIdentifier) -> Spanned<String> {
        let start = identifier.span().offset();
        let length = identifier.repr().map_or(identifier.value().len(), str::len);
        let written = match self.mended.get(&start) {
            Some(ValueData::Text(meant)) => meant,
            _ => identifier.value(),
        };
        Spanned::new(written.to_owned(), self.span(start, start + length))
    }

    fn value(&self, entry: &KdlEntry) -> Value {
        let end = entry.span().offset() + entry.span().len();
        let written = entry.format().map_or(0, |f| f.value_repr.len());
        let span = self.span(end.saturating_sub(written), end);
        let annotation = entry.ty().map(|name| self.name(name));
        if let Some(data) = self.mended.get(&span.start) {
            return Value { data: data.clone(), annotation, span, inner: None };
        }
        let data = data(entry.value(), &self.text[span.start..span.end]);
        let inner = inner(&data, &self.text[span.start..span.end]).map(|(from, to)| span.within(from, to));
        Value { data, annotation, span, inner }
    }
}

fn data(value: &KdlValue, written: &str) -> ValueData {
    match value {
        KdlValue::String(text) => ValueData::Text(text.clone()),
        KdlValue::Bool(flag) => ValueData::Flag(*flag),
        KdlValue::Null => ValueData::Null,
        KdlValue::Integer(_) | KdlValue::Float(_) => ValueData::Number(written.to_owned()),
    }
}

/// Where the text of a string stands inside `written`, if it stands there byte for byte.
fn inner(data: &ValueData, written: &str) -> Option<(usize, usize)> {
    let ValueData::Text(text) = data else { return None };
    let marks = written.find('"').map_or(0, |quote| quote + 1);
    let end = written.len().checked_sub(marks)?;
    (written.get(marks..end)? == text).then_some((marks, end))
}

/// From each `{` to the first byte after the `}` that closes it.
fn blocks(tokens: &[Token]) -> BTreeMap<usize, usize> {
    let mut open = Vec::new();
    let mut pairs = BTreeMap::new();
    for token in tokens {
        match token.kind {
            Kind::Open => open.push(token.start),
            Kind::Close => {
                if let Some(start) = open.pop() {
                    pairs.insert(start, token.end);
                }
            }
            _ => {}
        }
    }
    pairs
}
