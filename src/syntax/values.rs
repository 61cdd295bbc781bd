//! Reads one value and what belongs to it, and mends what is wrong with it.

use super::names::is_plain;
use super::node::ValueData;
use super::reader::Reader;
use super::strings;
use super::tokens::{Kind, Quoted, Token, is_space};
use super::words::{self, Word};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::source::Span;

/// An annotation that cannot be read.
pub static ANNOTATION: Finding = Finding {
    rule: "syntax/annotation",
    severity: Severity::Error,
    title: "parentheses hold something else than the unit of the value behind them",
    explanation: "Parentheses before a number may hold its unit, as in `(in)8.5`; that is the same as `\"8.5 in\"`. A \
        unit with a slash goes in quotes: `(\"in/min\")5`. Nodes take no parentheses, and calculations stand inside \
        the quotes of a quantity.",
    wrong: "offset \"halo\" of=\"heron\" by=(2 mm)",
    right: "offset \"halo\" of=\"heron\" by=\"2 mm\"",
};

/// Two values without a blank between them.
pub static MISSING_BLANK: Finding = Finding {
    rule: "syntax/missing-blank",
    severity: Severity::Error,
    title: "two values touch each other",
    explanation: "Values and properties are parted by blanks. Where a text ends earlier than it should, a quote inside \
        it may be the reason: write it `\\\"`.",
    wrong: "lettering \"date\"font=\"gentium.ttf\"",
    right: "lettering \"date\" font=\"gentium.ttf\"",
};

impl Reader<'_> {
    /// Reads a value, with its annotation.
    pub fn value(&mut self) {
        if self.kind() == Some(Kind::ParenthesisOpen) && !self.annotation() {
            return;
        }
        let Some(token) = self.token() else { return };
        match token.kind {
            Kind::Quoted(quoted) => self.string(token, quoted),
            Kind::Bare => self.bare(token),
            _ => {}
        }
    }

    /// Reads `(unit)`; tells whether a value follows.
    fn annotation(&mut self) -> bool {
        let Some(open) = self.token() else { return false };
        let Some(close) = self.closing_parenthesis() else {
            let fault = Diagnostic::new(&ANNOTATION, "this parenthesis is never closed")
                .at(self.span_of(open), "opened here")
                .repair("write `)` behind the unit, or put quotes round the whole value");
            self.broken(fault);
            self.skip_rest_of_line();
            return false;
        };
        let (first, last) = (self.at + 1, close);
        let inside: Vec<Token> =
            self.tokens[first..last].iter().filter(|t| t.kind != Kind::Space).copied().collect();
        let end = self.tokens[close].end;
        let span = self.span(open.start, end);
        self.at = close + 1;
        self.skip_space();
        let followed = matches!(self.kind(), Some(Kind::Bare | Kind::Quoted(_)));
        let written = &self.text[open.start + 1..end - 1];
        match inside[..] {
            [Token { kind: Kind::Quoted(Quoted { closed: true, .. }), .. }] if followed => true,
            [unit] if followed && unit.kind == Kind::Bare => {
                if words::classify(self.written(unit)) == Word::NeedsQuotes {
                    let fault = words::needs_quotes(
                        self.span_of(unit),
                        written.trim(),
                        &format!("\"{}\"", written.trim()),
                    );
                    let meant = ValueData::Text(self.written(unit).to_owned());
                    self.mended(fault, unit.start, unit.end, meant);
                } else if words::classify(self.written(unit)) != Word::Plain {
                    self.broken(not_a_unit(span, written));
                }
                true
            }
            _ => {
                self.broken(not_a_unit(span, written));
                followed
            }
        }
    }

    /// Index of the `)` that closes the `(` which is looked at, on the same line.
    pub fn closing_parenthesis(&self) -> Option<usize> {
        let rest = &self.tokens[self.at..];
        let found = rest.iter().position(|t| matches!(t.kind, Kind::ParenthesisClose | Kind::Newline))?;
        (rest[found].kind == Kind::ParenthesisClose).then_some(self.at + found)
    }

    fn string(&mut self, token: Token, quoted: Quoted) {
        self.at += 1;
        let Some(fault) = strings::fault(self.span_of(token), self.written(token), quoted) else { return };
        match fault.meant {
            Some(meant) => self.mended(fault.diagnostic, token.start, token.end, ValueData::Text(meant)),
            None => self.broken(fault.diagnostic),
        }
    }

    /// Reads a value without quotes.
    fn bare(&mut self, token: Token) {
        if self.wrong_quotes(token) || self.older_raw_string(token) || self.quantity(token) {
            return;
        }
        self.at += 1;
        let word = self.written(token);
        if let Some((at, c)) = word.char_indices().find(|&(_, c)| strings::is_invisible(c)) {
            let fault = strings::invisible(self.span(token.start + at, token.start + at + c.len_utf8()), c);
            let meant = word.replace(strings::is_invisible, "");
            return self.mended(fault, token.start, token.end, ValueData::Text(meant));
        }
        let span = self.span_of(token);
        let text = || ValueData::Text(word.to_owned());
        match words::classify(word) {
            Word::Number | Word::Keyword => {}
            Word::Plain => self.plain(token),
            Word::Quantity(repaired) => {
                self.mended(
                    words::quantity(span, word, &repaired),
                    token.start,
                    token.end,
                    ValueData::Text(repaired),
                );
            }
            Word::Fraction => {
                self.mended(words::fraction_without_unit(span, word), token.start, token.end, text());
            }
            Word::Misformed(number) => {
                let fault = words::misformed(span, word, &number);
                self.mended(fault, token.start, token.end, ValueData::Number(number));
            }
            Word::TooManyDigits => self.broken(words::too_many_digits(span)),
            Word::BareKeyword => {
                let data = match word {
                    "null" => ValueData::Null,
                    flag => ValueData::Flag(flag == "true"),
                };
                self.mended(words::keyword_without_hash(span, word), token.start, token.end, data);
            }
            Word::UnknownKeyword => {
                self.mended(words::unknown_keyword(span, word), token.start, token.end, text());
            }
            Word::List => self.list(token),
            Word::Comma => self.comma(token, word),
            Word::NeedsQuotes => self.needs_quotes(token, word),
        }
    }

    /// A plain word: may still be a name with a colon that is meant as a property.
    fn plain(&mut self, token: Token) {
        let word = self.written(token);
        let Some(name) = word.strip_suffix(':').filter(|n| is_plain(n)) else { return };
        if let Some(comment) = self.token().filter(|t| t.kind == Kind::LineComment) {
            return self.address(token, comment);
        }
        let here = self.at;
        self.skip_space();
        let is_value = match self.token() {
            Some(t @ Token { kind: Kind::Bare, .. }) => {
                !self.written(t).ends_with(':') && self.key_end().is_none()
            }
            Some(Token { kind: Kind::Quoted(_) | Kind::ParenthesisOpen, .. }) => self.key_end().is_none(),
            _ => false,
        };
        if !is_value || self.commented() || self.is_needed(token) {
            self.at = here;
            return;
        }
        let value = self.token().map_or(token.end, |t| t.start);
        let colon = self.span(token.end - 1, value);
        let fault = Diagnostic::new(&words::COLON, format!("`{word}` ends with a colon"))
            .at(self.span_of(token), "a property is `name=value`")
            .repair_with(format!("write `{name}=`"), colon, "=");
        self.suspect(fault);
        // What follows is read next, as a value of its own; reading it here would recurse along the line.
        self.patch(token.end - 1, token.end, b'=');
    }

    /// `http://…`, whose `//` starts a comment.
    fn address(&mut self, token: Token, comment: Token) {
        let rest = self.written(comment);
        let end = comment.start + rest.find(is_space).unwrap_or(rest.len());
        let written = &self.text[token.start..end];
        let fault = words::needs_quotes(self.span(token.start, end), written, &format!("\"{written}\""))
            .also(self.span(comment.start, comment.start + 2), "starts a comment");
        if self.commented() {
            return;
        }
        self.patch(comment.start, comment.end, b' ');
        self.mended(fault, token.start, end, ValueData::Text(written.to_owned()));
        self.at += 1;
    }

    fn needs_quotes(&mut self, token: Token, word: &str) {
        let meant = word.replace('\\', "/");
        let fault = words::needs_quotes(self.span_of(token), word, &format!("\"{}\"", meant.replace('"', "")));
        self.mended(fault, token.start, token.end, ValueData::Text(meant));
    }

    /// A value with a comma behind it: the value is read as if the comma were not there.
    fn comma(&mut self, token: Token, word: &str) {
        let value = word.trim_end_matches(',');
        let comma = self.span(token.start + value.len(), token.end);
        let fault = Diagnostic::new(&words::COMMA, "values are parted by blanks, not by commas")
            .at(comma, "would become part of the value")
            .repair_with("remove it", comma, "");
        let stands = if value.is_empty() {
            !self.is_needed(token)
        } else {
            matches!(words::classify(value), Word::Plain | Word::Number)
        };
        if !stands {
            return self.broken(fault);
        }
        self.suspect(fault);
        self.patch(comma.start, comma.end, b' ');
    }

    /// Whether the value `token` has to be there, because a `=` or a `(unit)` stands before it.
    fn is_needed(&self, token: Token) -> bool {
        let before = self.tokens[..self.at].iter().rev().skip_while(|t| t.start >= token.start);
        let mut marks = before.skip_while(|t| matches!(t.kind, Kind::Space | Kind::BlockComment { .. }));
        marks.next().is_some_and(|t| matches!(t.kind, Kind::Equals | Kind::ParenthesisClose))
    }

    /// `[`, values, `]`.
    fn list(&mut self, token: Token) {
        let line = self.line_from(token.start);
        let end = line.find(']').map_or(token.end, |at| token.start + at + 1).max(token.end);
        let written = &self.text[token.start..end];
        let span = self.span(token.start, end);
        let fault = Diagnostic::new(&words::LIST, "KDL has no lists").at(span, "several values follow each other");
        let values = written.trim_matches(['[', ']', ',']).replace(", ", " ").replace(',', " ");
        let is_simple = !values.contains(['[', ']', '{', '}']) && written.matches('"').count().is_multiple_of(2);
        let fault = if is_simple && !values.is_empty() {
            let shown = values.trim().to_owned();
            fault.repair_with(format!("write `{shown}`"), span, shown)
        } else {
            fault.repair("write the values one after the other, with blanks between them")
        };
        self.broken(fault);
        self.go_to(end);
    }

    /// A number whose unit, or fraction, stands behind it without quotes: `8.5 in`, `1 1/2 in`.
    fn quantity(&mut self, token: Token) -> bool {
        let Some((end, repaired)) = self.quantity_run(token) else { return false };
        let span = self.span(token.start, end);
        let fault = words::quantity(span, &self.text[token.start..end], &repaired);
        if self.commented() {
            self.at += 1;
            return true;
        }
        self.mended(fault, token.start, end, ValueData::Text(repaired));
        self.go_to(end);
        true
    }

    /// The end of such a run, and the quantity it means.
    fn quantity_run(&self, token: Token) -> Option<(usize, String)> {
        let word = self.written(token);
        let number = match words::classify(word) {
            Word::Number if !word.contains(['e', 'E', 'x', 'X', '_']) => word.to_owned(),
            Word::Misformed(repaired) => repaired,
            Word::Fraction => word.to_owned(),
            _ => return None,
        };
        let next = self.next_word(self.at)?;
        if let Some((fraction, unit)) = words::fraction(self.written(self.tokens[next])) {
            let whole = format!("{number} {fraction}");
            if let Some(symbol) = unit {
                return Some((self.tokens[next].end, format!("{whole} {symbol}")));
            }
            let unit = self.next_word(next)?;
            let symbol = words::unit_symbol(self.written(self.tokens[unit]))?;
            return Some((self.tokens[unit].end, format!("{whole} {symbol}")));
        }
        let symbol = words::unit_symbol(self.written(self.tokens[next]))?;
        Some((self.tokens[next].end, format!("{number} {symbol}")))
    }

    /// Index of the word behind token `at`, with one run of blanks between, if it is not a property's name.
    fn next_word(&self, at: usize) -> Option<usize> {
        let kind = |i: usize| self.tokens.get(i).map(|t| t.kind);
        let is_word = kind(at + 1) == Some(Kind::Space) && kind(at + 2) == Some(Kind::Bare);
        let touched = matches!(kind(at + 3), Some(Kind::Quoted(_) | Kind::Equals));
        let is_name = kind(at + 3) == Some(Kind::Space) && kind(at + 4) == Some(Kind::Equals);
        (is_word && !touched && !is_name).then_some(at + 2)
    }

    /// Reports a value that touches the one before it; tells whether the line can be read on.
    pub fn touching(&mut self, token: Token) -> bool {
        let previous = self.tokens[self.at - 1];
        let is_inch_mark = matches!(token.kind, Kind::Quoted(_))
            && previous.kind == Kind::Bare
            && words::classify(self.written(previous)) == Word::Number;
        if self.line_has_unclosed_string() && !is_inch_mark {
            // The quote that is missing is the one mistake: it is reported where it is found.
            while !matches!(self.kind(), None | Some(Kind::Quoted(Quoted { closed: false, .. }))) {
                self.at += 1;
            }
            self.value();
            return true;
        }
        let fault = if is_inch_mark {
            let span = self.span(previous.start, token.start + 1);
            let repaired = format!("{} in", self.written(previous));
            words::quantity(span, &self.text[span.start..span.end], &repaired)
        } else {
            self.touching_fault(previous, token)
        };
        self.broken(fault);
        false
    }

    fn touching_fault(&self, previous: Token, token: Token) -> Diagnostic {
        let (before, after) = (self.written(previous), self.written(token));
        let between = self.span(token.start, token.start);
        match after {
            "," => Diagnostic::new(&words::COMMA, "values are parted by blanks, not by commas")
                .at(self.span_of(token), "expected a blank")
                .repair_with("remove it", self.span_of(token), ""),
            ":" => Diagnostic::new(&words::COLON, format!("`{before}` is followed by a colon"))
                .at(self.span_of(token), "a property is `name=value`")
                .repair_with("write `=`", self.span_of(token), "="),
            _ => Diagnostic::new(&MISSING_BLANK, "these two values touch each other")
                .at(self.span_of(token), "expected a blank before it")
                .also(self.span_of(previous), "the value before it ends here")
                .repair_with("put a blank between them", between, " "),
        }
    }

    fn line_has_unclosed_string(&self) -> bool {
        self.tokens[self.at..]
            .iter()
            .take_while(|t| t.kind != Kind::Newline)
            .any(|t| matches!(t.kind, Kind::Quoted(Quoted { closed: false, .. })))
    }
}

fn not_a_unit(span: Span, written: &str) -> Diagnostic {
    Diagnostic::new(&ANNOTATION, format!("`({written})` is not a unit"))
        .at(span, "expected a unit, and a number behind it")
        .repair("write the unit as in `(in)8.5`, or put the whole value in quotes")
}
