//! The machine and the stock in a report.

use super::Number;
use super::estimates::MoneyReport;
use super::job::SizeReport;
use schemars::JsonSchema;
use serde::Serialize;

/// A machine.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Machine", deny_unknown_fields)]
#[allow(clippy::struct_excessive_bools, reason = "each is a fact of its own, as the shop file states it")]
pub struct MachineReport<'a> {
    /// Its name in recipes.
    pub name: &'a str,
    /// What it is, for people.
    pub about: &'a str,
    /// How the beam is made.
    pub kind: &'static str,
    /// Wavelength of the beam.
    pub wavelength_nm: Number,
    /// Optical power at 100 %.
    pub power_w: Number,
    /// Usable size of the bed.
    pub bed: SizeReport,
    /// Diameter of the focused spot; null where nothing tells.
    pub spot_mm: Option<Number>,
    /// Whether the spot was measured; else it is worked out from lens and beam, or not known.
    pub spot_is_measured: bool,
    /// How far from its narrowest place the beam is √2 times as wide; null where nothing tells.
    pub rayleigh_mm: Option<Number>,
    /// How far the focus may be off in all before cuts fail.
    pub focus_depth_mm: Option<Number>,
    /// Fastest speed while burning.
    pub top_speed_mm_s: Number,
    /// Speed of moves with the beam off.
    pub travel_speed_mm_s: Number,
    /// Acceleration of the head.
    pub acceleration_mm_s2: Number,
    /// How far it leaves a corner to pass it without a stop; null where that was not measured.
    pub corner_mm: Option<Number>,
    /// The run that it always takes beside engraved rows; null where it is as long as it has to be.
    pub run_up_mm: Option<Number>,
    /// Whether it passes wide gaps in engraved rows at the speed of travel.
    pub skips_gaps: bool,
    /// What an hour of running costs.
    pub hourly: Option<MoneyReport<'a>>,
    /// The point of a job that the operator puts the head over before the start.
    pub start: &'static str,
    /// How the focus is set, for people.
    pub focus_gauge: Option<&'a str>,
    /// Whether it has air assist.
    pub air_assist: bool,
    /// Whether the beam is enclosed.
    pub enclosed: bool,
}

/// A sheet material.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Stock", deny_unknown_fields)]
pub struct StockReport<'a> {
    /// Its name in recipes.
    pub name: &'a str,
    /// What it is, for people.
    pub about: &'a str,
    /// The material.
    pub material: &'a str,
    /// Thickness as measured.
    pub thickness_mm: Number,
    /// A sheet as bought.
    pub sheet: Option<SizeReport>,
    /// Price of one sheet.
    pub price: Option<MoneyReport<'a>>,
    /// Full width of a cut as measured; a setting may have its own.
    pub kerf_mm: Option<Number>,
    /// How far the highest place of the sheet rises above where it would lie flat; null where it was not measured.
    pub curl_mm: Option<Number>,
}
