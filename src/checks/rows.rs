//! Rows that are a little too far apart, or nearer than does any good.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Burn, Operation};
use crate::units::Mm;
use crate::units::number::fixed;
use std::f64::consts::PI;

pub(super) static SHOWS_ROWS: Finding = Finding {
    rule: "interval/shows-rows",
    severity: Severity::Advice,
    title: "rows lie farther apart than the spot is wide",
    explanation: "A row is about as wide as the spot. Rows up to half a spot farther apart close by scorching; beyond that a bare \
        strip stays between them, and the area looks striped. The limit of one and a half spots is our judgement; beyond \
        three it is a warning. Stripes may be wanted.",
    wrong: "engrave \"heron\" interval=\"0.2 mm\"",
    right: "engrave \"heron\" interval=\"0.1 mm\"",
};

pub(super) static BURNS_OVER: Finding = Finding {
    rule: "interval/burns-over",
    severity: Severity::Advice,
    title: "rows lie nearer to each other than half the spot",
    explanation: "The dose of rows half a spot apart is even to about a hundredth: a sum of bell curves of radius w at \
        distances p swings by 2 exp(-π² w² / (2 p²)) about its mean, which is 1.4 % for p = w (Poisson's summation). Nearer \
        rows make it no more even. They burn every place more often, so the stock chars, and they take longer.",
    wrong: "engrave \"heron\" interval=\"0.02 mm\"",
    right: "engrave \"heron\" interval=\"0.08 mm\"",
};

/// So many spots apart rows are seen.
const STRIPES: f64 = 1.5;
/// So many spots apart rows are warned of elsewhere.
const FAR: f64 = 3.0;
/// Rows nearer than this share of the spot make nothing more even.
const EVEN: f64 = 0.5;
/// Rows nearer than this share of the spot are refused elsewhere.
const REFUSED: f64 = 0.1;

/// Compares the rows of every engraving with the spot; dots of photos have checks of their own.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let Some(spot) = job.spot() else { return };
    let is_looked_at = |o: &Operation| matches!(o.burn, Burn::Area(_)) && !o.is_trial();
    for (_, operation) in job.burning().filter(|(_, o)| is_looked_at(o)) {
        let Some(interval) = operation.setting.as_ref().and_then(|s| s.interval) else { continue };
        let spots = interval / spot;
        if spots > STRIPES && spots <= FAR {
            sink.push(shows_rows(operation, interval, spot));
        } else if (REFUSED..EVEN).contains(&spots) {
            sink.push(burns_over(operation, interval, spot));
        }
    }
}

fn shows_rows(operation: &Operation, interval: Mm, spot: Mm) -> Diagnostic {
    Diagnostic::new(&SHOWS_ROWS, format!("rows {interval} apart leave bare strips between lines {spot} wide"))
        .at(operation.span, format!("strips of about {}", interval - spot))
        .because("the area looks striped, and paler than its shade")
        .repair(format!(
            "write `interval=\"{spot}\"`, about the spot, and burn a test; or accept the stripes with `allow`"
        ))
}

fn burns_over(operation: &Operation, interval: Mm, spot: Mm) -> Diagnostic {
    let half = spot * EVEN;
    let times = fixed(half / interval, 1);
    let swing = fixed(100.0 * ripple(half, spot), 1);
    Diagnostic::new(&BURNS_OVER, format!("rows {interval} apart lie nearer than half the spot of {spot}"))
        .at(operation.span, format!("every place is burned {} times", fixed(spot / interval, 1)))
        .because(format!(
            "it takes {times} times as long as rows {half} apart, whose dose swings by {swing} % only, and what is burned so \
             often chars"
        ))
        .repair(format!("write `interval=\"{half}\"` or more, raise the power by as much, and burn a test"))
}

/// How far the dose of rows swings about its mean, for a beam with the profile of a bell curve whose diameter is the spot.
fn ripple(interval: Mm, spot: Mm) -> f64 {
    let radii = interval / (spot / 2.0);
    2.0 * libm::exp(-PI * PI / (2.0 * radii * radii))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dose_of_rows_swings_as_the_sum_of_bell_curves_does() {
        // (max - min) / (max + min) of the sum of exp(-2 (x - n p)² / w²) over all rows n, summed up at a thousand places
        // with numpy 2 for this test.
        for (radii, swing) in [(0.75, 3.097e-4), (1.0, 0.014_38), (1.25, 0.0850), (1.5, 0.2230)] {
            let found = ripple(Mm::new(radii), Mm::new(2.0));
            assert!((found / swing - 1.0).abs() < 2e-3, "{radii}: {found}");
        }
    }
}
