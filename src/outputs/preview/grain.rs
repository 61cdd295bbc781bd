//! The bare surface, row by row.

use super::material::{Colour, Material, Texture, Wood};
use super::noise::{NoiseLine, Run, in_steps, random, smooth_step};
use crate::raster::mix;

/// A surface whose texture runs along the longer side of the piece.
pub(super) struct Grain {
    texture: Texture,
    seed: u32,
    /// Whether the fibres run up and down.
    upright: bool,
    /// Distance of the tree's middle from the piece's edge, across the fibres, in mm.
    heart: f32,
    /// How wide the years' rings are, by the distance from the tree's middle.
    years: NoiseLine,
    /// Left and right end of the rows, in mm from the left edge of the piece.
    ends: (f32, f32),
    /// Finest texture that pixels can show, in cells a millimetre.
    finest: f32,
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
    /// The surface of a piece `width` by `height` mm, shown with `scale` pixels a millimetre from `ends.0` to
    /// `ends.1` mm.
    pub fn new(material: &Material, (width, height): (f32, f32), ends: (f32, f32), scale: f32, seed: u32) -> Self {
        let across = width.min(height);
        let heart = across * mix(0.35, 0.65, random(0, 0, seed));
        let farthest = across + 0.13 * width.max(height) + 40.0;
        let years = NoiseLine::new(Run::Across, (0.0, farthest), 0.07, 0.5, seed.wrapping_add(10));
        Self { texture: material.texture, seed, upright: height > width, heart, years, ends, finest: 0.8 * scale }
    }

    /// The same with its fibres running the other way.
    pub fn across(self) -> Self {
        Self { upright: !self.upright, ..self }
    }

    /// A row of the surface, in mm below the piece's upper edge.
    pub fn row(&self, y: f32) -> Row<'_> {
        match self.texture {
            Texture::Wood(wood) => Row::Wood(WoodRow::new(self, wood, y)),
            Texture::Even(colour, grit) => Row::Even(EvenRow::new(self, colour, grit, y)),
        }
    }

    /// Noise along a row, `along` and `across` cells a millimetre in these directions of the fibres.
    fn line(&self, along: f32, across: f32, y: f32, layer: u32) -> NoiseLine {
        let (along, across) = (along.min(self.finest), across.min(self.finest));
        let seed = self.seed.wrapping_add(layer);
        if self.upright {
            NoiseLine::new(Run::Down, self.ends, across, y * along, seed)
        } else {
            NoiseLine::new(Run::Across, self.ends, along, y * across, seed)
        }
    }
}

/// A row of a surface.
pub(super) enum Row<'a> {
    Wood(WoodRow<'a>),
    Even(EvenRow),
}

impl Row<'_> {
    /// The surface at a place, in mm from the piece's left edge.
    pub fn at(&self, x: f32) -> Bare {
        match self {
            Self::Wood(row) => row.at(x),
            Self::Even(row) => row.at(x),
        }
    }
}

/// A slice of a solid texture of nested rings (Peachey 1985, from memory): where the slice comes close to the
/// tree's middle the rings open into arches.
pub(super) struct WoodRow<'a> {
    grain: &'a Grain,
    wood: Wood,
    y: f32,
    warps: [NoiseLine; 2],
    depth: NoiseLine,
    wander: NoiseLine,
    fibres: [NoiseLine; 2],
    cloud: NoiseLine,
    pores: NoiseLine,
}

impl<'a> WoodRow<'a> {
    fn new(grain: &'a Grain, wood: Wood, y: f32) -> Self {
        let line = |along: f32, across: f32, layer: u32| grain.line(along, across, y, layer);
        let alongs = if grain.upright { (y, y) } else { grain.ends };
        Self {
            grain,
            wood,
            y,
            warps: [line(0.009, 0.02, 1), line(0.04, 0.12, 2)],
            depth: NoiseLine::new(Run::Across, alongs, 0.006, 0.5, grain.seed.wrapping_add(3)),
            wander: line(0.01, 0.03, 4),
            fibres: [line(0.10, 5.5, 6), line(0.35, 12.0, 7)],
            cloud: line(0.015, 0.06, 8),
            pores: line(0.22, 8.0, 9),
        }
    }

    fn at(&self, x: f32) -> Bare {
        let (wood, grain) = (&self.wood, self.grain);
        let (along, across) = if grain.upright { (self.y, x) } else { (x, self.y) };
        let noise = |line: &NoiseLine| line.at(x) - 0.5;
        let warp = 12.0 * noise(&self.warps[0]) + 1.8 * noise(&self.warps[1]);
        let depth = 5.0 + 0.13 * along + 26.0 * (self.depth.at(along) - 0.5);
        let side = across - grain.heart + warp;
        let radius = (side * side + depth * depth).sqrt();
        // Years differ: wide rings in good ones, narrow rings in dry ones.
        let years = 2.6 * (grain.years.at(radius) - 0.5) + 0.9 * noise(&self.wander);
        let rings = radius / wood.ring_mm + years;
        let year = rings.floor();
        let season = rings - year;
        let strength = 0.25 + 0.75 * random(year as i32, 0, grain.seed.wrapping_add(5));
        let late = smooth_step(0.15, 0.90, season) * (1.0 - smooth_step(0.93, 1.0, season)) * strength;
        let fibre = noise(&self.fibres[0]) + 0.7 * noise(&self.fibres[1]);
        let pore = smooth_step(0.72, 0.88, self.pores.at(x));
        let light = 1.0 + 2.0 * wood.fibre * fibre + 0.12 * noise(&self.cloud) - 0.45 * wood.pores * pore;
        // Fibres are even along themselves: few tones, which neighbours share, pack far better than many.
        let (light, shade) = (in_steps(light, 48.0), in_steps(wood.contrast * late, 32.0));
        let colour = [0, 1, 2].map(|i| mix(wood.early[i], wood.late[i], shade) * light);
        Bare { colour, tender: 1.0 + 0.10 * fibre - 0.16 * (shade - 0.2) }
    }
}

/// A colour that varies in no direction.
pub(super) struct EvenRow {
    colour: Colour,
    grit: f32,
    /// Clouds, grit, fine grit, and how easily it scorches; none where the colour is the same everywhere.
    noises: Option<[NoiseLine; 4]>,
}

impl EvenRow {
    fn new(grain: &Grain, colour: Colour, grit: f32, y: f32) -> Self {
        let line = |scale: f32, layer: u32| grain.line(scale, scale, y, layer);
        let noises = (grit > 0.0).then(|| [line(0.08, 11), line(1.3, 12), line(4.0, 13), line(1.3, 14)]);
        Self { colour, grit, noises }
    }

    fn at(&self, x: f32) -> Bare {
        let Some(noises) = &self.noises else { return Bare { colour: self.colour, tender: 1.0 } };
        let [cloud, grit, fine, tender] = noises.each_ref().map(|line| line.at(x) - 0.5);
        let light = 1.0 + self.grit * (0.5 * cloud + grit + fine);
        Bare { colour: self.colour.map(|c| c * light), tender: 1.0 + 0.3 * self.grit * tender }
    }
}
