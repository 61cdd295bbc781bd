//! The lines of a recipe with the places of a finding marked in them, drawn by `miette`: the one bridge to it.
//!
//! `miette` is handed only the lines it shall show, already cut to the width and free of control characters.
//! Lines of several texts stand behind each other in one run of offsets, so that one finding can point into all of
//! them.

use super::wording::{visible, visible_char, wrap};
use crate::diagnostics::{Diagnostic, Label, Severity};
use crate::source::Sources;
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan,
    SpanContents,
};
use std::fmt;

/// Lines that are shown before and after a marked one.
const CONTEXT: usize = 1;

/// What `miette` draws before a line of text: number, rule, blanks.
const GUTTER: usize = 9;

/// Draws message and marked lines of one finding, at most `width` columns wide.
pub(super) fn draw(diagnostic: &Diagnostic, sources: &Sources, width: usize, theme: GraphicalTheme) -> String {
    let report = Report::new(diagnostic, sources, width);
    let handler = GraphicalReportHandler::new_themed(theme).with_width(width).with_context_lines(CONTEXT);
    let mut text = String::new();
    // Writing to a string cannot fail, and the lines it asks for are there.
    let drawn = handler.with_links(false).without_syntax_highlighting().render_report(&mut text, &report);
    debug_assert!(drawn.is_ok());
    text
}

/// Lines that follow each other in one text, as they are shown.
#[derive(Debug)]
struct Part {
    /// How their text is called.
    name: String,
    /// Number of the first, from 1.
    first: usize,
    lines: String,
    /// First byte of them in the run of offsets.
    offset: usize,
}

impl Part {
    fn end(&self) -> usize {
        self.offset + self.lines.len()
    }

    /// The bytes from `start` to `end`, with whole lines round them where context is asked for.
    fn read(
        &self,
        start: usize,
        end: usize,
        before: usize,
        after: usize,
        column: usize,
    ) -> MietteSpanContents<'_> {
        let (start, end) = (start - self.offset, end - self.offset);
        let from = match before {
            0 => start,
            _ => self.lines[..start].rmatch_indices('\n').nth(before).map_or(0, |(i, _)| i + 1),
        };
        let to = match after {
            0 => end,
            _ => self.lines[end..].match_indices('\n').nth(after).map_or(self.lines.len(), |(i, _)| end + i),
        };
        let data = &self.lines[from..to];
        let line = self.first - 1 + self.lines[..from].matches('\n').count();
        let span = SourceSpan::from(self.offset + from..self.offset + to);
        let count = data.matches('\n').count() + 1;
        MietteSpanContents::new_named(self.name.clone(), data.as_bytes(), span, line, column, count)
    }
}

/// One finding, as `miette` wants it.
#[derive(Debug)]
struct Report {
    message: String,
    severity: miette::Severity,
    parts: Vec<Part>,
    labels: Vec<Mark>,
}

/// A marked place: where it is shown, and the column it really has.
#[derive(Debug)]
struct Mark {
    start: usize,
    end: usize,
    column: usize,
    text: String,
    primary: bool,
}

/// A label whose line has been found.
struct Place<'a> {
    label: &'a Label,
    primary: bool,
    line: usize,
    /// First byte of its line in its text.
    line_start: usize,
}

impl Report {
    fn new(diagnostic: &Diagnostic, sources: &Sources, width: usize) -> Self {
        let width = width.saturating_sub(GUTTER).max(20);
        let mut places: Vec<Place> = diagnostic.primary.iter().map(|l| Place::new(l, true, sources)).collect();
        places.extend(diagnostic.others.iter().map(|l| Place::new(l, false, sources)));
        // A text without a single character has no line to show.
        places.retain(|p| !sources.get(p.label.span.source).text.is_empty());
        let first = places.first().map(|p| p.label.span.source);
        places.sort_by_key(|p| (Some(p.label.span.source) != first, p.label.span.source, p.line));
        let mut report = Self {
            message: visible(&diagnostic.message),
            severity: match diagnostic.severity {
                Severity::Error => miette::Severity::Error,
                Severity::Warning => miette::Severity::Warning,
                Severity::Advice => miette::Severity::Advice,
            },
            parts: Vec::new(),
            labels: Vec::new(),
        };
        let mut rest = places.as_slice();
        while !rest.is_empty() {
            let run = rest.windows(2).take_while(|w| w[0].joins(&w[1])).count() + 1;
            report.add(&rest[..run], sources, width);
            rest = &rest[run..];
        }
        report
    }

    /// Adds the lines of places that stand close to each other.
    fn add(&mut self, places: &[Place], sources: &Sources, width: usize) {
        let source = sources.get(places[0].label.span.source);
        let first = places[0].line.saturating_sub(CONTEXT).max(1);
        let last = places[places.len() - 1].line + CONTEXT;
        let offset = self.parts.last().map_or(0, |p| p.end() + 2);
        let mut lines = String::new();
        let mut start = start_of_line(&source.text, places[0].line_start, places[0].line - first);
        for number in first..=last {
            let line = line_at(&source.text, start);
            let marked = || places.iter().filter(|p| p.line == number);
            let shown = Shown::new(line, width, marked().map(Place::column).min());
            self.labels.extend(marked().map(|place| shown.mark(place, offset + lines.len(), width)));
            lines.push_str(&shown.text);
            match source.text[start..].find('\n') {
                Some(end) if start + end + 1 < source.text.len() && number < last => start += end + 1,
                _ => break,
            }
            lines.push('\n');
        }
        self.parts.push(Part { name: visible(&source.name), first, lines, offset });
    }
}

impl<'a> Place<'a> {
    fn new(label: &'a Label, primary: bool, sources: &Sources) -> Self {
        let text = &sources.get(label.span.source).text;
        let mut at = floor(text, label.span.start);
        if at == text.len() && text.ends_with('\n') && label.span.start == label.span.end {
            // What is said of the end of the text is shown behind its last line.
            at = text.trim_end_matches(['\n', '\r']).len();
        }
        let line_start = text[..at].rfind('\n').map_or(0, |i| i + 1);
        Self { label, primary, line: text[..at].matches('\n').count() + 1, line_start }
    }

    /// Bytes from the start of its line.
    fn column(&self) -> usize {
        self.label.span.start.saturating_sub(self.line_start)
    }

    /// Whether the other place is so close that both are shown in one piece.
    fn joins(&self, other: &Self) -> bool {
        self.label.span.source == other.label.span.source && other.line <= self.line + 2 * CONTEXT + 1
    }
}

/// A line as it is shown: cut to the width, with visible signs for control characters.
struct Shown {
    text: String,
    /// For each shown character: its byte in the line and its byte in `text`.
    bytes: Vec<(usize, usize)>,
    line: String,
}

impl Shown {
    /// Cuts `line` to `width` characters round byte `focus`.
    fn new(line: &str, width: usize, focus: Option<usize>) -> Self {
        let count = line.chars().count();
        let wanted = focus.map_or(0, |byte| line.char_indices().take_while(|(i, _)| *i < byte).count());
        let first = if count <= width || wanted < width * 2 / 3 { 0 } else { (wanted - width / 3).min(count - 1) };
        let mut shown = Self { text: String::new(), bytes: Vec::new(), line: line.to_owned() };
        for (index, (byte, c)) in line.char_indices().enumerate().skip(first) {
            let cut = (index == first && first > 0) || (index + 1 == first + width && index + 1 < count);
            shown.bytes.push((byte, shown.text.len()));
            match c {
                _ if cut => shown.text.push('\u{2026}'),
                '\t' => shown.text.push_str("    "),
                _ => shown.text.push(visible_char(c)),
            }
            if index + 1 >= first + width {
                break;
            }
        }
        shown.bytes.push((line.len(), shown.text.len()));
        // One blank behind the line, for what is said of its end.
        shown.text.push(' ');
        shown
    }

    /// The byte of `text` that shows byte `at` of the line.
    fn shown(&self, at: usize) -> usize {
        let index = self.bytes.partition_point(|(byte, _)| *byte < at);
        self.bytes.get(index).or(self.bytes.last()).map_or(0, |(_, shown)| *shown)
    }

    fn mark(&self, place: &Place, offset: usize, width: usize) -> Mark {
        let from = place.column();
        let to = place.label.span.end.saturating_sub(place.line_start).min(self.line.len());
        let start = self.shown(from);
        let next = self.text[start..].chars().next().map_or(1, char::len_utf8);
        let end = self.shown(to).max(start + next);
        let column = self.line.get(..from).unwrap_or(&self.line).chars().count();
        let before = self.text[..start].chars().count() + self.text[start..end].chars().count() / 2;
        let room = (width + 4).saturating_sub(before + 4).max(24);
        let text = wrap(&visible(&place.label.text), room).join("\n");
        Mark { start: offset + start, end: offset + end, column, text, primary: place.primary }
    }
}

/// The nearest character boundary at or before `at`.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// The line that starts at byte `start`, without its end.
fn line_at(text: &str, start: usize) -> &str {
    let rest = &text[start..];
    rest[..rest.find('\n').unwrap_or(rest.len())].trim_end_matches('\r')
}

/// The start of the line that stands `back` lines before the one which starts at `start`.
fn start_of_line(text: &str, start: usize, back: usize) -> usize {
    (0..back).fold(start, |at, _| text[..at.saturating_sub(1)].rfind('\n').map_or(0, |i| i + 1))
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Report {}

impl miette::Diagnostic for Report {
    fn severity(&self) -> Option<miette::Severity> {
        Some(self.severity)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        (!self.labels.is_empty()).then_some(self)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = |m: &Mark| {
            let text = (!m.text.is_empty()).then(|| m.text.clone());
            let span = m.start..m.end;
            if m.primary {
                LabeledSpan::new_primary_with_span(text, span)
            } else {
                LabeledSpan::new_with_span(text, span)
            }
        };
        (!self.labels.is_empty()).then(|| Box::new(self.labels.iter().map(label)) as Box<dyn Iterator<Item = _>>)
    }
}

impl SourceCode for Report {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let end = span.offset() + span.len();
        let part = self.parts.iter().find(|p| p.offset <= span.offset() && end <= p.end());
        let part = part.ok_or(MietteError::OutOfBounds)?;
        let mark = self.labels.iter().find(|m| m.start == span.offset()).filter(|_| before == 0);
        Ok(Box::new(part.read(span.offset(), end, before, after, mark.map_or(0, |m| m.column))))
    }
}
