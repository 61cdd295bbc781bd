//! `job-sheet.pdf`: the paper that a maker holds at the bench.
//!
//! In: a [`Plan`] and, where there is one, the preview as a PNG. Out: the bytes of a PDF.
//!
//! Invariant: every number of every setting stands on the sheet as text, written as its `Display`
//! writes it; the same plan gives the same bytes.

mod accepted;
mod alternatives;
mod bed;
mod board;
mod checklists;
mod drawing;
mod facts;
mod flow;
mod glance;
mod last_time;
mod lay;
mod operation_row;
mod panel;
mod paper;
mod put_back;
mod puzzle_key;
mod runs;
mod set_up;
mod sign_off;
mod signs;
mod stroke_map;
mod style;
mod table;
mod test_piece;
mod text;
mod wording;

use crate::outputs::pdf::{self, Picture, Properties};
use crate::outputs::preview::Preview;
use crate::plan::{Plan, Remainder};
pub use facts::of_job as circumstances;

use flow::Flow;
use std::fmt;

/// Longest side of the picture on the sheet, in pixels: 76 mm at 270 to the inch.
const PICTURE_PIXELS: u32 = 800;

/// Why a job sheet cannot be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetError(String);

impl fmt::Display for SheetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the job sheet cannot be written: {}", self.0)
    }
}

impl std::error::Error for SheetError {}

/// Writes the job sheet on the plan's paper; `picture` is the preview as a PNG.
///
/// # Errors
/// When the picture is no PNG, or is larger than 20 000 pixels on a side.
pub fn job_sheet(plan: &Plan, picture: Option<&[u8]>) -> Result<Vec<u8>, SheetError> {
    let picture =
        picture.map(|png| Picture::from_png(png, PICTURE_PIXELS)).transpose().map_err(|e| refused(&e))?;
    sheet(plan, picture.as_ref())
}

/// Writes the job sheet, with a picture that is painted already.
pub(crate) fn job_sheet_with(plan: &Plan, picture: &Preview) -> Result<Vec<u8>, SheetError> {
    let (size, pixels) = picture.printed();
    sheet(plan, Some(&Picture::from_pixels(size, pixels)))
}

/// Writes `put-back.pdf`: how the sheet of a run that stopped is put back in register, and what `file` burns of it.
///
/// # Errors
/// When the text is more than a file can hold.
pub fn put_back_sheet(
    plan: &Plan,
    left: &Remainder,
    file: &str,
    warning: Option<&str>,
) -> Result<Vec<u8>, SheetError> {
    let circumstances = facts::of_run(plan, &left.run);
    let mut flow = Flow::new(plan.paper, "Put back in register");
    put_back::write(&mut flow, plan, &circumstances, left, file, warning);
    let properties = Properties {
        title: format!("{} – put back in register", plan.title),
        subject: plan.about.clone(),
        language: "en-GB",
    };
    let pages = flow.finish(&plan.title, &wording::recipe_line(plan));
    pdf::write(&properties, &pages, None, &[]).map_err(|e| refused(&e))
}

fn refused(error: &pdf::PdfError) -> SheetError {
    SheetError(error.to_string())
}

fn sheet(plan: &Plan, picture: Option<&Picture>) -> Result<Vec<u8>, SheetError> {
    let circumstances = facts::of_job(plan);

    let mut flow = Flow::new(plan.paper, "Job sheet");
    glance::write(&mut flow, plan, &circumstances, picture);
    accepted::write_warnings(&mut flow, plan);
    set_up::write(&mut flow, plan);
    test_piece::write(&mut flow, plan);
    runs::write(&mut flow, plan, &circumstances);
    puzzle_key::write(&mut flow, plan);
    checklists::write(&mut flow, plan, &circumstances);
    accepted::write(&mut flow, plan);
    sign_off::write(&mut flow, plan);

    let properties = Properties {
        title: format!("{} – job sheet", plan.title),
        subject: plan.about.clone(),
        language: "en-GB",
    };
    let pages = flow.finish(&plan.title, &wording::recipe_line(plan));
    pdf::write(&properties, &pages, picture, &[]).map_err(|e| refused(&e))
}
