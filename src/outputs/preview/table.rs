//! What lies on the table, and the table itself: a pool of light, the edge of the stock, the shadow that it casts.

use super::mask::{Canvas, Stencil};
use super::material::Colour;
use super::view::View;
use crate::raster::Plane;
use kurbo::BezPath;

/// Thicker stock is drawn as if it were this thick, in mm: a taller edge would hide the picture's size.
const TALLEST: f64 = 8.0;

/// A piece of stock as it lies.
pub(super) struct Shape {
    /// How much of each pixel it takes.
    pub piece: Plane,
    /// Wide soft shadow of the room's light.
    soft: Plane,
    /// Dark line where it touches what is below.
    contact: Plane,
    /// How far the shadows fall, in pixels right and down.
    soft_fall: (isize, isize),
    contact_fall: (isize, isize),
    /// How far the edge of the stock is seen, in pixels right and down.
    edge: isize,
}

impl Shape {
    /// A piece of an outline, by the even-odd rule, `thickness` mm thick, and the shadows that it casts.
    pub fn of(outline: &BezPath, thickness: f64, view: &View) -> Self {
        let piece = piece(outline, view);
        let thickness = thickness.clamp(0.1, TALLEST) / 3.0;
        let fall = |right: f64, down: f64| {
            let pixels = |mm: f64| view.pixels(mm * thickness).round() as isize;
            (pixels(right), pixels(down))
        };
        let shadow = |sigma: f64| piece.blurred(view.pixels(sigma * thickness));
        let (soft, contact) = rayon::join(|| shadow(1.9), || shadow(0.55));
        Self {
            soft,
            contact,
            soft_fall: fall(2.6, 3.4),
            contact_fall: fall(0.9, 1.1),
            edge: (view.pixels(0.22 * 3.0 * thickness).round() as isize).clamp(1, 24),
            piece,
        }
    }

    /// What is left of the light on what lies below, at a pixel.
    pub fn shaded(&self, below: Colour, x: usize, y: usize) -> Colour {
        let shade =
            |plane: &Plane, fall: (isize, isize)| plane.near(x.cast_signed() - fall.0, y.cast_signed() - fall.1);
        let lit = (1.0 - 0.42 * shade(&self.soft, self.soft_fall))
            * (1.0 - 0.34 * shade(&self.contact, self.contact_fall));
        // Shadows are a little bluer than the light.
        [below[0] * lit, below[1] * (0.004 + 0.996 * lit), below[2] * (0.012 + 0.988 * lit)]
    }

    /// How much of a pixel the side of the stock takes: the piece swept right and down.
    pub fn side(&self, x: usize, y: usize) -> f32 {
        let swept = |step: isize| self.piece.near(x.cast_signed() - step, y.cast_signed() - step);
        (1..=self.edge).map(swept).fold(0.0, f32::max)
    }
}

/// The light that comes from the bare table at a pixel.
pub(super) fn table(x: usize, y: usize, view: &View) -> Colour {
    let across = (x as f32 + 0.5) / view.width as f32 - 0.42;
    let down = (y as f32 + 0.5) / view.height as f32 - 0.38;
    [0.68 - 0.30 * (across * across + down * down); 3]
}

fn piece(outline: &BezPath, view: &View) -> Plane {
    let whole = view.whole();
    let mut canvas = Canvas::new(view, &whole);
    canvas.fill(&Stencil::area([outline], view));
    let mut plane = Plane::new(view.width as usize, view.height as usize);
    if let Some(coverage) = canvas.coverage() {
        plane.add(&coverage, 1.0);
    }
    plane
}
