//! When a piece comes free, and the lines that hold one that hangs on.

use super::ResumeError;
use crate::geometry::{Corners, Region, faces};
use crate::plan::model::{Burn, Operation, Piece, Plan, Run, SeamCut};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{Affine, BezPath, Shape};

/// How far (mm) a drawn line may lie beside the outline of the piece that it cuts free, besides the kerf: what fitting and
/// joining move it by.
const BESIDE: f64 = 0.05;

/// A piece of the plan's puzzle.
pub(super) fn piece(plan: &Plan, number: usize) -> Result<&Piece, ResumeError> {
    let puzzle = plan.puzzle.as_ref().ok_or(ResumeError::NoPuzzle)?;
    let found = puzzle.pieces.iter().find(|p| p.number == number);
    found.ok_or(ResumeError::NoPiece { number, pieces: puzzle.pieces.len() })
}

/// The stroke after which a piece is free: the first with which the lines cut so far, in this run and in those before on
/// the same sheet, enclose no more than the piece.
pub(super) fn freed_after(plan: &Plan, run: &Run, piece: &Piece) -> Result<usize, ResumeError> {
    let lies = lies(plan, run, piece);
    // Only lines that come near the piece can part it from the rest.
    let reach = lies.outline.bounds().unwrap_or_default().inflate(lies.beside.get(), lies.beside.get());
    let is_near = |line: &BezPath| line.bounding_box().inflate(1e-6, 1e-6).overlaps(reach);
    let before: Vec<BezPath> = plan.runs[..run.number.saturating_sub(1).min(plan.runs.len())]
        .iter()
        .filter(|r| r.lay.on == run.lay.on)
        .flat_map(cut_strokes)
        .filter(|(_, line)| is_near(line))
        .map(|(_, line)| line.clone())
        .collect();
    let strokes: Vec<(usize, &BezPath)> = cut_strokes(run).filter(|(_, line)| is_near(line)).collect();
    let is_free = |count: usize| {
        let cut: Vec<BezPath> =
            before.iter().cloned().chain(strokes[..count].iter().map(|s| s.1.clone())).collect();
        let around = faces(&cut, lies.beside).into_iter().find(|face| face.contains(lies.middle));
        around.is_some_and(|face| face.area().get() <= lies.most)
    };
    if strokes.is_empty() || !is_free(strokes.len()) {
        return Err(ResumeError::NotFreed { run: run.name.clone(), piece: piece.number });
    }
    // More cuts never join what is parted, so halving finds the first.
    let (mut bound, mut free) = (0, strokes.len());
    while bound + 1 < free {
        let middle = usize::midpoint(bound, free);
        if is_free(middle) { free = middle } else { bound = middle }
    }
    Ok(strokes[free - 1].0)
}

/// A band along the outline of a piece, in which every line lies that holds it; `None` where it would be empty.
pub(super) fn band(plan: &Plan, run: &Run, piece: &Piece) -> (Region, Mm) {
    let Lies { outline, beside, .. } = lies(plan, run, piece);
    let (grown, shrunk) = (outline.offset(beside, Corners::Round), outline.offset(-beside, Corners::Round));
    (grown.subtract(&shrunk), beside)
}

/// Where a piece lies while it is cut, and how far its cuts may lie beside its outline.
struct Lies {
    outline: Region,
    middle: kurbo::Point,
    beside: Mm,
    /// The largest area (mm²) that its cuts enclose.
    most: f64,
}

fn lies(plan: &Plan, run: &Run, piece: &Piece) -> Lies {
    let fit = run.operations.iter().find_map(|o| match o.seams {
        Some(SeamCut::PerPiece { fit }) => Some(fit),
        _ => None,
    });
    // Pieces that are cut one by one lie pulled apart.
    let apart = if fit.is_some() { piece.apart } else { kurbo::Vec2::ZERO };
    let kerf = plan.stock.kerf.unwrap_or(plan.machine.spot);
    let beside = Mm::new(BESIDE) + kerf / 2.0 + Mm::new(fit.unwrap_or(Mm::ZERO).get().abs() / 2.0);
    let outline = piece.outline.transform(Affine::translate(apart));
    let most = outline.area().get() + outline.perimeter().get() * beside.get();
    Lies { middle: piece.middle + apart, outline, beside, most }
}

/// The lines that a run cuts, each with its number, as seen from the front.
fn cut_strokes(run: &Run) -> impl Iterator<Item = (usize, &BezPath)> {
    let cuts = run.operations.iter().filter(|o| o.kind == OperationKind::Cut);
    cuts.flat_map(|operation: &Operation| {
        let lines: &[BezPath] = if let Burn::Lines(lines) = &operation.burn { lines } else { &[] };
        operation.numbers.iter().copied().zip(lines)
    })
}
