//! Where each stroke of an order is begun.
//!
//! Once the order stands, the choice of a start for each closed stroke and of a direction for each open one is a shortest
//! way through layers, one a stroke, which is found exactly (R. Bellman's principle of optimality).

use super::stop::{Stop, Visit};
use super::tour::way;

/// Chooses the ways of all visits so that the moves between them are as short as their order allows.
pub(super) fn choose(stops: &[Stop], visits: &mut [Visit]) {
    let Some(first) = visits.first() else { return };
    let mut costs = vec![0.0; stops[first.stop].ways.len()];
    // For each way of each stop but the first, the way of the stop before that is the best before it.
    let mut came_by: Vec<Vec<u8>> = Vec::with_capacity(visits.len());
    for pair in visits.windows(2) {
        let (before, after) = (&stops[pair[0].stop].ways, &stops[pair[1].stop].ways);
        let best = |entry: &super::stop::Way| {
            let cost = |(i, w): (usize, &super::stop::Way)| (i, costs[i] + way(Some(w.to), Some(entry.from)));
            before.iter().enumerate().map(cost).min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or_default()
        };
        let found: Vec<(usize, f64)> = after.iter().map(best).collect();
        came_by.push(found.iter().map(|f| f.0 as u8).collect());
        costs = found.iter().map(|f| f.1).collect();
    }
    let mut best = (0..costs.len()).min_by(|&a, &b| costs[a].total_cmp(&costs[b])).unwrap_or(0);
    for i in (0..visits.len()).rev() {
        visits[i].way = best;
        if let Some(by) = i.checked_sub(1).and_then(|before| came_by.get(before)) {
            best = usize::from(by[best]);
        }
    }
}
