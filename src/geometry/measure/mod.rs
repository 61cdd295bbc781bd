//! Measuring: what the checks ask of areas and lines, each answer with its place.
//!
//! In: [`Region`](super::Region)s and kurbo paths, in mm. Out: numbers in mm and the points they were measured at,
//! the worst first.
//!
//! | question | asked with |
//! |---|---|
//! | how long is a line | [`length`] |
//! | where do two drawings come closest | [`nearest`] |
//! | does anything come near a point | [`Surroundings`] |
//! | what sticks out, and how far | [`farthest_outside`], `Region::farthest_outside` |
//! | where is a wall thin, where a gap narrow | [`thin_places`], [`thin_gaps`] |
//! | where does it run out in a sharp tip | [`sharp_tips`] |
//! | what runs on top of each other | [`doubled_lines`] |
//! | what crosses or touches itself or another | [`crossings`] |
//! | which ends lie near something without meeting it | [`open_ends`] |
//! | what is the smallest part, the smallest hole | [`smallest_part`], [`smallest_hole`] |
//! | which parts are there, and where is their middle | `Region::parts`, `Region::interior_point` |
//!
//! Everything runs on chords within the flattening tolerance of the curves, kept in a tree of boxes
//! (`geometry::chords`); a region's border is asked for depths and discs in `geometry::border`.
//!
//! Invariant: measuring changes nothing, ends in bounded time whatever it is given, and answers the same on every
//! machine.

mod outline;
mod nearest;
mod outside;
mod thin;
mod tips;
mod doubled;
mod meetings;
mod ends;
mod islands;
mod parts;
mod surroundings;

pub use doubled::{Doubled, doubled_lines};
pub use ends::{EndNear, OpenEnd, open_ends};
pub use islands::{Island, smallest_hole, smallest_part};
pub use meetings::{Crossing, Crossings, MOST_CROSSINGS, crossings};
pub use nearest::{Nearest, length, nearest};
pub use outside::farthest_outside;
pub use surroundings::Surroundings;
pub use thin::{MOST_PLACES, Thin, thin_gaps, thin_places};
pub use tips::{Tip, sharp_tips};
