//! Walks the tokens as the grammar does and says what is wrong where, before the parser sees the text.
//!
//! A mistake inside one value is reported and mended: the value is known all the same, and the rest of the text
//! is still read. A mistake in the structure is reported and the text is not parsed.

use super::blocks::{self, Blocks};
use super::marks;
use super::node::ValueData;
use super::tokens::{Kind, Token, is_newline};
use super::words;
use crate::diagnostics::{Diagnostic, Sink};
use crate::source::{SourceId, Span};
use std::collections::BTreeMap;

/// Further findings in one text are not reported: whoever mends so many runs the check again anyway.
const MAX_FINDINGS: usize = 100;

/// Bytes of a line in which the end of a list or of a quoted text is looked for.
const MAX_LOOK_AHEAD: usize = 500;

/// Bytes of the text that the parser gets to see as something else, byte for byte as long.
pub(super) struct Patch {
    /// First byte.
    pub start: usize,
    /// First byte after it.
    pub end: usize,
    /// What stands for each byte.
    pub filler: u8,
}

/// What the walk has found out.
#[derive(Default)]
pub(super) struct Reading {
    /// Comments, nodes that are commented out, and values that are mended.
    pub patches: Vec<Patch>,
    /// The mended values by their first byte.
    pub values: BTreeMap<usize, ValueData>,
    /// Whether the patched text can be parsed.
    pub readable: bool,
}

/// Walks `tokens`, which tile `text`.
pub(super) fn read(source: SourceId, text: &str, tokens: &[Token], sink: &mut Sink) -> Reading {
    let reading = Reading { readable: true, ..Reading::default() };
    let mut reader =
        Reader { source, text, tokens, at: 0, sink, reading, blocks: Blocks::default(), commented: 0, found: 0 };
    reader.document();
    reader.reading
}

/// The state of a walk.
pub(super) struct Reader<'a> {
    pub source: SourceId,
    pub text: &'a str,
    pub tokens: &'a [Token],
    /// Index of the token that is looked at.
    pub at: usize,
    pub blocks: Blocks,
    pub reading: Reading,
    sink: &'a mut Sink,
    /// How many `/-` the walk stands in.
    commented: usize,
    /// How many findings were reported.
    found: usize,
}

impl<'a> Reader<'a> {
    pub fn token(&self) -> Option<Token> {
        self.tokens.get(self.at).copied()
    }

    pub fn kind(&self) -> Option<Kind> {
        self.token().map(|t| t.kind)
    }

    pub fn written(&self, token: Token) -> &'a str {
        &self.text[token.start..token.end]
    }

    pub fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.source, start, end)
    }

    pub fn span_of(&self, token: Token) -> Span {
        self.span(token.start, token.end)
    }

    fn report(&mut self, diagnostic: Diagnostic) {
        self.found += 1;
        if self.found <= MAX_FINDINGS {
            self.sink.push(diagnostic);
        }
    }

    /// The rest of the line from byte `start`, as far as anything is looked for ahead: searching further would
    /// take a time that grows with the square of the line's length.
    pub fn line_from(&self, start: usize) -> &'a str {
        let rest = &self.text[start..];
        let ends = |(index, c): &(usize, char)| is_newline(*c) || MAX_LOOK_AHEAD <= *index;
        let end = rest.char_indices().find(ends).map_or(rest.len(), |(index, _)| index);
        &rest[..end]
    }

    /// Whether what is read here is commented out.
    pub const fn commented(&self) -> bool {
        self.commented > 0
    }

    /// Reports what makes the text unreadable.
    pub fn broken(&mut self, diagnostic: Diagnostic) {
        self.report(diagnostic);
        self.reading.readable = false;
    }

    /// Reports what the parser would read, but not as it was meant. What is commented out means nothing.
    pub fn suspect(&mut self, diagnostic: Diagnostic) {
        if self.commented == 0 {
            self.report(diagnostic);
        }
    }

    /// Reports a wrong value in `start..end` that is taken for `data` from here on.
    pub fn mended(&mut self, diagnostic: Diagnostic, start: usize, end: usize, data: ValueData) {
        self.report(diagnostic);
        self.patch(start, end, b'_');
        self.reading.values.insert(start, data);
    }

    /// Lets the parser see `filler` for each byte of `start..end`.
    pub fn patch(&mut self, start: usize, end: usize, filler: u8) {
        self.reading.patches.push(Patch { start, end, filler });
    }

    /// Goes to the first token at or after byte `end`.
    pub fn go_to(&mut self, end: usize) {
        while self.token().is_some_and(|t| t.start < end) {
            self.at += 1;
        }
    }

    /// Skips what may stand between the parts of a node; tells whether there was anything.
    pub fn skip_space(&mut self) -> bool {
        let before = self.at;
        loop {
            match self.token() {
                Some(t @ Token { kind: Kind::BlockComment { closed }, .. }) => self.block_comment(t, closed),
                Some(Token { kind: Kind::Space, .. }) => self.at += 1,
                Some(Token { kind: Kind::Continuation, .. }) => self.continued_line(),
                _ => return self.at > before,
            }
        }
    }

    /// Skips what may stand between nodes.
    fn skip_lines(&mut self) {
        loop {
            self.skip_space();
            match self.token() {
                Some(Token { kind: Kind::Newline, .. }) => self.at += 1,
                Some(t @ Token { kind: Kind::LineComment, .. }) => self.comment(t),
                Some(t @ Token { kind: Kind::HashComment, .. }) => {
                    let fault = marks::hash_comment(self.span_of(t), self.written(t));
                    self.report(fault);
                    self.comment(t);
                }
                _ => return,
            }
        }
    }

    fn comment(&mut self, token: Token) {
        self.patch(token.start, token.end, b' ');
        self.at += 1;
    }

    fn block_comment(&mut self, token: Token, closed: bool) {
        if !closed {
            let fault = marks::unclosed_comment(self.span(token.start, token.start + 2));
            self.broken(fault);
        }
        self.comment(token);
    }

    /// Skips a `\` and everything up to the end of its line.
    fn continued_line(&mut self) {
        self.at += 1;
        while let Some(token) = self.token() {
            match token.kind {
                Kind::Newline => {
                    self.at += 1;
                    return;
                }
                Kind::LineComment | Kind::BlockComment { .. } => self.comment(token),
                _ => self.at += 1,
            }
        }
    }

    /// Skips the rest of a line that cannot be made sense of, but not the blocks it opens or closes.
    pub fn skip_rest_of_line(&mut self) {
        while let Some(token) = self.token() {
            match token.kind {
                Kind::Newline | Kind::Close | Kind::Semicolon => return,
                Kind::Open => self.block(),
                Kind::LineComment | Kind::HashComment | Kind::BlockComment { .. } => self.comment(token),
                Kind::Continuation => self.continued_line(),
                _ => self.at += 1,
            }
        }
    }

    fn document(&mut self) {
        self.kdl_version();
        loop {
            self.nodes();
            let Some(token) = self.token() else { break };
            let fault = self.blocks.stray(self.span_of(token));
            self.broken(fault);
            self.at += 1;
        }
        if let Some(fault) = self.blocks.unclosed(self.source, self.text) {
            self.broken(fault);
        }
    }

    fn kdl_version(&mut self) {
        self.skip_lines();
        let bare: Vec<Token> =
            self.tokens[self.at..].iter().filter(|t| t.kind != Kind::Space).take(3).copied().collect();
        let [dash, name, version] = bare[..] else { return };
        if dash.kind == Kind::Slashdash && self.written(name) == "kdl-version" && self.written(version) != "2" {
            let fault = marks::kdl_version(self.span_of(version), self.written(version));
            self.suspect(fault);
        }
    }

    /// Nodes up to the end of the text or to a `}`.
    fn nodes(&mut self) {
        loop {
            self.skip_lines();
            match self.kind() {
                None | Some(Kind::Close) => return,
                Some(Kind::Slashdash) => self.commented_out(Self::node),
                _ => self.node(),
            }
        }
    }

    /// Reads what follows a `/-` and hides both from the parser: nested ones take it a time that doubles with
    /// each level.
    fn commented_out(&mut self, what: fn(&mut Self)) {
        let Some(dash) = self.token() else { return };
        self.at += 1;
        self.commented += 1;
        self.skip_lines();
        if matches!(self.kind(), None | Some(Kind::Close | Kind::Semicolon)) {
            let fault = marks::nothing_commented_out(self.span_of(dash));
            self.broken(fault);
        } else {
            what(self);
        }
        self.commented -= 1;
        let end = self.token().map_or(self.text.len(), |t| t.start);
        self.patch(dash.start, end, b' ');
    }

    fn node(&mut self) {
        match self.token() {
            Some(t @ Token { kind: Kind::Open, .. }) => {
                let previous =
                    self.tokens[..self.at].iter().rev().find(|t| !matches!(t.kind, Kind::Space | Kind::Newline));
                let fault = blocks::without_name(self.span_of(t), previous.map(|t| self.span_of(*t)), self.text);
                self.broken(fault);
                self.block();
                return self.skip_rest_of_line();
            }
            Some(t @ Token { kind: Kind::Equals | Kind::ParenthesisClose | Kind::Semicolon, .. }) => {
                let fault = marks::stray(self.span_of(t), self.written(t));
                self.broken(fault);
                self.at += 1;
                return self.skip_rest_of_line();
            }
            _ => {}
        }
        self.node_annotation();
        if !self.node_name() {
            return self.skip_rest_of_line();
        }
        self.entries();
        if self.kind() == Some(Kind::Semicolon) {
            self.at += 1;
        }
    }

    /// The arguments, properties and block of a node, up to the end of its line.
    fn entries(&mut self) {
        loop {
            let skipped = self.skip_space();
            let spaced = skipped || self.tokens[self.at - 1].kind == Kind::Space;
            let Some(token) = self.token() else { return };
            match token.kind {
                Kind::Open if spaced && self.is_reference_argument() => self.reference(),
                Kind::Open => {
                    self.block();
                    return self.after_block();
                }
                Kind::Slashdash if spaced => self.commented_out(Self::entry_or_block),
                Kind::Quoted(_) | Kind::Bare | Kind::ParenthesisOpen if spaced => self.entry(),
                Kind::Quoted(_) | Kind::Bare | Kind::ParenthesisOpen | Kind::Slashdash => {
                    if !self.touching(token) {
                        return self.skip_rest_of_line();
                    }
                }
                Kind::Equals | Kind::ParenthesisClose => {
                    let fault = marks::stray(self.span_of(token), self.written(token));
                    self.broken(fault);
                    return self.skip_rest_of_line();
                }
                _ => return,
            }
        }
    }

    fn entry_or_block(&mut self) {
        if self.kind() == Some(Kind::Open) { self.block() } else { self.entry() }
    }

    /// An argument or a property.
    fn entry(&mut self) {
        let Some(token) = self.token() else { return };
        let key = self.key_end();
        match (token.kind, key) {
            (Kind::Quoted(_) | Kind::Bare, Some(equals)) => {
                self.property_name(token);
                self.at = equals + 1;
                self.skip_space();
                self.property_value(self.tokens[equals]);
            }
            _ => self.value(),
        }
    }

    /// Index of the `=` behind the token that is looked at, if there is one.
    pub fn key_end(&mut self) -> Option<usize> {
        let here = self.at;
        self.at += 1;
        self.skip_space();
        let equals = (self.kind() == Some(Kind::Equals)).then_some(self.at);
        self.at = here;
        equals
    }

    fn property_value(&mut self, equals: Token) {
        match self.token() {
            Some(Token { kind: Kind::Quoted(_) | Kind::Bare | Kind::ParenthesisOpen, .. }) => self.value(),
            Some(Token { kind: Kind::Open, .. }) if self.reference_end().is_some() => self.reference(),
            _ => {
                let fault = words::missing_value(self.span_of(equals));
                self.broken(fault);
            }
        }
    }

    /// A `{ … }`. Called at its `{`.
    fn block(&mut self) {
        let Some(open) = self.token() else { return };
        self.blocks.open(open, self.text);
        self.at += 1;
        self.nodes();
        if let Some(close) = self.token() {
            self.blocks.close(close, self.text);
            self.at += 1;
        }
    }

    /// Only further blocks that are commented out may follow a block on its line.
    fn after_block(&mut self) {
        loop {
            self.skip_space();
            let Some(token) = self.token() else { return };
            match token.kind {
                Kind::Newline | Kind::LineComment | Kind::HashComment | Kind::Semicolon | Kind::Close => return,
                Kind::Slashdash => self.commented_out(Self::entry_or_block),
                _ => {
                    let fault = blocks::after_block(self.span_of(token), self.written(token));
                    self.broken(fault);
                    return self.skip_rest_of_line();
                }
            }
        }
    }
}
