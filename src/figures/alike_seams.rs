//! Seams so alike that pieces seem to fit where they do not belong.

use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, places};
use crate::puzzle::{LeastMisfit, PuzzleLayout};
use crate::recipe::PuzzleOf;
use crate::source::Span;
use crate::units::Mm;

pub(super) static ALIKE_SEAMS: Finding = Finding {
    rule: "puzzle/alike-seams",
    severity: Severity::Warning,
    title: "two seams of a puzzle are nearly alike",
    explanation: "The misfit of two seams is what is left between them when one is laid onto the other as well as can be. \
        Seams that are more alike than `distinct` allows are drawn anew, but with many pieces or calm knobs some may stay so.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=80 seed=\"pond\" distinct=\"4 mm\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=80 seed=\"pond\" distinct=\"0.6 mm\" { knob \"round\" variety=\"100 %\" }",
};

/// What is suggested is a whole number of these, mm.
const STEP: f64 = 0.05;

/// Says which two seams are more alike than is wanted.
pub(super) fn tell(layout: &PuzzleLayout, puzzle: &PuzzleOf, head: Span, sink: &mut Sink) {
    let Some(LeastMisfit { value, wanted, at, turned_over, .. }) = layout.proofs.least_misfit else { return };
    if value >= wanted {
        return;
    }
    let [seams, lie] = if at[0] == at[1] {
        ["a knob fits into its own socket", "it stands"]
    } else {
        ["two seams are alike", "their knobs stand"]
    };
    let over = if turned_over { " when a piece is turned over" } else { "" };
    let span = puzzle.distinct.as_ref().map_or(head, |d| d.span);
    let knobs = if at[0] == at[1] { &at[..1] } else { &at[..] };
    let kept = Mm::new((value.get() / STEP).floor() * STEP);
    sink.push(
        Diagnostic::new(&ALIKE_SEAMS, format!("{seams} within {value}{over}, less than {wanted}"))
            .at(span, format!("{lie} {}", places(knobs)))
            .because("a piece seems to fit where it does not belong")
            .repair(format!(
                "try another seed, a larger `variety` of the knobs, fewer pieces, or `distinct=\"{kept}\"`"
            )),
    );
}
