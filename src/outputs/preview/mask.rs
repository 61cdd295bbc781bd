//! Shapes to coverage: how much of each pixel they take.

use super::plane::Plane;
use super::view::View;
use crate::plan::Plan;
use kurbo::{BezPath, PathEl, Rect, Shape};
use tiny_skia::{FillRule, LineCap, LineJoin, Mask, Path, PathBuilder, Stroke, Transform};

/// Lines thinner than this, in pixels, would flicker.
const THINNEST_LINE: f32 = 1.0;

/// The finished piece: the board, or the sheet where there is none.
pub(super) fn piece(plan: &Plan, view: &View) -> Plane {
    let sheet = || Rect::new(0.0, 0.0, plan.sheet.width.get(), plan.sheet.height.get()).to_path(0.1);
    let outline =
        plan.board.as_ref().filter(|b| !b.is_empty()).map_or_else(sheet, crate::geometry::Region::to_path);
    let mut plane = Plane::new(view.width, view.height);
    let mut canvas = Canvas::new(view);
    canvas.fill(&outline, FillRule::EvenOdd);
    plane.add(canvas.coverage(), 1.0);
    plane
}

/// A mask that shapes are added to.
pub(super) struct Canvas<'a> {
    view: &'a View,
    mask: Option<Mask>,
}

impl<'a> Canvas<'a> {
    /// Nothing covered yet.
    pub fn new(view: &'a View) -> Self {
        Self { view, mask: Mask::new(view.width, view.height) }
    }

    /// Covers the inside of a path.
    pub fn fill(&mut self, path: &BezPath, rule: FillRule) {
        if let (Some(mask), Some(path)) = (&mut self.mask, in_pixels(path, self.view)) {
            mask.fill_path(&path, rule, true, Transform::identity());
        }
    }

    /// Covers a line `width` mm wide.
    pub fn stroke(&mut self, path: &BezPath, width: f64) {
        let stroke = Stroke {
            width: self.view.pixels(width).max(THINNEST_LINE),
            line_cap: LineCap::Round,
            line_join: LineJoin::Round,
            ..Stroke::default()
        };
        let outline = in_pixels(path, self.view).and_then(|p| p.stroke(&stroke, 1.0));
        if let (Some(mask), Some(outline)) = (&mut self.mask, outline) {
            mask.fill_path(&outline, FillRule::Winding, true, Transform::identity());
        }
    }

    /// Coverage of each pixel, row by row.
    pub fn coverage(&self) -> &[u8] {
        self.mask.as_ref().map_or(&[], Mask::data)
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
