//! How a card's lettering is scored, and how much room it takes.

use super::page::{Stated, unit_size};
use super::spread::{energy, rounded};
use super::{CardError, On};
use crate::shop::{OperationKind, Setting};
use crate::units::{MmPerSecond, Percent};

/// Height of small lettering, in mm: it can be read from half a metre.
pub(super) const SMALL: f64 = 2.2;

/// Height of headings, in mm.
pub(super) const HEADING: f64 = 3.2;

/// Distance of two lines over the height of the capitals, at a leading of 100 %: the em of the strokes is 32 over 21.
pub(super) const LINE: f64 = 32.0 / 21.0;

/// What a line of lettering receives per area where no score setting was measured, in J/mm²: a light mark on wood
/// (common practice, no source).
const LIGHT: f64 = 0.25;

/// With which numbers the lettering is scored.
pub(super) enum Labels {
    /// A measured setting.
    Measured(String),
    /// Numbers on trial, and the unit that speeds are said in.
    Trial(Stated, String),
}

impl Labels {
    /// The gentlest measured score setting, or the one asked for, or else light numbers on trial.
    pub fn choose(on: &On) -> Result<Self, CardError> {
        let (machine, stock) = (&on.machine.name, &on.stock.name);
        let known: Vec<&Setting> = on.shop.settings_for(machine, stock, OperationKind::Score).collect();
        if let Some(name) = on.label_setting {
            let found = known.iter().find(|s| s.name == name);
            return found.map(|s| Self::Measured(s.name.clone())).ok_or_else(|| {
                CardError::new(
                    format!("there is no setting `{name}` to score with `{machine}` on `{stock}`"),
                    "leave out `--labels`: without a measured setting the lettering is scored on trial",
                )
            });
        }
        let gentlest = known.iter().min_by(|a, b| dose(a).total_cmp(&dose(b)));
        Ok(gentlest.map_or_else(|| Self::on_trial(on), |s| Self::Measured(s.name.clone())))
    }

    fn on_trial(on: &On) -> Self {
        let unit = &on.machine.speed_unit;
        let speed = rounded(on.machine.top_speed.get() / 4.0, unit_size(unit));
        let share = 100.0 * LIGHT * speed * on.machine.spot.get() / on.machine.power.get();
        let stated = Stated {
            speed: MmPerSecond::new(speed),
            power: Percent::new(share.round().clamp(1.0, 100.0)),
            passes: 1,
            interval: None,
            focus: None,
            air: None,
        };
        Self::Trial(stated, unit.clone())
    }

    /// The words of the operation.
    pub fn words(&self) -> String {
        match self {
            Self::Measured(name) => format!("setting=\"{name}\""),
            Self::Trial(stated, unit) => stated.words(unit),
        }
    }

    /// What the head of the card says of it.
    pub fn note(&self) -> String {
        match self {
            Self::Measured(name) => format!("The lettering is scored with the measured setting `{name}`."),
            Self::Trial(..) => {
                "No score setting is measured here yet: the lettering is on trial too, at light numbers."
                    .to_owned()
            }
        }
    }
}

fn dose(setting: &Setting) -> f64 {
    energy(setting.power, setting.passes, setting.speed)
}

/// Room that a text of one or more lines takes at most, in mm: the plain strokes advance at most so much.
pub(super) fn room(text: &str, height: f64) -> (f64, f64) {
    let lines: Vec<&str> = text.split("\\n").collect();
    let widest = lines.iter().map(|line| line.chars().map(advance).sum::<f64>()).fold(0.0, f64::max);
    (widest * height, height * (1.25 + LINE * (lines.len() - 1) as f64))
}

/// Advance of a letter of the plain strokes over the height of the capitals, rounded up (Hershey's widths over 21).
fn advance(letter: char) -> f64 {
    match letter {
        '\'' | '.' | ',' | ':' | 'i' | 'j' | 'l' | 'I' => 0.5,
        't' | 'f' | 'r' => 0.63,
        ' ' => 0.77,
        'a'..='h' | 'k' | 'n'..='q' | 's' | 'u'..='v' | 'x'..='z' | '0'..='9' => 0.96,
        'm' => 1.43,
        _ => 1.24,
    }
}

/// A name as single strokes can write it: short, and without what they have no letter for.
pub(super) fn legible(name: &str) -> String {
    name.chars().filter(char::is_ascii).take(24).collect()
}
