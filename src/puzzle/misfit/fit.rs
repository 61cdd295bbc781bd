//! How nearly one form fits onto another one.

use super::super::polyline::foot_on_chord;
use super::form::{Form, POINTS};
use super::minimax::{Row, least_maximum};
use kurbo::{Point, Vec2};
use std::f64::consts::FRAC_1_SQRT_2;

/// A motion that moves no end by more than m moves no point of a seam by more than 2.2 m, so that lines farther apart
/// than this many limits at first cannot come within the limit.
const FAR: f64 = 3.3;
/// What even change promises may be missed by this factor before a pair is given up.
const UNEVEN: f64 = 1.25;
/// The same where all points are looked at.
const NEARLY: f64 = 1.15;
/// Motions after each other; each comes much nearer to the best one.
const MOTIONS: usize = 8;
/// A motion that gains less than this ends the search, mm.
const LEAST_GAIN: f64 = 1e-3;
/// What is tried of a motion, the first that gains is taken.
const STEPS: [f64; 4] = [1.0, 0.5, 0.25, 0.1];
/// The stride of the first look.
const FEW: usize = 4;
/// Half of the directions, 22.5° apart, in which the displacement of an end is measured: it is known to 2 %.
const DIRECTIONS: [Vec2; 8] = [
    Vec2::new(1.0, 0.0),
    Vec2::new(COS_22, SIN_22),
    Vec2::new(FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    Vec2::new(SIN_22, COS_22),
    Vec2::new(0.0, 1.0),
    Vec2::new(-SIN_22, COS_22),
    Vec2::new(-FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    Vec2::new(-COS_22, SIN_22),
];
const SIN_22: f64 = 0.382_683_432_365_089_8;
const COS_22: f64 = 0.923_879_532_511_286_7;
/// Feet are looked for along this many times the largest gap on either side of the last foot.
const REACH: f64 = 1.5;

/// The misfit of two forms if it is below a limit (mm): the least over all motions of one in the plane of the largest
/// distance of any of its points from the other, of the other's from it, and of their ends from each other.
pub(super) fn misfit(moving: &Form, fixed: &Form, limit: f64) -> Option<f64> {
    // The chords differ by that at one end at least, however they are laid.
    if (moving.half() - fixed.half()).abs() >= limit {
        return None;
    }
    let far = FAR * limit;
    let reach = (REACH * far / moving.step().min(fixed.step())).min(POINTS as f64) as usize + 3;
    let pose = Pose { shift: Vec2::ZERO, turn: 0.0, half: fixed.half() };
    let mut rows = Vec::with_capacity(2 * (POINTS + DIRECTIONS.len()));
    // Most pairs are far from alike, and a few of their points show it.
    let few = Strided { moving, fixed, stride: FEW, reach };
    if pose.distances(few, &mut rows) > far {
        return None;
    }
    let (motion, promised) = least_maximum(&rows);
    if promised > UNEVEN * limit {
        return None;
    }
    let all = Strided { stride: 1, ..few };
    let mut best = all.least(pose.moved(motion, 1.0), &mut rows, NEARLY * limit)?;
    // At sharp corners change is uneven, and another start may end lower.
    for share in [0.0, 0.5] {
        if best < NEARLY * limit {
            best = all.least(pose.moved(motion, share), &mut rows, best).map_or(best, |b| b.min(best));
        }
    }
    Some(best).filter(|b| *b < limit)
}

/// What distances are taken of.
#[derive(Clone, Copy)]
struct Strided<'a> {
    moving: &'a Form,
    fixed: &'a Form,
    /// One in so many points is looked from.
    stride: usize,
    /// How many chords on either side of the last foot the next one is looked for.
    reach: usize,
}

impl Strided<'_> {
    /// The least that the largest distance comes to, moved on from a pose; `None` when it is sure to stay above `limit`.
    fn least(self, mut pose: Pose, rows: &mut Vec<Row>, limit: f64) -> Option<f64> {
        let mut best = pose.distances(self, rows);
        for _ in 0..MOTIONS {
            let (motion, promised) = least_maximum(rows);
            if promised > limit {
                return None;
            }
            if best - promised < LEAST_GAIN {
                break;
            }
            // The whole way where change is even, less where it is not.
            let next = STEPS.iter().find_map(|&step| {
                let next = pose.moved(motion, step);
                let worst = next.distances(self, rows);
                (best - worst > LEAST_GAIN).then_some((next, worst))
            });
            let Some((next, worst)) = next else { break };
            (pose, best) = (next, worst);
        }
        Some(best)
    }
}

/// Where the moving form lies.
#[derive(Clone, Copy)]
struct Pose {
    shift: Vec2,
    /// Radians.
    turn: f64,
    /// Half a chord: turns are counted in what they move its ends by, so that all unknowns are mm.
    half: f64,
}

impl Pose {
    /// Moved on by a share of a motion.
    fn moved(self, [x, y, turn]: [f64; 3], share: f64) -> Self {
        let shift = self.shift + Vec2::new(x, y) * share;
        Self { shift, turn: self.turn + turn / self.half * share, ..self }
    }

    /// Fills in the distances in this pose, and gives the largest.
    fn distances(self, pair: Strided, rows: &mut Vec<Row>) -> f64 {
        let (sine, cosine) = libm::sincos(self.turn);
        let place = |p: &Point| Point::new(cosine * p.x - sine * p.y, sine * p.x + cosine * p.y) + self.shift;
        let moved: Vec<Point> = pair.moving.points.iter().map(place).collect();
        let fixed = &pair.fixed.points;
        rows.clear();
        let mut worst = 0.0_f64;
        let mut feet = Feet { on: fixed, last: 0, reach: pair.reach + pair.stride };
        for &point in moved.iter().step_by(pair.stride) {
            let (foot, along) = feet.of(point);
            worst = worst.max(point.distance(foot));
            rows.push(self.row(point, point - foot, along));
        }
        let mut feet = Feet { on: &moved, last: 0, reach: pair.reach + pair.stride };
        for &point in fixed.iter().step_by(pair.stride) {
            let (foot, along) = feet.of(point);
            worst = worst.max(point.distance(foot));
            rows.push(self.row(foot, foot - point, along));
        }
        for end in [0, POINTS - 1] {
            let apart = moved[end] - fixed[end];
            worst = worst.max(apart.hypot());
            rows.extend(DIRECTIONS.map(|direction| self.along(moved[end], apart, direction)));
        }
        worst
    }

    /// How the distance between a moving point and a foot changes; where they touch, across the chord.
    fn row(self, point: Point, apart: Vec2, chord: Vec2) -> Row {
        let distance = apart.hypot();
        let across = if distance > 1e-6 { apart / distance } else { chord.turn_90() / chord.hypot().max(1e-12) };
        self.along(point, apart, across)
    }

    /// What a motion does to a way between a moving point and a fixed one, seen in one direction.
    fn along(self, point: Point, apart: Vec2, direction: Vec2) -> Row {
        let turning = (point.to_vec2() - self.shift).turn_90() / self.half;
        Row { value: direction.dot(apart), change: [direction.x, direction.y, direction.dot(turning)] }
    }
}

/// Feet of points that come in order along a chain of chords.
struct Feet<'a> {
    on: &'a [Point],
    last: usize,
    reach: usize,
}

impl Feet<'_> {
    /// The nearest point of the chain and the chord that it lies on, near the last one found.
    fn of(&mut self, point: Point) -> (Point, Vec2) {
        let first = self.last.saturating_sub(self.reach);
        let end = (self.last + self.reach).min(self.on.len() - 1);
        let mut best = (f64::INFINITY, self.on[first]);
        for chord in first..end {
            let foot = foot_on_chord(point, self.on[chord], self.on[chord + 1]);
            let distance = (point - foot).hypot2();
            if distance < best.0 {
                best = (distance, foot);
                self.last = chord;
            }
        }
        (best.1, self.on[self.last + 1] - self.on[self.last])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Affine, BezPath};

    fn form(path: &BezPath) -> Form {
        Form::of(&path.segments().collect::<Vec<_>>(), 1.0)
    }

    fn seam() -> BezPath {
        BezPath::from_svg("M0 0C6 1 9 2 10 5C11 9 17 8 16 4C16 1 20 0 25 0").unwrap()
    }

    #[test]
    fn straight_seams_miss_each_other_by_half_of_what_one_is_longer() {
        let straight = |length: f64| form(&BezPath::from_svg(&format!("M0 0H{length}")).unwrap());
        for more in [0.0, 0.2, 1.1] {
            let found = misfit(&straight(20.0), &straight(20.0 + more), 2.0).unwrap();
            assert!((found - more / 2.0).abs() < 1e-6, "{more}: {found}");
        }
        assert_eq!(misfit(&straight(20.0), &straight(25.0), 2.0), None);
    }

    #[test]
    fn congruent_seams_fit() {
        let moved = Affine::translate((3.0, -70.0)) * Affine::rotate(4.0) * seam();
        assert!(misfit(&form(&seam()), &form(&moved), 1.0).unwrap() < 1e-3);
        let mirrored = form(&(Affine::scale_non_uniform(-1.0, 1.0) * seam()).reverse_subpaths());
        assert_eq!(misfit(&form(&seam()), &mirrored, 0.5), None);
        assert!(misfit(&form(&seam()), &mirrored.turned_over(), 1.0).unwrap() < 1e-3);
    }

    #[test]
    fn a_bulge_is_missed_by_half_of_its_height() {
        // A straight seam against an arc of small height h over the same chord: moved by h/2 across, its ends and the
        // middle are h/2 off, and no motion does better (three points off by h/2 to alternate sides).
        let straight = form(&BezPath::from_svg("M0 0H40").unwrap());
        for height in [0.1_f64, 0.6] {
            let radius = (400.0 + height * height) / (2.0 * height);
            let arc = BezPath::from_svg(&format!("M0 0A{radius} {radius} 0 0 0 40 0")).unwrap();
            let found = misfit(&straight, &form(&arc), 2.0).unwrap();
            // Points are taken from chords within 0.005 mm of the arc.
            assert!((found - height / 2.0).abs() < 0.005, "{height}: {found}");
        }
    }
}
