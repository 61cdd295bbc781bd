//! Levels: the darkest and the lightest of a picture become black and white.

use crate::raster::Plane;

/// Steps in which values are counted.
const BINS: usize = 4096;

/// What a picture's tones reach from and to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// What becomes black.
    pub low: f32,
    /// What becomes white.
    pub high: f32,
}

impl Levels {
    /// Nothing changes.
    pub const AS_THEY_ARE: Self = Self { low: 0.0, high: 1.0 };

    /// How far they lie apart.
    pub fn range(self) -> f32 {
        self.high - self.low
    }

    /// Stretches a value.
    pub fn apply(self, value: f32) -> f32 {
        if self.range() < 1e-6 { value } else { ((value - self.low) / self.range()).clamp(0.0, 1.0) }
    }
}

/// The levels below and above which `share` of the pixels lie that `counts` for.
pub fn levels(plane: &Plane, share: f32, counts: impl Fn(usize) -> bool) -> Levels {
    let mut bins = vec![0_usize; BINS];
    let mut all = 0;
    for (i, value) in plane.values.iter().enumerate().filter(|(i, _)| counts(*i)) {
        let _ = i;
        bins[(value.clamp(0.0, 1.0) * (BINS - 1) as f32 + 0.5) as usize] += 1;
        all += 1;
    }
    if all == 0 {
        return Levels::AS_THEY_ARE;
    }
    let clipped = (share * all as f32) as usize;
    let at = |order: &mut dyn Iterator<Item = (usize, &usize)>| {
        let mut passed = 0;
        for (bin, count) in order {
            passed += count;
            if passed > clipped {
                return bin as f32 / (BINS - 1) as f32;
            }
        }
        0.5
    };
    let low = at(&mut bins.iter().enumerate());
    let high = at(&mut bins.iter().enumerate().rev());
    Levels { low: low.min(high), high: high.max(low) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_of_the_pixels_is_cut_off_at_either_end() {
        // 0.200 to 0.799 in a thousand steps: a hundredth of them lies below 0.206 and above 0.794.
        let values = (0..1000).map(|i| 0.2 + 0.6 * i as f32 / 1000.0).collect();
        let found = levels(&Plane { width: 1000, height: 1, values }, 0.01, |_| true);
        assert!((found.low - 0.206).abs() < 1e-3 && (found.high - 0.794).abs() < 1e-3, "{found:?}");
        assert_eq!((found.apply(0.1), found.apply(0.9)), (0.0, 1.0));
    }
}
