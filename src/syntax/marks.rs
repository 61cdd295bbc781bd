//! Findings about comments and single marks.

use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::source::Span;

/// A `#` where a comment is meant.
pub static HASH_COMMENT: Finding = Finding {
    rule: "syntax/hash-comment",
    severity: Severity::Error,
    title: "a comment is written with `#`",
    explanation: "A comment starts with `//` and ends with its line; `/* \u{2026} */` may stand anywhere and `/-` turns \
        off the node, value or block behind it. `#` belongs to `#true`, `#false` and raw strings.",
    wrong: "# the birch from the attic\nstock \"birch-3\"",
    right: "// the birch from the attic\nstock \"birch-3\"",
};

/// A `/*` without its `*/`.
pub static UNCLOSED_COMMENT: Finding = Finding {
    rule: "syntax/unclosed-comment",
    severity: Severity::Error,
    title: "a comment is opened with `/*` and never closed",
    explanation: "Everything from `/*` to its `*/` is left out. Without the end, the rest of the recipe would be left \
        out and the job would lack parts. Comments may stand in each other, so each `/*` needs a `*/` of its own.",
    wrong: "/* softer wood\nstock \"birch-3\"",
    right: "/* softer wood */\nstock \"birch-3\"",
};

/// The first line names another KDL than 2.
pub static KDL_VERSION: Finding = Finding {
    rule: "syntax/kdl-version",
    severity: Severity::Error,
    title: "a text says that it is not written in KDL 2",
    explanation: "Recipes are KDL 2. In KDL 1, `true` and raw strings are written differently, so a text of the one \
        may be read as something else in the other.",
    wrong: "/- kdl-version 1\nrecipe \"tag\" language=1",
    right: "/- kdl-version 2\nrecipe \"tag\" language=1",
};

/// A mark where none can stand.
pub static STRAY_MARK: Finding = Finding {
    rule: "syntax/stray-mark",
    severity: Severity::Error,
    title: "a mark stands where it has no meaning",
    explanation: "`=` joins the name and the value of a property, on the line of its node. `(` and `)` enclose the unit \
        of the number behind them. `;` ends a node, like the end of the line. `/-` turns off what follows it. A \
        node that is too long for one line is continued with a `\\` at the end of the line.",
    wrong: "artwork \"heron\"\n    file=\"heron.svg\"",
    right: "artwork \"heron\" \\\n    file=\"heron.svg\"",
};

/// A comment that starts with `#`; `written` is the whole of it.
pub(super) fn hash_comment(span: Span, written: &str) -> Diagnostic {
    let hashes = written.len() - written.trim_start_matches('#').len();
    Diagnostic::new(&HASH_COMMENT, "`#` does not start a comment").at(span, "taken for a comment").repair_with(
        "write `//` for `#`",
        span.within(0, hashes),
        "//",
    )
}

/// A `/*` that is never closed.
pub(super) fn unclosed_comment(span: Span) -> Diagnostic {
    Diagnostic::new(&UNCLOSED_COMMENT, "this comment is never closed")
        .at(span, "opened here, and the text ends before its `*/`")
        .because("everything behind it would be left out of the job")
        .repair("write `*/` where the comment ends")
}

/// A first line that names another version than 2.
pub(super) fn kdl_version(span: Span, written: &str) -> Diagnostic {
    Diagnostic::new(&KDL_VERSION, format!("this text says that it is KDL {written}, but recipes are KDL 2"))
        .at(span, "expected `2`")
        .repair_with("check that the text is KDL 2 and write `/- kdl-version 2`", span, "2")
}

/// A `/-` with nothing behind it.
pub(super) fn nothing_commented_out(span: Span) -> Diagnostic {
    Diagnostic::new(&STRAY_MARK, "nothing follows this `/-`")
        .at(span, "turns off the node, value or block behind it")
        .repair("remove it, or write it before what it shall turn off")
}

/// A mark that cannot stand where it stands.
pub(super) fn stray(span: Span, written: &str) -> Diagnostic {
    let finding = Diagnostic::new(&STRAY_MARK, format!("`{written}` cannot stand here"));
    match written {
        "=" => finding
            .at(span, "expected the name of a property before it")
            .repair("write `name=value` on the line of its node; only one `=` joins a name and its value"),
        ")" => finding.at(span, "no `(` was opened before it").repair("remove it"),
        ";" => finding.at(span, "no node ends here").repair_with("remove it", span, ""),
        "/-" => finding.at(span, "one `/-` is enough").repair_with("remove it", span, ""),
        _ => finding.at(span, "expected a node, a value or the end of the line"),
    }
}

/// `name=value` at the start of a line.
pub(super) fn property_without_node(span: Span, name: &str) -> Diagnostic {
    Diagnostic::new(&STRAY_MARK, format!("the property `{name}` has no node"))
        .at(span, "starts a line, so it would be a node of its own")
        .repair("write it on the line of its node, or end the line before with a `\\`")
}
