//! Checks of the finished plan: what would go wrong at the machine.
//!
//! In: a [`Job`] (the plan, and the figures and recipe it came from, for places). Out: findings.
//!
//! A check is one file: the rule, the function that looks, and its tests. It is listed in [`CHECKS`] and has a
//! folder under `tests/cases` with a recipe that raises it.
//!
//! Invariant: a check only looks. It changes nothing, and no check depends on another having run.

mod outside;

use crate::diagnostics::{ArtworkPlace, Finding, Sink};
use crate::figures::Figures;
use crate::geometry::Part;
use crate::plan::Plan;
use crate::recipe::{FigureKind, Recipe};
use kurbo::{ParamCurveNearest, Point, Shape};
use rayon::prelude::*;

/// What a check looks at.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The figures on the sheet, with the parts of artwork they were made of.
    pub figures: &'a Figures,
    /// The recipe, for the places where things are written.
    pub recipe: &'a Recipe,
}

impl Job<'_> {
    /// The element of an artwork figure that lies nearest to a point of the sheet.
    pub fn element_at(&self, figure: &str, at: Point) -> Option<ArtworkPlace> {
        let FigureKind::Artwork(artwork) = &self.recipe.figure(figure)?.kind else { return None };
        let parts = self.figures.get(figure)?.drawing.parts.iter();
        let distance = |part: &Part| {
            let about = part.path.bounding_box().inflate(NEAR, NEAR);
            let near = about.contains(at);
            let reach = |s: kurbo::PathSeg| s.nearest(at, 1e-3).distance_sq;
            if near { part.path.segments().map(reach).fold(f64::INFINITY, f64::min) } else { f64::INFINITY }
        };
        let nearest = parts.filter(|p| p.element.is_some()).min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
        let element = nearest.element.as_ref()?;
        Some(ArtworkPlace {
            file: artwork.file.text.clone(),
            element: Some(element.name.clone()),
            position: Some((element.line, element.column)),
            at: Some(at),
        })
    }
}

/// Parts whose box is farther from a point than this (mm) are not looked at when it is asked what lies there.
const NEAR: f64 = 1.0;

/// One check.
pub type Check = fn(&Job, &mut Sink);

/// All checks, in the order of the work: what it is made of, where it lies, what is burned, in which order.
static CHECKS: &[Check] = &[outside::check];

/// The rules of this floor.
pub static RULES: &[&Finding] = &[&outside::OUTSIDE_BOARD, &outside::OUTSIDE_SHEET, &outside::OUTSIDE_BED];

/// Runs all checks; their findings come in the order of [`CHECKS`], whichever finishes first.
pub fn check(job: &Job, sink: &mut Sink) {
    let results: Vec<Sink> = CHECKS
        .par_iter()
        .map(|check| {
            let mut own = Sink::new();
            check(job, &mut own);
            own
        })
        .collect();
    for own in results {
        sink.append(own);
    }
}
