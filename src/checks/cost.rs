//! Prices that cannot be added up.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};

pub(super) static TWO_CURRENCIES: Finding = Finding {
    rule: "cost/two-currencies",
    severity: Severity::Advice,
    title: "sheet and machine are priced in different currencies",
    explanation: "What a job costs is the sheets and the time on the machine. Rates of exchange change every day, so nothing is \
        converted: in two currencies both are told, but no sum.",
    wrong: "machine \"bench-diode\" hourly=\"6.00 CHF\" // and stock \"birch-3\" price=\"4.20 EUR\"",
    right: "machine \"bench-diode\" hourly=\"6.40 EUR\" // and stock \"birch-3\" price=\"4.20 EUR\"",
};

/// Compares the currencies of stock and machine.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let (machine, stock) = (&job.plan.machine, &job.plan.stock);
    let (Some(hourly), Some(price)) = (&machine.hourly, &stock.price) else { return };
    if hourly.currency() == price.currency() {
        return;
    }
    let message = format!("a sheet costs {}, an hour of the machine {}", price.currency(), hourly.currency());
    sink.push(
        Diagnostic::new(&TWO_CURRENCIES, message)
            .at(machine.span, format!("`hourly` is {hourly}"))
            .also(stock.span, format!("`price` is {price}"))
            .because("sheet and report tell both, but not what the job costs together")
            .repair("write both in one currency"),
    );
}
