//! What a workshop owns and has measured: machines, stocks, settings, shade cards, lessons.

use super::burned::BurnedWith;
use super::optics::Optics;
use super::price::Price;
use crate::source::Span;
use crate::units::{Mm, MmPerSecond, MmPerSecond2, Percent, Watts};
use kurbo::{Point, Rect};
use std::collections::BTreeMap;
use std::fmt;

/// What an operation does to the stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OperationKind {
    /// Burns an area.
    Engrave,
    /// Marks a line.
    Score,
    /// Goes through.
    Cut,
    /// Drawn for people; never burned.
    Guide,
}

impl Setting {
    /// Whether it was measured on that machine and stock.
    pub fn is_for(&self, machine: &str, stock: &str) -> bool {
        self.machine == machine && self.stock == stock
    }

    /// What a millimetre of line receives on that machine, all passes: power over speed, in joules.
    pub fn line_energy(&self, machine: &Machine) -> f64 {
        machine.power.get() * self.power.factor() * f64::from(self.passes) / self.speed.get()
    }
}

impl OperationKind {
    /// All of them, in the order in which one job usually does them.
    pub const ALL: [Self; 4] = [Self::Engrave, Self::Score, Self::Cut, Self::Guide];

    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Engrave => "engrave",
            Self::Score => "score",
            Self::Cut => "cut",
            Self::Guide => "guide",
        }
    }

    /// The kind that a recipe word names.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }
}

impl fmt::Display for OperationKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// How the beam is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LaserKind {
    /// Laser diode, visible or near infrared.
    Diode,
    /// Carbon dioxide tube, 10.6 µm.
    CarbonDioxide,
    /// Fibre laser, about 1.06 µm.
    Fibre,
}

impl LaserKind {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Diode => "diode",
            Self::CarbonDioxide => "co2",
            Self::Fibre => "fibre",
        }
    }
}

/// The point of a job that the operator puts the head over before the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StartPoint {
    /// The middle of the box around everything burned in the run.
    Centre,
    /// The left top corner of that box.
    LeftTop,
    /// The right top corner of that box.
    RightTop,
    /// The left bottom corner of that box.
    LeftBottom,
    /// The right bottom corner of that box.
    RightBottom,
    /// The corner of the sheet itself: the whole page is kept, whatever is burned on it.
    Page,
}

impl StartPoint {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Centre, Self::LeftTop, Self::RightTop, Self::LeftBottom, Self::RightBottom, Self::Page];

    /// The point that a recipe word names.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.word() == word)
    }

    /// That point of the box around what a run burns; `None` for the page, which stays where it is.
    pub fn of(self, burned: Rect) -> Option<Point> {
        Some(match self {
            Self::Centre => burned.center(),
            Self::LeftTop => Point::new(burned.x0, burned.y0),
            Self::RightTop => Point::new(burned.x1, burned.y0),
            Self::LeftBottom => Point::new(burned.x0, burned.y1),
            Self::RightBottom => Point::new(burned.x1, burned.y1),
            Self::Page => return None,
        })
    }

    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Centre => "centre",
            Self::LeftTop => "left-top",
            Self::RightTop => "right-top",
            Self::LeftBottom => "left-bottom",
            Self::RightBottom => "right-bottom",
            Self::Page => "page",
        }
    }
}

/// Where the width of a spot comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpotFrom {
    /// It was measured on a burned line.
    Measured,
    /// It is worked out from the lens and the beam on it.
    Optics,
    /// Nothing tells: a usual width stands in for it, so that a card can be burned to measure it.
    Nothing,
}

/// A laser machine.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a fact of its own, as the shop file states it")]
pub struct Machine {
    /// Its name in recipes.
    pub name: String,
    /// What it is, for people.
    pub about: String,
    /// How the beam is made.
    pub kind: LaserKind,
    /// Wavelength of the beam.
    pub wavelength: Mm,
    /// Optical power at 100 %.
    pub power: Watts,
    /// Usable width of the bed.
    pub bed_width: Mm,
    /// Usable height (depth) of the bed.
    pub bed_height: Mm,
    /// Diameter of the focused spot; the wider side where it is not round. See [`Machine::known_spot`].
    pub spot: Mm,
    /// Where the spot comes from.
    pub spot_from: SpotFrom,
    /// The lens and the beam on it.
    pub optics: Option<Optics>,
    /// How far from its narrowest place the beam is √2 times as wide, as measured.
    pub rayleigh: Option<Mm>,
    /// How far the focus may be off before cuts fail, in all (above plus below).
    pub focus_depth: Option<Mm>,
    /// Fastest speed the head can be asked for.
    pub top_speed: MmPerSecond,
    /// Speed of moves with the beam off.
    pub travel_speed: MmPerSecond,
    /// Acceleration of the head.
    pub acceleration: MmPerSecond2,
    /// How far the head leaves a corner to pass it without a stop; `None` where that was not measured.
    pub corner: Option<Mm>,
    /// The run beside each end of an engraved row; `None` where it is as long as it has to be.
    pub run_up: Option<Mm>,
    /// Whether gaps in engraved rows are passed at the speed of travel.
    pub skips_gaps: bool,
    /// What an hour of running costs.
    pub hourly: Option<Price>,
    /// Where jobs are started from.
    pub start: StartPoint,
    /// How the focus is set, for people.
    pub focus_gauge: Option<String>,
    /// Whether it has air assist.
    pub air_assist: bool,
    /// Whether the beam is enclosed.
    pub enclosed: bool,
    /// The unit in which this shop says speeds (`in/min`).
    pub speed_unit: String,
    /// Stroke colours pinned for the program that reads the files: `#rrggbb` per operation.
    pub colours: BTreeMap<OperationKind, String>,
    /// Where it is described.
    pub span: Span,
}

/// A sheet material.
#[derive(Clone, Debug)]
pub struct Stock {
    /// Its name in recipes.
    pub name: String,
    /// What it is, for people.
    pub about: String,
    /// The material, as the maker names it (`birch plywood`).
    pub material: String,
    /// Thickness as measured.
    pub thickness: Mm,
    /// Width and height of a sheet as bought.
    pub sheet: Option<(Mm, Mm)>,
    /// Price of one sheet.
    pub price: Option<Price>,
    /// Full width of a cut as measured, not the loss on one side; a setting may have its own.
    pub kerf: Option<Mm>,
    /// How far the highest place of a sheet rises above where it would lie flat, as measured.
    pub curl: Option<Mm>,
    /// Luminance of the bare and of the burned stock, in hundredths of white.
    pub tones: Option<(Percent, Percent)>,
    /// Where it is described.
    pub span: Span,
}

/// A setting that has been measured for one machine, stock and operation.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Its name in recipes.
    pub name: String,
    /// The machine it was measured on.
    pub machine: String,
    /// The stock it was measured on.
    pub stock: String,
    /// What it does.
    pub operation: OperationKind,
    /// Speed of the head while it burns.
    pub speed: MmPerSecond,
    /// Power, in hundredths of the machine's.
    pub power: Percent,
    /// How many times everything is burned.
    pub passes: u32,
    /// Distance between the rows of an engraved area.
    pub interval: Option<Mm>,
    /// Height of the focus above the stock's upper face; negative is inside the stock.
    pub focus: Option<Mm>,
    /// Whether air assist is on.
    pub air: Option<bool>,
    /// Full width of the cut that it makes, as measured; only of cuts. It wins over the stock's.
    pub kerf: Option<Mm>,
    /// When it was measured, as written.
    pub measured: Option<String>,
    /// How it was measured, for people.
    pub how: Option<String>,
    /// Where it is described.
    pub span: Span,
}

/// Measured darkness against energy, for one machine and stock.
#[derive(Clone, Debug)]
pub struct ShadeCard {
    /// Its name.
    pub name: String,
    /// The machine it was burned on.
    pub machine: String,
    /// The stock it was burned on.
    pub stock: String,
    /// The engrave setting whose speed, interval and focus were kept; only the power was varied.
    pub setting: String,
    /// The numbers that its patches were burned with, as far as it tells.
    pub burned: BurnedWith,
    /// Power and the darkness it gave, both in hundredths, power rising.
    pub steps: Vec<(Percent, Percent)>,
    /// Where it is described.
    pub span: Span,
}

/// When a lesson or a checklist line is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// Before the start.
    Before,
    /// While it burns.
    During,
    /// When a job is paused or resumed.
    Pausing,
    /// After it.
    After,
}

impl Moment {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::During => "during",
            Self::Pausing => "pausing",
            Self::After => "after",
        }
    }
}

/// What went wrong once, to be read before it goes wrong again.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// What happened.
    pub text: String,
    /// When to act on it.
    pub moment: Moment,
    /// What to do.
    pub action: String,
    /// Where it is written.
    pub span: Span,
}
