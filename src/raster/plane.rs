//! One number a pixel.

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
    pub(super) fn doubled(&self, width: usize, height: usize) -> Self {
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
pub fn mix(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}
