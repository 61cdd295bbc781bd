//! The test piece in the report.

use super::Number;
use super::burn::{self, SettingReport};
use super::collect::{bounds, mm, size};
use super::estimates::DoubtReport;
use super::job::{BoxReport, SizeReport};
use crate::outputs::TEST_PIECE_FILE;
use crate::plan::{Beam, Step, TestPiece, Try};
use schemars::JsonSchema;
use serde::Serialize;

/// A small piece on which each setting of the job is tried before the sheet is burned.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "TestPiece", deny_unknown_fields)]
pub struct TestPieceReport<'a> {
    /// Its file.
    pub file: &'static str,
    /// The size of its page.
    pub page: SizeReport,
    /// Whether figures over the patches are burned; a job that only cuts has nothing to write them with.
    pub is_labelled: bool,
    /// What is tried, in the order in which it is burned.
    pub tries: Vec<TryReport<'a>>,
    /// Time for it, moves with the beam off included.
    pub time_s: Number,
    /// How far that may be off.
    pub time_doubt: DoubtReport,
}

/// One set of numbers, tried on a patch.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Try", deny_unknown_fields)]
pub struct TryReport<'a> {
    /// What stands over its patch: the first step that it is for, `2.3` for the third of run 2.
    pub label: String,
    /// The operations of the job that burn with these numbers.
    pub steps: Vec<StepReport>,
    /// What it does to the stock.
    #[schemars(schema_with = "super::job::kinds")]
    pub kind: &'static str,
    /// Whether it stands for a photo: the patch is burned full, as dark as any of its dots.
    pub of_photo: bool,
    /// The numbers.
    pub setting: Option<SettingReport<'a>>,
    /// Its colour in the file.
    #[schemars(pattern(r"^#[0-9a-fA-F]{6}$"))]
    pub colour: &'a str,
    /// The patch, from the left top corner of the page; cuts run along its edge.
    pub patch: BoxReport,
    /// How wide the square comes out, for the beam takes half the kerf on each side; null where nothing is cut and where the
    /// kerf was not measured.
    pub square_mm: Option<Number>,
    /// How wide the opening becomes.
    pub opening_mm: Option<Number>,
}

/// An operation of the job.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Step", deny_unknown_fields)]
pub struct StepReport {
    /// The number of the run.
    pub run: usize,
    /// The number of the operation in it.
    pub operation: usize,
}

pub(super) fn test_piece(piece: &TestPiece) -> TestPieceReport<'_> {
    TestPieceReport {
        file: TEST_PIECE_FILE,
        page: size(piece.width, piece.height),
        is_labelled: piece.is_labelled(),
        tries: piece.tries.iter().map(tried).collect(),
        time_s: Number::new(piece.time.likely.get()),
        time_doubt: DoubtReport::of(&piece.time),
    }
}

fn tried(tried: &Try) -> TryReport<'_> {
    let operation = &tried.operation;
    let cut = operation.finished.as_ref();
    TryReport {
        label: tried.label(),
        steps: tried.steps.iter().map(|&Step { run, operation }| StepReport { run, operation }).collect(),
        kind: operation.kind.word(),
        of_photo: tried.of_photo,
        setting: operation.setting.as_ref().map(burn::setting),
        colour: &operation.colour,
        patch: bounds(tried.patch),
        square_mm: cut.map(|cut| mm(cut.size(Beam::OnLine).0)),
        opening_mm: cut.map(|cut| mm(cut.width + cut.kerf)),
    }
}
