//! [`Dots`]: a photo as the dots that are burned.

use super::rows::{Row, Rows};
use crate::figures::PlacedPhoto;
use crate::geometry::Region;
use crate::raster::{Bitmap, Plane};
use crate::toning::{Box2, resample};
use crate::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Point, Rect};
use std::sync::Arc;

/// A photo as the dots that are burned: one row a line interval, level with the sheet.
#[derive(Clone, Debug)]
pub struct Dots {
    /// The photo's name.
    pub figure: String,
    /// The dots; what is set is burned.
    pub bitmap: Arc<Bitmap>,
    /// Where they lie on the sheet: exactly as many dot pitches wide and line intervals high as there are dots.
    pub bounds: Rect,
    /// Distance between rows.
    pub interval: Mm,
    /// Distance between dots of a row.
    pub pitch: Mm,
    /// What the photo covers: its frame, as far as it lies in its vignette.
    pub region: Region,
    /// The recipe word of the dither.
    pub dither: &'static str,
    /// Distance between halftone dots.
    pub period: Option<Mm>,
    /// The share of what it covers that is burned.
    pub coverage: f64,
    /// Pixels of the file on a millimetre of the sheet, where they lie farthest apart.
    pub pixels_per_mm: f64,
    /// How far lightness of the picture reached before it was stretched, from 0 to 1.
    pub contrast: f64,
    /// The tone card that it was toned by.
    pub tone_card: Option<String>,
}

impl Dots {
    /// The rows from the left end of the first dot to the right end of the last.
    pub fn rows(&self) -> Rows {
        let (pitch, interval) = (self.pitch.get(), self.interval.get());
        let across = |x: usize| self.bounds.x0 + x as f64 * pitch;
        let row = |y: usize| {
            let runs = self.bitmap.runs(y).map(|(from, to)| (across(from), across(to)));
            Row::of(self.bounds.y0 + (y as f64 + 0.5) * interval, runs)
        };
        Rows {
            rows: (0..self.bitmap.height).filter_map(row).collect(),
            burned: Mm::new(self.bitmap.count() as f64 * pitch),
        }
    }
}

impl Dots {
    /// The share that is burned in each of so many cells across and down: the photo as it is seen from afar.
    pub fn tones(&self, columns: usize, rows: usize) -> Plane {
        let mut sums = Plane::new(columns.max(1), rows.max(1));
        let (columns, rows) = (sums.width, sums.height);
        let mut counts = vec![0.0_f32; columns * rows];
        for y in 0..self.bitmap.height {
            let row = y * rows / self.bitmap.height;
            for x in 0..self.bitmap.width {
                let cell = row * columns + x * columns / self.bitmap.width;
                counts[cell] += 1.0;
                sums.values[cell] += f32::from(u8::from(self.bitmap.get(x, y)));
            }
        }
        sums.values.iter_mut().zip(&counts).for_each(|(sum, count)| *sum /= count.max(1.0));
        sums
    }
}

/// Where dots lie on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    pub columns: usize,
    pub rows: usize,
    pub bounds: Rect,
    pub interval: f64,
    pub pitch: f64,
}

impl Grid {
    /// The grid that comes nearest to a box, about its middle.
    pub fn over(area: Rect, interval: Mm, pitch: Mm) -> Self {
        let (interval, pitch) = (interval.get(), pitch.get());
        let count = |length: f64, step: f64| (length / step).round().max(1.0);
        let (columns, rows) = (count(area.width(), pitch), count(area.height(), interval));
        let bounds = Rect::from_center_size(area.center(), (columns * pitch, rows * interval));
        Self { columns: columns as usize, rows: rows as usize, bounds, interval, pitch }
    }

    fn middle(&self, column: f64, row: f64) -> Point {
        Point::new(self.bounds.x0 + (column + 0.5) * self.pitch, self.bounds.y0 + (row + 0.5) * self.interval)
    }
}

/// More dots than this are sampled once each, not four times, when a photo lies askew.
const MANY: usize = 10_000_000;

/// Relative luminance of a photo at every dot.
pub(super) fn luminance(photo: &PlacedPhoto, samples: &[u16], size: (usize, usize), grid: &Grid) -> Plane {
    let to_pixels = photo.to_pixels();
    let [a, b, c, d, _, _] = to_pixels.as_coeffs();
    let tiny = 1e-9 * (a.abs() + b.abs() + c.abs() + d.abs());
    if b.abs() < tiny && c.abs() < tiny {
        let plane = resample(samples, size, pixel_box(to_pixels, grid), (grid.columns, grid.rows));
        return rearranged(&plane, grid, |x, y| (flip(x, grid.columns, a), flip(y, grid.rows, d)));
    }
    if a.abs() < tiny && d.abs() < tiny {
        let plane = resample(samples, size, pixel_box(to_pixels, grid), (grid.rows, grid.columns));
        return rearranged(&plane, grid, |x, y| (flip(y, grid.rows, c), flip(x, grid.columns, b)));
    }
    askew(photo, samples, size, grid)
}

fn flip(at: usize, count: usize, direction: f64) -> usize {
    if direction < 0.0 { count - 1 - at } else { at }
}

/// The box of the grid in pixels of the picture.
fn pixel_box(to_pixels: Affine, grid: &Grid) -> Box2 {
    let found = to_pixels.transform_rect_bbox(grid.bounds);
    Box2 { left: found.x0, top: found.y0, width: found.width(), height: found.height() }
}

fn rearranged(plane: &Plane, grid: &Grid, from: impl Fn(usize, usize) -> (usize, usize)) -> Plane {
    let mut values = Vec::with_capacity(plane.values.len());
    for y in 0..grid.rows {
        values.extend((0..grid.columns).map(|x| {
            let (x, y) = from(x, y);
            plane.values[y * plane.width + x]
        }));
    }
    Plane { width: grid.columns, height: grid.rows, values }
}

/// A turned photo: first to twice the density of the dots in its own frame, then looked up between those.
fn askew(photo: &PlacedPhoto, samples: &[u16], size: (usize, usize), grid: &Grid) -> Plane {
    let crop = photo.source.crop;
    let is_many = grid.columns * grid.rows > MANY;
    let step = grid.interval.min(grid.pitch) / if is_many { 1.0 } else { 2.0 };
    let to_pixels = photo.to_pixels();
    let [a, b, c, d, _, _] = to_pixels.as_coeffs();
    let count = |pixels: f64, per_mm: f64| (pixels / (per_mm * step)).ceil().clamp(1.0, 32_000.0) as usize;
    let (w, h) = (count(crop.width, a.hypot(c)), count(crop.height, b.hypot(d)));
    let fine = resample(samples, size, crop, (w, h));
    let scale = Affine::scale_non_uniform(w as f64 / crop.width, h as f64 / crop.height);
    let to_fine = scale * Affine::translate((-crop.left, -crop.top)) * to_pixels;
    let shifts: &[f64] = if is_many { &[0.0] } else { &[-0.25, 0.25] };
    let mut plane = Plane::new(grid.columns, grid.rows);
    for y in 0..grid.rows {
        for x in 0..grid.columns {
            let mut sum = 0.0;
            for dy in shifts {
                for dx in shifts {
                    sum += between(&fine, to_fine * grid.middle(x as f64 + dx, y as f64 + dy));
                }
            }
            plane.values[y * grid.columns + x] = sum / (shifts.len() * shifts.len()) as f32;
        }
    }
    plane
}

/// The value between four pixels.
fn between(plane: &Plane, at: Point) -> f32 {
    let (x, y) = (at.x - 0.5, at.y - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (fx, fy) = ((x - left) as f32, (y - top) as f32);
    let (left, top) = (left as isize, top as isize);
    let upper = plane.near(left, top) * (1.0 - fx) + plane.near(left + 1, top) * fx;
    let lower = plane.near(left, top + 1) * (1.0 - fx) + plane.near(left + 1, top + 1) * fx;
    upper * (1.0 - fy) + lower * fy
}

/// Which dots have their middle in an area, row by row.
pub(super) fn inside(region: &Region, grid: &Grid) -> Vec<bool> {
    let is_all = region.contours().len() == 1
        && region.bounds().is_some_and(|b| (region.area().get() - b.area()).abs() < 1e-6 * b.area());
    if is_all {
        return vec![true; grid.columns * grid.rows];
    }
    let to_grid = Affine::scale_non_uniform(1.0 / grid.pitch, 1.0 / grid.interval)
        * Affine::translate((-grid.bounds.x0, -grid.bounds.y0));
    let mut path = tiny_skia::PathBuilder::new();
    for contour in region.contours() {
        trace(&(to_grid * contour.clone()), &mut path);
    }
    let filled = path.finish().and_then(|path| {
        let mut mask = tiny_skia::Mask::new(grid.columns as u32, grid.rows as u32)?;
        mask.fill_path(&path, tiny_skia::FillRule::EvenOdd, false, tiny_skia::Transform::identity());
        Some(mask.data().iter().map(|&v| v > 0).collect())
    });
    filled.unwrap_or_else(|| vec![false; grid.columns * grid.rows])
}

fn trace(contour: &BezPath, path: &mut tiny_skia::PathBuilder) {
    for element in contour.elements() {
        match *element {
            PathEl::MoveTo(p) => path.move_to(p.x as f32, p.y as f32),
            PathEl::LineTo(p) => path.line_to(p.x as f32, p.y as f32),
            PathEl::QuadTo(a, p) => path.quad_to(a.x as f32, a.y as f32, p.x as f32, p.y as f32),
            PathEl::CurveTo(a, b, p) => {
                path.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32);
            }
            PathEl::ClosePath => path.close(),
        }
    }
}
