//! Findings as text: for people at a terminal, for programs line by line, and for services that read SARIF.
//!
//! In: [`Diagnostic`](super::Diagnostic)s and the [`Sources`](crate::source::Sources) they point into. Out: a
//! string; nothing is printed here.
//!
//! Invariant: every character of a recipe that a terminal would obey instead of showing it is replaced, and no
//! line of a recipe is printed at more than the width asked for.

mod human;
mod snippet;
mod wording;
mod json;
mod sarif;

pub use human::{HumanOptions, human};
pub use json::{JSON_SCHEMA, json, json_of_all};
pub use sarif::{sarif, sarif_of_all};
