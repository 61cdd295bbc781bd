//! What keeps a faulty or hostile text from the parser.

use super::tokens::{Kind, Token};
use crate::diagnostics::{Diagnostic, Finding, Severity};
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

/// Refuses what is no text, or none of a recipe's size.
pub(super) fn unreadable(source: SourceId, text: &str) -> Option<Diagnostic> {
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

/// Refuses blocks nested deeper than [`MAX_DEPTH`].
pub(super) fn too_deep(source: SourceId, tokens: &[Token]) -> Option<Diagnostic> {
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
