//! A sheet that is tilted on a block: how steep, and what is burned on it.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Operation, Run};
use crate::shop::OperationKind;
use crate::units::Mm;

pub(super) static TOO_STEEP: Finding = Finding {
    rule: "focus/block-too-high",
    severity: Severity::Error,
    title: "a sheet would be tilted too steep",
    explanation: "`block` tilts a sheet on purpose, so that a focus card has every height of the focus on it. A block higher than a \
        quarter of the sheet's width makes it slide, and the head runs into its high edge (the limit is our judgement).",
    wrong: "sheet \"120 mm\" \"120 mm\" block=\"60 mm\"",
    right: "sheet \"120 mm\" \"120 mm\" block=\"6 mm\"",
};

pub(super) static TILTED: Finding = Finding {
    rule: "focus/sheet-tilted",
    severity: Severity::Warning,
    title: "something is cut out of a sheet that is tilted",
    explanation: "A tilted sheet is in focus along one line only: half the block's height too low at one edge, and too high at the \
        other. That is what a focus card is for, which is only marked; what is cut lies flat.",
    wrong: "sheet \"120 mm\" \"120 mm\" block=\"6 mm\"",
    right: "sheet \"120 mm\" \"120 mm\"",
};

/// Most of a sheet's width that a block may be high.
const STEEPEST: f64 = 0.25;

/// Looks at a sheet that is tilted on purpose.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let sheet = &job.plan.sheet;
    let Some(block) = sheet.block else { return };
    if sheet.width * STEEPEST < block {
        sink.push(
            Diagnostic::new(
                &TOO_STEEP,
                format!("a block of {block} is too high for a sheet {} wide", sheet.width),
            )
            .at(sheet.span, "tilted by it")
            .because("the sheet slides, and the head runs into its high edge")
            .repair(format!("take a block of {} at most", sheet.width * STEEPEST)),
        );
        return;
    }
    let is_cut = |(_, operation): &(&Run, &Operation)| operation.kind == OperationKind::Cut;
    let Some((_, operation)) = job.burning().find(is_cut) else { return };
    let off: Mm = block / 2.0;
    sink.push(
        Diagnostic::new(&TILTED, format!("the sheet lies {off} out of focus at its left and right edges"))
            .at(sheet.span, "tilted on a block")
            .also(operation.span, "cuts through it")
            .because("near the edges the cut is wide and does not go through")
            .repair("leave out `block`, and lay the sheet flat"),
    );
}
