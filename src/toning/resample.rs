//! From the pixels of the file to one pixel a dot, in linear light.

use crate::raster::Plane;
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{Filter, FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use std::f64::consts::PI;

/// A box in pixels of the source, which may cut through pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box2 {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Box2 {
    /// The part of it that lies on a picture, at least a pixel's thousandth wide.
    fn within(self, width: usize, height: usize) -> Self {
        let (w, h) = (width as f64, height as f64);
        let (left, top) = (self.left.clamp(0.0, w - 1e-3), self.top.clamp(0.0, h - 1e-3));
        let width = (self.left + self.width - left).clamp(1e-3, w - left);
        let height = (self.top + self.height - top).clamp(1e-3, h - top);
        Self { left, top, width, height }
    }
}

/// Lanczos' kernel of three lobes (Duchon 1979, from memory).
fn lanczos(x: f64) -> f64 {
    if x == 0.0 {
        return 1.0;
    }
    if x.abs() >= 3.0 {
        return 0.0;
    }
    // The sine of the system differs from one to the next.
    let t = PI * x;
    3.0 * libm::sin(t) * libm::sin(t / 3.0) / (t * t)
}

/// Takes a box of luminance samples to so many pixels. A mean over the box stays what it is, because it is taken in
/// linear light.
///
/// Samples are whole numbers, so that every processor sums them to the same.
pub fn resample(samples: &[u16], (width, height): (usize, usize), from: Box2, (w, h): (usize, usize)) -> Plane {
    let from = from.within(width, height);
    let bytes: Vec<u8> = samples.iter().flat_map(|v| v.to_ne_bytes()).collect();
    let plane = (|| {
        let source = ImageRef::new(width as u32, height as u32, &bytes, PixelType::U16).ok()?;
        let mut target = Image::new(w as u32, h as u32, PixelType::U16);
        // Enlarged, the lobes of Lanczos' kernel would show as stripes beside every edge.
        let is_enlarged = w as f64 > from.width || h as f64 > from.height;
        let filter = if is_enlarged {
            FilterType::Custom(Filter::new("linear", |x| (1.0 - x.abs()).max(0.0), 1.0).ok()?)
        } else {
            FilterType::Custom(Filter::new("lanczos", lanczos, 3.0).ok()?)
        };
        let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(filter)).crop(
            from.left,
            from.top,
            from.width,
            from.height,
        );
        Resizer::new().resize(&source, &mut target, &options).ok()?;
        let values =
            target.buffer().chunks_exact(2).map(|b| f32::from(u16::from_ne_bytes([b[0], b[1]])) / 65_535.0);
        Some(Plane { width: w, height: h, values: values.collect() })
    })();
    plane.unwrap_or_else(|| Plane::new(w, h))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_is_averaged_and_not_codes() {
        // A chessboard of black and white pixels has half the light of white (grey of sRGB code 188, not 128).
        let samples: Vec<u16> =
            (0..64 * 64).map(|i| if (i % 64 + i / 64) % 2 == 0 { 65_535 } else { 0 }).collect();
        let all = Box2 { left: 0.0, top: 0.0, width: 64.0, height: 64.0 };
        let small = resample(&samples, (64, 64), all, (8, 8));
        assert!(small.values.iter().all(|v| (v - 0.5).abs() < 0.01), "{:?}", &small.values[..8]);
    }

    #[test]
    fn enlarged_edges_have_no_stripes_beside_them() {
        let samples: Vec<u16> = (0..16 * 16).map(|i| if i % 16 < 8 { 6_000 } else { 60_000 }).collect();
        let all = Box2 { left: 0.0, top: 0.0, width: 16.0, height: 16.0 };
        let large = resample(&samples, (16, 16), all, (160, 160));
        assert!(large.values.iter().all(|v| *v > 0.09));
        let row = &large.values[..160];
        assert!(row.windows(2).all(|w| w[1] >= w[0] - 1e-4), "an edge rises and does not swing");
    }

    #[test]
    fn a_box_is_taken_where_it_lies() {
        let samples: Vec<u16> = (0..100 * 50).map(|i| if i % 100 < 50 { 0 } else { 65_535 }).collect();
        let right = Box2 { left: 75.0, top: 10.0, width: 20.0, height: 30.0 };
        assert!(resample(&samples, (100, 50), right, (5, 5)).values.iter().all(|v| *v > 0.999));
        let beyond = Box2 { left: 90.0, top: 10.0, width: 30.0, height: 300.0 };
        assert!(resample(&samples, (100, 50), beyond, (5, 5)).values.iter().all(|v| *v > 0.999));
    }
}
