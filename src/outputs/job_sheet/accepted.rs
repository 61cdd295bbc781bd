//! Warnings that nobody accepted, and findings that the recipe accepts, with its reasons.

use super::flow::Flow;
use super::style::{BODY, SMALL};
use super::table::{column, table};
use super::text::clipped;
use super::wording::quoted;
use crate::outputs::pdf::{Cell, Word};
use crate::plan::{Plan, Warned};

/// Writes the section of warnings, where any are open.
pub(super) fn write_warnings(flow: &mut Flow, plan: &Plan) {
    if plan.warnings.is_empty() {
        return;
    }
    let columns = [column("rule", 40.0), column("what the compiler says", 0.0)];
    let row = |w: &Warned| vec![vec![Word::new(w.rule, SMALL)], quoted(&clipped(&w.message, 600), BODY)];
    let table = table(&columns, &plan.warnings.iter().map(row).collect::<Vec<_>>(), flow.width());
    flow.section("Warnings", "not accepted in the recipe: see to them before the sheet is burned", table.least());
    flow.table(&table);
}

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
