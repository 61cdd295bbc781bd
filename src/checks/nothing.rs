//! Runs and operations that burn nothing.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::geometry::Line;
use crate::plan::{Operation, Run};
use crate::shop::OperationKind;

pub(super) static BURNS_NOTHING: Finding = Finding {
    rule: "run/burns-nothing",
    severity: Severity::Warning,
    title: "a run or an operation burns nothing",
    explanation: "A run without operations, or with guides only, makes an empty file; an operation on an empty figure leaves \
        out what was meant.",
    wrong: "run \"picture\" { guide \"board\" }\nrun \"separate\" { cut \"board\" }",
    right: "run \"picture\" { engrave \"heron\"; guide \"board\" }\nrun \"separate\" { cut \"board\" }",
};

pub(super) static NOTHING_BURNED: Finding = Finding {
    rule: "recipe/nothing-burned",
    severity: Severity::Error,
    title: "the whole recipe burns nothing",
    explanation: "What is burned stands in `run` nodes. Without one that burns something there is nothing to write.",
    wrong: "board { circle \"95 mm\" }\nrun \"picture\" { guide \"board\" }",
    right: "board { circle \"95 mm\" }\nrun \"separate\" { cut \"board\" }",
};

/// Looks for runs and operations that burn nothing.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let runs = &job.plan.runs;
    let is_idle = |run: &&Run| run.burned.is_none() && !run.operations.iter().any(|o| has_bare_lines(job, o));
    if runs.iter().filter(is_idle).count() == runs.len() {
        sink.push(whole(job));
        return;
    }
    for run in runs.iter().filter(is_idle) {
        let message = format!("run `{}` burns nothing", run.name);
        sink.push(
            Diagnostic::new(&BURNS_NOTHING, message)
                .at(run.span, "an empty file for the machine")
                .because("the visit to the machine would be for nothing")
                .repair("add `engrave`, `score` or `cut` with a figure, or remove the run"),
        );
    }
    let in_others = job.burning().filter(|(run, _)| run.burned.is_some());
    for (_, operation) in in_others.filter(|(_, o)| o.bounds.is_none() && !has_bare_lines(job, o)) {
        sink.push(empty(operation));
    }
}

/// Lines without a width leave an engraving empty; that is said of the lines.
fn has_bare_lines(job: &Job, operation: &Operation) -> bool {
    let is_bare = |l: &Line| l.width.is_none();
    let drawings = operation.figures.iter().filter_map(|n| job.figures.get(n));
    operation.kind == OperationKind::Engrave && drawings.flat_map(|p| &p.drawing.lines).any(is_bare)
}

fn empty(operation: &Operation) -> Diagnostic {
    let names = quoted_list(operation.figures.iter().map(String::as_str), "and");
    Diagnostic::new(&BURNS_NOTHING, format!("this {} burns nothing", operation.kind))
        .at(operation.span, format!("there is nothing in {names}"))
        .because("the machine would pass over it, and what was meant is missing from the piece")
        .repair("look at what the figure is made from, or remove the operation")
}

fn whole(job: &Job) -> Diagnostic {
    let runs = &job.plan.runs;
    let message = if runs.is_empty() { "there is no run" } else { "no run burns anything" };
    let at = runs.first().map_or_else(|| job.recipe.machine.as_ref().map(|m| m.span), |run| Some(run.span));
    Diagnostic::new(&NOTHING_BURNED, message)
        .at(
            at.unwrap_or(job.plan.sheet.span),
            if runs.is_empty() { "is given nothing to burn" } else { "burns nothing" },
        )
        .because("the machine would have nothing to do, so nothing is written")
        .repair("add `run \"separate\" { cut \"board\" }`, with what is to be burned in it")
}
