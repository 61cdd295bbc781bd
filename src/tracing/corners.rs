//! Corners of a contour.
//!
//! On each side of a sample a line and a parabola are laid through its neighbours. Round a small circle the parabolas run
//! smoothly into each other, along a noisy line the lines do; only at a corner both turn.

use super::samples::{STEP, Settings, Slope, angle, meeting, off_line, side};
use kurbo::Point;
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::ops::Range;

/// What a parabola says of a turn is trusted this much more than what a line says.
const PARABOLA: f64 = 1.15;

/// The tangent of an angle is more than so many times the angle (short of 1, which leaves room for rounding).
const RUNS_ON: f64 = 0.999;

/// Sides whose samples lie this close to a line (root of the mean square, px) are straight.
const STRAIGHT: f64 = 0.12;

/// A tip lies no farther out than this from the sample at its middle (px), however sharp it is: the pixels hide no more.
const FARTHEST_TIP: f64 = 3.0;

/// The corner of a stroke lies no farther out than so many half widths, and a tip: a drawn corner of thirty degrees reaches
/// half as far.
const FARTHEST_BEND: f64 = 4.0;

/// A corner of a closed chain of samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Corner {
    /// The sample next to it.
    pub at: usize,
    /// Where its sides meet, in pixels.
    pub place: Point,
    /// So many samples on each side of it say nothing.
    pub skip: usize,
}

/// The corners of a closed chain of samples, in order. A chain too short to be read has none.
pub(super) fn corners(samples: &[Point], settings: &Settings) -> Vec<Corner> {
    let count = samples.len();
    let slope = Slope::new(settings.skip, settings.reach);
    if count < 3 * slope.reach() {
        return small_corners(samples, settings);
    }
    found(samples, settings, &slope)
}

/// The corners of a small contour, looked at more closely: its sides are shorter than the usual reach.
fn small_corners(samples: &[Point], settings: &Settings) -> Vec<Corner> {
    let reach = samples.len() as f64 * STEP / 6.0;
    if reach < settings.skip + 1.5 {
        return Vec::new();
    }
    let closer = Settings { reach, ..*settings };
    found(samples, &closer, &Slope::new(closer.skip, closer.reach))
}

fn found(samples: &[Point], settings: &Settings, slope: &Slope) -> Vec<Corner> {
    found_among(samples, 0..samples.len(), settings, slope)
}

/// The corners of an open chain of samples, in order, none at its ends.
pub(super) fn open_corners(samples: &[Point], settings: &Settings) -> Vec<Corner> {
    let slope = Slope::new(settings.skip, settings.reach);
    let count = samples.len();
    if count < 2 * (settings.skip / STEP) as usize + 3 {
        return Vec::new();
    }
    // Beyond its ends the chain goes on as if turned by half a turn about them, so that a corner near one can be read.
    let pad = slope.reach() + 1;
    let (first, last) = (samples[0], samples[count - 1]);
    let before = (1..=pad).rev().map(|k| first + (first - samples[k.min(count - 1)]));
    let after = (1..=pad).map(|k| last + (last - samples[(count - 1).saturating_sub(k)]));
    let padded: Vec<Point> = before.chain(samples.iter().copied()).chain(after).collect();
    let least = (settings.skip / STEP).ceil() as usize + 1;
    let found = found_among(&padded, pad + least..(pad + count).saturating_sub(least), settings, &slope);
    found.into_iter().map(|c| Corner { at: c.at - pad, ..c }).collect()
}

fn found_among(samples: &[Point], among: Range<usize>, settings: &Settings, slope: &Slope) -> Vec<Corner> {
    let least = settings.corner * PI / 180.0;
    let (count, reach) = (samples.len(), slope.reach());
    // The chain goes round: what lies before its first sample are its last ones.
    let before = samples.iter().cycle().skip(count - reach % count);
    let round: Vec<Point> = before.take(count + 2 * reach).copied().collect();
    let turn = |i: usize| turn(&round[i..=i + 2 * reach], slope, least).map(|turn| (turn, i));
    let mut sharp: Vec<(f64, usize)> = among.filter_map(turn).collect();
    sharp.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let apart = ((settings.skip + settings.reach / 2.0) / STEP).round() as usize;
    let mut kept: BTreeSet<usize> = BTreeSet::new();
    for (_, i) in sharp {
        if is_free(&kept, i, apart, samples.len()) {
            kept.insert(i);
        }
    }
    let kept: Vec<usize> = kept.into_iter().collect();
    (0..kept.len()).filter_map(|k| corner(samples, settings, k, &kept)).collect()
}

/// Whether none of the kept samples of a closed chain lies nearer than so many steps.
fn is_free(kept: &BTreeSet<usize>, i: usize, apart: usize, count: usize) -> bool {
    let reach = apart.max(1) - 1;
    let clear = |from: usize, to: usize| kept.range(from..=to).next().is_none();
    clear(i.saturating_sub(reach), (i + reach).min(count - 1))
        && (i >= reach || clear((count + i).saturating_sub(reach).min(count - 1), count - 1))
        && (i + reach < count || clear(0, (i + reach - count).min(count - 1)))
}

/// How far the chain turns in the middle of a few samples, if it is no less than `least`.
fn turn(around: &[Point], slope: &Slope, least: f64) -> Option<f64> {
    let [before, after] = slope.lines(around);
    // Nearly everywhere the chain runs on, which is known without an angle.
    if before.cross(after).abs() < RUNS_ON * least * before.dot(after) {
        return None;
    }
    let line = angle(before, after);
    let [before, after] = slope.parabolas(around);
    let turn = line.min(PARABOLA * angle(before, after));
    (turn >= least).then_some(turn)
}

/// The corner at a kept sample: where its sides meet when they are followed into it. Where an edge is followed, the sample
/// itself when they meet too far off; where the middle of a stroke is, then there is none, but a bend.
fn corner(samples: &[Point], settings: &Settings, k: usize, kept: &[usize]) -> Option<Corner> {
    let (count, at) = (samples.len(), kept[k]);
    let least = (settings.skip / STEP).ceil() as usize;
    let room = |ahead: bool| {
        let neighbour = if ahead { kept[(k + 1) % kept.len()] } else { kept[(k + kept.len() - 1) % kept.len()] };
        let way = if ahead { (neighbour + count - at) % count } else { (at + count - neighbour) % count };
        if kept.len() == 1 { count / 2 } else { way }
    };
    let beside = |ahead: bool, skip: usize| -> Vec<(f64, Point)> {
        let reach = room(ahead).saturating_sub(least).min((settings.reach / STEP) as usize + skip - least);
        let step = |k: usize| if ahead { (at + k) % count } else { (at + count - k) % count };
        (skip..=reach).map(|k| (k as f64 * STEP, samples[step(k)])).collect()
    };
    let side_of = |ahead: bool, skip: usize| side(&beside(ahead, skip), STRAIGHT);
    // Only straight sides can be followed into a corner from far off.
    let is_straight = |ahead: bool, skip: usize| off_line(&beside(ahead, skip)).is_some_and(|off| off < STRAIGHT);
    let sample = samples[at];
    let itself = (settings.stroke == 0.0).then_some(Corner { at, place: sample, skip: least });
    let sides = |skip: usize| Some((side_of(false, skip)?, side_of(true, skip)?));
    let Some(mut found) = sides(least) else { return itself };
    let mut skip = least;
    for _ in 0..2 {
        let wider = blurred(angle(found.0.1, found.1.1), settings).max(least);
        let longest = room(false).min(room(true)).saturating_sub(least) / 2;
        if wider > skip
            && wider < longest
            && is_straight(false, wider)
            && is_straight(true, wider)
            && let Some(sides) = sides(wider)
        {
            (found, skip) = (sides, wider);
        }
    }
    let most = farthest(angle(found.0.1, found.1.1), settings);
    let about = if settings.stroke == 0.0 { 0 } else { least };
    let nearest = |p: &Point| {
        let off = |k: usize| (*p - samples[(at + count + k - about) % count]).hypot();
        (0..=2 * about).map(off).fold(f64::INFINITY, f64::min)
    };
    let place = meeting(found.0, found.1).filter(|p| nearest(p) <= most);
    place.map(|place| Corner { at, place, skip }).or(itself)
}

/// How many samples beside a corner say nothing because the stroke's inner edge has not parted yet, for the angle between
/// the directions into its sides.
fn blurred(opening: f64, settings: &Settings) -> usize {
    let way = settings.stroke / libm::tan(opening.max(0.3) / 2.0);
    (way / STEP).ceil() as usize
}

/// How far a corner may lie from the sample next to it, for the angle between the directions into its sides.
fn farthest(opening: f64, settings: &Settings) -> f64 {
    let h = settings.stroke;
    if h == 0.0 {
        return (1.2 / libm::sin(opening / 2.0)).min(FARTHEST_TIP);
    }
    // The middle of a stroke cuts a corner by the second factor, as the distance from both edges tells; a rounded bend by
    // much more. Half of the turn is what the half opening lacks of a right angle.
    let c = libm::sin(opening / 2.0);
    let reach = 1.5 * h * (1.0 / c - 1.0) / (1.0 + c) + 0.15 * h + 0.7;
    // The sides of a hairpin meet anywhere, or nowhere.
    reach.min(FARTHEST_BEND * h + FARTHEST_TIP)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tracing::ink::Paper;
    use crate::tracing::samples::resampled;

    fn polygon(points: &[(f64, f64)]) -> Vec<Point> {
        resampled(&points.iter().copied().map(Point::from).collect::<Vec<_>>())
    }

    #[test]
    fn a_rectangle_has_four_and_a_circle_none() {
        let settings = Paper::Grey.settings();
        let found = corners(&polygon(&[(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)]), &settings);
        let places: Vec<Point> = found.iter().map(|c| c.place.round()).collect();
        assert_eq!(places, [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0)].map(Point::from));
        for radius in [3.0, 8.0, 40.0] {
            let round: Vec<(f64, f64)> = (0..256)
                .map(|i| f64::from(i) * PI / 128.0)
                .map(|t| (radius * libm::cos(t), radius * libm::sin(t)))
                .collect();
            assert_eq!(corners(&polygon(&round), &settings), [], "radius {radius}");
        }
    }
}
