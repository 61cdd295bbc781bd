//! The shape of a report: one type a part of the job.

use super::bench::{MachineReport, StockReport};
use super::burn::{FocusReport, SettingReport};
use super::estimates::{CostReport, DoubtReport};
use super::figure::FigureReport;
use super::last_time::LastTimeReport;
use super::manner::MannerReport;
use super::puzzle::PuzzleReport;
use super::start::StartReport;
use super::test_piece::TestPieceReport;
use super::{FoundReport, Number, PlaceReport};
use crate::plan::{Beam, MirrorAxis};
use crate::shop::{Moment, OperationKind};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

/// A build of a recipe: every resolved number, what went in, what was found. Lengths are millimetres from
/// the left top corner of the sheet, x to the right, y down.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "Kerfbook report", deny_unknown_fields)]
pub struct Report<'a> {
    /// Version of this shape; it rises when a field is removed or changes its meaning.
    pub report_version: u32,
    /// Version of Kerfbook that wrote it.
    pub kerfbook_version: &'static str,
    /// The recipe's title.
    pub title: &'a str,
    /// What it is, for people.
    pub about: &'a str,
    /// The recipe's file, as it was named.
    pub recipe: &'a str,
    /// What tells this job from all others.
    pub version: VersionReport<'a>,
    /// The raw piece on the bed, which is the page of every file.
    pub sheet: SizeReport,
    /// Whether the sheet is left over from another job, and not paid for.
    pub is_offcut: bool,
    /// Height of the block under the right edge of a sheet that is tilted on purpose; null of one that lies flat.
    pub block_mm: Option<Number>,
    /// The finished outline.
    pub board: Option<RegionReport>,
    /// The machine.
    pub machine: MachineReport<'a>,
    /// The stock.
    pub stock: StockReport<'a>,
    /// The inputs and the values they were given.
    pub inputs: Vec<InputReport<'a>>,
    /// Every file that was read.
    pub files: Vec<FileReport<'a>>,
    /// The figures, in the recipe's order.
    pub figures: Vec<FigureReport<'a>>,
    /// The visits to the machine, in order.
    pub runs: Vec<RunReport<'a>>,
    /// The puzzle, where there is one.
    pub puzzle: Option<PuzzleReport<'a>>,
    /// The pictures of the job, in words.
    pub pictures: Vec<PictureReport>,
    /// What it costs, as far as the shop knows prices.
    pub cost: CostReport<'a>,
    /// Time of all runs.
    pub time_s: Number,
    /// How far that may be off.
    pub time_doubt: DoubtReport,
    /// Lessons that fit this job.
    pub lessons: Vec<LessonReport<'a>>,
    /// The shop's own additions to the checklists.
    pub reminders: Vec<ReminderReport<'a>>,
    /// How the job went when it was last burned; null where no journal tells.
    pub last_time: Option<LastTimeReport<'a>>,
    /// What is burned on an offcut first; null for a job that is a test itself.
    pub test_piece: Option<TestPieceReport<'a>>,
    /// Everything that was found, in the order in which it is told.
    pub diagnostics: Vec<FoundReport<'a>>,
}

/// What tells a job from all others.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Version", deny_unknown_fields)]
pub struct VersionReport<'a> {
    /// SHA-256 over every file that was read, every input and the version of Kerfbook, in lower-case hexadecimal.
    #[schemars(pattern(r"^[0-9a-f]{64}$"))]
    pub sha256: &'a str,
    /// The first digits of the revision that the project is at; null where it is not kept under version control.
    pub revision: Option<&'a str>,
}

/// A picture.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Picture", deny_unknown_fields)]
pub struct PictureReport {
    /// Its file.
    pub file: String,
    /// What it shows, for those who cannot see it.
    pub shows: String,
}

/// A width and a height.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Size", deny_unknown_fields)]
pub struct SizeReport {
    /// Width.
    pub width_mm: Number,
    /// Height.
    pub height_mm: Number,
}

/// A box on the sheet.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Box", deny_unknown_fields)]
pub struct BoxReport {
    /// Left edge.
    pub left_mm: Number,
    /// Top edge.
    pub top_mm: Number,
    /// Right edge.
    pub right_mm: Number,
    /// Bottom edge.
    pub bottom_mm: Number,
    /// Width.
    pub width_mm: Number,
    /// Height.
    pub height_mm: Number,
    /// Its middle.
    pub centre: PointReport,
}

/// A point on the sheet.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Point", deny_unknown_fields)]
pub struct PointReport {
    /// From the left edge of the sheet.
    pub x_mm: Number,
    /// From the top edge of the sheet.
    pub y_mm: Number,
}

/// An area.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Region", deny_unknown_fields)]
pub struct RegionReport {
    /// The box around it; null when it is empty.
    pub bounds: Option<BoxReport>,
    /// Its area.
    pub area_mm2: Number,
}

/// An input and its value.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Input", deny_unknown_fields)]
pub struct InputReport<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its value, as written.
    pub value: &'a str,
    /// What it is for.
    pub about: &'a str,
    /// Whether the value is the recipe's default.
    pub is_default: bool,
}

/// A file that was read.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "File", deny_unknown_fields)]
pub struct FileReport<'a> {
    /// Its path relative to the recipe's folder.
    pub path: &'a str,
    /// SHA-256 of its bytes, in lower-case hexadecimal.
    #[schemars(pattern(r"^[0-9a-f]{64}$"))]
    pub sha256: &'a str,
}

/// One visit to the machine, one file.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Run", deny_unknown_fields)]
pub struct RunReport<'a> {
    /// Number, from 1.
    pub number: usize,
    /// Its name.
    pub name: &'a str,
    /// Its file.
    pub file: String,
    /// The sheet it burns, from 1: a fresh one for each run that asks for it; null for scrap.
    pub sheet: Option<usize>,
    /// How the sheet is turned over for it, its back up; null where its face lies up.
    #[schemars(schema_with = "turns")]
    pub turned: Option<&'static str>,
    /// The box around everything it burns, as seen from the front; null when it burns nothing.
    pub burned: Option<BoxReport>,
    /// The same box on the page of its file, which is mirrored where the sheet is turned over.
    pub burned_on_page: Option<BoxReport>,
    /// Where it is started.
    pub start: StartReport,
    /// The box around everything that is charred, on that page: half the kerf beside cuts, half the spot beside all else.
    pub charred_on_page: Option<BoxReport>,
    /// The box that the head takes on that page, with the way in which it speeds up and brakes beside engraved rows.
    pub head_on_page: Option<BoxReport>,
    /// Time for it, moves with the beam off included.
    pub time_s: Number,
    /// How far that may be off.
    pub time_doubt: DoubtReport,
    /// What is done in it, in order.
    pub operations: Vec<OperationReport<'a>>,
    /// Where it is written.
    pub place: PlaceReport<'a>,
}

/// One operation.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Operation", deny_unknown_fields)]
pub struct OperationReport<'a> {
    /// Number in its run, from 1.
    pub number: usize,
    /// What it does to the stock.
    #[schemars(schema_with = "kinds")]
    pub kind: &'static str,
    /// Its name.
    pub name: &'a str,
    /// Its own file.
    pub file: String,
    /// The figures it burns.
    pub figures: &'a [String],
    /// How it burns; null for guides, which are not burned.
    pub setting: Option<SettingReport<'a>>,
    /// Where its focus stands; null for guides.
    pub focus: Option<FocusReport>,
    /// Its colour in the files.
    #[schemars(pattern(r"^#[0-9a-fA-F]{6}$"))]
    pub colour: &'a str,
    /// Length of the lines burned in one pass; for areas, of the rows.
    pub length_mm: Number,
    /// Area burned; zero for lines.
    pub area_mm2: Number,
    /// Length of the moves with the beam off between its lines, one pass.
    pub travel_mm: Number,
    /// How many separate lines it burns; zero for areas.
    pub strokes: usize,
    /// Strokes are counted through the run, an area or a photo as one: the number of its first; null for guides.
    pub first_stroke: Option<usize>,
    /// The number of its last.
    pub last_stroke: Option<usize>,
    /// What was done to its lines so that each is burned once; null for areas and guides.
    pub clean_up: Option<CleanUpReport>,
    /// How it is cut beyond following its lines; null for all but cuts.
    pub manner: Option<MannerReport>,
    /// Where the beam runs and how large the largest part comes out; null where nothing is cut out, and where the kerf
    /// was not measured.
    pub finished: Option<FinishedReport>,
    /// How the seams in it are cut, always from the middle outwards; null where it cuts none.
    pub seams: Option<SeamsReport>,
    /// The dots of a photo; null for everything else.
    pub dots: Option<DotsReport<'a>>,
    /// Time for it, all passes.
    pub time_s: Number,
    /// How far that may be off.
    pub time_doubt: DoubtReport,
    /// The box around its paths, half the kerf left out; null when there are none.
    pub bounds: Option<BoxReport>,
    /// Where it is written.
    pub place: PlaceReport<'a>,
}

/// A photo as dots.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Dots", deny_unknown_fields)]
pub struct DotsReport<'a> {
    /// Its picture: one pixel a dot, black is burned.
    pub file: String,
    /// Dots in a row.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Distance between rows.
    pub interval_mm: Number,
    /// Distance between dots of a row.
    pub pitch_mm: Number,
    /// How tones became dots.
    pub dither: &'static str,
    /// The share of its area that is burned.
    pub coverage_percent: Number,
    /// Pixels of the file on a millimetre of the sheet.
    pub source_pixels_per_mm: Number,
    /// The shop's tone card that it was toned by; null where none fits.
    pub tone_card: Option<&'a str>,
}

/// What was done to the lines of an operation so that each is burned once, in the longest strokes.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "CleanUp", deny_unknown_fields)]
pub struct CleanUpReport {
    /// How many lines were drawn.
    pub drawn_lines: usize,
    /// Their length.
    pub drawn_length_mm: Number,
    /// Length of what lay on another line and is not burned a second time, one pass.
    pub saved_mm: Number,
    /// How many ends of different lines were joined.
    pub joined: usize,
    /// The longest stretches that lay on another line, at most a hundred.
    pub once: Vec<OnceReport>,
}

/// A stretch that lay on another line and is burned once.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Once", deny_unknown_fields)]
pub struct OnceReport {
    /// Its middle.
    pub at: PointReport,
    /// Its length.
    pub length_mm: Number,
}

/// Where the beam runs in a cut, and how large its largest part comes out.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Finished", deny_unknown_fields)]
pub struct FinishedReport {
    /// Where the beam runs.
    #[schemars(schema_with = "beams")]
    pub beam: &'static str,
    /// Full width of the cut.
    pub kerf_mm: Number,
    /// Size of the largest part as it comes out.
    pub size: SizeReport,
    /// Its size when it is cut on the line.
    pub on_line: SizeReport,
    /// Its size when it is cut on the waste side, which is its drawn size.
    pub waste_side: SizeReport,
}

/// How the seams of a puzzle are cut.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Seams", deny_unknown_fields)]
pub struct SeamsReport {
    /// Each once, or piece by piece.
    #[schemars(schema_with = "seam_cuts")]
    pub cut: &'static str,
    /// The gap between two pieces once they are cut: the kerf, or the fit that was asked for, negative where pieces press
    /// on each other; null where the kerf was not measured.
    pub gap_mm: Option<Number>,
}

/// What went wrong once.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Lesson", deny_unknown_fields)]
pub struct LessonReport<'a> {
    /// What happened.
    pub text: &'a str,
    /// When to act on it.
    #[schemars(schema_with = "moments")]
    pub moment: &'static str,
    /// What to do.
    pub action: &'a str,
}

/// A line that the shop adds to a checklist.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Reminder", deny_unknown_fields)]
pub struct ReminderReport<'a> {
    /// The checklist it belongs to.
    #[schemars(schema_with = "moments")]
    pub moment: &'static str,
    /// What to do.
    pub text: &'a str,
}

fn turns(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "enum": [MirrorAxis::LeftRight.word(), MirrorAxis::TopBottom.word(), null] })
}

fn seam_cuts(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "string", "enum": ["shared", "per-piece"] })
}

fn beams(_: &mut SchemaGenerator) -> Schema {
    let all = [Beam::OnLine, Beam::WasteSide];
    json_schema!({ "type": "string", "enum": all.map(Beam::word) })
}

pub(super) fn kinds(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "string", "enum": OperationKind::ALL.map(OperationKind::word) })
}

fn moments(_: &mut SchemaGenerator) -> Schema {
    let all = [Moment::Before, Moment::During, Moment::Pausing, Moment::After];
    json_schema!({ "type": "string", "enum": all.map(Moment::word) })
}
