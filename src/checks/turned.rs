//! Runs that burn the back.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{MirrorAxis, Operation, Run, SAME_PLACE, Turned};
use crate::recipe::FigureKind;
use crate::shop::{OperationKind, StartPoint};
use crate::units::number::fixed;

pub(super) static CUT_BEFORE_TURNING: Finding = Finding {
    rule: "order/cut-before-turning",
    severity: Severity::Warning,
    title: "a sheet is turned over after it was cut through",
    explanation: "Pieces that have come loose fall out when the sheet is turned over, and do not lie where the other side is to \
        be burned. Burn the back first, or cut at the very end from whichever side lies up then: a turned run cuts the same \
        lines. Corner marks that are cut through are no pieces; they show on both sides.",
    wrong: "run \"separate\" { cut \"board\" }\nrun \"back\" turned=\"left-right\" { score \"sun\" }",
    right: "run \"back\" turned=\"left-right\" { score \"sun\" }\nrun \"separate\" { cut \"board\" }",
};

pub(super) static MIRRORED_LETTERING: Finding = Finding {
    rule: "lettering/mirrored",
    severity: Severity::Warning,
    title: "lettering can only be read from the other side",
    explanation: "A turned run burns everything mirrored, so that it lies behind its place on the front. Numbers of pieces are \
        set to be read from the back; other lettering needs a `mirror` of its own.",
    wrong: "lettering \"from\" \"for Wren\" strokes=\"plain\" height=\"6 mm\"\nrun \"back\" turned=\"left-right\" { score \"from\" }",
    right: "lettering \"from\" \"for Wren\" strokes=\"plain\" height=\"6 mm\" { mirror \"left-right\" }\nrun \"back\" turned=\"left-right\" { score \"from\" }",
};

pub(super) static TURNED_OFF_CENTRE: Finding = Finding {
    rule: "register/turned-off-centre",
    severity: Severity::Warning,
    title: "a turned sheet does not come to lie where it lay",
    explanation: "A sheet is turned over about the middle of the board. Where the board does not lie in the middle of the sheet, \
        the turned sheet lies beside the page: against the same stops, the board comes to lie elsewhere, and so does the \
        point from which the run is started. Started from the page, the sheet has to be laid in with a spacer, or beyond the \
        stop; started from what is burned, the head has to be put over another point.",
    wrong: "sheet \"300 mm\" \"200 mm\"\nboard { rectangle \"100 mm\" \"80 mm\"; place left=\"sheet\" right=\"20 mm\" }\nrun \"back\" turned=\"left-right\" { score \"sun\" }",
    right: "sheet \"300 mm\" \"200 mm\"\nboard { rectangle \"100 mm\" \"80 mm\"; place centre=\"sheet\" }\nrun \"back\" turned=\"left-right\" { score \"sun\" }",
};

/// Looks at the runs of a sheet that burn its back.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut cut: Option<(&Run, &Operation)> = None;
    for run in job.runs() {
        if let Some((before, operation)) = cut.filter(|(before, _)| before.lay.turned != run.lay.turned) {
            sink.push(falls_apart(before, operation, run));
            cut = None; // Told once: the pieces cannot fall out again.
        }
        let parts = run.operations.iter().find(|o| o.kind == OperationKind::Cut && !job.is_marks(o));
        cut = cut.or(parts.map(|o| (run, o)));
        if let Some(turned) = run.lay.turned {
            off_centre(job, run, turned, sink);
            let burned = run.operations.iter().filter(|o| o.kind != OperationKind::Guide);
            burned.for_each(|operation| lettering(job, run, turned, operation, sink));
        }
    }
}

fn falls_apart(before: &Run, cut: &Operation, run: &Run) -> Diagnostic {
    Diagnostic::new(
        &CUT_BEFORE_TURNING,
        format!("run `{}` turns over a sheet that run `{}` has cut through", run.name, before.name),
    )
    .at(run.span, "turned over for this run")
    .also(cut.span, "cut through before")
    .because("loose pieces fall out, and what is burned on the other side lands beside its place")
    .repair(format!(
        "write run `{}` before run `{}`; or hold the pieces with tape on the side that is burned no more, and accept this",
        run.name, before.name
    ))
}

fn off_centre(job: &Job, run: &Run, turned: Turned, sink: &mut Sink) {
    let shift = turned.shift((job.plan.sheet.width, job.plan.sheet.height));
    if shift.get().abs() <= SAME_PLACE.get() {
        return;
    }
    let by = fixed(shift.get().abs(), 2);
    let (edge, back, forth) = match turned.over {
        MirrorAxis::LeftRight => ("left", "to the left", "to the right"),
        MirrorAxis::TopBottom => ("top", "up", "down"),
    };
    let side = if shift.get() < 0.0 { "beyond" } else { "short of" };
    // What is burned on a sheet against the old stops lies as far off as the sheet, and to the other side.
    let way = format!("{by} mm {}", if shift.get() < 0.0 { forth } else { back });
    let told = Diagnostic::new(&TURNED_OFF_CENTRE, "the turned sheet does not lie where it lay".to_owned());
    let told = if job.plan.start_of(run) == StartPoint::Page {
        told.at(run.span, format!("its edge comes to lie {by} mm {side} the {edge} edge of the page"))
            .also(job.plan.sheet.span, "the board does not lie in the middle of this")
            .also(job.plan.machine.span, "started from the corner of the page")
            .because(format!("laid against the same stops, everything on the back lands {by} mm off"))
            .repair("place the board in the middle of the sheet, or lay the sheet in as the job sheet says, and accept this")
    } else {
        told.at(run.span, format!("against the same stops, its start point lies {way} of where it was"))
            .also(job.plan.sheet.span, "the board does not lie in the middle of this")
            .because(format!("where the head stays over the old start point, everything on the back lands {by} mm off"))
            .repair(
                "place the board in the middle of the sheet, or put the head over the start point that the job sheet gives for \
                 this run, and accept this",
            )
    };
    sink.push(told);
}

/// Lettering that is not mirrored itself and so comes out mirrored.
fn lettering(job: &Job, run: &Run, turned: Turned, operation: &Operation, sink: &mut Sink) {
    for name in &operation.figures {
        let Some(figure) = job.recipe.figure(name) else { continue };
        let is_mirrored = !figure.placing.mirror.len().is_multiple_of(2);
        if !matches!(figure.kind, FigureKind::Lettering(_)) || is_mirrored {
            continue;
        }
        sink.push(
            Diagnostic::new(&MIRRORED_LETTERING, format!("`{name}` comes out mirrored on the back"))
                .at(job.named_at(run, operation, name), "read from behind")
                .also(run.span, "the whole run is mirrored, so that it lies behind the front")
                .also(figure.head, "set to be read from the front")
                .because("it could only be read through the wood")
                .repair(format!("add `mirror \"{}\"` to `{name}`", turned.over.word())),
        );
    }
}
