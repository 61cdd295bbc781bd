//! Engraving that comes too near to a cut.

use super::Job;
use super::meeting::contours_meeting;
use super::place::place;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Region, nearest, winding};
use crate::plan::Operation;
use crate::recipe::{BOARD_NAME, Figure};
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, ParamCurve, Point, Shape};

pub(super) static NEAR_CUT: Finding = Finding {
    rule: "layout/near-cut",
    severity: Severity::Warning,
    title: "something is engraved very near to a cut",
    explanation: "A sheet never lies quite where it should, and a cut chars its edge. Ink nearer to a cut than the `margin` of \
        the cut may lose its edge or look scorched. Seams of a puzzle are meant to run through pictures and are not \
        measured.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\" { size within=\"board\" }\nrun \"picture\" { engrave \"heron\" setting=\"dark\"; cut \"board\" }",
    right: "artwork \"heron\" file=\"art/heron.svg\" { size within=\"board\" margin=\"5 mm\" }\nrun \"picture\" { engrave \"heron\" setting=\"dark\"; cut \"board\" }",
};

/// Differences below this (mm) are rounding.
const ROUNDING: f64 = 0.01;

/// Measures every engraving against every cut of every run.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let cuts: Vec<Cut> = job.burning().filter_map(|(run, operation)| Cut::of(job, run, operation)).collect();
    for (_, operation) in job.burning() {
        let Some(region) = operation.burn.area() else { continue };
        let mut found: Vec<Near> = cuts.iter().filter_map(|cut| near(job, region, cut)).collect();
        found.sort_by(|a, b| a.distance.total_cmp(&b.distance));
        if !found.is_empty() {
            sink.push(too_near(job, operation, &found));
        }
    }
}

/// A cut that engraving has to keep away from.
struct Cut<'a> {
    operation: &'a Operation,
    /// Its lines, the seams of puzzles left out.
    lines: Vec<BezPath>,
    margin: Mm,
}

impl<'a> Cut<'a> {
    fn of(job: &Job, run: &crate::plan::Run, operation: &'a Operation) -> Option<Self> {
        let written = job.written(run, operation).filter(|_| operation.kind == OperationKind::Cut)?;
        let margin = written.margin.as_ref()?.value.length(job).filter(|m| m.get() > 0.0)?;
        let is_seams = |name: &str| job.recipe.figure(name).is_some_and(Figure::is_seams);
        let drawings =
            operation.figures.iter().filter(|n| !is_seams(n)).filter_map(|n| Some(&job.figures.get(n)?.drawing));
        let lines = drawings
            .flat_map(|d| d.ink.contours().iter().chain(d.lines.iter().map(|l| &l.path)))
            .cloned()
            .collect::<Vec<_>>();
        (!lines.is_empty()).then_some(Self { operation, lines, margin })
    }
}

/// Where an engraving comes too near to a cut.
struct Near<'a> {
    cut: &'a Cut<'a>,
    /// In mm; zero where the cut runs through it.
    distance: f64,
    /// The place on the engraving.
    at: Point,
}

fn near<'a>(job: &Job, region: &Region, cut: &'a Cut<'a>) -> Option<Near<'a>> {
    let margin = cut.margin.get();
    let close: Vec<BezPath> = contours_meeting(region, &cut.lines, margin).into_iter().cloned().collect();
    let found = nearest(&close, &cut.lines)?;
    let through =
        || cut.lines.iter().filter_map(|l| Some(l.segments().next()?.eval(0.5))).find(|p| winds(&close, *p));
    let (distance, at) = match through() {
        Some(point) => (0.0, point),
        None => (found.distance.get(), found.on_a),
    };
    let is_near = distance < margin - ROUNDING && !is_outside_board(job, region, cut, distance);
    is_near.then_some(Near { cut, distance, at })
}

/// Whether a point lies in the ink. A contour that no segment comes near to cannot go round one, so those left out do
/// not matter.
fn winds(contours: &[BezPath], point: Point) -> bool {
    let about = contours.iter().filter(|c| c.bounding_box().contains(point));
    about.map(|c| winding(c, point)).sum::<i32>() != 0
}

/// Whether the ink crosses the board's own outline: then it sticks out of the board, which is another finding.
fn is_outside_board(job: &Job, region: &Region, cut: &Cut, distance: f64) -> bool {
    let cuts_board = cut.operation.figures.iter().any(|n| n == BOARD_NAME);
    let sticks_out = |board: &Region| region.farthest_outside(board).is_some_and(|(_, by)| by.get() > ROUNDING);
    cuts_board && distance < ROUNDING && job.plan.board.as_ref().is_some_and(sticks_out)
}

fn too_near(job: &Job, operation: &Operation, found: &[Near]) -> Diagnostic {
    let worst = &found[0];
    let figure = job.figure_at(&operation.figures, worst.at);
    let name = figure.unwrap_or(&operation.name);
    let shown = fixed(worst.distance, 2);
    let (message, consequence) = if worst.distance < ROUNDING {
        (
            format!("a cut runs through or along what `{name}` engraves"),
            "the cut takes a part of it away, and chars its edge".to_owned(),
        )
    } else {
        (
            format!("`{name}` is engraved {shown} mm from a cut"),
            format!("a sheet that lies {shown} mm off loses that edge to the cut, and its char reaches into it"),
        )
    };
    let mut diagnostic =
        Diagnostic::new(&NEAR_CUT, message).at(operation.span, format!("nearest {}", place(worst.at)));
    for near in found {
        let name = job.figure_at(&operation.figures, near.at).unwrap_or(&operation.name);
        let margin = near.cut.margin;
        let label = format!("`{name}` is {} mm from this cut, whose margin is {margin}", fixed(near.distance, 2));
        diagnostic = diagnostic.also(near.cut.operation.span, label);
    }
    if let Some(part) = figure.and_then(|f| job.element_at(f, worst.at)) {
        diagnostic = diagnostic.in_artwork(part);
    }
    diagnostic
        .because(consequence)
        .repair("make it smaller or move it; write `margin=\"0 mm\"` on the cut if it is meant to reach the edge")
}
