//! Runs and sheets that are larger than the bed.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Laid, Run};
use crate::shop::{Machine, StartPoint};
use crate::units::number::fixed;
use kurbo::Rect;

pub(super) static OUTSIDE_BED: Finding = Finding {
    rule: "layout/outside-bed",
    severity: Severity::Error,
    title: "a run is larger than the bed",
    explanation: "The head cannot reach what a run burns; it would run into its stops and lose its place. A run that is \
        started from the page has to lie within the bed where it lies on the page: the corner of the page is the \
        corner of the bed then.",
    wrong: "sheet \"900 mm\" \"600 mm\"\nboard { rectangle \"850 mm\" \"500 mm\" }",
    right: "sheet \"400 mm\" \"400 mm\"\nboard { rectangle \"380 mm\" \"350 mm\" }",
};

pub(super) static SHEET_OVER_BED: Finding = Finding {
    rule: "layout/sheet-over-bed",
    severity: Severity::Warning,
    title: "a sheet is larger than the bed",
    explanation: "A sheet that hangs over the edge of the bed tips, sags out of focus and keeps lid or panels from closing. It only \
        goes where the machine is made to be open at that side, and the beam is shut in some other way.",
    wrong: "sheet \"900 mm\" \"380 mm\"\nboard { rectangle \"300 mm\" \"300 mm\"; place left=\"sheet\" right=\"20 mm\" }",
    right: "sheet \"400 mm\" \"380 mm\"\nboard { rectangle \"300 mm\" \"300 mm\" }",
};

/// Less than this (mm) is rounding.
const ROUNDING: f64 = 0.03;

/// Compares what is burned, and the sheet, with the bed.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut fits = true;
    for run in job.runs() {
        if let Some(told) = too_large(job, run).or_else(|| out_of_reach(job, run)) {
            sink.push(told);
            fits = false;
        }
    }
    // A sheet is told of once, and not where the runs on it are too large themselves.
    if fits
        && job.laid.is_none_or(|on| on == Laid::Sheet(1))
        && let Some(told) = sheet(job)
    {
        sink.push(told);
    }
}

fn too_large(job: &Job, run: &Run) -> Option<Diagnostic> {
    let (burned, machine) = (run.burned?, &job.plan.machine);
    let over =
        [(burned.width() - machine.bed_width.get(), "wide"), (burned.height() - machine.bed_height.get(), "high")];
    let (by, word) = over.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(by, _)| *by > ROUNDING)?;
    let message =
        format!("run `{}` is {} mm too {word} for the bed of `{}`", run.name, fixed(by, 1), machine.name);
    Some(
        Diagnostic::new(&OUTSIDE_BED, message)
            .at(run.span, format!("burns {} x {} mm", fixed(burned.width(), 1), fixed(burned.height(), 1)))
            .also(machine.span, its_bed(machine))
            .because("the head would run into its stops and lose its place")
            .repair("make the piece smaller, or choose a larger machine"),
    )
}

/// What is started from the page lies on the bed as it lies on the page.
fn out_of_reach(job: &Job, run: &Run) -> Option<Diagnostic> {
    let (burned, machine) = (run.burned_on_page()?, &job.plan.machine);
    // What lies beside the page is another finding.
    let page = Rect::new(0.0, 0.0, job.plan.sheet.width.get(), job.plan.sheet.height.get());
    let is_on_page = burned.intersect(page.inflate(ROUNDING, ROUNDING)) == burned;
    if job.plan.start_of(run) != StartPoint::Page || !is_on_page {
        return None;
    }
    let bed = Rect::new(0.0, 0.0, machine.bed_width.get(), machine.bed_height.get());
    let over = [(burned.x1 - bed.x1, "right"), (burned.y1 - bed.y1, "bottom")];
    let (by, edge) = over.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(by, _)| *by > ROUNDING)?;
    let message = format!("run `{}` reaches {} mm beyond the {edge} edge of the bed", run.name, fixed(by, 1));
    Some(
        Diagnostic::new(&OUTSIDE_BED, message)
            .at(run.span, "started from the page, whose corner is that of the bed")
            .also(machine.span, its_bed(machine))
            .because("the head would run into its stops and lose its place")
            .repair("place the piece nearer to the left top corner of the sheet, or start from another point"),
    )
}

fn its_bed(machine: &Machine) -> String {
    format!("its bed is {} x {}", machine.bed_width, machine.bed_height)
}

fn sheet(job: &Job) -> Option<Diagnostic> {
    let (sheet, machine) = (&job.plan.sheet, &job.plan.machine);
    let over = [(sheet.width - machine.bed_width, "wider"), (sheet.height - machine.bed_height, "higher")];
    let (by, word) = over
        .into_iter()
        .map(|(by, word)| (by.get(), word))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(by, _)| *by > ROUNDING)?;
    let follows = if machine.enclosed {
        "lid and panels do not close over it, and the beam must not run while they are open"
    } else {
        "it hangs over the edge, tips as soon as a piece is cut out, and sags out of focus"
    };
    Some(
        Diagnostic::new(&SHEET_OVER_BED, format!("the sheet is {} mm {word} than the bed of `{}`", fixed(by, 1), machine.name))
            .at(sheet.span, format!("{} x {}", sheet.width, sheet.height))
            .also(machine.span, its_bed(machine))
            .because(follows)
            .repair(
                "cut the sheet to size before, and write that size; or, where the manual lets sheets pass through the machine, \
                 hold what hangs over at the height of the bed, and accept this",
            ),
    )
}
