//! Everything that is burned into the piece, as planes of coverage.

use super::burn::dose;
use super::mask::Canvas;
use super::plane::Plane;
use super::view::View;
use crate::plan::{Burn, Operation, Plan};
use crate::shop::OperationKind;
use std::collections::BTreeMap;
use tiny_skia::FillRule;

/// Doses closer than this look the same, so that thousands of operations still make a handful of planes.
const DOSE_STEPS: f64 = 40.0;

/// Width of a score, in spots: the scorched edges make it wider than the beam.
const SCORE_SPOTS: f64 = 2.0;

/// Kerf of a stock whose kerf has not been measured, in mm: common practice for thin sheets, no source.
const USUAL_KERF: f64 = 0.2;

/// What has been burned.
pub(super) struct Marks {
    /// Coverage and dose of what is engraved and scored, the palest first.
    pub layers: Vec<Layer>,
    /// How deep it goes, softened, to catch the light on its edges.
    pub depth: Plane,
    /// Smoke and heat around it, as a dose.
    pub haze: Plane,
    /// Coverage of the cuts.
    pub cuts: Plane,
    /// Scorched rims of the cuts, as a dose.
    pub rims: Plane,
}

/// Everything burned with one dose.
pub(super) struct Layer {
    /// The dose.
    pub dose: f32,
    /// Coverage of each pixel, 0 to 255.
    pub coverage: Vec<u8>,
}

impl Marks {
    /// Draws the marks of a plan; guides leave none.
    pub fn of(plan: &Plan, view: &View) -> Self {
        let layers = layers(plan, view);
        let mut depth = Plane::new(view.width, view.height);
        let mut heat = Plane::new(view.width, view.height);
        for layer in &layers {
            depth.add(&layer.coverage, layer.dose);
            heat.add(&layer.coverage, 0.22 * layer.dose);
        }
        let cuts = cuts(plan, view);
        depth.values.iter_mut().zip(&cuts.values).for_each(|(d, c)| *d += 0.5 * c);
        Self {
            layers,
            depth: depth.blurred(view.pixels(0.12).max(0.6)),
            haze: heat.blurred(view.pixels(0.45)),
            rims: rims(&cuts, view),
            cuts,
        }
    }
}

/// Gathers engraved areas and scores by dose.
fn layers(plan: &Plan, view: &View) -> Vec<Layer> {
    let mut by_dose: BTreeMap<u32, Vec<&Operation>> = BTreeMap::new();
    for operation in plan.runs.iter().flat_map(|r| &r.operations) {
        if matches!(operation.kind, OperationKind::Engrave | OperationKind::Score) {
            let step = (dose(plan, operation, width(plan, operation)) * DOSE_STEPS).round();
            by_dose.entry(step as u32).or_default().push(operation);
        }
    }
    let draw = |(step, operations): (u32, Vec<&Operation>)| {
        let mut canvas = Canvas::new(view);
        for operation in operations {
            draw(&mut canvas, &operation.burn, width(plan, operation));
        }
        Layer { dose: (f64::from(step) / DOSE_STEPS) as f32, coverage: canvas.coverage().to_vec() }
    };
    by_dose.into_iter().map(draw).collect()
}

/// How far apart the rows of an area are, or how wide a line is, in mm.
fn width(plan: &Plan, operation: &Operation) -> f64 {
    let spot = plan.machine.spot.get();
    match operation.burn {
        Burn::Area(_) => operation.setting.as_ref().and_then(|s| s.interval).map_or(spot, crate::units::Mm::get),
        Burn::Lines(_) => spot * SCORE_SPOTS,
    }
}

fn draw(canvas: &mut Canvas, burn: &Burn, width: f64) {
    match burn {
        Burn::Area(region) => canvas.fill(&region.to_path(), FillRule::EvenOdd),
        Burn::Lines(lines) => lines.iter().for_each(|line| canvas.stroke(line, width)),
    }
}

fn cuts(plan: &Plan, view: &View) -> Plane {
    let kerf = plan.stock.kerf.map_or(USUAL_KERF, crate::units::Mm::get);
    let mut canvas = Canvas::new(view);
    for operation in plan.runs.iter().flat_map(|r| &r.operations) {
        if operation.kind == OperationKind::Cut {
            draw(&mut canvas, &operation.burn, kerf);
        }
    }
    let mut plane = Plane::new(view.width, view.height);
    plane.add(canvas.coverage(), 1.0);
    plane
}

/// A tight scorched rim and a wide faint one.
fn rims(cuts: &Plane, view: &View) -> Plane {
    let (tight, wide) = (cuts.blurred(view.pixels(0.28)), cuts.blurred(view.pixels(1.3)));
    let dose = |(t, w): (&f32, &f32)| (0.75 * t + 0.9 * w).min(0.62);
    Plane { values: tight.values.iter().zip(&wide.values).map(dose).collect(), ..tight }
}
