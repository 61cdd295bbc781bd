//! The geometry kernel: areas and lines in millimetres, and what can be done and measured with them.
//!
//! In and out: [`Region`], [`Drawing`] and kurbo paths. Coordinates are millimetres, x to the right and
//! y **down**, as in SVG. What that origin is (a figure's own, or the sheet's left top corner) is the
//! caller's business; every function keeps the frame it is given.
//!
//! Paths come in by [`Region::from_path`] and [`Region::from_stroke`]; regions are welded, cut and offset by
//! methods of [`Region`]; [`simplified`] draws a path with fewer nodes; what measures, from [`length`] and [`nearest`] to
//! [`crossings`], is gathered in `measure`. All of that runs on chords, on one lattice of 0.0001 mm: what an operation left
//! alone comes back as its own curves, the rest is drawn anew within [`DEVIATION`].
//!
//! Invariant: nothing here knows of recipes, files or machines; no value that is not finite passes the
//! border ([`Region::from_path`] refuses it); the same input gives the same bits on every machine.

mod region;
mod drawing;
mod grid;
mod crossings;
mod flatten;
mod edges;
mod boolean;
mod fit;
mod offset;
mod widen;
mod chords;
mod border;
mod measure;
mod faces;
mod hatch;
mod strokes;
mod features;
mod clip;
mod winding;

pub use clip::{Ends, clipped};
pub use drawing::{Drawing, Element, Line, OpenEnds, Part, Pen};
pub use faces::faces;
pub use features::{Loss, Lost};
pub use fit::{LeastSquares, simplified, smooth_curve};
pub use flatten::{is_closed, subpaths};
pub use hatch::{Hatch, HatchLine, hatch};
pub use measure::{
    Crossing, Crossings, Doubled, EndNear, Island, MOST_CROSSINGS, MOST_PLACES, Nearest, OpenEnd, Surroundings,
    Thin, Tip, crossings, doubled_lines, farthest_outside, length, nearest, open_ends, sharp_tips, smallest_hole,
    smallest_part, thin_gaps, thin_places,
};
pub use region::{Corners, FillRule, GeometryError, Region};
pub use strokes::{Once, Stroke, Strokes, Undoubled, begun_at, clean_up, starts, undoubled};
pub use widen::Caps;
pub use winding::winding;

/// Curves are flattened to chords that lie within this of the true curve, in mm.
///
/// A twentieth of the finest spot a workshop laser makes (0.04 mm): the error cannot be seen or felt.
pub const FLATTEN_TOLERANCE: crate::units::Mm = crate::units::Mm::new(0.002);

/// Curves that are drawn anew keep within this of the chords that were worked out, in mm.
pub const FIT_TOLERANCE: crate::units::Mm = crate::units::Mm::new(0.006);

/// What a weld, cut or offset draws anew lies within this of where it should, in mm: flattening, thinning, rounding, arcs
/// as chords and the fit together. What an operation left alone comes back exactly.
///
/// A quarter of the finest spot a workshop laser makes (0.04 mm), and below what a belt-driven axis repeats.
pub const DEVIATION: crate::units::Mm = crate::units::Mm::new(0.01);
