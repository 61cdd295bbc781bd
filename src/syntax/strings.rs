//! Findings inside strings in quotes.

use super::tokens::{Quoted, escape_length, is_newline, is_space};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::source::Span;

/// A string without its closing quote.
pub static UNCLOSED_STRING: Finding = Finding {
    rule: "syntax/unclosed-string",
    severity: Severity::Error,
    title: "a text is opened with a quote and never closed",
    explanation: "A text in quotes ends on its own line. For a text of several lines, open it with three quotes at the \
        end of a line and close it with three quotes on a line of their own. A `\\\"` does not close a text: it is \
        a quote within it.",
    wrong: "about \"A burned picture",
    right: "about \"A burned picture\"",
};

/// A text of several lines that is not laid out as one.
pub static SEVERAL_LINES: Finding = Finding {
    rule: "syntax/several-lines",
    severity: Severity::Error,
    title: "a text in three quotes is not laid out as one",
    explanation: "Behind the three opening quotes the line ends. The three closing quotes stand on a line of their own, \
        and the blanks before them are taken off every line: each line has to start with the same blanks.",
    wrong: "about \"\"\"A burned\n    picture\"\"\"",
    right: "about \"\"\"\n    A burned\n    picture\n    \"\"\"",
};

/// A backslash before a letter that means nothing.
pub static BAD_ESCAPE: Finding = Finding {
    rule: "syntax/bad-escape",
    severity: Severity::Error,
    title: "a backslash in a text is followed by something that means nothing",
    explanation: "In quotes, `\\` starts one of `\\n \\r \\t \\s \\b \\f \\\\ \\\"` or `\\u{1F41F}`. A backslash itself \
        is written `\\\\`, or the text is written raw: `#\"\u{2026}\"#`.",
    wrong: "about \"50 \\% off\"",
    right: "about \"50 % off\"",
};

/// A path with backslashes.
pub static BACKSLASH_PATH: Finding = Finding {
    rule: "syntax/backslash-path",
    severity: Severity::Error,
    title: "a path is written with backslashes",
    explanation: "In quotes a backslash starts a special character: `\"C:\\foo\"` holds a form feed, not a folder. Write \
        `/` between folders, on every system, and paths relative to the file they stand in.",
    wrong: "artwork \"fern\" file=\"art\\fern.svg\"",
    right: "artwork \"fern\" file=\"art/fern.svg\"",
};

/// A character that cannot be seen.
pub static INVISIBLE_CHARACTER: Finding = Finding {
    rule: "syntax/invisible-character",
    severity: Severity::Error,
    title: "a text holds a character that cannot be seen",
    explanation: "Control characters, marks that turn the direction of writing and blanks without width come in with \
        text copied from elsewhere. They make two names differ that look the same, and no letter is burned for \
        them.",
    wrong: "lettering \"sign\" \"Open\\u{8}\"",
    right: "lettering \"sign\" \"Open\"",
};

/// What is wrong in a string, and the text it is taken for.
pub(super) struct Fault {
    /// What is said of it.
    pub diagnostic: Diagnostic,
    /// What the string is taken for; `None` when the text around it cannot be read either.
    pub meant: Option<String>,
}

/// The first fault of the string at `span`, which is written `written` with its quotes.
pub(super) fn fault(span: Span, written: &str, quoted: Quoted) -> Option<Fault> {
    if !quoted.closed {
        return Some(Fault { diagnostic: unclosed(span, written, quoted), meant: None });
    }
    let body = &written[quoted.marks()..written.len() - quoted.marks()];
    if quoted.triple && quoted.hashes == 0 && !body.starts_with(is_newline) {
        return Some(one_line_in_three_quotes(span, body));
    }
    if quoted.triple
        && let Some(diagnostic) = layout(span, body, quoted)
    {
        return Some(Fault { diagnostic, meant: Some(body.trim().to_owned()) });
    }
    let place = |at: usize, length: usize| span.within(quoted.marks() + at, quoted.marks() + at + length);
    if let Some((at, c)) = body.char_indices().find(|&(_, c)| is_forbidden(c)) {
        let diagnostic = invisible(place(at, c.len_utf8()), c);
        return Some(Fault { diagnostic, meant: Some(body.replace(is_forbidden, "")) });
    }
    if quoted.hashes > 0 || !body.contains('\\') {
        return None;
    }
    if looks_like_a_path(body) {
        return Some(backslash_path(span, body));
    }
    let (at, length) = bad_escape(body)?;
    Some(escape_fault(place(at, length), &body[at..at + length], body))
}

fn unclosed(span: Span, written: &str, quoted: Quoted) -> Diagnostic {
    let open = span.within(0, quoted.marks());
    let finding = Diagnostic::new(&UNCLOSED_STRING, "this text is never closed");
    let end = span.within(span.end - span.start, span.end - span.start);
    let body = written[quoted.marks()..].trim_end_matches(is_space);
    if quoted.triple || quoted.hashes > 0 {
        let close = format!("{}{}", if quoted.triple { "\"\"\"" } else { "\"" }, "#".repeat(quoted.hashes));
        return finding.at(open, "opened here").repair(format!("write `{close}` where the text ends"));
    }
    if let Some((at, curly)) = body.char_indices().find(|(_, c)| "\u{201D}\u{201C}\u{201F}".contains(*c)) {
        let at = quoted.marks() + at;
        let place = span.within(at, at + curly.len_utf8());
        return finding
            .at(open, "opened here with a straight quote")
            .also(place, "a typographic quote does not close it")
            .repair_with("write a straight quote at the end too", place, "\"");
    }
    let finding = finding.at(open, "opened here").also(end, "the line ends before its closing quote");
    if body.ends_with("\\\"") {
        return finding
            .repair("`\\\"` is a quote within the text; write `/` between folders, or `\\\\` for a backslash");
    }
    finding.repair("write `\"` where the text ends; a text of several lines is opened and closed with `\"\"\"`")
}

fn one_line_in_three_quotes(span: Span, body: &str) -> Fault {
    let finding = Diagnostic::new(&SEVERAL_LINES, "behind three quotes the line has to end")
        .at(span.within(0, 3), "opens a text of several lines");
    let diagnostic = if body.contains(['"', '\\']) || body.contains(is_newline) {
        finding.repair("start the text on the next line, and write the closing `\"\"\"` on a line of its own")
    } else {
        finding.repair_with("write one quote on each side", span, format!("\"{body}\""))
    };
    Fault { diagnostic, meant: Some(body.trim().to_owned()) }
}

/// Checks that every line of a text starts with the blanks before its closing quotes.
fn layout(span: Span, body: &str, quoted: Quoted) -> Option<Diagnostic> {
    let escapes_line_ends = |b: &str| {
        b.char_indices().any(|(i, c)| c == '\\' && b[i + 1..].starts_with(|c| is_space(c) || is_newline(c)))
    };
    if quoted.hashes == 0 && escapes_line_ends(body) {
        return None;
    }
    let mut lines: Vec<(usize, &str)> = Vec::new();
    let mut start = 0;
    for (at, c) in body.char_indices().filter(|(_, c)| is_newline(*c)) {
        lines.push((start, &body[start..at]));
        start = at + c.len_utf8();
    }
    let prefix = &body[start..];
    let end = quoted.marks() + body.len();
    let close = span.within(end, end + 3);
    let finding = |message: &str| Diagnostic::new(&SEVERAL_LINES, message);
    if !prefix.chars().all(is_space) {
        return Some(
            finding("the closing quotes have to stand on a line of their own")
                .at(close, "only blanks may stand before them")
                .repair("start a new line before them"),
        );
    }
    let (at, line) =
        lines.into_iter().skip(1).find(|(_, l)| !l.starts_with(prefix) && !l.chars().all(is_space))?;
    let from = quoted.marks() + at;
    Some(
        finding("this line is indented less than its closing quotes, or with other blanks")
            .at(span.within(from, from + line.len()), format!("expected to start with {}", blanks(prefix)))
            .also(close, "the blanks before these are taken off every line")
            .repair("indent every line of the text at least as far as its closing quotes"),
    )
}

fn blanks(prefix: &str) -> String {
    let count = prefix.chars().count();
    let word = if prefix.chars().all(|c| c == '\t') { "tab" } else { "blank" };
    format!("the same {count} {word}{}", if count == 1 { "" } else { "s" })
}

/// Characters that KDL allows nowhere, and the delete character.
fn is_forbidden(c: char) -> bool {
    (c.is_ascii_control() && !is_newline(c) && c != '\t')
        || matches!(c, '\u{80}'..='\u{84}' | '\u{86}'..='\u{9F}')
        || matches!(c, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

/// Characters that cannot be seen in a word without quotes.
pub(super) fn is_invisible(c: char) -> bool {
    is_forbidden(c) || matches!(c, '\u{AD}' | '\u{200B}'..='\u{200D}' | '\u{2060}'..='\u{2064}')
}

/// A character that cannot be seen.
pub(super) fn invisible(span: Span, c: char) -> Diagnostic {
    let code = format!("U+{:04X}", u32::from(c));
    Diagnostic::new(&INVISIBLE_CHARACTER, format!("this text holds {code}, {}", what_it_is(c)))
        .at(span, format!("{code} stands here"))
        .repair_with("remove it", span, "")
}

fn what_it_is(c: char) -> &'static str {
    match c {
        '\u{FEFF}' => "a byte order mark, which may only open a text",
        '\u{200B}'..='\u{200D}' | '\u{2060}'..='\u{2064}' => "a blank without width",
        '\u{AD}' => "a hyphen that does not show",
        c if c.is_control() => "a control character",
        _ => "a mark that turns the direction of writing",
    }
}

/// `C:\…`, or a single word with a backslash and the ending of a file.
fn looks_like_a_path(body: &str) -> bool {
    let mut start = body.chars();
    let drive = start.next().is_some_and(|c| c.is_ascii_alphabetic()) && body[1..].starts_with(":\\");
    if drive {
        return true;
    }
    let name = body.rsplit(['\\', '/']).next().unwrap_or(body);
    let ending = name.rsplit_once('.').map_or("", |(_, e)| e);
    let is_file = (2..=5).contains(&ending.len()) && ending.chars().all(|c| c.is_ascii_alphanumeric());
    is_file && !body.contains(char::is_whitespace) && !body.contains("\\u{") && !body.contains("\\\"")
}

fn backslash_path(span: Span, body: &str) -> Fault {
    let path = body.replace("\\\\", "\\").replace('\\', "/");
    let diagnostic = Diagnostic::new(&BACKSLASH_PATH, "this path is written with backslashes")
        .at(span, "a backslash starts a special character here")
        .repair_with(format!("write `\"{path}\"`"), span, format!("\"{path}\""));
    Fault { diagnostic, meant: Some(path) }
}

/// The first escape that means nothing, or that means a character which cannot be seen.
fn bad_escape(body: &str) -> Option<(usize, usize)> {
    let mut at = 0;
    while let Some(found) = body[at..].find('\\') {
        at += found;
        let rest = &body[at..];
        let length = match rest.strip_prefix("\\u") {
            Some(code) => match unicode_escape(code) {
                Some((c, length)) if !is_forbidden(c) => 2 + length,
                Some((_, length)) => return Some((at, 2 + length)),
                None => return Some((at, 2)),
            },
            None => escape_length(rest),
        };
        let means_something = match rest[1..].chars().next() {
            Some('n' | 'r' | 't' | 's' | '\\' | '"' | 'u') => true,
            Some(c) => is_space(c) || is_newline(c),
            None => false,
        };
        if !means_something {
            return Some((at, length));
        }
        at += length;
    }
    None
}

/// The character of `{1F41F}`, and its length.
fn unicode_escape(code: &str) -> Option<(char, usize)> {
    let (hex, _) = code.strip_prefix('{')?.split_once('}')?;
    let is_hex = (1..=6).contains(&hex.len()) && hex.chars().all(|c| c.is_ascii_hexdigit());
    let value = u32::from_str_radix(hex, 16).ok().filter(|_| is_hex)?;
    Some((char::from_u32(value)?, hex.len() + 2))
}

fn escape_fault(span: Span, escape: &str, body: &str) -> Fault {
    let meant = Some(body.replace(escape, ""));
    let control = match escape {
        "\\b" => Some('\u{8}'),
        "\\f" => Some('\u{C}'),
        _ => escape.strip_prefix("\\u").and_then(unicode_escape).map(|(c, _)| c),
    };
    let diagnostic = match control {
        Some(c) => invisible(span, c),
        None if escape == "\\u" => Diagnostic::new(&BAD_ESCAPE, "`\\u` is not followed by a character's number")
            .at(span, "expected as in `\\u{1F41F}`")
            .repair("write its number in hexadecimal digits in braces"),
        None => Diagnostic::new(&BAD_ESCAPE, format!("`{escape}` means nothing"))
            .at(span, "not one of `\\n \\r \\t \\s \\\\ \\\" \\u{…}`")
            .repair_with("write `\\\\` for a backslash", span, format!("\\{escape}")),
    };
    Fault { diagnostic, meant }
}
