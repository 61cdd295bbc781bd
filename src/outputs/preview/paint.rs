//! All layers brought together, pixel by pixel.

use super::burn::{blend, burned};
use super::encode::Codes;
use super::grain::{self, Grain};
use super::marks::Marks;
use super::material::{Colour, Mark, Material};
use super::noise::{NoiseLine, Run, in_steps};
use super::table::{Shape, table};
use super::view::{Strip, View};
use crate::raster::{Plane, mix};

/// What is seen through a kerf.
const KERF: Colour = [0.012, 0.009, 0.008];

/// How strongly the light from the left top catches the rims of what is engraved.
const RELIEF: f32 = 0.60;

/// How many doses of smoke are told apart: neighbours that share one pack far better, and the eye sees no steps.
const SMOKES: f32 = 80.0;

/// How many doses are told apart where the beam has been: fewer, because what is burned is dark and uneven.
const BURNS: f32 = 32.0;

/// The noise of the beam's rows.
const BEAM_SEED: u32 = 0x726f_7773;

/// What all that is painted has in common.
pub(super) struct Scene<'a> {
    pub view: &'a View,
    pub material: Material,
    pub codes: Codes,
}

/// A piece of stock in the picture.
pub(super) struct Lying<'a> {
    pub shape: &'a Shape,
    pub grain: Grain,
}

/// A row of a face.
struct Row<'a> {
    scene: &'a Scene<'a>,
    marks: &'a Marks,
    /// Its place in the picture.
    y: usize,
    /// Its place in the planes of the marks.
    local: usize,
    bare: grain::Row<'a>,
    /// How the rows of the beam differ.
    beam: NoiseLine,
}

/// Paints a strip of what lies on each other, from the lowest, each with its marks: three bytes a pixel, sRGB.
pub(super) fn strip(scene: &Scene, strip: &Strip, lying: &[Lying], marks: &[Marks]) -> Vec<u8> {
    let width = scene.view.width as usize;
    let mut picture = vec![0; width * (strip.bottom - strip.top) * 3];
    for (y, pixels) in (strip.top..).zip(picture.chunks_exact_mut(width * 3)) {
        let rows: Vec<(&Lying, Row)> = lying
            .iter()
            .zip(marks)
            .map(|(one, marks)| (one, Row::new(scene, &one.grain, marks, y, y - strip.first)))
            .collect();
        for (x, pixel) in pixels.chunks_exact_mut(3).enumerate() {
            // Nothing is seen of what lies below the topmost that takes the whole pixel.
            let whole = rows.iter().rposition(|(lying, _)| lying.shape.piece.row(y)[x] >= 1.0);
            let bare = table(x, y, scene.view);
            let above = rows[whole.unwrap_or(0)..].iter();
            let colour =
                above.fold(bare, |below, (lying, row)| laid(scene, lying.shape, (x, y), below, || row.surface(x)));
            let grit = grit(scene, rows.iter().any(|(lying, _)| lying.shape.piece.row(y)[x] >= 1.0), x, y);
            pixel.copy_from_slice(&colour.map(|light| scene.codes.code(light, grit)));
        }
    }
    picture
}

/// The faces of a strip, whatever part of it the piece takes: one colour a pixel.
pub(super) fn faces(scene: &Scene, grain: &Grain, strip: &Strip, marks: &Marks) -> Vec<Colour> {
    let width = scene.view.width as usize;
    let rows = (strip.top..strip.bottom).map(|y| Row::new(scene, grain, marks, y, y - strip.first));
    rows.flat_map(|row| (0..width).map(move |x| row.surface(x)).collect::<Vec<_>>()).collect()
}

/// The colour of a pixel of what is below a piece, its shadow, its side and its face.
pub(super) fn laid(
    scene: &Scene,
    shape: &Shape,
    (x, y): (usize, usize),
    below: Colour,
    face: impl Fn() -> Colour,
) -> Colour {
    let covered = shape.piece.row(y)[x];
    if covered >= 1.0 {
        return face();
    }
    let side = shape.side(x, y);
    let mut around = shape.shaded(below, x, y);
    if side > 0.0 {
        around = blend(around, scene.material.edge, side);
    }
    if covered > 0.0 { blend(around, face(), covered) } else { around }
}

/// What the rounding of a pixel is off by; texture hides the steps between codes where a face takes the whole of it.
pub(super) fn grit(scene: &Scene, is_face: bool, x: usize, y: usize) -> f32 {
    if is_face && !scene.material.is_even() { 0.0 } else { dither(x, y) }
}

impl<'a> Row<'a> {
    fn new(scene: &'a Scene<'a>, grain: &'a Grain, marks: &'a Marks, y: usize, local: usize) -> Self {
        let down = scene.view.on_piece(0, y).1;
        let beam = NoiseLine::new(Run::Across, scene.view.ends(), 0.04, down * 3.0, BEAM_SEED);
        Self { scene, marks, y, local, bare: grain.row(down), beam }
    }

    /// The piece's face: bare, hazed, burned, lit, cut.
    fn surface(&self, x: usize) -> Colour {
        let (right, _) = self.scene.view.on_piece(x, self.y);
        let bare = self.bare.at(right);
        let (mark, index) = (self.scene.material.mark, self.local * self.scene.view.width as usize + x);
        let mut colour = bare.colour;
        if let Some(haze) = &self.marks.haze {
            colour = self.hazed(colour, haze.values[index]);
        }
        for layer in &self.marks.layers {
            let coverage = f32::from(layer.coverage[index]) / 255.0;
            if coverage > 0.0 {
                let dose = layer.dose * bare.tender * self.uneven(layer.dose, index, right);
                colour = blend(colour, burned(colour, in_steps(dose, BURNS), mark), coverage);
            }
        }
        if let Some(depth) = &self.marks.depth {
            let lit = 1.0 - RELIEF * self.slope(depth, x);
            colour = colour.map(|light| light * lit);
        }
        let Some(cuts) = &self.marks.cuts else { return colour };
        blend(self.hazed(colour, cuts.rims.values[index]), KERF, cuts.kerf.values[index])
    }

    /// What makes burned areas look burned rather than printed: the rims scorch a little darker, and rows
    /// differ as the beam and the wood do.
    fn uneven(&self, dose: f32, index: usize, right: f32) -> f32 {
        let depth = self.marks.depth.as_ref().map_or(dose, |depth| depth.values[index]);
        let rim = 1.0 - (depth / dose.max(0.01)).min(1.0);
        1.0 + 0.30 * rim + 0.10 * (self.beam.at(right) - 0.5)
    }

    /// Smoke browns what scorches; what the beam makes paler it leaves clean.
    fn hazed(&self, colour: Colour, dose: f32) -> Colour {
        let (dose, scorches) = (in_steps(dose, SMOKES), self.scene.material.mark == Mark::Scorch);
        if dose > 0.0 && scorches { burned(colour, dose, Mark::Scorch) } else { colour }
    }

    /// How the burned depth falls towards the right and the bottom.
    fn slope(&self, depth: &Plane, x: usize) -> f32 {
        let at = |dx: isize, dy: isize| depth.near(x.cast_signed() + dx, self.local.cast_signed() + dy);
        let (across, down) = (at(1, 0) - at(-1, 0), at(0, 1) - at(0, -1));
        mix(across, down, 0.5).clamp(-1.0, 1.0)
    }
}

/// What the rounding of a pixel is off by, -0.5 to 0.5, so that slow changes of light show no bands: an ordered
/// pattern (Bayer 1973, from memory), which packs far better than chance.
fn dither(x: usize, y: usize) -> f32 {
    const PATTERN: [[u8; 4]; 4] = [[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]];
    (f32::from(PATTERN[y % 4][x % 4]) + 0.5) / 16.0 - 0.5
}
