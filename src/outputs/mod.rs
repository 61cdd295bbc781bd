//! A plan as bytes: run files, layers, test piece, job sheet, proof, preview, report, pictures of findings.
//!
//! In: a [`Plan`], which is resolved and ordered, and for the report the findings of the build. Out:
//! [`OutputFile`]s; nothing is written to disk here.
//!
//! Invariant: the same plan gives the same bytes on every machine and however many threads work on it;
//! nothing here knows of recipes, clocks or folders.

mod names;
mod clusters;
mod path_data;
mod page;
mod dot_picture;
mod run_svg;
mod layers;
mod test_piece_svg;
mod remainder;
mod findings;
pub mod report;
mod preview;
mod pdf;
pub mod job_sheet;
pub mod proof;

pub use findings::findings_pictures;
pub use layers::layer_svg;
pub use names::{layer_file, picture_file, run_file};
pub use preview::{PreviewError, preview};
pub use remainder::{remainder_file, write_remainder};
pub use report::report_json;
pub use run_svg::run_svg;
pub use test_piece_svg::TEST_PIECE_FILE;

use crate::cache::Cache;
use crate::diagnostics::Diagnostic;
use crate::plan::{Burn, Dots, Lay, Operation, Plan, Run, TestPiece};
use crate::source::Sources;
use preview::Preview;
use rayon::prelude::*;
use std::fmt;

/// A file of a build, not yet written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputFile {
    /// Its path relative to the build's folder, with `/`.
    pub path: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Why a file could not be made.
#[derive(Debug)]
pub struct OutputError {
    /// The file.
    pub path: String,
    /// What went wrong.
    pub why: String,
}

impl fmt::Display for OutputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot make `{}`: {}", self.path, self.why)
    }
}

impl std::error::Error for OutputError {}

/// Makes every file of a build, in a fixed order: job sheet and previews, test piece, runs, layers, proof, report, pictures of
/// findings.
///
/// What looks as it did in an earlier build is taken from `cache`.
pub fn write_all(
    plan: &Plan,
    diagnostics: &[Diagnostic],
    sources: &Sources,
    cache: &Cache,
) -> Result<Vec<OutputFile>, OutputError> {
    let made = jobs(plan).into_par_iter().map(|job| job.make(plan, diagnostics, sources, cache));
    let made: Vec<Vec<OutputFile>> = made.collect::<Result<_, _>>()?;
    Ok(made.concat())
}

/// Files that can be made without waiting for others.
enum Job<'a> {
    /// The preview also stands on the job sheet. It takes longest, so it is begun first.
    SheetAndPreview,
    /// Another side, and the name of its picture.
    Side(Lay, String),
    Tray,
    Pieces,
    Run(&'a Run),
    Layer(&'a Run, &'a Operation),
    TestPiece(&'a TestPiece),
    Proof,
    Report,
    Findings,
}

fn jobs(plan: &Plan) -> Vec<Job<'_>> {
    let runs = plan.runs.iter().map(Job::Run);
    let layers = plan.runs.iter().flat_map(|r| r.operations.iter().map(move |o| Job::Layer(r, o)));
    let sides = preview::further_sides(plan).into_iter().map(|(side, name)| Job::Side(side, name));
    let test_piece = plan.test_piece.iter().map(Job::TestPiece);
    let first = std::iter::once(Job::SheetAndPreview).chain(sides).chain([Job::Tray, Job::Pieces]);
    first.chain(test_piece).chain(runs).chain(layers).chain([Job::Proof, Job::Report, Job::Findings]).collect()
}

impl Job<'_> {
    fn make(
        &self,
        plan: &Plan,
        diagnostics: &[Diagnostic],
        sources: &Sources,
        cache: &Cache,
    ) -> Result<Vec<OutputFile>, OutputError> {
        Ok(match self {
            Self::TestPiece(piece) => {
                vec![OutputFile {
                    path: TEST_PIECE_FILE.to_owned(),
                    bytes: test_piece_svg::test_piece_svg(plan, piece),
                }]
            }
            Self::Run(run) => vec![OutputFile { path: run_file(plan, run), bytes: run_svg(plan, run) }],
            Self::Layer(run, operation) => {
                let picture = dots_of(&run.on_page(operation)).map(|dots| OutputFile {
                    path: picture_file(plan, run, operation),
                    bytes: dot_picture::png(dots),
                });
                std::iter::once(layer_svg(plan, run, operation)).chain(picture).collect()
            }
            Self::SheetAndPreview => {
                let preview = Preview::of(plan, Lay::default(), cache);
                let sheet = || named("job-sheet.pdf", job_sheet::job_sheet_with(plan, &preview));
                let (sheet, preview) = rayon::join(sheet, || named("preview.png", preview.png()));
                vec![sheet?, preview?]
            }
            Self::Side(side, name) => vec![named(name, Preview::of(plan, *side, cache).png())?],
            Self::Tray => {
                let picture = Preview::in_tray(plan, cache);
                picture.map(|p| named("preview-tray.png", p.png())).into_iter().collect::<Result<_, _>>()?
            }
            Self::Pieces => {
                let picture = preview::pieces(plan, cache);
                picture.map(|png| named("pieces.png", png)).into_iter().collect::<Result<_, _>>()?
            }
            Self::Proof => vec![named("proof.pdf", proof::proof_with(plan, cache))?],
            Self::Report => vec![named("report.json", report_json(plan, diagnostics, sources))?],
            Self::Findings => findings_pictures(plan, diagnostics),
        })
    }
}

/// The dots of a photo.
fn dots_of(operation: &Operation) -> Option<&Dots> {
    match &operation.burn {
        Burn::Dots(dots) => Some(dots),
        Burn::Area(_) | Burn::Lines(_) => None,
    }
}

/// Gives bytes, or what went wrong with them, the name of their file.
fn named<E: fmt::Display>(path: &str, made: Result<Vec<u8>, E>) -> Result<OutputFile, OutputError> {
    match made {
        Ok(bytes) => Ok(OutputFile { path: path.to_owned(), bytes }),
        Err(error) => Err(OutputError { path: path.to_owned(), why: error.to_string() }),
    }
}
