//! Paths to chords: the kernel's border, where every coordinate is checked, and the way from curves to rings.

use super::grid::{Node, Ring};
use super::{FLATTEN_TOLERANCE, GeometryError, crossings};
use kurbo::{BezPath, ParamCurve, PathEl, PathSeg, Point, Vec2};

/// Coordinates beyond this many millimetres (10 m) lie on no bed.
const FARTHEST: f64 = 10_000.0;

/// The most elements a path may have: a photograph traced to a million points is still workable.
const MOST_ELEMENTS: usize = 1_000_000;

/// The most chords a path may become.
const MOST_CHORDS: usize = 4_000_000;

/// The most chords of one curve; reached only by curves far larger than a bed.
const MOST_CHORDS_OF_ONE: f64 = 10_000.0;

/// Refuses a path with coordinates that are not finite or absurd, with too many elements or, as far as a sample
/// shows, too many crossings.
pub(super) fn check(path: &BezPath) -> Result<(), GeometryError> {
    if path.elements().len() > MOST_ELEMENTS {
        return Err(GeometryError::TooMany);
    }
    let points = path.elements().iter().flat_map(|e| points_of(*e).into_iter().flatten());
    for p in points {
        if !p.is_finite() {
            return Err(GeometryError::NotFinite);
        }
        if p.x.abs() > FARTHEST || p.y.abs() > FARTHEST {
            return Err(GeometryError::TooFar);
        }
    }
    // Element by element: `segments` may not be asked of a path that starts with a `ClosePath`.
    let chords: usize = subpaths(path).iter().flat_map(BezPath::segments).map(chords_of).sum();
    if chords > MOST_CHORDS || is_tangle(path) {
        return Err(GeometryError::TooMany);
    }
    Ok(())
}

fn is_tangle(path: &BezPath) -> bool {
    let closed = |s: &BezPath| {
        let mut chain = chords(s);
        chain.extend(chain.first().copied());
        chain
    };
    crossings::exceed(&subpaths(path).iter().map(closed).collect::<Vec<_>>(), crossings::MOST_CROSSINGS)
}

fn points_of(element: PathEl) -> [Option<Point>; 3] {
    match element {
        PathEl::MoveTo(a) | PathEl::LineTo(a) => [Some(a), None, None],
        PathEl::QuadTo(a, b) => [Some(a), Some(b), None],
        PathEl::CurveTo(a, b, c) => [Some(a), Some(b), Some(c)],
        PathEl::ClosePath => [None; 3],
    }
}

/// How many chords of equal parameter steps keep within the tolerance of a segment.
///
/// Wang's bound, `sqrt(d (d - 1) / 8 * M / tolerance)` for degree `d` and the largest second difference `M`
/// of the control points (R. Goldman, *Pyramid Algorithms*, from memory). It needs square roots only, so it
/// is the same on every machine.
pub(super) fn chords_of(segment: PathSeg) -> usize {
    let bend = |a: Point, b: Point, c: Point| ((a.to_vec2() - b.to_vec2()) - (b - c)).hypot();
    let (factor, bend) = match segment {
        PathSeg::Line(_) => return 1,
        PathSeg::Quad(q) => (0.25, bend(q.p0, q.p1, q.p2)),
        PathSeg::Cubic(c) => (0.75, bend(c.p0, c.p1, c.p2).max(bend(c.p1, c.p2, c.p3))),
    };
    (factor * bend / FLATTEN_TOLERANCE.get()).sqrt().ceil().clamp(1.0, MOST_CHORDS_OF_ONE) as usize
}

/// The corners of the chords of one subpath, from its start to its end.
///
/// A closed subpath ends where it started. Points are not moved to the lattice.
pub(super) fn chords(subpath: &BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    if let Some(PathEl::MoveTo(start)) = subpath.elements().first() {
        points.push(*start);
    }
    for segment in subpath.segments() {
        let count = chords_of(segment);
        points.extend((1..count).map(|i| segment.eval(i as f64 / count as f64)));
        points.push(segment.end());
    }
    points
}

/// A place on a segment of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// The segment, counted from the first.
    pub segment: usize,
    /// The parameter on it, from 0 to 1.
    pub t: f64,
}

/// The corners of the chords of one closed subpath with their places on it, the first not repeated.
pub(super) fn placed_chords(subpath: &BezPath) -> Vec<(Point, Place)> {
    let on_segment = |(index, segment): (usize, PathSeg)| {
        let count = chords_of(segment);
        (0..count).map(move |i| {
            let t = i as f64 / count as f64;
            (if i == 0 { segment.start() } else { segment.eval(t) }, Place { segment: index, t })
        })
    };
    subpath.segments().enumerate().flat_map(on_segment).collect()
}

/// The ring of one contour on the lattice; an open subpath is closed by a straight line.
pub(super) fn ring(contour: &BezPath) -> Ring {
    let mut nodes: Ring = chords(contour).into_iter().map(Node::nearest).collect();
    if nodes.len() > 1 && nodes.first() == nodes.last() {
        nodes.pop();
    }
    nodes
}

/// Each subpath as a path of its own, in order; a lone `MoveTo` is one too.
pub fn subpaths(path: &BezPath) -> Vec<BezPath> {
    let mut found: Vec<BezPath> = Vec::new();
    let mut start = Point::ZERO;
    for &element in path.elements() {
        let closed = found.last().is_none_or(|p| matches!(p.elements().last(), Some(PathEl::ClosePath)));
        match element {
            PathEl::MoveTo(p) => {
                start = p;
                found.push(BezPath::from_vec(vec![element]));
                continue;
            }
            PathEl::ClosePath if closed => continue,
            // Drawing on after a `ClosePath` starts where the closed subpath started (SVG 2, 9.3.4).
            _ if closed => found.push(BezPath::from_vec(vec![PathEl::MoveTo(start)])),
            _ => {}
        }
        if let Some(current) = found.last_mut() {
            current.push(element);
        }
    }
    found
}

/// Whether a subpath ends where it starts, by a `ClosePath` or by its coordinates.
pub fn is_closed(subpath: &BezPath) -> bool {
    let elements = subpath.elements();
    let end = elements.iter().rev().find_map(PathEl::end_point);
    match elements.first() {
        Some(PathEl::MoveTo(start)) if elements.len() > 1 => {
            matches!(elements.last(), Some(PathEl::ClosePath)) || end.is_some_and(|e| (e - *start) == Vec2::ZERO)
        }
        _ => false,
    }
}

/// The subpath ended by a `ClosePath`, without a zero-length line before it.
pub(super) fn closed(subpath: &BezPath) -> BezPath {
    let mut elements = subpath.elements().to_vec();
    if let Some(PathEl::ClosePath) = elements.last() {
        elements.pop();
    }
    if let (Some(PathEl::MoveTo(start)), Some(PathEl::LineTo(end))) = (elements.first(), elements.last())
        && start == end
    {
        elements.pop();
    }
    elements.push(PathEl::ClosePath);
    BezPath::from_vec(elements)
}
