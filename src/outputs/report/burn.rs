//! How an operation is burned: its numbers, its shade, its focus.

use super::Number;
use super::collect::mm;
use crate::plan::{CardRead, Focus, ResolvedSetting};
use crate::units::Percent;
use schemars::JsonSchema;
use serde::Serialize;

/// The numbers an operation is burned with.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Setting", deny_unknown_fields)]
pub struct SettingReport<'a> {
    /// The shop's setting it came from; empty where all numbers are on trial.
    pub name: &'a str,
    /// Speed of the head while it burns.
    pub speed_mm_s: Number,
    /// Power, in hundredths of the machine's.
    pub power_percent: Number,
    /// How many times everything is burned.
    pub passes: u32,
    /// Distance between the rows of an area.
    pub interval_mm: Option<Number>,
    /// Height of the focus above the stock's upper face; negative is inside the stock.
    pub focus_mm: Option<Number>,
    /// Whether air assist is on; null when the setting does not say.
    pub air: Option<bool>,
    /// Full width of the cut it makes; null for marks and where it was not measured.
    pub kerf_mm: Option<Number>,
    /// How dark it burns, by the shop's shade card; null where none was measured with these numbers.
    pub shade_percent: Option<Number>,
    /// Where on which card that was read.
    pub shade_card: Option<ShadeCardReport<'a>>,
    /// When it was measured, as written.
    pub measured: Option<&'a str>,
    /// How it was measured, for people.
    pub how: Option<&'a str>,
    /// The words that the recipe overrides in place.
    pub overridden: &'a [&'static str],
    /// Whether these numbers are only tried, as on a test card.
    pub on_trial: bool,
}

/// The two patches of a shade card between which a shade or its power was read.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "ShadeCard", deny_unknown_fields)]
pub struct ShadeCardReport<'a> {
    /// The card's name.
    pub name: &'a str,
    /// The patch that is lighter, or just as dark.
    pub lighter: PatchReport,
    /// The patch that is darker, or just as dark.
    pub darker: PatchReport,
}

/// A patch of a shade card.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Patch", deny_unknown_fields)]
pub struct PatchReport {
    /// The power it was burned with.
    pub power_percent: Number,
    /// How dark it came out.
    pub darkness_percent: Number,
}

/// Where the focus of an operation stands, how wide the beam is then, and how far the sheet may lie out of its place.
/// Heights count from the upper face; negative ones lie in the stock.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Focus", deny_unknown_fields)]
pub struct FocusReport {
    /// Its height; at the face where the setting does not say.
    pub at_mm: Number,
    /// Whether the setting says so.
    pub is_stated: bool,
    /// The lowest height at which it usually stands: at the face for marks, in the stock for cuts.
    pub usual_from_mm: Number,
    /// The highest height at which it usually stands.
    pub usual_to_mm: Number,
    /// Width of the beam at the upper face; null where nothing tells how it widens.
    pub upper_width_mm: Option<Number>,
    /// Width of the beam at the lower face; only of cuts.
    pub lower_width_mm: Option<Number>,
    /// The depth of focus, twice the Rayleigh range.
    pub depth_mm: Option<Number>,
    /// Whether the whole thickness of a cut, or the face of a mark, lies within the depth of focus.
    pub is_within_depth: Option<bool>,
    /// How far the sheet may rise or sink: as measured, else the Rayleigh range.
    pub may_be_off_mm: Option<Number>,
    /// Whether that was measured on the machine.
    pub is_room_measured: Option<bool>,
}

pub(super) fn setting(setting: &ResolvedSetting) -> SettingReport<'_> {
    let percent = |p: Percent| Number::new(p.get());
    SettingReport {
        name: &setting.name,
        speed_mm_s: Number::new(setting.speed.get()),
        power_percent: percent(setting.power),
        passes: setting.passes,
        interval_mm: setting.interval.map(mm),
        focus_mm: setting.focus.map(mm),
        air: setting.air,
        kerf_mm: setting.kerf.map(mm),
        shade_percent: setting.shade.map(percent),
        shade_card: setting.card.as_ref().map(shade_card),
        measured: setting.measured.as_deref(),
        how: setting.how.as_deref(),
        overridden: &setting.overridden,
        on_trial: setting.is_trial,
    }
}

fn shade_card(read: &CardRead) -> ShadeCardReport<'_> {
    let patch = |(power, darkness): (Percent, Percent)| PatchReport {
        power_percent: Number::new(power.get()),
        darkness_percent: Number::new(darkness.get()),
    };
    ShadeCardReport { name: &read.card, lighter: patch(read.lighter), darker: patch(read.darker) }
}

pub(super) fn focus(focus: Focus) -> FocusReport {
    FocusReport {
        at_mm: mm(focus.at),
        is_stated: focus.is_stated,
        usual_from_mm: mm(focus.usual.0),
        usual_to_mm: mm(focus.usual.1),
        upper_width_mm: focus.widths.map(|w| mm(w.upper)),
        lower_width_mm: focus.widths.and_then(|w| w.lower).map(mm),
        depth_mm: focus.widths.map(|w| mm(w.depth)),
        is_within_depth: focus.widths.map(|w| w.is_within_depth),
        may_be_off_mm: focus.room.map(|r| mm(r.either_way)),
        is_room_measured: focus.room.map(|r| r.is_measured),
    }
}
