//! One number a pixel, and softening.

use super::noise::mix;
use rayon::prelude::*;

/// Wider softening, in pixels, is done on a picture half as large: the eye cannot tell.
const WIDEST_BLUR: f32 = 2.0;

/// Variance that halving a picture and doubling it again adds, in square pixels: two values a half pixel
/// off the mean (1/4), then weights of 3/4 and 1/4 at a half and one and a half pixels (3/4).
const RESIZED_VARIANCE: f32 = 1.0;

/// Pictures are turned in squares of this many pixels, which stay in the processor's cache.
const TILE: usize = 32;

/// A picture of one number a pixel.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
}

impl Plane {
    /// All zero.
    pub fn new(width: u32, height: u32) -> Self {
        let (width, height) = (width as usize, height as usize);
        Self { width, height, values: vec![0.0; width * height] }
    }

    /// One row.
    pub fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..][..self.width]
    }

    /// The value at a pixel; beyond the border, that of the nearest one.
    pub fn near(&self, x: isize, y: isize) -> f32 {
        let x = x.clamp(0, self.width.cast_signed() - 1).cast_unsigned();
        let y = y.clamp(0, self.height.cast_signed() - 1).cast_unsigned();
        self.values[y * self.width + x]
    }

    /// Adds `weight` times a coverage in 0..=255.
    pub fn add(&mut self, coverage: &[u8], weight: f32) {
        let weight = weight / 255.0;
        self.values.par_iter_mut().zip(coverage).for_each(|(value, &c)| *value += weight * f32::from(c));
    }

    /// Softened by a bell of deviation `sigma`, in pixels.
    pub fn blurred(&self, sigma: f32) -> Self {
        if sigma > WIDEST_BLUR && self.width > 16 && self.height > 16 {
            let rest = (sigma * sigma - RESIZED_VARIANCE).sqrt() / 2.0;
            return self.halved().blurred(rest).doubled(self.width, self.height);
        }
        let across = box_blurred(self, sigma).transposed();
        box_blurred(&across, sigma).transposed()
    }

    fn transposed(&self) -> Self {
        let mut values = vec![0.0; self.values.len()];
        values.par_chunks_mut(self.height.max(1) * TILE).enumerate().for_each(|(band, columns)| {
            for top in (0..self.height).step_by(TILE) {
                for (x, column) in columns.chunks_exact_mut(self.height).enumerate() {
                    let (x, bottom) = (x + band * TILE, (top + TILE).min(self.height));
                    for (y, value) in (top..bottom).zip(&mut column[top..bottom]) {
                        *value = self.values[y * self.width + x];
                    }
                }
            }
        });
        Self { width: self.height, height: self.width, values }
    }

    fn halved(&self) -> Self {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let mut values = vec![0.0; width * height];
        values.par_chunks_mut(width).enumerate().for_each(|(y, out)| {
            let (upper, lower) = (self.row(2 * y), self.row((2 * y + 1).min(self.height - 1)));
            for (x, value) in out.iter_mut().enumerate() {
                let (left, right) = (2 * x, (2 * x + 1).min(self.width - 1));
                *value = (upper[left] + upper[right] + lower[left] + lower[right]) / 4.0;
            }
        });
        Self { width, height, values }
    }

    /// Twice as large, blended between pixels.
    fn doubled(&self, width: usize, height: usize) -> Self {
        let mut values = vec![0.0; width * height];
        values.par_chunks_mut(width).enumerate().for_each(|(y, out)| {
            let (upper, lower, down) = between(y, self.height);
            let (upper, lower) = (self.row(upper), self.row(lower));
            for (x, value) in out.iter_mut().enumerate() {
                let (left, right, along) = between(x, self.width);
                *value = mix(mix(upper[left], upper[right], along), mix(lower[left], lower[right], along), down);
            }
        });
        Self { width, height, values }
    }
}

/// The two pixels of a picture half as large that a pixel lies between, and its share of the second.
fn between(place: usize, count: usize) -> (usize, usize, f32) {
    let last = count - 1;
    if place.is_multiple_of(2) {
        ((place / 2).saturating_sub(1), (place / 2).min(last), 0.75)
    } else {
        ((place / 2).min(last), (place / 2 + 1).min(last), 0.25)
    }
}

/// Softens along the rows: three means of a window come close to a bell (Wells 1986), and a window whose
/// outermost values count in part can have any width (Gwosdek and others 2011; both from memory).
fn box_blurred(plane: &Plane, sigma: f32) -> Plane {
    let window = Window::of(sigma * sigma / 3.0);
    let mut values = plane.values.clone();
    values.par_chunks_mut(plane.width.max(1)).for_each(|row| {
        let mut from = vec![0.0; row.len()];
        for _ in 0..3 {
            from.copy_from_slice(row);
            window.mean(&from, row);
        }
    });
    Plane { values, ..*plane }
}

/// A window: how far it reaches each way, and how much the next value on each side counts.
struct Window {
    reach: isize,
    fraction: f64,
}

impl Window {
    /// The window of a variance, in square pixels.
    fn of(variance: f32) -> Self {
        let variance = f64::from(variance);
        let reach = (((1.0 + 12.0 * variance).sqrt() - 1.0) / 2.0).floor();
        let squares = reach * (reach + 1.0) * (2.0 * reach + 1.0) / 3.0;
        let next = (reach + 1.0) * (reach + 1.0);
        let fraction = (variance * (2.0 * reach + 1.0) - squares) / (2.0 * (next - variance));
        Self { reach: reach as isize, fraction }
    }

    fn mean(&self, from: &[f32], to: &mut [f32]) {
        let (reach, last) = (self.reach, from.len().cast_signed() - 1);
        let at = |i: isize| f64::from(from[i.clamp(0, last).cast_unsigned()]);
        let share = 1.0 / (2.0 * (reach as f64 + self.fraction) + 1.0);
        // Held in double precision, so that the drift of the sum stays below what a pixel can show.
        let mut sum: f64 = (-reach..=reach).map(at).sum();
        for (i, value) in to.iter_mut().enumerate() {
            let i = i.cast_signed();
            let outer = at(i - reach - 1) + at(i + reach + 1);
            *value = ((sum + outer * self.fraction) * share) as f32;
            sum += at(i + reach + 1) - at(i - reach);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A single bright pixel, softened: total, and deviation across.
    fn spread(sigma: f32) -> (f64, f64) {
        let mut plane = Plane::new(101, 101);
        plane.values[50 * 101 + 50] = 1.0;
        let soft = plane.blurred(sigma);
        let total: f64 = soft.values.iter().map(|&v| f64::from(v)).sum();
        let moment = |i: usize| f64::from(soft.values[i]) * (i as f64 % 101.0 - 50.0) * (i as f64 % 101.0 - 50.0);
        let variance = (0..soft.values.len()).map(moment).sum::<f64>() / total;
        (total, variance.sqrt())
    }

    #[test]
    fn softening_keeps_the_total_and_has_the_width_it_is_asked_for() {
        for sigma in [0.6, 1.0, 2.3, 4.9, 9.0] {
            let (total, deviation) = spread(sigma);
            assert!((total - 1.0).abs() < 0.02, "{sigma}: {total}");
            assert!((deviation / f64::from(sigma) - 1.0).abs() < 0.08, "{sigma}: {deviation}");
        }
    }

    #[test]
    fn an_even_picture_stays_even() {
        let plane = Plane { width: 40, height: 30, values: vec![0.25; 1200] };
        assert!(plane.blurred(12.0).values.iter().all(|v| (v - 0.25).abs() < 1e-5));
    }
}
