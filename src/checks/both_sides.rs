//! Drawn lines whose outlines are cut or scored.

use super::Job;
use crate::diagnostics::place::place;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Region, length};
use crate::plan::{Operation, Run};
use crate::recipe::{FigureKind, Reading};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{PathEl, Point};

pub(super) static BOTH_SIDES: Finding = Finding {
    rule: "trace/both-sides",
    severity: Severity::Warning,
    title: "a drawn line would be burned on both of its sides",
    explanation: "The outline of a drawn line runs up one side of it and down the other. Cut along it, the line itself \
        becomes a sliver of waste, the pieces come out with a gap as wide as the line, and everything is burned twice. \
        `as=\"centre-lines\"` makes one stroke of each line, `as=\"seams\"` each line between two areas once.",
    wrong: "trace \"seams\" file=\"art/seams.png\" { size within=\"board\" }\nrun \"out\" { cut \"seams\" }",
    right: "trace \"seams\" file=\"art/seams.png\" as=\"seams\" { size within=\"board\" }\nrun \"out\" { cut \"seams\" }",
};

/// Ink this wide or wider (mm) is an area, not the stroke of a pen.
const WIDEST_PEN: f64 = 2.0;

/// A line is at least this many times as long as it is wide.
const LEAST_LENGTH: f64 = 12.0;

/// Looks for outlines of pen strokes among what is cut and scored.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let follows = |o: &Operation| matches!(o.kind, OperationKind::Cut | OperationKind::Score);
    for (run, operation) in job.burning().filter(|(_, o)| follows(o)) {
        for name in &operation.figures {
            let Some(FigureKind::Trace(trace)) = job.recipe.figure(name).map(|f| &f.kind) else { continue };
            let Some(placed) = job.figures.get(name) else { continue };
            if trace.reading != Reading::Outlines {
                continue;
            }
            if let Some((width, at)) = pen_stroke(&placed.drawing.ink) {
                sink.push(report(job, (run, operation), name, width, at));
            }
        }
    }
}

/// The width of the pen that an area was drawn with, and a place on it; nothing when it is no line drawing.
///
/// A stroke of width `w` and length `l` has the area `w l` and the border `2 l`, ends left out.
fn pen_stroke(ink: &Region) -> Option<(Mm, Point)> {
    let border: f64 = ink.contours().iter().map(|c| length(c).get()).sum();
    let width = 2.0 * ink.area().get() / border;
    let is_line = width <= WIDEST_PEN && border / 2.0 >= LEAST_LENGTH * width;
    let Some(PathEl::MoveTo(at)) = ink.contours().first()?.elements().first().copied() else { return None };
    is_line.then_some((Mm::new(width), at))
}

fn report(job: &Job, burned: (&Run, &Operation), name: &str, width: Mm, at: Point) -> Diagnostic {
    let verb = if burned.1.kind == OperationKind::Cut { "cut" } else { "scored" };
    let figure = job.recipe.figure(name).map(|f| f.head);
    let diagnostic =
        Diagnostic::new(&BOTH_SIDES, format!("the lines of `{name}` would be {verb} on both of their sides"))
            .at(job.named_at(burned.0, burned.1, name), format!("{verb} along the outline of what is drawn"));
    let diagnostic = figure.into_iter().fold(diagnostic, |d, head| d.also(head, "traced as outlines"));
    diagnostic
        .because(format!(
            "the lines are drawn about {width} wide (one starts {}): each becomes a sliver of waste between two burned lines",
            place(at)
        ))
        .repair("write `as=\"seams\"` in the trace for lines that part areas, or `as=\"centre-lines\"` for single strokes")
}
