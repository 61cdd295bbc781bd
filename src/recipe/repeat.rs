//! `repeat`: the same figures once for each row of a table, in a grid on the sheet.

use super::allow::{ALLOW, Allow};
use super::document::Recipe;
use super::figure::{self, FIGURES};
use super::grid::{ALIGNS, Grid, Needed};
use super::inputs::{COLUMN, Column, column, column_value};
use super::load::{beside, read_failure};
use super::names::SHEET_NAME;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::schema::{
    DISTANCE, Fields, InputValue, Kind, LENGTH, NodeSpec, Often, Reader, Scope, ScopeEntry, defaulted, optional,
    required,
};
use crate::source::{Files, Source, Sources, Span, Spanned};
use crate::syntax::Node;
use crate::table::{self, Remarks, Row, Table};
use crate::units::Mm;
use kurbo::Rect;
use std::collections::BTreeSet;

pub(super) static NO_COLUMN: Finding = Finding {
    rule: "repeat/no-column",
    severity: Severity::Error,
    title: "a table has no column of this name",
    explanation: "`column` says what the cells of a column are; the table names its columns in its first line.",
    wrong: "repeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" { column \"nmae\" kind=\"text\"; … }",
    right: "repeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" { column \"name\" kind=\"text\"; … }",
};

pub(super) static TAKEN: Finding = Finding {
    rule: "repeat/taken-name",
    severity: Severity::Error,
    title: "a name in a repeat stands for something else already",
    explanation: "In the braces of `repeat`, the columns of its table are named like inputs, and `cell` is the box that a row's \
        figures lie in. Neither may be the name of something else.",
    wrong: "input \"name\" kind=\"text\" default=\"Ada\"\nrepeat \"tags\" from=\"guests.csv\" … // with a column `name`",
    right: "input \"host\" kind=\"text\" default=\"Ada\"\nrepeat \"tags\" from=\"guests.csv\" … // with a column `name`",
};

pub(super) static NO_SUCH_ROWS: Finding = Finding {
    rule: "repeat/no-such-rows",
    severity: Severity::Error,
    title: "a repeat starts behind the end of its table",
    explanation: "`first` is the number of the row that it starts with, and `count` how many rows it takes; without them it takes \
        all.",
    wrong: "repeat \"tags\" from=\"guests.csv\" first=40 … // of 24 rows",
    right: "repeat \"tags\" from=\"guests.csv\" first=13 … // of 24 rows",
};

pub(super) static FEWER_ROWS: Finding = Finding {
    rule: "repeat/fewer-rows",
    severity: Severity::Advice,
    title: "a repeat asks for more rows than its table has",
    explanation: "`count` is how many rows a repeat takes, so that a long table can be burned sheet by sheet. A table that is \
        shorter than one sheet's worth needs none; when it was meant to be longer, rows are missing.",
    wrong: "repeat \"tags\" from=\"guests.csv\" count=9 … // of 2 rows",
    right: "repeat \"tags\" from=\"guests.csv\" … // of 2 rows",
};

pub(super) static DOES_NOT_FIT: Finding = Finding {
    rule: "repeat/does-not-fit",
    severity: Severity::Error,
    title: "the cells of a repeat do not fit on the sheet",
    explanation: "Cells stand in rows and columns, `gap` apart and `margin` from the edges of the sheet. The message says how many \
        fit, and how many sheets all of them take: burn them one after the other with `count` and `first`.",
    wrong: "sheet \"200 mm\" \"100 mm\"\nrepeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" … // of 24 rows",
    right: "sheet \"200 mm\" \"100 mm\"\nrepeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" count=9 …",
};

pub(super) static TOO_MANY: Finding = Finding {
    rule: "repeat/too-many-figures",
    severity: Severity::Error,
    title: "a repeat comes to more figures than can be worked on",
    explanation: "All rows together may have 4000 figures.",
    wrong: "repeat \"tags\" from=\"guests.csv\" … // 1000 rows of 8 figures",
    right: "repeat \"tags\" from=\"guests.csv\" count=200 …",
};

/// More figures than this are not worked on.
const MOST_FIGURES: usize = 4000;

/// After so many errors in cells the rest of the rows says nothing new.
const MOST_TOLD: usize = 10;

/// What the box of a row is called in the braces.
const CELL_NAME: &str = "cell";

/// A puzzle has a key and a photo an operation of its own, so a job has one of each; marks and trays go with them.
static REPEAT_CHILDREN: [(&NodeSpec, Often); 8] = [
    (&COLUMN, Often::Any),
    (&ALLOW, Often::Any),
    FIGURES[1],
    FIGURES[2],
    FIGURES[4],
    FIGURES[5],
    FIGURES[6],
    FIGURES[7],
];

/// `repeat`.
pub static REPEAT: NodeSpec = NodeSpec {
    name: "repeat",
    about: "Draws the figures in its braces once for each row of a CSV table, in a grid on the sheet. The columns of the table are \
        named in braces like inputs: `{name}`, also in the `when` of a figure. `cell` is the box of a row: figures lie in its middle until `place` moves them. \
        A run that names a figure of it burns that of every row; in findings and on paper the figure `date` of row 3 is \
        `date-3`. How many cells fit is worked out from the sheet, cell and gap.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("from", Kind::Path, "the table: a CSV file whose first line names its columns"),
        required("cell-width", LENGTH, "the width of the box that one row's figures lie in").fixed(),
        required("cell-height", LENGTH, "the height of that box").fixed(),
        optional("across", Kind::Count(1, 500), "cells side by side; as many as fit if left out"),
        defaulted("gap", DISTANCE, "4 mm", "the distance between cells, both ways").fixed(),
        defaulted("margin", DISTANCE, "5 mm", "the distance from the edges of the sheet at least").fixed(),
        defaulted("align", Kind::Word(ALIGNS), "centre", "where the grid lies on the sheet"),
        defaulted("first", Kind::Count(1, 1000), "1", "the row it starts with"),
        optional("count", Kind::Count(1, 1000), "how many rows it takes; all if left out"),
    ],
    children: &REPEAT_CHILDREN,
    example: "repeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" across=4 gap=\"5 mm\" {\n    \
        column \"name\" kind=\"text\"\n    shape \"tag\" { rectangle \"60 mm\" \"25 mm\" corner=\"3 mm\" }\n    \
        lettering \"guest\" \"{name}\" strokes=\"plain\" height=\"8 mm\" { place centre=\"tag\" }\n}",
};

/// The box that the figures of one row lie in.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Its name among figures: that of the `repeat` and the number of the row.
    pub name: String,
    /// Where it lies on the sheet, in mm.
    pub frame: Rect,
    /// The number of the row in its table, from 1.
    pub row: usize,
    /// Where the row is written.
    pub span: Span,
}

/// A figure of a `repeat`, and those that are made of it.
#[derive(Clone, Debug)]
pub struct Repeated {
    /// The name it is written with.
    pub name: String,
    /// The names of the figures of all rows.
    pub copies: Vec<String>,
}

/// What a `repeat` is worked out from.
pub(super) struct From<'a> {
    pub files: &'a dyn Files,
    pub sources: &'a mut Sources,
    pub scope: &'a Scope,
}

/// Draws the rows of a `repeat` into the recipe. Adds the names of figures that could not be decoded to `broken`.
pub(super) fn decode(
    node: &Node,
    recipe: &mut Recipe,
    from: &mut From,
    broken: &mut BTreeSet<String>,
    sink: &mut Sink,
) {
    let written = written_figures(node);
    if expand(node, &written, recipe, from, sink).is_none() {
        broken.extend(written.into_iter().map(|(name, _)| name.to_owned()));
    }
}

/// The figures in the braces: name and node.
fn written_figures(node: &Node) -> Vec<(&str, &Node)> {
    let nodes = node.children.iter().flatten().filter(|n| is_figure(&n.name.value));
    nodes.filter_map(|n| Some((n.arguments.first()?.text()?, n))).collect()
}

fn is_figure(word: &str) -> bool {
    FIGURES.iter().any(|(spec, _)| spec.name == word)
}

/// The node without its figures: what holds for all rows, and is read before any of them.
fn without_figures(node: &Node) -> Node {
    let children = node.children.as_ref();
    let others = children.map(|all| all.iter().filter(|n| !is_figure(&n.name.value)).cloned().collect());
    Node { children: others, ..node.clone() }
}

fn expand(
    node: &Node,
    written: &[(&str, &Node)],
    recipe: &mut Recipe,
    from: &mut From,
    sink: &mut Sink,
) -> Option<()> {
    let common = without_figures(node);
    let mut reader = Reader { scope: from.scope, sink: &mut *sink };
    let fields = reader.read(&common, &REPEAT);
    recipe.allows.extend(super::allow::take(&fields, &mut reader));
    let columns: Vec<Column> = fields.children_of(&COLUMN).filter_map(|n| column(n, &mut reader)).collect();
    let name = fields.name("name")?;
    if !fields.is_whole() {
        return None;
    }
    let table = table(&fields, from, sink)?;
    names_are_free(&table, &columns, written, from.scope, sink)?;
    let rows = rows(&fields, &table, sink)?;
    if rows.len() * written.len() > MOST_FIGURES {
        sink.push(too_many(rows.len(), written.len(), fields.head()));
        return None;
    }
    let cells = cells(&fields, &name.value, rows, recipe, sink)?;
    let mut told = Sink::new();
    for (row, cell) in rows.iter().zip(&cells) {
        if told.count(Severity::Error) >= MOST_TOLD {
            let rest = "rows from here on were not looked at";
            told.iter_mut().last().into_iter().for_each(|d| *d = d.clone().also(row.span, rest));
            break;
        }
        let mut own = Sink::new();
        let scope = scope(row, cell, &table, &columns, written, from.scope, &mut own);
        draw(node, row, cell, recipe, &mut Reader { scope: &scope, sink: &mut own });
        // What is wrong in the braces is wrong in every row, and told once.
        told.append(own);
    }
    recipe.cells.extend(cells);
    let has_failed = told.has_errors();
    sink.append(told);
    (!has_failed).then_some(())
}

/// Draws the figures of one row.
fn draw(node: &Node, row: &Row, cell: &Cell, recipe: &mut Recipe, reader: &mut Reader) {
    let fields = reader.read(node, &REPEAT);
    for (spec, child) in fields.children().filter(|(spec, _)| is_figure(spec.name)) {
        let mut allows: Vec<Allow> = Vec::new();
        let Some(mut figure) = figure::decode(spec, child, reader, &mut allows) else { continue };
        let name = std::mem::take(&mut figure.name.value);
        figure.name.value = copy(&name, row);
        figure.placing.home = Some(cell.name.clone());
        if let Some(repeated) = recipe.repeated.iter_mut().find(|r| r.name == name) {
            repeated.copies.push(figure.name.value.clone());
        } else {
            // Every row has the same, at the same places.
            recipe.allows.extend(allows);
            recipe.repeated.push(Repeated { copies: vec![figure.name.value.clone()], name });
        }
        recipe.figures.push(figure);
    }
}

fn table(fields: &Fields, from: &mut From, sink: &mut Sink) -> Option<Table> {
    let path = fields.text("from")?;
    let Source { name, path: folder, .. } = from.sources.get(path.from).clone();
    match from.files.read(&path.text, folder.as_deref()) {
        Ok(file) => {
            let shown = if folder.is_some() { beside(&name, &path.text) } else { path.text };
            table::read(&file, &shown, Some(path.span), Remarks::None, from.sources, sink)
        }
        Err(error) => {
            sink.push(read_failure(&error, &path.text, Some(path.span)));
            None
        }
    }
}

/// Whether columns and figures have names of their own.
fn names_are_free(
    table: &Table,
    columns: &[Column],
    written: &[(&str, &Node)],
    scope: &Scope,
    sink: &mut Sink,
) -> Option<()> {
    let before = sink.count(Severity::Error);
    for column in columns {
        let known = || table.columns.iter().map(|c| c.value.as_str());
        if !known().any(|name| name == column.name.value) {
            sink.push(no_column(&column.name, known()));
        }
    }
    for name in &table.columns {
        if let Some(input) = scope.get(&name.value) {
            sink.push(
                taken(
                    &format!("`{}` is a column of the table and an input", name.value),
                    name.span,
                    "this column",
                )
                .also(input.span, "this input"),
            );
        }
    }
    for (_, node) in written.iter().filter(|(name, _)| [CELL_NAME, SHEET_NAME].contains(name)) {
        sink.push(taken("this name stands for the box of a row, or for the sheet", node.head, "taken"));
    }
    (sink.count(Severity::Error) == before).then_some(())
}

/// The rows that are asked for.
fn rows<'t>(fields: &Fields, table: &'t Table, sink: &mut Sink) -> Option<&'t [Row]> {
    let first = fields.count("first")? as usize;
    let all = table.rows.len();
    if first > all {
        sink.push(
            Diagnostic::new(&NO_SUCH_ROWS, format!("there is no row {first}: the table has {all}"))
                .at(fields.span_of("first"), "starts behind its end")
                .because("nothing would be burned")
                .repair(format!("start with a row from 1 to {all}")),
        );
        return None;
    }
    let count = fields.count("count").map_or(all, |count| count as usize);
    if all < count {
        let rows = if all == 1 { "1 row".to_owned() } else { format!("{all} rows") };
        sink.push(
            Diagnostic::new(&FEWER_ROWS, format!("{count} rows are asked for, and the table has {rows}"))
                .at(fields.span_of("count"), "more than there are")
                .because(format!("{rows} will be burned, and nothing in the other cells"))
                .repair("leave out `count`, or look whether rows are missing from the table"),
        );
    }
    Some(&table.rows[first - 1..(first - 1 + count).min(all)])
}

/// Where the cells lie on the sheet.
fn cells(fields: &Fields, name: &str, rows: &[Row], recipe: &Recipe, sink: &mut Sink) -> Option<Vec<Cell>> {
    let sheet = recipe.sheet.as_ref()?;
    let length = |slot: &str| fields.known(slot).map(Mm::new);
    let grid = Grid {
        sheet: (sheet.width.value.length(&())?, sheet.height.value.length(&())?),
        cell: (length("cell-width")?, length("cell-height")?),
        gap: length("gap")?,
        margin: length("margin")?,
        across: fields.count("across").map(|across| across as usize),
        align: fields.word("align")?,
    };
    match grid.place(rows.len()) {
        Ok(frames) => Some(
            rows.iter()
                .zip(frames)
                .map(|(row, frame)| Cell { name: copy(name, row), frame, row: row.number, span: row.span })
                .collect(),
        ),
        Err(needed) => {
            sink.push(does_not_fit(&grid, needed, rows, fields, sheet.span));
            None
        }
    }
}

/// The inputs with the cells of a row, and the names of its figures.
fn scope(
    row: &Row,
    cell: &Cell,
    table: &Table,
    columns: &[Column],
    written: &[(&str, &Node)],
    inputs: &Scope,
    sink: &mut Sink,
) -> Scope {
    let mut scope = inputs.clone();
    for (name, value) in table.cells(row) {
        let column = columns.iter().find(|c| c.name.value == name.value);
        let read = match column {
            Some(column) => column_value(value, column, sink),
            None => value.text().map(|text| InputValue::Text(text.to_owned())),
        };
        scope.declare(&name.value, ScopeEntry { value: read, span: value.span });
    }
    for (name, _) in written {
        scope.rename_figure(name, copy(name, row));
    }
    scope.rename_figure(CELL_NAME, cell.name.clone());
    scope
}

/// The name of a figure for a row.
fn copy(name: &str, row: &Row) -> String {
    format!("{name}-{}", row.number)
}

fn no_column<'a>(name: &Spanned<String>, known: impl Iterator<Item = &'a str> + Clone) -> Diagnostic {
    let near = near_names(&name.value, known.clone());
    let diagnostic = Diagnostic::new(&NO_COLUMN, format!("the table has no column `{}`", name.value))
        .at(name.span, "not in its first line")
        .because("no cell would be read by it");
    match near.first() {
        Some(near) => diagnostic.repair_with(
            format!("there is a column with a similar name: `{near}`"),
            name.span,
            format!("\"{near}\""),
        ),
        None => diagnostic.repair(format!("it has {}", quoted_list(known, "and"))),
    }
}

fn taken(message: &str, at: Span, label: &str) -> Diagnostic {
    Diagnostic::new(&TAKEN, message.to_owned())
        .at(at, label)
        .because("which of them is meant would be a guess")
        .repair("give one of them another name")
}

fn too_many(rows: usize, figures: usize, at: Span) -> Diagnostic {
    Diagnostic::new(&TOO_MANY, format!("{rows} rows of {figures} figures are more than can be worked on"))
        .at(at, format!("{} figures", rows * figures))
        .because("working them out would take without end")
        .repair(format!("burn fewer rows at once: `count={}`", (MOST_FIGURES / figures.max(1)).max(1)))
}

fn does_not_fit(grid: &Grid, needed: Needed, rows: &[Row], fields: &Fields, sheet: Span) -> Diagnostic {
    let (width, height) = grid.cell;
    let (first, count) = (rows[0].number, rows.len());
    let diagnostic = |message: String, label: String, at: Span| {
        Diagnostic::new(&DOES_NOT_FIT, message)
            .at(at, label)
            .also(sheet, "this sheet")
            .because("cells would lie off the sheet, where nothing can be burned")
    };
    match needed {
        Needed::Nothing => diagnostic(
            format!("not one cell of {width} x {height} fits on the sheet"),
            format!("with a margin of {}", grid.margin),
            fields.head(),
        )
        .repair("make the cells or the margin smaller, or take a larger sheet"),
        Needed::Across { fit } => diagnostic(
            format!("cells of {width} do not fit so many times side by side: there is room for {fit}"),
            format!("{} apart, {} from the edges", grid.gap, grid.margin),
            fields.span_of("across"),
        )
        .repair(format!("write `across={fit}`, or leave `across` out")),
        Needed::Sheets { fit, sheets } => {
            let message = format!("{count} cells of {width} x {height} do not fit on the sheet: {fit} do");
            diagnostic(message, format!("takes {sheets} sheets"), fields.head()).repair(format!(
                "burn {sheets} sheets one after the other: `first={first} count={fit}`, then `first={}`; an `input` can hold \
                 the number",
                first + fit
            ))
        }
    }
}
