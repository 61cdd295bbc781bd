//! What of a plan is seen on one side of the finished piece.

use crate::plan::{Burn, Operation, Plan, SeamCut, Turned};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{Affine, BezPath};
use std::borrow::Cow;

/// A side of the piece.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Side {
    /// The front.
    Front,
    /// The back, seen when the piece is turned over so.
    Back(Turned),
}

/// The narrowest gap between two pieces that can be seen.
const HAIRLINE: Mm = Mm::new(0.05);

impl Side {
    /// The back of a plan that burns it, turned over as it is first.
    pub fn back_of(plan: &Plan) -> Option<Self> {
        plan.runs.iter().find_map(|run| run.lay.turned).map(Self::Back)
    }

    /// From the front to what is seen.
    pub fn movement(self) -> Affine {
        match self {
            Self::Front => Affine::IDENTITY,
            Self::Back(turned) => turned.movement(),
        }
    }

    /// What tells the two sides of a sheet apart.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back(_) => "back",
        }
    }

    /// What is burned on this side of the first sheet, and the cuts, which go through.
    pub fn operations(self, plan: &Plan) -> Vec<Cow<'_, Operation>> {
        let all = plan.on_first_sheet(matches!(self, Self::Back(_)));
        all.filter(|(_, o)| o.kind != OperationKind::Guide)
            .map(|(_, operation)| {
                let operation = put_together(plan, operation);
                match self {
                    Self::Front => operation,
                    Self::Back(turned) => Cow::Owned(operation.mirrored(turned)),
                }
            })
            .collect()
    }
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
