//! From luminance to coverage: every step in its order.

use super::levels::{Levels, levels};
use super::light::{lightness_of, luminance_of};
use super::{ToneCurve, local_contrast, sharpen};
use crate::raster::Plane;

/// What the recipe asks of a photo's tones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// The share of the pixels that becomes black, and white; nothing is stretched where it is `None`.
    pub clip: Option<f32>,
    /// Exponent of lightness: above one is darker.
    pub gamma: f32,
    /// How far local contrast is evened out.
    pub local_contrast: f32,
    /// How much is sharpened.
    pub sharpen: f32,
    /// Whether what is light is burned, for stocks that burn light.
    pub invert: bool,
}

/// Luminance of a stock, bare and burned as dark (or light) as the setting does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockTones {
    /// Bare.
    pub bare: f32,
    /// Burned.
    pub burned: f32,
}

/// A toned photo.
#[derive(Clone, Debug)]
pub struct Toned {
    /// The share of each dot's place that is to be burned.
    pub coverage: Plane,
    /// What its tones reached from and to before they were stretched, in lightness.
    pub found: Levels,
}

/// Tones a photo of one pixel a dot. `counts` says which pixels lie in what is burned.
pub fn coverage(
    luminance: Plane,
    tone: &Tone,
    stock: StockTones,
    curve: Option<&ToneCurve>,
    counts: impl Fn(usize) -> bool,
) -> Toned {
    let mut plane = luminance;
    each(&mut plane, lightness_of);
    let found = levels(&plane, tone.clip.unwrap_or(0.0), counts);
    if tone.clip.is_some() {
        each(&mut plane, |v| found.apply(v));
    }
    local_contrast(&mut plane, tone.local_contrast);
    if tone.gamma != 1.0 {
        each(&mut plane, |v| libm::powf(v.max(0.0), tone.gamma));
    }
    sharpen(&mut plane, tone.sharpen);
    let map = Map::of(stock, tone.invert);
    each(&mut plane, |v| {
        let wanted = map.coverage(v);
        curve.map_or(wanted, |curve| curve.requested(wanted))
    });
    Toned { coverage: plane, found }
}

fn each(plane: &mut Plane, map: impl Fn(f32) -> f32) {
    for value in &mut plane.values {
        *value = map(*value);
    }
}

/// From lightness of the picture to coverage of the stock.
struct Map {
    /// Lightness of the darkest and the lightest that the stock can show.
    dark: f32,
    light: f32,
    tones: StockTones,
}

impl Map {
    fn of(stock: StockTones, invert: bool) -> Self {
        let (low, high) = (stock.bare.min(stock.burned), stock.bare.max(stock.burned));
        // The beam makes the dark end or, inverted, the light one.
        let tones =
            if invert { StockTones { bare: low, burned: high } } else { StockTones { bare: high, burned: low } };
        Self { dark: lightness_of(low), light: lightness_of(high), tones }
    }

    /// The share that gives a lightness (Murray 1936, Davies: reflectances of dots and ground add up by area).
    fn coverage(&self, lightness: f32) -> f32 {
        let target = luminance_of(self.dark + lightness.clamp(0.0, 1.0) * (self.light - self.dark));
        ((self.tones.bare - target) / (self.tones.bare - self.tones.burned)).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: Tone = Tone { clip: None, gamma: 1.0, local_contrast: 0.0, sharpen: 0.0, invert: false };

    fn one(luminance: f32, tone: &Tone, stock: StockTones) -> f32 {
        let plane = Plane { width: 1, height: 1, values: vec![luminance] };
        coverage(plane, tone, stock, None, |_| true).coverage.values[0]
    }

    #[test]
    fn on_ideal_stock_coverage_is_what_light_is_missing() {
        // Murray-Davies with bare 1 and burned 0: a = 1 - Y.
        let ideal = StockTones { bare: 1.0, burned: 0.0 };
        for i in 0..=20 {
            let y = i as f32 / 20.0;
            assert!((one(y, &PLAIN, ideal) - (1.0 - y)).abs() < 1e-5);
            let inverted = Tone { invert: true, ..PLAIN };
            assert!((one(y, &inverted, ideal) - y).abs() < 1e-5);
        }
    }

    #[test]
    fn black_is_all_burned_and_white_is_bare_on_any_stock() {
        let birch = StockTones { bare: 0.8, burned: 0.28 };
        assert_eq!((one(0.0, &PLAIN, birch), one(1.0, &PLAIN, birch)), (1.0, 0.0));
        // Half the lightness lies half way between those of bare and burned: L* 91.65 and 59.9 (CIE 1976); 75.8 is
        // Y 0.4952, so (0.8 - 0.4952)/0.52 = 0.586 is burned.
        assert!((one(0.184_186_5, &PLAIN, birch) - 0.586).abs() < 2e-3, "{}", one(0.184_186_5, &PLAIN, birch));
    }

    #[test]
    fn tones_are_stretched_before_anything_else() {
        let plane = Plane { width: 2, height: 1, values: vec![luminance_of(0.4), luminance_of(0.6)] };
        let tone = Tone { clip: Some(0.0), ..PLAIN };
        let toned = coverage(plane, &tone, StockTones { bare: 1.0, burned: 0.0 }, None, |_| true);
        assert!(toned.coverage.values[0] > 0.999 && toned.coverage.values[1] < 0.001, "{toned:?}");
        assert!((toned.found.range() - 0.2).abs() < 1e-3);
    }
}
