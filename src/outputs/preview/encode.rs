//! Linear light to sRGB codes, and the PNG around them.
//!
//! Strips are packed each alone, so that they can be packed at the same time and kept from one build to the next.

use super::view::View;
use flate2::Compression;
use flate2::write::DeflateEncoder;
use png::{BitDepth, ColorType, Encoder, EncodingError, PixelDimensions, SrgbRenderingIntent, Unit};
use std::io::Write;

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
        let code = crate::raster::mix(self.0[below], self.0[below + 1], place - below as f32);
        (code + 0.5 + grit).clamp(0.0, 255.0) as u8
    }
}

/// The sRGB code, 0 to 255, of a linear light (IEC 61966-2-1).
fn encoded(light: f64) -> f64 {
    255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
}

/// How hard is packed: the grain is noise, which more effort packs hardly any smaller.
const EFFORT: u32 = 4;

/// Rows of a picture, packed so that strips can follow each other in one stream (RFC 1951: whole blocks, ended
/// at a byte).
pub(super) struct Packed {
    blocks: Vec<u8>,
    sum: Adler,
}

impl Packed {
    /// Filters and packs the rows of a strip, three bytes a pixel.
    pub fn new(pixels: &[u8], width: usize) -> Self {
        let filtered = filtered(pixels, width * 3);
        let mut packer = DeflateEncoder::new(Vec::new(), Compression::new(EFFORT));
        // Writing into memory cannot fail; flushing ends a block at a byte.
        let _ = packer.write_all(&filtered).and_then(|()| packer.flush());
        let blocks = std::mem::take(packer.get_mut());
        Self { blocks, sum: Adler::of(&filtered) }
    }
}

/// Each row is told as its difference from the row above or from the pixel at the left, whichever is smaller
/// (PNG 3rd edition, 9.2 and 12.7). The first row does not look above, so that a strip stands alone.
fn filtered(pixels: &[u8], stride: usize) -> Vec<u8> {
    const LEFT: u8 = 1;
    const ABOVE: u8 = 2;
    let mut out = Vec::with_capacity(pixels.len() + pixels.len() / stride.max(1));
    let mut above: Option<&[u8]> = None;
    for row in pixels.chunks_exact(stride) {
        let start = out.len();
        out.push(LEFT);
        out.extend_from_slice(&row[..3]);
        out.extend(row[3..].iter().zip(row).map(|(a, b)| a.wrapping_sub(*b)));
        if let Some(above) = above {
            let cost = |differences: &[u8]| -> u32 {
                differences.iter().map(|d| u32::from(d.cast_signed().unsigned_abs())).sum()
            };
            let left = cost(&out[start + 1..]);
            let differences: Vec<u8> = row.iter().zip(above).map(|(a, b)| a.wrapping_sub(*b)).collect();
            if cost(&differences) < left {
                out[start] = ABOVE;
                out[start + 1..].copy_from_slice(&differences);
            }
        }
        above = Some(row);
    }
    out
}

/// The checksum of RFC 1950, 8.2, which can be put together from those of parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Adler {
    a: u32,
    b: u32,
    length: u64,
}

impl Adler {
    const MODULUS: u32 = 65_521;
    const EMPTY: Self = Self { a: 1, b: 0, length: 0 };

    fn of(bytes: &[u8]) -> Self {
        let (mut a, mut b) = (1, 0);
        // The most bytes whose sums fit into 32 bits.
        for part in bytes.chunks(5552) {
            for &byte in part {
                a += u32::from(byte);
                b += a;
            }
            (a, b) = (a % Self::MODULUS, b % Self::MODULUS);
        }
        Self { a, b, length: bytes.len() as u64 }
    }

    /// The checksum of both parts, one after the other: every byte of the first counts once more in `b` for
    /// each byte of the second.
    fn then(self, next: Self) -> Self {
        let modulus = u64::from(Self::MODULUS);
        let a = (u64::from(self.a) + u64::from(next.a) + modulus - 1) % modulus;
        let carried = (u64::from(self.a) + modulus - 1) % modulus * (next.length % modulus);
        let b = (u64::from(self.b) + u64::from(next.b) + carried) % modulus;
        Self { a: a as u32, b: b as u32, length: self.length + next.length }
    }

    fn bytes(self) -> [u8; 4] {
        ((self.b << 16) | self.a).to_be_bytes()
    }
}

/// Puts strips together to a PNG that says how large it is in metres.
pub(super) fn png<'a>(strips: impl Iterator<Item = &'a Packed>, view: &View) -> Result<Vec<u8>, EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, view.width, view.height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let a_metre = (view.scale * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: a_metre, yppu: a_metre, unit: Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_chunk(png::chunk::IDAT, &stream(strips))?;
    writer.finish()?;
    Ok(bytes)
}

/// A stream of RFC 1950: head, blocks, an empty last block, checksum.
fn stream<'a>(strips: impl Iterator<Item = &'a Packed>) -> Vec<u8> {
    const HEAD: [u8; 2] = [0x78, 0x5e];
    const LAST: [u8; 2] = [0x03, 0x00];
    let mut stream = HEAD.to_vec();
    let mut sum = Adler::EMPTY;
    for strip in strips {
        stream.extend_from_slice(&strip.blocks);
        sum = sum.then(strip.sum);
    }
    stream.extend(LAST);
    stream.extend(sum.bytes());
    stream
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_those_of_the_standard() {
        // IEC 61966-2-1, code to linear light.
        for (code, light) in [(1, 3.03527e-4), (10, 0.003_035_27), (11, 0.003_346_54), (64, 0.051_269_5)] {
            assert!((encoded(light) - f64::from(code)).abs() < 1e-3, "{code}");
            assert_eq!(Codes::new().code(light as f32, 0.0), code as u8);
        }
        for (code, light) in [(128, 0.215_860_5), (188, 0.502_886_5), (200, 0.577_580_4), (255, 1.0)] {
            assert_eq!(Codes::new().code(light as f32, 0.0), code as u8);
        }
        assert!((encoded(0.5) - 187.516).abs() < 1e-3);
    }

    #[test]
    fn checksums_of_parts_make_that_of_the_whole() {
        // RFC 1950 gives no vector; this one is widely printed for Adler-32 (from memory).
        assert_eq!(Adler::of(b"Wikipedia").bytes(), [0x11, 0xe6, 0x03, 0x98]);
        let text: Vec<u8> = (0..70_000_u32).map(|i| (i.wrapping_mul(i) / 7) as u8).collect();
        for cut in [0, 1, 5552, 65_521, 70_000] {
            assert_eq!(Adler::of(&text[..cut]).then(Adler::of(&text[cut..])), Adler::of(&text), "{cut}");
        }
    }
}
