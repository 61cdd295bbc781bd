//! Ink that is finer than the beam.

use super::Job;
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{MOST_PLACES, Thin, thin_places};
use crate::plan::{Burn, Operation};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;
use rayon::prelude::*;

pub(super) static FINER_THAN_SPOT: Finding = Finding {
    rule: "burn/finer-than-spot",
    severity: Severity::Advice,
    title: "engraved ink is finer than the spot of the beam",
    explanation: "Nothing can be burned narrower than the spot. Finer ink comes out as wide as the spot where a row meets it, \
        and is missing where it lies between two rows.",
    wrong: "lettering \"note\" \"with love\" font=\"fonts/a.ttf\" height=\"0.8 mm\"\nrun \"picture\" { engrave \"note\" setting=\"dark\" }",
    right: "lettering \"note\" \"with love\" font=\"fonts/a.ttf\" height=\"4 mm\"\nrun \"picture\" { engrave \"note\" setting=\"dark\" }",
};

/// Looks for walls and islands of ink that are thinner than the spot.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let spot = job.plan.machine.spot;
    let operations: Vec<&Operation> = job.burning().map(|(_, o)| o).collect();
    let found: Vec<Option<Diagnostic>> =
        operations.into_par_iter().map(|operation| one(job, operation, spot)).collect();
    found.into_iter().flatten().for_each(|diagnostic| sink.push(diagnostic));
}

fn one(job: &Job, operation: &Operation, spot: Mm) -> Option<Diagnostic> {
    let Burn::Area(region) = &operation.burn else { return None };
    let thin = thin_places(region, spot);
    (!thin.is_empty()).then(|| report(job, operation, spot, &thin))
}

fn report(job: &Job, operation: &Operation, spot: Mm, thin: &[Thin]) -> Diagnostic {
    let at_least = if thin.len() < MOST_PLACES { "" } else { "at least " };
    let found = counted(thin.len(), "place", "places");
    let message = format!("this {} has {at_least}{found} finer than the spot of {spot}", operation.kind);
    let at: Vec<Point> = thin.iter().map(|t| t.at).collect();
    let label = format!("the finest is {} wide: {}", shown(thin[0].width), places(&at));
    let mut diagnostic = Diagnostic::new(&FINER_THAN_SPOT, message).at(operation.span, label);
    for place in at.iter().take(MOST_NAMED) {
        let figure = job.figure_at(&operation.figures, *place);
        if let Some(part) = figure.and_then(|f| job.element_at(f, *place)) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    let rows = operation.setting.as_ref().and_then(|s| s.interval).unwrap_or(spot);
    diagnostic
        .because(format!(
            "it comes out {spot} wide where a row meets it, and is missing between rows {rows} apart"
        ))
        .repair(
            "make the figure larger, or thicken it with an `offset`; slivers left where shapes overlap may stay",
        )
}

/// A width in words; one that rounds to nothing is still one.
fn shown(width: Mm) -> String {
    match fixed(width.get(), 3).as_str() {
        "0" => "under 0.001 mm".to_owned(),
        text => format!("{text} mm"),
    }
}
