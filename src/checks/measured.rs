//! Numbers that are far from what was measured, or from what the spot can do.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Operation, ResolvedSetting};
use crate::shop::{OperationKind, Setting};
use crate::units::number::fixed;

pub(super) static FAR_FROM_MEASURED: Finding = Finding {
    rule: "setting/far-from-measured",
    severity: Severity::Warning,
    title: "numbers written in place burn much more or less than the measured setting",
    explanation: "What a line receives is power times passes over speed. \
        More than twice what was measured may set the stock on fire, less than half may do nothing. The limit of two is \
        our judgement. Try it on an offcut, somebody standing by, and write a setting of its own into the shop file.",
    wrong: "cut \"board\" setting=\"through\" speed=\"1 mm/s\"",
    right: "cut \"board\" setting=\"through\" speed=\"4 mm/s\"",
};

pub(super) static TOO_FINE: Finding = Finding {
    rule: "interval/finer-than-spot",
    severity: Severity::Error,
    title: "rows lie much nearer to each other than the spot is wide",
    explanation: "Rows a tenth of the spot apart burn every place ten times over: the stock chars through or takes fire, and \
        the job lasts ten times as long. The limit of a tenth is our judgement.",
    wrong: "engrave \"heron\" interval=\"0.001 mm\"",
    right: "engrave \"heron\" interval=\"0.1 mm\"",
};

pub(super) static TOO_COARSE: Finding = Finding {
    rule: "interval/wider-than-spot",
    severity: Severity::Warning,
    title: "rows lie so far apart that stripes stay bare",
    explanation: "A row is about as wide as the spot. Rows more than three spots apart leave bare stripes between them; the \
        limit of three is our judgement.",
    wrong: "engrave \"heron\" interval=\"5 mm\"",
    right: "engrave \"heron\" interval=\"0.1 mm\"",
};

/// The factor by which numbers written in place may burn more or less than measured.
const FAR: f64 = 2.0;

/// Compares every operation's numbers with its measured setting and with the spot.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    for (_, operation) in job.burning() {
        let Some(setting) = &operation.setting else { continue };
        energy(job, operation, setting, sink);
        if operation.kind == OperationKind::Engrave {
            interval(job, operation, setting, sink);
        }
    }
}

/// What a line receives, up to a constant: power times passes over speed. Intervals are compared with the spot.
fn dose(power: f64, passes: u32, speed: f64) -> f64 {
    power * f64::from(passes) / speed
}

fn measured<'a>(job: &Job<'a>, setting: &ResolvedSetting) -> Option<&'a Setting> {
    let (machine, stock) = (&job.plan.machine.name, &job.plan.stock.name);
    let mut all = job.recipe.shop.settings.iter();
    all.find(|s| s.name == setting.name && s.machine == *machine && s.stock == *stock)
}

fn energy(job: &Job, operation: &Operation, setting: &ResolvedSetting, sink: &mut Sink) {
    // Numbers on trial are meant to lie apart from the measured ones.
    let is_changed = !setting.overridden.is_empty() && !setting.is_trial;
    let Some(base) = measured(job, setting).filter(|_| is_changed) else { return };
    let now = dose(setting.power.get(), setting.passes, setting.speed.get());
    let then = dose(base.power.get(), base.passes, base.speed.get());
    let factor = now / then;
    let (word, times, danger) = if factor > FAR {
        ("more", factor, "the stock may burn through or take fire")
    } else if factor < 1.0 / FAR {
        ("less", 1.0 / factor, "it may leave no mark, or a cut that does not go through")
    } else {
        return;
    };
    let times = fixed(times, 1);
    sink.push(
        Diagnostic::new(
            &FAR_FROM_MEASURED,
            format!("this burns {times} times {word} than setting `{}` was measured with", setting.name),
        )
        .at(operation.span, "numbers written in place")
        .also(base.span, "measured numbers")
        .because(danger)
        .repair("try it on an offcut, and add a setting of its own to the shop file"),
    );
}

fn interval(job: &Job, operation: &Operation, setting: &ResolvedSetting, sink: &mut Sink) {
    let (Some(interval), Some(spot)) = (setting.interval, job.spot()) else { return };
    let at = |finding, label: &str| {
        Diagnostic::new(finding, format!("rows {interval} apart do not suit a spot of {spot}"))
            .at(operation.span, label.to_owned())
            .repair(format!("set the interval to about the spot, `interval=\"{spot}\"`, or a little more"))
    };
    if interval < spot / 10.0 {
        let over = at(&TOO_FINE, "far too near to each other");
        sink.push(over.because("every place would be burned over and over, until it chars through or takes fire"));
    } else if interval > spot * 3.0 {
        sink.push(at(&TOO_COARSE, "far apart").because("bare stripes stay between the rows"));
    }
}
