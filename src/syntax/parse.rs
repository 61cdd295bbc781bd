//! Text to tree: guards first, then the parser, then the conversion.

use super::convert::Converter;
use super::guards::{too_deep, unreadable};
use super::node::Document;
use super::reader::{Patch, read};
use super::tokens::tokens;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::source::{SourceId, Span};

/// The parser refuses the text for a reason that has no rule of its own.
pub static NOT_UNDERSTOOD: Finding = Finding {
    rule: "syntax/not-understood",
    severity: Severity::Error,
    title: "a text breaks the rules of KDL",
    explanation: "Recipes are written in KDL 2: a node is a name, then values and `name=value` properties on the \
        same line, then a block of further nodes in braces. One plain word needs no quotes; everything else does.",
    wrong: "about #\"\"\"#",
    right: "about \"\\\"\"",
};

/// Reads a text. Every mistake goes to `sink`; `None` when no tree can be made of it.
pub fn parse(source: SourceId, text: &str, sink: &mut Sink) -> Option<Document> {
    if let Some(refusal) = unreadable(source, text) {
        sink.push(refusal);
        return None;
    }
    let tokens = tokens(text);
    if let Some(refusal) = too_deep(source, &tokens) {
        sink.push(refusal);
        return None;
    }
    let reading = read(source, text, &tokens, sink);
    if !reading.readable {
        return None;
    }
    match kdl::KdlDocument::parse_v2(&patched(text, &reading.patches)) {
        Ok(tree) => Some(Converter::new(source, text, &tokens, reading.values).document(&tree)),
        Err(error) => {
            // What the walk has found is no reason for the parser to fail: this is a mistake of its own.
            sink.push(not_understood(source, text, &error));
            None
        }
    }
}

/// The text as the parser sees it, byte for byte as long.
///
/// Comments and what is commented out are blank: the parser recurses in block comments, so that a row of stars
/// would overflow its stack, and it takes twice the time for each level of blocks that are commented out.
fn patched(text: &str, patches: &[Patch]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for patch in patches {
        bytes[patch.start..patch.end].fill(patch.filler);
    }
    // Patches start and end at character boundaries and fill with ASCII, so nothing is ever replaced here.
    String::from_utf8_lossy(&bytes).into_owned()
}

/// The parser's first and innermost complaint, for what no rule of ours describes.
fn not_understood(source: SourceId, text: &str, error: &kdl::KdlError) -> Diagnostic {
    let place = error.diagnostics.iter().map(|d| (d.span.offset(), d.span.len())).min().unwrap_or((0, 0));
    let start = floor(text, place.0);
    let end = floor(text, place.0 + place.1).max(start);
    Diagnostic::new(&NOT_UNDERSTOOD, "this is not KDL")
        .at(Span::new(source, start, end), "not understood from here")
}

/// The nearest character boundary at or before `at`.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
