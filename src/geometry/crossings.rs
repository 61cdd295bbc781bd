//! How often lines cross, estimated before the crossings are worked out: their number is what costs time and
//! memory, and a small file can hold millions of them.

use super::grid::Ring;
use kurbo::Point;

/// Crossings that can be worked out in a few seconds and some hundred megabytes.
pub(super) const MOST_CROSSINGS: f64 = 2e6;

/// Among so few pairs of chords nothing is worth estimating.
const FEW_PAIRS: f64 = 3e5;

/// Pairs of chords that are tried.
const TRIES: usize = 100_000;

/// About how often the chords of the chains cross each other; zero for few chords, which cannot cross often.
///
/// A sample of all pairs is tried, the same one on every run.
pub(super) fn estimate(chains: &[Vec<Point>]) -> f64 {
    let chords: Vec<[Point; 2]> = chains.iter().flat_map(|c| c.windows(2).map(|p| [p[0], p[1]])).collect();
    let pairs = chords.len() as f64 * chords.len() as f64 / 2.0;
    if pairs <= FEW_PAIRS {
        return 0.0;
    }
    let mut draws = Draws(0x9e37_79b9_7f4a_7c15);
    let hits = (0..TRIES).filter(|_| cross(chords[draws.below(chords.len())], chords[draws.below(chords.len())]));
    hits.count() as f64 / TRIES as f64 * pairs
}

/// The same for rings.
pub(super) fn estimate_of_rings(rings: &[Ring]) -> f64 {
    let chain = |r: &Ring| r.iter().chain(r.first()).map(|n| n.point()).collect();
    estimate(&rings.iter().map(chain).collect::<Vec<_>>())
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
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((u128::from(z ^ (z >> 31)) * count as u128) >> 64) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lattice_of_lines_is_estimated() {
        let line = |a: (f64, f64), b: (f64, f64)| vec![Point::from(a), Point::from(b)];
        let lattice: Vec<Vec<Point>> = (0..2_000)
            .flat_map(|i| {
                [line((f64::from(i), -1.0), (f64::from(i), 2e3)), line((-1.0, f64::from(i)), (2e3, f64::from(i)))]
            })
            .collect();
        let found = estimate(&lattice);
        assert!((found / 4e6 - 1.0).abs() < 0.05, "{found}");
        assert_eq!(estimate(&lattice[..700]), 0.0);
    }
}
