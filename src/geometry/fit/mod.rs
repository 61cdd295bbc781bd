//! The curve fitter: dense chords in, few smooth lines and cubics out.
//!
//! In: [`Stretch`]es, closed [`ring`]s and open [`chain`]s of points that lie on (or near) a curve which nobody
//! knows any more. Out: lines where the chain is straight, arcs where it is round, cubics elsewhere. The steps:
//!
//! 1. [`thin`]: points that say nothing go; what is left keeps within a thirty-second of the tolerance.
//! 2. [`corners`]: true corners cut the chain into stretches, straight edges stay lines.
//! 3. [`arcs`]: what is round becomes arcs of about a right angle at most.
//! 4. [`runs`]: the rest becomes cubics, each over the longest run that one can follow, joined smoothly
//!    ([`tangents`]) and fitted by least squares ([`cubic`], [`least_squares`]).
//!
//! Invariant: nothing is returned that [`bound`] has not proved to lie within the tolerance of the chain, both
//! ways and everywhere, not only in samples.

mod thin;
mod corners;
mod tangents;
mod bound;
mod least_squares;
mod cubic;
mod arcs;
mod runs;
mod simplified;
mod smooth;

pub use least_squares::LeastSquares;
pub use simplified::simplified;
pub use smooth::smooth_curve;

use super::FLATTEN_TOLERANCE;
use crate::units::Mm;
use corners::Outline;
use kurbo::{BezPath, ParamCurve, PathSeg, Point, Vec2};

/// The share of the tolerance that thinning may use up.
const THINNING_SHARE: f64 = 1.0 / 32.0;

/// Points in order along a smooth stretch, and what is known of its ends.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'a> {
    /// The points, in mm.
    pub points: &'a [Point],
    /// The direction of travel at the first point, a unit vector, where it is known; it is kept exactly.
    pub start: Option<Vec2>,
    /// The direction of travel at the last point.
    pub end: Option<Vec2>,
}

/// How far a fit may stray, taken apart.
#[derive(Clone, Copy)]
struct Budget {
    /// What thinning may take, in mm.
    thinning: f64,
    /// What is left for curves, in mm.
    curves: f64,
    /// How far the chords of the chain may lie from the curve they stand for, in mm.
    chords: f64,
}

impl Budget {
    fn of(tolerance: Mm) -> Self {
        let thinning = tolerance.get() * THINNING_SHARE;
        Self { thinning, curves: tolerance.get() - thinning, chords: FLATTEN_TOLERANCE.get() + thinning }
    }
}

/// Lines and cubics from the first point to the last that keep within `tolerance` of the chain of points, both ways
/// (Hausdorff), with one tangent where two of them meet. Nothing comes of fewer than two different points.
pub(super) fn stretch(stretch: Stretch, tolerance: Mm) -> Vec<PathSeg> {
    let budget = Budget::of(tolerance);
    let points = thin::chain(stretch.points, budget.thinning);
    let outline = Outline::smooth(points, budget);
    segments(&outline, (stretch.start, stretch.end), budget)
}

/// A closed chain of chords, its first point not repeated, as a closed contour; true corners and straight edges are
/// found here. Empty when there are fewer than three different points.
pub(super) fn ring(points: &[Point], tolerance: Mm) -> BezPath {
    let budget = Budget::of(tolerance);
    let points = thin::ring(points, budget.thinning);
    if points.len() < 3 {
        return BezPath::new();
    }
    if let Some(circle) = arcs::full_circle(&points, budget) {
        return path(&circle, true);
    }
    let outline = Outline::closed(points, budget);
    let seam = outline.seam_tangent();
    path(&segments(&outline, (seam, seam), budget), true)
}

/// An open chain of chords as an open path; true corners and straight edges are found here. Empty when there are fewer
/// than two different points.
pub(super) fn chain(points: &[Point], tolerance: Mm) -> BezPath {
    let budget = Budget::of(tolerance);
    let points = thin::chain(points, budget.thinning);
    let outline = Outline::open(points, budget);
    path(&segments(&outline, (None, None), budget), false)
}

/// The segments of an outline, stretch by stretch between its corners.
fn segments(outline: &Outline, ends: (Option<Vec2>, Option<Vec2>), budget: Budget) -> Vec<PathSeg> {
    let mut found = Vec::new();
    let stretches = outline.stretches();
    let count = stretches.len();
    for (i, &(from, to)) in stretches.iter().enumerate() {
        let start = if i == 0 { ends.0 } else { None };
        let end = if i + 1 == count { ends.1 } else { None };
        runs::of_stretch(outline, from, to, (start, end), budget, &mut found);
    }
    found
}

fn path(segments: &[PathSeg], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    let Some(first) = segments.first() else { return path };
    path.move_to(first.start());
    for (i, segment) in segments.iter().enumerate() {
        match segment {
            // The closing line is drawn by closing.
            PathSeg::Line(_) if closed && i + 1 == segments.len() => {}
            PathSeg::Line(l) => path.line_to(l.p1),
            PathSeg::Quad(q) => path.quad_to(q.p1, q.p2),
            PathSeg::Cubic(c) => path.curve_to(c.p1, c.p2, c.p3),
        }
    }
    if closed {
        path.close_path();
    }
    path
}

#[cfg(test)]
mod tests;
