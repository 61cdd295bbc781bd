//! [`Price`]: an amount of money in a currency.

use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Fields, Reader};
use crate::units::number::fixed;
use std::fmt;

pub(super) static UNREADABLE_PRICE: Finding = Finding {
    rule: "shop/unreadable-price",
    severity: Severity::Error,
    title: "a price is not an amount and a currency",
    explanation: "What a job costs is added up from the price of a sheet and of an hour of the machine. A price is an amount \
        with a decimal point and the three letters of its currency (ISO 4217).",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\" price=\"about 4 euros\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\" price=\"4.20 EUR\"",
};

/// No price is higher than this; what is written with more digits is a slip.
const MOST: f64 = 1e9;

/// An amount of money in a currency.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    amount: f64,
    currency: String,
}

impl Price {
    /// Reads `4.20 EUR`: an amount and the three letters of a currency (ISO 4217).
    pub fn parse(text: &str) -> Option<Self> {
        let (amount, currency) = text.trim().split_once(char::is_whitespace)?;
        let currency = currency.trim();
        let is_amount = amount.bytes().all(|b| b.is_ascii_digit() || b == b'.') && !amount.starts_with('.');
        let is_currency = currency.len() == 3 && currency.bytes().all(|b| b.is_ascii_uppercase());
        let amount: f64 = amount.parse().ok().filter(|a| is_amount && *a <= MOST)?;
        is_currency.then(|| Self { amount, currency: currency.to_owned() })
    }

    /// How much, in whole units of the currency.
    pub const fn amount(&self) -> f64 {
        self.amount
    }

    /// The three letters of the currency.
    pub fn currency(&self) -> &str {
        &self.currency
    }

    /// So many times as much.
    pub fn times(&self, factor: f64) -> Self {
        Self { amount: self.amount * factor, currency: self.currency.clone() }
    }

    /// Both together; `None` where their currencies differ.
    pub fn plus(&self, other: &Self) -> Option<Self> {
        let same = self.currency == other.currency;
        same.then(|| Self { amount: self.amount + other.amount, currency: self.currency.clone() })
    }
}

/// `4.20 EUR`.
impl fmt::Display for Price {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Amounts are written with both digits even where they are zero, as on a bill.
        let hundredths = fixed((self.amount * 100.0).round(), 0);
        let digits = format!("{hundredths:0>3}");
        let (whole, rest) = digits.split_at(digits.len() - 2);
        write!(f, "{whole}.{rest} {}", self.currency)
    }
}

/// The price in a slot; `None` where it is left out, or cannot be read, which is reported.
pub(super) fn price(fields: &Fields, slot: &str, reader: &mut Reader) -> Option<Price> {
    let text = fields.text(slot)?;
    let price = Price::parse(&text.text);
    if price.is_none() {
        reader.sink.push(
            Diagnostic::new(&UNREADABLE_PRICE, "this price cannot be read".to_owned())
                .at(text.span, "expected an amount and a currency")
                .because("what a job costs could not be added up")
                .repair("write it like `4.20 EUR`"),
        );
    }
    price
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_read_and_written_like_on_a_bill() {
        let said = |text: &str| Price::parse(text).map(|p| p.to_string());
        assert_eq!(said("4.20 EUR").as_deref(), Some("4.20 EUR"));
        assert_eq!(said("12 CHF").as_deref(), Some("12.00 CHF"));
        assert_eq!(said("0.05 USD").as_deref(), Some("0.05 USD"));
        for wrong in [
            "4.20",
            "EUR",
            "4,20 EUR",
            "-4 EUR",
            "4.2.0 EUR",
            ". EUR",
            "1e3 EUR",
            "4 eur",
            "4 EURO",
            "99999999999 EUR",
        ] {
            assert_eq!(Price::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn only_prices_in_one_currency_are_added() {
        let of = |text| Price::parse(text).unwrap();
        assert_eq!(of("4.20 EUR").times(2.0).plus(&of("1.116 EUR")).unwrap().to_string(), "9.52 EUR");
        assert_eq!(of("4 EUR").plus(&of("4 USD")), None);
    }
}
