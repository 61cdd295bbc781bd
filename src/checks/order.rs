//! Burning in a part that has already been cut loose.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Corners, FillRule, Region};
use crate::plan::{Burn, Operation, Run, SeamCut};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, Point, Rect};
use std::cell::OnceCell;

pub(super) static CUT_BEFORE_ENGRAVE: Finding = Finding {
    rule: "order/cut-before-engrave",
    severity: Severity::Warning,
    title: "something is marked on a part after it was cut loose",
    explanation: "A part that has been cut loose may drop, tilt or be shifted by the air. What is engraved or scored on it then \
        lies askew or out of focus. Operations are burned in the order in which they are written.",
    wrong: "run \"all\" { cut \"board\"; engrave \"heron\" }",
    right: "run \"all\" { engrave \"heron\"; cut \"board\" }",
};

pub(super) static OUTER_BEFORE_INNER: Finding = Finding {
    rule: "order/outer-before-inner",
    severity: Severity::Warning,
    title: "an outline is cut before what lies inside it",
    explanation: "Within one operation, inner lines are cut before those around them. Between operations and runs the recipe \
        gives the order: a line that is cut, or anything that is burned in a later run, inside an outline that has been \
        cut already, is burned on a loose piece.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"separate\" { cut \"board\"; cut \"pieces\" }",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"separate\" { cut \"pieces\"; cut \"board\" }",
};

pub(super) static MARKED_LATE: Finding = Finding {
    rule: "order/marked-late",
    severity: Severity::Advice,
    title: "something is engraved or scored after coarser work on the same sheet",
    explanation: "Most jobs engrave first, then score, then cut (common practice, no source). A cut lets go of what holds a \
        sheet flat, so that it may lift or shift, and what is marked afterwards is out of focus or out of place, even \
        beside the parts. Engraving blows smoke and dust into lines that were scored before, and darkens their edges. The \
        order is that of the recipe; where it is meant, it may stay.",
    wrong: "run \"all\" { score \"sun\"; engrave \"heron\"; cut \"board\" }",
    right: "run \"all\" { engrave \"heron\"; score \"sun\"; cut \"board\" }",
};

/// What lies less than this (mm) inside a cut lies on it: the two touch, and nothing is burned on the loose part.
const ON_THE_CUT: f64 = 0.05;

/// Looks for burning inside what an earlier cut has freed.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut loose: Vec<Loose> = Vec::new();
    let mut done: Vec<(&Run, &Operation)> = Vec::new();
    for (run, operation) in job.burning() {
        // That a sheet is turned over after a cut is told of the run.
        let lies_as_before = |other: &Run| other.lay.turned == run.lay.turned;
        if let Some(by) = loose.iter().filter(|l| lies_as_before(l.run)).find(|l| l.holds(operation)) {
            sink.push(too_late(by, run, operation));
        } else if let Some((_, coarser)) = done
            .iter()
            .find(|(other, o)| lies_as_before(other) && operation.kind < o.kind)
            // A test card is labelled first, on purpose.
            .filter(|_| !operation.is_trial())
        {
            sink.push(marked_late(coarser, operation));
        }
        if !job.is_marks(operation) {
            done.push((run, operation));
        }
        if operation.kind == OperationKind::Cut {
            loose.extend(Loose::by(run, operation));
        }
    }
}

/// What an operation cuts loose: the insides of its closed lines.
struct Loose<'a> {
    run: &'a Run,
    operation: &'a Operation,
    lines: Vec<&'a BezPath>,
    bounds: Rect,
    /// Worked out when something later lies in the same box.
    area: OnceCell<Region>,
}

impl<'a> Loose<'a> {
    fn by(run: &'a Run, operation: &'a Operation) -> Option<Self> {
        // What bridges hold is not loose.
        if operation.manner.tabs.is_some() {
            return None;
        }
        // Not the strokes: where outlines share an edge, not each of them is a closed stroke.
        let lines: Vec<&BezPath> = operation.clean_up.outlines.iter().collect();
        let bounds = operation.bounds.filter(|_| !lines.is_empty())?;
        Some(Self { run, operation, lines, bounds, area: OnceCell::new() })
    }

    fn area(&self) -> &Region {
        self.area.get_or_init(|| inside(&self.lines).offset(Mm::new(-ON_THE_CUT), Corners::Round))
    }

    fn holds(&self, operation: &Operation) -> bool {
        let meets = operation.bounds.is_some_and(|b| b.overlaps(self.bounds));
        meets
            && match &operation.burn {
                Burn::Dots(dots) => !dots.region.overlap(self.area()).is_empty(),
                Burn::Area(region) => !region.overlap(self.area()).is_empty(),
                Burn::Lines(lines) => lines.iter().flat_map(samples).any(|p| self.area().contains(p)),
            }
    }
}

/// The area inside closed lines.
fn inside(lines: &[&BezPath]) -> Region {
    let each: Vec<Region> = lines.iter().filter_map(|l| Region::from_path(l, FillRule::NonZero).ok()).collect();
    Region::union(&each.iter().collect::<Vec<_>>())
}

/// Points of a line by which it is known where it lies: its ends and the middle of its middle segment.
fn samples(line: &BezPath) -> impl Iterator<Item = Point> + use<> {
    let middle = line.segments().nth(line.segments().count() / 2).map(|s| s.eval(0.5));
    let start = line.segments().next().map(|s| s.start());
    let end = line.segments().last().map(|s| s.end());
    [middle, start, end].into_iter().flatten()
}

fn too_late(by: &Loose, run: &Run, operation: &Operation) -> Diagnostic {
    let is_same_run = by.run.number == run.number;
    let rule = if is_same_run && operation.kind != OperationKind::Cut {
        &CUT_BEFORE_ENGRAVE
    } else {
        &OUTER_BEFORE_INNER
    };
    let message = format!("this {} comes after the cut around it", operation.kind);
    let is_apart = |o: &Operation| matches!(o.seams, Some(SeamCut::PerPiece { .. }));
    let repair = if is_apart(by.operation) || is_apart(operation) {
        // Pieces that are pulled apart lie across the board's outline, whichever is cut first.
        "leave out the cut of the board: pieces that are cut one by one have its outline themselves".to_owned()
    } else if is_same_run {
        "write the line before that cut".to_owned()
    } else {
        format!("do it in run `{}` or an earlier one, or move the cut to run `{}`", by.run.name, run.name)
    };
    let loose = if is_same_run { "cuts it loose before" } else { "cuts it loose in an earlier run" };
    Diagnostic::new(rule, message)
        .at(operation.span, "burned on a part that is already loose")
        .also(by.operation.span, loose)
        .because(
            "a loose part may have dropped, tilted or moved, and what is burned on it lies askew or out of focus",
        )
        .repair(repair)
}

fn marked_late(coarser: &Operation, operation: &Operation) -> Diagnostic {
    let because = if coarser.kind == OperationKind::Cut {
        "a sheet that has been cut into may have lifted or shifted, and what is marked then lies askew or out of focus"
    } else {
        "smoke and dust of the engraving settle in the scored lines and darken their edges"
    };
    let done = if coarser.kind == OperationKind::Cut { "cuts" } else { "scores" };
    Diagnostic::new(&MARKED_LATE, format!("this {} comes after a {}", operation.kind, coarser.kind))
        .at(operation.span, "marks a sheet that was worked on before")
        .also(coarser.span, format!("{done} before"))
        .because(because)
        .repair("engrave first, then score, then cut; where this order is meant, leave it")
}
