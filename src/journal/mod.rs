//! What was burned from a recipe, and how it went: the file `NAME.journal.kdl` beside it.
//!
//! In: the tree of a journal. Out: a [`Journal`], whose last entry is the last time. Also, out of an [`Entry`], its text.
//!
//! Invariant: a journal only remembers. Nothing that is burned depends on it; the job sheet and one check read it.

mod model;
mod file;
mod write;

pub use file::{JOURNAL_FILE, decode_journal};
pub use model::{Entry, FileThen, HowItWent, InputThen, Journal, RunThen, Step, day};
pub use write::{HEADING, entry_text};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[&file::NOT_A_DAY];
