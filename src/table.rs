//! Tables: the rows of a CSV file, one job or one part of a job each.
//!
//! In: bytes. Out: a [`Table`]: named columns, and rows with a cell for each, every cell with a place of its own so that
//! messages can point into it. RFC 4180 with two additions that spreadsheets make: a byte order mark is skipped, and a
//! head line without commas may be parted by semicolons, or by tabs. Where it is, decimal marks may be commas.
//!
//! Invariant: a table is bounded before it is worked on, and every row has as many cells as there are columns.

use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::source::{FileBytes, Source, SourceId, Sources, Span, Spanned};
use crate::syntax::{Value, ValueData};
use csv::{ReaderBuilder, StringRecord, Trim};
use std::collections::BTreeMap;

static NOT_TEXT: Finding = Finding {
    rule: "table/not-text",
    severity: Severity::Error,
    title: "a table is not UTF-8 text",
    explanation: "Tables are CSV files in UTF-8. A spreadsheet saved as it is, or as CSV in an older encoding, is the usual \
        cause: names with accents would come out wrong on the piece.",
    wrong: "(guests.csv saved as Windows text)",
    right: "(the same table saved as `CSV UTF-8`)",
};

static EMPTY: Finding = Finding {
    rule: "table/empty",
    severity: Severity::Error,
    title: "a table has no columns or no rows",
    explanation: "The first line of a table names its columns, and every line after it is a row.",
    wrong: "name,table",
    right: "name,table\nAda,4\nJohannes,7",
};

static BAD_COLUMN: Finding = Finding {
    rule: "table/bad-column",
    severity: Severity::Error,
    title: "the name of a column cannot be used",
    explanation: "Columns are named in braces, like inputs: each has a name of its own, a letter and then letters, digits, `-` and \
        `_`.",
    wrong: "name,name",
    right: "name,surname",
};

static RAGGED: Finding = Finding {
    rule: "table/ragged",
    severity: Severity::Error,
    title: "a row has more or fewer cells than there are columns",
    explanation: "A cell too few or too many shifts everything after it by one column. A comma within a text is the usual \
        cause: such a text stands in quotes.",
    wrong: "name,table\nSmith, Ada,4",
    right: "name,table\n\"Smith, Ada\",4",
};

static OPEN_QUOTE: Finding = Finding {
    rule: "table/open-quote",
    severity: Severity::Error,
    title: "a quote in a table is not closed",
    explanation: "A text that starts with a quote goes on to the next one, over the ends of lines. A quote within a quoted \
        text is written twice (RFC 4180).",
    wrong: "name\n\"Ada",
    right: "name\n\"Ada\"",
};

static TOO_MUCH: Finding = Finding {
    rule: "table/too-large",
    severity: Severity::Error,
    title: "a table is larger than any job",
    explanation: "A table holds at most 1000 rows, 64 columns and 2000 characters in a cell.",
    wrong: "(a table of 200000 rows)",
    right: "(the rows of one job)",
};

/// The rules of this floor.
pub static RULES: &[&Finding] = &[&NOT_TEXT, &EMPTY, &BAD_COLUMN, &RAGGED, &OPEN_QUOTE, &TOO_MUCH];

/// More rows than this are refused.
const MOST_ROWS: usize = 1000;
/// More columns than this are refused.
const MOST_COLUMNS: usize = 64;
/// Longer cells (characters) are refused.
const LONGEST_CELL: usize = 2000;
/// Larger files (bytes) are refused before they are read.
const LARGEST: usize = 4 << 20;

/// The rows of a CSV file.
#[derive(Clone, Debug)]
pub struct Table {
    /// The file, as it was named.
    pub name: String,
    /// The names of its columns.
    pub columns: Vec<Spanned<String>>,
    /// Its rows, in order.
    pub rows: Vec<Row>,
    /// Whether something else than a comma parts its cells, so that a comma may be a decimal mark.
    pub has_free_commas: bool,
}

/// Which lines of a table are none of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remarks {
    /// All lines belong to it: a row may begin with anything.
    None,
    /// Lines that begin with `#` are remarks, as people write them between readings.
    Hash,
}

/// One row.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its number, from 1; the line of names does not count.
    pub number: usize,
    /// Where it starts.
    pub span: Span,
    /// Its cells, one for each column; each is a text of its own.
    pub cells: Vec<Value>,
}

impl Table {
    /// The cells of a row with the names of their columns.
    pub fn cells<'a>(&'a self, row: &'a Row) -> impl Iterator<Item = (&'a Spanned<String>, &'a Value)> {
        self.columns.iter().zip(&row.cells)
    }
}

/// Reads a table. `None` when it cannot be, which is reported.
///
/// `name` is how the file is shown, `imported_at` where it is named.
pub fn read(
    file: &FileBytes,
    name: &str,
    imported_at: Option<Span>,
    remarks: Remarks,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Table> {
    let mut add = |text: &str| {
        let path = Some(file.path.clone());
        sources.add(Source { name: name.to_owned(), path, text: text.into(), imported_at })
    };
    if file.bytes.len() > LARGEST {
        let id = add("");
        sink.push(too_much(Span::new(id, 0, 0), &format!("more than {} MB", LARGEST >> 20)));
        return None;
    }
    let bytes = file.bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&file.bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let readable = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
            let line = readable.matches('\n').count() + 1;
            sink.push(not_text(name, Span::new(add(""), 0, 0), line));
            return None;
        }
    };
    let id = add(text);
    rows(text, id, name, remarks, sources, sink)
}

fn rows(
    text: &str,
    id: SourceId,
    name: &str,
    remarks: Remarks,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Table> {
    if !text.matches('"').count().is_multiple_of(2) {
        let last = text.rfind('"').unwrap_or(0);
        sink.push(open_quote(Span::new(id, last, last + 1)));
        return None;
    }
    let delimiter = delimiter(text, remarks);
    let mut reader = ReaderBuilder::new()
        .flexible(true)
        .trim(Trim::All)
        .delimiter(delimiter)
        .comment((remarks == Remarks::Hash).then_some(b'#'))
        .from_reader(text.as_bytes());
    let whole = line_at(text, id, 0);
    // Text in memory that is valid UTF-8 can be read to its end.
    let names = reader.headers().cloned().unwrap_or_default();
    let columns = columns(&names, whole, sink)?;
    let has_free_commas = delimiter != b',';
    let mut table = Table { name: name.to_owned(), columns, rows: Vec::new(), has_free_commas };
    for record in reader.records().flatten() {
        let start = record.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0));
        let span = line_at(text, id, behind_remarks(text, start, remarks));
        if table.rows.len() == MOST_ROWS {
            sink.push(too_much(span, &format!("more than {MOST_ROWS} rows")));
            return None;
        }
        table.rows.push(row(&record, span, &table, sources, sink)?);
    }
    if table.rows.is_empty() {
        sink.push(empty(whole, "no rows under the names of its columns"));
        return None;
    }
    Some(table)
}

/// What parts the cells, by the line of names: no name holds any of them.
fn delimiter(text: &str, remarks: Remarks) -> u8 {
    let is_remark = |line: &&str| remarks == Remarks::Hash && line.starts_with('#');
    let head = text.lines().find(|line| !line.trim().is_empty() && !is_remark(line)).unwrap_or_default();
    match head {
        _ if head.contains(',') => b',',
        _ if head.contains(';') => b';',
        _ if head.trim().contains('\t') => b'\t',
        _ => b',',
    }
}

/// Where a row starts: what comes before it is counted with it.
fn behind_remarks(text: &str, mut start: usize, remarks: Remarks) -> usize {
    let is_before = |line: &str| line.trim().is_empty() || (remarks == Remarks::Hash && line.starts_with('#'));
    while let Some(line) = text.get(start..).and_then(|t| t.split_inclusive('\n').next()).filter(|l| is_before(l))
    {
        start += line.len();
    }
    start
}

/// The line that starts at a byte, blank lines before it skipped.
fn line_at(text: &str, id: SourceId, start: usize) -> Span {
    let rest = text.get(start..).unwrap_or_default();
    let start = start + (rest.len() - rest.trim_start_matches(['\r', '\n']).len());
    let line = text.get(start..).unwrap_or_default().lines().next().unwrap_or_default();
    Span::new(id, start.min(text.len()), (start + line.len()).min(text.len()))
}

fn columns(names: &StringRecord, at: Span, sink: &mut Sink) -> Option<Vec<Spanned<String>>> {
    if names.is_empty() || names.iter().all(str::is_empty) {
        sink.push(empty(at, "its first line names no columns"));
        return None;
    }
    if names.len() > MOST_COLUMNS {
        sink.push(too_much(at, &format!("more than {MOST_COLUMNS} columns")));
        return None;
    }
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, name) in names.iter().enumerate() {
        let is_name = name.starts_with(char::is_alphabetic)
            && name.chars().all(|c| c.is_alphanumeric() || c == '-' || c == '_')
            && name.chars().count() <= 60;
        let number = index + 1;
        let fault = match seen.insert(name, number) {
            _ if name.is_empty() => format!("column {number} has no name"),
            _ if !is_name => format!("column {number} is named `{}`, which is no name", shortened(name)),
            Some(first) => format!("columns {first} and {number} are both named `{name}`"),
            None => continue,
        };
        sink.push(bad_column(fault, at));
        return None;
    }
    Some(names.iter().map(|name| Spanned::new(name.to_owned(), at)).collect())
}

fn row(record: &StringRecord, span: Span, table: &Table, sources: &mut Sources, sink: &mut Sink) -> Option<Row> {
    let number = table.rows.len() + 1;
    if record.len() != table.columns.len() {
        sink.push(ragged(number, record.len(), table.columns.len(), span));
        return None;
    }
    // The bare name: from where a command was run must not show in what is built.
    let file = table.name.rsplit('/').next().unwrap_or_default();
    let mut cells = Vec::with_capacity(record.len());
    for (column, cell) in table.columns.iter().zip(record) {
        if cell.chars().count() > LONGEST_CELL {
            sink.push(too_much(span, &format!("more than {LONGEST_CELL} characters in a cell")));
            return None;
        }
        let shown = format!("{file}, row {number}, column {}", column.value);
        let id = sources.add(Source { name: shown, path: None, text: cell.into(), imported_at: None });
        let own = Span::new(id, 0, cell.len());
        let data = ValueData::Text(cell.to_owned());
        cells.push(Value { data, annotation: None, span: own, inner: Some(own) });
    }
    Some(Row { number, span, cells })
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_owned() } else { text.chars().take(39).collect::<String>() + "…" }
}

fn not_text(name: &str, at: Span, line: usize) -> Diagnostic {
    Diagnostic::new(&NOT_TEXT, format!("`{name}` is not UTF-8 text"))
        .at(at, format!("line {line} holds bytes that are none"))
        .because("names with accents would come out wrong")
        .repair("save it again as CSV in UTF-8")
}

fn empty(at: Span, why: &str) -> Diagnostic {
    Diagnostic::new(&EMPTY, "there is nothing in this table")
        .at(at, why)
        .because("nothing would be burned")
        .repair("write the names of the columns into its first line, and a row into each line after it")
}

fn bad_column(fault: String, at: Span) -> Diagnostic {
    Diagnostic::new(&BAD_COLUMN, fault)
        .at(at, "the names of the columns")
        .because("a name in braces could not say which cell is meant")
        .repair("give each column a name of its own: a letter, then letters, digits, `-` and `_`")
}

fn ragged(number: usize, has: usize, wanted: usize, at: Span) -> Diagnostic {
    let count = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    Diagnostic::new(
        &RAGGED,
        format!("row {number} has {}, and the table {}", count(has, "cell"), count(wanted, "column")),
    )
    .at(at, format!("row {number}"))
    .because("everything after the cell that is missing or too much would land in the wrong place")
    .repair("put a text that holds a comma into quotes; leave a cell empty rather than out")
}

fn open_quote(at: Span) -> Diagnostic {
    Diagnostic::new(&OPEN_QUOTE, "a quote in this table is not closed")
        .at(at, "the last quote")
        .because("everything after it would be one text")
        .repair("close it; a quote within a quoted text is written twice")
}

fn too_much(at: Span, why: &str) -> Diagnostic {
    Diagnostic::new(&TOO_MUCH, format!("this table is too large: {why}"))
        .at(at, "here")
        .because("no sheet holds as much, and working it out would take without end")
        .repair("keep the rows and columns of one job")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    fn read_as(bytes: &[u8], remarks: Remarks) -> Option<Table> {
        let file = FileBytes { path: PathBuf::from("guests.csv"), bytes: bytes.into(), hash: String::new() };
        read(&file, "guests.csv", None, remarks, &mut Sources::default(), &mut Sink::new())
    }

    fn read_bytes(bytes: &[u8]) -> Result<Table, &'static str> {
        let file = FileBytes { path: PathBuf::from("guests.csv"), bytes: bytes.into(), hash: String::new() };
        let (mut sources, mut sink) = (Sources::default(), Sink::new());
        let table = read(&file, "guests.csv", None, Remarks::None, &mut sources, &mut sink);
        for label in sink.iter().filter_map(|d| d.primary.as_ref()) {
            let text = &sources.get(label.span.source).text;
            assert!(text.get(label.span.start..label.span.end).is_some(), "{label:?}");
        }
        table.ok_or_else(|| sink.iter().next().expect("a refusal is reported").finding.rule)
    }

    fn cells(bytes: &[u8]) -> Vec<Vec<String>> {
        let table = read_bytes(bytes).unwrap();
        table.rows.iter().map(|r| r.cells.iter().filter_map(|c| c.text().map(str::to_owned)).collect()).collect()
    }

    /// The examples of RFC 4180, section 2: quotes, doubled quotes, commas and line breaks within quotes, CRLF, no line
    /// break after the last record.
    #[test]
    fn the_examples_of_rfc_4180() {
        assert_eq!(
            cells(b"a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"),
            [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]
        );
        assert_eq!(cells(b"a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx"), [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]);
        assert_eq!(cells(b"a,b,c\r\n\"aaa\",\"b \r\nbb\",\"ccc\"\r\n"), [["aaa", "b \r\nbb", "ccc"]]);
        assert_eq!(cells(b"a,b,c\r\n\"aaa\",\"b\"\"bb\",\"c,c\"\r\n"), [["aaa", "b\"bb", "c,c"]]);
    }

    #[test]
    fn what_spreadsheets_add() {
        assert_eq!(cells("\u{feff}name;table\nÅse;4\n".as_bytes()), [["Åse", "4"]]);
        assert_eq!(cells(b"name , table\n\nAda , 4\n"), [["Ada", "4"]]);
        assert_eq!(cells(b"name\ttable\nAda, Bo\t4\n\t5\n"), [["Ada, Bo", "4"], ["", "5"]]);
        assert!(read_as(b"a;b\n1,5;2\n", Remarks::None).unwrap().has_free_commas);
        assert!(!read_as(b"a,b\n1,2\n", Remarks::None).unwrap().has_free_commas);
    }

    #[test]
    fn remarks_are_left_out_only_where_there_may_be_some() {
        let text = b"# of Monday\na;b\n#1;2\n3;4\n";
        assert_eq!(read_as(text, Remarks::Hash).unwrap().rows.len(), 1);
        assert!(read_as(text, Remarks::None).is_none(), "`# of Monday` is no name of a column");
        assert_eq!(read_as(b"a;b\n#1;2\n3;4\n", Remarks::None).unwrap().rows.len(), 2);
    }

    #[test]
    fn what_cannot_be_read_is_refused() {
        let long = format!("a\n{}\n", "x".repeat(LONGEST_CELL + 1));
        let many = format!("a\n{}", "x\n".repeat(MOST_ROWS + 1));
        let wide = format!("{}\n", (0..=MOST_COLUMNS).map(|i| format!("c{i}")).collect::<Vec<_>>().join(","));
        for (bytes, rule) in [
            (&b""[..], "table/empty"),
            (b"\n\n", "table/empty"),
            (b"name\n", "table/empty"),
            (b",\na,b\n", "table/empty"),
            (b"name,\nAda,4\n", "table/bad-column"),
            (b"name,name\nAda,4\n", "table/bad-column"),
            (b"first name\nAda\n", "table/bad-column"),
            (b"name,table\nSmith, Ada,4\n", "table/ragged"),
            (b"name,table\nAda\n", "table/ragged"),
            (b"name\n\"Ada\nBo\n", "table/open-quote"),
            (b"name\nJos\xe9\n", "table/not-text"),
            (b"\xff\xfen\0a\0m\0e\0", "table/not-text"),
            (long.as_bytes(), "table/too-large"),
            (many.as_bytes(), "table/too-large"),
            (wide.as_bytes(), "table/too-large"),
        ] {
            let shown = String::from_utf8_lossy(&bytes[..bytes.len().min(40)]).into_owned();
            assert_eq!(read_bytes(bytes).map(|_| ()), Err(rule), "{shown}");
        }
    }
}
