//! Kerfbook: a compiler from project recipes to burnable files.
//!
//! The modules stand in reading order, ground floor first; imports run downward only. A recipe becomes text with
//! spans (`source`), a tree (`syntax`), checked fields (`schema`), a typed recipe (`shop`, `recipe`), figures drawn and
//! placed (`geometry`, `intake`, `puzzle`, `layout`, `figures`), one resolved job (`plan`), findings about it (`checks`)
//! and bytes (`outputs`); `driver` puts them in place and `cli` talks to the person.

pub mod units;
pub mod source;
pub mod diagnostics;
pub mod cache;
pub mod syntax;
pub mod table;
pub mod schema;
pub mod shop;
pub mod safety;
pub mod shaping;
pub mod cards;
pub mod readings;
pub mod entries;
pub mod geometry;
pub mod raster;
pub mod tracing;
pub mod toning;
pub mod mending;
pub mod journal;
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
