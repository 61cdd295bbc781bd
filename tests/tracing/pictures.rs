//! Drawings made into pixels: crisp, black and white, and as a scanner sees them.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageFormat};
use kerfbook::raster::Plane;
use kurbo::{BezPath, PathEl};
use tiny_skia::{FillRule, LineCap, LineJoin, Paint, PathBuilder, Pixmap, Stroke, Transform};

/// Pixels of the fine picture that make one of the picture, along a side.
const FINE: u32 = 4;

/// How a drawing gets into the computer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Grey values at the edges, each the share of the pixel that is inked.
    Grey,
    /// Grey values cut at one half.
    BlackAndWhite,
    /// Softened, lit unevenly, noisy, and saved as JPEG.
    Scan,
}

/// A path in pixels, filled black on white, as grey values as coded (0 black to 1 white).
pub fn filled(path: &BezPath, even_odd: bool, (width, height): (u32, u32), look: Look) -> Plane {
    seen(&coverage(path, even_odd, width, height).map(|c| 1.0 - c), look)
}

/// A crisp picture, as it gets into the computer.
fn seen(plane: &Plane, look: Look) -> Plane {
    match look {
        Look::Grey => plane.clone(),
        Look::BlackAndWhite => plane.map(|v| if v < 0.5 { 0.0 } else { 1.0 }),
        Look::Scan => scanned(plane),
    }
}

/// Paths in pixels, drawn black on white with a round pen so wide (pixels).
pub fn stroked(paths: &[BezPath], pen: f64, (width, height): (u32, u32), look: Look) -> Plane {
    let mut builder = PathBuilder::new();
    for path in paths {
        add(path, &mut builder);
    }
    let (mut fine, scale, paint) = fine(width, height);
    let (line_cap, line_join) = (LineCap::Round, LineJoin::Round);
    let stroke = Stroke { width: pen as f32, line_cap, line_join, ..Stroke::default() };
    fine.stroke_path(&builder.finish().unwrap(), &paint, &stroke, scale, None);
    seen(&coarse(&fine).map(|c| 1.0 - c), look)
}

/// The share of each pixel that a filled path covers.
fn coverage(path: &BezPath, even_odd: bool, width: u32, height: u32) -> Plane {
    let mut builder = PathBuilder::new();
    add(path, &mut builder);
    let (mut fine, scale, paint) = fine(width, height);
    let rule = if even_odd { FillRule::EvenOdd } else { FillRule::Winding };
    fine.fill_path(&builder.finish().unwrap(), &paint, rule, scale, None);
    coarse(&fine)
}

fn add(path: &BezPath, builder: &mut PathBuilder) {
    for element in path.elements() {
        let p = |p: kurbo::Point| (p.x as f32, p.y as f32);
        match *element {
            PathEl::MoveTo(a) => builder.move_to(p(a).0, p(a).1),
            PathEl::LineTo(a) => builder.line_to(p(a).0, p(a).1),
            PathEl::QuadTo(a, b) => builder.quad_to(p(a).0, p(a).1, p(b).0, p(b).1),
            PathEl::CurveTo(a, b, c) => builder.cubic_to(p(a).0, p(a).1, p(b).0, p(b).1, p(c).0, p(c).1),
            PathEl::ClosePath => builder.close(),
        }
    }
}

/// An empty fine picture, and how to draw on it.
fn fine(width: u32, height: u32) -> (Pixmap, Transform, Paint<'static>) {
    let pixels = Pixmap::new(width * FINE, height * FINE).unwrap();
    let scale = Transform::from_scale(FINE as f32, FINE as f32);
    (pixels, scale, Paint { anti_alias: true, ..Paint::default() })
}

/// The share of each pixel that is inked in the fine picture.
fn coarse(fine: &Pixmap) -> Plane {
    let width = fine.width() / FINE;
    let mut plane = Plane::new(width as usize, (fine.height() / FINE) as usize);
    for (i, pixel) in fine.pixels().iter().enumerate() {
        let (x, y) = (i as u32 % fine.width() / FINE, i as u32 / fine.width() / FINE);
        plane.values[(y * width + x) as usize] += f32::from(pixel.alpha()) / 255.0 / (FINE * FINE) as f32;
    }
    plane
}

/// A sheet as a cheap scanner sees it: 0.9 px of softness, a quarter less light in a corner, noise of 3 in 255, JPEG at 80.
fn scanned(plane: &Plane) -> Plane {
    let soft = plane.blurred(0.9);
    let (width, height) = (plane.width, plane.height);
    let bytes: Vec<u8> = (0..width * height)
        .map(|i| {
            let (x, y) = (i % width, i / width);
            let light = 1.0 - 0.25 * (x as f32 / width as f32) * (y as f32 / height as f32);
            let noise = (0..4).map(|k| random(i * 4 + k)).sum::<f32>() - 2.0;
            // The sum of four even deviates has a deviation of 0.577.
            let value = 0.06 + 0.88 * soft.values[i] * light + noise / 0.577 * 3.0 / 255.0;
            (value.clamp(0.0, 1.0) * 255.0).round() as u8
        })
        .collect();
    let mut packed = Vec::new();
    let encoder = &mut JpegEncoder::new_with_quality(&mut packed, 80);
    encoder.encode(&bytes, width as u32, height as u32, ExtendedColorType::L8).unwrap();
    let image = image::load_from_memory_with_format(&packed, ImageFormat::Jpeg).unwrap().to_luma8();
    Plane { width, height, values: image.as_raw().iter().map(|v| f32::from(*v) / 255.0).collect() }
}

/// Numbers from 0 to 1 that look unrelated.
fn random(i: usize) -> f32 {
    let mut z = (i as u64).wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 40) as f32 / 16_777_216.0
}
