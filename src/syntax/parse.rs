//! Text to tree: guards first, then the parser, then the conversion.

use super::convert::Converter;
use super::node::Document;
use super::tokens::{Kind, Token, tokens};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::source::{SourceId, Span};

/// Blocks nested deeper are refused: the parser recurses, and would overflow its stack far above this.
pub const MAX_DEPTH: usize = 32;

/// Longer texts are refused; a recipe of this size would hold forty thousand nodes.
pub const MAX_TEXT_BYTES: usize = 4 * 1024 * 1024;

/// The text is larger than any recipe.
pub static TEXT_TOO_LARGE: Finding = Finding {
    rule: "syntax/text-too-large",
    severity: Severity::Error,
    title: "a recipe is larger than 4 MB",
    explanation: "A recipe says what to make; pictures and geometry stay in files of their own. A text of several \
        megabytes is most likely a drawing or a table under a wrong name, and reading it would take minutes.",
    wrong: "use \"heron.svg\"",
    right: "artwork \"heron\" file=\"heron.svg\"",
};

/// The text holds NUL characters.
pub static NOT_A_TEXT: Finding = Finding {
    rule: "syntax/not-a-text",
    severity: Severity::Error,
    title: "a file is not a text in UTF-8",
    explanation: "A NUL character never stands in a recipe. It shows that the file is a picture, a program or an \
        archive, or a text in UTF-16: save it as UTF-8.",
    wrong: "use \"bench.zip\"",
    right: "use \"bench.shop.kdl\"",
};

/// Blocks stand in each other more than [`MAX_DEPTH`] deep.
pub static NESTED_TOO_DEEP: Finding = Finding {
    rule: "syntax/nested-too-deep",
    severity: Severity::Error,
    title: "blocks are nested more than 32 deep",
    explanation: "No recipe needs more than a handful of blocks in each other. Name an inner shape and use it by \
        its name instead. The limit also keeps a faulty or hostile file from exhausting the memory for calls.",
    wrong: "weld { weld { weld { \u{2026} } } }",
    right: "shape \"inner\" { weld { circle \"5 mm\" } }\nshape \"outer\" { weld { figure \"inner\" } }",
};

/// The parser refuses the text for a reason that has no rule of its own.
pub static NOT_UNDERSTOOD: Finding = Finding {
    rule: "syntax/not-understood",
    severity: Severity::Error,
    title: "a text breaks the rules of KDL",
    explanation: "Recipes are written in KDL 2: a node is a name, then values and `name=value` properties on the \
        same line, then a block of further nodes in braces. One plain word needs no quotes; everything else does.",
    wrong: "sheet = \"12 in\"",
    right: "sheet \"12 in\" \"12 in\"",
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
    match kdl::KdlDocument::parse_v2(&without_comments(text, &tokens)) {
        Ok(tree) => Some(Converter::new(source, text, &tokens, Vec::new()).document(&tree)),
        Err(error) => {
            sink.push(not_understood(source, text, &error));
            None
        }
    }
}

fn unreadable(source: SourceId, text: &str) -> Option<Diagnostic> {
    if text.len() > MAX_TEXT_BYTES {
        let message = format!("this text has {} bytes; a recipe has at most {MAX_TEXT_BYTES}", text.len());
        return Some(Diagnostic::new(&TEXT_TOO_LARGE, message).at(Span::new(source, 0, 0), "this file"));
    }
    let at = text.find('\0')?;
    Some(
        Diagnostic::new(&NOT_A_TEXT, "this file holds a NUL character, so it is no text in UTF-8")
            .at(Span::new(source, at, at + 1), "the first one")
            .repair("name a recipe or shop file here, or save it again as UTF-8"),
    )
}

fn too_deep(source: SourceId, tokens: &[Token]) -> Option<Diagnostic> {
    let mut depth = 0_usize;
    for token in tokens {
        match token.kind {
            Kind::Open => depth += 1,
            Kind::Close => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth > MAX_DEPTH {
            let message = format!("blocks are nested more than {MAX_DEPTH} deep");
            let place = Span::new(source, token.start, token.end);
            return Some(
                Diagnostic::new(&NESTED_TOO_DEEP, message)
                    .at(place, "one block too many")
                    .repair("give an inner shape a name of its own and use it by that name"),
            );
        }
    }
    None
}

/// The text with blanks for its comments, byte for byte as long: the parser recurses in block comments, and a
/// row of stars would overflow its stack.
fn without_comments(text: &str, tokens: &[Token]) -> String {
    let mut clean = String::with_capacity(text.len());
    for token in tokens {
        match token.kind {
            Kind::LineComment | Kind::HashComment | Kind::BlockComment { closed: true } => {
                clean.extend(std::iter::repeat_n(' ', token.end - token.start));
            }
            _ => clean.push_str(&text[token.start..token.end]),
        }
    }
    clean
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
