//! KDL text to a tree of nodes with spans.
//!
//! In: a text. Out: a [`Document`], and a finding for everything in the text that is not KDL or that KDL reads
//! differently from what its writer meant.
//!
//! Invariant: every span lies inside the text, on character boundaries, and slices to what it names.

mod parse;
mod node;
mod tokens;
mod reader;
mod convert;

pub use node::{Document, Node, Property, Value, ValueData};
pub use parse::{MAX_DEPTH, MAX_TEXT_BYTES, parse};
