//! Halftone: dots on a slanted grid that grow with the tone.

use super::chance::chance;
use crate::raster::{Bitmap, Plane};
use std::f64::consts::TAU;

/// A grid of halftone dots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screen {
    /// Distance between the middles of dots, in pixels down.
    pub period: f64,
    /// Angle of the grid, in radians.
    pub angle: f64,
    /// How many times as wide as high a pixel is.
    pub stretch: f64,
}

/// Side of the sample that thresholds are made even on.
const SAMPLE: usize = 512;

/// Steps of the threshold table.
const STEPS: usize = 4096;

impl Screen {
    /// How early a pixel is set: from -1, the middle between dots, to 1, the middle of a dot.
    fn key(&self, x: usize, y: usize) -> f32 {
        let (px, py) = (x as f64 * self.stretch, y as f64);
        let (sin, cos) = (libm::sin(self.angle), libm::cos(self.angle));
        let u = (px * cos + py * sin) / self.period;
        let v = (py * cos - px * sin) / self.period;
        let spot = f64::midpoint(libm::cos(TAU * u), libm::cos(TAU * v));
        // Pixels at the same place of their dots would all be set at once: a little chance gives tones between.
        let shake = self.stretch * 2.0 / (self.period * self.period);
        (spot + shake.min(0.5) * (f64::from(chance(x, y)) - 0.5)) as f32
    }

    /// The coverage at which a pixel is set, for each step of its key.
    fn thresholds(&self) -> Vec<f32> {
        let mut counts = vec![0_u32; STEPS];
        for y in 0..SAMPLE {
            for x in 0..SAMPLE {
                counts[step(self.key(x, y))] += 1;
            }
        }
        let mut above = (SAMPLE * SAMPLE) as f32;
        let threshold = |&count: &u32| {
            above -= count as f32;
            (above + count as f32 / 2.0) / (SAMPLE * SAMPLE) as f32
        };
        counts.iter().map(threshold).collect()
    }
}

fn step(key: f32) -> usize {
    (((key + 1.25) / 2.5).clamp(0.0, 1.0) * (STEPS - 1) as f32) as usize
}

/// Dots for a coverage.
pub fn halftone(coverage: &Plane, screen: &Screen) -> Bitmap {
    let thresholds = screen.thresholds();
    Bitmap::filled(coverage.width, coverage.height, |x, y| {
        let wanted = coverage.values[y * coverage.width + x];
        wanted > 0.0 && wanted > thresholds[step(screen.key(x, y))]
    })
}
