//! A machine of which nothing says how wide its spot is.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};

pub(super) static NO_SPOT: Finding = Finding {
    rule: "shop/no-spot",
    severity: Severity::Error,
    title: "nothing says how wide the spot of a machine is",
    explanation: "The spot is measured on a burned line, with a loupe or a microscope, or on the card that `kerfbook card focus` \
        makes. Where it was not, it can be worked out from the focal length of the lens, the width of the beam on it and the \
        quality of the beam (M²), which stand in the manuals of lens and laser. Only runs with `trial=#true`, such as those \
        of test cards, are burned without it.",
    wrong: "machine \"bench-diode\" { … }",
    right: "machine \"bench-diode\" { …; spot \"0.08 mm\" }",
};

/// Asks for the spot where anything is burned that is not on trial.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let machine = &job.plan.machine;
    if machine.known_spot().is_some() {
        return;
    }
    let is_on_trial = |run, operation| job.written(run, operation).is_some_and(|written| written.is_trial);
    let Some((_, first)) = job.burning().find(|(run, operation)| !is_on_trial(run, operation)) else { return };
    sink.push(
        Diagnostic::new(&NO_SPOT, format!("machine `{}` does not say how wide its spot is", machine.name))
            .at(machine.span, "neither `spot` nor `optics` in it")
            .also(first.span, "burned with it, and not on trial")
            .because("lines and rows would be planned for a beam of no known width")
            .repair(
                "measure a burned line and add `spot \"0.1 mm\"`, or add `optics` with the numbers of lens and beam; \
                 `kerfbook card focus` makes a card to measure it with",
            ),
    );
}
