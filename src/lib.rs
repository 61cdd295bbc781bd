//! Kerfbook: a compiler from project recipes to burnable files.

pub mod units;
pub mod source;
pub mod diagnostics;
pub mod syntax;
pub mod geometry;
pub mod intake;
pub mod puzzle;
pub mod shop;
pub mod safety;
pub mod plan;
pub mod outputs;
pub mod driver;
