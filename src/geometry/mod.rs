//! The geometry kernel: areas and lines in millimetres, and what can be done and measured with them.
//!
//! In and out: [`Region`], [`Drawing`] and kurbo paths. Coordinates are millimetres, x to the right and
//! y **down**, as in SVG. What that origin is (a figure's own, or the sheet's left top corner) is the
//! caller's business; every function keeps the frame it is given.
//!
//! Invariant: nothing here knows of recipes, files or machines; no value that is not finite passes the
//! border ([`Region::from_path`] refuses it); the same input gives the same bits on every machine.

mod region;
mod drawing;
mod grid;
mod flatten;
mod boolean;
mod beside;
mod circle;
mod offset;
mod widen;
mod parts;
mod measure;

pub use drawing::{Drawing, Element, Line, OpenEnds, Part};
pub use flatten::{is_closed, subpaths};
pub use measure::length;
pub use region::{Corners, FillRule, GeometryError, Region};
pub use widen::Caps;

/// Curves are flattened to chords that lie within this of the true curve, in mm.
///
/// A twentieth of the finest spot a workshop laser makes (0.04 mm): the error cannot be seen or felt.
pub const FLATTEN_TOLERANCE: crate::units::Mm = crate::units::Mm::new(0.002);
