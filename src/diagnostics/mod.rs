//! Findings: what is wrong, where, what follows from it at the machine, and how to mend it.
//!
//! In: [`Diagnostic`]s pushed into a [`Sink`] by every other floor. Out: text for a terminal, JSON or
//! SARIF.
//!
//! Invariant: a rule is a static [`Finding`] beside the code that raises it, and is listed in
//! [`crate::rules`]; nothing here knows a particular rule.

mod diagnostic;
mod finding;
mod near;
pub mod place;
mod sink;
pub mod render;

pub use diagnostic::{ArtworkPlace, Diagnostic, Label, Repair};
pub use finding::{Finding, Severity};
pub use near::{near_names, quoted_list};
pub use place::{counted, places};
pub use sink::Sink;
