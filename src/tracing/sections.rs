//! A contour taken apart at its corners, and smoothed between them.

use super::corners::Corner;
use super::samples::{STEP, Settings};
use kurbo::{Point, Vec2};

/// A stretch of a contour without corners.
#[derive(Clone, Debug)]
pub(super) struct Section {
    /// Its points, about a step apart, both ends included.
    pub points: Vec<Point>,
    /// Whether its ends are one point, where it runs on smoothly.
    pub is_loop: bool,
    /// The direction of travel at its ends, where it is known.
    pub tangents: [Option<Vec2>; 2],
}

/// The stretches of a closed chain between its corners, smoothed. A chain without corners is one stretch, cut where it is
/// flattest.
pub(super) fn sections(samples: &[Point], corners: &[Corner], settings: &Settings) -> Vec<Section> {
    if corners.is_empty() {
        let mut points = smoothed_loop(samples, settings.half);
        let seam = flattest(&points);
        points.rotate_left(seam);
        points.push(points[0]);
        let last = points.len() - 1;
        let seam = (last > 2).then(|| (points[1] - points[last - 1]).normalize());
        return vec![Section { points, is_loop: true, tangents: [seam, seam] }];
    }
    let count = samples.len();
    let next = corners.iter().cycle().skip(1);
    corners
        .iter()
        .zip(next)
        .map(|(from, to)| {
            let way = if corners.len() == 1 { count } else { (to.at + count - from.at) % count };
            let inner = (from.skip..=way.saturating_sub(to.skip)).map(|k| samples[(from.at + k) % count]);
            let chain = filled(std::iter::once(from.place).chain(inner).chain([to.place]));
            between_corners(&chain, settings)
        })
        .collect()
}

/// The stretches of an open chain between its ends and corners, smoothed; `tangents` are the directions at its ends, where
/// they are known.
pub(super) fn open_sections(
    samples: &[Point],
    corners: &[Corner],
    tangents: [Option<Vec2>; 2],
    settings: &Settings,
) -> Vec<Section> {
    let (first, last) = (samples[0], samples[samples.len() - 1]);
    let start = std::iter::once((0, first, 0)).chain(corners.iter().map(|c| (c.at, c.place, c.skip)));
    let end = corners.iter().map(|c| (c.at, c.place, c.skip)).chain([(samples.len() - 1, last, 0)]);
    let mut sections: Vec<Section> = start
        .zip(end)
        .map(|((from, place, after), (to, end, before))| {
            let inner = (from + after.max(1))..(to + 1).saturating_sub(before.max(1));
            let chain = filled(std::iter::once(place).chain(inner.map(|i| samples[i])).chain([end]));
            between_corners(&chain, settings)
        })
        .collect();
    let final_section = sections.len() - 1;
    sections[0].tangents[0] = tangents[0];
    sections[final_section].tangents[1] = tangents[1];
    sections
}

fn between_corners(chain: &[Point], settings: &Settings) -> Section {
    Section { points: smoothed(chain, settings.half), is_loop: false, tangents: [None, None] }
}

/// A chain with points put in where it steps too far: beside corners nothing is known, and smoothing wants even steps.
pub(super) fn filled(points: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut all: Vec<Point> = Vec::new();
    for to in points {
        if let Some(&from) = all.last() {
            let steps = (from.distance_squared(to).sqrt() / STEP).round().max(1.0);
            all.extend((1..steps as usize).map(|k| from.lerp(to, k as f64 / steps)));
        }
        all.push(to);
    }
    all
}

/// The weights of smoothing by parabolas (Savitzky and Golay 1964), from the middle outward. Unlike a mean they do not pull
/// arcs inward.
fn weights(half: usize) -> Vec<f64> {
    let m = half as f64;
    let base = (2.0 * m - 1.0) * (2.0 * m + 1.0) * (2.0 * m + 3.0);
    (0..=half).map(|j| 3.0 * (3.0 * m * m + 3.0 * m - 1.0 - 5.0 * (j * j) as f64) / base).collect()
}

/// The middle one of a few points, smoothed.
fn weighted(weights: &[f64], around: &[Point]) -> Point {
    let half = weights.len() - 1;
    let middle = around[half].to_vec2() * weights[0];
    let (before, after) = (around[..half].iter().rev(), &around[half + 1..]);
    let beside = before.zip(after).zip(&weights[1..]);
    beside.fold(middle, |sum, ((a, b), w)| sum + (a.to_vec2() + b.to_vec2()) * *w).to_point()
}

/// The points but those at the ends that the weights do not reach, smoothed.
fn all_weighted(weights: &[f64], points: &[Point]) -> Vec<Point> {
    points.windows(2 * weights.len() - 1).map(|around| weighted(weights, around)).collect()
}

/// A closed chain, smoothed.
pub(super) fn smoothed_loop(samples: &[Point], half: usize) -> Vec<Point> {
    // A window of more than a third of the way round would take a small circle for a blot.
    let half = half.min(samples.len() / 6).max(1);
    let count = samples.len();
    let round = samples.iter().cycle().skip(count - half).take(count + 2 * half);
    all_weighted(&weights(half), &round.copied().collect::<Vec<_>>())
}

/// An open chain, smoothed; its ends stay.
pub(super) fn smoothed(points: &[Point], half: usize) -> Vec<Point> {
    let count = points.len();
    let half = half.min((count.saturating_sub(1)) / 2);
    if half < 1 {
        return points.to_vec();
    }
    let (first, last) = (points[0], points[count - 1]);
    // Beyond its ends the chain goes on as if turned by half a turn about them: so lines stay lines.
    let before = points[1..=half].iter().rev().map(|p| first + (first - *p));
    let after = points[count - 1 - half..count - 1].iter().rev().map(|p| last + (last - *p));
    let longer: Vec<Point> = before.chain(points.iter().copied()).chain(after).collect();
    let mut smooth = all_weighted(&weights(half), &longer);
    (smooth[0], smooth[count - 1]) = (first, last);
    smooth
}

/// The sample about which a closed chain is flattest.
fn flattest(points: &[Point]) -> usize {
    let count = points.len();
    let reach = (count / 8).clamp(1, 8);
    let bend = |i: usize| {
        let (before, after) = (points[(i + count - reach) % count], points[(i + reach) % count]);
        ((after - points[i]) - (points[i] - before)).hypot()
    };
    let least = (0..count).map(|i| (bend(i), i)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    least.map_or(0, |(_, i)| i)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weights of nine points, as printed: 59, 54, 39, 14, -21 over 231 (Savitzky and Golay 1964, table I; from memory).
    #[test]
    fn weights_are_the_published_ones() {
        let found: Vec<f64> = weights(4).iter().map(|w| (w * 231.0 * 1e9).round() / 1e9).collect();
        assert_eq!(found, [59.0, 54.0, 39.0, 14.0, -21.0]);
    }

    #[test]
    fn lines_stay_and_parabolas_inside_too() {
        let bent: Vec<Point> = (0..40).map(|i| Point::new(f64::from(i), 0.01 * f64::from(i * i))).collect();
        let smooth = smoothed(&bent, 6);
        assert!(bent.iter().zip(&smooth).skip(6).take(28).all(|(a, b)| (*a - *b).hypot() < 1e-9));
        let line: Vec<Point> = (0..9).map(|i| Point::new(f64::from(i), 2.0 * f64::from(i))).collect();
        assert!(line.iter().zip(smoothed(&line, 6)).all(|(a, b)| (*a - b).hypot() < 1e-9));
    }
}
