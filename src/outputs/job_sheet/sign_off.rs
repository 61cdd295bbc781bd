//! The last part: who burned what when, notes, and a name under it.

use super::flow::Flow;
use super::panel::writing_line;
use super::style::{HEADING, LABEL, STRONG, hairline};
use super::text::{fit_line, heading};
use crate::outputs::pdf::{Align, Fragment, Role};
use crate::plan::{Plan, Run};
use kurbo::Point;

/// Distance between two lines to write on, in mm.
const WRITING: f64 = 8.0;

/// Free above the boxes to sign in, in mm, with what rounding may take.
const GAP: f64 = 3.0 + 1e-6;

/// Columns to fill in for a run, and their share of the width.
const COLUMNS: [(&str, f64); 5] = [
    ("run", 0.24),
    ("started", 0.14),
    ("ended", 0.14),
    ("watched by", 0.22),
    ("paused after stroke, pass; why", 0.26),
];

/// Writes the section.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    flow.section("Record", "to be filled in at the machine", 70.0);
    let width = flow.width();
    flow.begin(Role::Table);
    flow.head(&head(width), WRITING);
    for run in &plan.runs {
        flow.place(&record(run, width));
    }
    flow.end();
    flow.gap(5.0);
    flow.place(&measured(width));
    flow.gap(5.0);
    flow.head(
        &heading("Notes", HEADING, width, Role::Subheading),
        4.0 * WRITING + GAP + signatures(width).size.height,
    );
    let signatures = signatures(width);
    let room = flow.room() - signatures.size.height - GAP;
    let lines = (room / WRITING).floor().clamp(4.0, 16.0) as usize;
    for _ in 0..lines {
        flow.place(&note_line(width));
    }
    flow.gap(GAP);
    flow.place(&signatures);
}

fn edges(width: f64) -> impl Iterator<Item = (&'static str, f64, f64)> {
    COLUMNS.iter().scan(0.0, move |x, (name, share)| {
        let left = *x;
        *x += share * width;
        Some((*name, left, *x))
    })
}

fn head(width: f64) -> Fragment {
    let mut head = Fragment::new(width, 5.0);
    for (name, left, _) in edges(width) {
        head.begin(Role::ColumnHead);
        head.text(Point::new(left, 3.6), Align::Left, name, LABEL);
        head.end();
    }
    head.line((0.0, 5.0), (width, 5.0), hairline());
    head.tagged(Role::Row)
}

fn record(run: &Run, width: f64) -> Fragment {
    let mut row = Fragment::new(width, WRITING);
    let name = format!("{} {}", run.number, run.name);
    row.begin(Role::Cell);
    fit_line(&mut row, Point::new(0.0, WRITING - 2.2), Align::Left, &name, STRONG, COLUMNS[0].1 * width - 3.0);
    row.end();
    for (_, left, right) in edges(width).skip(1) {
        row.begin(Role::Cell);
        writing_line(&mut row, left, right - 2.0, WRITING - 0.6);
        row.end();
    }
    row.tagged(Role::Row)
}

/// What the next recipe wants to know.
fn measured(width: f64) -> Fragment {
    let names = ["thickness measured, mm", "width of cut measured, mm", "pieces counted", "scrap"];
    let step = width / names.len() as f64;
    let mut row = Fragment::new(width, WRITING + 4.0);
    for (i, name) in names.iter().enumerate() {
        let left = step * i as f64;
        row.begin(Role::Paragraph);
        row.text(Point::new(left, 3.4), Align::Left, name, LABEL);
        row.end();
        writing_line(&mut row, left, left + step - 3.0, WRITING + 3.4);
    }
    row
}

fn note_line(width: f64) -> Fragment {
    let mut line = Fragment::new(width, WRITING);
    writing_line(&mut line, 0.0, width, WRITING - 0.6);
    line
}

fn signatures(width: f64) -> Fragment {
    let half = (width - 6.0) / 2.0;
    let mut row = Fragment::new(width, 21.0);
    for (i, title) in ["Burned and checked by", "Responsible person"].iter().enumerate() {
        let left = (half + 6.0) * i as f64;
        let frame = kurbo::Rect::new(left, 0.0, left + half, 20.0);
        row.stroke(&frame, hairline());
        row.begin(Role::Paragraph);
        row.text(Point::new(left + 2.5, 4.6), Align::Left, &format!("{title} "), LABEL);
        row.text(Point::new(left + 2.5, 17.6), Align::Left, "name, date", LABEL);
        row.end();
    }
    row
}
