//! The dithers that a recipe can name.

use super::diffusion::{Border, DEFAULT_NOISE, Diffusion, FLOYD_STEINBERG, JARVIS_JUDICE_NINKE, Order, STUCKI};
use super::{Screen, blue_noise, halftone};
use crate::raster::{Bitmap, Plane};

/// How tones become dots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dither {
    /// Error diffusion, Floyd and Steinberg 1976.
    FloydSteinberg,
    /// Error diffusion, Stucki 1981.
    Stucki,
    /// Error diffusion, Jarvis, Judice and Ninke 1976.
    JarvisJudiceNinke,
    /// Blue noise, Ulichney 1993.
    BlueNoise,
    /// Halftone dots.
    Halftone(Screen),
}

impl Dither {
    /// The recipe word.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::FloydSteinberg => "floyd-steinberg",
            Self::Stucki => "stucki",
            Self::JarvisJudiceNinke => "jarvis-judice-ninke",
            Self::BlueNoise => "blue-noise",
            Self::Halftone(_) => "halftone",
        }
    }
}

/// Dots for a coverage between 0 and 1.
pub fn dither(coverage: &Plane, how: &Dither) -> Bitmap {
    let diffusion =
        |kernel| Diffusion { kernel, order: Order::Serpentine, border: Border::Keeps, noise: DEFAULT_NOISE };
    match how {
        Dither::FloydSteinberg => diffusion(FLOYD_STEINBERG).dots(coverage),
        Dither::Stucki => diffusion(STUCKI).dots(coverage),
        Dither::JarvisJudiceNinke => diffusion(JARVIS_JUDICE_NINKE).dots(coverage),
        Dither::BlueNoise => blue_noise(coverage),
        Dither::Halftone(screen) => halftone(coverage, screen),
    }
}
