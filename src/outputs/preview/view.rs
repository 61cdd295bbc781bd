//! Which part of the sheet is shown, and how large.

use kurbo::{Affine, Rect};

/// Usual resolution: fine enough to show a kerf, 150 dots an inch.
const USUAL_SCALE: f64 = 150.0 / 25.4;

/// Small pieces are shown larger than life, up to this (600 dots an inch).
const LARGEST_SCALE: f64 = 600.0 / 25.4;

/// Longest side in pixels: what fits on a screen, and is kept beside its recipe for years.
const LONGEST: f64 = 1200.0;

/// A longest side below this looks like a thumbnail, so the scale is raised towards it.
const PLEASANT: f64 = 900.0;

/// Strips and what is worked out around them start at rows that divide by this, so that pictures of half the
/// size pair the same rows in every strip.
const STEP: usize = 8;

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

/// Some rows of the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Strip {
    /// Its first row.
    pub top: usize,
    /// The row after its last.
    pub bottom: usize,
    /// The first row that is worked out for it.
    pub first: usize,
    /// The row after the last one that is worked out for it.
    pub end: usize,
}

impl Strip {
    /// How many rows are worked out.
    pub const fn depth(&self) -> usize {
        self.end - self.first
    }
}

impl View {
    /// What lies in a box, in mm, with a margin of table.
    pub fn around(piece: Rect) -> Self {
        let longest = piece.width().max(piece.height());
        let shown = piece.inflate(0.05 * longest + 3.0, 0.05 * longest + 3.0);
        let longest = shown.width().max(shown.height());
        let scale = USUAL_SCALE.max(PLEASANT / longest).min(LARGEST_SCALE).min(LONGEST / longest);
        Self { piece, ..Self::at_scale(shown, scale) }
    }

    /// A box, in mm, and nothing around it, with so many pixels a millimetre.
    pub fn at_scale(shown: Rect, scale: f64) -> Self {
        let pixels = |length: f64| (length * scale).round().clamp(1.0, LONGEST) as u32;
        Self { piece: shown, shown, scale, width: pixels(shown.width()), height: pixels(shown.height()) }
    }

    /// Millimetres on the sheet to pixels.
    pub fn affine(&self) -> Affine {
        Affine::scale(self.scale) * Affine::translate(-self.shown.origin().to_vec2())
    }

    /// A length in pixels.
    pub fn pixels(&self, mm: f64) -> f32 {
        (mm * self.scale) as f32
    }

    /// The whole picture as one strip.
    pub const fn whole(&self) -> Strip {
        let height = self.height as usize;
        Strip { top: 0, bottom: height, first: 0, end: height }
    }

    /// The strips of the picture, from the top. Each is worked out alone, with `reach` pixels more on either
    /// side, from which marks reach into it.
    pub fn strips(&self, reach: f32) -> Vec<Strip> {
        let reach = (reach.ceil() as usize).next_multiple_of(STEP);
        let rows = (3 * reach).clamp(64, 256).next_multiple_of(STEP);
        let height = self.height as usize;
        let strip = |top: usize| {
            let bottom = (top + rows).min(height);
            Strip { top, bottom, first: top.saturating_sub(reach), end: (bottom + reach).min(height) }
        };
        (0..height).step_by(rows).map(strip).collect()
    }

    /// Left and right end of the rows, in mm from the left edge of the piece.
    pub fn ends(&self) -> (f32, f32) {
        (self.on_piece(0, 0).0, self.on_piece(self.width as usize - 1, 0).0)
    }

    /// The middle of a pixel, in mm from the left top corner of the piece.
    pub fn on_piece(&self, x: usize, y: usize) -> (f32, f32) {
        let at = |pixel: usize, origin: f64| (origin + (pixel as f64 + 0.5) / self.scale) as f32;
        (at(x, self.shown.x0 - self.piece.x0), at(y, self.shown.y0 - self.piece.y0))
    }
}
