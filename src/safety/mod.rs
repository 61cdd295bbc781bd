//! What a maker must be reminded of: materials that may not be burned, hazards, checklists.
//!
//! In: a [`Circumstances`], which is what the shop says of its machine and stock. Out: [`judge`]'s
//! verdict on a material, and lines of text for the job sheet, each with its source.
//!
//! Invariant: nothing here ever calls a material, a machine, a room or a pair of glasses safe. The text
//! is a reminder; where sources disagree the stricter one is printed. Nothing here knows of recipes.

mod checklist;
mod circumstances;
mod hazards;
mod judge;
mod materials;
mod signs;
mod sources;

pub use checklist::{CheckLine, Reminder, between_runs, checklist, reminders};
pub use circumstances::{Circumstances, Fact, wavelength_text};
pub use hazards::{Hazard, hazards};
pub use judge::{Judgement, judge, materials, only_marked};
pub use signs::{SIGNS, Sign, SignKind};
pub use sources::{AUTHORITY, LIMITS, Source, sources_of};
