//! The outline of a drawn element, in full precision.
//!
//! The resolver works in single precision and draws circles with four curves, which on a board are a tenth of a
//! millimetre off. Path data are read again from the file here, and round shapes are drawn anew in the box that
//! the resolver found.

use super::document::NodeId;
use super::document::{Document, tag};
use super::path_data::{self, ARC_ACCURACY, PathFault};
use kurbo::{Arc, BezPath, Ellipse, Point, Rect, Shape, Vec2};
use std::f64::consts::FRAC_PI_2;
use usvg::tiny_skia_path::{self, PathSegment};

/// The outline in the element's own units, and a fault in its path data.
pub(super) fn outline(
    document: &Document,
    node: Option<NodeId>,
    resolved: &tiny_skia_path::Path,
) -> (BezPath, Option<PathFault>) {
    let node = node.and_then(|id| document.node(id));
    match node.map(|n| (n, tag(n))) {
        Some((node, "path")) => path_data::parse(node.attribute("d").unwrap_or_default()),
        Some((_, "circle" | "ellipse")) => (ellipse(bounds(resolved)), None),
        Some((_, "rect")) => (rectangle(resolved), None),
        _ => (as_resolved(resolved), None),
    }
}

/// What is wrong with the path data of an element from which nothing was drawn.
pub(super) fn path_fault(document: &Document, node: NodeId) -> Option<PathFault> {
    let node = document.node(node).filter(|n| tag(*n) == "path")?;
    path_data::parse(node.attribute("d")?).1
}

fn point(p: tiny_skia_path::Point) -> Point {
    Point::new(f64::from(p.x), f64::from(p.y))
}

fn bounds(path: &tiny_skia_path::Path) -> Rect {
    let b = path.compute_tight_bounds().unwrap_or_else(|| path.bounds());
    Rect::new(f64::from(b.left()), f64::from(b.top()), f64::from(b.right()), f64::from(b.bottom()))
}

fn as_resolved(path: &tiny_skia_path::Path) -> BezPath {
    let mut out = BezPath::new();
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => out.move_to(point(p)),
            PathSegment::LineTo(p) => out.line_to(point(p)),
            PathSegment::QuadTo(a, p) => out.quad_to(point(a), point(p)),
            PathSegment::CubicTo(a, b, p) => out.curve_to(point(a), point(b), point(p)),
            PathSegment::Close => out.close_path(),
        }
    }
    out
}

fn ellipse(bounds: Rect) -> BezPath {
    Ellipse::from_rect(bounds).to_path(ARC_ACCURACY * bounds.width().max(bounds.height()) / 2.0)
}

/// A rectangle; rounded corners are told by where the resolver put the ends of its edges.
fn rectangle(path: &tiny_skia_path::Path) -> BezPath {
    let drawn = as_resolved(path);
    let has_corners = path.segments().any(|s| matches!(s, PathSegment::CubicTo(..)));
    let mut ends = drawn.elements().iter().filter_map(kurbo::PathEl::end_point);
    let (true, Some(start)) = (has_corners, ends.next()) else { return drawn };
    let b = bounds(path);
    let rx = start.x - b.x0;
    // The first edge ends where the first corner starts; the corner ends `ry` below the top.
    let ry = ends.filter(|p| (p.x - b.x1).abs() <= 1e-6 * b.width()).map(|p| p.y - b.y0).next().unwrap_or(rx);
    rounded(b, Vec2::new(rx.min(b.width() / 2.0), ry.min(b.height() / 2.0)))
}

/// The path that SVG prescribes for a rounded rectangle: from the top edge, clockwise (SVG 2, 10.2).
fn rounded(b: Rect, radii: Vec2) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((b.x0 + radii.x, b.y0));
    let corners = [
        (
            Point::new(b.x1 - radii.x, b.y0 + radii.y),
            Point::new(b.x1 - radii.x, b.y0),
            Point::new(b.x1, b.y0 + radii.y),
        ),
        (
            Point::new(b.x1 - radii.x, b.y1 - radii.y),
            Point::new(b.x1, b.y1 - radii.y),
            Point::new(b.x1 - radii.x, b.y1),
        ),
        (
            Point::new(b.x0 + radii.x, b.y1 - radii.y),
            Point::new(b.x0 + radii.x, b.y1),
            Point::new(b.x0, b.y1 - radii.y),
        ),
        (
            Point::new(b.x0 + radii.x, b.y0 + radii.y),
            Point::new(b.x0, b.y0 + radii.y),
            Point::new(b.x0 + radii.x, b.y0),
        ),
    ];
    for (turn, (centre, from, to)) in corners.into_iter().enumerate() {
        path.line_to(from);
        let arc = Arc::new(centre, radii, (turn as f64 - 1.0) * FRAC_PI_2, FRAC_PI_2, 0.0);
        let mut curves = Vec::new();
        arc.to_cubic_beziers(ARC_ACCURACY * radii.x.max(radii.y), |a, b, c| curves.push((a, b, c)));
        let last = curves.len().saturating_sub(1);
        for (index, (a, b, c)) in curves.into_iter().enumerate() {
            path.curve_to(a, b, if index == last { to } else { c });
        }
    }
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounded_rectangles_have_their_exact_area() {
        let path = rounded(Rect::new(0.0, 0.0, 40.0, 20.0), Vec2::new(5.0, 3.0));
        let exact = 40.0 * 20.0 - (4.0 - std::f64::consts::PI) * 15.0;
        assert!((path.area() - exact).abs() < 1e-3, "{} {exact}", path.area());
    }

    #[test]
    fn circles_are_round_to_a_few_millionths() {
        let path = ellipse(Rect::new(-100.0, -100.0, 100.0, 100.0));
        for segment in path.segments() {
            for i in 0..=8 {
                let p = kurbo::ParamCurve::eval(&segment, f64::from(i) / 8.0);
                assert!((p.to_vec2().hypot() - 100.0).abs() < 0.001, "{p:?}");
            }
        }
    }
}
