//! Luminance and lightness (CIE 1976 L*, here as a share of 100).

use libm::{cbrtf, powf};

/// Below this luminance lightness rises in a straight line (CIE 15).
const KNEE: f32 = 216.0 / 24_389.0;

/// Slope of that line, in hundredths of lightness.
const SLOPE: f32 = 243.89 / 27.0;

/// The lightness of a relative luminance; both from 0 to 1.
pub fn lightness_of(luminance: f32) -> f32 {
    if luminance <= KNEE { luminance * SLOPE } else { 1.16 * cbrtf(luminance) - 0.16 }
}

/// The relative luminance of a lightness; both from 0 to 1.
pub fn luminance_of(lightness: f32) -> f32 {
    if lightness <= 0.08 { lightness / SLOPE } else { powf((lightness + 0.16) / 1.16, 3.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_is_that_of_the_standard() {
        // CIE 15 / ISO 11664-4, values of colour-science (CHECKS R3): Y 0.18 is L* 49.4961; L* 50 is Y 0.1841865.
        assert!((lightness_of(0.18) - 0.494_961).abs() < 1e-5);
        assert!((luminance_of(0.5) - 0.184_186_5).abs() < 1e-6);
        for i in 0..=1000 {
            let y = i as f32 / 1000.0;
            assert!((luminance_of(lightness_of(y)) - y).abs() < 2e-6, "{y}");
        }
    }
}
