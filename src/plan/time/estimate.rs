//! A time, and how far it may be off.

use super::Motion;
use crate::units::{Percent, Seconds};
use std::iter::Sum;
use std::ops::{Add, Mul};

/// How long something takes: what is most likely, and between what it lies.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Estimate {
    /// The time as the machine is described.
    pub likely: Seconds,
    /// The time with a quarter more acceleration and, where it is not known how corners are passed, without braking at
    /// them.
    pub least: Seconds,
    /// The time with a quarter less acceleration.
    pub most: Seconds,
}

/// Nobody shall expect an estimate to be closer than this share: it is how well stepwise integration of the same motion
/// agrees with it.
const CLOSEST: f64 = 0.02;

impl Estimate {
    /// What something takes that takes so long for each motion.
    pub(in crate::plan) fn of(motion: Motion, time: impl Fn(&Motion) -> Seconds) -> Self {
        let (likely, least, most) = (time(&motion), time(&motion.brisker()), time(&motion.slower()));
        Self { likely, least: least.min(likely), most: most.max(likely) }
    }

    /// By what share of itself the time may be off to either side, rounded up to whole hundredths.
    pub fn doubt(&self) -> Percent {
        let (likely, least, most) = (self.likely.get(), self.least.get(), self.most.get());
        if likely <= 0.0 {
            return Percent::ZERO;
        }
        let share = ((most - likely).max(likely - least) / likely).max(CLOSEST);
        // Rounding shall not make a whole hundredth the next.
        Percent::new((share * 100.0 - 1e-9).ceil())
    }
}

impl Add for Estimate {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { likely: self.likely + other.likely, least: self.least + other.least, most: self.most + other.most }
    }
}

impl Mul<f64> for Estimate {
    type Output = Self;
    fn mul(self, times: f64) -> Self {
        Self { likely: self.likely * times, least: self.least * times, most: self.most * times }
    }
}

impl Sum for Estimate {
    fn sum<I: Iterator<Item = Self>>(each: I) -> Self {
        each.fold(Self::default(), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubt_is_the_wider_side_and_never_less_than_what_the_sum_itself_is_good_for() {
        let of = |likely, least, most| {
            Estimate { likely: Seconds::new(likely), least: Seconds::new(least), most: Seconds::new(most) }
                .doubt()
                .get()
        };
        assert_eq!(of(100.0, 80.0, 105.0), 20.0);
        assert_eq!(of(100.0, 99.5, 112.3), 13.0);
        assert_eq!(of(100.0, 100.0, 100.0), 2.0);
        assert_eq!(of(0.0, 0.0, 0.0), 0.0);
    }
}
