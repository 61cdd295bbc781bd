//! Codes and light: sRGB, and other colour spaces turned into it.

use super::{COLOURS_CONVERTED, COLOURS_GUESSED, Note};
use moxcms::{ColorProfile, DataColorSpace, ToneReprCurve};
use std::sync::LazyLock;

/// Relative light of each sRGB code, both in 65535ths.
pub(super) static DECODED: LazyLock<Vec<u16>> = LazyLock::new(|| table(decode));

/// sRGB code of each relative light, both in 65535ths.
static ENCODED: LazyLock<Vec<u16>> = LazyLock::new(|| table(encode));

/// IEC 61966-2-1.
fn decode(code: f64) -> f64 {
    if code <= 0.04045 { code / 12.92 } else { libm::pow((code + 0.055) / 1.055, 2.4) }
}

/// The inverse of [`decode`].
fn encode(light: f64) -> f64 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
}

/// The relative light of an sRGB code, both in 65535ths.
pub fn linear_of_coded(code: u16) -> u16 {
    DECODED[usize::from(code)]
}

/// The sRGB code of a relative light, both in 65535ths.
pub fn coded_of_linear(light: u16) -> u16 {
    ENCODED[usize::from(light)]
}

fn table(map: impl Fn(f64) -> f64) -> Vec<u16> {
    (0..=65_535_u16).map(|v| to_sample(map(f64::from(v) / 65_535.0))).collect()
}

fn to_sample(value: f64) -> u16 {
    (value.clamp(0.0, 1.0) * 65_535.0).round() as u16
}

/// What turns a row of samples into sRGB codes.
pub(super) enum ToSrgb {
    /// They are already.
    Nothing,
    /// Each channel by a table; alpha stays.
    Channels(Vec<u16>),
    /// Each channel to light by its table, then mixed to the light of sRGB's primaries.
    Matrix { curves: Box<[Vec<f32>; 3]>, mix: [[f32; 3]; 3] },
}

/// Farthest that a conversion may move a value and still be called none: half a step of eight bits.
const SAME: u16 = 128;

impl ToSrgb {
    /// From an ICC profile. Says what becomes of it.
    pub(super) fn from_icc(profile: &[u8], channels: usize, notes: &mut Vec<Note>) -> Self {
        let Ok(profile) = ColorProfile::new_from_slice(profile) else {
            notes.push(guessed("holds a colour profile that cannot be read; its values are read as sRGB"));
            return Self::Nothing;
        };
        let made = match profile.color_space {
            DataColorSpace::Gray if channels <= 2 => profile.gray_trc.as_ref().and_then(grey_table),
            DataColorSpace::Rgb if channels >= 3 && profile.is_matrix_shaper() => matrix(&profile),
            _ => None,
        };
        let Some(made) = made else {
            notes.push(guessed("holds a colour profile made of tables; its values are read as sRGB"));
            return Self::Nothing;
        };
        made.unless_same(channels, notes)
    }

    /// From a PNG's gamma: light is a code to the power of `1 / gamma` (PNG, third edition, 11.3.2.2).
    pub(super) fn from_gamma(gamma: f64, channels: usize, notes: &mut Vec<Note>) -> Self {
        // Files with absurd gammas are made to catch readers, not by cameras.
        if !(0.1..=10.0).contains(&gamma) {
            return Self::Nothing;
        }
        // The usual gamma of old files stands for sRGB, which has no exact one.
        if (gamma - 0.45455).abs() < 0.01 {
            return Self::Nothing;
        }
        Self::Channels(table(|code| encode(libm::pow(code, 1.0 / gamma)))).unless_same(channels, notes)
    }

    /// Nothing, where the conversion is not worth a word.
    fn unless_same(self, channels: usize, notes: &mut Vec<Note>) -> Self {
        let ramp: Vec<u16> = (0..=16).map(|i| i * 4095).collect();
        let colours = |v: &u16| [[*v; 3], [*v, 0, 0], [0, *v, 0], [0, 0, *v]];
        let mut samples: Vec<u16> = ramp.iter().flat_map(colours).flatten().collect();
        let before = samples.clone();
        self.apply(&mut samples, if channels >= 3 { 3 } else { 1 });
        if samples.iter().zip(&before).all(|(a, b)| a.abs_diff(*b) <= SAME) {
            return Self::Nothing;
        }
        notes.push(Note {
            finding: &COLOURS_CONVERTED,
            message: "has a colour space of its own; it was converted to sRGB".into(),
            consequence: "tones are burned as the picture is meant to look",
            repair: "nothing needs to be done; save it as sRGB to make this go away",
        });
        self
    }

    /// Converts a row in place.
    pub(super) fn apply(&self, row: &mut [u16], channels: usize) {
        let colours = if channels.is_multiple_of(2) { channels - 1 } else { channels };
        match self {
            Self::Nothing => {}
            Self::Channels(table) => {
                for pixel in row.chunks_exact_mut(channels) {
                    pixel[..colours].iter_mut().for_each(|v| *v = table[usize::from(*v)]);
                }
            }
            Self::Matrix { curves, mix } => {
                for pixel in row.chunks_exact_mut(channels) {
                    let light = [0, 1, 2].map(|i| curves[i][usize::from(pixel[i])]);
                    for (value, weights) in pixel.iter_mut().zip(mix) {
                        let sum = weights[0] * light[0] + weights[1] * light[1] + weights[2] * light[2];
                        *value = coded_of_linear((sum.clamp(0.0, 1.0) * 65_535.0 + 0.5) as u16);
                    }
                }
            }
        }
    }
}

fn guessed(message: &str) -> Note {
    Note {
        finding: &COLOURS_GUESSED,
        message: message.to_owned(),
        consequence: "its tones may be burned lighter or darker than meant",
        repair: "convert it to sRGB in a picture editor",
    }
}

/// What is said of a picture in inks.
pub(super) fn inks() -> Note {
    guessed("is made of inks (CMYK); they are mixed to grey without a profile")
}

fn light_of(curve: &ToneReprCurve) -> Option<Vec<f32>> {
    let evaluator = curve.make_linear_evaluator().ok()?;
    Some((0..=65_535_u16).map(|v| evaluator.evaluate_value(f32::from(v) / 65_535.0)).collect())
}

fn grey_table(curve: &ToneReprCurve) -> Option<ToSrgb> {
    let light = light_of(curve)?;
    Some(ToSrgb::Channels(light.into_iter().map(|v| to_sample(encode(f64::from(v)))).collect()))
}

fn matrix(profile: &ColorProfile) -> Option<ToSrgb> {
    let curve = |trc: &Option<ToneReprCurve>| light_of(trc.as_ref()?);
    let curves = [curve(&profile.red_trc)?, curve(&profile.green_trc)?, curve(&profile.blue_trc)?];
    let mix = profile.transform_matrix(&ColorProfile::new_srgb()).v.map(|row| row.map(|v| v as f32));
    let is_sane = mix.iter().flatten().all(|v| v.is_finite() && v.abs() < 100.0);
    is_sane.then(|| ToSrgb::Matrix { curves: Box::new(curves), mix })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_srgb_are_decoded_as_the_standard_says() {
        // IEC 61966-2-1, values of colour-science (CHECKS R1): codes of 255, and relative light.
        let published = [
            (1, 3.035_27e-4),
            (10, 0.003_035_27),
            (11, 0.003_346_54),
            (64, 0.051_269_5),
            (128, 0.215_860_5),
            (188, 0.502_886_5),
            (200, 0.577_580_4),
        ];
        for (code, light) in published {
            assert!((decode(f64::from(code) / 255.0) - light).abs() < 1e-6, "{code}");
            let sample = f64::from(linear_of_coded(code * 257)) / 65_535.0;
            assert!((sample - light).abs() < 1.0 / 65_535.0, "{code}: {sample}");
        }
        assert!((encode(0.5) * 255.0 - 187.516).abs() < 1e-3);
    }

    #[test]
    fn every_eight_bit_code_survives_the_way_to_light_and_back() {
        for code in 0..=255_u16 {
            let back = coded_of_linear(linear_of_coded(code * 257));
            assert_eq!((u32::from(back) + 128) / 257, u32::from(code));
        }
    }

    #[test]
    fn the_profile_of_srgb_itself_changes_nothing() {
        let profile = ColorProfile::new_srgb().encode().unwrap();
        let mut notes = Vec::new();
        assert!(matches!(ToSrgb::from_icc(&profile, 3, &mut notes), ToSrgb::Nothing));
        assert!(notes.is_empty());
    }

    #[test]
    fn a_wider_space_is_mixed_to_srgb() {
        // Display P3 green (0, 1, 0) lies outside sRGB: its red and blue clip to 0, its green to 1. White stays white.
        // P3 (0.5, 0.5, 0.5) is the same grey: both share the white point and the curve (SMPTE EG 432-1, from memory).
        let profile = ColorProfile::new_display_p3().encode().unwrap();
        let mut notes = Vec::new();
        let to_srgb = ToSrgb::from_icc(&profile, 3, &mut notes);
        assert_eq!(notes.len(), 1);
        let mut row = [0, 65_535, 0, 65_535, 65_535, 65_535, 32_768, 32_768, 32_768];
        to_srgb.apply(&mut row, 3);
        assert_eq!((row[0], row[1]), (0, 65_535));
        assert!(row[3..6].iter().all(|&v| v > 65_500), "{row:?}");
        assert!(row[6..].iter().all(|&v| v.abs_diff(32_768) < 60), "{row:?}");
    }

    #[test]
    fn a_gamma_of_one_is_light_itself() {
        let mut notes = Vec::new();
        let to_srgb = ToSrgb::from_gamma(1.0, 1, &mut notes);
        let mut row = [14_146]; // 0.21586 of the light: sRGB code 128 (IEC 61966-2-1).
        to_srgb.apply(&mut row, 1);
        assert_eq!((u32::from(row[0]) + 128) / 257, 128);
    }
}
