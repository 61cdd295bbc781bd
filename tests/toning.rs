//! Tones and dots against published values, closed forms and the project's own measures.

mod dithers;
mod photos;
mod spectrum;

use kerfbook::raster::Plane;

/// An even tone.
fn patch(side: usize, value: f32) -> Plane {
    Plane { width: side, height: side, values: vec![value; side * side] }
}
