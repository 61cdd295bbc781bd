//! Time and money in the report.

use super::Number;
use crate::plan::{Cost, Estimate};
use crate::shop::Price;
use schemars::JsonSchema;
use serde::Serialize;

/// How far an estimated time may be off.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Doubt", deny_unknown_fields)]
pub struct DoubtReport {
    /// The time with a quarter more acceleration and, where it is not known how corners are passed, without braking at
    /// them.
    pub least_s: Number,
    /// The time with a quarter less acceleration.
    pub most_s: Number,
    /// By how much the time may be off to either side.
    pub percent: Number,
}

impl DoubtReport {
    pub(super) fn of(time: &Estimate) -> Self {
        Self {
            least_s: Number::new(time.least.get()),
            most_s: Number::new(time.most.get()),
            percent: Number::new(time.doubt().get()),
        }
    }
}

/// An amount of money.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Money", deny_unknown_fields)]
pub struct MoneyReport<'a> {
    /// How much, to the hundredth.
    pub amount: Number,
    /// The currency, three letters (ISO 4217).
    pub currency: &'a str,
}

impl<'a> MoneyReport<'a> {
    pub(super) fn of(price: &'a Price) -> Self {
        Self { amount: Number::new((price.amount() * 100.0).round() / 100.0), currency: price.currency() }
    }
}

/// What the job costs, as far as the shop knows prices.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Cost", deny_unknown_fields)]
pub struct CostReport<'a> {
    /// How many sheets it takes; each is paid whole.
    pub sheets: usize,
    /// The share of a sheet as bought that the job's own sheet is.
    pub sheet_used_percent: Option<Number>,
    /// The sheets.
    pub material: Option<MoneyReport<'a>>,
    /// The time on the machine, as estimated.
    pub running: Option<MoneyReport<'a>>,
    /// All of it; null where nothing is known, and where it is in different currencies.
    pub total: Option<MoneyReport<'a>>,
}

impl<'a> CostReport<'a> {
    pub(super) fn of(cost: &'a Cost) -> Self {
        Self {
            sheets: cost.sheets,
            sheet_used_percent: cost.used.map(|p| Number::new(p.get())),
            material: cost.material.as_ref().map(MoneyReport::of),
            running: cost.running.as_ref().map(MoneyReport::of),
            total: cost.total.as_ref().map(MoneyReport::of),
        }
    }
}
