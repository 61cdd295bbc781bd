//! Findings about `{` and `}`, and the memory that tells which of them is the wrong one.

use super::tokens::{Token, is_newline, is_space};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::source::{SourceId, Span};

/// A `{` without its `}`.
pub static UNCLOSED_BLOCK: Finding = Finding {
    rule: "syntax/unclosed-block",
    severity: Severity::Error,
    title: "a block is opened with `{` and never closed",
    explanation: "Each `{` needs a `}`. The place that is shown is the block whose `}` is missing as far as the \
        indentation tells: the first one that something further out was closed before.",
    wrong: "run \"cut\" {\n    cut \"board\"",
    right: "run \"cut\" {\n    cut \"board\"\n}",
};

/// A `}` without its `{`.
pub static STRAY_BRACE: Finding = Finding {
    rule: "syntax/stray-brace",
    severity: Severity::Error,
    title: "a `}` closes nothing",
    explanation: "Each `}` closes the last block that is still open. When one is too many, either it is left over or a \
        `}` further up has already closed the block.",
    wrong: "board { circle \"40 mm\" } }",
    right: "board { circle \"40 mm\" }",
};

/// A `{` that does not follow a node on its line.
pub static BLOCK_WITHOUT_NAME: Finding = Finding {
    rule: "syntax/block-without-name",
    severity: Severity::Error,
    title: "a `{` does not stand on the line of its node",
    explanation: "A node ends with its line. A `{` on the next line therefore belongs to no node: write it behind \
        the node's last value.",
    wrong: "board\n{\n    circle \"40 mm\"\n}",
    right: "board {\n    circle \"40 mm\"\n}",
};

/// Something behind a block on its line.
pub static AFTER_BLOCK: Finding = Finding {
    rule: "syntax/after-block",
    severity: Severity::Error,
    title: "something follows a block on the same line",
    explanation: "A node ends with its block. Values and properties stand before the `{`, and the next node starts on \
        a new line or behind a `;`.",
    wrong: "run \"cut\" { cut \"board\" } run \"mark\" { score \"sun\" }",
    right: "run \"cut\" { cut \"board\" }\nrun \"mark\" { score \"sun\" }",
};

/// The blocks that are open, and the first closings that do not stand under their node.
#[derive(Default)]
pub(super) struct Blocks {
    open: Vec<Block>,
    /// A `}` further left than the block it closes: that block's own is missing.
    too_late: Option<(Block, Token)>,
    /// A `}` further right than the block it closes: it is one too many.
    too_early: Option<(Block, Token)>,
    /// Start of the line that was looked at last, and how far the text was searched for line ends.
    line: (usize, usize),
}

#[derive(Clone)]
struct Block {
    brace: Token,
    node: String,
    indent: usize,
}

impl Blocks {
    /// Remembers that a block opens.
    pub fn open(&mut self, brace: Token, text: &str) {
        let line = self.line_before(text, brace.start);
        let node = line.split(|c| is_space(c) || c == ';').find(|w| !w.is_empty()).unwrap_or("").to_owned();
        self.open.push(Block { brace, node, indent: indent(line) });
    }

    /// Remembers that a block closes, and whether its `}` stands under its node.
    pub fn close(&mut self, brace: Token, text: &str) {
        let Some(block) = self.open.pop() else { return };
        let line = self.line_before(text, brace.start);
        if !line.chars().all(is_space) {
            return;
        }
        if line.len() < block.indent && self.too_late.is_none() {
            self.too_late = Some((block, brace));
        } else if line.len() > block.indent && self.too_early.is_none() {
            self.too_early = Some((block, brace));
        }
    }

    /// The line up to byte `at`. Braces come in the order of the text, so each byte is searched once.
    fn line_before<'t>(&mut self, text: &'t str, at: usize) -> &'t str {
        let (start, searched) = self.line;
        let last = text[searched..at].char_indices().rev().find(|(_, c)| is_newline(*c));
        self.line = (last.map_or(start, |(i, c)| searched + i + c.len_utf8()), at);
        text[self.line.0..at].trim_start_matches('\u{FEFF}')
    }

    /// A `}` that closes nothing.
    pub fn stray(&self, span: Span) -> Diagnostic {
        let finding = Diagnostic::new(&STRAY_BRACE, "this `}` closes nothing")
            .at(span, "no block is open here")
            .repair("remove the `}` that is too many");
        match &self.too_early {
            Some((block, brace)) => {
                let place = Span::new(span.source, brace.start, brace.end);
                finding
                    .also(place, format!("probably this one: it closes `{}` and is indented further", block.node))
            }
            None => finding,
        }
    }

    /// The block that is open at the end of the text and whose `}` is most likely missing.
    pub fn unclosed(&self, source: SourceId, text: &str) -> Option<Diagnostic> {
        let last = self.open.last()?;
        let block = self.too_late.as_ref().map_or(last, |(block, _)| block);
        let name =
            if block.node.is_empty() { "this block".to_owned() } else { format!("the block of `{}`", block.node) };
        let place = Span::new(source, block.brace.start, block.brace.end);
        let finding = Diagnostic::new(&UNCLOSED_BLOCK, format!("{name} is never closed"))
            .at(place, "opened here")
            .repair("write a `}` where the block ends");
        Some(match &self.too_late {
            Some((_, brace)) => finding
                .also(Span::new(source, brace.start, brace.end), "closes it, but stands under a node further out"),
            None => finding.also(Span::new(source, text.len(), text.len()), "the text ends before its `}`"),
        })
    }
}

/// A `{` at the start of a line; `previous` is the last thing that stands before it.
pub(super) fn without_name(span: Span, previous: Option<Span>, text: &str) -> Diagnostic {
    let is_part_of_node = |p: &Span| !text[p.start..p.end].starts_with(['{', '}', ';', '/', '#', '\\']);
    let finding = Diagnostic::new(&BLOCK_WITHOUT_NAME, "this block belongs to no node");
    match previous.filter(is_part_of_node) {
        Some(before) => finding
            .at(span, "has to stand on the line of its node")
            .also(before, "this node has ended with its line")
            .repair_with("move the `{` up", Span::new(span.source, before.end, span.start), " "),
        None => finding
            .at(span, "expected the name of a node before it")
            .repair("write the name of the node whose block this is"),
    }
}

/// Something behind a block.
pub(super) fn after_block(span: Span, written: &str) -> Diagnostic {
    let finding = Diagnostic::new(&AFTER_BLOCK, format!("a node ends with its block, but `{written}` follows"));
    if written == "{" {
        return finding.at(span, "a second block").repair("put everything into one block");
    }
    finding
        .at(span, "expected the end of the line")
        .repair("start a new line for the next node, or move the value before the `{`")
}

fn indent(line: &str) -> usize {
    line.len() - line.trim_start_matches(is_space).len()
}
