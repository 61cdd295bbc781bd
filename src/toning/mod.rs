//! A photo becomes dots: toned for the stock, then dithered.
//!
//! In: relative luminance, and what the recipe and the shop say of tones. Out: a coverage between 0 and 1 for each dot,
//! and a [`Bitmap`](crate::raster::Bitmap) of dots. Steps, in reading order: `trim` and `resample` give one pixel a dot
//! in linear light, `light` makes it lightness, `levels`, `local` and `sharpen` tone it, `chain` puts them in order and
//! turns lightness to coverage, `curve` corrects it by what a wedge came out as, `feather` fades it at an edge,
//! `diffusion`, `blue_noise` and `halftone` dither it.
//!
//! Invariant: every step is a function of its arguments alone, and the mean of the dots is the mean of the coverage.

mod trim;
mod resample;
mod light;
mod levels;
mod local;
mod sharpen;
mod curve;
mod chain;
mod feather;
mod chance;
mod diffusion;
mod blue_noise;
mod halftone;
mod dither;

pub use blue_noise::{blue_noise, ranks};
pub use chain::{StockTones, Tone, Toned, coverage};
pub use curve::ToneCurve;
pub use diffusion::{
    Border, DEFAULT_NOISE, Diffusion, FLOYD_STEINBERG, JARVIS_JUDICE_NINKE, Kernel, Order, STUCKI,
};
pub use dither::{Dither, dither};
pub use feather::fade;
pub use halftone::{Screen, halftone};
pub use levels::{Levels, levels};
pub use light::{lightness_of, luminance_of};
pub use local::local_contrast;
pub use resample::{Box2, resample};
pub use sharpen::sharpen;
pub use trim::trim;
