//! Ink that is finer than the beam.

use super::Job;
use super::place::{MOST_NAMED, counted, places};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{MOST_PLACES, Region, Thin, thin_places};
use crate::layout::Frames;
use crate::plan::{Burn, Operation};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Point, Rect, Shape};
use rayon::prelude::*;
use std::sync::Arc;

pub(super) static FINER_THAN_SPOT: Finding = Finding {
    rule: "burn/finer-than-spot",
    severity: Severity::Advice,
    title: "engraved ink is finer than the spot of the beam",
    explanation: "Nothing can be burned narrower than the spot. Finer ink comes out as wide as the spot where a row meets it, \
        and is missing where it lies between two rows.",
    wrong: "lettering \"note\" \"with love\" font=\"fonts/a.ttf\" height=\"0.8 mm\"\nrun \"picture\" { engrave \"note\" setting=\"dark\" }",
    right: "lettering \"note\" \"with love\" font=\"fonts/a.ttf\" height=\"4 mm\"\nrun \"picture\" { engrave \"note\" setting=\"dark\" }",
};

/// Looks for walls and islands of ink that are thinner than the spot.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let spot = job.plan.machine.spot;
    let operations: Vec<&Operation> = job.burning().map(|(_, o)| o).collect();
    let found: Vec<Option<Diagnostic>> =
        operations.into_par_iter().map(|operation| one(job, operation, spot)).collect();
    found.into_iter().flatten().for_each(|diagnostic| sink.push(diagnostic));
}

fn one(job: &Job, operation: &Operation, spot: Mm) -> Option<Diagnostic> {
    let Burn::Area(region) = &operation.burn else { return None };
    let shares = shares(job, operation, region, spot);
    let thin: Vec<Arc<Vec<Thin>>> = shares.into_par_iter().map(|share| thin_in(job, &share, spot)).collect();
    let mut thin: Vec<Thin> = thin.iter().flat_map(|places| places.iter().copied()).collect();
    thin.sort_by(|a, b| a.width.get().total_cmp(&b.width.get()));
    thin.truncate(MOST_PLACES);
    (!thin.is_empty()).then(|| report(job, operation, spot, &thin))
}

/// The thin places of a share, which are measured once for all builds in which it stays the same.
fn thin_in(job: &Job, share: &Region, spot: Mm) -> Arc<Vec<Thin>> {
    let start = MadeFrom::kind("thin places").number(spot.get());
    let made_from = share.contours().iter().fold(start, MadeFrom::path);
    job.cache.keep(made_from, || thin_places(share, spot))
}

/// What each figure brings to an area, where they all lie well apart: then no wall has to do with two of them,
/// and an edit to one leaves the others as measured. Else the whole area.
fn shares(job: &Job, operation: &Operation, region: &Region, spot: Mm) -> Vec<Region> {
    let room = 2.0 * spot.get();
    let frames = operation.figures.iter().filter_map(|name| job.figures.frame(name));
    let frames: Vec<Rect> = frames.map(|frame| frame.inflate(room, room)).collect();
    let mut shares = vec![Vec::new(); frames.len()];
    for contour in region.contours() {
        let bounds = contour.bounding_box().inflate(room, room);
        let mut owners = frames.iter().enumerate().filter(|(_, frame)| frame.overlaps(bounds));
        match (owners.next(), owners.next()) {
            (Some((owner, _)), None) => shares[owner].push(contour.clone()),
            _ => return vec![region.clone()],
        }
    }
    shares.into_iter().map(Region::from_clean_contours).collect()
}

fn report(job: &Job, operation: &Operation, spot: Mm, thin: &[Thin]) -> Diagnostic {
    let at_least = if thin.len() < MOST_PLACES { "" } else { "at least " };
    let found = counted(thin.len(), "place", "places");
    let message = format!("this {} has {at_least}{found} finer than the spot of {spot}", operation.kind);
    let at: Vec<Point> = thin.iter().map(|t| t.at).collect();
    let label = format!("the finest is {} wide: {}", shown(thin[0].width), places(&at));
    let mut diagnostic = Diagnostic::new(&FINER_THAN_SPOT, message).at(operation.span, label);
    for place in at.iter().take(MOST_NAMED) {
        let figure = job.figure_at(&operation.figures, *place);
        if let Some(part) = figure.and_then(|f| job.element_at(f, *place)) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    let rows = operation.setting.as_ref().and_then(|s| s.interval).unwrap_or(spot);
    diagnostic
        .because(format!(
            "it comes out {spot} wide where a row meets it, and is missing between rows {rows} apart"
        ))
        .repair(
            "make the figure larger, or thicken it with an `offset`; slivers left where shapes overlap may stay",
        )
}

/// A width in words; one that rounds to nothing is still one.
fn shown(width: Mm) -> String {
    match fixed(width.get(), 3).as_str() {
        "0" => "under 0.001 mm".to_owned(),
        text => format!("{text} mm"),
    }
}
