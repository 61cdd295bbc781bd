//! Offsets that are scored or cut within the spot of something else.

use super::Job;
use super::place::{counted, place};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, Region, Thin, nearest, thin_gaps, thin_places};
use crate::plan::{Operation, Run};
use crate::recipe::FigureKind;
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, Point, Rect, Shape};
use std::collections::BTreeSet;

pub(super) static NEARER_THAN_SPOT: Finding = Finding {
    rule: "offset/nearer-than-spot",
    severity: Severity::Advice,
    title: "an offset comes nearer to something than the spot of the beam",
    explanation: "The line of an offset is as wide as the spot. Where it comes nearer than that to itself, across a neck or a bay, \
        or to another figure that is burned, the two cannot be told apart on the piece.",
    wrong: "offset \"rim\" of=\"sun\" by=\"0.05 mm\"\nrun \"picture\" { engrave \"sun\" setting=\"dark\"; score \"rim\" }",
    right: "offset \"rim\" of=\"sun\" by=\"0.5 mm\"\nrun \"picture\" { engrave \"sun\" setting=\"dark\"; score \"rim\" }",
};

/// Lines nearer than this (mm) touch or cross: whether they should is not a question of the spot.
const TOUCHING: f64 = 0.001;

/// Looks at every offset that is scored or cut, once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut done = BTreeSet::new();
    for (run, operation) in job.burning().filter(|(_, o)| o.kind != OperationKind::Engrave) {
        for name in &operation.figures {
            let is_offset = matches!(job.recipe.figure(name).map(|f| &f.kind), Some(FigureKind::Offset(_)));
            if is_offset && done.insert(name.as_str()) {
                of_one(job, run, operation, name, sink);
            }
        }
    }
}

fn of_one(job: &Job, run: &Run, operation: &Operation, name: &str, sink: &mut Sink) {
    let Some(placed) = job.figures.get(name) else { return };
    let Some(spot) = job.spot() else { return };
    let itself = own_places(job, &placed.drawing.ink, spot);
    let others = others(job, name, &placed.drawing, spot);
    if itself.is_empty() && others.is_empty() {
        return;
    }
    let mut said = Vec::new();
    if let Some(worst) = itself.first() {
        let count = counted(itself.len(), "place", "places");
        said.push(format!(
            "nearest to itself {}, of {count}: {} mm",
            place(worst.at),
            fixed(worst.width.get(), 3)
        ));
    }
    if let Some((other, distance, at)) = others.first() {
        said.push(format!("nearest to `{other}` {}: {} mm", place(*at), fixed(distance.get(), 3)));
    }
    let whom = match (itself.is_empty(), &others[..]) {
        (true, [(other, ..)]) => format!("`{other}`"),
        (true, _) => format!("{} other figures", others.len()),
        (false, []) => "itself".to_owned(),
        (false, _) => format!("itself and {}", counted(others.len(), "other figure", "other figures")),
    };
    sink.push(
        Diagnostic::new(
            &NEARER_THAN_SPOT,
            format!("the offset `{name}` comes nearer to {whom} than the spot of {spot}"),
        )
        .at(job.named_at(run, operation, name), said.join("; "))
        .because("both burn into one line there, darker and wider than either")
        .repair("choose another distance, or move what it comes too near to"),
    );
}

/// Where the outline of an offset comes near to itself, the nearest first.
fn own_places(job: &Job, ink: &Region, spot: Mm) -> Vec<Thin> {
    let start = MadeFrom::kind("offset near itself").number(spot.get());
    let found = job.cache.keep(ink.contours().iter().fold(start, MadeFrom::path), || {
        let mut both = [thin_places(ink, spot), thin_gaps(ink, spot)].concat();
        both.sort_by(|a, b| a.width.get().total_cmp(&b.width.get()));
        both
    });
    found.to_vec()
}

/// Other figures that are burned within the spot, the nearest first: name, distance, place.
fn others(job: &Job, name: &str, drawing: &Drawing, spot: Mm) -> Vec<(String, Mm, Point)> {
    let lines = drawing.ink.contours();
    let Some(bounds) = drawing.ink.bounds().map(|b| b.inflate(spot.get(), spot.get())) else { return Vec::new() };
    let burned: BTreeSet<&String> = job.burning().flat_map(|(_, o)| &o.figures).filter(|n| *n != name).collect();
    let near = |other: &&String| {
        let placed = job.figures.get(other)?;
        let close = |p: &&BezPath| overlaps(p.bounding_box(), bounds);
        let outlines = placed.drawing.ink.contours().iter().chain(placed.drawing.lines.iter().map(|l| &l.path));
        let found = nearest(lines, &outlines.filter(close).cloned().collect::<Vec<_>>())?;
        let is_near = TOUCHING < found.distance.get() && found.distance < spot;
        is_near.then(|| ((*other).clone(), found.distance, found.on_a))
    };
    let mut found: Vec<_> = burned.iter().filter_map(near).collect();
    found.sort_by(|a, b| a.1.get().total_cmp(&b.1.get()));
    found
}

fn overlaps(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}
