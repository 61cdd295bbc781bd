//! Figures of a `repeat` that reach out of the cell of their row.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::layout::Frames;
use crate::recipe::{Cell, Figure};
use crate::units::number::fixed;
use kurbo::Rect;
use std::collections::BTreeMap;

pub(super) static OUTSIDE_CELL: Finding = Finding {
    rule: "repeat/outside-cell",
    severity: Severity::Warning,
    title: "a figure reaches out of the cell of its row",
    explanation: "A long name runs over the edge of its tag, or into the next one. Rows are as different as their cells in the \
        table: the message names those that reach too far. A lettering with `width=` or a `size within=\"cell\"` fits always.",
    wrong: "lettering \"guest\" \"{name}\" strokes=\"plain\" height=\"12 mm\" // for a name of thirty letters",
    right: "lettering \"guest\" \"{name}\" strokes=\"plain\" height=\"12 mm\" { size within=\"cell\" margin=\"3 mm\" }",
};

/// So many rows are named.
const NAMED: usize = 3;

/// Lengths up to this (mm) are rounding.
const SPARE: f64 = 1e-3;

/// Looks at every figure of a `repeat`; what the recipe writes once is told once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut found: BTreeMap<usize, Vec<(&Figure, &Cell, f64)>> = BTreeMap::new();
    for figure in &job.recipe.figures {
        let Some(cell) = figure.placing.home.as_ref().and_then(|home| job.recipe.cell(home)) else { continue };
        let Some(frame) = job.figures.frame(&figure.name.value) else { continue };
        let out = reach(frame, cell.frame);
        if out > SPARE {
            found.entry(figure.head.start).or_default().push((figure, cell, out));
        }
    }
    for rows in found.values() {
        sink.push(report(rows));
    }
}

/// How far a box reaches out of another.
fn reach(frame: Rect, cell: Rect) -> f64 {
    [cell.x0 - frame.x0, frame.x1 - cell.x1, cell.y0 - frame.y0, frame.y1 - cell.y1]
        .into_iter()
        .fold(0.0, f64::max)
}

fn report(rows: &[(&Figure, &Cell, f64)]) -> Diagnostic {
    let mut farthest: Vec<_> = rows.to_vec();
    farthest.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.1.row.cmp(&b.1.row)));
    let (figure, _, most) = farthest[0];
    let name = figure.name.value.rsplit_once('-').map_or(figure.name.value.as_str(), |(name, _)| name);
    let many = if rows.len() == 1 { "1 row".to_owned() } else { format!("{} rows", rows.len()) };
    let mut diagnostic = Diagnostic::new(&OUTSIDE_CELL, format!("`{name}` reaches out of its cell in {many}"))
        .at(figure.head, format!("by up to {} mm", fixed(most, 1)));
    for (_, cell, out) in farthest.iter().take(NAMED) {
        diagnostic = diagnostic.also(cell.span, format!("row {}: by {} mm", cell.row, fixed(*out, 1)));
    }
    diagnostic
        .because("it is burned over the edge, or onto the piece of the next row")
        .repair("let it fit: `size within=\"cell\" margin=\"2 mm\"`, or make the cells larger")
}
