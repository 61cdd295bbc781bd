//! Runs that did not go well the last time, and are to be burned again with the same numbers.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{HowItWent, LastTime, RunThen};

pub(super) static NOTHING_CHANGED: Finding = Finding {
    rule: "journal/nothing-changed",
    severity: Severity::Warning,
    title: "a run that failed the last time is to be burned with the same numbers",
    explanation: "The journal beside the recipe tells how the job went when it was last burned. A cut that did not go through, \
        or an engraving that came out too dark or too light, will do so again when machine, stock and every number are as \
        they were. Burn a test on an offcut and change a number; or, where the cause was something else (a sheet that had \
        curled, a dirty lens), accept this with what is done about it: the reason then stands on the job sheet.",
    wrong: "// a.journal.kdl tells: run \"separate\" went=\"not-through\"\nrun \"separate\" { cut \"board\" passes=2 }",
    right: "run \"separate\" { cut \"board\" passes=3 }",
};

/// Looks at the runs of the last time that went wrong in a way that other numbers could mend.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let Some(last) = &job.plan.last_time else { return };
    let is_unchanged = |then: &&RunThen| last.unchanged.contains(&then.name);
    for then in last.runs.iter().filter(is_unchanged) {
        let Some(run) = job.plan.runs.iter().find(|run| run.name == then.name) else { continue };
        if let Some(help) = help(then.went) {
            sink.push(unchanged(last, then, help).at(run.span, "to be burned as it was"));
        }
    }
}

/// What mends it; `None` where numbers do not.
fn help(went: HowItWent) -> Option<&'static str> {
    match went {
        HowItWent::NotThrough => Some("cut slower, with more power or one more pass"),
        HowItWent::TooDark => Some("burn faster or with less power"),
        HowItWent::TooLight => Some("burn slower or with more power"),
        HowItWent::Well | HowItWent::Shifted | HowItWent::Stopped | HowItWent::Spoiled => None,
    }
}

fn unchanged(last: &LastTime, then: &RunThen, help: &str) -> Diagnostic {
    let place = then.place.as_ref().map_or_else(String::new, |place| format!(" ({place})"));
    Diagnostic::new(
        &NOTHING_CHANGED,
        format!("on {} run `{}` {}{place}, and none of its numbers has changed", last.day, then.name, then.went),
    )
    .because("the same numbers on the same stock will do the same again")
    .repair(format!("{help}, after a test on an offcut; or accept this and say what else is done about it"))
}
