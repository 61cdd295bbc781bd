//! The spanned tree that a recipe's text becomes.

use crate::source::{Span, Spanned};

/// A whole text.
#[derive(Clone, Debug)]
pub struct Document {
    /// Its nodes, in order; nodes that are commented out are not among them.
    pub nodes: Vec<Node>,
    /// The whole text.
    pub span: Span,
}

impl Document {
    /// The node that stands for the whole text. Its head is the first word, which is what is underlined when something is
    /// missing from the file.
    pub fn into_file(self) -> Node {
        let source = self.span.source;
        let head = self.nodes.first().map_or(Span::new(source, 0, 0), |n| n.name.span);
        Node {
            name: Spanned::new("file".to_owned(), head),
            arguments: Vec::new(),
            properties: Vec::new(),
            children: Some(self.nodes),
            span: self.span,
            head,
        }
    }
}

/// One node. Everything that was written is kept, doubled properties too.
#[derive(Clone, Debug)]
pub struct Node {
    /// Its name.
    pub name: Spanned<String>,
    /// Its arguments, in order.
    pub arguments: Vec<Value>,
    /// Its properties, in order.
    pub properties: Vec<Property>,
    /// Its children; `None` without braces.
    pub children: Option<Vec<Node>>,
    /// From its name to the end of its children.
    pub span: Span,
    /// From its name to the end of its last argument or property: what is underlined in messages.
    pub head: Span,
}

/// `name=value`.
#[derive(Clone, Debug)]
pub struct Property {
    /// Its name.
    pub name: Spanned<String>,
    /// Its value.
    pub value: Value,
    /// Name and value.
    pub span: Span,
}

/// One value.
#[derive(Clone, Debug)]
pub struct Value {
    /// What was written.
    pub data: ValueData,
    /// The annotation in parentheses before it, as in `(in)8.5`.
    pub annotation: Option<Spanned<String>>,
    /// The value with its quotes, without its annotation.
    pub span: Span,
    /// The text between the quotes, where it stands byte for byte as in [`ValueData::Text`] (no escapes);
    /// `None` otherwise. Lets a message point at one word inside a string.
    pub inner: Option<Span>,
}

/// What a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum ValueData {
    /// A string, quoted or not.
    Text(String),
    /// A number, as it is written.
    Number(String),
    /// `#true` or `#false`.
    Flag(bool),
    /// `#null`.
    Null,
}

impl Value {
    /// The span of bytes `start..end` of a text value; the whole value where that is not known.
    pub fn inside(&self, start: usize, end: usize) -> Span {
        self.inner.map_or(self.span, |inner| inner.within(start, end))
    }

    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.data {
            ValueData::Text(text) => Some(text),
            _ => None,
        }
    }
}
