//! How far a cubic and a chain of chords can be from each other: proved, not sampled.
//!
//! Every vertex of the chain gets a parameter of the cubic, in order. The piece of the cubic between two of them,
//! seen along and across the chord between the two vertices, is a cubic in each direction, which lies between its
//! Bernstein coefficients (G. Farin, *Curves and Surfaces for CAGD*, from memory). Across, they bound how far the
//! piece strays from the chord's line; along, how far it overshoots the chord or falls short of it. Since the
//! piece runs from one end to the other, it passes every point of the chord, so the bound holds both ways.

use kurbo::{CubicBez, ParamCurve, Point, Vec2};

/// How often a piece is halved to tighten its bound; each time the excess shrinks to a quarter.
const MOST_HALVINGS: usize = 3;

/// Steps of Newton's method for a vertex.
const MOST_STEPS: usize = 4;

/// A step in the parameter that is as good as none.
const NEAR_ENOUGH: f64 = 1e-2;

/// A cubic as a polynomial, for quick evaluation.
pub(super) struct Polynomial {
    a: Vec2,
    b: Vec2,
    c: Vec2,
    d: Point,
}

impl Polynomial {
    pub fn of(curve: &CubicBez) -> Self {
        let (p0, p1, p2, p3) = (curve.p0, curve.p1, curve.p2, curve.p3);
        let c = (p1 - p0) * 3.0;
        let b = (p2 - p1) * 3.0 - c;
        Self { a: (p3 - p0) - c - b, b, c, d: p0 }
    }

    pub fn at(&self, t: f64) -> Point {
        self.d + (self.c + (self.b + self.a * t) * t) * t
    }

    pub fn first(&self, t: f64) -> Vec2 {
        self.c + (self.b * 2.0 + self.a * (3.0 * t)) * t
    }

    pub fn second(&self, t: f64) -> Vec2 {
        self.b * 2.0 + self.a * (6.0 * t)
    }

    /// The parameter nearest to `p`, from a guess.
    fn nearest(&self, p: Point, guess: f64) -> f64 {
        let mut t = guess;
        for _ in 0..MOST_STEPS {
            let before = t;
            t = stepped(t, p - self.at(t), self.first(t), self.second(t));
            // What is left is squared by the next step: it cannot be seen in the bound.
            if (t - before).abs() < NEAR_ENOUGH {
                break;
            }
        }
        t
    }
}

/// One step of Newton's method from `t` towards the parameter of the nearest place to what lies `off` the place at `t`,
/// by the derivatives there.
pub(super) fn stepped(t: f64, off: Vec2, first: Vec2, second: Vec2) -> f64 {
    let straight = first.hypot2();
    let slope = straight - off.dot(second);
    // Where the curve bends round the point, Newton runs off to the farthest place: step as on a line there.
    let slope = if slope > 0.3 * straight { slope } else { straight };
    if slope > 0.0 { (t + off.dot(first) / slope).clamp(0.0, 1.0) } else { t }
}

/// Whether the cubic provably stays within `most` mm of the chain and the chain of it, and runs along each chord
/// without turning back. `guesses` are parameters of the vertices to begin with; they are improved in place.
pub(super) fn keeps(curve: &CubicBez, chain: &[Point], guesses: &mut [f64], most: f64) -> bool {
    let polynomial = Polynomial::of(curve);
    let last = chain.len() - 1;
    let mut before = (0.0, curve.start(), polynomial.first(0.0));
    guesses[0] = 0.0;
    for k in 1..=last {
        let t = if k == last { 1.0 } else { polynomial.nearest(chain[k], guesses[k]).max(before.0) };
        guesses[k] = t;
        let here = (t, polynomial.at(t), polynomial.first(t));
        if (here.1 - chain[k]).hypot2() > most * most || !piece_keeps(before, here, chain[k - 1], chain[k], most) {
            return false;
        }
        before = here;
    }
    true
}

/// A parameter, its point and the derivative there.
type Place = (f64, Point, Vec2);

fn piece_keeps(from: Place, to: Place, a: Point, b: Point, most: f64) -> bool {
    let length = a.distance_squared(b).sqrt();
    if length == 0.0 {
        return (from.1 - a).hypot() <= most && (to.1 - b).hypot() <= most;
    }
    let along = (b - a) / length;
    let third = (to.0 - from.0) / 3.0;
    let control = [from.1 - a, from.1 - a + from.2 * third, to.1 - a - to.2 * third, to.1 - a];
    let ahead = control.map(|c| c.dot(along));
    let aside = control.map(|c| along.cross(c));
    // Nothing but a chord that is shorter than the deviation may be run along backwards.
    let forward = ahead[1] >= ahead[0] && ahead[2] >= ahead[1] && ahead[3] >= ahead[2];
    if !forward && length > most {
        return false;
    }
    let outside = |v: f64| (-v).max(v - length).max(0.0);
    let ends = ahead[0].abs().max((ahead[3] - length).abs());
    let slack = ahead.iter().fold(ends, |worst, &v| worst.max(outside(v)));
    let left = most * most - slack * slack;
    left >= 0.0 && stays_between(aside, left.sqrt(), MOST_HALVINGS)
}

/// Whether a cubic with these Bernstein coefficients stays between `-most` and `most`.
fn stays_between(c: [f64; 4], most: f64, halvings: usize) -> bool {
    if c.iter().all(|v| v.abs() <= most) {
        return true;
    }
    if halvings == 0 || c[0].abs() > most || c[3].abs() > most {
        return false;
    }
    let mid = |a: f64, b: f64| 0.5 * (a + b);
    let (ab, bc, cd) = (mid(c[0], c[1]), mid(c[1], c[2]), mid(c[2], c[3]));
    let (abc, bcd) = (mid(ab, bc), mid(bc, cd));
    let middle = mid(abc, bcd);
    stays_between([c[0], ab, abc, middle], most, halvings - 1)
        && stays_between([middle, bcd, cd, c[3]], most, halvings - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A parabola of height 0.75 over a chord of 4, as a cubic.
    fn hump() -> CubicBez {
        CubicBez::new((0.0, 0.0), (4.0 / 3.0, 1.0), (8.0 / 3.0, 1.0), (4.0, 0.0))
    }

    #[test]
    fn the_bound_is_close_to_the_deviation() {
        let chord = [Point::new(0.0, 0.0), Point::new(4.0, 0.0)];
        let keeps = |most: f64| keeps(&hump(), &chord, &mut [0.0, 1.0], most);
        assert!(keeps(0.76) && !keeps(0.749));
    }

    #[test]
    fn a_vertex_off_the_curve_is_seen() {
        let vertices = |y: f64| [(0.0, 0.0), (2.0, y), (4.0, 0.0)].map(Point::from);
        let keeps = |y: f64, most: f64| keeps(&hump(), &vertices(y), &mut [0.0, 0.5, 1.0], most);
        assert!(keeps(0.75, 0.2) && !keeps(0.75, 0.15));
        assert!(!keeps(1.0, 0.24) && keeps(1.0, 0.27));
    }

    #[test]
    fn turning_back_is_no_fit() {
        let chain: Vec<Point> = (0..=40).map(|i| Point::new(0.1 * f64::from(i), 0.0)).collect();
        let curve = CubicBez::new((0.0, 0.0), (9.0, 0.0), (-5.0, 0.0), (4.0, 0.0));
        let mut guesses: Vec<f64> = (0..=40).map(|i| f64::from(i) / 40.0).collect();
        assert!(!keeps(&curve, &chain, &mut guesses, 0.09));
    }
}
