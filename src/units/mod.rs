//! Quantities: exact while they are read, millimetres and seconds inside.
//!
//! In: the text of a quantity (`"8 1/2 in"`). Out: a [`Quantity`] (an exact rational with a
//! dimension), which becomes one of the typed scalars ([`Mm`], [`MmPerSecond`] …) once, when a
//! recipe is decoded.
//!
//! Invariant: this floor knows nothing of recipes, files or diagnostics, and [`number`] is the only
//! place where a float becomes text.

pub mod number;
mod quantity;
mod scalar;

pub use quantity::{Dimension, Quantity, QuantityError, UNITS, Unit, parse_quantity, parse_unit};
pub use scalar::{Degrees, Mm, Mm2, MmPerSecond, MmPerSecond2, Percent, Seconds, Watts};
