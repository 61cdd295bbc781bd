//! What decides which reminders apply.

use super::judge::{Judgement, judge};
use crate::shop::{LaserKind, Machine, Stock};
use crate::units::Mm;
use std::collections::BTreeSet;

/// Something that is so in one job and not in another, and calls for words of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fact {
    /// The beam is enclosed.
    Enclosed,
    /// The beam comes from a tube with a high-voltage supply and cooling.
    Tube,
    /// Something lies between nozzle and stock while the focus is set.
    Gauge,
    /// An operation burns with air assist.
    AirOn,
    /// Something is cut through.
    Cuts,
    /// A cut takes more than one pass.
    SeveralPasses,
    /// What is cut out hangs on bridges.
    Bridges,
    /// Something that is cut out is small enough to drop through a support, or to tip up in it.
    SmallParts,
    /// A photo is burned in dots.
    Photo,
    /// The sheet is highest somewhere above where it would lie flat, as measured.
    Curled,
    /// The sheet is tilted on purpose, one edge on a block.
    Tilted,
    /// There is more than one visit to the machine.
    SeveralRuns,
    /// There is more than one sheet.
    SeveralSheets,
    /// A sheet is turned over.
    TurnedOver,
    /// Something is burned from scrap.
    Scrap,
    /// It burns for longer than one person watches without a break.
    Long,
    /// Numbers are burned that nobody has tried.
    Trial,
    /// Numbers are not those of the shop's setting.
    Changed,
    /// A setting was never measured.
    Unmeasured,
    /// Findings were accepted.
    Accepted,
    /// There is a test piece.
    TestPiece,
}

/// The facts of a machine, a stock and a kind of work that choose the lines of a job sheet.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a fact of its own, and chooses lines of its own")]
pub struct Circumstances {
    /// How the beam is made.
    pub laser: LaserKind,
    /// Wavelength of the beam.
    pub wavelength: Mm,
    /// The verdict on the material.
    pub material: Judgement,
    /// All else that is so.
    pub facts: BTreeSet<Fact>,
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
    /// Adds the facts of the machine and of the stock to those of the work.
    pub fn new(machine: &Machine, stock: &Stock, work: impl IntoIterator<Item = Fact>) -> Self {
        let of_machine = [
            (Fact::Enclosed, machine.enclosed),
            (Fact::Tube, machine.kind == LaserKind::CarbonDioxide),
            (Fact::Gauge, machine.focus_gauge.is_some()),
        ];
        let of_machine = of_machine.into_iter().filter_map(|(fact, holds)| holds.then_some(fact));
        Self {
            laser: machine.kind,
            wavelength: machine.wavelength,
            material: judge(&stock.material),
            facts: work.into_iter().chain(of_machine).collect(),
        }
    }

    /// Whether something is so.
    pub fn is(&self, fact: Fact) -> bool {
        self.facts.contains(&fact)
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
