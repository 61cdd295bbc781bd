//! `preview.png`: what the finished piece should look like; `preview-back.png`: its back, where that is burned;
//! `preview-sheet-2.png` and so on: what is cut from further sheets; `preview-tray.png`: the piece in its tray;
//! `pieces.png`: the pieces of a puzzle pulled apart.
//!
//! In: a [`Plan`]. Out: a PNG that knows its own scale (`pHYs`), of what is left of a sheet, laid on a light table.
//!
//! A picture is a stack of layers, each a piece of stock with what is burned on it; light falls from the left top, and each
//! casts its shadow on what lies below. All shading is done in linear light and encoded as sRGB at the very end. Lengths
//! inside are pixels unless a name says `mm`; colours are linear red, green and blue from 0 to 1.
//!
//! Invariant: it shows what the plan burns and nothing else, and its bytes depend on the plan alone: noise
//! comes from integer hashes, and no function of the platform's mathematics library is called.

mod view;
mod noise;
mod mask;
mod material;
mod grain;
mod burn;
mod marks;
mod table;
mod paint;
mod encode;
mod print;
mod shown;
mod body;
mod layers;
mod pieces;
mod describe;

pub(crate) use describe::pictures;
pub(crate) use pieces::pieces;

use crate::cache::{Cache, MadeFrom};
use crate::plan::{Laid, Lay, Operation, Plan};
use encode::{Codes, Packed};
use grain::Grain;
use kurbo::Shape as _;
use layers::Layer;
use marks::Stencils;
use material::Material;
use noise::seed_of;
use paint::{Lying, Scene};
use rayon::prelude::*;
use std::fmt;
use std::sync::Arc;
use table::Shape;
use view::{Strip, View};

/// Pictures of further sides; a job may burn hundreds, all much alike.
const MOST_SIDES: usize = 12;

/// Why a preview could not be made.
#[derive(Debug)]
pub struct PreviewError(String);

impl fmt::Display for PreviewError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PreviewError {}

/// Paints the finished piece; the bytes are a PNG.
pub fn preview(plan: &Plan) -> Result<Vec<u8>, PreviewError> {
    Preview::of(plan, Lay::default(), &Cache::default()).png()
}

/// The sides that are pictured besides the front of the piece, with the names of their files.
pub(crate) fn further_sides(plan: &Plan) -> Vec<(Lay, String)> {
    let named = |side: Lay| {
        let sheet = match side.on {
            Laid::Scrap => return None,
            Laid::Sheet(1) => String::new(),
            Laid::Sheet(number) => format!("-sheet-{number}"),
        };
        let back = if side.turned.is_some() { "-back" } else { "" };
        (!side.shows_the_same_as(Lay::default())).then(|| (side, format!("preview{sheet}{back}.png")))
    };
    plan.sides().into_iter().filter_map(named).take(MOST_SIDES).collect()
}

/// A painted picture.
pub(crate) struct Preview {
    view: View,
    strips: Vec<Arc<Painted>>,
}

/// A strip of it.
struct Painted {
    /// Three bytes a pixel, for paper.
    printed: Vec<u8>,
    packed: Packed,
}

impl Preview {
    /// Paints a side of what is left of a sheet. Strips that look as they did in an earlier build are taken from there.
    pub(crate) fn of(plan: &Plan, side: Lay, cache: &Cache) -> Self {
        Self::painted(plan, &layers::of_side(plan, side), cache)
    }

    /// Paints the piece in its tray; `None` where none is cut around it.
    pub(crate) fn in_tray(plan: &Plan, cache: &Cache) -> Option<Self> {
        Some(Self::painted(plan, &layers::in_tray(plan)?, cache))
    }

    fn painted(plan: &Plan, layers: &[Layer], cache: &Cache) -> Self {
        let view = View::around(bounds(layers));
        let scene = Scene { view: &view, material: Material::of(&plan.stock), codes: Codes::new() };
        let ground = MadeFrom::kind("preview").shown(&view).shown(&scene.material);
        let shape = |layer: &Layer| {
            let made_from = ground.clone().path(&layer.outline).number(layer.height);
            cache.keep(made_from, || Shape::of(&layer.outline, layer.height, &view))
        };
        let shapes: Vec<Arc<Shape>> = layers.par_iter().map(shape).collect();
        let stencils: Vec<Stencils> = layers.par_iter().map(|layer| layer.stencils(plan, &view)).collect();
        let lying = |(layer, shape)| Lying { shape, grain: layer_grain(layer, &scene) };
        let lying: Vec<Lying> = layers.iter().zip(shapes.iter().map(Arc::as_ref)).map(lying).collect();
        let bare = layers.iter().fold(ground.clone(), |key, layer| layer.tell(key));
        let strips: Vec<Strip> = view.strips(Stencils::reach(&view));
        let strips = strips.par_iter().map(|strip| {
            let made_from = stencils.iter().fold(bare.clone().shown(strip), |key, s| s.tell(strip, key));
            cache.keep(made_from, || Painted::new(&scene, strip, &lying, &stencils))
        });
        Self { strips: strips.collect(), view }
    }

    /// The bytes of a PNG.
    pub(crate) fn png(&self) -> Result<Vec<u8>, PreviewError> {
        let strips = self.strips.iter().map(|strip| &strip.packed);
        encode::png(strips, &self.view).map_err(|error| PreviewError(error.to_string()))
    }

    /// Width and height, in pixels, and the pixels as they are printed: three bytes each, row by row.
    pub(crate) fn printed(&self) -> ((u32, u32), Vec<u8>) {
        let pixels = self.strips.iter().flat_map(|strip| &strip.printed).copied().collect();
        (print::size(&self.view), pixels)
    }
}

impl Painted {
    fn new(scene: &Scene, strip: &Strip, lying: &[Lying], stencils: &[Stencils]) -> Self {
        let marks: Vec<_> = stencils.iter().map(|stencils| stencils.draw(scene.view, strip)).collect();
        let pixels = paint::strip(scene, strip, lying, &marks);
        let packed = Packed::new(&pixels, scene.view.width as usize);
        Self { printed: print::pixels(pixels, scene.view), packed }
    }
}

impl Layer<'_> {
    fn stencils(&self, plan: &Plan, view: &View) -> Stencils {
        Stencils::of(plan, view, self.operations.iter().map(AsRef::<Operation>::as_ref))
    }

    /// Tells a key how it looks, but for what is burned on it.
    fn tell(&self, key: MadeFrom) -> MadeFrom {
        key.path(&self.outline).number(self.height).text(&self.wood).shown(&self.is_across)
    }
}

/// The box around all layers, in mm.
fn bounds(layers: &[Layer]) -> kurbo::Rect {
    let boxes = layers.iter().filter(|layer| !layer.outline.is_empty()).map(|layer| layer.outline.bounding_box());
    boxes.reduce(|a, b| a.union(b)).unwrap_or(kurbo::Rect::new(0.0, 0.0, 1.0, 1.0))
}

/// The grain of a layer.
fn layer_grain(layer: &Layer, scene: &Scene) -> Grain {
    let grain = grain(&layer.wood, scene);
    if layer.is_across { grain.across() } else { grain }
}

/// The grain of a piece that takes the whole picture but for its margin.
fn grain(wood: &str, scene: &Scene) -> Grain {
    let (view, size) = (scene.view, scene.view.piece.size());
    let size = (size.width as f32, size.height as f32);
    Grain::new(&scene.material, size, view.ends(), view.scale as f32, seed_of(wood))
}
