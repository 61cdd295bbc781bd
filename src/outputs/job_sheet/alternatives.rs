//! What each drawing of the sheet tells, in words, for whoever has the sheet read aloud.
//!
//! In: what is drawn. Out: the alternative text of the figure (ISO 32000-1, 14.9.3): not how it looks, but what a maker has to
//! know from it.

use super::drawing::bounds_of;
use super::lay;
use super::operation_row::strokes;
use super::set_up::{board_on_sheet, burned_on_sheet, start_words, starts_in_words};
use super::text::clipped;
use super::wording::{count, place, size};
use crate::geometry::Region;
use crate::plan::{Operation, Plan, Puzzle, Remainder, Run, TestPiece};
use crate::safety::{Sign, SignKind};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::Rect;

/// More than this nobody listens to; what is left out stands in tables.
const MOST_NAMED: usize = 40;
const MOST_CHARACTERS: usize = 2000;

/// The picture of the finished piece.
pub(super) fn picture(plan: &Plan) -> String {
    let mut told = vec![format!("The piece as it is expected to come out: {}", clipped(&plan.title, 90))];
    if let Some(finished) = plan.board.as_ref().and_then(Region::bounds) {
        told.push(format!("Finished size {}", extent(finished)));
    }
    told.extend(plan.puzzle.as_ref().map(|p| format!("Cut into {}", count(p.pieces.len(), "piece", "pieces"))));
    let operations = plan.runs.iter().flat_map(|run| &run.operations);
    let burned: Vec<String> = operations.take(MOST_NAMED).map(|o| format!("{} {}", o.kind, figures(o))).collect();
    if !burned.is_empty() {
        told.push(format!("On it: {}", burned.join("; ")));
    }
    sentences(&told)
}

/// The sheet with the board, the boxes of the runs and their start points.
pub(super) fn set_up(plan: &Plan) -> String {
    let mut told = vec![format!("The sheet to scale, {}", size(plan.sheet.width, plan.sheet.height))];
    if let Some(board) = plan.board.as_ref().and_then(Region::bounds) {
        told.push(format!("The board, {}, has its left top corner at {}", extent(board), place(board.origin())));
    }
    if plan.runs.iter().flat_map(|run| &run.operations).any(|operation| plan.is_marks(operation)) {
        told.push("Corner marks are drawn where runs burn them".to_owned());
    }
    for run in plan.runs.iter().take(MOST_NAMED) {
        let (Some(start), Some(burned)) = (plan.start_on_sheet(run), burned_on_sheet(plan, run)) else {
            told.push(format!("Run {} burns nothing", run.number));
            continue;
        };
        let lies = lay::words(plan, run);
        let lies = if lies.is_empty() { lies } else { format!(", {lies},") };
        told.push(format!(
            "Run {}{lies} is started at {} and burns {} from {}",
            run.number,
            place(start),
            extent(burned),
            place(burned.origin())
        ));
    }
    told.push("All from the left top corner of the sheet, x to the right and y down".to_owned());
    sentences(&told)
}

/// The test piece with a patch for each setting.
pub(super) fn test_piece(piece: &TestPiece) -> String {
    let patches = count(piece.tries.len(), "patch", "patches");
    let mut told = vec![format!("The test piece to scale, {}, with {patches}", size(piece.width, piece.height))];
    for tried in piece.tries.iter().take(MOST_NAMED) {
        let at = place(tried.patch.origin());
        told.push(format!("Patch {}, {}, has its left top corner at {at}", tried.label(), tried.operation.kind));
    }
    sentences(&told)
}

/// The bed with the sheet on it.
pub(super) fn bed(plan: &Plan) -> String {
    sentences(&[
        format!("The bed to scale, {}", size(plan.machine.bed_width, plan.machine.bed_height)),
        format!("On it the sheet, {}", size(plan.sheet.width, plan.sheet.height)),
        format!("A target marks where the head is put: {}", starts_in_words(plan)),
    ])
}

/// Where an operation burns.
pub(super) fn thumbnail(operation: &Operation) -> String {
    let Some(bounds) = bounds_of(&operation.burn) else { return "Nothing is drawn".to_owned() };
    sentences(&[format!("Where it lies: {} from {} of the page", extent(bounds), place(bounds.origin()))])
}

/// Where the strokes of a run begin.
pub(super) fn stroke_map(plan: &Plan, run: &Run) -> String {
    let mut told = vec![format!("What run {} cuts, with the numbers of its strokes where they begin", run.number)];
    let cuts = run.operations.iter().filter(|o| o.kind == OperationKind::Cut && !plan.is_marks(o));
    for operation in cuts.take(MOST_NAMED) {
        told.push(format!("Operation {}, {}: {}", operation.number, figures(operation), strokes(operation)));
    }
    sentences(&told)
}

/// The key of a puzzle: which pieces meet.
pub(super) fn puzzle_key(puzzle: &Puzzle) -> String {
    let pieces = &puzzle.pieces;
    let mut told = vec![format!("Every piece with its number in it: {}", count(pieces.len(), "piece", "pieces"))];
    for piece in pieces.iter().filter(|piece| !piece.neighbours.is_empty()).take(MOST_NAMED) {
        let others: Vec<String> = piece.neighbours.iter().map(usize::to_string).collect();
        told.push(format!("Piece {} meets {}", piece.number, others.join(", ")));
    }
    if MOST_NAMED < pieces.len() {
        told.push("And so on".to_owned());
    }
    sentences(&told)
}

/// The sheet as it lies when it is put back.
pub(super) fn put_back(plan: &Plan, left: &Remainder) -> String {
    let run = &left.run;
    let mut told = vec![format!("The sheet to scale as it lies, {}", size(plan.sheet.width, plan.sheet.height))];
    if let Some(board) = board_on_sheet(plan, run).as_ref().and_then(Region::bounds) {
        told.push(format!("The board, {}, has its left top corner at {}", extent(board), place(board.origin())));
    }
    if let Some(burned) = burned_on_sheet(plan, run) {
        told.push(format!(
            "What is left of run {} covers {} from {}",
            run.number,
            extent(burned),
            place(burned.origin())
        ));
    }
    if let Some(start) = plan.start_on_sheet(run) {
        told.push(format!("It is started at {}, the {}", place(start), start_words(plan.start_of(run))));
    }
    let marks = left.marks_again;
    let first = run.operations.iter().find(|o| Some(o.number) != marks).and_then(|o| o.numbers.first());
    told.extend(first.map(|number| format!("Stroke {number} is burned first")));
    sentences(&told)
}

/// A sign.
pub(super) fn sign(sign: &Sign) -> String {
    let kind = match sign.kind {
        SignKind::Warning => "Warning sign",
        SignKind::Duty => "Mandatory sign",
        SignKind::Ban => "Prohibition sign",
        SignKind::FireFighting => "Fire equipment sign",
    };
    format!("{kind} {}: {}", sign.number, sign.name)
}

fn figures(operation: &Operation) -> String {
    clipped(&operation.figures.join(", "), 80)
}

/// `40 × 30 mm`.
fn extent(bounds: Rect) -> String {
    size(Mm::new(bounds.width()), Mm::new(bounds.height()))
}

fn sentences(told: &[String]) -> String {
    clipped(&format!("{}.", told.join(". ")), MOST_CHARACTERS).replace('\u{a0}', " ")
}
