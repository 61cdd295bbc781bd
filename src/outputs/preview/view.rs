//! Which part of the sheet is shown, and how large.

use crate::plan::Plan;
use kurbo::{Affine, Rect};

/// Usual resolution: fine enough to show a kerf, 150 dots an inch.
const USUAL_SCALE: f64 = 150.0 / 25.4;

/// Small pieces are shown larger than life, up to this (600 dots an inch).
const LARGEST_SCALE: f64 = 600.0 / 25.4;

/// Longest side in pixels: what fits on a screen and can be sent to a friend.
const LONGEST: f64 = 1800.0;

/// A longest side below this looks like a thumbnail, so the scale is raised towards it.
const PLEASANT: f64 = 900.0;

/// Where the picture lies on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct View {
    /// The finished piece, in mm on the sheet.
    pub piece: Rect,
    /// What is shown, in mm on the sheet.
    pub shown: Rect,
    /// Pixels a millimetre.
    pub scale: f64,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
}

impl View {
    /// The board with a margin of table, or the whole sheet.
    pub fn of(plan: &Plan) -> Self {
        let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get().max(0.1), plan.sheet.height.get().max(0.1));
        let piece = plan.board.as_ref().and_then(crate::geometry::Region::bounds).unwrap_or(sheet);
        let longest = piece.width().max(piece.height());
        let shown = piece.inflate(0.05 * longest + 3.0, 0.05 * longest + 3.0);
        let longest = shown.width().max(shown.height());
        let scale = USUAL_SCALE.max(PLEASANT / longest).min(LARGEST_SCALE).min(LONGEST / longest);
        let pixels = |length: f64| (length * scale).round().clamp(1.0, LONGEST) as u32;
        Self { piece, shown, scale, width: pixels(shown.width()), height: pixels(shown.height()) }
    }

    /// Millimetres on the sheet to pixels.
    pub fn affine(&self) -> Affine {
        Affine::scale(self.scale) * Affine::translate(-self.shown.origin().to_vec2())
    }

    /// A length in pixels.
    pub fn pixels(&self, mm: f64) -> f32 {
        (mm * self.scale) as f32
    }

    /// The middle of a pixel, in mm from the left top corner of the piece.
    pub fn on_piece(&self, x: usize, y: usize) -> (f32, f32) {
        let at = |pixel: usize, origin: f64| (origin + (pixel as f64 + 0.5) / self.scale) as f32;
        (at(x, self.shown.x0 - self.piece.x0), at(y, self.shown.y0 - self.piece.y0))
    }
}
