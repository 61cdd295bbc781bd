//! All layers brought together, pixel by pixel.

use super::burn::{blend, burned};
use super::grain::Grain;
use super::marks::Marks;
use super::material::{Colour, Mark, Material};
use super::noise::{mix, random_pixel, seed_of, smooth_noise};
use super::plane::Plane;
use super::table::Table;
use super::view::View;
use crate::plan::Plan;
use rayon::prelude::*;

/// What is seen through a kerf.
const KERF: Colour = [0.012, 0.009, 0.008];

/// How strongly the light from the left top catches the rims of what is engraved.
const RELIEF: f32 = 0.60;

/// The noise of the rows.
const ROW_SEED: u32 = 0x726f_7773;

/// Everything that is painted.
pub(super) struct Scene<'a> {
    pub plan: &'a Plan,
    pub view: &'a View,
    pub material: Material,
    pub piece: Plane,
    pub marks: Marks,
    pub table: Table,
}

/// Paints the scene: three bytes a pixel, sRGB.
pub(super) fn paint(scene: &Scene) -> Vec<u8> {
    let (width, height) = (scene.view.width as usize, scene.view.height as usize);
    let size = scene.view.piece.size();
    let seed = seed_of(&scene.plan.slug);
    let grain = Grain::new(&scene.material, size.width as f32, size.height as f32, seed);
    let codes = super::encode::Codes::new();
    let mut picture = vec![0; width * height * 3];
    picture.par_chunks_mut(width * 3).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let grit = random_pixel(x, y, seed) - 0.5;
            let colour = scene.colour(&grain, x, y);
            pixel.copy_from_slice(&colour.map(|light| codes.code(light, grit)));
        }
    });
    picture
}

impl Scene<'_> {
    fn colour(&self, grain: &Grain, x: usize, y: usize) -> Colour {
        let covered = self.piece.row(y)[x];
        if covered >= 1.0 {
            return self.surface(grain, x, y);
        }
        let side = self.side(x, y);
        let mut around = self.table.at(x, y, self.view);
        if side > 0.0 {
            around = blend(around, self.material.edge, side);
        }
        if covered > 0.0 { blend(around, self.surface(grain, x, y), covered) } else { around }
    }

    /// How much of a pixel the side of the stock takes: the piece swept right and down.
    fn side(&self, x: usize, y: usize) -> f32 {
        let swept = |step: isize| self.piece.near(x.cast_signed() - step, y.cast_signed() - step);
        (1..=self.table.edge).map(swept).fold(0.0, f32::max)
    }

    /// The piece's face: bare, hazed, burned, lit, cut.
    fn surface(&self, grain: &Grain, x: usize, y: usize) -> Colour {
        let (right, down) = self.view.on_piece(x, y);
        let bare = grain.at(right, down);
        let (mark, index) = (self.material.mark, y * self.piece.width + x);
        let mut colour = self.hazed(bare.colour, self.marks.haze.values[index]);
        for layer in &self.marks.layers {
            let coverage = f32::from(layer.coverage[index]) / 255.0;
            if coverage > 0.0 {
                let dose = layer.dose * bare.tender * self.uneven(layer.dose, x, y);
                colour = blend(colour, burned(colour, dose, mark), coverage);
            }
        }
        let lit = 1.0 - RELIEF * self.slope(x, y);
        colour = colour.map(|light| light * lit);
        colour = self.hazed(colour, self.marks.rims.values[index]);
        blend(colour, KERF, self.marks.cuts.values[index])
    }

    /// What makes burned areas look burned rather than printed: the rims scorch a little darker, and rows
    /// differ as the beam and the wood do.
    fn uneven(&self, dose: f32, x: usize, y: usize) -> f32 {
        let rim = 1.0 - (self.marks.depth.row(y)[x] / dose.max(0.01)).min(1.0);
        let (right, down) = self.view.on_piece(x, y);
        let row = smooth_noise(right * 0.04, down * 3.0, ROW_SEED) - 0.5;
        1.0 + 0.30 * rim + 0.10 * row
    }

    /// Smoke browns what scorches; what the beam makes paler it leaves clean.
    fn hazed(&self, colour: Colour, dose: f32) -> Colour {
        if dose > 0.0 && self.material.mark == Mark::Scorch { burned(colour, dose, Mark::Scorch) } else { colour }
    }

    /// How the burned depth falls towards the right and the bottom.
    fn slope(&self, x: usize, y: usize) -> f32 {
        let depth = |dx: isize, dy: isize| self.marks.depth.near(x.cast_signed() + dx, y.cast_signed() + dy);
        let (across, down) = (depth(1, 0) - depth(-1, 0), depth(0, 1) - depth(0, -1));
        mix(across, down, 0.5).clamp(-1.0, 1.0)
    }
}
