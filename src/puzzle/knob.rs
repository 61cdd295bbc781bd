//! A seam between two corners with its knob: what every character has in common.

use super::lattice::micrometres;
use kurbo::{Affine, CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, Point, Vec2};
use std::ops::Range;

/// Handles of the even curve on which a knob stands, as a share of the chord.
const CARRIER_REACH: f64 = 0.36;

/// The two ends of a seam.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    /// Where it starts and ends, mm.
    pub ends: [Point; 2],
    /// Unit tangents there, along the seam.
    pub tangents: [Vec2; 2],
}

/// How a knob stands on its seam. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    /// Where it stands, as a share of the seam.
    pub place: f64,
    /// How far its foot is sunk below the seam.
    pub sag: f64,
    /// How far it is turned.
    pub tilt: f64,
    /// 1 for a knob to the side that lies clockwise of the direction of travel (y down), -1 for the other.
    pub side: f64,
}

/// A seam with its knob, and which of its cubics do what.
#[derive(Clone, Debug)]
pub(super) struct Dressed {
    /// The cubics from corner to corner, rounded to micrometres.
    pub curve: Vec<CubicBez>,
    /// Which of them are the head, from neck to neck without the fillets.
    pub head: Range<usize>,
    /// How many cubics each of the two shoulders has; between shoulder and head lies the fillet of the neck.
    pub shoulder: usize,
    /// The least gap between the head and a shoulder that this knob asks for, mm.
    pub least_gap: f64,
}

impl Dressed {
    /// The cubics before the head, the head, and the cubics behind it.
    pub(super) fn parts(&self) -> [&[CubicBez]; 3] {
        [&self.curve[..self.head.start], &self.curve[self.head.clone()], &self.curve[self.head.end..]]
    }

    /// The two shoulders.
    pub(super) fn shoulders(&self) -> [&[CubicBez]; 2] {
        [&self.curve[..self.shoulder], &self.curve[self.curve.len() - self.shoulder..]]
    }
}

impl Span {
    /// The map from a flat foot (knob upwards, y positive) onto the seam.
    pub(super) fn frame(&self, stand: Stand) -> Affine {
        let [a, b] = self.ends;
        let reach = CARRIER_REACH * a.distance(b);
        let carrier = CubicBez::new(a, a + self.tangents[0] * reach, b - self.tangents[1] * reach, b);
        let along = carrier.deriv().eval(stand.place).to_vec2();
        let (sine, cosine) = libm::sincos(libm::atan2(along.y, along.x) + stand.tilt);
        let x = Vec2::new(cosine, sine);
        let y = Vec2::new(-sine, cosine) * stand.side;
        let origin = carrier.eval(stand.place).to_vec2() - y * stand.sag;
        Affine::new([x.x, x.y, y.x, y.y, origin.x, origin.y])
    }
}

/// Rounds a chain of cubics to micrometres; it stays joined, and its ends are the corners exactly.
pub(super) fn rounded(cubics: impl IntoIterator<Item = CubicBez>, ends: [Point; 2]) -> Vec<CubicBez> {
    let mut at = ends[0];
    let mut chain: Vec<CubicBez> = Vec::new();
    for c in cubics {
        let next = CubicBez::new(at, micrometres(c.p1), micrometres(c.p2), micrometres(c.p3));
        at = next.p3;
        chain.push(next);
    }
    if let Some(last) = chain.last_mut() {
        last.p3 = ends[1];
    }
    chain
}

/// The cubics as path segments, without what has shrunk to a point: a corner between two sides that go straight on.
pub(super) fn segments(cubics: &[CubicBez]) -> Vec<PathSeg> {
    let is_point = |c: &CubicBez| [c.p1, c.p2, c.p3].iter().all(|&p| p == c.p0);
    cubics.iter().filter(|c| !is_point(c)).map(|&c| PathSeg::Cubic(c)).collect()
}
