//! The table the piece lies on: a pool of light, and the piece's shadow.

use super::mask::{Canvas, Stencil};
use super::view::View;
use crate::raster::Plane;
use kurbo::BezPath;

/// Thicker stock is drawn as if it were this thick, in mm: a taller edge would hide the picture's size.
const TALLEST: f64 = 8.0;

/// A piece and the table around it.
pub(super) struct Table {
    /// How much of each pixel the piece takes.
    pub piece: Plane,
    /// Wide soft shadow of the room's light.
    soft: Plane,
    /// Dark line where the piece touches the table.
    contact: Plane,
    /// How far the shadows fall, in pixels right and down.
    soft_fall: (isize, isize),
    contact_fall: (isize, isize),
    /// How far the edge of the stock is seen, in pixels right and down.
    pub edge: isize,
}

impl Table {
    /// The piece of an outline, `thickness` mm thick, and the shadows that it casts.
    pub fn around(outline: &BezPath, thickness: f64, view: &View) -> Self {
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

    /// The light that comes from the table at a pixel.
    pub fn at(&self, x: usize, y: usize, view: &View) -> [f32; 3] {
        let across = (x as f32 + 0.5) / view.width as f32 - 0.42;
        let down = (y as f32 + 0.5) / view.height as f32 - 0.38;
        let pool = 0.68 - 0.30 * (across * across + down * down);
        let shade =
            |plane: &Plane, fall: (isize, isize)| plane.near(x.cast_signed() - fall.0, y.cast_signed() - fall.1);
        let lit = (1.0 - 0.42 * shade(&self.soft, self.soft_fall))
            * (1.0 - 0.34 * shade(&self.contact, self.contact_fall));
        // Shadows are a little bluer than the light.
        [pool * lit, pool * (0.004 + 0.996 * lit), pool * (0.012 + 0.988 * lit)]
    }
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
