//! An order in which strokes that lie near each other are not burned one straight after another, so that the stock between
//! them can cool.

use super::nearest::Waiting;
use super::stop::{Stop, Visit};
use crate::geometry::Surroundings;
use crate::units::Mm;
use kurbo::Point;
use std::collections::VecDeque;

/// So many strokes are still warm.
const WARM: usize = 6;

/// No more places than this are looked at for one that has cooled.
const MOST_LOOKED_AT: usize = 2_000;

/// Strokes that were burned just now, the last one last.
pub(super) struct Warm(VecDeque<Surroundings>);

impl Warm {
    pub fn new() -> Self {
        Self(VecDeque::with_capacity(WARM + 1))
    }

    fn is_near(&self, point: Point, distance: Mm) -> bool {
        self.0.iter().any(|stroke| stroke.come_within(distance, point))
    }

    fn burn(&mut self, stop: &Stop) {
        self.0.push_back(Surroundings::of([stop.path()]));
        if WARM < self.0.len() {
            self.0.pop_front();
        }
    }
}

/// The stops of a group, each time the nearest that is not begun near a warm stroke, or the nearest where nothing else is
/// left; and how often nothing else was.
pub(super) fn chain(
    stops: &[Stop],
    group: &[usize],
    mut at: Point,
    distance: Mm,
    warm: &mut Warm,
) -> (Vec<Visit>, usize) {
    let mut waiting = Waiting::of(stops, group);
    let mut visits = Vec::with_capacity(group.len());
    let mut near = 0;
    loop {
        let from = |visit: Visit| stops[visit.stop].ways[visit.way].from;
        let cooled = waiting.take(at, MOST_LOOKED_AT, |visit| !warm.is_near(from(visit), distance));
        let Some(visit) = cooled.or_else(|| {
            let nearest = waiting.take(at, MOST_LOOKED_AT, |_| true);
            near += usize::from(nearest.is_some());
            nearest
        }) else {
            return (visits, near);
        };
        at = stops[visit.stop].ways[visit.way].to;
        warm.burn(&stops[visit.stop]);
        visits.push(visit);
    }
}
