//! An order made shorter by exchanging ways between strokes.
//!
//! Two ways are put in the place of two others, which turns what lies between them round (2-opt), or up to three strokes
//! are moved to another place (Or-opt; I. Or, 1976). Only ways to what lies near are tried, and only from strokes beside
//! which something has changed (neighbour lists and don't-look bits; J. L. Bentley, *Fast algorithms for geometric
//! traveling salesman problems*, ORSA J. Computing 4, 1992; all from memory). Where nothing is left to be gained, parts of the
//! order change places at random; where that cannot be mended into something shorter, it is taken back.

use super::tour::{End, Tour, way};
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::collections::VecDeque;

/// How many ends of other strokes are tried from each.
const NEIGHBOURS: usize = 10;

/// The longest part that is moved to another place.
const LONGEST_MOVED: usize = 3;

/// A gain of less than this (mm) is rounding.
const LEAST_GAIN: f64 = 1e-7;

/// So many random changes are tried for each stroke …
const SHAKES_EACH: usize = 30;

/// … and no more than this in all, for they are only worth it while an order is short.
const MOST_SHAKES: usize = 60_000;

/// No more strokes than this are turned round for one exchange, so that time grows no faster than their number where there
/// are very many.
const MOST_TURNED: usize = 50_000;

/// The longest parts that change places at random.
const LONGEST_SHAKEN: usize = 30;

/// An end of a stop.
#[derive(Clone, Copy)]
struct Neighbour {
    stop: usize,
    side: usize,
}

/// What is improved, and where it is still to be looked.
struct Search {
    tour: Tour,
    near: Vec<[Vec<Neighbour>; 2]>,
    queue: VecDeque<usize>,
    is_queued: Vec<bool>,
}

/// A shorter order of stops with two ends each, the last of which is the gate between the end and the start: the stops
/// without it, each with whether it is entered at its second end.
pub(super) fn improved(ends: Vec<[End; 2]>) -> Vec<(usize, bool)> {
    let near = neighbours(&ends);
    let count = ends.len();
    let mut search =
        Search { tour: Tour::new(ends), near, queue: (0..count).collect(), is_queued: vec![true; count] };
    // Of fewer than two stops beside the gate there is but one order.
    if 3 <= count {
        search.settle();
        search.shake((count * SHAKES_EACH).min(MOST_SHAKES));
    }
    search.tour.between_gates()
}

fn neighbours(ends: &[[End; 2]]) -> Vec<[Vec<Neighbour>; 2]> {
    let gate = ends.len() - 1;
    // What is entered and left at one point is found once.
    let sides = |stop: usize| if ends[stop][0] == ends[stop][1] { 0..1 } else { 0..2 };
    let all = (0..gate).flat_map(|stop| sides(stop).map(move |side| Neighbour { stop, side }));
    let point = |n: Neighbour| ends[n.stop][n.side].map(|at| GeomWithData::new([at.x, at.y], n));
    let tree = RTree::bulk_load(all.filter_map(point).collect());
    let of_end = |stop: usize, side: usize| -> Vec<Neighbour> {
        let Some(at) = ends[stop][side] else { return Vec::new() };
        let near = tree.nearest_neighbor_iter_with_distance_2(&[at.x, at.y]).filter(|(n, _)| n.data.stop != stop);
        let mut near: Vec<(Neighbour, f64)> = near.take(NEIGHBOURS).map(|(n, d)| (n.data, d)).collect();
        near.sort_by(|a, b| a.1.total_cmp(&b.1).then((a.0.stop, a.0.side).cmp(&(b.0.stop, b.0.side))));
        near.into_iter().map(|(n, _)| n).collect()
    };
    (0..ends.len())
        .map(|stop| {
            let first = of_end(stop, 0);
            let second = if ends[stop][0] == ends[stop][1] { first.clone() } else { of_end(stop, 1) };
            [first, second]
        })
        .collect()
}

impl Search {
    /// Takes what is to be gained until nothing is; gives back how much it was.
    fn settle(&mut self) -> f64 {
        let mut gained = 0.0;
        while let Some(stop) = self.queue.pop_front() {
            self.is_queued[stop] = false;
            while let Some(gain) = self.better(stop) {
                gained += gain;
            }
        }
        gained
    }

    fn look_at(&mut self, stops: &[usize]) {
        for &stop in stops {
            if !std::mem::replace(&mut self.is_queued[stop], true) {
                self.queue.push_back(stop);
            }
        }
    }

    /// Makes one change at a stop, if one gains something.
    fn better(&mut self, stop: usize) -> Option<f64> {
        self.exchange_after(stop).or_else(|| self.exchange_before(stop)).or_else(|| self.shift_from(stop))
    }

    /// Whether a neighbour is an end at which its stop is left, and whether one at which it is entered.
    fn roles(&self, n: Neighbour) -> (bool, bool) {
        let is_exit = self.tour.exit_side(n.stop) == n.side;
        let both = self.tour.is_point(n.stop);
        (is_exit || both, !is_exit || both)
    }

    /// Another way from where a stop is left.
    fn exchange_after(&mut self, s: usize) -> Option<f64> {
        let (tour, t) = (&self.tour, self.tour.next(s));
        let (exit, now) = (tour.exit(s), way(tour.exit(s), tour.entry(t)));
        for &n in &self.near[s][tour.exit_side(s)] {
            let new = way(exit, tour.at(n.stop, n.side));
            if now <= new {
                break;
            }
            let (c, u) = (n.stop, tour.next(n.stop));
            let gain = now + way(tour.exit(c), tour.entry(u)) - new - way(tour.entry(t), tour.entry(u));
            if self.roles(n).0 && LEAST_GAIN < gain && tour.turned_by(t, c) <= MOST_TURNED {
                self.tour.exchange((s, t), (c, u));
                self.look_at(&[s, t, c, u]);
                return Some(gain);
            }
        }
        None
    }

    /// Another way to where a stop is entered.
    fn exchange_before(&mut self, s: usize) -> Option<f64> {
        let (tour, p) = (&self.tour, self.tour.previous(s));
        let (entry, now) = (tour.entry(s), way(tour.exit(p), tour.entry(s)));
        for &n in &self.near[s][1 - tour.exit_side(s)] {
            let new = way(entry, tour.at(n.stop, n.side));
            if now <= new {
                break;
            }
            let (c, q) = (n.stop, tour.previous(n.stop));
            let gain = now + way(tour.exit(q), tour.entry(c)) - new - way(tour.exit(p), tour.exit(q));
            if self.roles(n).1 && LEAST_GAIN < gain && tour.turned_by(s, q) <= MOST_TURNED {
                self.tour.exchange((p, s), (q, c));
                self.look_at(&[p, s, q, c]);
                return Some(gain);
            }
        }
        None
    }

    /// Moves a part that begins or ends with a stop to where that lies nearer.
    fn shift_from(&mut self, s: usize) -> Option<f64> {
        let (mut first, mut last) = (s, s);
        for _ in 0..LONGEST_MOVED {
            if let Some(gain) = self.shift_to_near((s, last), true) {
                return Some(gain);
            }
            if let Some(gain) = self.shift_to_near((first, s), false) {
                return Some(gain);
            }
            (first, last) = (self.tour.previous(first), self.tour.next(last));
            if self.tour.steps(first, last) + 2 >= self.tour.len() {
                break;
            }
        }
        None
    }

    /// Moves a part to beside a neighbour of its first or of its last stop.
    fn shift_to_near(&mut self, (first, last): (usize, usize), by_first: bool) -> Option<f64> {
        let tour = &self.tour;
        let (p, q) = (tour.previous(first), tour.next(last));
        let (left, right) = (tour.entry(first), tour.exit(last));
        let saved = way(tour.exit(p), left) + way(right, tour.entry(q)) - way(tour.exit(p), tour.entry(q));
        let (near, far, list) = if by_first {
            (left, right, &self.near[first][1 - tour.exit_side(first)])
        } else {
            (right, left, &self.near[last][tour.exit_side(last)])
        };
        let length = tour.steps(first, last);
        for &n in list {
            let new = way(near, tour.at(n.stop, n.side));
            if saved <= new {
                break;
            }
            if tour.steps(first, n.stop) <= length {
                continue;
            }
            let (is_exit, is_entry) = self.roles(n);
            // After the neighbour or before it; the near end is then beside it.
            for (c, u, holds) in [(n.stop, tour.next(n.stop), is_exit), (tour.previous(n.stop), n.stop, is_entry)]
            {
                let beyond = if c == n.stop { tour.entry(u) } else { tour.exit(c) };
                let gain = saved + way(tour.exit(c), tour.entry(u)) - new - way(far, beyond);
                // Beside its old place, nothing is moved.
                let is_elsewhere = c != p && u != q && c != last;
                if holds && is_elsewhere && LEAST_GAIN < gain && tour.turned_by(q, c) <= MOST_TURNED {
                    let is_turned = (c == n.stop) != by_first;
                    self.tour.shift((first, last), c, is_turned);
                    self.look_at(&[p, q, first, last, c, u]);
                    return Some(gain);
                }
            }
        }
        None
    }

    /// Makes neighbouring parts of the order change places, mends that, and takes it back where it gained nothing.
    fn shake(&mut self, times: usize) {
        let count = self.tour.len();
        // Two parts, what comes before and after them, and one more.
        if count < 8 {
            return;
        }
        let longest = LONGEST_SHAKEN.min((count - 3) / 2);
        let mut dice = Dice(count as u64);
        for _ in 0..times {
            self.tour.keep();
            let at = dice.below(count);
            let (a, b) = (1 + dice.below(longest), 1 + dice.below(longest));
            let tour = &self.tour;
            let [p, first, last, second, c, u] =
                [at, at + 1, at + a, at + a + 1, at + a + b, at + a + b + 1].map(|place| tour.stop_at(place));
            let length = |pairs: [(usize, usize); 3]| -> f64 {
                pairs.iter().map(|&(a, b)| way(tour.exit(a), tour.entry(b))).sum()
            };
            let before = length([(p, first), (last, second), (c, u)]);
            let after = length([(p, second), (c, first), (last, u)]);
            self.tour.shift((first, last), c, false);
            self.look_at(&[p, first, last, second, c, u]);
            if before - after + self.settle() < 0.0 {
                self.tour.take_back();
            }
        }
    }
}

/// Numbers that look random and are always the same: a multiplicative congruential generator (D. E. Knuth, *The Art of
/// Computer Programming*, vol. 2, 3.3.4, table 1, line 26, from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % bound
    }
}
