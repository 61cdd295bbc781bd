//! Findings that the recipe accepts, with its reasons.

use super::flow::Flow;
use super::style::{BODY, SMALL};
use super::table::{column, table};
use super::text::clipped;
use super::wording::quoted;
use crate::outputs::pdf::{Cell, Word};
use crate::plan::Plan;

/// Writes the section, where anything was accepted.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    if plan.accepted.is_empty() {
        return;
    }
    let columns = [column("rule", 40.0), column("what it said", 0.0), column("why it is accepted", 0.0)];
    let rows: Vec<Vec<Cell>> = plan
        .accepted
        .iter()
        .map(|finding| {
            vec![
                vec![Word::new(finding.rule, SMALL)],
                quoted(&clipped(&finding.message, 600), BODY),
                quoted(&clipped(&finding.reason, 600), BODY),
            ]
        })
        .collect();
    let table = table(&columns, &rows, flow.width());
    flow.section("Accepted findings", "what the compiler warned of, and why the recipe goes on", table.least());
    flow.table(&table);
}
