//! Ink, and gaps in it, finer than the beam.

use super::Job;
use super::place::{MOST_NAMED, counted, places};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{MOST_PLACES, Region, Thin, sharp_tips, thin_gaps, thin_places};
use crate::layout::Frames;
use crate::mending::{FaultKind, is_dot};
use crate::plan::{Burn, Operation};
use crate::units::number::fixed;
use crate::units::{Degrees, Mm};
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

pub(super) static GAP_CLOSES: Finding = Finding {
    rule: "burn/gap-closes",
    severity: Severity::Advice,
    title: "a gap in engraved ink is narrower than the spot of the beam",
    explanation: "The beam burns half a spot past the edge of the ink. A gap that is narrower than the spot burns shut from both \
        sides, and so does a small hole: lines run together, and the eye of a letter fills.",
    wrong: "shape \"bars\" { rectangle \"20 mm\" \"3 mm\"; rectangle \"20 mm\" \"3 mm\" down=\"3.05 mm\" }\nrun \"picture\" { engrave \"bars\" setting=\"dark\" }",
    right: "shape \"bars\" { rectangle \"20 mm\" \"3 mm\"; rectangle \"20 mm\" \"3 mm\" down=\"3.4 mm\" }\nrun \"picture\" { engrave \"bars\" setting=\"dark\" }",
};

/// So much of a tip (mm) is finer than the spot before it is worth a word.
const LEAST_TIP: f64 = 0.5;

/// So long (mm) is a gap that is narrower than the spot before it is worth a word.
const LEAST_GAP: f64 = 0.5;

/// Looks for walls, islands and tips of ink that are thinner than the spot, and for gaps that are narrower.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let Some(spot) = job.spot() else { return };
    let operations: Vec<&Operation> = job.burning().map(|(_, o)| o).collect();
    let found: Vec<Vec<Diagnostic>> =
        operations.into_par_iter().map(|operation| of_one(job, operation, spot)).collect();
    found.into_iter().flatten().for_each(|diagnostic| sink.push(diagnostic));
}

fn of_one(job: &Job, operation: &Operation, spot: Mm) -> Vec<Diagnostic> {
    let Burn::Area(region) = &operation.burn else { return Vec::new() };
    let shares = shares(job, operation, region, spot);
    let measured: Vec<Arc<Fine>> = shares.into_par_iter().map(|share| fine_in(job, &share, spot)).collect();
    // Specks of an artwork are told of it, and of a figure that is a dot that it is one.
    let dots = operation.figures.iter().filter_map(|name| job.figures.frame(name)).filter(|f| is_dot(*f, spot));
    let dots: Vec<Rect> = dots.map(|frame| frame.inflate(spot.get(), spot.get())).collect();
    let is_new = |thin: &Thin| {
        !job.is_told(&operation.figures, FaultKind::Specks, thin.at)
            && !dots.iter().any(|dot| dot.contains(thin.at))
    };
    let thin = thinnest(measured.iter().flat_map(|fine| fine.thin.iter().copied()).filter(is_new));
    let gaps = thinnest(measured.iter().flat_map(|fine| fine.gaps.iter().copied()).filter(is_new));
    let thin = (!thin.is_empty()).then(|| finer_than_spot(job, operation, spot, &thin));
    let gaps = (!gaps.is_empty()).then(|| gap_closes(job, operation, spot, &gaps));
    thin.into_iter().chain(gaps).collect()
}

fn thinnest(places: impl Iterator<Item = Thin>) -> Vec<Thin> {
    let mut thin: Vec<Thin> = places.collect();
    thin.sort_by(|a, b| a.width.get().total_cmp(&b.width.get()));
    thin.truncate(MOST_PLACES);
    thin
}

/// What is finer than the spot in an area.
#[derive(Debug)]
struct Fine {
    thin: Vec<Thin>,
    gaps: Vec<Thin>,
}

/// What is finer than the spot in a share, measured once for all builds in which it stays the same.
fn fine_in(job: &Job, share: &Region, spot: Mm) -> Arc<Fine> {
    let start = MadeFrom::kind("finer than the spot").number(spot.get());
    let made_from = share.contours().iter().fold(start, MadeFrom::path);
    job.cache.keep(made_from, || {
        let (thin, gaps) = rayon::join(|| thin_and_tips(share, spot), || gaps(share, spot));
        Fine { thin, gaps }
    })
}

/// Gaps that are missed when they are gone: a short one is a dimple.
fn gaps(share: &Region, spot: Mm) -> Vec<Thin> {
    let mut gaps = thin_gaps(share, spot);
    gaps.retain(|gap| gap.over.get() >= LEAST_GAP);
    gaps
}

/// Thin walls, and tips that are thin over a way: a tip counts where it is half as wide as the spot.
fn thin_and_tips(share: &Region, spot: Mm) -> Vec<Thin> {
    let below = 2.0 * libm::asin((0.5 * spot.get() / LEAST_TIP).min(1.0));
    let tips = sharp_tips(share, spot, Degrees::new(below.to_degrees()));
    let tips = tips.into_iter().map(|tip| Thin { at: tip.at, width: spot / 2.0, over: tip.length });
    thin_places(share, spot).into_iter().chain(tips).collect()
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

fn finer_than_spot(job: &Job, operation: &Operation, spot: Mm, thin: &[Thin]) -> Diagnostic {
    let message = format!("this {} has {} finer than the spot of {spot}", operation.kind, found(thin));
    let label = format!("the finest is {} wide: {}", shown(thin[0].width), places(&points(thin)));
    let rows = operation.setting.as_ref().and_then(|s| s.interval).unwrap_or(spot);
    let diagnostic = Diagnostic::new(&FINER_THAN_SPOT, message).at(operation.span, label);
    in_artwork(job, operation, thin, diagnostic)
        .because(format!(
            "it comes out {spot} wide where a row meets it, and is missing between rows {rows} apart"
        ))
        .repair(
            "make the figure larger, or thicken it with an `offset`; slivers left where shapes overlap may stay",
        )
}

fn gap_closes(job: &Job, operation: &Operation, spot: Mm, gaps: &[Thin]) -> Diagnostic {
    let message = format!("this {} has gaps narrower than the spot of {spot} in {}", operation.kind, found(gaps));
    let label = format!("the narrowest is {} wide: {}", shown(gaps[0].width), places(&points(gaps)));
    let diagnostic = Diagnostic::new(&GAP_CLOSES, message).at(operation.span, label);
    in_artwork(job, operation, gaps, diagnostic)
        .because("the beam burns half a spot past both edges, and the gap is gone")
        .repair(
            "make the figure larger or the gap wider; gaps that nobody will miss may stay, or go with a `weld`",
        )
}

fn found(places: &[Thin]) -> String {
    let at_least = if places.len() < MOST_PLACES { "" } else { "at least " };
    format!("{at_least}{}", counted(places.len(), "place", "places"))
}

fn points(places: &[Thin]) -> Vec<Point> {
    places.iter().map(|t| t.at).collect()
}

/// Names the elements that the first places lie on.
fn in_artwork(job: &Job, operation: &Operation, places: &[Thin], mut diagnostic: Diagnostic) -> Diagnostic {
    for place in points(places).iter().take(MOST_NAMED) {
        let figure = job.figure_at(&operation.figures, *place);
        if let Some(part) = figure.and_then(|f| job.element_at(f, *place)) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    diagnostic
}

/// A width in words; one that rounds to nothing is still one.
fn shown(width: Mm) -> String {
    match fixed(width.get(), 3).as_str() {
        "0" => "under 0.001 mm".to_owned(),
        text => format!("{text} mm"),
    }
}
