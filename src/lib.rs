//! Kerfbook: a compiler from project recipes to burnable files.

pub mod units;
pub mod source;
pub mod diagnostics;
pub mod cache;
pub mod syntax;
pub mod schema;
pub mod shop;
pub mod safety;
pub mod geometry;
pub mod recipe;
pub mod intake;
pub mod puzzle;
pub mod layout;
pub mod figures;
pub mod plan;
pub mod checks;
pub mod outputs;
pub mod rules;
pub mod driver;
pub mod cli;
