//! Tests of `geometry` from outside: closed forms, a reference library, and input that means harm.

mod against_geos;
mod closed_forms;
mod found_by_chance;
mod generated_offset;
mod generated_overlay;
mod hostile;
mod measuring;
pub mod oracle;
mod shapes;
mod refits;
mod strokes;

pub use oracle::{Outline, of_path as oracle_path, of_region as oracle_region, outlines};
