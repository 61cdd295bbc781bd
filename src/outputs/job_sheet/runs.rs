//! The runs: a table of operations each, and what to see to between two of them.

use super::flow::Flow;
use super::lay;
use super::operation_row::{head, row, travel};
use super::panel::{self, tick_box};
use super::stroke_map::stroke_map;
use super::style::{BODY, HEADING, SMALL};
use super::table::Table;
use super::text::{MOST_LINES, clipped, heading, kept, paragraph, text};
use super::wording::{count, estimated, quoted};
use crate::outputs::pdf::{Align, Fragment, Numbering, Role, Word};
use crate::outputs::run_file;
use crate::plan::{Plan, Run};
use crate::safety::{Circumstances, between_runs};
use crate::units::Seconds;

/// Writes a section for every run.
pub(super) fn write(flow: &mut Flow, plan: &Plan, of: &Circumstances) {
    for (i, run) in plan.runs.iter().enumerate() {
        if i == 0 {
            flow.turn();
        }
        section(flow, plan, run);
        if let Some(next) = plan.runs.get(i + 1) {
            flow.gap(5.0);
            let handling = lay::steps(plan, run, next);
            flow.place(&between(of, handling, run, next, flow.width()));
        }
    }
}

fn section(flow: &mut Flow, plan: &Plan, run: &Run) {
    let title = format!("Run {} · {}", run.number, clipped(&run.name, 60));
    let lies = lay::words(plan, run);
    let aside = format!(
        "{}{}file {} · {}",
        lies,
        if lies.is_empty() { "" } else { " · " },
        clipped(&run_file(plan, run), 60),
        count(run.operations.len(), "operation", "operations")
    );
    let width = flow.width();
    if run.operations.is_empty() {
        flow.section(&title, &aside, BODY.leading());
        flow.place(&text("This run burns nothing.", BODY, width));
        return;
    }
    let board = plan.board.as_ref().map(|board| board.transform(run.movement()));
    let mut so_far = Seconds::ZERO;
    let rows: Vec<Fragment> = run
        .operations
        .iter()
        .map(|operation| {
            so_far += operation.time.likely;
            row(plan, board.as_ref(), &run.on_page(operation), so_far, width)
        })
        .collect();
    let (table, foot) = (Table { head: head(width), rows }, foot(run, width));
    flow.section(&title, &aside, table.least() + foot.size.height);
    flow.table_with_foot(&table, &foot);
    if let Some(map) = stroke_map(plan, run, width, flow.room()) {
        flow.gap(3.0);
        flow.place(&map);
    }
}

fn foot(run: &Run, width: f64) -> Fragment {
    let moves = travel(&run.operations);
    let words = [
        Word::new("whole run ", SMALL),
        Word::new(estimated(&run.time), HEADING),
        Word::new(
            format!(", {} of moves with the beam off in it", kept(&format!("{:.0} mm", moves.get()))),
            SMALL,
        ),
    ];
    paragraph(&words, width, Align::Right, 2)
}

/// The panel between two runs.
fn between(of: &Circumstances, handling: Vec<String>, done: &Run, next: &Run, width: f64) -> Fragment {
    let inner = panel::inner(width);
    let title = format!("Between run {} and run {}", done.number, next.number);
    let mut body = heading(&title, HEADING, inner, Role::Subheading);
    body.begin(Role::List(Numbering::Boxes));
    for line in between_runs(of, handling) {
        let words = paragraph(&quoted(&line.text, BODY), inner - 6.5, Align::Left, MOST_LINES);
        let mut item = Fragment::new(inner, words.size.height);
        tick_box(&mut item, 0.0, BODY.leading() / 2.0);
        item.place((6.5, 0.0), &words.tagged(Role::Body));
        body.stack(0.9, &item.tagged(Role::Item));
    }
    body.end();
    panel::alert(&body)
}
