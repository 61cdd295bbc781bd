//! KDL text to a tree of nodes with spans.
//!
//! In: a text. Out: a [`Document`].

mod node;

pub use node::{Document, Node, Property, Value, ValueData};
