//! The words and marks of a text: what tells where a mistake begins when the parser only says that there is one.
//!
//! The tokens tile the text. They follow the grammar of KDL 2.0.0 (kdl-org/kdl, `draft-marchan-kdl2.md`)
//! but never fail: what KDL has no word for becomes a [`Kind::Bare`] run, and an unclosed string or
//! comment says so.

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Blanks within a line, and the byte order mark that may open a text.
    Space,
    /// One line end.
    Newline,
    /// `// …`, without its line end.
    LineComment,
    /// `# …`, which other languages have for comments and KDL has not.
    HashComment,
    /// `/* … */`, nested ones included.
    BlockComment {
        /// Whether its end was found.
        closed: bool,
    },
    /// `/-`.
    Slashdash,
    /// The `\` that continues a node on the next line.
    Continuation,
    /// `{`.
    Open,
    /// `}`.
    Close,
    /// `(`.
    ParenthesisOpen,
    /// `)`.
    ParenthesisClose,
    /// `=`.
    Equals,
    /// `;`.
    Semicolon,
    /// A string in quotes.
    Quoted(Quoted),
    /// Anything else up to the next blank or mark: a word, a number, a keyword, or none of these.
    Bare,
}

/// How a string in quotes is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Quoted {
    /// How many `#` stand round it; with any, a backslash is only a backslash.
    pub hashes: usize,
    /// Whether three quotes open it.
    pub triple: bool,
    /// Whether its closing quotes were found.
    pub closed: bool,
}

impl Quoted {
    /// Bytes of its opening marks, and of its closing ones.
    pub const fn marks(self) -> usize {
        self.hashes + if self.triple { 3 } else { 1 }
    }
}

/// One token: the bytes `start..end` of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Token {
    /// What it is.
    pub kind: Kind,
    /// Its first byte.
    pub start: usize,
    /// The first byte after it.
    pub end: usize,
}

/// Blanks within a line, as KDL lists them.
pub(super) fn is_space(c: char) -> bool {
    matches!(
        c,
        '\t' | ' ' | '\u{A0}' | '\u{1680}' | '\u{2000}'..='\u{200A}' | '\u{202F}' | '\u{205F}' | '\u{3000}'
    )
}

/// Line ends, as KDL lists them.
pub(super) fn is_newline(c: char) -> bool {
    matches!(c, '\r' | '\n' | '\u{85}' | '\u{B}' | '\u{C}' | '\u{2028}' | '\u{2029}')
}

/// Splits a text into tokens that tile it.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut list: Vec<Token> = Vec::new();
    let mut at = 0;
    let mut first_on_line = true;
    while at < text.len() {
        let (kind, length) = token(text, at, first_on_line);
        first_on_line = match kind {
            Kind::Newline => true,
            Kind::Space | Kind::BlockComment { .. } => first_on_line,
            _ => false,
        };
        list.push(Token { kind, start: at, end: at + length });
        at += length;
    }
    list
}

/// The token at byte `at`, and its length, which is never 0.
fn token(text: &str, at: usize, first_on_line: bool) -> (Kind, usize) {
    let rest = &text[at..];
    let Some(c) = rest.chars().next() else { return (Kind::Space, 1) };
    let one = |kind| (kind, c.len_utf8());
    match c {
        '\u{FEFF}' if at == 0 => one(Kind::Space),
        '{' => one(Kind::Open),
        '}' => one(Kind::Close),
        '(' => one(Kind::ParenthesisOpen),
        ')' => one(Kind::ParenthesisClose),
        '=' => one(Kind::Equals),
        ';' => one(Kind::Semicolon),
        '"' => quoted(rest, 0),
        '#' => hash(rest, first_on_line),
        '/' => slash(rest),
        '\\' if continues(&rest[1..]) => one(Kind::Continuation),
        _ if is_space(c) => (Kind::Space, run(rest, is_space)),
        _ if rest.starts_with("\r\n") => (Kind::Newline, 2),
        _ if is_newline(c) => one(Kind::Newline),
        _ => (Kind::Bare, bare(rest)),
    }
}

/// Bytes of the longest start of `text` whose characters all satisfy `belongs`.
fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

fn line(text: &str) -> usize {
    run(text, |c| !is_newline(c))
}

/// A word with everything that touches it, legal in KDL or not; comments end it as they do in KDL.
fn bare(rest: &str) -> usize {
    let first = rest.chars().next().map_or(1, char::len_utf8);
    let ends = |(index, c): (usize, char)| {
        let tail = &rest[index..];
        is_space(c)
            || is_newline(c)
            || matches!(c, '{' | '}' | '(' | ')' | '=' | ';' | '"')
            || tail.starts_with("//")
            || tail.starts_with("/*")
            || (c == '\\' && continues(&tail[1..]))
    };
    rest.char_indices().find(|&(index, c)| index >= first && ends((index, c))).map_or(rest.len(), |(i, _)| i)
}

fn slash(rest: &str) -> (Kind, usize) {
    if rest.starts_with("//") {
        (Kind::LineComment, line(rest))
    } else if rest.starts_with("/*") {
        block_comment(rest)
    } else if rest.starts_with("/-") {
        (Kind::Slashdash, 2)
    } else {
        (Kind::Bare, bare(rest))
    }
}

fn block_comment(rest: &str) -> (Kind, usize) {
    let bytes = rest.as_bytes();
    let (mut at, mut depth) = (0, 0_usize);
    while at + 1 < bytes.len() {
        match &bytes[at..at + 2] {
            b"/*" => {
                depth += 1;
                at += 2;
            }
            b"*/" => {
                depth -= 1;
                at += 2;
                if depth == 0 {
                    return (Kind::BlockComment { closed: true }, at);
                }
            }
            _ => at += 1,
        }
    }
    (Kind::BlockComment { closed: false }, rest.len())
}

/// A raw string, a comment of another language, or a keyword.
fn hash(rest: &str, first_on_line: bool) -> (Kind, usize) {
    let hashes = run(rest, |c| c == '#');
    if rest[hashes..].starts_with('"') {
        return quoted(rest, hashes);
    }
    let word = &rest[..bare(rest)];
    let is_keyword = matches!(word, "#true" | "#false" | "#null" | "#inf" | "#-inf" | "#nan");
    if word.len() == hashes || (first_on_line && !is_keyword) {
        return (Kind::HashComment, line(rest));
    }
    (Kind::Bare, word.len())
}

fn quoted(rest: &str, hashes: usize) -> (Kind, usize) {
    let inside = &rest[hashes..];
    // `""` is the empty string; only a third quote opens a text of several lines, and in a raw string only at
    // the end of its line.
    let three = inside.strip_prefix("\"\"\"");
    let several_lines = three.is_some_and(|rest| rest.starts_with(is_newline));
    let triple = several_lines || (three.is_some() && hashes == 0);
    let open = hashes + if triple { 3 } else { 1 };
    let close = format!("{}{}", if triple { "\"\"\"" } else { "\"" }, "#".repeat(hashes));
    let (length, closed) = string_body(&rest[open..], &close, hashes > 0, triple);
    (Kind::Quoted(Quoted { hashes, triple, closed }), open + length)
}

/// Bytes up to the end of the closing marks, or to the end of the line or text that lacks them.
fn string_body(body: &str, close: &str, raw: bool, several_lines: bool) -> (usize, bool) {
    let mut at = 0;
    while at < body.len() {
        let rest = &body[at..];
        if rest.starts_with(close) {
            return (at + close.len(), true);
        }
        let Some(c) = rest.chars().next() else { break };
        if c == '\\' && !raw {
            at += escape_length(rest);
        } else if is_newline(c) && !several_lines {
            return (at, false);
        } else {
            at += c.len_utf8();
        }
    }
    (body.len(), false)
}

/// Bytes of an escape: the backslash with one character, or with all the blanks and line ends after it.
pub(super) fn escape_length(rest: &str) -> usize {
    let blanks = run(&rest[1..], |c| is_space(c) || is_newline(c));
    let next = rest[1..].chars().next().map_or(0, char::len_utf8);
    1 + if blanks > 0 { blanks } else { next }
}

/// Whether a backslash before `rest` continues the line: only blanks and comments follow on it.
fn continues(rest: &str) -> bool {
    let mut rest = rest;
    loop {
        rest = &rest[run(rest, is_space)..];
        if !rest.starts_with("/*") {
            return rest.is_empty() || rest.starts_with(is_newline) || rest.starts_with("//");
        }
        let (kind, length) = block_comment(rest);
        if kind != (Kind::BlockComment { closed: true }) {
            return false;
        }
        rest = &rest[length..];
    }
}
