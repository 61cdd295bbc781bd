//! One number a pixel, and softening.

/// Wider softening, in pixels, is done on a picture half as large: the eye cannot tell.
const WIDEST_BLUR: f32 = 2.0;

/// Variance that halving a picture and doubling it again adds, in square pixels: two values a half pixel
/// off the mean (1/4), then weights of 3/4 and 1/4 at a half and one and a half pixels (3/4).
const RESIZED_VARIANCE: f32 = 1.0;

/// A picture of one number a pixel.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The numbers, row by row from the left top corner.
    pub values: Vec<f32>,
}

impl Plane {
    /// All zero.
    pub fn new(width: usize, height: usize) -> Self {
        Self { width, height, values: vec![0.0; width * height] }
    }

    /// One row.
    pub fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..][..self.width]
    }

    /// The value at a pixel, which has to lie inside.
    pub fn at(&self, x: usize, y: usize) -> f32 {
        self.values[y * self.width + x]
    }

    /// Every value changed.
    pub fn map(&self, change: impl Fn(f32) -> f32) -> Self {
        Self { values: self.values.iter().map(|&v| change(v)).collect(), ..*self }
    }

    /// The value at a place between pixels, blended between the four nearest; the middle of the first pixel is
    /// (0.5, 0.5).
    pub fn between(&self, x: f64, y: f64) -> f32 {
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (along, down) = ((x - left) as f32, (y - top) as f32);
        let (left, top) = (left as isize, top as isize);
        let row = |y| mix(self.near(left, y), self.near(left + 1, y), along);
        mix(row(top), row(top + 1), down)
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
        self.values.iter_mut().zip(coverage).for_each(|(value, &c)| *value += weight * f32::from(c));
    }

    /// Softened by a bell of deviation `sigma`, in pixels.
    pub fn blurred(&self, sigma: f32) -> Self {
        if sigma > WIDEST_BLUR && self.width > 16 && self.height > 16 {
            let rest = (sigma * sigma - RESIZED_VARIANCE).sqrt() / 2.0;
            return self.halved().blurred(rest).doubled(self.width, self.height);
        }
        let kernel = kernel(sigma);
        self.blurred_across(&kernel).blurred_down(&kernel)
    }

    fn blurred_across(&self, kernel: &[f32]) -> Self {
        let (reach, last) = (kernel.len() - 1, self.width - 1);
        let mut values = vec![0.0; self.values.len()];
        let mut padded = vec![0.0; self.width + 2 * reach];
        for (row, out) in self.values.chunks_exact(self.width).zip(values.chunks_exact_mut(self.width)) {
            padded[..reach].fill(row[0]);
            padded[reach..reach + self.width].copy_from_slice(row);
            padded[reach + self.width..].fill(row[last]);
            for (offset, &weight) in kernel.iter().enumerate() {
                weigh(out, weight, &padded[reach - offset..], &padded[reach + offset..]);
            }
            halve_middle(out, kernel[0], row);
        }
        Self { values, ..*self }
    }

    fn blurred_down(&self, kernel: &[f32]) -> Self {
        let last = self.height - 1;
        let mut values = vec![0.0; self.values.len()];
        for (y, out) in values.chunks_exact_mut(self.width).enumerate() {
            for (offset, &weight) in kernel.iter().enumerate() {
                let (above, below) = (y.saturating_sub(offset), (y + offset).min(last));
                weigh(out, weight, self.row(above), self.row(below));
            }
            halve_middle(out, kernel[0], self.row(y));
        }
        Self { values, ..*self }
    }

    /// Half as wide and high, each value the mean of four.
    pub fn halved(&self) -> Self {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let mut values = vec![0.0; width * height];
        values.chunks_exact_mut(width).enumerate().for_each(|(y, out)| {
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
        values.chunks_exact_mut(width).enumerate().for_each(|(y, out)| {
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

/// The value between two at a share of the way.
fn mix(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}

/// Adds both values, weighed.
fn weigh(out: &mut [f32], weight: f32, one: &[f32], other: &[f32]) {
    for ((out, one), other) in out.iter_mut().zip(one).zip(other) {
        *out += weight * (one + other);
    }
}

/// Takes away the middle value that [`weigh`] has counted twice.
fn halve_middle(out: &mut [f32], weight: f32, row: &[f32]) {
    out.iter_mut().zip(row).for_each(|(out, value)| *out -= weight * value);
}

/// One half of a bell of deviation `sigma`, in pixels, from the middle outward: three means of a window come
/// close to a bell (Wells 1986), and a window whose outermost values count in part can have any width (Gwosdek
/// and others 2011; both from memory). The three are folded into one.
fn kernel(sigma: f32) -> Vec<f32> {
    let window = window(f64::from(sigma) * f64::from(sigma) / 3.0);
    let whole = folded(&folded(&window, &window), &window);
    whole[whole.len() / 2..].iter().map(|&weight| weight as f32).collect()
}

/// The window of a variance, in square pixels.
fn window(variance: f64) -> Vec<f64> {
    let reach = (((1.0 + 12.0 * variance).sqrt() - 1.0) / 2.0).floor();
    let squares = reach * (reach + 1.0) * (2.0 * reach + 1.0) / 3.0;
    let next = (reach + 1.0) * (reach + 1.0);
    let fraction = (variance * (2.0 * reach + 1.0) - squares) / (2.0 * (next - variance));
    let share = 1.0 / (2.0 * (reach + fraction) + 1.0);
    let mut window = vec![share; 2 * reach as usize + 3];
    window[0] = fraction * share;
    *window.last_mut().unwrap_or(&mut 0.0) = fraction * share;
    window
}

fn folded(one: &[f64], other: &[f64]) -> Vec<f64> {
    let mut both = vec![0.0; one.len() + other.len() - 1];
    for (i, a) in one.iter().enumerate() {
        for (j, b) in other.iter().enumerate() {
            both[i + j] += a * b;
        }
    }
    both
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
