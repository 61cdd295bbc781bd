//! Files become geometry or pixels.
//!
//! In: bytes that were read by `source`, and settings of the recipe. Out: drawings in millimetres, in a frame of
//! their own, and findings about the file.
//!
//! Invariant: any bytes at all give a result or an error that names the file and the place in it: no panic, no
//! unbounded memory or time, no other file, no network.

mod budget;
pub mod picture;
pub mod select;
pub mod svg;
pub mod lettering;

pub use picture::{Picture, PictureRequest, read_picture};
pub use select::{Selector, SelectorError, parse_selector};
pub use svg::{Strokes, SvgArtwork, SvgFont, SvgRequest, read_svg};
