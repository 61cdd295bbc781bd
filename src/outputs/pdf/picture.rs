//! Pictures from pixels.

use super::PdfError;
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageReader, Limits, Rgb, RgbImage, imageops};
use std::io::Cursor;

/// More than any preview needs; a picture beyond it is refused before it takes memory.
const MOST_PIXELS_A_SIDE: u32 = 20_000;

/// Quality of the JPEG, of 100: lines stay clean in print.
const QUALITY: u8 = 88;

/// A picture with 8 bits a channel, RGB.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Picture {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Red, green, blue, row by row from the top.
    pub pixels: Vec<u8>,
}

impl Picture {
    /// Takes pixels, three bytes each, row by row.
    pub(crate) const fn from_pixels((width, height): (u32, u32), pixels: Vec<u8>) -> Self {
        Self { width, height, pixels }
    }

    /// The picture as a JPEG, which PDF knows as `DCTDecode`: paper does not show what it leaves out, and it is
    /// a small part of what the pixels take.
    pub(super) fn jpeg(&self) -> Result<Vec<u8>, PdfError> {
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, QUALITY)
            .encode(&self.pixels, self.width, self.height, ExtendedColorType::Rgb8)
            .map_err(|error| PdfError::Picture(error.to_string()))?;
        Ok(bytes)
    }

    /// Reads a PNG, lays it on white and makes it no larger than `longest` pixels on its longer side.
    pub(crate) fn from_png(bytes: &[u8], longest: u32) -> Result<Self, PdfError> {
        let refuse = |why: &dyn std::fmt::Display| PdfError::Picture(why.to_string());
        let mut reader = ImageReader::with_format(Cursor::new(bytes), image::ImageFormat::Png);
        let mut limits = Limits::default();
        limits.max_image_width = Some(MOST_PIXELS_A_SIDE);
        limits.max_image_height = Some(MOST_PIXELS_A_SIDE);
        reader.limits(limits);
        let decoded = reader.decode().map_err(|e| refuse(&e))?.into_rgba8();
        if decoded.width() == 0 || decoded.height() == 0 {
            return Err(refuse(&"the picture has no pixels"));
        }
        let flat = RgbImage::from_fn(decoded.width(), decoded.height(), |x, y| {
            let [r, g, b, alpha] = decoded.get_pixel(x, y).0.map(u32::from);
            Rgb([r, g, b].map(|c| ((c * alpha + 255 * (255 - alpha) + 127) / 255) as u8))
        });
        Ok(Self::from_rgb(shrink(flat, longest)))
    }

    fn from_rgb(image: RgbImage) -> Self {
        Self { width: image.width(), height: image.height(), pixels: image.into_raw() }
    }
}

fn shrink(image: RgbImage, longest: u32) -> RgbImage {
    let side = image.width().max(image.height());
    if side <= longest {
        return image;
    }
    let scaled = |length: u32| {
        let rounded = (u64::from(length) * u64::from(longest) + u64::from(side) / 2) / u64::from(side);
        (rounded as u32).max(1)
    };
    imageops::thumbnail(&image, scaled(image.width()), scaled(image.height()))
}
