//! Reads texts that are enclosed in something else than straight quotes.

use super::node::ValueData;
use super::reader::Reader;
use super::tokens::{Kind, Token};
use super::words;
use crate::diagnostics::{Diagnostic, Finding, Severity};

/// `r"…"`.
pub static RAW_STRING: Finding = Finding {
    rule: "syntax/raw-string",
    severity: Severity::Error,
    title: "a raw text is written as in KDL 1",
    explanation: "In KDL 2 a text in which backslashes are only backslashes is written `#\"\u{2026}\"#`, without an `r`.",
    wrong: "about r\"a\\b\"",
    right: "about #\"a\\b\"#",
};

/// `{name}` without quotes.
pub static REFERENCE_WITHOUT_QUOTES: Finding = Finding {
    rule: "syntax/reference-without-quotes",
    severity: Severity::Error,
    title: "a reference in braces is written without quotes",
    explanation: "`\"{day}\"` in quotes is replaced by the input `day`. Without quotes, the braces would open a block of \
        further nodes.",
    wrong: "artwork \"picture\" file={picture}",
    right: "artwork \"picture\" file=\"{picture}\"",
};

/// Quotes that are not `"`, and the ones that close them.
const WRONG_QUOTES: [(char, &str); 10] = [
    ('\u{201C}', "\u{201D}\u{201C}\""),
    ('\u{201D}', "\u{201D}\u{201C}\""),
    ('\u{201E}', "\u{201C}\u{201D}\""),
    ('\u{201F}', "\u{201D}\u{201C}\""),
    ('\u{AB}', "\u{BB}"),
    ('\u{BB}', "\u{AB}\u{BB}"),
    ('\u{2018}', "\u{2019}\u{2018}'"),
    ('\u{2019}', "\u{2019}\u{2018}"),
    ('\'', "'\u{2019}"),
    ('`', "`'"),
];

impl Reader<'_> {
    /// A text in typographic or single quotes: `“8.5 in”`.
    pub fn wrong_quotes(&mut self, token: Token) -> bool {
        let word = self.written(token);
        let Some(open) = word.chars().next() else { return false };
        let Some((_, closing)) = WRONG_QUOTES.iter().find(|(quote, _)| *quote == open) else { return false };
        let rest = self.line_from(token.start + open.len_utf8());
        let Some(length) = rest.find(|c| closing.contains(c)) else { return false };
        let inside = &rest[..length];
        let close = rest[length..].chars().next().map_or(1, char::len_utf8);
        let end = token.start + open.len_utf8() + length + close;
        if self.commented() || inside.matches('{').count() != inside.matches('}').count() {
            return false;
        }
        let quoted = format!("\"{}\"", inside.replace('"', "\\\""));
        let name = if matches!(open, '\'' | '`') { "single" } else { "typographic" };
        let fault = Diagnostic::new(&words::WRONG_QUOTES, format!("this text is in {name} quotes"))
            .at(self.span(token.start, end), "only `\"` encloses a text")
            .repair_with(format!("write `{quoted}`"), self.span(token.start, end), quoted);
        // Where its end falls inside another string or word, the line cannot be told apart any more.
        let straddled = self.tokens[self.at..].iter().take_while(|t| t.start < end).any(|t| t.end > end);
        if straddled {
            self.broken(fault);
        } else {
            self.mended(fault, token.start, end, ValueData::Text(inside.to_owned()));
        }
        self.go_to(end);
        true
    }

    /// Whether the `{` that is looked at opens `{name}` with a further value behind it, which no block has.
    pub fn is_reference_argument(&mut self) -> bool {
        let Some(end) = self.reference_end() else { return false };
        let here = self.at;
        self.at = end;
        let spaced = self.skip_space();
        let follows = matches!(self.kind(), Some(Kind::Quoted(_) | Kind::Bare));
        self.at = here;
        spaced && follows
    }

    /// Index behind the `}` of `{name}`, where the `{` is looked at.
    pub fn reference_end(&self) -> Option<usize> {
        let rest = &self.tokens[self.at..];
        let kinds: Vec<Kind> = rest.iter().take(3).map(|t| t.kind).collect();
        (kinds == [Kind::Open, Kind::Bare, Kind::Close]).then_some(self.at + 3)
    }

    /// Reads `{name}` as `"{name}"`.
    pub fn reference(&mut self) {
        let Some(after) = self.reference_end() else { return };
        let (start, end) = (self.tokens[self.at].start, self.tokens[after - 1].end);
        let written = self.text[start..end].to_owned();
        let span = self.span(start, end);
        let quoted = format!("\"{written}\"");
        let fault = Diagnostic::new(&REFERENCE_WITHOUT_QUOTES, format!("the reference `{written}` has no quotes"))
            .at(span, "braces without quotes open a block")
            .repair_with(format!("write `{quoted}`"), span, quoted);
        self.mended(fault, start, end, ValueData::Text(written));
        self.at = after;
    }

    /// `r"…"` and `r#"…"#`, as KDL 1 had them.
    pub fn older_raw_string(&mut self, token: Token) -> bool {
        let hashes = self.written(token).strip_prefix('r').filter(|h| h.chars().all(|c| c == '#'));
        let (Some(hashes), Some(string)) = (hashes, self.tokens.get(self.at + 1).copied()) else { return false };
        if !matches!(string.kind, Kind::Quoted(_)) {
            return false;
        }
        let closing = if self.text[string.end..].starts_with(hashes) { hashes.len() } else { 0 };
        let span = self.span(token.start, string.end + closing);
        let around = if hashes.is_empty() { "#" } else { hashes };
        let repaired = format!("{around}{}{around}", self.written(string));
        let fault = Diagnostic::new(&RAW_STRING, "a raw text has no `r` before it")
            .at(span, "as in KDL 1")
            .repair_with(format!("write `{repaired}`"), span, repaired);
        self.broken(fault);
        self.go_to(span.end);
        true
    }
}
