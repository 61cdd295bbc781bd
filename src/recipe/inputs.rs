//! `input`: what may change from one job to the next.

use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::schema::{
    Choice, Expression, Fields, InputValue, Kind, NodeSpec, Often, Reader, Scope, ScopeEntry, defaulted, optional,
    required,
};
use crate::source::{Source, Sources, Span, Spanned};
use crate::syntax::{Node, Value, ValueData};
use crate::units::Dimension;
use jiff::civil::Date;

pub(super) static NO_VALUE: Finding = Finding {
    rule: "input/no-value",
    severity: Severity::Error,
    title: "an input has neither a default nor a value",
    explanation: "An input without `default` has to be given on the command line: `--set name=value`.",
    wrong: "input \"day\" kind=\"date\"",
    right: "input \"day\" kind=\"date\" default=\"2027-08-14\"",
};

pub(super) static BAD_VALUE: Finding = Finding {
    rule: "input/bad-value",
    severity: Severity::Error,
    title: "the value of an input is not of its kind",
    explanation: "An input says its kind, and its default and every `--set` are read by it; nothing is guessed. A date is \
        written `2027-08-14`, a length `\"8 in\"`, a switch `yes` or `no`.",
    wrong: "input \"day\" kind=\"date\" default=\"14.8.2027\"",
    right: "input \"day\" kind=\"date\" default=\"2027-08-14\"",
};

pub(super) static UNKNOWN_SET: Finding = Finding {
    rule: "input/unknown-set",
    severity: Severity::Error,
    title: "an input is set that the recipe does not have",
    explanation: "Only what the recipe declares with `input` can be set, by `--set` or by a column of the table that `--each` names. \
        `inspect` lists the inputs.",
    wrong: "kerfbook build pond.recipe.kdl --set date=2027-08-14",
    right: "kerfbook build pond.recipe.kdl --set day=2027-08-14",
};

pub(super) static DOUBLED_INPUT: Finding = Finding {
    rule: "input/doubled",
    severity: Severity::Error,
    title: "an input is declared twice, or set twice",
    explanation: "One name has one value.",
    wrong: "input \"day\" kind=\"date\" default=\"2027-08-14\"\ninput \"day\" kind=\"text\" default=\"summer\"",
    right: "input \"day\" kind=\"date\" default=\"2027-08-14\"",
};

static KINDS: &[Choice] = &[
    Choice { word: "length", about: "a length, `8.5 in`" },
    Choice { word: "angle", about: "an angle, `30 deg`" },
    Choice { word: "percent", about: "a percentage, `80 %`" },
    Choice { word: "speed", about: "a speed, `120 mm/s`" },
    Choice { word: "number", about: "a bare number" },
    Choice { word: "count", about: "a whole number" },
    Choice { word: "text", about: "any text" },
    Choice { word: "date", about: "a date, `2027-08-14`" },
    Choice {
        word: "file",
        about: "a path; a default is relative to the recipe, a `--set` to where the command runs",
    },
    Choice { word: "choice", about: "one of the options it lists" },
    Choice { word: "flag", about: "`#true` or `#false`; `yes` or `no` on the command line" },
];

static OPTION: NodeSpec = NodeSpec {
    name: "option",
    about: "One word that a choice may have.",
    arguments: &[required("word", Kind::NewName, "the word")],
    properties: &[defaulted("about", Kind::Verbatim, "", "what it means")],
    children: &[],
    example: "option \"hard\" about=\"forty pieces\"",
};

/// `input`.
pub static INPUT: NodeSpec = NodeSpec {
    name: "input",
    about: "Something that changes from one job to the next. It is named in braces, and set with `--set name=value`.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("kind", Kind::Word(KINDS), "what it is"),
        optional("default", Kind::Any, "its value where none is given; without it one has to be given"),
        defaulted("about", Kind::Verbatim, "", "what it is for"),
    ],
    children: &[(&OPTION, Often::Any)],
    example: "input \"day\" kind=\"date\" default=\"2027-08-14\" about=\"line under the picture\"",
};

/// `column`, in a `repeat`.
pub(super) static COLUMN: NodeSpec = NodeSpec {
    name: "column",
    about: "What the cells of a column are. Cells are read as inputs of that kind are; columns that are not described are texts.",
    arguments: &[required("name", Kind::NewName, "the column, as the first line of the table names it")],
    properties: &[
        defaulted("kind", Kind::Word(KINDS), "text", "what its cells are"),
        defaulted("about", Kind::Verbatim, "", "what it is for"),
    ],
    children: &[(&OPTION, Often::Any)],
    example: "column \"width\" kind=\"length\" about=\"width of the tag\"",
};

/// A column of a table and what its cells are.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// Its name.
    pub name: Spanned<String>,
    kind: InputKind,
}

/// Decodes a `column`.
pub(super) fn column(node: &Node, reader: &mut Reader) -> Option<Column> {
    let fields = reader.read(node, &COLUMN);
    Some(Column { name: fields.name("name")?, kind: kind(&fields, reader)? })
}

/// The value of a cell; `None` when it is not of its kind, which is reported.
pub(super) fn column_value(cell: &Value, column: &Column, sink: &mut Sink) -> Option<InputValue> {
    read_value(cell, &column.kind, &column.name, sink)
}

/// What an input is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum InputKind {
    /// A quantity of one dimension.
    Quantity(Dimension),
    /// A whole number.
    Count,
    /// Any text.
    Text,
    /// A date.
    Date,
    /// A path.
    File,
    /// One of some words.
    Choice(Vec<String>),
    /// A switch.
    Flag,
}

/// An input and its value.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its name.
    pub name: Spanned<String>,
    /// What it is.
    pub kind: InputKind,
    /// What it is for.
    pub about: String,
    /// The value as written.
    pub written: String,
    /// Whether that is the recipe's default.
    pub is_default: bool,
}

/// A value for an input that was not written on the command line.
#[derive(Clone, Debug)]
pub struct Given {
    /// The input.
    pub name: String,
    /// Its value.
    pub value: String,
    /// Where it comes from, for messages.
    pub origin: String,
}

/// One `--set`, as a text of its own so that messages can point into it.
#[derive(Clone, Debug)]
pub(super) struct Setter {
    name: String,
    value: Value,
}

/// Puts each `--set name=value` and all that is given besides into a text of its own.
pub(super) fn setters(sets: &[(String, String)], given: &[Given], sources: &mut Sources) -> Vec<Setter> {
    let mut setter = |origin: String, name: &String, written: &String| {
        let text = written.as_str().into();
        let id = sources.add(Source { name: origin, path: None, text, imported_at: None });
        let span = Span::new(id, 0, written.len());
        let value = Value { data: ValueData::Text(written.clone()), annotation: None, span, inner: Some(span) };
        Setter { name: name.clone(), value }
    };
    let mut all: Vec<Setter> =
        sets.iter().map(|(name, written)| setter(format!("--set {name}"), name, written)).collect();
    all.extend(given.iter().map(|g| setter(g.origin.clone(), &g.name, &g.value)));
    all
}

/// Decodes all inputs of a recipe, each with the value it was given.
pub(super) fn decode(nodes: &[&Node], setters: &[Setter], sink: &mut Sink) -> (Vec<Input>, Scope) {
    let mut inputs: Vec<Input> = Vec::new();
    let mut scope = Scope::default();
    let empty = Scope::default();
    for node in nodes {
        let mut reader = Reader { scope: &empty, sink: &mut *sink };
        let fields = reader.read(node, &INPUT);
        let Some(name) = fields.name("name") else { continue };
        if let Some(first) = inputs.iter().find(|i| i.name.value == name.value) {
            sink.push(
                Diagnostic::new(&DOUBLED_INPUT, format!("input `{}` is declared twice", name.value))
                    .at(name.span, "second")
                    .also(first.name.span, "first")
                    .repair("keep one of them, or give one another name"),
            );
            continue;
        }
        let setter = setters.iter().rev().find(|s| s.name == name.value);
        let read = input(&fields, name.clone(), setter, &mut reader);
        let value = read.as_ref().and_then(|(_, value)| value.clone());
        scope.declare(&name.value, ScopeEntry { value, span: name.span });
        inputs.extend(read.map(|(input, _)| input));
    }
    report_strangers(setters, &scope, sink);
    (inputs, scope)
}

fn input(
    fields: &Fields,
    name: Spanned<String>,
    setter: Option<&Setter>,
    reader: &mut Reader,
) -> Option<(Input, Option<InputValue>)> {
    let kind = kind(fields, reader)?;
    let default = fields.raw("default");
    // A default is checked even when it is not used: the next job will use it.
    let default_value = default.as_ref().and_then(|v| read_value(v, &kind, &name, reader.sink));
    let (written, value) = match (setter, &default) {
        (Some(setter), _) => (written(&setter.value), read_value(&setter.value, &kind, &name, reader.sink)),
        (None, Some(default)) => (written(default), default_value),
        (None, None) => {
            reader.sink.push(
                Diagnostic::new(&NO_VALUE, format!("input `{}` has no value", name.value))
                    .at(fields.head(), "no default")
                    .repair(format!("give it one: `--set {}={}`, or add `default=`", name.value, sample(&kind))),
            );
            (String::new(), None)
        }
    };
    let about = fields.text("about").map(|t| t.text).unwrap_or_default();
    Some((Input { name, kind, about, written, is_default: setter.is_none() }, value))
}

fn kind(fields: &Fields, reader: &mut Reader) -> Option<InputKind> {
    Some(match fields.word("kind")? {
        "length" => InputKind::Quantity(Dimension::Length),
        "angle" => InputKind::Quantity(Dimension::Angle),
        "percent" => InputKind::Quantity(Dimension::Percent),
        "speed" => InputKind::Quantity(Dimension::Speed),
        "number" => InputKind::Quantity(Dimension::Number),
        "count" => InputKind::Count,
        "date" => InputKind::Date,
        "file" => InputKind::File,
        "flag" => InputKind::Flag,
        "choice" => {
            let nodes: Vec<_> = fields.children_of(&OPTION).collect();
            let words = nodes.into_iter().filter_map(|n| Some(reader.read(n, &OPTION).text("word")?.text));
            InputKind::Choice(words.collect())
        }
        _ => InputKind::Text,
    })
}

fn sample(kind: &InputKind) -> String {
    match kind {
        InputKind::Quantity(dimension) => dimension.sample().to_owned(),
        InputKind::Count => "3".to_owned(),
        InputKind::Text => "\"…\"".to_owned(),
        InputKind::Date => "2027-08-14".to_owned(),
        InputKind::File => "art/picture.svg".to_owned(),
        InputKind::Choice(words) => words.first().cloned().unwrap_or_default(),
        InputKind::Flag => "yes".to_owned(),
    }
}

/// The value as it was written, for the record.
fn written(value: &Value) -> String {
    match &value.data {
        ValueData::Text(text) => text.clone(),
        ValueData::Number(number) => {
            value.annotation.as_ref().map_or_else(|| number.clone(), |unit| format!("{number} {}", unit.value))
        }
        ValueData::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        ValueData::Null => String::new(),
    }
}

fn read_value(value: &Value, kind: &InputKind, name: &Spanned<String>, sink: &mut Sink) -> Option<InputValue> {
    let text = written(value);
    let read = match kind {
        InputKind::Text => Some(InputValue::Text(text.clone())),
        InputKind::Date => text.parse::<Date>().ok().map(InputValue::Date),
        InputKind::File => {
            (!text.is_empty()).then(|| InputValue::File { path: text.clone(), from: value.span.source })
        }
        InputKind::Choice(words) => words.contains(&text).then(|| InputValue::Text(text.clone())),
        InputKind::Flag => match text.as_str() {
            "yes" | "true" | "#true" => Some(InputValue::Flag(true)),
            "no" | "false" | "#false" => Some(InputValue::Flag(false)),
            _ => None,
        },
        InputKind::Count | InputKind::Quantity(_) => quantity(&text, kind).map(InputValue::Quantity),
    };
    if read.is_none() {
        sink.push(bad_value(value, &text, kind, name));
    }
    read
}

fn quantity(text: &str, kind: &InputKind) -> Option<crate::units::Quantity> {
    let wanted = match kind {
        InputKind::Quantity(dimension) => *dimension,
        _ => Dimension::Number,
    };
    let known = Expression::read_constant(text)?;
    let whole = *kind != InputKind::Count || (known.value.is_integer() && *known.value.numer() >= 0);
    (known.dimension == wanted && whole).then_some(known)
}

fn bad_value(value: &Value, text: &str, kind: &InputKind, name: &Spanned<String>) -> Diagnostic {
    let wanted = match kind {
        InputKind::Quantity(dimension) => dimension.name().to_owned(),
        InputKind::Count => "a whole number".to_owned(),
        InputKind::Text => "a text".to_owned(),
        InputKind::Date => "a date (year-month-day)".to_owned(),
        InputKind::File => "a path".to_owned(),
        InputKind::Choice(words) => quoted_list(words.iter().map(String::as_str), "or"),
        InputKind::Flag => "`yes` or `no`".to_owned(),
    };
    let diagnostic = Diagnostic::new(&BAD_VALUE, format!("`{text}` is not {wanted}"))
        .at(value.span, format!("expected {wanted} for `{}`", name.value))
        .also(name.span, "declared here");
    match kind {
        InputKind::Choice(words) => match near_names(text, words.iter().map(String::as_str)).first() {
            Some(near) => diagnostic.repair(format!("write `{near}`")),
            None => diagnostic,
        },
        kind => diagnostic.repair(format!("write it as `{}`", sample(kind))),
    }
}

fn report_strangers(setters: &[Setter], scope: &Scope, sink: &mut Sink) {
    for (index, setter) in setters.iter().enumerate() {
        if setters[..index].iter().any(|s| s.name == setter.name) {
            sink.push(
                Diagnostic::new(&DOUBLED_INPUT, format!("input `{}` is set twice", setter.name))
                    .at(setter.value.span, "second value")
                    .repair("set it once"),
            );
        }
        if scope.get(&setter.name).is_some() {
            continue;
        }
        let near = near_names(&setter.name, scope.names());
        let diagnostic = Diagnostic::new(&UNKNOWN_SET, format!("the recipe has no input `{}`", setter.name))
            .at(setter.value.span, "would have no effect");
        sink.push(match near.first() {
            Some(near) => diagnostic.repair(format!("there is an input with a similar name: `{near}`")),
            None if scope.names().next().is_none() => diagnostic.repair("it has no inputs: leave it out"),
            None => diagnostic.repair(format!("it has {}", quoted_list(scope.names(), "and"))),
        });
    }
}
