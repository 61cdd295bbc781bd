//! Primitives as paths about their own middle.

use super::bench::{any_length, positive};
use super::placed::Figures;
use crate::diagnostics::Sink;
use crate::recipe::{Position, Primitive};
use crate::units::Mm;
use kurbo::{Affine, BezPath, Point, Rect, RoundedRect, Shape, Vec2};
use std::f64::consts::{FRAC_PI_2, PI};

/// Circles and corner arcs become cubics that lie within this (mm) of the true arc: a hundredth of the finest
/// spot, and far above the rounding of the kernel's grid.
const ARC_TOLERANCE: f64 = 4e-4;

/// A primitive as a path in the shape's frame, and the drawn width of its lines.
pub(super) struct Outline {
    /// The path; its open subpaths are lines.
    pub path: BezPath,
    /// The drawn width of lines.
    pub width: Option<Mm>,
}

/// Draws a primitive at its position.
pub(super) fn draw(
    primitive: &Primitive,
    position: &Position,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Outline> {
    let mut width = None;
    let path = match primitive {
        Primitive::Circle(diameter) => {
            let radius = positive(diameter, figures, sink)?.get() / 2.0;
            ellipse(radius, radius)
        }
        Primitive::Ellipse(w, h) => {
            let (w, h) = (positive(w, figures, sink), positive(h, figures, sink));
            ellipse(w?.get() / 2.0, h?.get() / 2.0)
        }
        Primitive::Rectangle(w, h, corner) => {
            let (w, h) = (positive(w, figures, sink), positive(h, figures, sink));
            let corner = corner.as_ref().map_or(Some(Mm::ZERO), |c| any_length(c, figures, sink));
            rectangle(w?.get(), h?.get(), corner?.get())
        }
        Primitive::Regular(sides, diameter) => {
            let radius = positive(diameter, figures, sink)?.get() / 2.0;
            ring((0..*sides).map(|i| (radius, f64::from(i) / f64::from(*sides))))
        }
        Primitive::Star(points, outer, inner) => {
            let (outer, inner) = (positive(outer, figures, sink), positive(inner, figures, sink));
            let (outer, inner) = (outer?.get() / 2.0, inner?.get() / 2.0);
            let corner =
                |i: u32| (if i.is_multiple_of(2) { outer } else { inner }, f64::from(i) / f64::from(2 * points));
            ring((0..2 * points).map(corner))
        }
        Primitive::Polygon(points) => {
            let mut path = polyline(points, figures, sink)?;
            path.close_path();
            path
        }
        Primitive::Path(path, drawn) => {
            width = drawn.as_ref().map(|w| positive(w, figures, sink)).map_or(Some(None), |w| w.map(Some))?;
            path.clone()
        }
        Primitive::Line(points, drawn) => {
            width = drawn.as_ref().map(|w| positive(w, figures, sink)).map_or(Some(None), |w| w.map(Some))?;
            polyline(points, figures, sink)?
        }
    };
    let path = turned(path, position)?;
    Some(Outline { path: Affine::translate(shift(position, figures, sink)?) * path, width })
}

fn turned(path: BezPath, position: &Position) -> Option<BezPath> {
    let Some((by, clockwise)) = &position.turn else { return Some(path) };
    let degrees = by.value.value(&())?;
    // y points down, so a positive angle turns with the clock as it is seen.
    let (sin, cos) = libm::sincos(if *clockwise { degrees } else { -degrees }.to_radians());
    Some(Affine::new([cos, sin, -sin, cos, 0.0, 0.0]) * path)
}

fn shift(position: &Position, figures: &Figures, sink: &mut Sink) -> Option<Vec2> {
    let mut total = Vec2::ZERO;
    for (direction, by) in &position.shifts {
        let (x, y) = direction.step();
        total += Vec2::new(x, y) * any_length(by, figures, sink)?.get();
    }
    Some(total)
}

/// A circle, squeezed: kurbo's own ellipse path is left open by a rounding error.
fn ellipse(x: f64, y: f64) -> BezPath {
    let radius = x.max(y);
    let squeeze = Affine::scale_non_uniform(x / radius, y / radius);
    squeeze * kurbo::Circle::new(Point::ZERO, radius).to_path(ARC_TOLERANCE)
}

fn rectangle(width: f64, height: f64, corner: f64) -> BezPath {
    let rect = Rect::from_center_size(Point::ZERO, (width, height));
    let corner = corner.clamp(0.0, width.min(height) / 2.0);
    if corner > 0.0 {
        RoundedRect::from_rect(rect, corner).to_path(ARC_TOLERANCE)
    } else {
        rect.to_path(ARC_TOLERANCE)
    }
}

/// A closed ring of straight sides through corners given by radius and turn (share of a full turn, from the top,
/// with the clock).
fn ring(corners: impl Iterator<Item = (f64, f64)>) -> BezPath {
    let mut path = BezPath::new();
    for (index, (radius, turn)) in corners.enumerate() {
        let (sin, cos) = libm::sincos(2.0 * PI * turn - FRAC_PI_2);
        let point = Point::new(radius * cos, radius * sin);
        if index == 0 { path.move_to(point) } else { path.line_to(point) }
    }
    path.close_path();
    path
}

fn polyline(points: &[Position], figures: &Figures, sink: &mut Sink) -> Option<BezPath> {
    let mut path = BezPath::new();
    for (index, position) in points.iter().enumerate() {
        let point = shift(position, figures, sink)?.to_point();
        if index == 0 { path.move_to(point) } else { path.line_to(point) }
    }
    Some(path)
}
