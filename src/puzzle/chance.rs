//! Chance without memory: every drawn number depends only on what it is for.
//!
//! A number is a hash of (seed, key of the line or corner, attempt, parameter). So a seam keeps its shape when
//! rows are added elsewhere, and the order in which seams are drawn does not matter.

use sha2::{Digest, Sha256};

/// The odd constant nearest to 2^64 divided by the golden ratio; spreads consecutive counters.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// The source of all chance in one puzzle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chance {
    seed: u64,
}

/// The numbers drawn for one try of one line, one after the other.
#[derive(Clone, Debug)]
pub(super) struct Draws {
    state: u64,
    parameter: u64,
}

/// What a number is drawn for; part of the key, so that a corner and a seam at one place differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// A corner of the lattice.
    Corner,
    /// A seam that runs across.
    Across,
    /// A seam that runs down.
    Down,
}

/// The key of the corner or seam in lattice row `i`, column `j`.
pub(super) fn key(purpose: Purpose, i: usize, j: usize) -> u64 {
    let kind = match purpose {
        Purpose::Corner => 1,
        Purpose::Across => 2,
        Purpose::Down => 3,
    };
    (kind << 60) | ((i as u64) << 30) | j as u64
}

/// 1 and -1 in turn over the corners of the lattice, like the squares of a chequered board.
pub(super) fn wave_sign(key: u64) -> f64 {
    if ((key >> 30) ^ key) & 1 == 0 { 1.0 } else { -1.0 }
}

impl Chance {
    /// The source for a seed text: the first eight bytes of its SHA-256.
    pub(super) fn new(seed: &str) -> Self {
        let digest = Sha256::digest(seed.as_bytes());
        Self { seed: digest.iter().take(8).fold(0, |sum, &byte| (sum << 8) | u64::from(byte)) }
    }

    /// The numbers for one try of what `key` names.
    pub(super) fn draws(self, key: u64, attempt: u64) -> Draws {
        let seeded = mix(self.seed.wrapping_add(STEP));
        let keyed = mix(seeded.wrapping_add(STEP.wrapping_mul(key.wrapping_add(1))));
        Draws { state: mix(keyed.wrapping_add(STEP.wrapping_mul(attempt + 1))), parameter: 0 }
    }
}

impl Draws {
    /// The next number, at least 0 and below 1.
    pub(super) fn share(&mut self) -> f64 {
        self.parameter += 1;
        let bits = mix(self.state.wrapping_add(STEP.wrapping_mul(self.parameter)));
        (bits >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// The next number, between -1 and 1.
    pub(super) fn either_way(&mut self) -> f64 {
        2.0 * self.share() - 1.0
    }
}

/// A 64-bit finaliser with two multiplications: every input bit changes about half of the output bits.
fn mix(value: u64) -> u64 {
    let value = (value ^ (value >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let value = (value ^ (value >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    value ^ (value >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_finaliser_gives_its_published_sequence() {
        // Steele, Lea, Flood, "Fast splittable pseudorandom number generators" (OOPSLA 2014): state 1234567
        // gives 6457827717110365317, 3203168211198807973 (values from memory, as printed in many test suites).
        assert_eq!(mix(1_234_567_u64.wrapping_add(STEP)), 6_457_827_717_110_365_317);
        assert_eq!(mix(1_234_567_u64.wrapping_add(STEP.wrapping_mul(2))), 3_203_168_211_198_807_973);
    }

    #[test]
    fn draws_are_spread_evenly() {
        let chance = Chance::new("heron");
        let mut counts = [0_u32; 10];
        for i in 0..1000 {
            let mut draws = chance.draws(key(Purpose::Across, i, 3), 0);
            for _ in 0..10 {
                counts[(draws.share() * 10.0) as usize] += 1;
            }
        }
        // Chi-squared, 9 degrees of freedom: 27.9 is exceeded by chance once in a thousand (statistical tables).
        let chi: f64 = counts.iter().map(|&c| (f64::from(c) - 1000.0).powi(2) / 1000.0).sum();
        assert!(chi < 27.9, "{chi}: {counts:?}");
    }
}
