//! What is round: found in chains of chords, and drawn by cubic arcs of about a right angle at most.

use super::corners::Outline;
use super::{Budget, bound, cubic};
use kurbo::{CubicBez, PathSeg, Point, Vec2};
use std::f64::consts::{PI, TAU};

/// An arc in the midst of a stretch turns by this much (radians, 60 degrees) at least; less could be any curve.
const LEAST_TURN: f64 = 1.05;

/// A whole stretch may be an arc of less (radians, 10 degrees).
const LEAST_WHOLE_TURN: f64 = 0.17;

/// No arc turns farther than this (radians); full circles are found by themselves.
const MOST_TURN: f64 = TAU - 0.3;

/// An arc has this many edges at least.
const LEAST_EDGES: usize = 3;

/// One cubic draws this much of an arc at most (radians): a right angle, and what the ends of an offset arc overrun it.
const WIDEST: f64 = 1.75;

/// The vertices of an arc stray by this share of what curves may ...
const STRAY: f64 = 0.15;

/// ... and by this share of the radius, half of what a circle of four cubics strays (M. Goldapp, 1991, from
/// memory), ...
const ROUNDNESS: f64 = 1.5e-4;

/// ... and in all by no more than this share of what curves may.
const MOST_STRAY: f64 = 0.25;

/// A circle.
#[derive(Clone, Copy)]
struct Circle {
    centre: Point,
    radius: f64,
}

/// A run of an outline that is round.
#[derive(Clone, Copy)]
pub(super) struct Arc {
    /// Its first vertex.
    pub from: usize,
    /// Its last vertex.
    pub to: usize,
    circle: Circle,
    /// +1 where the direction turns from x to y, else -1.
    way: f64,
}

impl Circle {
    fn through(a: Point, b: Point, c: Point) -> Option<Self> {
        let (u, v) = (b - a, c - a);
        let double = 2.0 * u.cross(v);
        let (uu, vv) = (u.hypot2(), v.hypot2());
        let to = Vec2::new(v.y * uu - u.y * vv, u.x * vv - v.x * uu) / double;
        (double != 0.0 && to.is_finite()).then(|| Self { centre: a + to, radius: to.hypot() })
    }

    /// The circle of least squares (I. Kåsa, 1976, from memory).
    fn nearest(points: &[Point]) -> Option<Self> {
        let count = points.len() as f64;
        let middle = (points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / count).to_point();
        let (mut xx, mut xy, mut yy, mut xz, mut yz, mut zz) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for p in points {
            let d = *p - middle;
            let z = d.hypot2();
            xx += d.x * d.x;
            xy += d.x * d.y;
            yy += d.y * d.y;
            xz += d.x * z;
            yz += d.y * z;
            zz += z;
        }
        let determinant = 2.0 * (xx * yy - xy * xy);
        let to = Vec2::new(xz * yy - yz * xy, yz * xx - xz * xy) / determinant;
        let radius = (to.hypot2() + zz / count).sqrt();
        (to.is_finite() && radius.is_finite()).then(|| Self { centre: middle + to, radius })
    }

    fn stray(&self, budget: Budget) -> f64 {
        (STRAY * budget.curves + ROUNDNESS * self.radius).min(MOST_STRAY * budget.curves)
    }

    fn has(&self, p: Point, budget: Budget) -> bool {
        let (away, stray) = (p.distance_squared(self.centre).sqrt(), self.stray(budget));
        (away - self.radius).abs() <= stray
    }

    /// Whether an edge is a chord of it: both ends on it, and no longer than flattening would have made it.
    fn has_edge(&self, a: Point, b: Point, budget: Budget) -> bool {
        let bulge = a.distance_squared(b) / (8.0 * self.radius);
        bulge <= 2.0 * budget.chords && self.has(b, budget)
    }

    fn has_all(&self, points: &[Point], budget: Budget) -> bool {
        self.has(points[0], budget) && points.windows(2).all(|p| self.has_edge(p[0], p[1], budget))
    }

    /// The direction of travel at a place.
    fn direction(&self, p: Point, way: f64) -> Vec2 {
        let out = (p - self.centre).normalize();
        Vec2::new(-out.y, out.x) * way
    }

    fn at(&self, angle: f64) -> Point {
        let (sine, cosine) = libm::sincos(angle);
        self.centre + Vec2::new(cosine, sine) * self.radius
    }
}

impl Arc {
    /// The direction of travel at its first or last vertex.
    pub fn direction(&self, p: Point) -> Vec2 {
        self.circle.direction(p, self.way)
    }
}

/// The arcs in a run of an outline, in order.
pub(super) fn within(outline: &Outline, from: usize, to: usize, budget: Budget) -> Vec<Arc> {
    let mut arcs = Vec::new();
    if let Some(arc) = whole(outline, from, to, budget) {
        return vec![arc];
    }
    let (mut at, mut free) = (from, from);
    while at + LEAST_EDGES <= to && outline.turn_between(at, to) >= LEAST_TURN {
        let least = outline.reach(at, LEAST_TURN).max(at + LEAST_EDGES).min(to);
        let found = is_round(outline, at, least, budget).then(|| longest(outline, (at, least), to, budget));
        match found.and_then(|end| extended(outline, (free, to), (at, end), budget)) {
            Some(arc) => {
                (at, free) = (arc.to, arc.to);
                arcs.push(arc);
            }
            // An arc that begins in between is found from the next place and extended back to its beginning.
            None => at += 1 + (least - at) / 8,
        }
    }
    arcs
}

/// The whole run as one arc, if it is round.
fn whole(outline: &Outline, from: usize, to: usize, budget: Budget) -> Option<Arc> {
    let turns =
        from + LEAST_EDGES <= to && (LEAST_WHOLE_TURN..MOST_TURN).contains(&outline.turn_between(from, to));
    (turns && is_round(outline, from, to, budget)).then(|| extended(outline, (from, to), (from, to), budget))?
}

/// Whether all vertices from one to another lie on the circle through those two and the middle one.
fn is_round(outline: &Outline, from: usize, to: usize, budget: Budget) -> bool {
    let run = &outline.points[from..=to];
    let circle = Circle::through(run[0], run[run.len() / 2], run[run.len() - 1]);
    circle.is_some_and(|c| c.has_all(run, budget))
}

/// The last vertex up to which a round run stays round: by doubling steps, then by halving.
fn longest(outline: &Outline, (at, least): (usize, usize), to: usize, budget: Budget) -> usize {
    let most = outline.reach(at, MOST_TURN).min(to);
    let (mut good, mut bad) = (least, most + 1);
    let mut step = least - at;
    while good < most {
        let end = (good + step).min(most);
        if !is_round(outline, at, end, budget) {
            bad = end;
            break;
        }
        good = end;
        step *= 2;
    }
    while good + 1 < bad {
        let middle = good.midpoint(bad);
        if is_round(outline, at, middle, budget) { good = middle } else { bad = middle }
    }
    good
}

/// The arc about a round run, as far as its circle goes within the whole that is free.
fn extended(outline: &Outline, whole: (usize, usize), run: (usize, usize), budget: Budget) -> Option<Arc> {
    let points = &outline.points;
    let circle = Circle::nearest(&points[run.0..=run.1]).filter(|c| c.has_all(&points[run.0..=run.1], budget))?;
    let (mut from, mut to) = run;
    while from > whole.0 && circle.has_edge(points[from], points[from - 1], budget) {
        from -= 1;
    }
    while to < whole.1 && circle.has_edge(points[to], points[to + 1], budget) {
        to += 1;
    }
    let way = (points[from + 1] - circle.centre).cross(points[from + 2] - circle.centre).signum();
    Some(Arc { from, to, circle, way })
}

/// The arc as cubics between two directions; none where they would stray too far.
pub(super) fn drawn(outline: &Outline, arc: Arc, start: Vec2, end: Vec2, budget: Budget) -> Option<Vec<PathSeg>> {
    let points = &outline.points[arc.from..=arc.to];
    let chain = Unrolled::new(points, arc.circle, arc.way)?;
    let turn = chain.angles[points.len() - 1];
    let fewest = (turn / WIDEST).ceil().max(1.0) as usize;
    (fewest..fewest + 5).find_map(|count| {
        let node = |k: usize| {
            let angle = turn * k as f64 / count as f64;
            match k {
                0 => (points[0], start, angle),
                k if k == count => (points[points.len() - 1], end, angle),
                _ => {
                    let p = chain.on_circle(angle);
                    (p, arc.direction(p), angle)
                }
            }
        };
        (0..count).map(|k| chain.piece(node(k), node(k + 1), budget)).collect()
    })
}

/// The closed chain as a circle of cubic arcs, if it is one: begun at its leftmost place, four if they will do.
pub(super) fn full_circle(points: &[Point], budget: Budget) -> Option<Vec<PathSeg>> {
    let circle = Circle::nearest(points).filter(|c| c.has_all(points, budget))?;
    if points.len() < 6 || !circle.has_edge(points[points.len() - 1], points[0], budget) {
        return None;
    }
    let way = (points[0] - circle.centre).cross(points[1] - circle.centre).signum();
    let twice: Vec<Point> = points.iter().chain(points).chain(&points[..1]).copied().collect();
    let chain = Unrolled::new(&twice, circle, way)?;
    if (chain.angles[points.len()] - TAU).abs() > 1e-6 {
        return None;
    }
    // The angle from the first vertex on to the leftmost place.
    let leftmost = (way * (PI - chain.first)).rem_euclid(TAU);
    [4, 6, 8, 12, 16, 24, 32].into_iter().find_map(|count: usize| {
        let node = |k: usize| {
            let angle = leftmost + TAU * k as f64 / count as f64;
            let p = if k == count { chain.on_circle(leftmost) } else { chain.on_circle(angle) };
            (p, circle.direction(p, way), angle)
        };
        (0..count).map(|k| chain.piece(node(k), node(k + 1), budget)).collect()
    })
}

/// A chain about a circle with the angle of each vertex from the first on, in the direction of travel.
struct Unrolled<'a> {
    points: &'a [Point],
    circle: Circle,
    way: f64,
    first: f64,
    angles: Vec<f64>,
}

impl<'a> Unrolled<'a> {
    /// None where the chain does not go steadily round.
    fn new(points: &'a [Point], circle: Circle, way: f64) -> Option<Self> {
        let out = points[0] - circle.centre;
        let mut angles = vec![0.0];
        let mut sum = 0.0;
        for pair in points.windows(2) {
            let (a, b) = (pair[0] - circle.centre, pair[1] - circle.centre);
            let step = way * libm::atan2(a.cross(b), a.dot(b));
            if step <= 0.0 {
                return None;
            }
            sum += step;
            angles.push(sum);
        }
        Some(Self { points, circle, way, first: libm::atan2(out.y, out.x), angles })
    }

    fn on_circle(&self, angle: f64) -> Point {
        self.circle.at(self.first + self.way * angle)
    }

    /// The place of the chain at an angle, on the edge that ends at vertex `next`.
    fn on_chain(&self, angle: f64, next: usize) -> Point {
        let (a, b) = (self.points[next - 1], self.points[next]);
        let out = self.on_circle(angle) - self.circle.centre;
        let (to, along) = (a - self.circle.centre, b - a);
        let share = -out.cross(to) / out.cross(along);
        if share.is_finite() { a + along * share.clamp(0.0, 1.0) } else { a }
    }

    /// One cubic between two nodes (place, direction, angle), if it keeps to its part of the chain.
    fn piece(&self, from: (Point, Vec2, f64), to: (Point, Vec2, f64), budget: Budget) -> Option<PathSeg> {
        let handle = cubic::arc_handle(from.0.distance(to.0), from.1, to.1);
        let curve = CubicBez::new(from.0, from.0 + from.1 * handle, to.0 - to.1 * handle, to.0);
        let first = self.angles.partition_point(|&a| a <= from.2);
        let next = self.angles.partition_point(|&a| a < to.2).min(self.angles.len() - 1).max(1);
        let mut part = vec![self.on_chain(from.2, first.clamp(1, next))];
        part.extend_from_slice(&self.points[first.min(next)..next]);
        part.push(self.on_chain(to.2, next));
        let share = |p: &Point| (*p - from.0).hypot() / (from.0.distance(to.0) + (*p - to.0).hypot()).max(1e-300);
        let mut guesses: Vec<f64> = part.iter().map(share).map(|s| s.clamp(0.0, 1.0)).collect();
        // Parameters of an arc grow with the angle.
        let spread = to.2 - from.2;
        for (guess, angle) in guesses[1..].iter_mut().zip(&self.angles[first.min(next)..next]) {
            *guess = (angle - from.2) / spread;
        }
        bound::keeps(&curve, &part, &mut guesses, budget.curves).then_some(PathSeg::Cubic(curve))
    }
}
