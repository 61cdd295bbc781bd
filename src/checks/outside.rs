//! Burning beside the board, the sheet or the bed.

use super::Job;
use super::meeting::is_clearly_inside;
use super::place::place;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Region, farthest_outside};
use crate::plan::{Burn, Operation, Run};
use crate::recipe::{BOARD_NAME, FigureKind};
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Point, Shape};

pub(super) static OUTSIDE_BOARD: Finding = Finding {
    rule: "layout/outside-board",
    severity: Severity::Warning,
    title: "something is burned beside the finished outline",
    explanation: "What lies outside the board is burned into the waste: a picture loses its edge when the board is cut out. \
        Corner marks made with `register`, the inserts of an `inlay` and the parts of a `tray` belong there and are not meant.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\" { size width=\"300 mm\" }\nrun \"picture\" { engrave \"heron\" setting=\"dark\" }",
    right: "artwork \"heron\" file=\"art/heron.svg\" { size within=\"board\" margin=\"12 mm\" }\nrun \"picture\" { engrave \"heron\" setting=\"dark\" }",
};

pub(super) static OUTSIDE_SHEET: Finding = Finding {
    rule: "layout/outside-sheet",
    severity: Severity::Error,
    title: "something is burned beside the sheet",
    explanation: "Beyond the sheet the beam burns the bed, or whatever lies there.",
    wrong: "sheet \"100 mm\" \"100 mm\"\nboard { rectangle \"120 mm\" \"80 mm\" }",
    right: "sheet \"130 mm\" \"100 mm\"\nboard { rectangle \"120 mm\" \"80 mm\" }",
};

pub(super) static OUTSIDE_BED: Finding = Finding {
    rule: "layout/outside-bed",
    severity: Severity::Error,
    title: "a run is larger than the bed",
    explanation: "The head cannot reach what a run burns; it would run into its stops and lose its place.",
    wrong: "sheet \"900 mm\" \"600 mm\"\nboard { rectangle \"850 mm\" \"500 mm\" }",
    right: "sheet \"400 mm\" \"400 mm\"\nboard { rectangle \"380 mm\" \"350 mm\" }",
};

/// Less than this (mm) outside is rounding, not burning.
///
/// Seams go on beyond the outline by a hundredth (see `figures`), so the limit lies above that.
const ROUNDING: f64 = 0.03;

/// Looks for burning beside the board, the sheet and the bed.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let sheet = Region::from_path(&job.figures.sheet().to_path(0.1), crate::geometry::FillRule::NonZero);
    let board = job.plan.board.as_ref().filter(|_| holds_board(job));
    for run in job.runs() {
        for operation in run.operations.iter().filter(|o| o.kind != OperationKind::Guide) {
            let beside_sheet = sheet.as_ref().ok().and_then(|s| outside(&run.on_page(operation).burn, s));
            match (beside_sheet, board) {
                (Some((at, by)), _) => sink.push(beside_the_sheet(run, operation, at, by)),
                (None, Some(board)) => board_of(job, operation, board, sink),
                (None, None) => {}
            }
        }
        bed(job, run, sink);
    }
}

/// How far, and where, something is burned outside an area; `None` when it is not.
fn outside(burn: &Burn, container: &Region) -> Option<(Point, Mm)> {
    let found = match (burn.area(), burn) {
        (Some(region), _) if is_clearly_inside(region, container) => None,
        (Some(region), _) => region.farthest_outside(container),
        (None, Burn::Lines(lines)) => farthest_outside(lines, container),
        (None, _) => None,
    };
    found.filter(|(_, by)| by.get() > ROUNDING)
}

/// Whether the board lies on the sheet that is looked at: on the first, and on others where it is cut.
fn holds_board(job: &Job) -> bool {
    let cuts_board = |o: &Operation| o.kind == OperationKind::Cut && o.figures.iter().any(|n| n == BOARD_NAME);
    job.sheet.is_none_or(|sheet| sheet == 1) || job.burning().any(|(_, o)| cuts_board(o))
}

fn beside_the_sheet(run: &Run, operation: &Operation, at: Point, by: Mm) -> Diagnostic {
    let by = fixed(by.get(), 1);
    if run.lay.turned.is_some() {
        return Diagnostic::new(
            &OUTSIDE_SHEET,
            format!("turned over, this {} reaches {by} mm beyond the page", operation.kind),
        )
        .at(operation.span, format!("on the page of this run, farthest out {}", place(at)))
        .also(run.span, "turned over about the middle of the board")
        .because("its file would leave that part out, or the head would not reach it")
        .repair("place the board in the middle of the sheet, or the figure nearer to it");
    }
    Diagnostic::new(&OUTSIDE_SHEET, format!("this {} reaches {by} mm beyond the sheet", operation.kind))
        .at(operation.span, format!("farthest out {}", place(at)))
        .because("the beam would burn the bed, or whatever lies there")
        .repair("make the sheet larger, or the figure smaller, or place it elsewhere")
}

/// Each figure of the operation for itself, so that the message names the one that sticks out.
fn board_of(job: &Job, operation: &Operation, board: &Region, sink: &mut Sink) {
    if outside(&operation.burn, board).is_none() {
        return;
    }
    for name in &operation.figures {
        let (Some(figure), Some(placed)) = (job.recipe.figure(name), job.figures.get(name)) else { continue };
        if matches!(figure.kind, FigureKind::Register(_) | FigureKind::Inlay(_) | FigureKind::Tray(_)) {
            continue;
        }
        let lines: Vec<_> = placed.drawing.lines.iter().map(|l| l.path.clone()).collect();
        let found = [placed.drawing.ink.farthest_outside(board), farthest_outside(&lines, board)];
        let farthest = found.into_iter().flatten().max_by(|a, b| a.1.get().total_cmp(&b.1.get()));
        let Some((at, by)) = farthest.filter(|(_, by)| by.get() > ROUNDING) else { continue };
        let shown = fixed(by.get(), 1);
        let mut diagnostic =
            Diagnostic::new(&OUTSIDE_BOARD, format!("`{name}` reaches {shown} mm beyond the board"))
                .at(figure.head, format!("farthest out {}", place(at)))
                .also(operation.span, "burned here")
                .because("that part is burned into the waste and lost when the board is cut out")
                .repair("make it fit with `size within=\"board\"`, or move it with `place`");
        if let Some(part) = job.element_at(name, at) {
            diagnostic = diagnostic.in_artwork(ArtworkPlace { at: Some(at), ..part });
        }
        sink.push(diagnostic);
    }
}

fn bed(job: &Job, run: &Run, sink: &mut Sink) {
    let (Some(burned), machine) = (run.burned, &job.plan.machine) else { return };
    let over =
        [(burned.width() - machine.bed_width.get(), "wide"), (burned.height() - machine.bed_height.get(), "high")];
    let worst = over.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
    let Some((by, word)) = worst.filter(|(by, _)| *by > ROUNDING) else { return };
    sink.push(
        Diagnostic::new(
            &OUTSIDE_BED,
            format!("run `{}` is {} mm too {word} for the bed of `{}`", run.name, fixed(by, 1), machine.name),
        )
        .at(run.span, format!("burns {} x {} mm", fixed(burned.width(), 1), fixed(burned.height(), 1)))
        .also(machine.span, format!("its bed is {} x {}", machine.bed_width, machine.bed_height))
        .because("the head would run into its stops and lose its place")
        .repair("make the piece smaller, or choose a larger machine"),
    );
}
