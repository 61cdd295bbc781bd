//! Settings of which nobody has written down when they were measured.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use std::collections::BTreeSet;

pub(super) static NOT_DATED: Finding = Finding {
    rule: "setting/not-dated",
    severity: Severity::Advice,
    title: "a setting does not say when it was measured",
    explanation: "Lenses get dirty, tubes and diodes age, and the next delivery of a stock has another glue. A setting is worth as \
        much as its last measurement, so it carries `measured=` with the date, and `how=` for whoever repeats it. One that \
        was only derived with `like` was not measured yet.",
    wrong: "setting \"dark\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"engrave\" speed=\"120 mm/s\" power=\"62 %\" interval=\"0.1 mm\"",
    right: "setting \"dark\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"engrave\" speed=\"120 mm/s\" power=\"62 %\" interval=\"0.1 mm\" measured=\"2027-03-06\"",
};

/// Looks at each setting that is used, once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let (machine, stock) = (&job.plan.machine.name, &job.plan.stock.name);
    let mut seen = BTreeSet::new();
    for (_, operation) in job.burning() {
        let Some(name) = operation.setting.as_ref().map(|s| s.name.as_str()) else { continue };
        let Some(setting) = job.recipe.shop.setting_of(Some(name), machine, stock, operation.kind) else {
            continue;
        };
        if setting.measured.is_some() || !seen.insert((operation.kind, name)) {
            continue;
        }
        let how = setting.how.as_ref().map_or("says neither when nor how", |_| "says how, but not when");
        sink.push(
            Diagnostic::new(&NOT_DATED, format!("setting `{name}` does not say when it was measured"))
                .at(setting.span, how)
                .also(operation.span, "burned here")
                .because("nobody can tell whether it still holds")
                .repair("burn a test; if it is right, add `measured=\"…\"` with the day and `how=\"…\"`"),
        );
    }
}
