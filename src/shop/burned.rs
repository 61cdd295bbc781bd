//! What the patches of a card were burned with, so that it is noticed when its setting has got other numbers since.

use super::model::Setting;
use crate::schema::{Fields, Kind, LENGTH, SPEED, Slot, optional};
use crate::units::{Dimension, Mm, MmPerSecond};

/// `speed=` of a card.
pub(super) const BURNED_SPEED: Slot =
    optional("speed", SPEED, "the speed its patches were burned at, which `kerfbook measure` writes down");
/// `passes=` of a card.
pub(super) const BURNED_PASSES: Slot = optional("passes", Kind::Count(1, 50), "how many times they were burned");
/// `interval=` of a card.
pub(super) const BURNED_INTERVAL: Slot = optional("interval", LENGTH, "the distance between their rows").fixed();
/// `focus=` of a card.
pub(super) const BURNED_FOCUS: Slot = optional(
    "focus",
    Kind::Signed(Dimension::Length),
    "the height of the focus above the stock that they were burned with",
)
.fixed();

/// Two speeds are the same to this share of them: they are written with three decimals, in the unit of the shop.
const SAME_SPEED: f64 = 1e-3;

/// Numbers that patches were burned with, as far as the card tells; their power is a matter of each patch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BurnedWith {
    /// Speed of the head.
    pub speed: Option<MmPerSecond>,
    /// How many times everything was burned.
    pub passes: Option<u32>,
    /// Distance between rows.
    pub interval: Option<Mm>,
    /// Height of the focus above the upper face; at the face where a setting does not say.
    pub focus: Option<Mm>,
}

/// A number that is another one now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differs {
    /// Its word in the shop file.
    pub word: &'static str,
    /// What the card was burned with.
    pub then: String,
    /// What it is now.
    pub now: String,
}

impl BurnedWith {
    /// The numbers of a setting.
    pub fn of(setting: &Setting) -> Self {
        Self {
            speed: Some(setting.speed),
            passes: Some(setting.passes),
            interval: setting.interval,
            focus: Some(setting.focus.unwrap_or(Mm::ZERO)),
        }
    }

    pub(super) fn take(fields: &Fields) -> Self {
        Self {
            speed: fields.known("speed").map(MmPerSecond::new),
            passes: fields.count("passes"),
            interval: fields.known("interval").map(Mm::new),
            focus: fields.known("focus").map(Mm::new),
        }
    }

    /// What is otherwise now, of what the card tells.
    pub fn differences(&self, now: &Self) -> Vec<Differs> {
        let is_same_speed = |a: MmPerSecond, b: MmPerSecond| (a / b - 1.0).abs() < SAME_SPEED;
        [
            differs("speed", self.speed, now.speed, is_same_speed),
            differs("passes", self.passes, now.passes, |a, b| a == b),
            differs("interval", self.interval, now.interval, |a, b| a == b),
            differs("focus", self.focus, now.focus, |a, b| a == b),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

fn differs<T: Copy + ToString>(
    word: &'static str,
    then: Option<T>,
    now: Option<T>,
    is_same: impl Fn(T, T) -> bool,
) -> Option<Differs> {
    let (then, now) = (then?, now?);
    (!is_same(then, now)).then(|| Differs { word, then: then.to_string(), now: now.to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_the_card_tells_is_compared() {
        let now = BurnedWith {
            speed: Some(MmPerSecond::new(150.0)),
            passes: Some(1),
            interval: Some(Mm::new(0.1)),
            focus: Some(Mm::ZERO),
        };
        assert!(BurnedWith::default().differences(&now).is_empty());
        let then = BurnedWith { speed: Some(MmPerSecond::new(120.0)), passes: Some(1), ..BurnedWith::default() };
        let told = then.differences(&now);
        assert_eq!((told.len(), told[0].word), (1, "speed"));
        assert_eq!((told[0].then.as_str(), told[0].now.as_str()), ("120 mm/s", "150 mm/s"));
        // 354.331 in/min are 150 mm/s to three decimals (25.4 mm an inch, exactly).
        let written = BurnedWith { speed: Some(MmPerSecond::new(354.331 * 25.4 / 60.0)), ..now };
        assert!(written.differences(&now).is_empty());
    }
}
