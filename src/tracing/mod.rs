//! A drawing on paper becomes a drawing in curves: outlines, the middles of its lines, or the seams between its areas.
//!
//! In: a picture's grey values as coded (0 black to 1 white). Out: paths in **pixels** of that picture, from its left top
//! corner. `ink` says what is drawn and what is paper, with `light` and `threshold`. For outlines, `contour` follows the edge
//! of the ink between pixels; `lines` thins the ink to its middle; `seams` gives it to the areas that it parts. Each chain
//! that comes of it is taken apart by `corners` and `sections` and drawn with lines and curves by `curve` and `fewest`.
//!
//! Invariant: a pure function of pixels and settings; the same picture gives the same bits on every machine, and no
//! picture makes it panic.

mod light;
mod threshold;
mod ink;
mod contour;
mod samples;
mod corners;
mod sections;
mod fewest;
mod curve;
mod paths;
mod outlines;
mod areas;
mod lines;
mod seams;

pub use ink::{Ink, NoContrast, Paper, ink};
pub use lines::{CentreLines, Dot, Stroke, centre_lines};
pub use outlines::{NOISE, Outlines, outlines};
pub use seams::{Loose, Seams, seams};
