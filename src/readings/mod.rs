//! Readings of burned cards, and the numbers that they come to.
//!
//! In: what was measured with a calliper, a loupe or a scan, typed or from a table. Out: a kerf, a beam, the darkness of
//! each power, with the arithmetic in words and how far the readings differ.
//!
//! Invariant: nothing is smoothed or made up; readings that do not determine a number are refused, with the reason.

mod error;
mod focus;
mod kerf;
pub mod quantity;
mod shade;
mod table;

pub use error::ReadingError;
pub use focus::{Beam, FocusReading, beam};
pub use kerf::{Comb, Kerf, KerfReading, kerf};
pub use shade::{Darkness, ShadeReading, Shades, shades};
pub use table::{Row, Table};
