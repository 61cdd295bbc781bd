//! Burning in place on a sheet whose pieces are pulled apart.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Operation, SeamCut};
use crate::shop::OperationKind;

pub(super) static OUT_OF_REGISTER: Finding = Finding {
    rule: "puzzle/out-of-register",
    severity: Severity::Error,
    title: "something lies in its place where the pieces have been pulled apart",
    explanation: "Pieces that are cut one by one do not lie where they belong in the picture. What is engraved, scored or cut \
        in its place on the same sheet comes to lie on other pieces, or across them. Cut a burned picture with shared seams, \
        or the pieces from a sheet of their own.",
    wrong: "board { rectangle \"200 mm\" \"140 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"picture\" { engrave \"sun\" }\nrun \"separate\" { cut \"pieces\" seams=\"per-piece\" }",
    right: "board { rectangle \"200 mm\" \"140 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"picture\" { engrave \"sun\" }\nrun \"separate\" { cut \"pieces\" seams=\"shared\"; cut \"board\" }",
};

/// Looks for what is burned among pieces that are pulled apart.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let is_apart = |o: &Operation| matches!(o.seams, Some(SeamCut::PerPiece { .. }));
    let mut cuts = job.burning().filter(|(_, o)| is_apart(o));
    let Some((cut_run, cut)) = cuts.next() else { return };
    for (run, operation) in job.burning() {
        let is_itself = run.number == cut_run.number && operation.number == cut.number;
        let meets = operation.bounds.zip(cut.bounds).is_some_and(|(a, b)| a.overlaps(b));
        if !is_itself && meets && !job.is_marks(operation) {
            sink.push(in_place(cut, operation));
        }
    }
}

fn in_place(cut: &Operation, operation: &Operation) -> Diagnostic {
    let because = if operation.kind == OperationKind::Cut {
        "it would go through the middle of pieces"
    } else {
        "each piece would carry what belongs to another one, or to the waste"
    };
    Diagnostic::new(
        &OUT_OF_REGISTER,
        format!("this {} is made in its place, and the pieces are pulled apart", operation.kind),
    )
    .at(operation.span, "where the board is drawn")
    .also(cut.span, "each piece is cut somewhere else")
    .because(because)
    .repair("cut with `seams=\"shared\"`, or cut the pieces from a sheet of their own with `sheet=\"fresh\"` on that run")
}
