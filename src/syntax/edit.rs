//! Changes to a text that keep everything else in it byte for byte: comments, order, blanks, line ends.
//!
//! In: a text, its tree, and what is to be written. Out: the text with these changes. New nodes are indented as their
//! neighbours are and get the line ends of the text.
//!
//! Invariant: only the bytes of the values that are replaced and of the nodes that are removed are ever lost.

use super::node::{Node, Property, Value};
use super::tokens::{Kind, Token, is_newline, is_space, tokens};
use std::ops::Range;

/// Changes to one text. They may not overlap.
pub struct Edits<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    list: Vec<(Range<usize>, String)>,
}

/// Where a line, or what stands on it, ends after a node.
enum After {
    /// The line ends at this byte.
    Line(usize),
    /// Something else stands on the line.
    Other,
}

impl<'t> Edits<'t> {
    /// No changes yet to a text.
    pub fn new(text: &'t str) -> Self {
        Self { text, tokens: tokens(text), list: Vec::new() }
    }

    /// Writes `written` (quotes included) in the place of a value and its annotation.
    pub fn set_value(&mut self, value: &Value, written: &str) {
        let annotation = value.annotation.as_ref().and_then(|a| self.text[..a.span.start].rfind('('));
        let start = annotation.unwrap_or(value.span.start);
        self.list.push((start..value.span.end, written.to_owned()));
    }

    /// Gives a property a value: the one it has is replaced, else it is added behind all others.
    pub fn set_property(&mut self, node: &Node, name: &str, written: &str) {
        match node.properties.iter().find(|p| p.name.value == name) {
            Some(property) => self.set_value(&property.value, written),
            None => self.list.push((node.head.end..node.head.end, format!(" {name}={written}"))),
        }
    }

    /// Adds a node as the last child of another.
    pub fn append_child(&mut self, parent: &Node, lines: &[String]) {
        match parent.children.as_deref() {
            Some([.., last]) => self.insert_after(last, lines, false),
            Some([]) => self.fill_block(parent, lines),
            None => {
                let indent = self.indent_of(parent);
                let inner = self.block(lines, &format!("{indent}    "));
                let text = format!(" {{{0}{inner}{0}{indent}}}", self.newline());
                self.list.push((parent.head.end..parent.head.end, text));
            }
        }
    }

    /// Adds a node behind another; `apart` leaves a blank line between the two.
    pub fn insert_after(&mut self, node: &Node, lines: &[String], apart: bool) {
        let indent = self.indent_of(node);
        match self.after(node) {
            After::Line(end) => {
                let newline = self.newline();
                let gap = if apart { newline.repeat(2) } else { newline.to_owned() };
                let text = format!("{gap}{}", self.block(lines, &indent));
                self.list.push((end..end, text));
            }
            After::Other => {
                let text = format!("; {}", self.block(lines, &indent).trim_start());
                self.list.push((node.span.end..node.span.end, text));
            }
        }
    }

    /// Adds a node of one line before another.
    pub fn insert_before(&mut self, node: &Node, line: &str) {
        let start = node.span.start;
        let gap = self.gap_before(node);
        self.list.push((start..start, format!("{line}{gap}")));
    }

    /// Writes nodes of one line each in the place of a node.
    pub fn replace(&mut self, node: &Node, lines: &[String]) {
        let gap = self.gap_before(node);
        self.list.push((node.span.start..node.span.end, lines.join(&gap)));
    }

    /// Takes a property out, and the blanks before it.
    pub fn remove_property(&mut self, property: &Property) {
        let start = self.text[..property.span.start].trim_end_matches(is_space).len();
        self.list.push((start..property.span.end, String::new()));
    }

    /// Takes a node out, and its line with it where nothing else stands on that.
    pub fn remove(&mut self, node: &Node) {
        let (start, end) = (node.span.start, node.span.end);
        let line = self.text[..start].rfind(is_newline).map_or(0, |i| i + newline_length(&self.text[i..]));
        let rest = self.text[end..].find(is_newline).map_or(self.text.len(), |i| end + i);
        let alone = self.text[line..start].chars().all(is_space) && self.text[end..rest].chars().all(is_space);
        if alone {
            self.list.push((line..rest + newline_length(&self.text[rest..]), String::new()));
            return;
        }
        // What separates it from the next node on the line goes with it.
        let gap = &self.text[end..rest];
        let blank = gap.len() - gap.trim_start_matches(is_space).len();
        let end = if gap[blank..].starts_with(';') { end + blank + 1 } else { end };
        self.list.push((start..end, String::new()));
    }

    /// The text with all changes made.
    pub fn apply(mut self) -> String {
        // Stable, so that what is inserted in one place keeps its order.
        self.list.sort_by_key(|(range, _)| range.start);
        let mut out = String::with_capacity(self.text.len() + 256);
        let mut at = 0;
        for (range, written) in &self.list {
            out.push_str(&self.text[at..range.start.max(at)]);
            out.push_str(written);
            at = range.end.max(at);
        }
        out.push_str(&self.text[at..]);
        out
    }

    /// Lines with an indentation each.
    fn block(&self, lines: &[String], indent: &str) -> String {
        lines.iter().map(|line| format!("{indent}{line}")).collect::<Vec<_>>().join(self.newline())
    }

    /// The line end of the text.
    fn newline(&self) -> &'t str {
        let first = self.tokens.iter().find(|t| t.kind == Kind::Newline);
        first.map_or("\n", |t| &self.text[t.start..t.end])
    }

    /// The blanks before a node, where it is the first on its line.
    fn indent_of(&self, node: &Node) -> String {
        let before = &self.text[..node.span.start];
        let line = before.rfind(is_newline).map_or(0, |i| i + newline_length(&before[i..]));
        before[line..].trim_start_matches('\u{FEFF}').chars().take_while(|c| is_space(*c)).collect()
    }

    /// What parts a node from one that is written before it: a line end where it is the first on its line.
    fn gap_before(&self, node: &Node) -> String {
        let before = &self.text[..node.span.start];
        let line = before.rfind(is_newline).map_or(0, |i| i + newline_length(&before[i..]));
        let is_first = before[line..].trim_start_matches('\u{FEFF}').chars().all(is_space);
        if is_first { format!("{}{}", self.newline(), self.indent_of(node)) } else { "; ".to_owned() }
    }

    /// A block without nodes: the new one comes before its `}`.
    fn fill_block(&mut self, parent: &Node, lines: &[String]) {
        let close = parent.span.end - 1;
        let line = self.text[..close].rfind(is_newline).map_or(0, |i| i + newline_length(&self.text[i..]));
        if line > parent.head.end && self.text[line..close].chars().all(is_space) {
            let indent = format!("{}    ", self.indent_of(parent));
            let text = format!("{}{}", self.block(lines, &indent), self.newline());
            self.list.push((line..line, text));
        } else {
            let text = format!(" {} ", self.block(lines, "").trim_start());
            self.list.push((close..close, text));
        }
    }

    /// What follows a node on its line. Parts of the node that are commented out may stand there, over several lines.
    fn after(&self, node: &Node) -> After {
        let mut at = self.tokens.partition_point(|t| t.start < node.span.end);
        let mut is_ended = false;
        while let Some(token) = self.tokens.get(at) {
            at += 1;
            match token.kind {
                Kind::Newline => return After::Line(token.start),
                Kind::Space | Kind::BlockComment { .. } | Kind::LineComment | Kind::HashComment => {}
                Kind::Continuation => at = self.behind_line(at),
                Kind::Semicolon if !is_ended => is_ended = true,
                Kind::Close | Kind::Semicolon => return After::Other,
                _ if is_ended => return After::Other,
                Kind::Open => at = self.behind_block(at),
                _ => {}
            }
        }
        After::Line(self.text.len())
    }

    /// The token behind the next line end.
    fn behind_line(&self, from: usize) -> usize {
        let newline = self.tokens[from..].iter().position(|t| t.kind == Kind::Newline);
        newline.map_or(self.tokens.len(), |i| from + i + 1)
    }

    /// The token behind the `}` of the block whose `{` stands before `from`.
    fn behind_block(&self, from: usize) -> usize {
        let mut depth = 1;
        for (i, token) in self.tokens.iter().enumerate().skip(from) {
            match token.kind {
                Kind::Open => depth += 1,
                Kind::Close => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                return i + 1;
            }
        }
        self.tokens.len()
    }
}

/// Bytes of the line end that a text starts with; none at the end of a text.
fn newline_length(text: &str) -> usize {
    if text.starts_with("\r\n") { 2 } else { text.chars().next().map_or(0, char::len_utf8) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Sink;
    use crate::source::SourceId;
    use crate::syntax::{Document, parse};

    fn read(text: &str) -> Document {
        let mut sink = Sink::new();
        let document = parse(SourceId(0), text, &mut sink);
        let said: Vec<&str> = sink.iter().map(|d| d.message.as_str()).collect();
        document.unwrap_or_else(|| panic!("{text:?}: {said:?}"))
    }

    /// Makes a change to the first node of a text and reads the outcome.
    fn changed(text: &str, change: impl Fn(&mut Edits, &Node)) -> String {
        let document = read(text);
        let mut edits = Edits::new(text);
        change(&mut edits, &document.nodes[0]);
        let out = edits.apply();
        read(&out);
        out
    }

    fn kerf(text: &str) -> String {
        changed(text, |edits, node| edits.set_property(node, "kerf", "\"0.2 mm\""))
    }

    #[test]
    fn a_value_is_replaced_and_nothing_else() {
        assert_eq!(kerf("stock a kerf=\"0.16 mm\" // why\n"), "stock a kerf=\"0.2 mm\" // why\n");
        assert_eq!(kerf("stock a kerf = #\"0.16 mm\"# b=1"), "stock a kerf = \"0.2 mm\" b=1");
        assert_eq!(kerf("stock a kerf=(mm)0.16 b=1"), "stock a kerf=\"0.2 mm\" b=1");
    }

    #[test]
    fn a_property_is_added_behind_the_others() {
        assert_eq!(kerf("stock a"), "stock a kerf=\"0.2 mm\"");
        assert_eq!(kerf("stock a b=1 { sheet 1 2 }"), "stock a b=1 kerf=\"0.2 mm\" { sheet 1 2 }");
        assert_eq!(kerf("stock a /-kerf=3\n"), "stock a kerf=\"0.2 mm\" /-kerf=3\n");
        assert_eq!(kerf("stock a \\ // on\n    b=1\n"), "stock a \\ // on\n    b=1 kerf=\"0.2 mm\"\n");
        assert_eq!(kerf("\u{FEFF}stock a; other"), "\u{FEFF}stock a kerf=\"0.2 mm\"; other");
    }

    fn child(text: &str) -> String {
        changed(text, |edits, node| edits.append_child(node, &["spot 1".to_owned()]))
    }

    #[test]
    fn a_child_is_added_as_its_neighbours_are_written() {
        assert_eq!(child("m {\n  a // x\n}\n"), "m {\n  a // x\n  spot 1\n}\n");
        assert_eq!(child("m { a; b }"), "m { a; b; spot 1 }");
        assert_eq!(child("m { a; b; }"), "m { a; b; spot 1; }");
        assert_eq!(child("m { a /* x */ }"), "m { a; spot 1 /* x */ }");
        assert_eq!(child("m {\r\n\ta\r\n}"), "m {\r\n\ta\r\n\tspot 1\r\n}");
        assert_eq!(
            child("m {\n    a {\n        b\n    } // x\n}"),
            "m {\n    a {\n        b\n    } // x\n    spot 1\n}"
        );
        assert_eq!(child("m {\n    a /- {\n b }\n}"), "m {\n    a /- {\n b }\n    spot 1\n}");
        assert_eq!(child("m {\n    a \\\n  /- 3\n}"), "m {\n    a \\\n  /- 3\n    spot 1\n}");
    }

    #[test]
    fn a_block_is_filled_or_made() {
        assert_eq!(child("m {}"), "m { spot 1 }");
        assert_eq!(child("m {\n}\n"), "m {\n    spot 1\n}\n");
        assert_eq!(child("m {\n    // empty\n}\n"), "m {\n    // empty\n    spot 1\n}\n");
        assert_eq!(child("m a=1 // x\n"), "m a=1 {\n    spot 1\n} // x\n");
        assert_eq!(child("m {\n    /- a\n}\n"), "m {\n    /- a\n    spot 1\n}\n");
    }

    fn after(text: &str, apart: bool) -> String {
        changed(text, |edits, node| edits.insert_after(node, &["n {".into(), "    x".into(), "}".into()], apart))
    }

    #[test]
    fn a_node_is_added_behind_another() {
        assert_eq!(after("a // x\nb", false), "a // x\nn {\n    x\n}\nb");
        assert_eq!(after("a", true), "a\n\nn {\n    x\n}");
        assert_eq!(after("a\r\n", false), "a\r\nn {\r\n    x\r\n}\r\n");
        assert_eq!(after("a; b", false), "a; n {\n    x\n}; b");
        assert_eq!(after("a; /- b\nc", false), "a; n {\n    x\n}; /- b\nc");
    }

    #[test]
    fn a_node_goes_with_its_line() {
        let gone = |text| changed(text, |edits, node| edits.remove(&node.children.as_ref().unwrap()[0]));
        assert_eq!(gone("m {\n    a\n    b\n}"), "m {\n    b\n}");
        assert_eq!(gone("m {\r\n    a\r\n    b\r\n}"), "m {\r\n    b\r\n}");
        assert_eq!(gone("m {\n    a // why\n    b\n}"), "m {\n     // why\n    b\n}");
        assert_eq!(gone("m { a; b }"), "m {  b }");
    }

    #[test]
    fn a_node_comes_before_another_and_a_property_goes() {
        let before = |text| changed(text, |edits, n| edits.insert_before(&n.children.as_ref().unwrap()[0], "x 1"));
        assert_eq!(before("m {\n    a\n}"), "m {\n    x 1\n    a\n}");
        assert_eq!(before("m {\r\n\ta\r\n}"), "m {\r\n\tx 1\r\n\ta\r\n}");
        assert_eq!(before("m { a; b }"), "m { x 1; a; b }");
        let instead = |text| {
            changed(text, |edits, n| edits.replace(&n.children.as_ref().unwrap()[0], &["x 1".into(), "y".into()]))
        };
        assert_eq!(instead("m {\n    a // c\n}"), "m {\n    x 1\n    y // c\n}");
        assert_eq!(instead("m { a; b }"), "m { x 1; y; b }");
        let gone = |text| changed(text, |edits, n| edits.remove_property(&n.properties[0]));
        assert_eq!(gone("m a=1 b=2 // c"), "m b=2 // c");
        assert_eq!(gone("m \\\n  a = \"x\" b=2"), "m \\\n b=2");
    }
}
