//! Sizes and places: the movement that puts a figure on the sheet.
//!
//! In: a figure's box in its own frame, its `Placing` and the boxes of the figures it refers to. Out: one
//! affine movement into sheet coordinates (mm from the sheet's left top corner, x right, y down).
//!
//! Invariant: pure arithmetic of boxes. Nothing here knows what a figure is made of, and the order of
//! effects is always mirror, turn, size, place.

mod boxes;

pub use boxes::{Frames, LayoutProblem, Rest, home, movement};
