//! What decides which reminders apply.

use super::judge::{Judgement, judge};
use crate::shop::{LaserKind, Machine, OperationKind, Stock};
use crate::units::Mm;
use std::collections::BTreeSet;

/// The facts of a machine, a stock and a kind of work that choose the lines of a job sheet.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a fact of its own, and chooses lines of its own")]
pub struct Circumstances {
    /// How the beam is made.
    pub laser: LaserKind,
    /// Wavelength of the beam.
    pub wavelength: Mm,
    /// Whether the beam is enclosed.
    pub enclosed: bool,
    /// Whether the machine has air assist.
    pub air_assist: bool,
    /// The verdict on the material.
    pub material: Judgement,
    /// What is done to the stock.
    pub operations: BTreeSet<OperationKind>,
    /// How many visits to the machine the job takes.
    pub runs: usize,
    /// Whether numbers are burned that nobody has tried.
    pub is_trial: bool,
    /// Whether the sheet is tilted on purpose, one edge on a block.
    pub is_tilted: bool,
}

/// What a wavelength does to an eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Band {
    /// Shorter than 400 nm: invisible.
    Ultraviolet,
    /// 400 to 700 nm.
    Visible,
    /// 700 to 1400 nm: invisible, and the eye still focuses it.
    NearInfrared,
    /// Longer: invisible, taken up by the cornea.
    FarInfrared,
}

impl Circumstances {
    /// Gathers the facts.
    pub fn new(
        machine: &Machine,
        stock: &Stock,
        operations: impl IntoIterator<Item = OperationKind>,
        runs: usize,
    ) -> Self {
        Self {
            laser: machine.kind,
            wavelength: machine.wavelength,
            enclosed: machine.enclosed,
            air_assist: machine.air_assist,
            material: judge(&stock.material),
            operations: operations.into_iter().collect(),
            runs,
            is_trial: false,
            is_tilted: false,
        }
    }

    /// The same for a job in which numbers are tried.
    #[must_use]
    pub fn with_trial(self, is_trial: bool) -> Self {
        Self { is_trial, ..self }
    }

    /// The same for a sheet that is tilted on purpose, or is not.
    #[must_use]
    pub fn with_tilt(self, is_tilted: bool) -> Self {
        Self { is_tilted, ..self }
    }

    /// The wavelength as it stands on a pair of goggles.
    pub fn wavelength_text(&self) -> String {
        wavelength_text(self.wavelength)
    }

    /// What the wavelength does to an eye.
    ///
    /// The 400 to 1400 nm bounds are those of a NIST-based laser manual; the visible edge is common usage.
    pub(super) fn band(&self) -> Band {
        match self.wavelength.get() * 1e6 {
            nm if nm < 400.0 => Band::Ultraviolet,
            nm if nm < 700.0 => Band::Visible,
            nm if nm < 1400.0 => Band::NearInfrared,
            _ => Band::FarInfrared,
        }
    }

    /// Whether anything is cut through.
    pub(super) fn cuts(&self) -> bool {
        self.operations.contains(&OperationKind::Cut)
    }
}

/// A wavelength as it stands on a pair of goggles: nanometres, or micrometres from 3 µm on.
pub fn wavelength_text(wavelength: Mm) -> String {
    let nanometres = wavelength.get() * 1e6;
    if nanometres < 3000.0 {
        format!("{} nm", crate::units::number::fixed(nanometres, 0))
    } else {
        format!("{} µm", crate::units::number::fixed(nanometres / 1000.0, 2))
    }
}
