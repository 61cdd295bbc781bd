//! The bare surface, point by point.

use super::material::{Colour, Material, Texture, Wood};
use super::noise::{mix, random, smooth_noise, smooth_step};

/// A surface whose texture runs along the longer side of the piece.
pub(super) struct Grain {
    texture: Texture,
    seed: u32,
    /// Whether the fibres run up and down.
    upright: bool,
    /// Distance of the tree's middle from the piece's edge, across the fibres, in mm.
    heart: f32,
}

/// A point of a bare surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bare {
    /// Its colour.
    pub colour: Colour,
    /// How much more easily it scorches than the mean: late wood is dense and resists.
    pub tender: f32,
}

impl Grain {
    /// The surface of a piece `width` by `height` mm.
    pub fn new(material: &Material, width: f32, height: f32, seed: u32) -> Self {
        let across = width.min(height);
        let heart = across * mix(0.35, 0.65, random(0, 0, seed));
        Self { texture: material.texture, seed, upright: height > width, heart }
    }

    /// The surface at a point, in mm from the piece's left top corner.
    pub fn at(&self, x: f32, y: f32) -> Bare {
        match self.texture {
            Texture::Wood(wood) if self.upright => self.wood(&wood, y, x),
            Texture::Wood(wood) => self.wood(&wood, x, y),
            Texture::Even(colour, grit) => self.even(colour, grit, x, y),
        }
    }

    /// A slice of a solid texture of nested rings (Peachey 1985, from memory): where the slice comes close
    /// to the tree's middle the rings open into arches.
    fn wood(&self, wood: &Wood, along: f32, across: f32) -> Bare {
        let noise = |x: f32, y: f32, layer: u32| smooth_noise(x, y, self.seed.wrapping_add(layer)) - 0.5;
        let warp = 12.0 * noise(along * 0.009, across * 0.02, 1) + 1.8 * noise(along * 0.04, across * 0.12, 2);
        let depth = 5.0 + 0.13 * along + 26.0 * noise(along * 0.006, 0.5, 3);
        let side = across - self.heart + warp;
        let radius = (side * side + depth * depth).sqrt();
        // Years differ: wide rings in good ones, narrow rings in dry ones.
        let years = 2.6 * noise(radius * 0.07, 0.5, 10) + 0.9 * noise(along * 0.01, across * 0.03, 4);
        let rings = radius / wood.ring_mm + years;
        let year = rings.floor();
        let season = rings - year;
        let strength = 0.25 + 0.75 * random(year as i32, 0, self.seed.wrapping_add(5));
        let late = smooth_step(0.15, 0.90, season) * (1.0 - smooth_step(0.93, 1.0, season)) * strength;
        let fibre = noise(along * 0.10, across * 5.5, 6) + 0.7 * noise(along * 0.35, across * 12.0, 7);
        let cloud = noise(along * 0.015, across * 0.06, 8);
        let pore = smooth_step(0.72, 0.88, smooth_noise(along * 0.22, across * 8.0, self.seed.wrapping_add(9)));
        let light = 1.0 + 2.0 * wood.fibre * fibre + 0.12 * cloud - 0.45 * wood.pores * pore;
        let shade = wood.contrast * late;
        let colour = [0, 1, 2].map(|i| mix(wood.early[i], wood.late[i], shade) * light);
        Bare { colour, tender: 1.0 + 0.10 * fibre - 0.16 * (shade - 0.2) }
    }

    fn even(&self, colour: Colour, grit: f32, x: f32, y: f32) -> Bare {
        if grit == 0.0 {
            return Bare { colour, tender: 1.0 };
        }
        let noise =
            |scale: f32, layer: u32| smooth_noise(x * scale, y * scale, self.seed.wrapping_add(layer)) - 0.5;
        let light = 1.0 + grit * (0.5 * noise(0.08, 11) + noise(1.3, 12) + noise(4.0, 13));
        Bare { colour: colour.map(|c| c * light), tender: 1.0 + 0.3 * grit * noise(1.3, 14) }
    }
}
