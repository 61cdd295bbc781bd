//! Bridges that are left uncut, to hold what is cut out until a knife frees it.

use super::along::Along;
use kurbo::{BezPath, Point};

/// An outline is long enough for its bridges when so many times their width lies between two of them.
const APART: f64 = 4.0;

/// No two bridges are nearer to each other than this, mm.
const LEAST_APART: f64 = 5.0;

/// How far from a bridge the line shall still be straight, mm.
const CLEAR: f64 = 1.0;

/// How many places are compared for each bridge.
const CHOICES: usize = 41;

/// The share of the way between two bridges, in the middle of it, in which the best place is looked for.
const FREE: f64 = 0.6;

/// Bends that differ by less than this (radians) are as good as each other; the place in the middle is taken then.
const AS_STRAIGHT: f64 = 0.05;

/// An outline with bridges: what is cut of it, and the middles of the bridges.
pub(super) struct Held {
    pub cut: Vec<BezPath>,
    pub bridges: Vec<Point>,
}

/// Leaves so many gaps in a closed line, each so wide (mm), on its straightest stretches and evenly round it. `None` where
/// the line is too short for them.
pub(super) fn held(outline: &BezPath, count: usize, gap: f64) -> Option<Held> {
    let along = Along::new(outline);
    let each = along.length() / count as f64;
    if each < (APART * gap).max(gap + LEAST_APART) {
        return None;
    }
    let places: Vec<f64> =
        (0..count).map(|i| straightest(&along, (i as f64 + 0.5) * each, each * FREE, gap)).collect();
    let next = |i: usize| places.get(i + 1).copied().unwrap_or(places[0] + along.length());
    let cut = (0..count).map(|i| along.part(places[i] + gap / 2.0, next(i) - gap / 2.0)).collect();
    Some(Held { cut, bridges: places.iter().map(|&at| along.point(at)).collect() })
}

/// The place about `middle`, within a stretch, beside which the line bends least.
fn straightest(along: &Along, middle: f64, stretch: f64, gap: f64) -> f64 {
    let reach = gap / 2.0 + CLEAR;
    let choice = |i: usize| {
        let at = middle + stretch * (i as f64 / (CHOICES - 1) as f64 - 0.5);
        let bend = (along.turning(at - reach, at + reach) / AS_STRAIGHT).floor() as i64;
        (bend, i.abs_diff(CHOICES / 2), at)
    };
    (0..CHOICES).map(choice).min_by_key(|&(bend, off, _)| (bend, off)).map_or(middle, |(.., at)| at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::length;
    use kurbo::{Circle, Rect, Shape};

    #[test]
    fn bridges_are_left_on_straight_stretches_apart_from_each_other() {
        let board = Rect::new(0.0, 0.0, 60.0, 40.0).to_path(0.1);
        for count in 1..=12 {
            let held = held(&board, count, 0.6).expect("room");
            let cut: f64 = held.cut.iter().map(|c| length(c).get()).sum();
            assert!((cut - (200.0 - 0.6 * count as f64)).abs() < 1e-2, "{count}: {cut}");
            assert_eq!((held.cut.len(), held.bridges.len()), (count, count));
            for (i, a) in held.bridges.iter().enumerate() {
                let corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)];
                assert!(corners.iter().all(|c| a.distance((*c).into()) > 1.2), "{count}: {a:?} lies at a corner");
                assert!(held.bridges[i + 1..].iter().all(|b| a.distance(*b) > LEAST_APART), "{count}");
            }
        }
    }

    #[test]
    fn an_outline_that_is_too_short_is_not_held() {
        let circle = Circle::new((0.0, 0.0), 4.0).to_path(1e-3);
        assert!(held(&circle, 4, 0.6).is_some());
        assert!(held(&circle, 5, 0.6).is_none());
        assert!(held(&circle, 2, 5.0).is_none());
    }
}
