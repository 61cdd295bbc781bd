//! How the sheet is laid in for a run: a fresh one, or turned over.

use super::text::kept;
use super::wording::size;
use crate::plan::{MirrorAxis, Operation, Plan, Run, Turned};
use crate::shop::{OperationKind, StartPoint};
use crate::units::Mm;
use crate::units::number::fixed;

/// What shifts by less than this (mm) lies where it lay.
const SAME: f64 = 0.01;

/// Whether the sheet stays as it lies from one run to the next.
pub(super) fn stays(done: &Run, next: &Run) -> bool {
    done.lay == next.lay
}

/// Sheet and side of a run in a few words; nothing for the face of the only sheet.
pub(super) fn words(plan: &Plan, run: &Run) -> String {
    let sheets = plan.runs.iter().any(|r| 1 < r.lay.sheet);
    let sheet = if sheets { format!("sheet {}", run.lay.sheet) } else { String::new() };
    let side = match run.lay.turned {
        Some(turned) => format!("back up, turned {}", turned.over.word()),
        None if plan.runs.iter().any(|r| r.lay.sheet == run.lay.sheet && r.lay.turned.is_some()) => {
            "face up".to_owned()
        }
        None => String::new(),
    };
    [sheet, side].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ")
}

/// What is to be done with the sheet between two runs; nothing where it stays as it lies.
pub(super) fn steps(plan: &Plan, done: &Run, next: &Run) -> Vec<String> {
    if done.lay.sheet != next.lay.sheet {
        let face = if next.lay.turned.is_some() { "its face down" } else { "its face up" };
        return vec![format!(
            "Sheet {} taken out; a fresh sheet of {}, {}, laid in where it lay, {face}",
            done.lay.sheet,
            plan.stock.name,
            size(plan.sheet.width, plan.sheet.height)
        )];
    }
    let change = match (done.lay.turned, next.lay.turned) {
        (None, Some(turned)) => turned_over(plan, turned, "Sheet turned over, its back up"),
        (Some(turned), None) => turned_over(plan, turned, "Sheet turned back, its face up"),
        (Some(from), Some(to)) if from.over != to.over => {
            vec!["Sheet turned round by half a turn, its back still up".to_owned()]
        }
        _ => return Vec::new(),
    };
    let register = std::iter::once(register(plan, done, next));
    change.into_iter().chain(register).collect()
}

/// How a sheet is turned, and which of its edges goes where.
fn turned_over(plan: &Plan, turned: Turned, what: &str) -> Vec<String> {
    let (like, from, to, kept_edge) = match turned.over {
        MirrorAxis::LeftRight => ("like the page of a book", "right", "left", "top"),
        MirrorAxis::TopBottom => ("like the page of a calendar", "bottom", "top", "left"),
    };
    let shift = turned.shift((plan.sheet.width, plan.sheet.height));
    let stop = match shift.get() {
        by if by.abs() <= SAME => format!("comes to the {to} stop"),
        by if by > 0.0 => format!("comes to lie {} from the {to} stop: put a spacer there", millimetres(shift)),
        _ => format!("comes to lie {} beyond the {to} stop: move the stop", millimetres(shift)),
    };
    vec![format!("{what}: {like}. Its {from} edge {stop}; its {kept_edge} edge stays at the {kept_edge} stop")]
}

fn millimetres(length: Mm) -> String {
    kept(&format!("{} mm", fixed(length.get().abs(), 2)))
}

/// How it is seen that the sheet lies in register again.
fn register(plan: &Plan, done: &Run, next: &Run) -> String {
    let through =
        |o: &Operation| o.kind == OperationKind::Cut && next.operations.iter().any(|n| n.figures == o.figures);
    let start = match plan.machine.start {
        StartPoint::Page => "from the same corner of the page",
        _ => "from its start point in the table of the set-up",
    };
    let seen = if done.operations.iter().any(through) {
        "it has to run along what was cut through before, which shows on this side too"
    } else {
        "it has to lie as far from the edges of the sheet as the drawing says, on both sides alike"
    };
    format!("Register: the outer box traced {start} with the beam off or at its weakest; {seen}")
}
