//! Findings that the recipe accepts, with its reasons.

use super::flow::Flow;
use super::style::{BODY, SMALL, STRONG};
use super::table::{column, table};
use super::text::clipped;
use crate::outputs::pdf::{Cell, Word};
use crate::plan::Plan;

/// Writes the section, where anything was accepted.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    if plan.accepted.is_empty() {
        return;
    }
    flow.section("Accepted findings", "what the compiler warned of, and why the recipe goes on", 20.0);
    let columns = [column("rule", 44.0), column("what it said", 0.0), column("why it is accepted", 60.0)];
    let rows: Vec<Vec<Cell>> = plan
        .accepted
        .iter()
        .map(|finding| {
            vec![
                vec![Word::new(finding.rule, SMALL)],
                quoted(&clipped(&finding.message, 600)),
                quoted(&clipped(&finding.reason, 600)),
            ]
        })
        .collect();
    let width = flow.width();
    flow.table(&table(&columns, &rows, width));
}

/// Recipe words, which stand between backticks in a message, in semibold.
fn quoted(message: &str) -> Cell {
    let style = |i: usize| if i % 2 == 1 { STRONG } else { BODY };
    message.split('`').enumerate().map(|(i, part)| Word::new(part, style(i))).collect()
}
