//! Areas grown and shrunk, and lines widened to areas: what lies within a distance of an outline.
//!
//! Contours become rings of chords that remember whether they are straight, a curve or a corner ([`source`]). The raw
//! line beside each ([`raw`]) is taken apart where it crosses itself or others ([`cross`]); the pieces on the border
//! ([`cover`]) are put together again ([`trim`]) and drawn with lines, arcs and curves ([`draw`]). The few drawings that
//! are too degenerate or too ragged for this are overlaid on the lattice instead ([`overlaid`]).
//!
//! Tolerances add up like this: an outline is flattened within 0.002 mm and thinned by 0.0005 mm; arcs of the raw line
//! are chords within 0.001 mm; and the curves drawn at the end keep within 0.006 mm of all that. The contour lies within
//! [`DEVIATION`](super::DEVIATION), 0.01 mm, of where it should.

mod source;
mod thinning;
mod raw;
mod cross;
mod cover;
mod trim;
mod draw;
mod circle;
mod overlaid;

pub(super) use cover::Aside;
pub(super) use source::{Beside, Outline};

use super::boolean::is_worth_keeping;
use super::{Corners, Region};
use crate::units::Mm;
use circle::Circle;
use kurbo::{BezPath, PathEl};
use raw::{InnerCorners, Marked};

/// Farther offsets than this (mm) are taken as this: nothing that fits a bed is left or asked for beyond it.
const FARTHEST: f64 = 10_000.0;

impl Region {
    /// The area grown by `by` on all sides, or shrunk when `by` is negative.
    ///
    /// Outer corners become what `corners` says (when shrinking, those are the corners of the area that point
    /// inwards). Parts may merge or vanish, holes may close, a part may split in two. The contours are drawn with few
    /// smooth curves within [`DEVIATION`](super::DEVIATION) of the true ones; straight edges stay straight, round corners
    /// are arcs, and a circle that nothing else touches stays a circle.
    ///
    /// A mitred corner follows SVG: a tip as long as tip over distance is within the limit, else a bevel.
    pub fn offset(&self, by: Mm, corners: Corners) -> Self {
        let distance = by.get().clamp(-FARTHEST, FARTHEST);
        if distance == 0.0 || distance.is_nan() {
            return self.clone();
        }
        let beside = Beside { distance, corners };
        let contours = self.wound_positively();
        let asides: Vec<(&BezPath, Aside)> =
            contours.iter().filter_map(|c| Some((c, (Outline::of_contour(c)?, beside)))).collect();
        let (contours, asides): (Vec<&BezPath>, Vec<Aside>) = asides.into_iter().unzip();
        let as_circle =
            |ring: &Marked| Circle::of(contours[ring.beside?])?.resized(contours[ring.beside?], distance);
        about(&asides, as_circle).unwrap_or_else(|| overlaid::offset(&asides, distance, corners))
    }

    /// The contours, outer ones winding positively.
    fn wound_positively(&self) -> Vec<BezPath> {
        let outer = self.contours().iter().map(kurbo::Shape::area).sum::<f64>() >= 0.0;
        let wound = |c: &BezPath| if outer { c.clone() } else { c.reverse_subpaths() };
        self.contours().iter().map(wound).collect()
    }
}

/// The area about widened lines.
pub(super) fn about_lines(asides: &[Aside]) -> Region {
    about(asides, |_| None).unwrap_or_else(|| overlaid::area(asides))
}

/// What outlines cover together with their strips, or without them when those lie inside; `as_drawn` may know how a ring
/// that nothing cut is drawn best.
fn about(asides: &[Aside], as_drawn: impl Fn(&Marked) -> Option<BezPath>) -> Option<Region> {
    let raw: Vec<Marked> = asides.iter().map(|(o, b)| raw::beside(o, *b, InnerCorners::of(o, *b))).collect();
    let rings = trim::trimmed(asides, raw)?;
    let substantial = rings.iter().filter(|ring| is_worth_keeping(ring.area_and_perimeter()));
    let mut contours: Vec<BezPath> =
        substantial.map(|ring| as_drawn(ring).unwrap_or_else(|| draw::contour(ring))).collect();
    contours.sort_by(|a, b| start(a).0.total_cmp(&start(b).0).then(start(a).1.total_cmp(&start(b).1)));
    Some(Region::from_clean_contours(contours))
}

/// The leftmost point of a contour: contours are ordered by it, so that an outer one comes before its holes.
fn start(contour: &BezPath) -> (f64, f64) {
    let points = contour.elements().iter().filter_map(PathEl::end_point).map(|p| (p.x, p.y));
    points.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))).unwrap_or_default()
}
