//! What of a plan is seen on one side of a sheet.

use crate::plan::{Burn, Lay, Operation, Plan, SeamCut};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::BezPath;
use std::borrow::Cow;

/// The narrowest gap between two pieces that can be seen.
const HAIRLINE: Mm = Mm::new(0.05);

/// What is burned on a side, and the cuts, which go through, as they lie when that side is up.
pub(super) fn operations(plan: &Plan, side: Lay) -> Vec<Cow<'_, Operation>> {
    let all = plan.on_side(side).filter(|(_, o)| o.kind != OperationKind::Guide);
    all.map(|(_, operation)| {
        let operation = put_together(plan, operation);
        match side.turned {
            None => operation,
            Some(turned) => Cow::Owned(operation.mirrored(turned)),
        }
    })
    .collect()
}

/// Pieces that are cut apart from each other, laid together again.
fn put_together<'a>(plan: &'a Plan, operation: &'a Operation) -> Cow<'a, Operation> {
    match (&plan.puzzle, operation.seams) {
        (Some(puzzle), Some(SeamCut::PerPiece { .. })) => {
            let outlines = puzzle.pieces.iter().flat_map(|p| p.outline.contours()).cloned();
            let lines: Vec<BezPath> = outlines.collect();
            Cow::Owned(Operation { burn: Burn::Lines(lines), ..operation.clone() })
        }
        _ => Cow::Borrowed(operation),
    }
}

/// The width that a cut is seen with: of pieces that were cut one by one, the gap between them.
pub(super) fn cut_width(operation: &Operation, kerf: Mm) -> Mm {
    match operation.seams {
        Some(SeamCut::PerPiece { fit }) => fit.max(HAIRLINE),
        _ => kerf,
    }
}
