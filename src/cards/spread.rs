//! Which numbers are tried: spread by what the stock receives, inside what the machine has.

use super::On;
use super::page::unit_size;
use crate::shop::OperationKind;
use crate::units::{Mm, MmPerSecond, Percent};

/// What a mark receives at full power between the fastest and the slowest row of a card, in J/mm² (common practice, no
/// source): from hardly seen to charred.
const MARK: (f64, f64) = (0.1, 1.5);

/// What the face of a cut receives at full power, in J/mm²: from scratched to well through (common practice, no source).
const FACE: (f64, f64) = (0.3, 3.0);

/// How many speeds a card tries where none are named.
const SPEEDS: usize = 5;

/// What a line receives, up to a constant: power times passes over speed.
pub(super) fn energy(power: Percent, passes: u32, speed: MmPerSecond) -> f64 {
    power.get() * f64::from(passes) / speed.get()
}

/// Speeds for a card, fastest first: evenly spread by ratio, round in the unit of the shop.
///
/// The energy of a line spreads over the thickness in a cut, over the interval in an area and over the spot in a line.
pub(super) fn speeds(
    kind: OperationKind,
    interval: Option<Mm>,
    fastest: MmPerSecond,
    on: &On,
) -> Vec<MmPerSecond> {
    let (machine, unit) = (on.machine, unit_size(&on.machine.speed_unit));
    let ((least, most), wide) = match kind {
        OperationKind::Cut => (FACE, on.stock.thickness),
        OperationKind::Engrave => (MARK, interval.unwrap_or(machine.spot)),
        OperationKind::Score | OperationKind::Guide => (MARK, machine.spot),
    };
    let at = |dose: f64| machine.power.get() / (dose * wide.get());
    let fast = at(least).min(fastest.get());
    let slow = at(most).min(fast / 2.0);
    let step = libm::pow(slow / fast, 1.0 / (SPEEDS - 1) as f64);
    let mut speeds: Vec<f64> =
        (0..SPEEDS).map(|i| rounded_down(fast * libm::pow(step, i as f64), unit)).filter(|s| *s > 0.0).collect();
    speeds.dedup();
    speeds.into_iter().map(MmPerSecond::new).collect()
}

/// The powers that a card tries where none are named, weakest first.
pub(super) fn powers(kind: OperationKind) -> Vec<Percent> {
    let shares: [f64; 5] =
        if kind == OperationKind::Cut { [40.0, 55.0, 70.0, 85.0, 100.0] } else { [20.0, 40.0, 60.0, 80.0, 100.0] };
    shares.into_iter().map(Percent::new).collect()
}

/// The nearest speed with two digits in a unit of so many mm/s.
pub(super) fn rounded(speed: f64, unit: f64) -> f64 {
    with_two_digits(speed, unit, libm::round)
}

/// The next lower one, so that it never goes beyond a limit.
fn rounded_down(speed: f64, unit: f64) -> f64 {
    with_two_digits(speed, unit, |n| libm::floor(n + 1e-9))
}

fn with_two_digits(speed: f64, unit: f64, round: fn(f64) -> f64) -> f64 {
    let number = speed / unit;
    let digit = libm::pow(10.0, libm::floor(libm::log10(number)) - 1.0);
    round(number / digit) * digit * unit
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_are_round_in_the_unit_of_the_shop() {
        // 1 in/min is 25.4 / 60 mm/s.
        let inch = 25.4 / 60.0;
        assert!((rounded(5.0, inch) - 12.0 * inch).abs() < 1e-9);
        assert!((rounded_down(399.9, 1.0) - 390.0).abs() < 1e-9);
        assert!((rounded_down(400.0, 1.0) - 400.0).abs() < 1e-9);
        assert!((rounded(0.0437, 1.0) - 0.044).abs() < 1e-12);
    }
}
