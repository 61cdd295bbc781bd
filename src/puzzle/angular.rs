//! A knob with straight sides: a polygon with rounded corners.

use super::knob::{Dressed, Span, Stand, rounded};
use kurbo::{CubicBez, Point, Vec2};

/// Radius of the upper corners of the head in radii of the lower ones.
const TOP_CORNERS: f64 = 1.3;
/// Radius of the bends in the shoulders in radii of the head's lower corners.
const BENDS: f64 = 3.0;
/// The roundings of two corners may take at most this share of the side between them.
const MOST_OF_A_SIDE: f64 = 0.98;
/// Least gap between head and shoulder in radii of the fillet between them.
const UNDER_HEAD: f64 = 1.5;

/// Everything that shapes one angular knob. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub(super) struct AngularKnob {
    /// How it stands on the seam.
    pub stand: Stand,
    /// Width of the head between its lower corners.
    pub head: f64,
    /// Width of the neck.
    pub neck: f64,
    /// Radius of the fillets at the neck.
    pub fillet: f64,
    /// Radius of the head's lower corners.
    pub corner: f64,
    /// Width of the head at the top.
    pub top: f64,
    /// Height of the lower corners.
    pub low: f64,
    /// Height of the upper corners.
    pub high: f64,
    /// How far the top is shifted sideways.
    pub skew: f64,
    /// How much higher the top is at the left than in the middle.
    pub slope: f64,
    /// Where each shoulder bends, as a share of the seam.
    pub bends: [f64; 2],
}

impl AngularKnob {
    /// The seam with this knob in it; `None` when the corners leave no room for their roundings.
    pub(super) fn dress(&self, span: Span) -> Option<Dressed> {
        let corners = self.corners(span);
        let radii = [
            BENDS * self.corner,
            self.fillet,
            self.corner,
            TOP_CORNERS * self.corner,
            TOP_CORNERS * self.corner,
            self.corner,
            self.fillet,
            BENDS * self.corner,
        ];
        let cubics = rounded_polygon(&corners, &radii)?;
        let curve = rounded(cubics, span.ends);
        // Sides and roundings alternate: side, bend, side, fillet, then the head.
        let head = 4..curve.len() - 4;
        Some(Dressed { curve, head, shoulder: 3, least_gap: UNDER_HEAD * self.fillet })
    }

    /// The corners from one end of the seam to the other.
    fn corners(&self, span: Span) -> [Point; 10] {
        let [start, end] = span.ends;
        let length = start.distance(end);
        let (half, foot) = (self.head / 2.0, self.foot());
        let place = span.frame(self.stand);
        let at = |x: f64, y: f64| place * Point::new(x, y);
        [
            start,
            start + span.tangents[0] * (self.bends[0] * length),
            at(-foot, 0.0),
            at(self.skew / 2.0 - half, self.low + self.slope / 2.0),
            at(self.skew - self.top / 2.0, self.high + self.slope),
            at(self.skew + self.top / 2.0, self.high - self.slope),
            at(self.skew / 2.0 + half, self.low - self.slope / 2.0),
            at(foot, 0.0),
            end - span.tangents[1] * (self.bends[1] * length),
            end,
        ]
    }

    /// Half the distance between the corners at the foot, so that their fillets leave a gap of just the neck.
    fn foot(&self) -> f64 {
        let mut foot = self.neck / 2.0;
        // The turn at the foot depends on where it is; four rounds settle it to under a micrometre.
        for _ in 0..4 {
            let turn = std::f64::consts::FRAC_PI_2 + libm::atan((self.head / 2.0 - foot) / self.low);
            foot = self.neck / 2.0 - self.fillet * (libm::tan(turn / 2.0) - 1.0);
        }
        foot
    }
}

/// An open polygon with its inner corners rounded, as cubics: sides and corners in turn.
fn rounded_polygon(corners: &[Point], radii: &[f64]) -> Option<Vec<CubicBez>> {
    let mut cuts = vec![0.0];
    let mut turns = Vec::with_capacity(radii.len());
    for (corner, &radius) in corners.windows(3).zip(radii) {
        let [before, after] = [corner[1] - corner[0], corner[2] - corner[1]];
        let turn = libm::atan2(before.cross(after), before.dot(after)).abs();
        turns.push(turn);
        cuts.push(radius * libm::tan(turn / 2.0));
    }
    cuts.push(0.0);
    let mut cubics = Vec::with_capacity(2 * corners.len());
    let mut at = corners[0];
    for (side, ends) in corners.windows(2).enumerate() {
        let length = ends[0].distance(ends[1]);
        if cuts[side] + cuts[side + 1] > MOST_OF_A_SIDE * length {
            return None;
        }
        let along = (ends[1] - ends[0]) / length;
        let [leave, arrive] = [ends[0] + along * cuts[side], ends[1] - along * cuts[side + 1]];
        if side > 0 {
            let handle = 4.0 / 3.0 * libm::tan(turns[side - 1] / 4.0) * radii[side - 1];
            let before: Vec2 = ends[0] - at;
            let before = before / before.hypot().max(f64::MIN_POSITIVE);
            cubics.push(CubicBez::new(at, at + before * handle, leave - along * handle, leave));
        }
        cubics.push(CubicBez::new(leave, leave.lerp(arrive, 1.0 / 3.0), leave.lerp(arrive, 2.0 / 3.0), arrive));
        at = arrive;
    }
    Some(cubics)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_right_angle_becomes_a_quarter_circle() {
        let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)].map(Point::from);
        let cubics = rounded_polygon(&corners, &[4.0]).unwrap();
        assert_eq!(cubics.len(), 3);
        assert!((kurbo::ParamCurve::eval(&cubics[1], 0.5).distance(Point::new(6.0, 4.0)) - 4.0).abs() < 2e-3);
        assert!(rounded_polygon(&corners, &[9.9]).is_none());
    }
}
