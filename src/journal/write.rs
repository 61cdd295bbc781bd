//! An entry as text.

use super::model::{Entry, RunThen, Step};
use std::fmt::Write;

/// The first lines of a new journal.
pub const HEADING: &str = "/- kdl-version 2\n\
    // What was burned, and how it went. `kerfbook record` adds to this file; the next job sheet shows its last entry.\n";

/// The text of an entry, with its last line break.
pub fn entry_text(entry: &Entry) -> String {
    let mut head = format!("burned {} version={}", quoted(&entry.day), quoted(&entry.version));
    if let Some(revision) = &entry.revision {
        let _ = write!(head, " revision={}", quoted(revision));
    }
    let _ = write!(head, " machine={} stock={}", quoted(&entry.machine), quoted(&entry.stock));
    let runs = entry.runs.iter().map(run_line);
    let notes = entry.notes.iter().map(|note| format!("note {}", quoted(note)));
    let inputs = entry.inputs.iter().map(|i| format!("input {} {}", quoted(&i.name), quoted(&i.value)));
    let files = entry.files.iter().map(|f| format!("file {} {}", quoted(&f.path), quoted(&f.hash)));
    let steps = entry.steps.iter().map(step_line);
    let lines = runs.chain(notes).chain(inputs).chain(files).chain(steps);
    let inside: String = lines.map(|line| format!("    {line}\n")).collect();
    format!("{head} {{\n{inside}}}\n")
}

fn run_line(run: &RunThen) -> String {
    let place = run.place.as_ref().map_or_else(String::new, |p| format!(" where={}", quoted(p)));
    format!("run {} went={}{place}", quoted(&run.name), quoted(run.went.word()))
}

fn step_line(step: &Step) -> String {
    let mut line = format!("step {} {} {}", quoted(&step.run), quoted(step.operation.word()), quoted(&step.name));
    let values = &step.values;
    let quantities = [
        ("speed", values.speed.map(|v| v.to_string())),
        ("power", values.power.map(|v| v.to_string())),
        ("interval", values.interval.map(|v| v.to_string())),
        ("focus", values.focus.map(|v| v.to_string())),
    ];
    for (name, value) in quantities {
        if let Some(value) = value {
            let _ = write!(line, " {name}={}", quoted(&value));
        }
    }
    if let Some(passes) = values.passes {
        let _ = write!(line, " passes={passes}");
    }
    if let Some(air) = values.air {
        let _ = write!(line, " air=#{air}");
    }
    line
}

/// A text as a KDL string on one line. Marks that nobody sees, and that no recipe may hold, are left out.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if is_unseen(c) => {}
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Characters that KDL forbids or that turn the direction of writing.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::super::{FileThen, HowItWent, InputThen, decode_journal};
    use super::*;
    use crate::diagnostics::Sink;
    use crate::schema::{Reader, Scope};
    use crate::shop::{OperationKind, SettingValues};
    use crate::source::{Source, Sources, Span, Spanned};
    use crate::syntax::Node;
    use crate::units::{Mm, MmPerSecond, Percent};

    fn entry() -> Entry {
        let values = SettingValues {
            speed: Some(MmPerSecond::new(5.08)),
            power: Some(Percent::new(95.0)),
            passes: Some(2),
            interval: None,
            focus: Some(Mm::new(-1.0)),
            air: Some(true),
        };
        Entry {
            day: "2027-08-10".to_owned(),
            version: "3f2a9c01b7de".to_owned(),
            revision: Some("87c0cd0".to_owned()),
            machine: "bench-diode".to_owned(),
            stock: "birch-3".to_owned(),
            runs: vec![RunThen {
                name: "separate".to_owned(),
                went: HowItWent::NotThrough,
                place: Some("near \"4\" and \\7\\,\nleft {corner}".to_owned()),
            }],
            notes: vec!["Ölpapier – 合板".to_owned()],
            inputs: vec![InputThen { name: "day".to_owned(), value: "2027-08-14".to_owned() }],
            files: vec![FileThen { path: "art/heron.svg".to_owned(), hash: "6b86b273ff34".to_owned() }],
            steps: vec![Step {
                run: "separate".to_owned(),
                operation: OperationKind::Cut,
                name: "board".to_owned(),
                values,
            }],
        }
    }

    #[test]
    fn marks_that_nobody_sees_are_left_out() {
        assert_eq!(quoted("pieces\u{202e} 3\u{0} and\t7\u{feff}"), "\"pieces 3 and\\t7\"");
    }

    #[test]
    fn what_is_written_is_read_back() {
        let (written, mut sources, mut sink) = (entry(), Sources::default(), Sink::new());
        let text = format!("{HEADING}\n{}", entry_text(&written));
        let id = sources.add(Source {
            name: "a.journal.kdl".to_owned(),
            path: None,
            text: text.as_str().into(),
            imported_at: None,
        });
        let document = crate::syntax::parse(id, &text, &mut sink).unwrap();
        let head = Span::new(id, 0, 0);
        let root = Node {
            name: Spanned::new("file".to_owned(), head),
            arguments: Vec::new(),
            properties: Vec::new(),
            children: Some(document.nodes),
            span: document.span,
            head,
        };
        let journal = decode_journal(&root, &mut Reader { scope: &Scope::default(), sink: &mut sink });
        let messages: Vec<&str> = sink.iter().map(|d| d.message.as_str()).collect();
        assert!(messages.is_empty(), "{messages:?}\n{text}");
        assert_eq!(format!("{:?}", journal.entries), format!("{:?}", [written]));
    }
}
