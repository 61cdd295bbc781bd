//! Pixels: what pictures are worked out on.
//!
//! In: numbers. Out: [`Plane`]s, softened, measured, resampled, and [`Bitmap`]s. A plane's left top corner is (0, 0) and a pixel is one
//! unit wide, so the middle of the first pixel is (0.5, 0.5).
//!
//! Invariant: the same numbers give the same numbers on every machine and however many threads work on them.

mod bitmap;
mod distance;
mod plane;
mod softened;

pub use bitmap::Bitmap;
pub use distance::{distance_inside, squared_distances};
pub use plane::{Plane, mix};
