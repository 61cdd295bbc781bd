//! The files of a remainder: its SVG on the page of the run, the paper to put the sheet back by, a report.

use super::names::run_file;
use super::report::remainder_json;
use super::run_svg::{about, burned};
use super::{OutputError, OutputFile, job_sheet, named, page};
use crate::plan::{Plan, Remainder};

/// Makes the files; `warning` is told on the paper first, where there is something.
///
/// # Errors
/// When the paper or the report cannot be written.
pub fn write_remainder(
    plan: &Plan,
    left: &Remainder,
    warning: Option<&str>,
) -> Result<Vec<OutputFile>, OutputError> {
    let file = remainder_file(plan, left);
    Ok(vec![
        named("put-back.pdf", job_sheet::put_back_sheet(plan, left, &file, warning))?,
        OutputFile { bytes: svg(plan, left), path: file.clone() },
        named("report.json", remainder_json(plan, left, &file))?,
    ])
}

/// `02-separate-left.svg`: no name of a file that a build writes.
pub fn remainder_file(plan: &Plan, left: &Remainder) -> String {
    let run = run_file(plan, &left.run);
    format!("{}-left.svg", run.strip_suffix(".svg").unwrap_or(&run))
}

fn svg(plan: &Plan, left: &Remainder) -> Vec<u8> {
    let title = format!("{}: {}, what is left", plan.title, left.run.name);
    let what = match (left.rows_below, left.after) {
        (Some(line), _) => {
            format!("Only the rows from {line} below the top edge of the page, and what comes after them.")
        }
        (None, Some(stroke)) => format!("Only what is left after stroke {stroke} of {}.", left.strokes),
        (None, None) => "Only what did not go through.".to_owned(),
    };
    let about = format!("{what} Put the sheet back in register first. {}", about(plan, &left.run));
    let operations = burned(&left.run);
    page::page(plan.sheet.size(), &title, &about, operations.iter().map(AsRef::as_ref))
}
