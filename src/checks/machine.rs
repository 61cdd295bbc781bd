//! Settings that ask for more than the machine has.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Operation, ResolvedSetting};
use crate::source::Span;
use crate::units::MmPerSecond;

pub(super) static OVER_POWER: Finding = Finding {
    rule: "power/over-machine",
    severity: Severity::Error,
    title: "more power is asked for than the machine has",
    explanation: "Power is said in hundredths of the machine's full power. More than 100 % cannot be had; programs take it as \
        100 %, or refuse the file.",
    wrong: "cut \"board\" power=\"120 %\"",
    right: "cut \"board\" power=\"95 %\" passes=2",
};

pub(super) static OVER_SPEED: Finding = Finding {
    rule: "speed/over-machine",
    severity: Severity::Error,
    title: "the head is asked to go faster than it can",
    explanation: "A machine that cannot keep up goes at its top speed in silence. It then burns longer in every place than was \
        meant: darker and deeper than the setting says.",
    wrong: "engrave \"heron\" speed=\"900 mm/s\"",
    right: "engrave \"heron\" speed=\"300 mm/s\"",
};

pub(super) static NO_AIR: Finding = Finding {
    rule: "air/not-there",
    severity: Severity::Warning,
    title: "air assist is asked for on a machine without it",
    explanation: "A setting that was measured with air burns otherwise without: more flame, more char, and cuts that do not go \
        through.",
    wrong: "cut \"board\" setting=\"through\" air=#true",
    right: "cut \"board\" setting=\"through\" air=#false",
};

pub(super) static IMPLAUSIBLE: Finding = Finding {
    rule: "speed/implausible",
    severity: Severity::Error,
    title: "a speed is far from what workshop lasers go at",
    explanation: "Workshop lasers cut and engrave at about 0.1 mm/s to 20 m/s (common practice, no source): the slowest cuts crawl, and \
        the mirrors of a scanning head are the fastest. A speed outside is usually a slip of the unit, such as mm/min for mm/s: \
        every estimate of time would be wrong, and a head that nearly stands still sets the stock on fire.",
    wrong: "cut \"board\" speed=\"0.0001 mm/s\"",
    right: "cut \"board\" speed=\"10 mm/s\"",
};

/// Slower and faster than any workshop laser (common practice, no source).
const PLAUSIBLE: (MmPerSecond, MmPerSecond) = (MmPerSecond::new(0.1), MmPerSecond::new(20_000.0));

/// Compares the numbers of every operation with the machine.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let machine = &job.plan.machine;
    let fastest = machine.top_speed.max(machine.travel_speed);
    if fastest > PLAUSIBLE.1 {
        sink.push(too_fast(job, fastest));
    }
    for (_, operation) in job.burning() {
        let Some(setting) = &operation.setting else { continue };
        if setting.power.get() > 100.0 {
            sink.push(over_power(job, operation, setting));
        }
        if setting.speed > machine.top_speed {
            sink.push(over_speed(job, operation, setting));
        }
        if setting.speed < PLAUSIBLE.0 {
            sink.push(too_slow(job, operation, setting));
        }
        if setting.air == Some(true) && !machine.air_assist {
            sink.push(no_air(job, operation, setting));
        }
    }
}

/// Which numbers are meant.
fn with(setting: &ResolvedSetting) -> String {
    if setting.name.is_empty() { "on trial".to_owned() } else { format!("with `{}`", setting.name) }
}

/// Where a number is written: at the operation that overrides it, else in the setting it is taken from.
fn written(job: &Job, operation: &Operation, setting: &ResolvedSetting, word: &str) -> Span {
    let is_own = setting.overridden.contains(&word) || (word == "power" && setting.shade.is_some());
    let (machine, stock) = (&job.plan.machine.name, &job.plan.stock.name);
    let same = job
        .recipe
        .shop
        .settings_for(machine, stock, operation.kind)
        .find(|s| !is_own && s.name == setting.name)
        .map(|s| s.span);
    same.unwrap_or(operation.span)
}

/// Points at the number, and at the operation that uses it where that is elsewhere.
fn pointed(diagnostic: Diagnostic, at: Span, operation: &Operation, label: String) -> Diagnostic {
    let diagnostic = diagnostic.at(at, label);
    if at == operation.span { diagnostic } else { diagnostic.also(operation.span, "used here") }
}

fn over_power(job: &Job, operation: &Operation, setting: &ResolvedSetting) -> Diagnostic {
    let power = setting.power;
    let message = format!("to {} {} takes {power} power, more than there is", operation.kind, with(setting));
    let at = written(job, operation, setting, "power");
    pointed(Diagnostic::new(&OVER_POWER, message), at, operation, "100 % is all the machine has".to_owned())
        .because("the machine would give 100 % at most, and burn less than was meant")
        .repair("lower the power and the speed by the same factor, or add a pass; then burn a test")
}

fn over_speed(job: &Job, operation: &Operation, setting: &ResolvedSetting) -> Diagnostic {
    let (speed, machine) = (setting.speed, &job.plan.machine);
    let message = format!(
        "to {} {} asks for {speed}, and `{}` cannot go so fast",
        operation.kind,
        with(setting),
        machine.name
    );
    let at = written(job, operation, setting, "speed");
    let longer = crate::units::number::fixed(speed / machine.top_speed, 2);
    pointed(
        Diagnostic::new(&OVER_SPEED, message),
        at,
        operation,
        format!("its top speed is {}", machine.top_speed),
    )
    .also(machine.span, "this machine")
    .because(format!("it would go slower and burn {longer} times as long in every place"))
    .repair(format!("ask for {} or less, lower the power as much, and burn a test", machine.top_speed))
}

fn too_slow(job: &Job, operation: &Operation, setting: &ResolvedSetting) -> Diagnostic {
    let at = written(job, operation, setting, "speed");
    let message = format!("{} {} is slower than any laser goes", said(setting.speed), with(setting));
    let label = format!("less than {}", PLAUSIBLE.0);
    pointed(Diagnostic::new(&IMPLAUSIBLE, message), at, operation, label)
        .because("a beam that nearly stands still sets the stock on fire, and the job would not end")
        .repair("look at the unit and at the decimal point")
}

fn too_fast(job: &Job, fastest: MmPerSecond) -> Diagnostic {
    let machine = &job.plan.machine;
    let message = format!("`{}` is said to go {fastest}, faster than any laser", machine.name);
    Diagnostic::new(&IMPLAUSIBLE, message)
        .at(machine.span, format!("its `motion` says so; {} are the most that heads go", PLAUSIBLE.1))
        .because("every estimate of time rests on it, and no setting that is too fast would be told")
        .repair("look at the unit of `top` and `travel`: mm/s, mm/min, in/s or in/min")
}

/// A speed with as many digits as it takes to see it.
fn said(speed: MmPerSecond) -> String {
    let shown = speed.to_string();
    if shown.starts_with("0 ") { format!("less than {}", MmPerSecond::new(0.001)) } else { shown }
}

fn no_air(job: &Job, operation: &Operation, setting: &ResolvedSetting) -> Diagnostic {
    let machine = &job.plan.machine;
    let message =
        format!("to {} {} asks for air, and `{}` has no air assist", operation.kind, with(setting), machine.name);
    let at = written(job, operation, setting, "air");
    let diagnostic = Diagnostic::new(&NO_AIR, message).at(operation.span, "burned without air");
    let diagnostic = if at == operation.span { diagnostic } else { diagnostic.also(at, "measured with air") };
    diagnostic
        .also(machine.span, "this machine")
        .because("without air there is more flame and char, and a cut may not go through")
        .repair("measure a setting without air, or write `air-assist=#true` where the machine is described")
}
