//! A knob with a round head: shoulder, fillet, head, fillet, shoulder.
//!
//! The head is first built on a flat foot from circles that touch each other: a small circle on either side (the
//! fillets that round the neck) and a large one on top (the head). One affine map then leans and stretches
//! it, another one puts it onto the seam. Both keep cubics cubic and smooth joins smooth.

use super::knob::{Dressed, Span, Stand, rounded};
use kurbo::{Affine, CubicBez, Point, Vec2};

/// A shoulder may leave the straight way to its end by at most this angle: cosine of 60°.
const STEEPEST_SHOULDER: f64 = 0.5;
/// The least length of a shoulder in radii of its fillet.
const SHORTEST_SHOULDER: f64 = 0.9;
/// Longest arc that one cubic stands for, radians (75°): its error is under 0.003 % of the radius.
const LONGEST_ARC: f64 = 1.31;
/// Least gap between head and shoulder in radii of the fillet between them.
const UNDER_HEAD: f64 = 1.5;

/// Everything that shapes one round knob. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub(super) struct RoundKnob {
    /// How it stands on the seam.
    pub stand: Stand,
    /// Diameter of the head.
    pub head: f64,
    /// Width of the neck.
    pub neck: f64,
    /// Radii of the fillets on either side of the neck.
    pub fillets: [f64; 2],
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
        let place = span.frame(self.stand)
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
        let least_gap = UNDER_HEAD * self.fillets[0].min(self.fillets[1]) * self.stretch.min(self.rise);
        Some(Dressed { curve: rounded(all, span.ends), head, shoulder: 1, least_gap })
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
