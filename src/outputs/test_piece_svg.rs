//! `test-piece.svg`: every setting of a job on a piece of its own, to be burned on an offcut first.

use super::page::page;
use crate::plan::{PATCH, Plan, TestPiece};

/// The file of the test piece.
pub const TEST_PIECE_FILE: &str = "test-piece.svg";

/// Writes the test piece.
pub(super) fn test_piece_svg(plan: &Plan, piece: &TestPiece) -> Vec<u8> {
    let title = format!("{}: test piece", plan.title);
    let about = format!(
        "Burned before run 1, on an offcut of the same sheet: {}, {} thick; set up for {}. The page is {} wide and {} high; \
         each patch is {PATCH} mm wide and is burned as the operations of the job that its name tells, cuts along the drawn \
         line. Lines are the middle of the beam. Speed, power and passes stand on each group. Before burning, read the job \
         sheet and the manual of the machine.",
        plan.stock.material, plan.stock.thickness, plan.machine.name, piece.width, piece.height,
    );
    page((piece.width, piece.height), &title, &about, piece.tries.iter().map(|tried| &tried.operation))
}
