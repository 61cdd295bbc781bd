//! Everything that is burned into the piece, as planes of coverage.

use super::burn::dose;
use super::mask::{Canvas, DotStencil, Stencil};
use super::shown::cut_width;
use super::view::{Strip, View};
use crate::cache::MadeFrom;
use crate::plan::{Burn, Operation, Plan};
use crate::raster::Plane;
use crate::shop::OperationKind;
use crate::units::Mm;
use std::collections::BTreeMap;

/// Doses closer than this look the same, so that thousands of operations still make a handful of planes.
const DOSE_STEPS: f64 = 40.0;

/// Width of a score, in spots: the scorched edges make it wider than the beam.
const SCORE_SPOTS: f64 = 2.0;

/// Width of the thinnest line that is seen as drawn, in pixels.
const LEAST_LINE: f64 = 1.6;

/// Kerf of a stock whose kerf has not been measured, in mm: common practice for thin sheets, no source.
const USUAL_KERF: Mm = Mm::new(0.2);

/// Softening reaches about this many deviations far; what lies beyond cannot be seen.
const BELL: f32 = 3.0;

/// Deviations of softened marks, in mm: edges that catch the light, smoke, and the scorched rims of cuts.
const EDGE: f64 = 0.12;
const SMOKE: f64 = 0.45;
const TIGHT_RIM: f64 = 0.28;
const WIDE_RIM: f64 = 1.3;

/// Everything that is burned, ready to be drawn.
pub(super) struct Stencils {
    /// Engraved areas and scores by dose, in steps, the palest first.
    layers: Vec<(u32, Shapes)>,
    cuts: Vec<Stencil>,
}

/// What is burned with one dose.
#[derive(Default)]
struct Shapes {
    stencils: Vec<Stencil>,
    photos: Vec<DotStencil>,
}

/// What has been burned in a strip.
pub(super) struct Marks {
    /// Coverage and dose of what is engraved and scored, the palest first.
    pub layers: Vec<Layer>,
    /// How deep it goes, softened, to catch the light on its edges; `None` where there is nothing.
    pub depth: Option<Plane>,
    /// Smoke and heat around it, as a dose.
    pub haze: Option<Plane>,
    /// The cuts.
    pub cuts: Option<Cuts>,
}

/// Everything burned with one dose.
pub(super) struct Layer {
    /// The dose.
    pub dose: f32,
    /// Coverage of each pixel, 0 to 255.
    pub coverage: Vec<u8>,
}

/// What the cuts leave.
pub(super) struct Cuts {
    /// Their coverage.
    pub kerf: Plane,
    /// Their scorched rims, as a dose.
    pub rims: Plane,
}

impl Stencils {
    /// The marks that operations leave; guides leave none.
    pub fn of<'o>(plan: &Plan, view: &View, operations: impl IntoIterator<Item = &'o Operation>) -> Self {
        let mut layers: BTreeMap<u32, Shapes> = BTreeMap::new();
        let mut cuts = Vec::new();
        for operation in operations {
            match operation.kind {
                OperationKind::Engrave | OperationKind::Score => {
                    let width = width(plan, operation).max(least_width(operation, view));
                    let step = (dose(plan, operation, spread(plan, operation)) * DOSE_STEPS).round();
                    let shapes = layers.entry(step as u32).or_default();
                    match &operation.burn {
                        Burn::Dots(dots) => shapes.photos.push(DotStencil::new(dots, view)),
                        burn => shapes.stencils.extend(stencils(burn, width, view)),
                    }
                }
                OperationKind::Cut => {
                    let measured = operation.setting.as_ref().and_then(|s| s.kerf).or(plan.stock.kerf);
                    let kerf = measured.unwrap_or(USUAL_KERF);
                    cuts.extend(stencils(&operation.burn, cut_width(operation, kerf).get(), view));
                }
                OperationKind::Guide => {}
            }
        }
        Self { layers: layers.into_iter().collect(), cuts }
    }

    /// How far a mark can be seen beside itself, in pixels.
    pub fn reach(view: &View) -> f32 {
        BELL * view.pixels(WIDE_RIM) + 8.0
    }

    /// Tells a key what is burned in a strip.
    pub fn tell(&self, strip: &Strip, mut made_from: MadeFrom) -> MadeFrom {
        for (step, shapes) in &self.layers {
            made_from = made_from.number(f64::from(*step));
            made_from = shapes.stencils.iter().fold(made_from, |key, stencil| stencil.tell(strip, key));
            made_from = shapes.photos.iter().fold(made_from, |key, photo| photo.tell(strip, key));
        }
        self.cuts.iter().fold(made_from.text("cuts"), |key, stencil| stencil.tell(strip, key))
    }

    /// Draws what is burned in a strip.
    pub fn draw(&self, view: &View, strip: &Strip) -> Marks {
        let coverage = |stencils: &[Stencil]| {
            let mut canvas = Canvas::new(view, strip);
            for stencil in stencils {
                canvas.fill(stencil);
            }
            canvas.coverage()
        };
        let layer = |(step, shapes): &(u32, Shapes)| {
            let mut covered = coverage(&shapes.stencils);
            for photo in &shapes.photos {
                let bare = || vec![0; view.width as usize * strip.depth()];
                photo.add(view, strip, covered.get_or_insert_with(bare));
            }
            Some(Layer { dose: (f64::from(*step) / DOSE_STEPS) as f32, coverage: covered? })
        };
        let layers: Vec<Layer> = self.layers.iter().filter_map(layer).collect();
        let sum = |weigh: &dyn Fn(f32) -> f32| {
            let mut plane = Plane::new(view.width as usize, strip.depth());
            for layer in &layers {
                plane.add(&layer.coverage, weigh(layer.dose));
            }
            plane
        };
        let cuts = coverage(&self.cuts);
        let depth = (!layers.is_empty() || cuts.is_some()).then(|| {
            let mut depth = sum(&|dose| dose);
            if let Some(coverage) = &cuts {
                depth.add(coverage, 0.5);
            }
            depth.blurred(view.pixels(EDGE).max(0.6))
        });
        let haze = (!layers.is_empty()).then(|| sum(&|dose| 0.22 * dose).blurred(view.pixels(SMOKE)));
        Marks { layers, depth, haze, cuts: cuts.map(|coverage| Cuts::new(&coverage, view, strip)) }
    }
}

impl Cuts {
    /// A tight scorched rim and a wide faint one.
    fn new(coverage: &[u8], view: &View, strip: &Strip) -> Self {
        let mut kerf = Plane::new(view.width as usize, strip.depth());
        kerf.add(coverage, 1.0);
        let (tight, wide) = (kerf.blurred(view.pixels(TIGHT_RIM)), kerf.blurred(view.pixels(WIDE_RIM)));
        let dose = |(t, w): (&f32, &f32)| (0.75 * t + 0.9 * w).min(0.62);
        let rims = Plane { values: tight.values.iter().zip(&wide.values).map(dose).collect(), ..tight };
        Self { kerf, rims }
    }
}

/// How far apart the rows of an area are, or how wide a line is, in mm.
fn width(plan: &Plan, operation: &Operation) -> f64 {
    let spot = plan.machine.spot.get();
    match operation.burn {
        Burn::Area(_) | Burn::Dots(_) => operation.setting.as_ref().and_then(|s| s.interval).map_or(spot, Mm::get),
        Burn::Lines(_) => spot * SCORE_SPOTS,
    }
}

/// A line is drawn at least this wide, in mm: paler than it is, it would be overlooked.
fn least_width(operation: &Operation, view: &View) -> f64 {
    match operation.burn {
        Burn::Lines(_) => LEAST_LINE / f64::from(view.pixels(1.0)),
        Burn::Area(_) | Burn::Dots(_) => 0.0,
    }
}

/// How wide the energy of a row or a line is spread, in mm: that of a line over the spot, whose rim only scorches.
fn spread(plan: &Plan, operation: &Operation) -> f64 {
    match operation.burn {
        Burn::Lines(_) => plan.machine.spot.get(),
        Burn::Area(_) | Burn::Dots(_) => width(plan, operation),
    }
}

fn stencils(burn: &Burn, width: f64, view: &View) -> Vec<Stencil> {
    match burn {
        Burn::Area(region) => vec![Stencil::area(region.contours(), view)],
        Burn::Dots(_) => Vec::new(),
        Burn::Lines(lines) => lines.iter().map(|line| Stencil::line(line, width, view)).collect(),
    }
}
