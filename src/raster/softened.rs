//! Softening by a bell.
//!
//! Bands of rows are softened on as many threads as there are, each row by row, across as it comes and down as soon as it
//! can be: so little memory is touched. A value is summed in the same order whatever band it lies in.

use super::Plane;
use rayon::prelude::*;

/// Wider softening, in pixels, is done on a picture half as large: the eye cannot tell.
const WIDEST_BLUR: f32 = 2.0;

/// Variance that halving a picture and doubling it again adds, in square pixels: two values a half pixel
/// off the mean (1/4), then weights of 3/4 and 1/4 at a half and one and a half pixels (3/4).
const RESIZED_VARIANCE: f32 = 1.0;

/// Rows that one thread softens at a time.
const BAND: usize = 64;

/// Pixels of a row that are summed together, so that sums stay in registers.
const LANES: usize = 32;

impl Plane {
    /// Softened by a bell of deviation `sigma`, in pixels.
    pub fn blurred(&self, sigma: f32) -> Self {
        if sigma > WIDEST_BLUR && self.width > 16 && self.height > 16 {
            let rest = (sigma * sigma - RESIZED_VARIANCE).sqrt() / 2.0;
            return self.halved().blurred(rest).doubled(self.width, self.height);
        }
        let mut soft = self.clone();
        soft.blur(sigma);
        soft
    }

    /// Softens it where it is, which takes hardly any memory, by a bell of deviation `sigma`, in pixels; a wide one takes long.
    pub fn blur(&mut self, sigma: f32) {
        let (width, height) = (self.width.max(1), self.height);
        let bell = Bell::new(sigma);
        // A band needs rows of its neighbours as they were.
        let beside = |top: usize| {
            let end = (top + BAND).min(height);
            let rows = |from: usize, to: usize| self.values[from * width..to * width].to_vec();
            (rows(top.saturating_sub(bell.reach()), top), rows(end, (end + bell.reach()).min(height)))
        };
        let beside: Vec<_> = (0..height).step_by(BAND).map(beside).collect();
        let bands = self.values.par_chunks_mut(BAND * width).zip(&beside).enumerate();
        bands.for_each(|(band, (rows, (above, below)))| {
            let (top, end) = (band * BAND, band * BAND + rows.len() / width);
            let mut softener = Softener::new(&bell, width, height, top);
            for y in top..end {
                while let Some(next) = softener.wanted(y) {
                    softener.feed(match next {
                        _ if next < top => &above[above.len() - (top - next) * width..][..width],
                        _ if next < end => &rows[(next - top) * width..][..width],
                        _ => &below[(next - end) * width..][..width],
                    });
                }
                softener.soften(y, &mut rows[(y - top) * width..][..width]);
            }
        });
    }
}

/// One half of a bell, from the middle outward.
struct Bell {
    weights: Vec<f32>,
}

impl Bell {
    /// A bell of deviation `sigma`, in pixels.
    fn new(sigma: f32) -> Self {
        Self { weights: kernel(sigma) }
    }

    /// How many pixels it reaches to either side.
    fn reach(&self) -> usize {
        self.weights.len() - 1
    }

    /// What becomes of a pixel where all around is as it is.
    fn of_even(&self, value: f32) -> f32 {
        self.weights.iter().fold(0.0, |sum, weight| sum + weight * (value + value)) - self.weights[0] * value
    }

    /// Sums pixels, at most [`LANES`] of them, with those beside them: `beside` gives the ones so far off on both sides.
    fn weigh<'a>(&self, beside: impl Fn(usize) -> (&'a [f32], &'a [f32]), out: &mut [f32]) {
        let mut sums = [0.0; LANES];
        for (offset, &weight) in self.weights.iter().enumerate() {
            let (one, other) = beside(offset);
            for ((sum, one), other) in sums.iter_mut().zip(one).zip(other) {
                *sum += weight * (one + other);
            }
        }
        // The middle was counted twice.
        for ((out, sum), middle) in out.iter_mut().zip(sums).zip(beside(0).0) {
            *out = sum - self.weights[0] * middle;
        }
    }
}

/// Softens a picture row by row, from the rows that it is fed, of which it keeps as many as the bell reaches.
struct Softener<'a> {
    bell: &'a Bell,
    width: usize,
    height: usize,
    /// The next row to be fed.
    next: usize,
    padded: Vec<f32>,
    /// The last rows, softened across.
    across: Vec<f32>,
    /// For each [`LANES`] pixels of those rows their value, or no number where they are not even: most of a drawing is even, and
    /// what becomes of it is known.
    even: Vec<f32>,
}

impl<'a> Softener<'a> {
    /// For the rows of a picture of such a size from `top` on.
    fn new(bell: &'a Bell, width: usize, height: usize, top: usize) -> Self {
        let (reach, slots) = (bell.reach(), 2 * bell.reach() + 1);
        let (padded, across) = (vec![0.0; width + 2 * reach], vec![0.0; width * slots]);
        let even = vec![f32::NAN; width.div_ceil(LANES) * slots];
        Self { bell, width, height, next: top.saturating_sub(reach), padded, across, even }
    }

    /// The row that has to be fed next before row `y` can be softened, if one has to.
    fn wanted(&self, y: usize) -> Option<usize> {
        (self.next <= (y + self.bell.reach()).min(self.height - 1)).then_some(self.next)
    }

    /// Takes in the next row.
    fn feed(&mut self, row: &[f32]) {
        let (reach, width, lanes) = (self.bell.reach(), self.width, self.width.div_ceil(LANES));
        self.padded[..reach].fill(row[0]);
        self.padded[reach..reach + width].copy_from_slice(row);
        self.padded[reach + width..].fill(row[width - 1]);
        let slot = self.slot(self.next);
        let across = self.across[slot * width..][..width].chunks_mut(LANES);
        for ((k, out), even) in across.enumerate().zip(&mut self.even[slot * lanes..][..lanes]) {
            let around = &self.padded[k * LANES..][..out.len() + 2 * reach];
            let first = around[0];
            if around.iter().fold(0, |unlike, v| unlike | (v.to_bits() ^ first.to_bits())) == 0 {
                *even = self.bell.of_even(first);
                out.fill(*even);
            } else {
                *even = f32::NAN;
                self.bell.weigh(|offset| (&around[reach - offset..], &around[reach + offset..]), out);
            }
        }
        self.next += 1;
    }

    /// Softens row `y`, once nothing is wanted for it.
    fn soften(&self, y: usize, out: &mut [f32]) {
        let lanes = self.width.div_ceil(LANES);
        // What lies beyond the picture is as its nearest row.
        let beside =
            |offset: usize| (self.slot(y.saturating_sub(offset)), self.slot((y + offset).min(self.height - 1)));
        let slots: Vec<(usize, usize)> = (0..=self.bell.reach()).map(beside).collect();
        for (k, out) in out.chunks_mut(LANES).enumerate() {
            let even = |slot: usize| self.even[slot * lanes + k];
            let here = even(slots[0].0);
            if slots.iter().all(|&(a, b)| even(a) == here && even(b) == here) {
                out.fill(self.bell.of_even(here));
                continue;
            }
            let part = |slot: usize| &self.across[slot * self.width + k * LANES..];
            self.bell.weigh(|offset| (part(slots[offset].0), part(slots[offset].1)), out);
        }
    }

    fn slot(&self, y: usize) -> usize {
        y % (2 * self.bell.reach() + 1)
    }
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
