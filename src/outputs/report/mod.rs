//! `report.json`: every resolved number of a job, what went in, and what was found.
//!
//! In: a [`Plan`] and the findings of the build. Out: JSON in the shape of [`Report`], whose schema
//! ([`schema`]) is made from the same types.
//!
//! Invariant: units stand in the names of the fields, fields keep the order of the types, and numbers are
//! rounded in one place ([`Number`]), so that the bytes are the same on every machine.

mod bench;
mod burn;
mod collect;
mod figure;
mod findings;
mod job;
mod last_time;
mod puzzle;
mod estimates;
mod manner;
mod start;
mod test_piece;
mod remainder;
mod number;

pub use collect::collect;
pub use findings::{FoundReport, PlaceReport};
pub use job::Report;
pub use number::Number;
pub use remainder::{RemainderReport, remainder_json, remainder_schema};

use crate::diagnostics::Diagnostic;
use crate::plan::Plan;
use crate::source::Sources;
use schemars::generate::SchemaSettings;

/// Writes the report of a job.
pub fn report_json(plan: &Plan, diagnostics: &[Diagnostic], sources: &Sources) -> serde_json::Result<Vec<u8>> {
    let mut bytes = serde_json::to_vec_pretty(&collect(plan, diagnostics, sources))?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The JSON Schema (2020-12) of `report.json`, as it stands in `schema/report.schema.json`.
pub fn schema() -> String {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let schema = generator.into_root_schema_for::<Report>();
    format!("{:#}\n", schema.as_value())
}
