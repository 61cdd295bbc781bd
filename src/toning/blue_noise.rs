//! Blue noise: thresholds spread so evenly that dots of every tone keep apart.
//!
//! Ulichney, The void-and-cluster method for dither array generation, Proc. SPIE 1913, 1993 (from memory).

use super::chance::chance;
use crate::raster::{Bitmap, Plane};
use std::sync::LazyLock;

/// Side of the array, which repeats in both directions.
const SIDE: usize = 64;

/// Deviation of the bell that tells how crowded a place is, in pixels (Ulichney's 1.5).
const SIGMA: f64 = 1.5;

/// Beyond so many pixels the bell is nothing.
const REACH: isize = 9;

/// Share of the pixels in the first pattern.
const FIRST: f32 = 0.1;

static RANKS: LazyLock<Vec<u16>> = LazyLock::new(void_and_cluster);

/// The order in which the pixels of the array are set, and its side.
pub fn ranks() -> (&'static [u16], usize) {
    (&RANKS, SIDE)
}

/// Dots for a coverage.
pub fn blue_noise(coverage: &Plane) -> Bitmap {
    let thresholds: Vec<f32> = RANKS.iter().map(|&r| (f32::from(r) + 0.5) / (SIDE * SIDE) as f32).collect();
    Bitmap::filled(coverage.width, coverage.height, |x, y| {
        coverage.values[y * coverage.width + x] > thresholds[(y % SIDE) * SIDE + x % SIDE]
    })
}

/// A pattern of pixels and how crowded each place is.
#[derive(Clone)]
struct Pattern {
    set: Vec<bool>,
    crowd: Vec<f32>,
    bell: Vec<(isize, isize, f32)>,
}

impl Pattern {
    fn new() -> Self {
        let bell = |(x, y): (isize, isize)| {
            let square = (x * x + y * y) as f64;
            (x, y, libm::exp(-square / (2.0 * SIGMA * SIGMA)) as f32)
        };
        let places = (-REACH..=REACH).flat_map(|y| (-REACH..=REACH).map(move |x| (x, y)));
        Self { set: vec![false; SIDE * SIDE], crowd: vec![0.0; SIDE * SIDE], bell: places.map(bell).collect() }
    }

    fn flip(&mut self, at: usize) {
        let sign = if self.set[at] { -1.0 } else { 1.0 };
        self.set[at] = !self.set[at];
        let (x, y) = ((at % SIDE).cast_signed(), (at / SIDE).cast_signed());
        let side = SIDE.cast_signed();
        for &(dx, dy, weight) in &self.bell {
            let place = (y + dy).rem_euclid(side) * side + (x + dx).rem_euclid(side);
            self.crowd[place.cast_unsigned()] += sign * weight;
        }
    }

    /// The set pixel in the densest crowd.
    fn tightest(&self) -> usize {
        self.best(true, |a, b| a > b)
    }

    /// The unset pixel in the largest void.
    fn emptiest(&self) -> usize {
        self.best(false, |a, b| a < b)
    }

    fn best(&self, is_set: bool, better: impl Fn(f32, f32) -> bool) -> usize {
        let mut found = None;
        for (i, &crowd) in self.crowd.iter().enumerate() {
            if self.set[i] == is_set && found.is_none_or(|(_, best)| better(crowd, best)) {
                found = Some((i, crowd));
            }
        }
        found.map_or(0, |(i, _)| i)
    }
}

fn void_and_cluster() -> Vec<u16> {
    let mut pattern = Pattern::new();
    for i in 0..SIDE * SIDE {
        if chance(i % SIDE, i / SIDE) < FIRST {
            pattern.flip(i);
        }
    }
    // The tightest pixel moves into the largest void until it would go back to where it was.
    for _ in 0..SIDE * SIDE {
        let tight = pattern.tightest();
        pattern.flip(tight);
        let void = pattern.emptiest();
        pattern.flip(void);
        if void == tight {
            break;
        }
    }
    let first = pattern.set.iter().filter(|s| **s).count();
    let mut ranks = vec![0_u16; SIDE * SIDE];
    let mut thinned = pattern.clone();
    for rank in (0..first).rev() {
        let tight = thinned.tightest();
        thinned.flip(tight);
        ranks[tight] = rank as u16;
    }
    // Past one half, the tightest crowd of the unset is the largest void of the set: the same choice.
    for rank in first..SIDE * SIDE {
        let void = pattern.emptiest();
        pattern.flip(void);
        ranks[void] = rank as u16;
    }
    ranks
}
