//! One cubic along a run of a chain.
//!
//! Least squares for the lengths of the handles (after P. J. Schneider, "An algorithm for automatically fitting
//! digitized curves", *Graphics Gems*, 1990, from memory). What is made small is the distance across the curve at
//! the nearest parameter of each sample, found by Newton's method: that converges in a few rounds where
//! distances at fixed parameters take dozens.

use super::bound::{self, Polynomial};
use super::least_squares::LeastSquares;
use kurbo::{CubicBez, Point, Vec2};

/// Vertices are left out where a run has more than this many; the bound is proved over all of them.
const MOST_SAMPLES: usize = 16;

/// Edges longer than this share of the run are sampled between their ends too.
const SPACING: f64 = 1.0 / 12.0;

/// Rounds of parameter correction.
const MOST_ROUNDS: usize = 6;

/// Handles that change by less than this share of the tolerance have settled.
const SETTLED: f64 = 0.5;

/// The shortest handle as a share of the run: a shorter one makes a bend at its end that nobody drew.
const SHORTEST_HANDLE: f64 = 0.1;

/// How much handles are drawn to those of an arc: turning one by its whole run counts as much as each sample straying
/// by this share of the tolerance. Where a run is nearly straight the samples say next to nothing about them.
const DRAW: f64 = 0.3;

/// How far a free end may turn from the direction it was begun with, as sine over cosine.
const FREEDOM: f64 = 0.35;

/// The direction at an end of a run.
#[derive(Clone, Copy)]
pub(super) struct End {
    pub direction: Vec2,
    /// Whether it is only a first guess, at a corner.
    pub free: bool,
}

/// The cubic that follows the run from end to end within `most` mm, if one is found.
pub(super) fn fit(run: &[Point], start: End, end: End, most: f64) -> Option<CubicBez> {
    let mut attempt = Attempt::new(run, start, end, most);
    attempt.approach(most)?;
    if attempt.is_pinched() {
        return None;
    }
    let curve = attempt.curve();
    let mut guesses = attempt.parameters_of(run);
    bound::keeps(&curve, run, &mut guesses, most).then_some(curve)
}

/// A cubic along a single edge between two directions, flat enough to stay within `most` mm of it.
pub(super) fn along_edge(a: Point, b: Point, start: Vec2, end: Vec2, most: f64) -> CubicBez {
    let chord = b - a;
    let length = chord.hypot();
    let handle = |direction: Vec2| {
        let aside = direction.cross(chord).abs() / length;
        // Behind the end a handle would lead out of the edge: none is best.
        if direction.dot(chord) <= 0.0 { 0.0 } else { (length / 3.0).min(most / aside.max(1e-12)) }
    };
    CubicBez::new(a, a + start * handle(start), b - end * handle(end), b)
}

/// Handles as long as those of an arc between two directions, for ends `chord` mm apart: 4/3 tan(turn / 4) of
/// the radius (M. Goldapp, "Approximation of circular arcs by cubic polynomials", 1991, from memory).
pub(super) fn arc_handle(chord: f64, start: Vec2, end: Vec2) -> f64 {
    let half = (0.5 * (1.0 + start.dot(end)).max(0.0)).sqrt();
    // chord = 2 r sin(turn / 2), so the handle is chord / (3 cos²(turn / 4)).
    chord / (1.5 * (1.0 + half))
}

/// A place of the chain that the curve is fitted to.
struct Sample {
    at: Point,
    /// Its way along the run, as a share.
    way: f64,
    t: f64,
}

impl Sample {
    /// The blends of the handles at its parameter, how far it lies across the curve there, and which way that is. Its
    /// parameter is improved for the next time.
    fn across(&mut self, polynomial: &Polynomial) -> ([f64; 2], f64, Vec2) {
        let blends = blends(self.t);
        let off = self.at - polynomial.at(self.t);
        let speed = polynomial.first(self.t);
        let square = speed.hypot2();
        let normal = if square > 0.0 { Vec2::new(-speed.y, speed.x) / square.sqrt() } else { Vec2::ZERO };
        self.t = bound::stepped(self.t, off, speed, polynomial.second(self.t));
        (blends, off.dot(normal), normal)
    }
}

struct Attempt {
    ends: (Point, Point),
    length: f64,
    samples: Vec<Sample>,
    /// Along and across the direction, at the start and at the end.
    axes: [Vec2; 4],
    /// Whether the direction at each end is only a first guess.
    free: (bool, bool),
    /// How long the handles of an arc would be, and how much they draw.
    prior: (f64, f64),
    /// The handles, along and across, at the start and at the end; in mm.
    handles: [f64; 4],
}

impl Attempt {
    fn new(run: &[Point], start: End, end: End, most: f64) -> Self {
        let (first, last) = (run[0], run[run.len() - 1]);
        let (samples, length) = samples(run);
        let across = |v: Vec2| Vec2::new(-v.y, v.x);
        let axes = [start.direction, across(start.direction), -end.direction, across(end.direction)];
        let handle = arc_handle(first.distance(last), start.direction, end.direction).min(length / 2.0);
        let handle = handle.max(length / 4.0);
        let draw = samples.len() as f64 * (DRAW * most / length).powi(2);
        let mut attempt = Self {
            prior: (handle, draw),
            ends: (first, last),
            length,
            samples,
            axes,
            free: (start.free, end.free),
            handles: [handle, 0.0, handle, 0.0],
        };
        attempt.begin();
        attempt
    }

    fn curve(&self) -> CubicBez {
        let (a, b) = self.ends;
        let [h0, h1, h2, h3] = self.handles;
        let [x0, x1, x2, x3] = self.axes;
        CubicBez::new(a, a + x0 * h0 + x1 * h1, b + x2 * h2 + x3 * h3, b)
    }

    /// First handles: least squares at the parameters that the way along the chain suggests.
    fn begin(&mut self) {
        if self.samples.len() < 3 {
            return;
        }
        let mut system = LeastSquares::new();
        let polynomial = Polynomial::of(&self.curve());
        for sample in &self.samples {
            let off = sample.at - polynomial.at(sample.t);
            let [b1, b2] = blends(sample.t);
            let (start, end) = (self.axes[0] * b1, self.axes[2] * b2);
            system.add([start.x, end.x], off.x);
            system.add([start.y, end.y], off.y);
        }
        let step = self.solve(system, [0, 2]);
        let taken = [self.handles[0] + step[0], self.handles[2] + step[2]];
        let sound = |h: f64| h > SHORTEST_HANDLE * self.length && h < self.length;
        if taken.into_iter().all(sound) {
            (self.handles[0], self.handles[2]) = (taken[0], taken[1]);
        }
    }

    /// Improves handles and parameters by turns; gives up where it leads nowhere near.
    fn approach(&mut self, most: f64) -> Option<()> {
        let mut before = f64::INFINITY;
        for round in 0..MOST_ROUNDS {
            let (worst, step) = match self.free {
                (false, false) => self.round([0, 2]),
                (true, false) => self.round([0, 1, 2]),
                (false, true) => self.round([0, 2, 3]),
                (true, true) => self.round([0, 1, 2, 3]),
            };
            // Good handles come in two rounds or three; what strays then, and hardly less than before, stays astray.
            let hopeless = round > 0 && worst > 40.0 * most || round > 1 && worst > (0.7 * before).max(1.1 * most);
            if hopeless {
                return None;
            }
            before = worst;
            self.take(step)?;
            if step.iter().fold(0.0, |sum, s| sum + s.abs()) < SETTLED * most {
                break;
            }
        }
        Some(())
    }

    /// How far the samples stray at most, and what to add to the handles; only those of `unknowns` are changed.
    fn round<const N: usize>(&mut self, unknowns: [usize; N]) -> (f64, [f64; 4]) {
        let polynomial = Polynomial::of(&self.curve());
        let axes = unknowns.map(|i| self.axes[i]);
        let mut system = LeastSquares::new();
        let mut worst: f64 = 0.0;
        for sample in &mut self.samples {
            let (blends, off, normal) = sample.across(&polynomial);
            worst = worst.max(off.abs());
            system.add(std::array::from_fn(|k| blends[unknowns[k] / 2] * axes[k].dot(normal)), off);
        }
        (worst, self.solve(system, unknowns))
    }

    fn solve<const N: usize>(&self, mut system: LeastSquares<N>, unknowns: [usize; N]) -> [f64; 4] {
        let (length, weight) = self.prior;
        for (k, &i) in unknowns.iter().enumerate() {
            let wanted = if i % 2 == 0 { length } else { 0.0 };
            system.draw(k, wanted - self.handles[i], weight);
        }
        let mut step = [0.0; 4];
        for (&i, found) in unknowns.iter().zip(system.solve()) {
            step[i] = found;
        }
        step
    }

    fn take(&mut self, step: [f64; 4]) -> Option<()> {
        for (handle, step) in self.handles.iter_mut().zip(step) {
            *handle += step;
        }
        let shortest = SHORTEST_HANDLE * self.length;
        for i in [0, 2] {
            let along = self.handles[i].clamp(shortest, self.length);
            self.handles[i] = along;
            if self.handles[i + 1].abs() > FREEDOM * along {
                self.handles[i + 1] = self.handles[i + 1].clamp(-FREEDOM * along, FREEDOM * along);
            }
        }
        self.handles.iter().all(|h| h.is_finite()).then_some(())
    }

    /// Whether a handle is as short as it may be: the end of the run belongs to another curve.
    fn is_pinched(&self) -> bool {
        let shortest = SHORTEST_HANDLE * self.length * (1.0 + 1e-9);
        self.handles[0] <= shortest || self.handles[2] <= shortest
    }

    /// First guesses for the parameters of all vertices of the run, between those of the samples.
    fn parameters_of(&self, run: &[Point]) -> Vec<f64> {
        let mut guesses = Vec::with_capacity(run.len());
        let (mut way, mut next) = (0.0, 0);
        let mut before = (0.0, 0.0);
        let mut last = run[0];
        for &p in run {
            way += gap(last, p) / self.length;
            last = p;
            while let Some(sample) = self.samples.get(next).filter(|s| s.way <= way) {
                before = (sample.way, sample.t);
                next += 1;
            }
            let after = self.samples.get(next).map_or((1.0, 1.0), |s| (s.way, s.t));
            let share = if after.0 > before.0 { (way - before.0) / (after.0 - before.0) } else { 0.0 };
            guesses.push(before.1 + (after.1 - before.1) * share.clamp(0.0, 1.0));
        }
        guesses
    }
}

/// The Bernstein polynomials of the two handles.
fn blends(t: f64) -> [f64; 2] {
    let s = 1.0 - t;
    [3.0 * s * s * t, 3.0 * s * t * t]
}

/// The distance of two points; coordinates on a bed need no guard against overflow, which costs most of the time.
fn gap(a: Point, b: Point) -> f64 {
    a.distance_squared(b).sqrt()
}

/// Places along the run between its ends, and the length of the run.
fn samples(run: &[Point]) -> (Vec<Sample>, f64) {
    let length: f64 = run.windows(2).map(|p| gap(p[0], p[1])).sum();
    let every = (run.len() - 1).div_ceil(MOST_SAMPLES);
    let mut samples = Vec::with_capacity(MOST_SAMPLES + 12);
    let mut way = 0.0;
    for (i, pair) in run.windows(2).enumerate() {
        let edge = gap(pair[0], pair[1]);
        let between = (edge / (SPACING * length)) as usize;
        for k in 1..=between {
            let share = k as f64 / (between + 1) as f64;
            let here = (way + edge * share) / length;
            samples.push(Sample { at: pair[0] + (pair[1] - pair[0]) * share, way: here, t: here });
        }
        way += edge;
        if i + 2 < run.len() && (i + 1) % every == 0 {
            samples.push(Sample { at: pair[1], way: way / length, t: way / length });
        }
    }
    (samples, length)
}
