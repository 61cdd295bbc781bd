//! Lines that an engraving leaves out.

use super::Job;
use super::place::{counted, place};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::Line;
use crate::plan::{Operation, Run};
use crate::shop::OperationKind;
use kurbo::ParamCurve;

pub(super) static LINE_WITHOUT_WIDTH: Finding = Finding {
    rule: "burn/line-without-width",
    severity: Severity::Error,
    title: "an engraving names lines that have no width",
    explanation: "Engraving burns areas. A line covers an area only when it has a width; without one it would be left out in \
        silence. Score it instead, or give it the width it should have on the piece.",
    wrong: "shape \"rule\" { line { point; point right=\"60 mm\" } }\nrun \"picture\" { engrave \"rule\" }",
    right: "shape \"rule\" { line width=\"0.6 mm\" { point; point right=\"60 mm\" } }\nrun \"picture\" { engrave \"rule\" }",
};

/// Looks for lines without a width in what is engraved.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    for (run, operation) in job.burning().filter(|(_, o)| o.kind == OperationKind::Engrave) {
        for name in &operation.figures {
            let Some(placed) = job.figures.get(name) else { continue };
            let bare: Vec<&Line> = placed.drawing.lines.iter().filter(|l| l.width.is_none()).collect();
            if !bare.is_empty() {
                sink.push(report(job, (run, operation), name, &bare));
            }
        }
    }
}

fn report(job: &Job, burned: (&Run, &Operation), name: &str, bare: &[&Line]) -> Diagnostic {
    let lines = counted(bare.len(), "line without a width", "lines without a width");
    let first = bare[0].path.segments().next().map(|s| s.start());
    let label = first.map_or_else(String::new, |at| format!("the first starts {}", place(at)));
    let mut diagnostic =
        Diagnostic::new(&LINE_WITHOUT_WIDTH, format!("`{name}` has {lines}, which cannot be engraved"))
            .at(job.named_at(burned.0, burned.1, name), label);
    if let Some(figure) = job.recipe.figure(name) {
        diagnostic = diagnostic.also(figure.head, "drawn here");
    }
    if let Some(part) = first.and_then(|at| job.element_at(name, at)) {
        diagnostic = diagnostic.in_artwork(part);
    }
    diagnostic
        .because("nothing would be burned of them")
        .repair(format!("write `score \"{name}\"`, or give its lines a width"))
}
