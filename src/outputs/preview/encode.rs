//! Linear light to sRGB codes, and the PNG around them.

use super::view::View;
use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, PixelDimensions, SrgbRenderingIntent, Unit};

/// Steps of the table from light to codes: fine enough that the darkest codes are told apart.
const STEPS: usize = 4096;

/// The codes of linear light, looked up.
pub(super) struct Codes(Vec<f32>);

impl Codes {
    /// Works the table out.
    pub fn new() -> Self {
        Self((0..=STEPS).map(|i| encoded(i as f64 / STEPS as f64) as f32).collect())
    }

    /// The code of a light from 0 to 1; `grit` (-0.5 to 0.5) decides the rounding, so that slow changes of
    /// light show no bands.
    pub fn code(&self, light: f32, grit: f32) -> u8 {
        let place = light.clamp(0.0, 1.0) * STEPS as f32;
        let below = (place as usize).min(STEPS - 1);
        let code = super::noise::mix(self.0[below], self.0[below + 1], place - below as f32);
        (code + 0.5 + grit).clamp(0.0, 255.0) as u8
    }
}

/// The sRGB code, 0 to 255, of a linear light (IEC 61966-2-1).
fn encoded(light: f64) -> f64 {
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
}

/// Wraps a picture of three bytes a pixel into a PNG that says how large it is in metres.
pub(super) fn png(picture: &[u8], view: &View) -> Result<Vec<u8>, EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, view.width, view.height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    // The grain is noise, which no effort packs much smaller; the fast way is several times as fast.
    encoder.set_compression(Compression::Fast);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let a_metre = (view.scale * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: a_metre, yppu: a_metre, unit: Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(picture)?;
    writer.finish()?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_those_of_the_standard() {
        // IEC 61966-2-1, values as in CHECKS R1: code to linear light.
        for (code, light) in [(1, 3.03527e-4), (10, 0.003_035_27), (11, 0.003_346_54), (64, 0.051_269_5)] {
            assert!((encoded(light) - f64::from(code)).abs() < 1e-3, "{code}");
            assert_eq!(Codes::new().code(light as f32, 0.0), code as u8);
        }
        for (code, light) in [(128, 0.215_860_5), (188, 0.502_886_5), (200, 0.577_580_4), (255, 1.0)] {
            assert_eq!(Codes::new().code(light as f32, 0.0), code as u8);
        }
        assert!((encoded(0.5) - 187.516).abs() < 1e-3);
    }
}
