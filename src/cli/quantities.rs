//! Quantities and days on the command line: written as in a recipe, unit included.

use crate::journal;
use crate::readings::quantity;
use crate::units::{Dimension, Mm, MmPerSecond, Percent};
use jiff::civil::Date;

/// A day of the calendar.
pub(super) fn day(text: &str) -> Result<Date, String> {
    journal::day(text).ok_or_else(|| "expected a day of the calendar as YYYY-MM-DD, such as 2027-03-20".to_owned())
}

/// A length above zero.
pub(super) fn length(text: &str) -> Result<Mm, String> {
    quantity::above_zero(text, Dimension::Length).map(Mm::new)
}

/// A length that may be negative.
pub(super) fn height(text: &str) -> Result<Mm, String> {
    quantity::any(text, Dimension::Length).map(Mm::new)
}

/// A speed above zero.
pub(super) fn speed(text: &str) -> Result<MmPerSecond, String> {
    quantity::above_zero(text, Dimension::Speed).map(MmPerSecond::new)
}

/// A share above zero.
pub(super) fn percent(text: &str) -> Result<Percent, String> {
    quantity::above_zero(text, Dimension::Percent).map(Percent::new)
}
