//! Corners cut from scrap that hold nothing in place.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Laid, Operation, Run};
use crate::recipe::FigureKind;
use crate::shop::StartPoint;

pub(super) static FIXES_NOTHING: Finding = Finding {
    rule: "register/fixture-fixes-nothing",
    severity: Severity::Warning,
    title: "a corner is cut that does not say where the sheets are burned",
    explanation: "A sheet that is pushed into the corner lies where the page lies. Only a run that is started from the page is burned \
        there; one that is started from the middle or a corner of what it burns goes wherever the head is put. And only the \
        runs after it can go by it.",
    wrong: "fixture \"stop\"\nrun \"stop\" sheet=\"scrap\" start=\"page\" { cut \"stop\" }\nrun \"separate\" start=\"centre\" { cut \"board\" }",
    right: "fixture \"stop\"\nrun \"stop\" sheet=\"scrap\" start=\"page\" { cut \"stop\" }\nrun \"separate\" start=\"page\" { cut \"board\" }",
};

pub(super) static NOT_ON_SCRAP: Finding = Finding {
    rule: "register/fixture-not-on-scrap",
    severity: Severity::Warning,
    title: "a corner that holds the sheet is burned on the sheet itself",
    explanation: "The corner is cut from scrap that stays on the bed. Burned on a sheet of the stock, it takes a strip off two edges \
        of that sheet, and nothing is left on the bed to lay the next one into.",
    wrong: "fixture \"stop\"\nrun \"all\" start=\"page\" { cut \"stop\"; cut \"board\" }",
    right: "fixture \"stop\"\nrun \"stop\" sheet=\"scrap\" start=\"page\" { cut \"stop\" }\nrun \"all\" start=\"page\" { cut \"board\" }",
};

/// Looks at the runs that burn a corner, and at those that should go by it.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut fixture: Option<(&Run, &Operation, &str)> = None;
    for (run, operation) in job.burning() {
        let Some(name) = operation.figures.iter().find(|name| is_fixture(job, name)) else { continue };
        if run.lay.on == Laid::Scrap {
            fixture = fixture.or(Some((run, operation, name)));
        } else {
            sink.push(not_on_scrap(job, run, operation, name));
        }
    }
    let Some(found) = fixture else { return };
    for run in job.runs().filter(|run| run.burned.is_some()) {
        if job.plan.start_of(run) != StartPoint::Page {
            sink.push(goes_elsewhere(job, found, run));
        } else if run.lay.on != Laid::Scrap && run.number < found.0.number {
            sink.push(comes_before(job, found, run));
        }
    }
}

fn is_fixture(job: &Job, name: &str) -> bool {
    matches!(job.recipe.figure(name).map(|f| &f.kind), Some(FigureKind::Fixture(_)))
}

fn not_on_scrap(job: &Job, run: &Run, operation: &Operation, name: &str) -> Diagnostic {
    Diagnostic::new(&NOT_ON_SCRAP, format!("`{name}` is burned on the sheet"))
        .at(job.named_at(run, operation, name), "takes a strip off two edges of the sheet")
        .also(run.span, "the sheet lies on the bed in this run")
        .because("nothing is left on the bed to lay the next sheet into")
        .repair(format!("give it a run of its own before: `run \"stop\" sheet=\"scrap\" {{ cut \"{name}\" }}`"))
}

fn goes_elsewhere(job: &Job, (of, operation, name): (&Run, &Operation, &str), run: &Run) -> Diagnostic {
    let start = job.plan.start_of(run);
    let from = if start == StartPoint::Centre { "middle" } else { "corner" };
    Diagnostic::new(&FIXES_NOTHING, format!("run `{}` does not go by the corner `{name}`", run.name))
        .at(run.span, format!("started from the {from} of what it burns"))
        .also(job.named_at(of, operation, name), "cut at the corner of the page")
        .because("it is burned wherever the head is put, however truly the sheet lies in the corner")
        .repair("write `start=\"page\"` on all runs, or `start \"page\"` where the machine is described")
}

fn comes_before(job: &Job, (of, operation, name): (&Run, &Operation, &str), run: &Run) -> Diagnostic {
    Diagnostic::new(&FIXES_NOTHING, format!("run `{}` is burned before the corner `{name}` is there", run.name))
        .at(run.span, "laid in without it")
        .also(job.named_at(of, operation, name), "cut only here")
        .because("the scrap would have to be cut under the sheet, or the sheet be taken out and laid in again")
        .repair(format!("write run `{}` first", of.name))
}
