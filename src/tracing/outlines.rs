//! The outlines of what is drawn.

use super::contour::{contours, doubled_area};
use super::corners::corners;
use super::curve::drawn;
use super::ink::Ink;
use super::paths::closed;
use super::samples::{Settings, resampled};
use super::sections::sections;
use kurbo::{BezPath, PathSeg, Point};
use rayon::prelude::*;

/// What goes round less than this (square pixels) cannot be drawn, whatever is asked for.
const LEAST_AREA: f64 = 1.0;

/// What goes round less than this (square pixels) is noise, if nobody says otherwise.
pub const NOISE: f64 = 4.0;

/// Edges of all contours together: a page of dense script scanned at 600 dots an inch has a third; a photo has more.
const MOST_POINTS: usize = 4_000_000;

/// Closed outlines, in pixels.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// Each closed and one subpath. Ink lies between an outline and those inside it (even-odd).
    pub paths: Vec<BezPath>,
    /// The middles of specks and pinholes that were left out.
    pub specks: Vec<Point>,
}

/// The outlines of the ink; what goes round less than `least_area` (square pixels) is left out. `None` when there are more
/// edges than any drawing has.
pub fn outlines(ink: &Ink, least_area: f64) -> Option<Outlines> {
    let least = 2.0 * least_area.max(LEAST_AREA);
    let (kept, specks): (Vec<_>, Vec<_>) = contours(&ink.plane, ink.threshold, MOST_POINTS)?
        .into_iter()
        .partition(|c| doubled_area(c).abs() >= least);
    let settings = ink.paper.settings();
    let paths: Vec<BezPath> = kept.par_iter().map(|contour| outline(contour, &settings)).collect();
    let paths = paths.into_iter().filter(|p| !p.elements().is_empty()).collect();
    Some(Outlines { paths, specks: specks.iter().map(|c| middle(c)).collect() })
}

fn middle(points: &[Point]) -> Point {
    let sum = points.iter().fold(kurbo::Vec2::ZERO, |sum, p| sum + p.to_vec2());
    (sum / points.len() as f64).to_point()
}

fn outline(contour: &[Point], settings: &Settings) -> BezPath {
    let samples = resampled(contour);
    let corners = corners(&samples, settings);
    let sections = sections(&samples, &corners, settings);
    let segments: Vec<PathSeg> = sections.iter().flat_map(|s| drawn(s, settings)).collect();
    closed(segments, settings)
}
