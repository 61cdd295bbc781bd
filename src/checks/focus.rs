//! Where the focus stands, and how far the sheet lies out of it.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Focus, Operation, Room};
use crate::shop::OperationKind;
use crate::source::Span;
use crate::units::Mm;
use crate::units::number::fixed;

pub(super) static OUTSIDE_STOCK: Finding = Finding {
    rule: "focus/outside-stock",
    severity: Severity::Warning,
    title: "the focus of a cut stands far outside of the stock",
    explanation: "A cut goes through best with the focus in the stock: at its upper face, its middle or between (common \
        practice, no source). `focus=` counts from the upper face, and negative heights lie in the stock: a lost minus is the \
        usual cause. As far outside as the focus may be off does not matter. What the setting says is what is burned.",
    wrong: "setting \"through\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"cut\" speed=\"5 mm/s\" power=\"95 %\" focus=\"5 mm\"",
    right: "setting \"through\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"cut\" speed=\"5 mm/s\" power=\"95 %\" focus=\"-1 mm\"",
};

pub(super) static OFF_FACE: Finding = Finding {
    rule: "focus/off-face",
    severity: Severity::Advice,
    title: "a mark is burned out of focus",
    explanation: "Engraving and scoring are finest with the focus at the upper face. A Rayleigh range off it the beam is √2 times \
        as wide and half as strong, and farther off lines get wide and pale (ISO 11146-1). That may be wanted, to fill an area \
        with fewer rows or to burn a soft line.",
    wrong: "engrave \"heron\" focus=\"4 mm\"",
    right: "engrave \"heron\" focus=\"0 mm\"",
};

pub(super) static CURL: Finding = Finding {
    rule: "focus/curled-sheet",
    severity: Severity::Warning,
    title: "the sheet is curled more than the focus bears",
    explanation: "Where a sheet rises, the focus comes to stand deeper in it. How far that may go was measured (`depth` of the \
        machine's focus: half of it each way); else it is the Rayleigh range, over which the irradiance falls to half where the \
        focus stood. That half is the limit is our judgement. `curl` is how far the highest place of the sheet \
        rises above where it would lie flat, on `sheet` of the recipe or on `stock` of the shop.",
    wrong: "sheet \"12 in\" \"12 in\" curl=\"3 mm\"",
    right: "sheet \"12 in\" \"12 in\" curl=\"0.5 mm\"",
};

/// Looks at the focus of every operation, and at the one of each kind that bears the least curl.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let focused: Vec<(&Operation, Focus)> =
        job.burning().filter_map(|(_, o)| Some((o, job.plan.focus_of(o)?))).collect();
    for (operation, focus) in focused.iter().filter(|(o, f)| f.is_stated && !o.is_trial()) {
        if operation.kind == OperationKind::Cut {
            outside_stock(job, operation, focus, sink);
        } else {
            off_face(job, operation, focus, sink);
        }
    }
    // A sheet that is tilted on purpose lies out of focus on purpose.
    let Some(curl) = job.plan.sheet.curl.filter(|_| job.plan.sheet.block.is_none()) else { return };
    let is_cut = |(operation, _): &&(&Operation, Focus)| operation.kind == OperationKind::Cut;
    // All bear the same; a cut suffers most.
    let Some((operation, focus)) = focused.iter().find(is_cut).or(focused.first()) else { return };
    if let Some(room) = focus.room.filter(|room| room.either_way < curl) {
        sink.push(curled(job, operation, &room, curl));
    }
}

/// How far the focus may be off without a word: as measured, else a Rayleigh range, else nothing.
fn spare(job: &Job) -> Mm {
    let machine = &job.plan.machine;
    let measured = machine.focus_depth.map(|depth| depth / 2.0);
    measured.or_else(|| Some(machine.waist()?.rayleigh)).unwrap_or(Mm::ZERO)
}

/// Where the focus of an operation is written: in place, else in its setting.
fn written(job: &Job, operation: &Operation) -> Span {
    let Some(setting) = operation.setting.as_ref().filter(|s| !s.overridden.contains(&"focus")) else {
        return operation.span;
    };
    let (machine, stock) = (&job.plan.machine.name, &job.plan.stock.name);
    let found = job.recipe.shop.setting_of(Some(&setting.name), machine, stock, operation.kind);
    found.map_or(operation.span, |s| s.span)
}

fn pointed(diagnostic: Diagnostic, job: &Job, operation: &Operation, label: String) -> Diagnostic {
    let at = written(job, operation);
    let diagnostic = diagnostic.at(at, label);
    if at == operation.span { diagnostic } else { diagnostic.also(operation.span, "used here") }
}

fn outside_stock(job: &Job, operation: &Operation, focus: &Focus, sink: &mut Sink) {
    let (lower, upper) = focus.usual;
    let (above, below) = (focus.at - upper, lower - focus.at);
    let (off, side) = if above > below { (above, "above the upper") } else { (below, "below the lower") };
    if off <= spare(job) {
        return;
    }
    let message = format!("the focus of this cut stands {off} {side} face of the stock");
    let diagnostic = pointed(Diagnostic::new(&OUTSIDE_STOCK, message), job, operation, format!("at {}", focus.at));
    let middle = fixed((lower / 2.0).get(), 1);
    sink.push(
        diagnostic
            .because("the beam is wide and weak in the stock: the cut may not go through, and its edge chars")
            .repair(format!("look at its sign: from {lower} to {upper} lies in the stock, `focus=\"{middle} mm\"` in its middle")),
    );
}

fn off_face(job: &Job, operation: &Operation, focus: &Focus, sink: &mut Sink) {
    // Where nothing tells how the beam widens, only a focus below the sheet is surely off.
    let known = spare(job);
    let bears = if known > Mm::ZERO { known } else { job.plan.stock.thickness };
    if focus.at.abs() <= bears {
        return;
    }
    let width = focus.widths.map_or_else(String::new, |w| {
        format!(": the beam is {} wide there, not {}", w.upper, job.plan.machine.spot)
    });
    let side = if focus.at > Mm::ZERO { "above" } else { "below" };
    let what = if operation.kind == OperationKind::Engrave { "engraving" } else { "score" };
    let message = format!("the focus of this {what} stands {} {side} the face", focus.at.abs());
    let diagnostic = Diagnostic::new(&OFF_FACE, message);
    sink.push(
        pointed(diagnostic, job, operation, format!("bears {bears}{width}"))
            .because("lines come out wide and pale, and fine detail runs together")
            .repair("set it to the face, `focus=\"0 mm\"`; if it is meant, accept this with `allow` and a reason"),
    );
}

/// How far the focus may be off: never nothing at all.
fn bears(either_way: Mm) -> String {
    const FINE: Mm = Mm::new(0.01);
    if either_way < FINE { format!("less than {FINE}") } else { either_way.to_string() }
}

fn curled(job: &Job, operation: &Operation, room: &Room, curl: Mm) -> Diagnostic {
    let at = job.recipe.sheet.as_ref().and_then(|s| s.curl.as_ref()).map_or(job.plan.stock.span, |c| c.span);
    let bears = bears(room.either_way);
    let how = if room.is_measured {
        "as measured"
    } else {
        "the Rayleigh range: beyond it half of the irradiance is lost"
    };
    let split = if room.bears_split(curl) {
        format!("; or set the focus {} higher, for half of the curl", curl / 2.0)
    } else {
        String::new()
    };
    Diagnostic::new(&CURL, format!("the sheet rises {curl}, and the focus may be off by {bears} only"))
        .at(at, "its highest place")
        .also(operation.span, format!("may be off by {bears}, {how}"))
        .because(if operation.kind == OperationKind::Cut {
            "where the sheet is highest some seams will not go through"
        } else {
            "where the sheet is highest lines come out wide and pale"
        })
        .repair(format!("weigh the sheet down all around, or turn its hollow side down and hold its edges{split}"))
}
