//! `preview.png`: what the finished piece should look like; `preview-back.png`: its back, where that is burned;
//! `pieces.png`: the pieces of a puzzle pulled apart.
//!
//! In: a [`Plan`]. Out: a PNG that knows its own scale (`pHYs`), of the board cut out of its sheet and laid
//! on a light table, or of the whole sheet where no board is named.
//!
//! All shading is done in linear light and encoded as sRGB at the very end. Lengths inside are pixels
//! unless a name says `mm`; colours are linear red, green and blue from 0 to 1.
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
mod pieces;

pub(crate) use pieces::pieces;
pub(crate) use shown::Side;

use crate::cache::{Cache, MadeFrom};
use crate::plan::Plan;
use encode::{Codes, Packed};
use grain::Grain;
use marks::Stencils;
use material::Material;
use noise::seed_of;
use paint::Scene;
use rayon::prelude::*;
use std::fmt;
use std::sync::Arc;
use table::Table;
use view::{Strip, View};

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
    Preview::of(plan, Side::Front, &Cache::default()).png()
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
    /// Paints a side of the finished piece. Strips that look as they did in an earlier build are taken from there.
    pub(crate) fn of(plan: &Plan, side: Side, cache: &Cache) -> Self {
        let view = View::of(plan);
        let (outline, thickness) = (mask::outline(plan, side), plan.stock.thickness.get());
        let ground = MadeFrom::kind("preview").shown(&view).path(&outline).number(thickness);
        let (table, stencils) = rayon::join(
            || cache.keep(ground.clone(), || Table::around(&outline, thickness, &view)),
            || Stencils::of(plan, &view, side),
        );
        let wood = format!("{} {}", plan.slug, side.word());
        let wood = if matches!(side, Side::Front) { &plan.slug } else { &wood };
        let scene = Scene::of(plan, &view, &table, wood);
        let bare = ground.shown(&scene.material).text(wood);
        let strips: Vec<Strip> = view.strips(Stencils::reach(&view));
        let strips = strips.par_iter().map(|strip| {
            let made_from = stencils.tell(strip, bare.clone().shown(strip));
            cache.keep(made_from, || Painted::new(&scene, strip, &stencils))
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
    fn new(scene: &Scene, strip: &Strip, stencils: &Stencils) -> Self {
        let pixels = paint::strip(scene, strip, &stencils.draw(scene.view, strip));
        let packed = Packed::new(&pixels, scene.view.width as usize);
        Self { printed: print::pixels(pixels, scene.view), packed }
    }
}

impl<'a> Scene<'a> {
    /// `wood` is what the grain is drawn from: every side of every piece has its own.
    fn of(plan: &Plan, view: &'a View, table: &'a Table, wood: &str) -> Self {
        let material = Material::of(&plan.stock);
        let (size, seed) = (view.piece.size(), seed_of(wood));
        let size = (size.width as f32, size.height as f32);
        let grain = Grain::new(&material, size, view.ends(), view.scale as f32, seed);
        Self { view, material, grain, table, codes: Codes::new() }
    }
}
