//! Room for the head to speed up and brake beside engraved rows.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::Operation;
use crate::shop::StartPoint;
use crate::units::number::fixed;
use crate::units::{Mm, MmPerSecond};

pub(super) static ROWS_OUTSIDE_BED: Finding = Finding {
    rule: "layout/rows-outside-bed",
    severity: Severity::Warning,
    title: "engraved rows leave no room for speeding up and braking",
    explanation: "The head speeds up before each engraved row and brakes after it: speed squared over twice the acceleration \
        on both sides, or the machine's own `run-up`. Where the bed ends before, it runs into its stops, or burns the ends of the rows darker because it \
        is still slow there.",
    wrong: "shape \"band\" { rectangle \"380 mm\" \"20 mm\" }\nrun \"picture\" { engrave \"band\" speed=\"400 mm/s\" }",
    right: "shape \"band\" { rectangle \"180 mm\" \"20 mm\" }\nrun \"picture\" { engrave \"band\" speed=\"400 mm/s\" }",
};

pub(super) static RUN_UP_SHORT: Finding = Finding {
    rule: "speed/run-up-short",
    severity: Severity::Warning,
    title: "the run-up of a machine is too short for the speed of its rows",
    explanation: "Before an engraved row the head needs speed squared over twice the acceleration to come up to speed. A machine \
        whose own `run-up` is shorter is still slow where the row begins, and brakes before it ends: both ends burn darker.",
    wrong: "motion top=\"400 mm/s\" acceleration=\"1000 mm/s2\" run-up=\"5 mm\" // and engrave speed=\"300 mm/s\"",
    right: "motion top=\"400 mm/s\" acceleration=\"1000 mm/s2\" run-up=\"5 mm\" // and engrave speed=\"100 mm/s\"",
};

/// Compares the way that rows need with the run-up of the machine and with the bed.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    beside_bed(job, sink);
    let machine = &job.plan.machine;
    let Some(run_up) = machine.run_up else { return };
    for (_, operation) in job.burning().filter(|(_, o)| o.burn.area().is_some()) {
        let Some(speed) = operation.setting.as_ref().map(|s| s.speed.min(machine.top_speed)) else { continue };
        let needed = speed.get() * speed.get() / (2.0 * machine.acceleration.get());
        if run_up.get() < needed {
            sink.push(short(job, operation, speed, (run_up, needed)));
        }
    }
}

fn short(job: &Job, operation: &Operation, speed: MmPerSecond, (run_up, needed): (Mm, f64)) -> Diagnostic {
    let machine = &job.plan.machine;
    let reached = libm::floor(libm::sqrt(2.0 * machine.acceleration.get() * run_up.get()));
    let message =
        format!("rows at {speed} need a run-up of {} mm, and `{}` takes {run_up}", fixed(needed, 1), machine.name);
    Diagnostic::new(&RUN_UP_SHORT, message)
        .at(operation.span, "its rows begin before the head is up to speed")
        .also(machine.span, format!("{} and a run-up of {run_up}", machine.acceleration))
        .because("the ends of the rows burn darker than their middle")
        .repair(format!("ask for {} or less, or give the controller a longer run-up", MmPerSecond::new(reached)))
}

/// Compares the way that rows need with the bed.
fn beside_bed(job: &Job, sink: &mut Sink) {
    for (run, operation) in job.burning() {
        let (Some(_), Some(bounds), Some(_)) = (operation.burn.area(), operation.bounds, &operation.setting)
        else {
            continue;
        };
        let machine = &job.plan.machine;
        let needed = job.plan.way_beside_rows(operation).get();
        let (sheet, bed) = (job.plan.sheet.width.get(), machine.bed_width.get());
        let spare = bed - bounds.width();
        // How far the rows end from the edges of the bed: where the page lies at its corner, or the sheet in its middle.
        let is_page = job.plan.start_of(run) == StartPoint::Page;
        let (left, right) = if is_page {
            let on_page = run.movement().transform_rect_bbox(bounds);
            (on_page.x0, bed - on_page.x1)
        } else {
            (0.5 * (bed - sheet) + bounds.x0, 0.5 * (bed + sheet) - bounds.x1)
        };
        if spare < 0.0 {
            continue; // The run is larger than the bed, which is another finding.
        }
        if spare < 2.0 * needed {
            sink.push(nowhere(job, operation, needed, spare));
        } else if left.min(right) < needed {
            let (room, side) = if left < right { (left, "left") } else { (right, "right") };
            sink.push(too_near(job, operation, needed, (room, side), is_page));
        }
    }
}

fn begun(job: &Job, operation: &Operation, needed: f64, label: String) -> Diagnostic {
    let message =
        format!("the rows of this {} need {} mm beside them on both sides", operation.kind, fixed(needed, 1));
    Diagnostic::new(&ROWS_OUTSIDE_BED, message)
        .at(operation.span, label)
        .also(job.plan.machine.span, format!("its bed is {} wide", job.plan.machine.bed_width))
        .because("the head would run into its stops, or still be slow and burn the ends of the rows too dark")
}

fn nowhere(job: &Job, operation: &Operation, needed: f64, spare: f64) -> Diagnostic {
    begun(job, operation, needed, format!("the bed has {} mm to spare in all", fixed(spare, 1)))
        .repair("lower the speed (and the power with it), or make the figure narrower")
}

fn too_near(
    job: &Job,
    operation: &Operation,
    needed: f64,
    (room, side): (f64, &str),
    is_page: bool,
) -> Diagnostic {
    let lies = if is_page { "the page at the corner of the bed" } else { "a sheet in the middle of the bed" };
    let label = format!("{lies} leaves {} mm on the {side}", fixed(room.max(0.0), 1));
    let away = if side == "left" { "right" } else { "left" };
    if is_page {
        let more = fixed(needed - room, 1);
        let repair = format!("place the figure {more} mm or more farther to the {away}, or lower the speed");
        return begun(job, operation, needed, label).repair(repair);
    }
    let mut diagnostic = begun(job, operation, needed, label);
    // Only where the sheet lies in the middle, which nobody has to put it in.
    diagnostic.severity = Severity::Advice;
    diagnostic.repair(format!(
        "lay the sheet {} mm or more farther to the {away}, or lower the speed",
        fixed(needed - room, 1)
    ))
}
