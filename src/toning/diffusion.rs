//! Error diffusion: what a dot burns too much or too little, its neighbours make up for.

use super::chance::chance;
use crate::raster::{Bitmap, Plane};

/// Where the error of a dot goes: columns to the right, rows down, weight.
pub type Kernel = &'static [(isize, usize, f32)];

/// Floyd and Steinberg, An Adaptive Algorithm for Spatial Grey Scale, Proc. SID 17(2), 1976.
pub static FLOYD_STEINBERG: Kernel =
    &[(1, 0, 7.0 / 16.0), (-1, 1, 3.0 / 16.0), (0, 1, 5.0 / 16.0), (1, 1, 1.0 / 16.0)];

/// Stucki, MECCA, IBM Research Report RZ1060, 1981 (from memory).
pub static STUCKI: Kernel = &[
    (1, 0, 8.0 / 42.0),
    (2, 0, 4.0 / 42.0),
    (-2, 1, 2.0 / 42.0),
    (-1, 1, 4.0 / 42.0),
    (0, 1, 8.0 / 42.0),
    (1, 1, 4.0 / 42.0),
    (2, 1, 2.0 / 42.0),
    (-2, 2, 1.0 / 42.0),
    (-1, 2, 2.0 / 42.0),
    (0, 2, 4.0 / 42.0),
    (1, 2, 2.0 / 42.0),
    (2, 2, 1.0 / 42.0),
];

/// Jarvis, Judice and Ninke, A survey of techniques for the display of continuous tone pictures on bilevel displays,
/// 1976 (from memory).
pub static JARVIS_JUDICE_NINKE: Kernel = &[
    (1, 0, 7.0 / 48.0),
    (2, 0, 5.0 / 48.0),
    (-2, 1, 3.0 / 48.0),
    (-1, 1, 5.0 / 48.0),
    (0, 1, 7.0 / 48.0),
    (1, 1, 5.0 / 48.0),
    (2, 1, 3.0 / 48.0),
    (-2, 2, 1.0 / 48.0),
    (-1, 2, 3.0 / 48.0),
    (0, 2, 5.0 / 48.0),
    (1, 2, 3.0 / 48.0),
    (2, 2, 1.0 / 48.0),
];

/// In which direction rows are worked on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Every row from the left, as published.
    Raster,
    /// To and fro, which breaks up the worms that lean to one side.
    Serpentine,
}

/// What becomes of error that would leave at the sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Border {
    /// It is lost, as published.
    Loses,
    /// It goes to the last pixel of the row.
    Keeps,
}

/// How error is spread.
#[derive(Clone, Copy, Debug)]
pub struct Diffusion {
    /// Where it goes.
    pub kernel: Kernel,
    /// The direction of rows.
    pub order: Order,
    /// What becomes of it at the sides.
    pub border: Border,
    /// How much the threshold of one half is shaken (Ulichney 1987): it breaks up textures in even tones.
    pub noise: f32,
}

/// Shaking that leaves no texture in even tones and hardly any grain.
pub const DEFAULT_NOISE: f32 = 0.2;

/// Columns that a kernel reaches to either side, and rows down.
const REACH: usize = 2;

impl Diffusion {
    /// Dots for a coverage. What is not to be burned at all never is; its error goes on.
    pub fn dots(&self, coverage: &Plane) -> Bitmap {
        let (width, height) = (coverage.width, coverage.height);
        let mut bitmap = Bitmap::new(width, height);
        let mut rows: [Vec<f32>; 3] = std::array::from_fn(|_| vec![0.0; width + 2 * REACH]);
        for y in 0..height {
            let backwards = self.order == Order::Serpentine && y % 2 == 1;
            self.row(coverage, y, backwards, &mut rows, &mut bitmap);
            rows.rotate_left(1);
            rows[2].fill(0.0);
        }
        bitmap
    }

    fn row(&self, coverage: &Plane, y: usize, backwards: bool, rows: &mut [Vec<f32>; 3], bitmap: &mut Bitmap) {
        let width = coverage.width;
        let values = coverage.row(y);
        let turn = if backwards { -1 } else { 1 };
        for i in 0..width {
            let x = if backwards { width - 1 - i } else { i };
            let wanted = values[x] + rows[0][x + REACH];
            let threshold = 0.5 + self.noise * (chance(x, y) - 0.5);
            let is_burned = wanted >= threshold && values[x] > 0.0;
            if is_burned {
                bitmap.set(x, y);
            }
            let error = if is_burned { wanted - 1.0 } else { wanted };
            for &(dx, dy, weight) in self.kernel {
                let at = (x + REACH).wrapping_add_signed(dx * turn);
                let at = if self.border == Border::Keeps { at.clamp(REACH, width + REACH - 1) } else { at };
                // Ahead in the same row there may be no pixel left: then it goes to the one below.
                if dy == 0 && self.border == Border::Keeps && i + 1 == width {
                    rows[1][x + REACH] += error * weight;
                } else {
                    rows[dy][at] += error * weight;
                }
            }
        }
    }
}
