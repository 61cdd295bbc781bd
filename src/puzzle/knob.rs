//! A seam between two corners as one smooth chain of cubic curves: shoulder, neck, head, neck, shoulder.
//!
//! The head is first built on a flat foot from circles that touch each other: a small circle on either side (the
//! fillets that round the neck) and a large one on top (the head). One affine map then leans and stretches
//! it, another one puts it onto the edge. Both keep cubics cubic and smooth joins smooth.

use super::lattice::micrometres;
use kurbo::{Affine, CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, Point, Vec2};
use std::ops::Range;

/// A shoulder may leave the straight way to its end by at most this angle: cosine of 60°.
const STEEPEST_SHOULDER: f64 = 0.5;
/// The least length of a shoulder in radii of its fillet.
const SHORTEST_SHOULDER: f64 = 0.9;
/// Longest arc that one cubic stands for, radians (75°): its error is under 0.003 % of the radius.
const LONGEST_ARC: f64 = 1.31;
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

/// Everything that shapes one round knob. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub(super) struct RoundKnob {
    /// Where it stands, as a share of the seam.
    pub place: f64,
    /// Diameter of the head.
    pub head: f64,
    /// Width of the neck.
    pub neck: f64,
    /// Radii of the fillets on either side of the neck.
    pub fillets: [f64; 2],
    /// How far its foot is sunk below the seam.
    pub sag: f64,
    /// How far it is turned.
    pub tilt: f64,
    /// How far it is sheared.
    pub lean: f64,
    /// By what it is stretched along the seam.
    pub stretch: f64,
    /// By what it is stretched across the seam.
    pub rise: f64,
    /// By how much each shoulder dips before it rises into the neck.
    pub dips: [f64; 2],
    /// Handle lengths of the shoulders, as a share of their lengths.
    pub reaches: [f64; 2],
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
}

impl Dressed {
    /// The cubics before the head, the head, and the cubics behind it.
    pub(super) fn parts(&self) -> [&[CubicBez]; 3] {
        [&self.curve[..self.head.start], &self.curve[self.head.clone()], &self.curve[self.head.end..]]
    }
}

/// A circle arc: centre, radius, start angle and turn in radians.
struct Arc {
    centre: Point,
    radius: f64,
    from: f64,
    turn: f64,
}

impl RoundKnob {
    /// The largest and the smallest factor by which lean, stretch and rise change a length.
    pub(super) fn stretches(&self) -> [f64; 2] {
        // The singular values of [[stretch, lean], [0, rise]].
        let sum = self.stretch * self.stretch + self.lean * self.lean + self.rise * self.rise;
        let product = self.stretch * self.rise;
        let root = (sum * sum - 4.0 * product * product).max(0.0).sqrt();
        [sum.midpoint(root).sqrt(), ((sum - root) / 2.0).max(0.0).sqrt()]
    }

    /// The seam with this knob in it; `None` when the shoulders cannot reach it without a kink or a hook.
    pub(super) fn dress(&self, span: Span) -> Option<Dressed> {
        let (arcs, middle) = self.arcs()?;
        let place = self.frame(span)
            * Affine::new([self.stretch, 0.0, self.lean, self.rise, 0.0, 0.0])
            * Affine::translate((-middle, 0.0));
        let cubics: Vec<Vec<CubicBez>> = arcs.iter().map(|a| a.cubics().map(|c| place * c).collect()).collect();
        let [first, last] = [cubics[0][0], *cubics[2].last()?];
        let shoulders = [
            self.shoulder(0, span.ends[0], span.tangents[0], first.p0, first.p1 - first.p0)?,
            self.shoulder(1, last.p3, last.p3 - last.p2, span.ends[1], span.tangents[1])?,
        ];
        let start = 1 + cubics[0].len();
        let head = start..start + cubics[1].len();
        let all = std::iter::once(shoulders[0]).chain(cubics.into_iter().flatten()).chain([shoulders[1]]);
        Some(Dressed { curve: rounded(all, span.ends), head })
    }

    /// Fillet, head and fillet on a flat foot (knob upwards, y positive), and the middle of the neck.
    fn arcs(&self) -> Option<([Arc; 3], f64)> {
        let radius = self.head / 2.0;
        let [left, right] = self.fillets;
        let height = self.head_height()?;
        let [out_left, out_right] = [left, right].map(|f| touching(radius, f, height));
        let [rise_left, rise_right] =
            [libm::atan2(height - left, out_left), libm::atan2(height - right, out_right)];
        let half = std::f64::consts::PI;
        let quarter = std::f64::consts::FRAC_PI_2;
        let arcs = [
            Arc {
                centre: Point::new(-out_left, left),
                radius: left,
                from: -quarter - self.dips[0],
                turn: quarter + self.dips[0] + rise_left,
            },
            Arc {
                centre: Point::new(0.0, height),
                radius,
                from: half + rise_left,
                turn: -(half + rise_left + rise_right),
            },
            Arc {
                centre: Point::new(out_right, right),
                radius: right,
                from: half - rise_right,
                turn: quarter + rise_right + self.dips[1],
            },
        ];
        let across = (arcs[2].centre - arcs[0].centre) / arcs[2].centre.distance(arcs[0].centre);
        let middle = arcs[0].centre + across * (left + self.neck / 2.0);
        Some((arcs, middle.x))
    }

    /// The height of the head's centre at which the fillets leave a gap of just the neck between them.
    fn head_height(&self) -> Option<f64> {
        let radius = self.head / 2.0;
        let [left, right] = self.fillets;
        let gap = |height: f64| {
            let apart = touching(radius, left, height) + touching(radius, right, height);
            Vec2::new(apart, left - right).hypot() - left - right
        };
        // The higher the head, the closer together the fillets that touch it.
        let (mut low, mut high) = (left.max(right), radius + 2.0 * left.min(right));
        if !(gap(low) > self.neck && gap(high) < self.neck) {
            return None;
        }
        for _ in 0..40 {
            let middle = low.midpoint(high);
            if gap(middle) > self.neck { low = middle } else { high = middle }
        }
        Some(low)
    }

    /// The map from the flat foot onto the seam.
    fn frame(&self, span: Span) -> Affine {
        let [a, b] = span.ends;
        let reach = CARRIER_REACH * a.distance(b);
        let carrier = CubicBez::new(a, a + span.tangents[0] * reach, b - span.tangents[1] * reach, b);
        let along = carrier.deriv().eval(self.place).to_vec2();
        let (sine, cosine) = libm::sincos(libm::atan2(along.y, along.x) + self.tilt);
        let x = Vec2::new(cosine, sine);
        let y = Vec2::new(-sine, cosine) * self.side;
        let origin = carrier.eval(self.place).to_vec2() - y * self.sag;
        Affine::new([x.x, x.y, y.x, y.y, origin.x, origin.y])
    }

    /// One shoulder: between two points with given directions.
    fn shoulder(&self, index: usize, from: Point, leaving: Vec2, to: Point, arriving: Vec2) -> Option<CubicBez> {
        let chord = to - from;
        let length = chord.hypot();
        if length < SHORTEST_SHOULDER * self.fillets[index] {
            return None;
        }
        let [leaving, arriving] = [leaving, arriving].map(|v| v / v.hypot());
        if leaving.dot(chord).min(arriving.dot(chord)) < STEEPEST_SHOULDER * length {
            return None;
        }
        let reach = self.reaches[index] * length;
        Some(CubicBez::new(from, from + leaving * reach, to - arriving * reach, to))
    }
}

impl Arc {
    fn cubics(&self) -> impl Iterator<Item = CubicBez> {
        let count = (self.turn.abs() / LONGEST_ARC).ceil().max(1.0);
        let step = self.turn / count;
        let handle = 4.0 / 3.0 * libm::tan(step / 4.0) * self.radius;
        (0..count as usize).map(move |k| {
            let [from, to] = [k as f64, k as f64 + 1.0].map(|n| libm::sincos(self.from + step * n));
            let [start, end] = [from, to].map(|(s, c)| self.centre + Vec2::new(c, s) * self.radius);
            let [leaving, arriving] = [from, to].map(|(s, c)| Vec2::new(-s, c) * handle);
            CubicBez::new(start, start + leaving, end - arriving, end)
        })
    }
}

/// How far sideways a fillet on the foot stands from the head that it touches.
fn touching(head: f64, fillet: f64, height: f64) -> f64 {
    let (reach, up) = (head + fillet, height - fillet);
    (reach * reach - up * up).max(0.0).sqrt()
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

/// The cubics as path segments.
pub(super) fn segments(cubics: &[CubicBez]) -> Vec<PathSeg> {
    cubics.iter().map(|&c| PathSeg::Cubic(c)).collect()
}
