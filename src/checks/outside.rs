//! Burning beside the board or the sheet.

use super::Job;
use super::meeting::is_clearly_inside;
use super::place::place;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Region, farthest_outside};
use crate::plan::{Burn, Laid, Operation, Run};
use crate::recipe::FigureKind;
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

/// Less than this (mm) outside is rounding, not burning.
///
/// Seams go on beyond the outline by a hundredth (see `figures`), so the limit lies above that.
const ROUNDING: f64 = 0.03;

/// Looks for burning beside the board and the sheet.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let sheet = Region::from_path(&job.figures.sheet().to_path(0.1), crate::geometry::FillRule::NonZero);
    let board = job.plan.board.as_ref().filter(|_| job.holds_board());
    for run in job.runs() {
        for operation in run.operations.iter().filter(|o| o.kind != OperationKind::Guide) {
            let beside_sheet = sheet.as_ref().ok().and_then(|s| outside(&run.on_page(operation).burn, s));
            match (beside_sheet, board) {
                (Some((at, by)), _) => sink.push(beside_the_sheet(run, operation, at, by)),
                (None, Some(board)) => board_of(job, operation, board, sink),
                (None, None) => {}
            }
        }
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

fn beside_the_sheet(run: &Run, operation: &Operation, at: Point, by: Mm) -> Diagnostic {
    let by = fixed(by.get(), 1);
    if run.lay.on == Laid::Scrap {
        return Diagnostic::new(
            &OUTSIDE_SHEET,
            format!("this {} reaches {by} mm beyond the page", operation.kind),
        )
        .at(operation.span, format!("farthest out {}", place(at)))
        .because("its file would leave that part out, or the head would not reach it")
        .repair("make it shorter: the page of scrap is that of the sheet");
    }
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
        if matches!(
            figure.kind,
            FigureKind::Register(_) | FigureKind::Inlay(_) | FigureKind::Tray(_) | FigureKind::Fixture(_)
        ) {
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
