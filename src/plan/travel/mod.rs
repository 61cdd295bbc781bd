//! In which order lines are burned, and how far the head goes between them with the beam off.
//!
//! In: strokes with their depth. Out: the same strokes in their order, each from the end at which it is begun.
//!
//! What lies inside a closed line comes before it, so that nothing is cut out of a piece that has already come loose;
//! that makes groups, which follow on each other. Within a group the order is free and is made short:
//! 1. [`nearest`]: always the stroke that can be begun nearest.
//! 2. [`improve`]: ways exchanged for shorter ones, on a ring of stops that [`tour`] turns parts of.
//! 3. [`begin`]: where each stroke is begun in that order; then once more from 2.
//!
//! Where strokes are to be spread so that the stock can cool, [`spread`] chooses instead.
//!
//! The way into a group and out of it counts when it is improved. The outcome is never longer than that of the first step.

mod stop;
mod nearest;
mod tour;
mod improve;
mod begin;
mod spread;

use crate::geometry::{Stroke, is_closed};
use crate::units::Mm;
use kurbo::{BezPath, Line, ParamCurve, ParamCurveNearest, PathEl, Point, Shape};
use std::collections::BTreeMap;
use stop::{Stop, Visit};

/// No order is improved more often than this; after the second time, hardly anything is left.
const MOST_ROUNDS: usize = 4;

/// Another round is worth it where the last one has gained this share.
const WORTH_IT: f64 = 1e-3;

/// Orders strokes by depth, those of one depth as `order` says, so that the moves between them are short.
pub fn ordered(strokes: Vec<Stroke>, order: Order) -> Vec<BezPath> {
    let (stops, groups) = grouped(strokes, order);
    burned(&stops, &visits(&stops, &groups))
}

/// The same, but none is begun within `distance` of those burned just before, unless nothing else is left; and how often
/// nothing else was. The moves are not made short beyond that.
pub(super) fn spread_out(strokes: Vec<Stroke>, order: Order, distance: Mm) -> (Vec<BezPath>, usize) {
    let (stops, groups) = grouped(strokes, order);
    let (mut at, mut warm, mut near) = (Point::ZERO, spread::Warm::new(), 0);
    let mut visits = Vec::with_capacity(stops.len());
    for group in &groups {
        let (of_group, often) = spread::chain(&stops, group, at, distance, &mut warm);
        near += often;
        at = of_group.last().map_or(at, |v| stops[v.stop].ways[v.way].to);
        visits.extend(of_group);
    }
    (burned(&stops, &visits), near)
}

fn burned(stops: &[Stop], visits: &[Visit]) -> Vec<BezPath> {
    visits.iter().map(|v| stops[v.stop].burned(v.way)).collect()
}

/// Strokes as stops, and their numbers in groups that follow on each other.
fn grouped(strokes: Vec<Stroke>, order: Order) -> (Vec<Stop>, Vec<Vec<usize>>) {
    let middle = strokes.iter().map(|s| s.path.bounding_box()).reduce(|a, b| a.union(b)).map(|b| b.center());
    let mut levels: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut stops = Vec::with_capacity(strokes.len());
    for Stroke { path, depth } in strokes {
        levels.entry(depth).or_default().push(stops.len());
        stops.push(Stop::new(path));
    }
    let groups =
        levels.into_values().rev().flat_map(|level| order.groups(&stops, level, middle.unwrap_or_default()));
    let groups = groups.collect();
    (stops, groups)
}

/// The stops of all groups in their order.
fn visits(stops: &[Stop], groups: &[Vec<usize>]) -> Vec<Visit> {
    let mut visits: Vec<Visit> = Vec::with_capacity(stops.len());
    for group in groups {
        let at = visits.last().map_or(Point::ZERO, |v| stops[v.stop].ways[v.way].to);
        visits.extend(nearest::chain(stops, group, at));
    }
    let mut shortest = length(stops, &visits);
    let first = visits.clone();
    for _ in 0..MOST_ROUNDS {
        let mut from = 0;
        for group in groups {
            shorten(stops, &mut visits, from..from + group.len());
            from += group.len();
        }
        begin::choose(stops, &mut visits);
        let now = length(stops, &visits);
        if shortest - now <= shortest * WORTH_IT {
            break;
        }
        shortest = now;
    }
    // Each step only ever gains, but for rounding.
    if length(stops, &first) < length(stops, &visits) { first } else { visits }
}

/// Changes the order of one group; what comes before and after it stays, and the ways to both count.
fn shorten(stops: &[Stop], visits: &mut [Visit], group: std::ops::Range<usize>) {
    let way = |v: &Visit| stops[v.stop].ways[v.way];
    let before = group.start.checked_sub(1).map(|i| way(&visits[i]).to);
    let after = visits.get(group.end).map(|v| way(v).from);
    let old = visits[group.clone()].to_vec();
    let mut ends: Vec<[tour::End; 2]> = old.iter().map(way).map(|w| [Some(w.from), Some(w.to)]).collect();
    // The gate is entered where the next group begins and left where the last one ended.
    ends.push([after, before]);
    let turned = |(i, is_turned): (usize, bool)| {
        let Visit { stop, way } = old[i];
        Visit { stop, way: if is_turned { stops[stop].reverse(way) } else { way } }
    };
    for (place, new) in visits[group].iter_mut().zip(improve::improved(ends)) {
        *place = turned(new);
    }
}

/// The length of the moves between visits, in mm.
fn length(stops: &[Stop], visits: &[Visit]) -> f64 {
    let way = |v: &Visit| stops[v.stop].ways[v.way];
    visits.windows(2).map(|pair| tour::way(Some(way(&pair[0]).to), Some(way(&pair[1]).from))).sum()
}

/// Ways to order the strokes of one depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Any, so that the moves between them are short.
    Free,
    /// From the middle outwards: the seams of a puzzle. What has come loose then lies inside of everything that is still
    /// to be cut, and the rest hangs on the sheet all round until its outline is cut.
    InsideOut,
}

/// Strokes whose distances from the middle differ by less than this (mm) lie equally far out.
const AS_FAR: f64 = 0.01;

impl Order {
    /// Strokes in groups that follow on each other, each in any order.
    fn groups(self, stops: &[Stop], level: Vec<usize>, middle: Point) -> Vec<Vec<usize>> {
        if self == Self::Free {
            return vec![level];
        }
        let mut groups: BTreeMap<i64, Vec<usize>> = BTreeMap::new();
        for stop in level {
            let out = (distance(stops[stop].path(), middle) / AS_FAR).round() as i64;
            groups.entry(out).or_default().push(stop);
        }
        groups.into_values().collect()
    }
}

/// How far out a stroke lies: the middle of a closed one, or the straight way between the ends of an open one, so that
/// knobs to either side do not count.
fn distance(path: &BezPath, middle: Point) -> f64 {
    if is_closed(path) {
        return path.bounding_box().center().distance(middle);
    }
    Line::new(start(path), end(path)).nearest(middle, 0.0).distance_sq.sqrt()
}

/// Length of the moves between lines, from the end of each to the start of the next.
pub fn travel(lines: &[BezPath]) -> Mm {
    Mm::new(moves(lines).sum())
}

/// Where the first of some lines begins and where the last one ends.
pub(super) fn ends(lines: &[BezPath]) -> Option<(Point, Point)> {
    Some((start(lines.first()?), end(lines.last()?)))
}

/// The moves between lines, in mm.
pub fn moves(lines: &[BezPath]) -> impl Iterator<Item = f64> + '_ {
    lines.windows(2).map(|pair| end(&pair[0]).distance(start(&pair[1])))
}

fn start(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(PathEl::MoveTo(p)) => *p,
        _ => Point::ZERO,
    }
}

fn end(path: &BezPath) -> Point {
    path.segments().last().map_or(Point::ZERO, |s| s.end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::strokes::cleaned;
    use kurbo::{Circle, Rect};

    const SPOT: Mm = Mm::new(0.08);

    fn ordered(lines: &[BezPath]) -> Vec<BezPath> {
        super::ordered(cleaned(lines, SPOT).0, Order::Free)
    }

    fn circle(x: f64, y: f64, r: f64) -> BezPath {
        Circle::new((x, y), r).to_path(1e-3)
    }

    #[test]
    fn inner_lines_come_before_outer_ones() {
        // Topological order: for each pair of A inside B, A comes first. Three rings in each other, outermost first.
        let lines = vec![circle(50.0, 50.0, 30.0), circle(50.0, 50.0, 20.0), circle(50.0, 50.0, 10.0)];
        let areas: Vec<f64> = ordered(&lines).iter().map(|p| p.area().abs()).collect();
        assert!(areas.windows(2).all(|w| w[0] < w[1]), "{areas:?}");
    }

    #[test]
    fn seams_that_end_on_the_outline_come_before_it() {
        let outline = Rect::new(0.0, 0.0, 100.0, 60.0).to_path(0.1);
        let seam = BezPath::from_svg("M 50 0 L 50 60").unwrap();
        let order = ordered(&[outline, seam]);
        assert!(!is_closed(&order[0]) && is_closed(&order[1]));
    }

    #[test]
    fn ordering_shortens_travel_and_loses_nothing() {
        // 3 x 3 unit grid: no tour through all nine, without the way back, is shorter than 8 (parity argument).
        let spots = [(0, 0), (2, 2), (0, 2), (2, 0), (1, 1), (1, 0), (0, 1), (2, 1), (1, 2)];
        let dots: Vec<BezPath> = spots
            .iter()
            .map(|(x, y)| BezPath::from_svg(&format!("M {} {} l 0.001 0", x * 10, y * 10)).unwrap())
            .collect();
        let before = travel(&dots).get();
        let order = ordered(&dots);
        assert_eq!(order.len(), 9);
        let after = travel(&order).get();
        assert!(after < before && (after - 80.0).abs() < 0.02, "{after} {before}");
    }

    #[test]
    fn no_order_is_longer_than_always_the_nearest() {
        // Circles and lines in a spiral, in two groups.
        for count in [1, 2, 3, 4, 5, 8, 13, 40, 200] {
            let place = |i: usize| {
                let (turn, out) = (2.4 * i as f64, 10.0 * (i as f64).sqrt());
                (100.0 + out * libm::cos(turn), 100.0 + out * libm::sin(turn))
            };
            let path = |i: usize| match (place(i), i % 3) {
                ((x, y), 0) => circle(x, y, 1.0),
                ((x, y), _) => Line::new((x, y), (x + 9.0, y + (i % 7) as f64)).to_path(0.1),
            };
            let stops: Vec<Stop> = (0..count).map(|i| Stop::new(path(i))).collect();
            let (even, odd): (Vec<usize>, Vec<usize>) = (0..count).partition(|i| i % 2 == 0);
            let mut nearest = nearest::chain(&stops, &even, Point::ZERO);
            let at = nearest.last().map_or(Point::ZERO, |v| stops[v.stop].ways[v.way].to);
            nearest.extend(nearest::chain(&stops, &odd, at));
            let found = visits(&stops, &[even.clone(), odd]);
            assert!(length(&stops, &found) <= length(&stops, &nearest), "{count}");
            let mut all: Vec<usize> = found.iter().map(|v| v.stop).collect();
            assert!(all[..even.len()].iter().all(|stop| stop % 2 == 0), "the groups of {count} are mixed");
            all.sort_unstable();
            assert_eq!(all, (0..count).collect::<Vec<_>>());
        }
    }

    #[test]
    fn seams_are_cut_from_the_middle_outwards_and_closed_lines_last() {
        let line = |d: &str| BezPath::from_svg(d).unwrap();
        let level = |y: i32| line(&format!("M 0 {y} L 100 {y}"));
        let upright = |x: i32| line(&format!("M {x} 0 L {x} 60"));
        let ring = circle(20.0, 10.0, 4.0);
        let lines = [ring, level(15), upright(50), level(30), upright(20), level(45), upright(80)];
        let order = super::ordered(cleaned(&lines, SPOT).0, Order::InsideOut);
        // Distances from the middle, (50, 30), in the order in which they are cut.
        let out: Vec<f64> = order.iter().map(|p| distance(p, Point::new(50.0, 30.0)).round()).collect();
        assert_eq!(out[..6], [0.0, 0.0, 15.0, 15.0, 30.0, 30.0]);
        assert!(is_closed(&order[6]));
    }

    #[test]
    fn strokes_that_are_spread_are_not_begun_beside_the_last_ones() {
        // Forty slots 2 mm apart, to be burned 4 mm apart at least; in the order of the page each would be.
        let slot = |i: u32| Line::new((2.0 * f64::from(i), 0.0), (2.0 * f64::from(i), 30.0)).to_path(0.1);
        let strokes: Vec<Stroke> = (0..40).map(|i| Stroke { path: slot(i), depth: 0 }).collect();
        let (lines, near) = spread_out(strokes.clone(), Order::Free, Mm::new(4.1));
        let beside = |w: &[BezPath]| (start(&w[0]).x - start(&w[1]).x).abs() < 4.1;
        assert_eq!(lines.len(), 40);
        assert!(lines.windows(2).filter(|w| beside(w)).count() <= near && near <= 3, "{near} times");
        assert!(super::ordered(strokes, Order::Free).windows(2).all(beside));
    }
}
