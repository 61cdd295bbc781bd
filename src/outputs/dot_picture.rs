//! The PNG of a photo: one bit a dot, black is burned.

use crate::plan::Dots;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use png::{BitDepth, ColorType, Compression, Encoder, Filter, PixelDimensions, Unit};

/// The bytes of the PNG: exactly one pixel a dot, and the distance of dots in `pHYs`.
pub(super) fn png(dots: &Dots) -> Vec<u8> {
    let bitmap = &dots.bitmap;
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, bitmap.width as u32, bitmap.height as u32);
    encoder.set_color(ColorType::Grayscale);
    encoder.set_depth(BitDepth::One);
    // Filters compare bytes, and eight dots of a dither in one byte have nothing to do with the next eight.
    encoder.set_filter(Filter::NoFilter);
    encoder.set_compression(Compression::High);
    let per_metre = |step: crate::units::Mm| (1000.0 / step.get()).round().clamp(1.0, f64::from(u32::MAX)) as u32;
    let dimensions =
        PixelDimensions { xppu: per_metre(dots.pitch), yppu: per_metre(dots.interval), unit: Unit::Meter };
    encoder.set_pixel_dims(Some(dimensions));
    // A set bit is burned, and burned is black, which is zero in a grey PNG.
    let pixels: Vec<u8> = bitmap.bytes().iter().map(|byte| !byte).collect();
    // Writing into memory cannot fail: the size was checked when the dots were made.
    let _ = encoder.write_header().and_then(|mut writer| writer.write_image_data(&pixels));
    bytes
}

/// The same as the address of an embedded picture (RFC 2397).
pub(super) fn data_address(dots: &Dots) -> String {
    format!("data:image/png;base64,{}", STANDARD.encode(png(dots)))
}
