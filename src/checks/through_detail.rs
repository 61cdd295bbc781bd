//! Seams of a puzzle that run through letters and through small parts of a picture.

use super::Job;
use super::meeting::contours_meeting;
use crate::diagnostics::place::place;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Region, nearest};
use crate::plan::Operation;
use crate::recipe::{Figure, FigureKind};
use crate::shop::OperationKind;
use kurbo::{BezPath, Point, Shape};

pub(super) static THROUGH_DETAIL: Finding = Finding {
    rule: "puzzle/through-detail",
    severity: Severity::Advice,
    title: "a seam runs through a letter or a small part of the picture",
    explanation: "A seam takes its width out of what is burned there, and the two halves never meet again exactly. Large areas \
        bear that; letters and parts below a few millimetres are spoiled, and are the hardest to lay.",
    wrong: "lettering \"date\" \"14 August\" font=\"fonts/alegreya-medium.ttf\" height=\"9 mm\" { place centre=\"board\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
    right: "lettering \"date\" \"14 August\" font=\"fonts/alegreya-medium.ttf\" height=\"9 mm\" { place centre=\"board\" up=\"12 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
};

/// A part of a picture whose box is smaller than this (mm) both ways is a detail. A judgement of this project.
const DETAIL: f64 = 6.0;

/// Distances below this (mm) are none.
const TOUCHES: f64 = 1e-3;

/// So many places are named.
const NAMED: usize = 3;

/// Looks for seams that are cut through what is engraved.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let cuts = job.burning().filter(|(_, o)| o.kind == OperationKind::Cut);
    let names = cuts.flat_map(|(_, o)| &o.figures);
    for seams in names.filter(|n| job.recipe.figure(n).is_some_and(Figure::is_seams)) {
        let Some(placed) = job.figures.get(seams) else { continue };
        let lines: Vec<BezPath> = placed.drawing.lines.iter().map(|l| l.path.clone()).collect();
        for (_, engraving) in job.burning().filter(|(_, o)| o.kind == OperationKind::Engrave) {
            for figure in &engraving.figures {
                let hit = crossed(job, figure, &lines);
                if !hit.is_empty() {
                    sink.push(report(job, seams, (engraving, figure), &hit));
                }
            }
        }
    }
}

/// Where the lines run through parts of a figure that should stay whole.
fn crossed(job: &Job, figure: &str, lines: &[BezPath]) -> Vec<Point> {
    let Some(placed) = job.figures.get(figure) else { return Vec::new() };
    let ink = &placed.drawing.ink;
    let close = contours_meeting(ink, lines, 0.0);
    let is_small = |c: &&BezPath| is_lettering(job, figure) || c.bounding_box().size().max_side() < DETAIL;
    let met = |c: &BezPath| {
        let near = nearest(std::slice::from_ref(c), lines)?;
        (near.distance.get() < TOUCHES).then_some(near.on_a)
    };
    let outward = outward(ink);
    close.into_iter().filter(|c| c.area() * outward > 0.0).filter(is_small).filter_map(met).collect()
}

/// The sign of the area of outer contours: the largest is one.
fn outward(ink: &Region) -> f64 {
    let areas = ink.contours().iter().map(Shape::area);
    areas.max_by(|a, b| a.abs().total_cmp(&b.abs())).map_or(0.0, f64::signum)
}

fn is_lettering(job: &Job, figure: &str) -> bool {
    matches!(job.recipe.figure(figure).map(|f| &f.kind), Some(FigureKind::Lettering(_)))
}

fn report(job: &Job, seams: &str, (engraving, figure): (&Operation, &str), hit: &[Point]) -> Diagnostic {
    let (one, many) =
        if is_lettering(job, figure) { ("letter", "letters") } else { ("small part", "small parts") };
    let parts = if hit.len() == 1 { format!("a {one}") } else { format!("{} {many}", hit.len()) };
    let places: Vec<String> = hit.iter().take(NAMED).map(|&at| place(at)).collect();
    let more = if hit.len() > NAMED { " and elsewhere" } else { "" };
    let diagnostic =
        Diagnostic::new(&THROUGH_DETAIL, format!("the seams of `{seams}` run through {parts} of `{figure}`"))
            .at(engraving.span, format!("{}{more}", places.join("; ")));
    let written = job.recipe.figure(seams).map(|f| f.head);
    written
        .into_iter()
        .fold(diagnostic, |d, head| d.also(head, "these seams"))
        .because("the cut takes its width out of each, and the halves lie on two pieces")
        .repair(format!("try another `seed`, or move `{figure}`"))
}
