//! A form as a few numbers, such that forms with a small misfit have numbers near each other.
//!
//! A form is told by how far it lies from the mean form: across it at some points, along it at the two ends. Each of these
//! offsets counts by its weight; the weights add up to 1, so that the distance between two forms is a mean of their
//! offsets and no larger than the largest. What a small motion does to them is taken out: what is left is at most about
//! the misfit. Of that the few directions in which these forms differ most are kept (principal components: Pearson 1901).

use super::form::{Form, POINTS};
use kurbo::{Point, Vec2};

/// Points across which a form is told: every second of its points.
const ACROSS: usize = POINTS.div_ceil(2);
/// All offsets: these, and along the two ends.
const OFFSETS: usize = ACROSS + 2;
/// Numbers that are kept.
pub(super) const KEPT: usize = 8;
/// The weight of both ends together: a judgement that was tried on many puzzles.
const ENDS: f64 = 0.35;
const END_SHARE: f64 = ENDS / 2.0;
const ACROSS_SHARE: f64 = (1.0 - ENDS) / ACROSS as f64;
/// Forms that the directions are found from, at most; enough to find them, and the time stays the same.
const SAMPLE: usize = 4000;
/// Rounds of iteration; directions that are not quite the best ones only make the numbers tell a little less.
const ROUNDS: usize = 30;

/// All offsets of a form.
type Offsets = [f64; OFFSETS];

/// The mean form, and the directions in which forms differ from it.
#[derive(Clone, Debug)]
pub(super) struct Basis {
    mean: Vec<Point>,
    /// The directions that the offsets are taken in.
    ways: Vec<Vec2>,
    motions: Vec<Offsets>,
    kept: Vec<Offsets>,
}

/// A form in the terms of a [`Basis`].
#[derive(Clone, Debug)]
pub(super) struct Told {
    /// Its few numbers, mm.
    pub numbers: [f64; KEPT],
    /// All offsets, weighed, without what a motion could do to them, mm.
    offsets: Offsets,
}

impl Basis {
    /// The basis for these forms.
    pub(super) fn of(forms: &[Form]) -> Self {
        let forms = &forms[..forms.len().min(SAMPLE)];
        let mean: Vec<Point> = (0..POINTS)
            .map(|k| {
                (forms.iter().fold(Vec2::ZERO, |sum, f| sum + f.points[k].to_vec2()) / forms.len() as f64)
                    .to_point()
            })
            .collect();
        let direction = |from: usize, to: usize| {
            let along = mean[to] - mean[from];
            along / along.hypot().max(f64::MIN_POSITIVE)
        };
        let across = |k: usize| direction((2 * k).saturating_sub(1), (2 * k + 1).min(POINTS - 1)).turn_90();
        let ends = [direction(0, 1), direction(POINTS - 2, POINTS - 1)];
        let ways: Vec<Vec2> = (0..ACROSS).map(across).chain(ends).collect();
        let mut basis = Self { mean, ways, motions: Vec::new(), kept: Vec::new() };
        let motions: [fn(Point) -> Vec2; 3] =
            [|_| Vec2::new(1.0, 0.0), |_| Vec2::new(0.0, 1.0), |p| p.to_vec2().turn_90()];
        for motion in motions {
            let offsets = std::array::from_fn(|k| weight(k) * basis.ways[k].dot(motion(basis.mean[point(k)])));
            basis.motions.extend(unit(&without(offsets, &basis.motions)));
        }
        basis.kept = basis.principal(forms);
        basis
    }

    /// A form in terms of this basis.
    pub(super) fn tell(&self, form: &Form) -> Told {
        let weighed = self.weighed(form);
        let numbers = std::array::from_fn(|k| self.kept.get(k).map_or(0.0, |way| dot(&weighed, way)));
        Told { numbers, offsets: weighed }
    }

    /// The weighed offsets of a form without what a motion could do to them.
    fn weighed(&self, form: &Form) -> Offsets {
        let offset = |k: usize| weight(k) * self.ways[k].dot(form.points[point(k)] - self.mean[point(k)]);
        without(std::array::from_fn(offset), &self.motions)
    }

    /// The directions in which these forms differ most, by orthogonal iteration.
    fn principal(&self, forms: &[Form]) -> Vec<Offsets> {
        let mut spread = vec![[0.0; OFFSETS]; OFFSETS];
        for form in forms {
            let offsets = self.weighed(form);
            for (row, a) in spread.iter_mut().zip(offsets) {
                row.iter_mut().zip(offsets).for_each(|(sum, b)| *sum += a * b);
            }
        }
        // Any start with a part in each direction will do; these are waves along the seam.
        let wave = |n: usize| {
            std::array::from_fn(|k| {
                libm::cos(std::f64::consts::PI * ((n + 1) * (2 * k + 1)) as f64 / (2 * OFFSETS) as f64)
            })
        };
        let mut found: Vec<Offsets> = (0..KEPT).map(wave).collect();
        for _ in 0..ROUNDS {
            let mut next: Vec<Offsets> = Vec::new();
            for way in &found {
                let turned: Offsets = std::array::from_fn(|k| dot(&spread[k], way));
                next.extend(unit(&without(without(turned, &self.motions), &next)));
            }
            found = next;
        }
        found
    }
}

impl Told {
    /// Whether two forms differ by no more than `mean` in the mean and `most` in any offset, mm.
    pub(super) fn is_near(&self, other: &Self, mean: f64, most: f64) -> bool {
        let mut sum = 0.0;
        for (k, (a, b)) in self.offsets.iter().zip(&other.offsets).enumerate() {
            let apart = (a - b) * (a - b);
            sum += apart;
            let share = if k < ACROSS { ACROSS_SHARE } else { END_SHARE };
            if apart > most * most * share {
                return false;
            }
        }
        sum <= mean * mean
    }
}

/// The point of a form that an offset is taken at.
fn point(offset: usize) -> usize {
    match offset {
        ACROSS => 0,
        n if n > ACROSS => POINTS - 1,
        n => 2 * n,
    }
}

/// The weight of an offset, as the root that offsets are multiplied by.
fn weight(offset: usize) -> f64 {
    if offset < ACROSS { ACROSS_SHARE.sqrt() } else { END_SHARE.sqrt() }
}

fn dot(a: &Offsets, b: &Offsets) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Without its parts in some directions, which stand square to each other.
fn without(mut offsets: Offsets, directions: &[Offsets]) -> Offsets {
    for direction in directions {
        let part = dot(&offsets, direction);
        offsets.iter_mut().zip(direction).for_each(|(value, along)| *value -= part * along);
    }
    offsets
}

/// Made one long; `None` for what has no length to speak of.
fn unit(offsets: &Offsets) -> Option<Offsets> {
    let length = dot(offsets, offsets).sqrt();
    (length > 1e-9).then(|| offsets.map(|v| v / length))
}
