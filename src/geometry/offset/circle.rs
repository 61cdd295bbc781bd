//! Circles among contours: drawn with curves, they are worth keeping through an offset.

use kurbo::{Affine, BezPath, ParamCurve, PathEl, Point, Shape};

/// A contour passes for a circle when its curves keep within this share of the radius. Four cubic arcs, the
/// usual drawing of a circle, stray by 0.00027 of it (M. Goldapp, 1991, from memory).
const ROUNDNESS: f64 = 0.0003;

/// A contour that is a circle.
pub(super) struct Circle {
    centre: Point,
    radius: f64,
}

impl Circle {
    /// The circle that a contour of at least three curves and nothing else draws.
    pub fn of(contour: &BezPath) -> Option<Self> {
        let curved = |e: &PathEl| matches!(e, PathEl::MoveTo(_) | PathEl::CurveTo(..) | PathEl::ClosePath);
        let curves = contour.elements().len().checked_sub(2)?;
        if curves < 3 || !contour.elements().iter().all(curved) {
            return None;
        }
        let centre = contour.bounding_box().center();
        let radius = contour.segments().next()?.start().distance(centre);
        // A closing line would be one more segment than there are curves.
        let count = contour.segments().count();
        let samples = contour.segments().flat_map(|s| [0.0, 0.25, 0.5, 0.75].map(|t| s.eval(t)));
        let mut strays = samples.map(|p| (p.distance(centre) - radius).abs());
        let round = count == curves && radius > 0.0 && strays.all(|s| s <= ROUNDNESS * radius);
        round.then_some(Self { centre, radius })
    }

    /// The contour after an offset: outwards where it is positive, unless the contour is a hole.
    pub fn resized(&self, contour: &BezPath, by: f64) -> Option<BezPath> {
        let factor = 1.0 + by * contour.area().signum() / self.radius;
        let to = self.centre.to_vec2();
        let resize = Affine::translate(to) * Affine::scale(factor) * Affine::translate(-to);
        (factor > 0.0).then(|| resize * contour.clone())
    }
}
