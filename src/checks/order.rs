//! Burning in a part that has already been cut loose.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Corners, FillRule, Region};
use crate::plan::{Burn, Operation, Run};
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

/// What lies less than this (mm) inside a cut lies on it: the two touch, and nothing is burned on the loose part.
const ON_THE_CUT: f64 = 0.05;

/// Looks for burning inside what an earlier cut has freed.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut loose: Vec<Loose> = Vec::new();
    for (run, operation) in job.burning() {
        // That a sheet is turned over after a cut is told of the run.
        let lies_as_before = |l: &&Loose| l.run.lay.turned == run.lay.turned;
        if let Some(by) = loose.iter().filter(lies_as_before).find(|l| l.holds(operation)) {
            sink.push(too_late(by, run, operation));
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
    let repair = if is_same_run {
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
