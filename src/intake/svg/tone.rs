//! Paint to tone: what becomes ink, what hides ink, and what does neither.

use usvg::{Color, Paint, Stop};

/// Relative luminance above which a colour counts as white. WCAG 2.2 defines the measure; the limit is ours: on
/// the L* scale of CIE it is 92 of 100: the pale greys (`#eee`) that stand for white in much artwork lie above it.
pub(super) const NEAR_WHITE: f64 = 0.8;

/// A translucent paint has to look darker than this on white to count as ink: black at a third of its strength.
/// Soft shadows, which are lighter, would be burned as solid blots.
pub(super) const PALE: f64 = 0.4;

/// Opacities over this count as full.
const OPAQUE: f64 = 0.95;

/// What a paint does to what lies beneath it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tone {
    /// Adds ink.
    Dark,
    /// Takes ink away.
    White,
    /// Changes nothing worth burning.
    Neither,
}

/// A flat paint: a colour with an opacity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Flat {
    /// Red, green and blue, 0 to 1, as encoded by sRGB.
    pub rgb: [f64; 3],
    /// 0 is clear, 1 opaque.
    pub alpha: f64,
}

impl Flat {
    /// The one colour that stands for a paint: of a gradient, its mean.
    pub(super) fn of(paint: &Paint, opacity: f32) -> Self {
        let own = match paint {
            Paint::Color(colour) => Self { rgb: channels(*colour), alpha: 1.0 },
            Paint::LinearGradient(gradient) => mean(gradient.stops(), Spread::Band),
            Paint::RadialGradient(gradient) => mean(gradient.stops(), Spread::Disc),
            // Patterns never reach this point; solid is what is said of them.
            Paint::Pattern(_) => Self { rgb: [0.0; 3], alpha: 1.0 },
        };
        Self { alpha: own.alpha * f64::from(opacity), ..own }
    }

    /// The tone: dark if it darkens white paper, white if it whitens even black, else neither.
    pub(super) fn tone(self) -> Tone {
        let dark_up_to = if self.alpha > OPAQUE { NEAR_WHITE } else { PALE };
        if self.alpha <= 0.0 {
            Tone::Neither
        } else if luminance(self.over(1.0)) <= dark_up_to {
            Tone::Dark
        } else if luminance(self.over(0.0)) > NEAR_WHITE {
            Tone::White
        } else {
            Tone::Neither
        }
    }

    /// The colour as it looks over a grey backdrop; SVG blends encoded values.
    fn over(self, backdrop: f64) -> [f64; 3] {
        self.rgb.map(|c| c * self.alpha + backdrop * (1.0 - self.alpha))
    }
}

fn channels(colour: Color) -> [f64; 3] {
    [colour.red, colour.green, colour.blue].map(|c| f64::from(c) / 255.0)
}

/// How a gradient is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Spread {
    /// Across: each stretch between two stops covers an area as its length.
    Band,
    /// From the middle outwards: each stretch covers a ring.
    Disc,
}

/// The mean over the area that a gradient covers once.
fn mean(stops: &[Stop], spread: Spread) -> Flat {
    let mut sum = Flat { rgb: [0.0; 3], alpha: 0.0 };
    for sample in 0..SAMPLES {
        let at = (f64::from(sample) + 0.5) / f64::from(SAMPLES);
        let weight = match spread {
            Spread::Band => 1.0,
            Spread::Disc => 2.0 * at,
        } / f64::from(SAMPLES);
        let here = colour_at(stops, at);
        sum.alpha += weight * here.alpha;
        for (s, c) in sum.rgb.iter_mut().zip(here.rgb) {
            *s += weight * here.alpha * c;
        }
    }
    let alpha = sum.alpha;
    Flat { rgb: sum.rgb.map(|c| if alpha > 0.0 { c / alpha } else { 0.0 }), alpha: alpha.min(1.0) }
}

/// Places along a gradient that are looked at for its mean.
const SAMPLES: u32 = 64;

fn colour_at(stops: &[Stop], at: f64) -> Flat {
    let flat = |s: &Stop| Flat { rgb: channels(s.color()), alpha: f64::from(s.opacity().get()) };
    let offset = |s: &Stop| f64::from(s.offset().get());
    let after = stops.iter().position(|s| offset(s) >= at).unwrap_or(stops.len());
    match (after.checked_sub(1).and_then(|i| stops.get(i)), stops.get(after)) {
        (Some(a), Some(b)) => {
            let share = (at - offset(a)) / (offset(b) - offset(a)).max(1e-9);
            let (a, b) = (flat(a), flat(b));
            let mix = |p: f64, q: f64| p + share * (q - p);
            Flat { rgb: [0, 1, 2].map(|i| mix(a.rgb[i], b.rgb[i])), alpha: mix(a.alpha, b.alpha) }
        }
        (Some(one), None) | (None, Some(one)) => flat(one),
        (None, None) => Flat { rgb: [0.0; 3], alpha: 0.0 },
    }
}

/// Relative luminance (WCAG 2.2, "relative luminance"; IEC 61966-2-1 for the decoding).
pub(super) fn luminance(rgb: [f64; 3]) -> f64 {
    let linear = rgb.map(|c| if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

/// Brightness by which masks show: the same weights on encoded values, as SVG 1.1 viewers use them (14.4, "Masking",
/// with `color-interpolation: sRGB`, its initial value).
pub(super) fn encoded_luminance(rgb: [f64; 3]) -> f64 {
    0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(r: u8, g: u8, b: u8, alpha: f64) -> Flat {
        Flat { rgb: channels(Color::new_rgb(r, g, b)), alpha }
    }

    /// Published values: WCAG 2.2 / ITU-R BT.709.
    #[test]
    fn luminance_is_that_of_the_standard() {
        let of = |r, g, b| luminance(channels(Color::new_rgb(r, g, b)));
        assert!((of(222, 184, 135) - 0.515_598).abs() < 1e-6);
        assert!((of(255, 0, 0) - 0.2126).abs() < 1e-9);
        assert!((of(0, 255, 0) - 0.7152).abs() < 1e-9);
        assert!((of(0, 0, 255) - 0.0722).abs() < 1e-9);
        assert!((of(128, 128, 128) - 0.215_860_5).abs() < 1e-6);
        assert!((of(10, 10, 10) - 0.003_035_27).abs() < 1e-8);
    }

    #[test]
    fn tones() {
        assert_eq!(flat(0, 0, 0, 1.0).tone(), Tone::Dark);
        assert_eq!(flat(255, 255, 255, 1.0).tone(), Tone::White);
        assert_eq!(flat(0xe0, 0xe0, 0xe0, 1.0).tone(), Tone::Dark, "Y = 0.75");
        assert_eq!(flat(0xee, 0xee, 0xee, 1.0).tone(), Tone::White, "Y = 0.855");
        assert_eq!(flat(0, 0, 0, 0.4).tone(), Tone::Dark);
        assert_eq!(flat(0, 0, 0, 0.3).tone(), Tone::Neither, "a soft shadow is no blot");
        assert_eq!(flat(255, 255, 255, 0.5).tone(), Tone::Neither, "a highlight does not hide what is beneath");
        assert_eq!(flat(0, 0, 0, 0.0).tone(), Tone::Neither);
    }
}
