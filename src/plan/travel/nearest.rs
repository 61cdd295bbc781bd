//! The first order: always the stroke that can be begun nearest.

use super::stop::{Stop, Visit};
use kurbo::Point;
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// A point where a stroke may be entered.
#[derive(Clone, Copy, PartialEq)]
struct Entry {
    at: Point,
    visit: Visit,
}

impl RTreeObject for Entry {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_point([self.at.x, self.at.y])
    }
}

impl PointDistance for Entry {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        (self.at - Point::new(point[0], point[1])).hypot2()
    }
}

/// Strokes that are still to be burned, to be asked for the nearest.
pub(super) struct Waiting<'a> {
    stops: &'a [Stop],
    tree: RTree<Entry>,
}

impl<'a> Waiting<'a> {
    /// Some of the stops.
    pub fn of(stops: &'a [Stop], group: &[usize]) -> Self {
        Self { stops, tree: RTree::bulk_load(group.iter().flat_map(|&stop| entries(stops, stop)).collect()) }
    }

    /// The nearest that may be taken, which waits no longer; among equally near ones the one given first, so that the
    /// order never depends on the tree. `None` when no more than `most` entries have been looked at in vain.
    pub fn take(&mut self, at: Point, most: usize, may: impl Fn(Visit) -> bool) -> Option<Visit> {
        let near = self.tree.nearest_neighbor_iter_with_distance_2(&[at.x, at.y]);
        let mut best: Option<(Visit, f64)> = None;
        for (entry, distance) in near.take(most) {
            if best.is_some_and(|(_, d)| d < distance) {
                break;
            }
            let is_first = best.is_none_or(|(b, _)| (entry.visit.stop, entry.visit.way) < (b.stop, b.way));
            if is_first && may(entry.visit) {
                best = Some((entry.visit, distance));
            }
        }
        let (visit, _) = best?;
        for entry in entries(self.stops, visit.stop) {
            self.tree.remove(&entry);
        }
        Some(visit)
    }
}

fn entries(stops: &[Stop], stop: usize) -> impl Iterator<Item = Entry> + '_ {
    stops[stop].ways.iter().enumerate().map(move |(way, w)| Entry { at: w.from, visit: Visit { stop, way } })
}

/// So many equally near ones are compared; more come only from drawings made to hold the build up.
const MOST_COMPARED: usize = 2_000;

/// The stops of a group, each time the one that can be begun nearest.
pub(super) fn chain(stops: &[Stop], group: &[usize], mut at: Point) -> Vec<Visit> {
    let mut waiting = Waiting::of(stops, group);
    let mut visits = Vec::with_capacity(group.len());
    while let Some(visit) = waiting.take(at, MOST_COMPARED, |_| true) {
        at = stops[visit.stop].ways[visit.way].to;
        visits.push(visit);
    }
    visits
}
