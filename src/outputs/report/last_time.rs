//! How a job went the last time, in the shape of a report.

use crate::plan::{Difference, LastTime, RunThen};
use schemars::JsonSchema;
use serde::Serialize;

/// How the job went when it was last burned, as its journal tells, and what is different now.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "LastTime", deny_unknown_fields)]
pub struct LastTimeReport<'a> {
    /// The day, as it is written there.
    pub day: &'a str,
    /// The first digits of the job's version then.
    pub version: &'a str,
    /// The revision of the project then.
    pub revision: Option<&'a str>,
    /// The runs that were burned.
    pub runs: Vec<RunThenReport<'a>>,
    /// Remarks.
    pub notes: &'a [String],
    /// What is different now.
    pub changes: Vec<DifferenceReport<'a>>,
}

/// A run that was burned.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "RunThen", deny_unknown_fields)]
pub struct RunThenReport<'a> {
    /// Its name.
    pub name: &'a str,
    /// How it went, in the word of the journal.
    pub went: &'static str,
    /// Where it did not, in the maker's words.
    #[serde(rename = "where")]
    pub place: Option<&'a str>,
}

/// One thing that is different now.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Difference", deny_unknown_fields)]
pub struct DifferenceReport<'a> {
    /// What it is.
    pub what: &'a str,
    /// How it was; null where it was not there.
    pub was: Option<&'a str>,
    /// How it is; null where it is gone.
    pub is: Option<&'a str>,
}

/// Gathers it.
pub(super) fn last_time(last: &LastTime) -> LastTimeReport<'_> {
    LastTimeReport {
        day: &last.day,
        version: &last.version,
        revision: last.revision.as_deref(),
        runs: last.runs.iter().map(run_then).collect(),
        notes: &last.notes,
        changes: last.changes.iter().map(difference).collect(),
    }
}

fn run_then(run: &RunThen) -> RunThenReport<'_> {
    RunThenReport { name: &run.name, went: run.went.word(), place: run.place.as_deref() }
}

fn difference(change: &Difference) -> DifferenceReport<'_> {
    DifferenceReport { what: &change.what, was: change.was.as_deref(), is: change.is.as_deref() }
}
