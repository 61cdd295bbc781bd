//! The part of a report that says where a run is started.

use super::collect::point;
use super::job::PointReport;
use crate::plan::{Plan, Run};
use crate::shop::StartPoint;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

/// Where a run is started.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Start", deny_unknown_fields)]
pub struct StartReport {
    /// The point that the head is put over: of the box around what the run burns, or of the page.
    #[schemars(schema_with = "starts")]
    pub from: &'static str,
    /// Where it lies on the page of the run's file; null when the run burns nothing.
    pub on_page: Option<PointReport>,
    /// Where it lies on the sheet as that lies during the run, which is beside the page where the sheet was turned over
    /// about a board off its middle.
    pub on_sheet: Option<PointReport>,
}

/// Gathers it.
pub(super) fn start(plan: &Plan, run: &Run) -> StartReport {
    StartReport {
        from: plan.start_of(run).word(),
        on_page: plan.start_on_page(run).map(point),
        on_sheet: plan.start_on_sheet(run).map(point),
    }
}

fn starts(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "string", "enum": StartPoint::ALL.map(StartPoint::word) })
}
