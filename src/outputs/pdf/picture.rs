//! Pictures from pixels.

use super::PdfError;
use image::{ImageReader, Limits, Rgb, RgbImage, imageops};
use std::io::Cursor;

/// More than any preview needs; a picture beyond it is refused before it takes memory.
const MOST_PIXELS_A_SIDE: u32 = 20_000;

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
