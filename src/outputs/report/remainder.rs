//! The report of a remainder: what is left of a run, and where it is started.

use super::Number;
use super::collect::{bounds, mm, point};
use super::job::{BoxReport, FileReport, PointReport};
use super::start::{StartReport, start};
use crate::plan::{BackTo, Operation, Plan, Remainder};
use crate::shop::OperationKind;
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

/// The shape's version.
const REMAINDER_VERSION: u32 = 1;

/// What is left of a run that stopped, or is burned once more. Lengths are millimetres from the left top corner of the
/// page, x to the right, y down.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "Kerfbook remainder", deny_unknown_fields)]
pub struct RemainderReport<'a> {
    /// Version of this shape; it rises when a field is removed or changes its meaning.
    pub remainder_version: u32,
    /// Version of Kerfbook that wrote it.
    pub kerfbook_version: &'static str,
    /// The recipe's title.
    pub title: &'a str,
    /// The recipe's file, as it was named.
    pub recipe: &'a str,
    /// Every file that was read.
    pub files: Vec<FileReport<'a>>,
    /// The number of the run.
    pub run: usize,
    /// Its name.
    pub name: &'a str,
    /// The file that burns what is left.
    pub file: &'a str,
    /// The last stroke that is burned already; null where a place is burned once more.
    pub after_stroke: Option<usize>,
    /// Where the first row that is left begins, from the top edge of the page; null but for an engraving that stopped.
    pub rows_below_mm: Option<Number>,
    /// How many strokes the whole run has.
    pub strokes: usize,
    /// Where it is started.
    pub start: StartReport,
    /// Where that point lies as seen from the start point of the run: x to the right, y down; null where it is the same.
    pub moved_by: Option<PointReport>,
    /// The number of the operation whose corner marks are burned once more; null where none are.
    pub marks_again: Option<usize>,
    /// The box around everything it burns, on the page; null when it burns nothing.
    pub burned_on_page: Option<BoxReport>,
    /// Time for what is left.
    pub time_s: Number,
    /// Time for the whole run.
    pub whole_time_s: Number,
    /// What is left of each operation.
    pub operations: Vec<LeftReport<'a>>,
}

/// What is left of an operation.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Left", deny_unknown_fields)]
pub struct LeftReport<'a> {
    /// Its number in the run.
    pub number: usize,
    /// What it does to the stock.
    #[schemars(schema_with = "kinds")]
    pub kind: &'static str,
    /// Its name.
    pub name: &'a str,
    /// The numbers of the strokes that are left, as the whole run counts them; one that is cut off twice stands twice.
    pub strokes: &'a [usize],
    /// How many times it is burned.
    pub passes: Option<u32>,
    /// Length of the lines that are left; for areas, of the rows.
    pub length_mm: Number,
    /// Area that is left; zero for lines.
    pub area_mm2: Number,
    /// Time for it, all passes.
    pub time_s: Number,
}

/// Writes the report.
pub fn remainder_json(plan: &Plan, left: &Remainder, file: &str) -> serde_json::Result<Vec<u8>> {
    let report = RemainderReport {
        remainder_version: REMAINDER_VERSION,
        kerfbook_version: env!("CARGO_PKG_VERSION"),
        title: &plan.title,
        recipe: &plan.recipe,
        files: plan.files.iter().map(|f| FileReport { path: &f.path, sha256: &f.hash }).collect(),
        run: left.run.number,
        name: &left.run.name,
        file,
        after_stroke: left.after,
        rows_below_mm: left.rows_below.map(mm),
        strokes: left.strokes,
        start: start(plan, &left.run),
        moved_by: if let BackTo::Moved(by) = left.back_to { Some(point(by.to_point())) } else { None },
        marks_again: left.marks_again,
        burned_on_page: left.run.burned_on_page().map(bounds),
        time_s: Number::new(left.run.time.likely.get()),
        whole_time_s: Number::new(left.whole_time.likely.get()),
        operations: left.run.operations.iter().map(of_one).collect(),
    };
    let mut bytes = serde_json::to_vec_pretty(&report)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn of_one(operation: &Operation) -> LeftReport<'_> {
    LeftReport {
        number: operation.number,
        kind: operation.kind.word(),
        name: &operation.name,
        strokes: &operation.numbers,
        passes: operation.setting.as_ref().map(|s| s.passes),
        length_mm: mm(operation.length),
        area_mm2: Number::new(operation.area.get()),
        time_s: Number::new(operation.time.likely.get()),
    }
}

/// The JSON Schema (2020-12) of it, as it stands in `schema/remainder.schema.json`.
pub fn remainder_schema() -> String {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let schema = generator.into_root_schema_for::<RemainderReport>();
    format!("{:#}\n", schema.as_value())
}

fn kinds(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "string", "enum": OperationKind::ALL.map(OperationKind::word) })
}
