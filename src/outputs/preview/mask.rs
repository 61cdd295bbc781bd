//! Shapes to coverage: how much of each pixel they take.

use super::view::{Strip, View};
use crate::cache::MadeFrom;
use crate::plan::Dots;
use crate::raster::Bitmap;
use kurbo::{BezPath, PathEl};
use std::sync::Arc;
use tiny_skia::{FillRule, LineCap, LineJoin, Mask, Path, PathBuilder, Stroke, Transform};

/// Lines thinner than this, in pixels, would flicker.
const THINNEST_LINE: f32 = 1.0;

/// What a shape covers of the picture, no larger than the box around it.
pub(super) struct Patch {
    left: usize,
    top: usize,
    mask: Mask,
}

impl Patch {
    /// The pixels of which anything is covered.
    pub fn covered(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let width = self.mask.width() as usize;
        let covered = self.mask.data().iter().enumerate().filter(|(_, coverage)| 0 < **coverage);
        covered.map(move |(index, _)| (self.left + index % width, self.top + index / width))
    }
}

/// What a path covers by the even-odd rule; `None` where nothing of it lies in the picture.
pub(super) fn patch(path: &BezPath, view: &View) -> Option<Patch> {
    let path = in_pixels(path, view)?;
    let bounds = path.bounds();
    let low = |v: f32| v.floor().max(0.0) as usize;
    let high = |v: f32, most: u32| (v.ceil().max(0.0) as u32).min(most) as usize;
    let (left, top) = (low(bounds.left()), low(bounds.top()));
    let width = high(bounds.right(), view.width).checked_sub(left)?;
    let height = high(bounds.bottom(), view.height).checked_sub(top)?;
    let mut mask = Mask::new(width as u32, height as u32)?;
    let shift = Transform::from_translate(-(left as f32), -(top as f32));
    mask.fill_path(&path, FillRule::EvenOdd, true, shift);
    Some(Patch { left, top, mask })
}

/// Shapes that are filled as one.
pub(super) struct Stencil {
    rule: FillRule,
    parts: Vec<Part>,
}

/// A contour in pixels, and the rows between which it lies.
struct Part {
    path: Path,
    top: f32,
    bottom: f32,
}

impl Stencil {
    /// The inside of contours by the even-odd rule.
    pub fn area<'a>(contours: impl IntoIterator<Item = &'a BezPath>, view: &View) -> Self {
        let parts = contours.into_iter().filter_map(|contour| in_pixels(contour, view)).map(Part::new);
        Self { rule: FillRule::EvenOdd, parts: parts.collect() }
    }

    /// A line `width` mm wide.
    pub fn line(path: &BezPath, width: f64, view: &View) -> Self {
        let stroke = Stroke {
            width: view.pixels(width).max(THINNEST_LINE),
            line_cap: LineCap::Round,
            line_join: LineJoin::Round,
            ..Stroke::default()
        };
        let outline = in_pixels(path, view).and_then(|p| p.stroke(&stroke, 1.0));
        Self { rule: FillRule::Winding, parts: outline.map(Part::new).into_iter().collect() }
    }

    /// The parts that reach between two rows: the others cover nothing there, nor do they turn inside to
    /// outside.
    fn within(&self, strip: &Strip) -> impl Iterator<Item = &Path> {
        let (first, end) = (strip.first as f32, strip.end as f32);
        self.parts.iter().filter(move |p| first < p.bottom && p.top < end).map(|p| &p.path)
    }

    /// Tells a key what of it lies in a strip.
    pub fn tell(&self, strip: &Strip, mut made_from: MadeFrom) -> MadeFrom {
        for path in self.within(strip) {
            let numbers = path.points().iter().flat_map(|p| [p.x, p.y]).flat_map(f32::to_le_bytes);
            let verbs = path.verbs().iter().map(|&verb| verb as u8);
            made_from = made_from.bytes(&numbers.chain(verbs).collect::<Vec<_>>());
        }
        made_from
    }
}

impl Part {
    fn new(path: Path) -> Self {
        let bounds = path.bounds();
        Self { top: bounds.top(), bottom: bounds.bottom(), path }
    }
}

/// The dots of a photo, where they lie in the picture.
pub(super) struct DotStencil {
    bitmap: Arc<Bitmap>,
    /// Left and top edge in pixels, and width and height of a dot.
    at: (f64, f64),
    step: (f64, f64),
}

impl DotStencil {
    pub fn new(dots: &Dots, view: &View) -> Self {
        let origin = view.affine() * dots.bounds.origin();
        Self {
            bitmap: Arc::clone(&dots.bitmap),
            at: (origin.x, origin.y),
            step: (dots.pitch.get() * view.scale, dots.interval.get() * view.scale),
        }
    }

    /// The dots that a stretch of pixels covers along one side, and how much of each.
    fn covered(pixel: usize, at: f64, step: f64, count: usize) -> impl Iterator<Item = (usize, f64)> {
        let (from, to) = ((pixel as f64 - at) / step, (pixel as f64 + 1.0 - at) / step);
        let (first, end) = (from.floor().max(0.0) as usize, to.ceil().clamp(0.0, count as f64) as usize);
        (first..end).map(move |i| (i, (to.min(i as f64 + 1.0) - from.max(i as f64)) * step))
    }

    /// Adds what the dots cover of each pixel to coverage in 0..=255.
    pub fn add(&self, view: &View, strip: &Strip, coverage: &mut [u8]) {
        let width = view.width as usize;
        for (line, y) in coverage.chunks_exact_mut(width).zip(strip.first..) {
            let rows: Vec<(usize, f64)> = Self::covered(y, self.at.1, self.step.1, self.bitmap.height).collect();
            if rows.is_empty() {
                continue;
            }
            for (x, value) in line.iter_mut().enumerate() {
                let mut sum = 0.0;
                for (column, share) in Self::covered(x, self.at.0, self.step.0, self.bitmap.width) {
                    for &(row, high) in &rows {
                        if self.bitmap.get(column, row) {
                            sum += share * high;
                        }
                    }
                }
                *value = (*value).max((sum * 255.0).round().clamp(0.0, 255.0) as u8);
            }
        }
    }

    /// Tells a key which dots lie in a strip.
    pub fn tell(&self, strip: &Strip, made_from: MadeFrom) -> MadeFrom {
        let row = |y: usize| ((y as f64 - self.at.1) / self.step.1).clamp(0.0, self.bitmap.height as f64) as usize;
        let stride = self.bitmap.stride();
        let bytes =
            &self.bitmap.bytes()[row(strip.first) * stride..(row(strip.end) + 1).min(self.bitmap.height) * stride];
        made_from.shown(&(self.at, self.step)).bytes(bytes)
    }
}

/// The mask of a strip, which stencils are added to.
pub(super) struct Canvas<'a> {
    strip: &'a Strip,
    mask: Option<Mask>,
    is_bare: bool,
}

impl<'a> Canvas<'a> {
    /// Nothing covered yet.
    pub fn new(view: &View, strip: &'a Strip) -> Self {
        Self { strip, mask: Mask::new(view.width, strip.depth() as u32), is_bare: true }
    }

    /// Covers what a stencil covers.
    pub fn fill(&mut self, stencil: &Stencil) {
        let mut builder = PathBuilder::new();
        stencil.within(self.strip).for_each(|path| builder.push_path(path));
        if let (Some(mask), Some(path)) = (&mut self.mask, builder.finish()) {
            let shift = Transform::from_translate(0.0, -(self.strip.first as f32));
            mask.fill_path(&path, stencil.rule, true, shift);
            self.is_bare = false;
        }
    }

    /// Coverage of each pixel, row by row; `None` where nothing was covered.
    pub fn coverage(self) -> Option<Vec<u8>> {
        self.mask.filter(|_| !self.is_bare).map(Mask::take)
    }
}

/// A path in pixels; `None` when nothing of it can be drawn.
fn in_pixels(path: &BezPath, view: &View) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let f = |p: kurbo::Point| (p.x as f32, p.y as f32);
    for element in &(view.affine() * path.clone()) {
        match element {
            PathEl::MoveTo(p) => builder.move_to(f(p).0, f(p).1),
            PathEl::LineTo(p) => builder.line_to(f(p).0, f(p).1),
            PathEl::QuadTo(a, p) => builder.quad_to(f(a).0, f(a).1, f(p).0, f(p).1),
            PathEl::CurveTo(a, b, p) => builder.cubic_to(f(a).0, f(a).1, f(b).0, f(b).1, f(p).0, f(p).1),
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}
