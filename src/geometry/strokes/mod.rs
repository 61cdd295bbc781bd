//! Line clean-up: lines as they were drawn become strokes as they are burned.
//!
//! In: lines, each one subpath, and the distance within which two of them are one on the piece. Out: [`Strokes`]: no
//! stretch burned twice, ends that meet joined, whole curves kept as they were and split ones kept on their curve.
//!
//! The steps, each in a file of its own:
//! 1. [`line`]: lines are brought into an order of their own (closed before open, long before short, then by
//!    coordinates), so that the result does not depend on the order in which they were drawn.
//! 2. [`nesting`]: which line lies in which closed one.
//! 3. [`covered`]: stretches of a line that run along what an earlier line already burns are dropped.
//! 4. [`join`]: what is left is joined at its ends; where several meet, the straightest go on.
//! 5. [`starts`]: where a closed stroke may be begun.
//!
//! [`undoubled`] does only the third step, for lines that are to stay as they were drawn.
//!
//! Invariant: every point of every line that was given lies within one and a half tolerances of a stroke, and every
//! point of a stroke within that of a line that was given; what nothing lies on comes back as its own curves.

mod line;
mod nesting;
mod covered;
mod join;
mod starts;
mod undoubled;

pub use starts::{begun_at, starts};
pub use undoubled::{Undoubled, undoubled};

use super::flatten::is_closed;
use crate::units::Mm;
use kurbo::{BezPath, Point};
use line::Line;

/// Ends that lie no farther apart than this (mm) are put on each other without a line between them; it is what
/// flattening and rounding make of one and the same end.
const SAME_END: f64 = 0.005;

/// Lines as they are burned.
#[derive(Clone, Debug, Default)]
pub struct Strokes {
    /// The strokes.
    pub strokes: Vec<Stroke>,
    /// The stretches that lay on another line and are not burned a second time.
    pub once: Vec<Once>,
    /// Their length together.
    pub saved: Mm,
    /// How many pairs of ends of different lines were joined.
    pub joined: usize,
}

/// One stroke, burned from its start to its end without the beam going off.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// One subpath, open or closed.
    pub path: BezPath,
    /// How many outlines go round it, counting both the closed lines that were given and the closed strokes. What
    /// lies in another has a greater number than that.
    pub depth: usize,
}

/// A stretch of a line that lay on another one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Once {
    /// Index of the line that is not burned here.
    pub dropped: usize,
    /// Index of the line that is.
    pub kept: usize,
    /// The middle of the stretch.
    pub at: Point,
    /// Its length.
    pub length: Mm,
}

/// Cleans lines up for burning. Two lines that keep within `tolerance` of each other for a while are one there,
/// whichever way they run and wherever their nodes are; ends within it of each other are joined.
///
/// A line that only crosses or touches another is left whole. Time and memory grow with n log n; drawings that lie on
/// themselves hundreds of times are only cleaned up as far as that allows, and never lose a line.
pub fn clean_up(lines: &[BezPath], tolerance: Mm) -> Strokes {
    let tolerance = tolerance.get();
    let given = line::in_order(lines);
    let outlines: Vec<&BezPath> = lines.iter().filter(|l| is_closed(l)).collect();
    let depths = nesting::depths(&given.iter().map(Line::sample).collect::<Vec<_>>(), &outlines, tolerance);
    let covered = covered::covered(&given, tolerance);
    let edges = join::edges(&given, &covered.stretches, &depths);
    let (paths, joined) = join::joined(edges, tolerance);
    let strokes = nested(&paths, &outlines, tolerance);
    Strokes { strokes, once: covered.once, saved: Mm::new(covered.saved), joined }
}

/// Strokes in their order, with their depth among the outlines that were given and those that have come about.
fn nested(paths: &[BezPath], given: &[&BezPath], tolerance: f64) -> Vec<Stroke> {
    let outlines: Vec<&BezPath> = given.iter().copied().chain(paths.iter().filter(|p| is_closed(p))).collect();
    let strokes = line::in_order(paths);
    let depths = nesting::depths(&strokes.iter().map(Line::sample).collect::<Vec<_>>(), &outlines, tolerance);
    strokes.iter().zip(depths).map(|(line, depth)| Stroke { path: paths[line.index].clone(), depth }).collect()
}
