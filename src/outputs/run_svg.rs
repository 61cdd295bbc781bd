//! `NN-<run>.svg`: everything that one visit to the machine burns, and nothing else.

use super::page::page;
use crate::plan::{Operation, Plan, Run};
use crate::shop::OperationKind;
use std::borrow::Cow;

/// Writes the file of a run.
///
/// Guides are left out: they are drawn for people, and a reader that burns everything it finds would burn
/// them too. They have files of their own among the layers.
pub fn run_svg(plan: &Plan, run: &Run) -> Vec<u8> {
    let title = format!("{}: {}", plan.title, run.name);
    page(plan.sheet.size(), &title, &about(plan, run), burned(run).iter().map(AsRef::as_ref))
}

/// What a run burns, as it lies on its page.
pub(super) fn burned(run: &Run) -> Vec<Cow<'_, Operation>> {
    run.operations.iter().filter(|o| o.kind != OperationKind::Guide).map(|o| run.on_page(o)).collect()
}

/// What a person needs to know who finds the file alone.
pub(super) fn about(plan: &Plan, run: &Run) -> String {
    let side = if run.lay.turned.is_some() {
        "It burns the back: everything is mirrored about the middle of the board, to lie behind its place on the front. "
    } else {
        ""
    };
    format!(
        "Run {} of {}. The page is the whole sheet, {} wide and {} high, of {}, {} thick; set up for {}. \
         {side}Lines are the middle of the beam. Speed, power and passes stand on each group. \
         Before burning, read the job sheet and the manual of the machine.",
        run.number,
        plan.runs.len(),
        plan.sheet.width,
        plan.sheet.height,
        plan.stock.material,
        plan.stock.thickness,
        plan.machine.name,
    )
}
