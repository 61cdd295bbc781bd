//! Figures that are as small as the beam is wide.

use super::Job;
use super::place::place;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::mending::is_dot;
use crate::plan::{Operation, Run};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Rect;
use std::collections::BTreeSet;

pub(super) static SMALLER_THAN_SPOT: Finding = Finding {
    rule: "figure/smaller-than-spot",
    severity: Severity::Warning,
    title: "a whole figure is hardly larger than the spot of the beam",
    explanation: "Whatever is drawn in less than twice the width of the beam comes out as a dot. A slip of the unit, `mm` for \
        `in` or `cm`, is the usual cause.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\" { size width=\"0.1 mm\" }\nrun \"picture\" { engrave \"heron\" }",
    right: "artwork \"heron\" file=\"art/heron.svg\" { size width=\"100 mm\" }\nrun \"picture\" { engrave \"heron\" }",
};

/// Looks at every figure that is burned, once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let Some(spot) = job.spot() else { return };
    let mut seen = BTreeSet::new();
    for (run, operation) in job.burning() {
        for name in operation.figures.iter().filter(|name| seen.insert(name.as_str())) {
            let frame = job.figures.get(name).and_then(|placed| placed.frame);
            if let Some(frame) = frame.filter(|frame| is_dot(*frame, spot)) {
                sink.push(report(job, (run, operation), name, frame, spot));
            }
        }
    }
}

fn report(job: &Job, burned: (&Run, &Operation), name: &str, frame: Rect, spot: Mm) -> Diagnostic {
    let (width, height) = (fixed(frame.width(), 3), fixed(frame.height(), 3));
    let named = job.named_at(burned.0, burned.1, name);
    let at = job.recipe.figure(name).map_or(named, |figure| figure.head);
    let message = format!("`{name}` is {width} x {height} mm large, and the spot of the beam is {spot} wide");
    Diagnostic::new(&SMALLER_THAN_SPOT, message)
        .at(at, place(frame.center()))
        .also(named, "burned here")
        .because("nothing of its shape can be seen: it comes out as a dot")
        .repair("look at the unit of its size, and make it at least some spots wide")
}
