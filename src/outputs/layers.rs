//! `layers/NN-MM-<operation>-<name>.svg`: each operation alone, on the page of its run.

use super::OutputFile;
use super::names::layer_file;
use super::page::page;
use crate::plan::{Operation, Plan, Run};
use crate::shop::OperationKind;

/// Writes the file of one operation.
pub fn layer_svg(plan: &Plan, run: &Run, operation: &Operation) -> OutputFile {
    let title = format!("{}: {}, {} {}", plan.title, run.name, operation.kind, operation.name);
    let burned = if operation.kind == OperationKind::Guide {
        "Drawn for people: do not burn it."
    } else {
        "The page is the whole sheet, so that this file falls into register with the run."
    };
    let about = format!(
        "Operation {} of {} in run {} of {}. {burned}",
        operation.number,
        run.operations.len(),
        run.number,
        plan.runs.len(),
    );
    OutputFile {
        path: layer_file(plan, run, operation),
        bytes: page(plan.sheet.size(), &title, &about, std::iter::once(run.on_page(operation).as_ref())),
    }
}
