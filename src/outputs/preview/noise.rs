//! Noise from integer hashes: the same on every machine.

use crate::raster::mix;

/// Mixes a place and a seed into 32 bits that look unrelated to their neighbours'.
pub(super) fn hash(x: i32, y: i32, seed: u32) -> u32 {
    let mut h = seed ^ x.cast_unsigned().wrapping_mul(0x9e37_79b1) ^ y.cast_unsigned().wrapping_mul(0x85eb_ca77);
    h = (h ^ (h >> 16)).wrapping_mul(0x7feb_352d);
    h = (h ^ (h >> 15)).wrapping_mul(0x846c_a68b);
    h ^ (h >> 16)
}

/// A number from 0 up to 1 for a place.
pub(super) fn random(x: i32, y: i32, seed: u32) -> f32 {
    (hash(x, y, seed) >> 8) as f32 / 16_777_216.0
}

/// Smooth noise from 0 to 1 along a line through a lattice of random numbers: the cells that the line crosses
/// are worked out once, because a row of pixels asks for each of them many times.
pub(super) struct NoiseLine {
    first: f32,
    cells: Vec<f32>,
    /// Cells a unit of the place.
    scale: f32,
}

/// Which way a line runs through the lattice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Run {
    /// Along the lattice's rows.
    Across,
    /// Along its columns.
    Down,
}

impl NoiseLine {
    /// The line for places from `from` to `to`; a unit of the place is `scale` cells. `beside` is where the line
    /// lies on the lattice's other axis, in cells.
    pub fn new(run: Run, (from, to): (f32, f32), scale: f32, beside: f32, seed: u32) -> Self {
        let (first, last) = ((from * scale).floor(), (to * scale).floor());
        let (near, share) = (beside.floor(), ease(beside - beside.floor()));
        let at = |along: i32, beside: i32| match run {
            Run::Across => random(along, beside, seed),
            Run::Down => random(beside, along, seed),
        };
        let cell = |i: i32| mix(at(i, near as i32), at(i, (near as i32).wrapping_add(1)), share);
        Self { first, cells: (first as i32..=last as i32 + 1).map(cell).collect(), scale }
    }

    /// The noise at a place; beyond the ends, that of the nearer end.
    pub fn at(&self, place: f32) -> f32 {
        let place = (place * self.scale - self.first).max(0.0);
        let cell = (place as usize).min(self.cells.len() - 2);
        mix(self.cells[cell], self.cells[cell + 1], ease((place - cell as f32).min(1.0)))
    }
}

/// A number to the nearest of so many steps a unit.
pub(super) fn in_steps(value: f32, steps: f32) -> f32 {
    (value * steps).round() / steps
}

/// 0 up to `from`, 1 beyond `to`, smooth between.
pub(super) fn smooth_step(from: f32, to: f32, x: f32) -> f32 {
    ease(((x - from) / (to - from)).clamp(0.0, 1.0))
}

fn ease(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

/// A seed from a name (the FNV-1a hash), so that each project has a board of its own.
pub(super) fn seed_of(name: &str) -> u32 {
    name.bytes().fold(0x811c_9dc5, |h, b| (h ^ u32::from(b)).wrapping_mul(0x0100_0193))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_even_and_stays_in_range() {
        let values: Vec<f32> = (0..10_000).map(|i| random(i % 100, i / 100, 7)).collect();
        let mean = values.iter().sum::<f32>() / 10_000.0;
        // The mean of 10 000 even numbers has a deviation of 0.0029.
        assert!((mean - 0.5).abs() < 0.012, "{mean}");
        assert!(values.iter().all(|v| (0.0..1.0).contains(v)));
    }

    #[test]
    fn a_line_passes_through_the_lattice() {
        let across = NoiseLine::new(Run::Across, (-3.0, 4.0), 2.0, -2.0, 7);
        let down = NoiseLine::new(Run::Down, (-3.0, 4.0), 2.0, 5.5, 7);
        for place in -6..=8 {
            let at = f64::from(place) as f32 / 2.0;
            assert_eq!(across.at(at), random(place, -2, 7));
            assert_eq!(down.at(at), mix(random(5, place, 7), random(6, place, 7), 0.5));
        }
        assert_eq!(across.at(-9.0), across.at(-3.0));
        assert!(across.at(99.0).is_finite());
    }

    #[test]
    fn seeds_follow_the_published_hash() {
        // FNV-1a, 32 bits, test vectors of its authors (from memory).
        assert_eq!(seed_of(""), 0x811c_9dc5);
        assert_eq!(seed_of("a"), 0xe40c_292c);
    }
}
