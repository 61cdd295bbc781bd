//! The geometry kernel: areas and lines in millimetres, and what can be done and measured with them.
//!
//! In and out: [`Region`], [`Drawing`] and kurbo paths. Coordinates are millimetres, x to the right and
//! y **down**, as in SVG. What that origin is (a figure's own, or the sheet's left top corner) is the
//! caller's business; every function keeps the frame it is given.
//!
//! Paths come in by [`Region::from_path`] and [`Region::from_stroke`]; regions are welded, cut and offset by
//! methods of [`Region`]; [`length`], [`nearest`], [`farthest_outside`], [`thin_places`] and
//! [`doubled_lines`] measure. All of that runs on chords, on one lattice of 0.0001 mm: a contour that an
//! operation left alone comes back as its own curves, one that it changed as chords.
//!
//! Invariant: nothing here knows of recipes, files or machines; no value that is not finite passes the
//! border ([`Region::from_path`] refuses it); the same input gives the same bits on every machine.

mod region;
mod drawing;
mod grid;
mod crossings;
mod flatten;
mod boolean;
mod beside;
mod circle;
mod offset;
mod widen;
mod chords;
mod border;
mod parts;
mod measure;
mod thin;
mod doubled;

pub use doubled::{Doubled, doubled_lines};
pub use drawing::{Drawing, Element, Line, OpenEnds, Part, Pen};
pub use flatten::{is_closed, subpaths};
pub use measure::{Nearest, farthest_outside, length, nearest};
pub use region::{Corners, FillRule, GeometryError, Region};
pub use thin::{MOST_PLACES, Thin, thin_places};
pub use widen::Caps;

/// Curves are flattened to chords that lie within this of the true curve, in mm.
///
/// A twentieth of the finest spot a workshop laser makes (0.04 mm): the error cannot be seen or felt.
pub const FLATTEN_TOLERANCE: crate::units::Mm = crate::units::Mm::new(0.002);
