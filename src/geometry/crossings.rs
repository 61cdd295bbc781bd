//! How often lines cross, estimated before the crossings are worked out: their number is what costs time and
//! memory, and a small file can hold millions of them.

use super::grid::Ring;
use kurbo::Point;

/// Crossings that can be worked out in a few seconds and some hundred megabytes.
pub(super) const MOST_CROSSINGS: f64 = 2e6;

/// Pairs of chords that are tried at most.
const MOST_TRIES: f64 = 100_000.0;

/// Crossings that the sample should meet where there are as many as the limit.
const MEETINGS: f64 = 30.0;

/// Whether the chords of the chains cross each other more than `limit` times, as far as a sample of their pairs
/// tells; it is the same sample on every run.
pub(super) fn exceed(chains: &[Vec<Point>], limit: f64) -> bool {
    let chords: Vec<[Point; 2]> = chains.iter().flat_map(|c| c.windows(2).map(|p| [p[0], p[1]])).collect();
    let pairs = chords.len() as f64 * chords.len() as f64 / 2.0;
    if pairs <= limit {
        return false;
    }
    let tries = (MEETINGS * pairs / limit).min(MOST_TRIES) as usize;
    let mut draws = Draws(0x9e37_79b9_7f4a_7c15);
    let hits = (0..tries).filter(|_| cross(chords[draws.below(chords.len())], chords[draws.below(chords.len())]));
    hits.count() as f64 / tries as f64 * pairs > limit
}

/// The same for rings.
pub(super) fn of_rings_exceed(rings: &[Ring], limit: f64) -> bool {
    let chain = |r: &Ring| r.iter().chain(r.first()).map(|n| n.point()).collect();
    exceed(&rings.iter().map(chain).collect::<Vec<_>>(), limit)
}

fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Evenly spread numbers, the same on every run (`SplitMix64`: G. Steele, D. Lea, C. Flood, 2014, from memory).
struct Draws(u64);

impl Draws {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = mixed(self.0);
        ((u128::from(z ^ (z >> 31)) * count as u128) >> 64) as usize
    }
}

/// The bits of a number mixed, so that near numbers have nothing in common (the two rounds of `SplitMix64`).
pub(super) fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lattice_of_lines_is_counted() {
        let line = |a: (f64, f64), b: (f64, f64)| vec![Point::from(a), Point::from(b)];
        let lattice: Vec<Vec<Point>> = (0..2_000)
            .flat_map(|i| {
                [line((f64::from(i), -1.0), (f64::from(i), 2e3)), line((-1.0, f64::from(i)), (2e3, f64::from(i)))]
            })
            .collect();
        assert!(exceed(&lattice, 3e6));
        assert!(!exceed(&lattice, 6e6));
        assert!(!exceed(&lattice[..700], MOST_CROSSINGS));
    }
}
