//! Numbers on trial: an operation of a trial run states all of them in place, and no setting.

use super::model::ResolvedSetting;
use super::setting::Bench;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::recipe::OperationNode;
use crate::shop::OperationKind;

pub(super) static INCOMPLETE: Finding = Finding {
    rule: "plan/trial-incomplete",
    severity: Severity::Error,
    title: "an operation on trial lacks a number",
    explanation: "In a run with `trial=#true` an operation either names a `setting=`, or states all of its numbers in place: \
        speed and power, and for engraving the interval. What is tried has to stand on the card: a number that was filled in \
        could not be written down afterwards.",
    wrong: "run \"grid\" trial=#true { engrave \"patch\" speed=\"120 mm/s\" power=\"20 %\" }",
    right: "run \"grid\" trial=#true { engrave \"patch\" speed=\"120 mm/s\" power=\"20 %\" interval=\"0.1 mm\" }",
};

/// Whether the numbers of an operation are its own.
pub(super) fn states_all(operation: &OperationNode) -> bool {
    operation.is_trial && operation.setting.is_none() && operation.shade.is_none()
}

/// The numbers that an operation states itself; reports it when one is missing.
pub(super) fn numbers(operation: &OperationNode, bench: &Bench, sink: &mut Sink) -> Option<ResolvedSetting> {
    let own = &operation.overrides;
    let is_area = operation.kind == OperationKind::Engrave;
    let (Some(speed), Some(power), false) = (own.speed, own.power, is_area && own.interval.is_none()) else {
        sink.push(incomplete(operation, is_area));
        return None;
    };
    Some(ResolvedSetting {
        name: String::new(),
        speed,
        power,
        passes: own.passes.unwrap_or(1),
        interval: own.interval,
        focus: own.focus,
        air: own.air,
        kerf: bench.stock.kerf.filter(|_| operation.kind == OperationKind::Cut),
        shade: None,
        card: None,
        measured: None,
        how: None,
        overridden: Vec::new(),
        is_trial: true,
    })
}

fn incomplete(operation: &OperationNode, is_area: bool) -> Diagnostic {
    let own = &operation.overrides;
    let gaps = [
        ("speed", own.speed.is_none()),
        ("power", own.power.is_none()),
        ("interval", is_area && own.interval.is_none()),
    ];
    let missing = quoted_list(gaps.iter().filter(|(_, gap)| *gap).map(|(word, _)| *word), "and");
    Diagnostic::new(&INCOMPLETE, format!("this {} is on trial and lacks {missing}", operation.kind))
        .at(operation.head, "states no complete numbers")
        .because("the machine would need a guess, and what it burned could not be written down afterwards")
        .repair(format!("add {missing}, or name a measured `setting=`"))
}
