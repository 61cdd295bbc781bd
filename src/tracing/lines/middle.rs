//! The middle of a stroke to a small part of a pixel.
//!
//! From a rough middle, a ray goes to the edge on each side, at right angles; half way between the two edges is the middle.

use super::super::ink::Ink;
use kurbo::{Point, Vec2};

use super::super::samples::STEP;

/// A ray looks at the ink every so many pixels.
const RAY: f64 = 0.25;

/// A stroke wider than this many times its half width, and so many pixels, meets another one there.
const WIDEST: f64 = 2.6;
const WIDEST_MORE: f64 = 2.0;

/// How far the edge of the ink is from a place in it, in a direction of unit length; `None` beyond `most` pixels or when
/// the place has no ink. The sheet ends as the ink does.
pub(super) fn edge(ink: &Ink, from: Point, direction: Vec2, most: f64) -> Option<f64> {
    let (width, height) = (ink.plane.width as f64, ink.plane.height as f64);
    let level = |at: f64| {
        let p = from + direction * at;
        let inside = p.x > 0.0 && p.y > 0.0 && p.x < width && p.y < height;
        f64::from(if inside { ink.plane.between(p.x, p.y) } else { 0.0 } - ink.threshold)
    };
    let mut before = level(0.0);
    if before <= 0.0 {
        return None;
    }
    for k in 1..=(most / RAY).ceil() as usize {
        let at = k as f64 * RAY;
        let here = level(at);
        if here <= 0.0 {
            return Some(at - RAY * -here / (before - here));
        }
        before = here;
    }
    None
}

/// A chain of places in the middle of a stroke, and the widths read there.
pub(super) struct Middle {
    pub points: Vec<Point>,
    pub widths: Vec<f64>,
}

/// Moves evenly spaced samples to the middle of the stroke that they lie in, of about a half width; where `is_clear` says
/// no, and where the stroke is too wide to be itself, they move as those about them do.
pub(super) fn centred(
    ink: &Ink,
    samples: &[Point],
    is_closed: bool,
    half_width: f64,
    is_clear: impl Fn(usize) -> bool,
) -> Middle {
    let count = samples.len();
    let reach = reach(half_width).min(count.saturating_sub(1) / 2).max(1);
    let at = |i: isize| {
        let last = count.cast_signed() - 1;
        let i = if is_closed { i.rem_euclid(last + 1) } else { i.clamp(0, last) };
        samples[i.cast_unsigned()]
    };
    let normal = |i: usize| {
        let (i, reach) = (i.cast_signed(), reach.cast_signed());
        let along = at(i + reach) - at(i - reach);
        Vec2::new(-along.y, along.x) / along.hypot()
    };
    let most = WIDEST * half_width + WIDEST_MORE;
    let read = |i: usize| {
        let side = normal(i);
        let left = edge(ink, samples[i], side, most)?;
        let right = edge(ink, samples[i], -side, most)?;
        (left + right <= most).then_some((f64::midpoint(left, -right), left + right))
    };
    let read: Vec<Option<(f64, f64)>> = (0..count).map(|i| if is_clear(i) { read(i) } else { None }).collect();
    let widths = read.iter().flatten().map(|r| r.1).collect();
    let moves = bridged(&read.iter().map(|r| r.map(|r| r.0)).collect::<Vec<_>>(), is_closed);
    let moved = |i: usize| {
        let side = normal(i) * moves[i];
        if side.is_finite() { samples[i] + side } else { samples[i] }
    };
    Middle { points: (0..count).map(moved).collect(), widths }
}

/// How many samples on each side say which way a stroke of a half width goes.
pub(super) fn reach(half_width: f64) -> usize {
    ((0.7 * half_width / STEP).round() as usize).clamp(4, 40)
}

/// Values where there are some, and between them where there are none; zero when there are none at all.
fn bridged(values: &[Option<f64>], is_closed: bool) -> Vec<f64> {
    let count = values.len();
    let known: Vec<(usize, f64)> = values.iter().enumerate().filter_map(|(i, v)| v.map(|v| (i, v))).collect();
    let (Some(&first), Some(&last)) = (known.first(), known.last()) else { return vec![0.0; count] };
    let mut found = vec![0.0; count];
    let between = |from: (usize, f64), to: (usize, f64), found: &mut [f64]| {
        let steps = (to.0 - from.0).max(1) as f64;
        for i in from.0..=to.0 {
            let share = (i - from.0) as f64 / steps;
            found[i % count] = from.1 + (to.1 - from.1) * share;
        }
    };
    known.windows(2).for_each(|w| between(w[0], w[1], &mut found));
    if is_closed {
        between(last, (first.0 + count, first.1), &mut found);
    } else {
        found[..first.0].fill(first.1);
        found[last.0..].fill(last.1);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_bridged_evenly() {
        let values = [None, Some(1.0), None, None, Some(4.0), None];
        assert_eq!(bridged(&values, false), [1.0, 1.0, 2.0, 3.0, 4.0, 4.0]);
        assert_eq!(bridged(&values, true), [2.0, 1.0, 2.0, 3.0, 4.0, 3.0]);
        assert_eq!(bridged(&[None, None], true), [0.0, 0.0]);
    }
}
