//! How cuts are made, in the report.

use super::Number;
use super::collect::{mm, point};
use super::job::PointReport;
use crate::plan::{LeadIns, Manner, Spread, Tabs};
use schemars::JsonSchema;
use serde::Serialize;

/// How a cut is made beyond following its lines.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Manner", deny_unknown_fields)]
pub struct MannerReport {
    /// Bridges left uncut; null where none are asked for.
    pub tabs: Option<TabsReport>,
    /// Cuts begun in the waste; null where none are asked for.
    pub lead_ins: Option<LeadInsReport>,
    /// How far closed lines run past the point where they close.
    pub overcut_mm: Option<Number>,
    /// Strokes spread so that the stock can cool; null where they are not.
    pub spread: Option<SpreadReport>,
}

/// Bridges left uncut, which hold parts until a knife frees them.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Tabs", deny_unknown_fields)]
pub struct TabsReport {
    /// What stays of the stock in each.
    pub width_mm: Number,
    /// How many outlines they hold.
    pub outlines: usize,
    /// How many outlines of parts are too short for them.
    pub without: usize,
    /// Their middles.
    pub places: Vec<PointReport>,
}

/// Cuts begun in the waste.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "LeadIns", deny_unknown_fields)]
pub struct LeadInsReport {
    /// How far beside the outline.
    pub length_mm: Number,
    /// How many lines are begun so: closed ones, and what bridges leave of them.
    pub begun: usize,
    /// How many have no room for it.
    pub without: usize,
}

/// Strokes spread so that the stock can cool.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Spread", deny_unknown_fields)]
pub struct SpreadReport {
    /// None is begun nearer than this to the six before.
    pub distance_mm: Number,
    /// How many had to be.
    pub near: usize,
    /// Length of the moves with the beam off if they were not spread, one pass.
    pub travel_without_mm: Number,
}

impl MannerReport {
    pub(super) fn of(manner: &Manner) -> Self {
        Self {
            tabs: manner.tabs.as_ref().map(tabs),
            lead_ins: manner.lead_ins.as_ref().map(lead_ins),
            overcut_mm: manner.overcut.map(mm),
            spread: manner.spread.as_ref().map(spread),
        }
    }
}

fn tabs(tabs: &Tabs) -> TabsReport {
    TabsReport {
        width_mm: mm(tabs.width),
        outlines: tabs.outlines,
        without: tabs.without,
        places: tabs.places.iter().map(|p| point(*p)).collect(),
    }
}

fn lead_ins(leads: &LeadIns) -> LeadInsReport {
    LeadInsReport { length_mm: mm(leads.length), begun: leads.begun, without: leads.without }
}

fn spread(spread: &Spread) -> SpreadReport {
    SpreadReport {
        distance_mm: mm(spread.distance),
        near: spread.near,
        travel_without_mm: mm(spread.travel_without),
    }
}
