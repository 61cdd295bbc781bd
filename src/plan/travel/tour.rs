//! A round of stops that can be changed by turning parts of it round.
//!
//! The stops of one group make a ring together with a last one, the gate, which stands for what comes before and after
//! the group. As a ring has no direction, turning a part round is the same as turning the rest round: the shorter is
//! turned. So a change costs no more than half the ring, and mostly a few places.

use kurbo::Point;

/// Where a stop meets the next: a point, or anywhere, which costs no way.
pub(super) type End = Option<Point>;

/// The way between two ends, in mm.
pub(super) fn way(a: End, b: End) -> f64 {
    match (a, b) {
        // Not `hypot`, whose last digit may depend on the system.
        (Some(a), Some(b)) => ((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)).sqrt(),
        _ => 0.0,
    }
}

/// A ring of stops with two ends each.
pub(super) struct Tour {
    ends: Vec<[End; 2]>,
    /// The stops in their order.
    order: Vec<usize>,
    /// Where each stands in it.
    place: Vec<usize>,
    /// Whether it is entered at its second end.
    turned: Vec<bool>,
    /// The places between which parts were turned since the last [`Tour::keep`].
    log: Vec<(usize, usize)>,
}

impl Tour {
    /// Stops in the order given, the gate last.
    pub fn new(ends: Vec<[End; 2]>) -> Self {
        let all: Vec<usize> = (0..ends.len()).collect();
        Self { turned: vec![false; ends.len()], order: all.clone(), place: all, log: Vec::new(), ends }
    }

    pub const fn len(&self) -> usize {
        self.order.len()
    }

    pub fn next(&self, stop: usize) -> usize {
        let place = self.place[stop] + 1;
        self.order[if place == self.len() { 0 } else { place }]
    }

    pub fn previous(&self, stop: usize) -> usize {
        let place = self.place[stop];
        self.order[if place == 0 { self.len() } else { place } - 1]
    }

    /// Where a stop is entered.
    pub fn entry(&self, stop: usize) -> End {
        self.ends[stop][usize::from(self.turned[stop])]
    }

    /// Where it is left.
    pub fn exit(&self, stop: usize) -> End {
        self.ends[stop][usize::from(!self.turned[stop])]
    }

    /// The number of the end at which a stop is left.
    pub fn exit_side(&self, stop: usize) -> usize {
        usize::from(!self.turned[stop])
    }

    pub fn at(&self, stop: usize, side: usize) -> End {
        self.ends[stop][side]
    }

    /// Whether a stop is entered and left at one point.
    pub fn is_point(&self, stop: usize) -> bool {
        self.ends[stop][0] == self.ends[stop][1]
    }

    /// The stop at a place, counted from any.
    pub fn stop_at(&self, place: usize) -> usize {
        self.order[place % self.len()]
    }

    /// How many steps forward it is from one stop to another.
    pub fn steps(&self, from: usize, to: usize) -> usize {
        let (from, to) = (self.place[from], self.place[to]);
        if from <= to { to - from } else { to + self.len() - from }
    }

    /// How many stops change places when what lies from one to another is turned round.
    pub fn turned_by(&self, first: usize, last: usize) -> usize {
        let count = self.steps(first, last) + 1;
        count.min(self.len() - count)
    }

    /// Puts the ways a–c and b–d in the place of a–b and c–d. Seen in one of the two directions, b follows a, and d
    /// follows c.
    pub fn exchange(&mut self, (a, b): (usize, usize), (c, d): (usize, usize)) {
        let (first, last) = if self.next(a) == b && self.next(c) == d { (b, c) } else { (c, b) };
        let (from, to) = (self.place[first], self.place[last]);
        self.turn(from, to);
        self.log.push((from, to));
    }

    /// Moves the part from stop `first` to stop `last`, which follows `p` and is followed by `q`, between `c` and the stop
    /// `u` after it; either as it is, so that its first stop follows `c`, or turned round.
    pub fn shift(&mut self, (first, last): (usize, usize), c: usize, is_turned: bool) {
        let (p, q, u) = (self.previous(first), self.next(last), self.next(c));
        // The part changes places with what lies between it and its new place, on the shorter side.
        let forward = self.steps(q, c) <= self.len() / 2;
        let (p, q, f, l, c, u) = if forward { (p, q, first, last, c, u) } else { (q, p, last, first, u, c) };
        self.exchange((p, f), (c, u));
        self.exchange((p, c), (q, l));
        if !is_turned {
            self.exchange((c, l), (f, u));
        }
    }

    /// Keeps all changes made so far.
    pub fn keep(&mut self) {
        self.log.clear();
    }

    /// Takes back all changes since they were last kept.
    pub fn take_back(&mut self) {
        while let Some((from, to)) = self.log.pop() {
            self.turn(from, to);
        }
    }

    /// The stops between the gate and the gate, each with whether it is entered at its second end.
    pub fn between_gates(&self) -> Vec<(usize, bool)> {
        let gate = self.len() - 1;
        let step = |&stop: &usize| if self.turned[gate] { self.previous(stop) } else { self.next(stop) };
        let after = std::iter::successors(Some(step(&gate)), |s| Some(step(s)));
        after.take(gate).map(|stop| (stop, self.turned[stop] != self.turned[gate])).collect()
    }

    /// Turns round what lies from one place to another, or else all the rest. Done twice, it changes nothing.
    fn turn(&mut self, from: usize, to: usize) {
        let n = self.len();
        let count = (to + n - from) % n + 1;
        let (mut low, mut high, count) =
            if count * 2 <= n { (from, to, count) } else { ((to + 1) % n, (from + n - 1) % n, n - count) };
        for _ in 0..count / 2 {
            self.order.swap(low, high);
            self.set(low);
            self.set(high);
            low = if low + 1 == n { 0 } else { low + 1 };
            high = if high == 0 { n - 1 } else { high - 1 };
        }
        if count % 2 == 1 {
            self.set(low);
        }
    }

    /// Notes where the stop at a place stands now, the other way round.
    fn set(&mut self, place: usize) {
        let stop = self.order[place];
        self.place[stop] = place;
        self.turned[stop] = !self.turned[stop];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tour(n: usize) -> Tour {
        let at = |x: usize| Some(Point::new(x as f64, 0.0));
        Tour::new((0..n).map(|i| [at(2 * i), at(2 * i + 1)]).collect())
    }

    fn order(tour: &Tour) -> Vec<usize> {
        tour.between_gates().into_iter().map(|(stop, _)| stop).collect()
    }

    #[test]
    fn a_part_is_turned_round_whichever_side_is_shorter() {
        // Each pair of ways of rings of all sizes; the gate is the last stop and stays where it is.
        for n in 4..9 {
            for b in 0..n - 1 {
                for c in b + 1..n - 1 {
                    let mut tour = tour(n);
                    let (a, d) = (tour.previous(b), tour.next(c));
                    tour.exchange((a, b), (c, d));
                    let expected: Vec<usize> = (0..b).chain((b..=c).rev()).chain(c + 1..n - 1).collect();
                    assert_eq!(order(&tour), expected);
                    let turned: Vec<bool> = (0..n - 1).map(|place| (b..=c).contains(&place)).collect();
                    assert_eq!(tour.between_gates().iter().map(|s| s.1).collect::<Vec<_>>(), turned);
                    tour.take_back();
                    assert_eq!(order(&tour), (0..n - 1).collect::<Vec<_>>());
                }
            }
        }
    }

    #[test]
    fn a_part_is_moved_as_it_is_or_turned() {
        for (c, is_turned, expected) in [
            (6, false, vec![0, 1, 4, 5, 6, 2, 3, 7]),
            (6, true, vec![0, 1, 4, 5, 6, 3, 2, 7]),
            (0, false, vec![0, 2, 3, 1, 4, 5, 6, 7]),
            (8, false, vec![2, 3, 0, 1, 4, 5, 6, 7]),
            (8, true, vec![3, 2, 0, 1, 4, 5, 6, 7]),
        ] {
            let mut tour = tour(9);
            tour.shift((2, 3), c, is_turned);
            assert_eq!(order(&tour), expected, "after {c}");
            assert!(
                tour.between_gates()
                    .iter()
                    .all(|&(stop, turned)| turned == (is_turned && (stop == 2 || stop == 3)))
            );
        }
    }
}
