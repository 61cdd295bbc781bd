//! Reads the names of nodes and properties.

use super::marks;
use super::node::ValueData;
use super::reader::Reader;
use super::strings;
use super::tokens::{Kind, Quoted, Token};
use super::values::ANNOTATION;
use super::words::{self, Word};
use crate::diagnostics::{Diagnostic, Finding, Severity};

/// A name that is none.
pub static NAME: Finding = Finding {
    rule: "syntax/name",
    severity: Severity::Error,
    title: "a node or property does not start with a name",
    explanation: "A node starts with its name, and a property is `name=value`. A name is a plain word; numbers, `#true` \
        and the like are values and stand behind it.",
    wrong: "3 circle",
    right: "circle \"3 mm\"",
};

impl Reader<'_> {
    /// Refuses `(unit)` before a node.
    pub fn node_annotation(&mut self) {
        let Some(open) = self.token().filter(|t| t.kind == Kind::ParenthesisOpen) else { return };
        let close = self.closing_parenthesis();
        let inside =
            self.tokens[self.at + 1..close.unwrap_or(self.at + 1)].iter().filter(|t| t.kind != Kind::Space);
        let is_unit = inside.clone().count() == 1 && inside.clone().all(|t| self.is_unit(*t));
        let end = close.map_or(open.end, |at| self.tokens[at].end);
        let span = self.span(open.start, end);
        let fault = Diagnostic::new(&ANNOTATION, "a node takes no parentheses before its name")
            .at(span, "only numbers may have their unit there")
            .repair_with("remove them", span, "");
        self.go_to(end);
        self.skip_space();
        if is_unit && matches!(self.kind(), Some(Kind::Bare | Kind::Quoted(_))) {
            self.suspect(fault);
            self.patch(open.start, end, b' ');
        } else {
            self.broken(fault);
        }
    }

    fn is_unit(&self, token: Token) -> bool {
        match token.kind {
            Kind::Quoted(quoted) => quoted.closed,
            Kind::Bare => is_plain(self.written(token)),
            _ => false,
        }
    }

    /// Reads the name of a node; tells whether its line can be read on.
    pub fn node_name(&mut self) -> bool {
        let Some(token) = self.token() else { return false };
        match token.kind {
            Kind::Quoted(quoted) => {
                let starts = self.key_end().is_none();
                self.name_in_quotes(token, quoted);
                return quoted.closed && (starts || self.property_alone(token));
            }
            Kind::Bare => {}
            _ => {
                let fault = marks::stray(self.span_of(token), self.written(token));
                self.broken(fault);
                return false;
            }
        }
        if self.key_end().is_some() {
            return self.property_alone(token);
        }
        self.name(token, "node")
    }

    /// `name=value` where a node has to stand.
    fn property_alone(&mut self, token: Token) -> bool {
        let fault = marks::property_without_node(self.span_of(token), self.written(token));
        self.broken(fault);
        false
    }

    /// Reads the name of a property.
    pub fn property_name(&mut self, token: Token) {
        match token.kind {
            Kind::Quoted(quoted) => self.name_in_quotes(token, quoted),
            _ => {
                self.name(token, "property");
            }
        }
    }

    fn name_in_quotes(&mut self, token: Token, quoted: Quoted) {
        self.at += 1;
        let Some(fault) = strings::fault(self.span_of(token), self.written(token), quoted) else { return };
        match fault.meant {
            Some(meant) => self.mended(fault.diagnostic, token.start, token.end, ValueData::Text(meant)),
            None => self.broken(fault.diagnostic),
        }
    }

    /// Reads a name without quotes; `what` it names is for the message.
    fn name(&mut self, token: Token, what: &str) -> bool {
        if self.wrong_quotes(token) {
            return true;
        }
        self.at += 1;
        let word = self.written(token);
        if let Some((at, c)) = word.char_indices().find(|&(_, c)| strings::is_invisible(c)) {
            let fault = strings::invisible(self.span(token.start + at, token.start + at + c.len_utf8()), c);
            let meant = word.replace(strings::is_invisible, "");
            self.mended(fault, token.start, token.end, ValueData::Text(meant));
            return true;
        }
        match words::classify(word) {
            Word::Plain => {
                self.colon_behind_name(token, word);
                true
            }
            Word::Comma if is_plain(word.trim_end_matches(',')) => {
                let comma = self.span(token.start + word.trim_end_matches(',').len(), token.end);
                let fault = Diagnostic::new(&words::COMMA, "no comma stands behind a name")
                    .at(comma, "would become part of the name")
                    .repair_with("remove it", comma, "");
                self.suspect(fault);
                self.patch(comma.start, comma.end, b' ');
                true
            }
            _ => {
                let fault = Diagnostic::new(&NAME, format!("`{word}` is not the name of a {what}"))
                    .at(self.span_of(token), format!("expected the name of a {what}"))
                    .repair(format!("write the name of the {what} first, then its values"));
                self.broken(fault);
                true
            }
        }
    }

    /// `sheet: 3`, and `:` behind the last word of a node.
    fn colon_behind_name(&mut self, token: Token, word: &str) {
        let Some(name) = word.strip_suffix(':').filter(|n| is_plain(n)) else { return };
        let colon = self.span(token.end - 1, token.end);
        let fault = Diagnostic::new(&words::COLON, format!("`{word}` ends with a colon"))
            .at(colon, "would become part of the name")
            .repair_with(format!("write `{name}`"), colon, "");
        self.suspect(fault);
        self.patch(colon.start, colon.end, b' ');
    }
}

/// Whether `word` can be a name without quotes.
pub(super) fn is_plain(word: &str) -> bool {
    !word.is_empty() && words::classify(word) == Word::Plain
}
