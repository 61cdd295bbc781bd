//! A closed outline with places along it.
//!
//! A place is the number of a segment plus the parameter on it: `2.5` is the middle of the third segment.
//! Rings run so that their area is positive; with y down that is clockwise on the screen.

use super::PuzzleError;
use super::polyline::{Polyline, encloses};
use crate::geometry::Region;
use kurbo::{
    BezPath, Line, ParamCurve, ParamCurveArclen, ParamCurveArea, ParamCurveDeriv, PathSeg, Point, Rect, Shape,
    Vec2,
};

/// Two points nearer than this (mm) are one point of an outline.
const SAME: f64 = 1e-9;
/// An outline that turns by more than this at a point, degrees, has a corner there.
const SHARP: f64 = 20.0;
/// How well the length of a segment is known, mm.
const LENGTH_ERROR: f64 = 1e-3;
/// How near the flattened ring is to the curve, mm.
const TOLERANCE: f64 = 0.02;

/// The outline of a board.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    segments: Vec<PathSeg>,
    bounds: Rect,
    line: Polyline,
    corners: Vec<Corner>,
    /// For each segment, length and signed area of all before it; one more for the whole.
    lengths: Vec<f64>,
    areas: Vec<f64>,
}

/// A corner of the outline.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    /// Where it is.
    pub at: Point,
    /// Where it is along the ring.
    pub place: f64,
    /// Whether it points outwards.
    pub convex: bool,
}

/// A point of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hit {
    /// Where it is.
    pub at: Point,
    /// Where it is along the ring.
    pub place: f64,
}

impl Ring {
    /// The outline of a board without holes.
    pub(super) fn of(board: &Region) -> Result<Self, PuzzleError> {
        let [contour] = board.contours() else {
            return Err(PuzzleError::BoardNotWhole { outlines: board.contours().len() });
        };
        let contour = if contour.area() < 0.0 { contour.reverse_subpaths() } else { contour.clone() };
        let mut segments: Vec<_> = contour.segments().filter(|s| s.start().distance(s.end()) > SAME).collect();
        if segments.len() < 2 || contour.area() <= 0.0 {
            return Err(PuzzleError::BoardNotWhole { outlines: 0 });
        }
        let line = Polyline::of(&segments, TOLERANCE);
        // What was left out was not quite nothing: close the gaps.
        let start = segments[0].start();
        join(&mut segments, [start, start]);
        let lengths = running(segments.iter().map(|s| s.arclen(LENGTH_ERROR)));
        let areas = running(segments.iter().map(ParamCurveArea::signed_area));
        let mut ring =
            Self { segments, bounds: contour.bounding_box(), line, corners: Vec::new(), lengths, areas };
        ring.corners = ring.find_corners();
        Ok(ring)
    }

    /// The box around it.
    pub(super) fn bounds(&self) -> Rect {
        self.bounds
    }

    /// The enclosed area, mm².
    pub(super) fn area(&self) -> f64 {
        self.whole().area()
    }

    /// The whole ring.
    pub(super) fn whole(&self) -> BezPath {
        let mut path = BezPath::from_path_segments(self.segments.iter().copied());
        path.close_path();
        path
    }

    /// Where a straight line crosses it, in order along the line.
    pub(super) fn crossings(&self, line: Line) -> Vec<Hit> {
        let mut found: Vec<(f64, Hit)> = Vec::new();
        for (index, segment) in self.segments.iter().enumerate() {
            for hit in segment.intersect_line(line) {
                let t = hit.segment_t.clamp(0.0, 1.0);
                found.push((hit.line_t, self.hit(index, t)));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.dedup_by(|a, b| a.1.at.distance(b.1.at) < SAME);
        found.into_iter().map(|(_, hit)| hit).collect()
    }

    fn hit(&self, index: usize, t: f64) -> Hit {
        Hit { at: self.segments[index].eval(t), place: (index as f64 + t) % self.segments.len() as f64 }
    }

    /// The point at a place.
    pub(super) fn at(&self, place: f64) -> Point {
        let (index, t) = self.split(place);
        self.segments[index].eval(t)
    }

    /// The unit tangents with which the ring arrives at a place and leaves it; they differ at a corner.
    pub(super) fn tangents(&self, place: f64) -> [Vec2; 2] {
        let (index, t) = self.split(place);
        let before =
            if t > 0.0 { (index, t) } else { ((index + self.segments.len() - 1) % self.segments.len(), 1.0) };
        [before, (index, t)].map(|(index, t)| tangent(&self.segments[index], t))
    }

    fn split(&self, place: f64) -> (usize, f64) {
        let index = (place.floor() as usize).min(self.segments.len() - 1);
        (index, place - index as f64)
    }

    /// Whether a point lies inside.
    pub(super) fn contains(&self, point: Point) -> bool {
        self.bounds.contains(point) && encloses(&self.line.points, point)
    }

    /// The ring flattened.
    pub(super) fn line(&self) -> &Polyline {
        &self.line
    }

    /// The corners of the outline.
    pub(super) fn corners(&self) -> &[Corner] {
        &self.corners
    }

    fn find_corners(&self) -> Vec<Corner> {
        let corner = |index: usize| {
            let place = index as f64;
            let [arriving, leaving] = self.tangents(place);
            let turn = libm::atan2(arriving.cross(leaving), arriving.dot(leaving)).to_degrees();
            (turn.abs() > SHARP).then(|| Corner { at: self.at(place), place, convex: turn > 0.0 })
        };
        (0..self.segments.len()).filter_map(corner).collect()
    }

    /// The place that lies `way` mm further along; negative goes back.
    pub(super) fn slide(&self, place: f64, way: f64) -> f64 {
        let (index, t) = self.split(place);
        let whole = self.lengths[self.segments.len()];
        let here = self.lengths[index] + t * (self.lengths[index + 1] - self.lengths[index]);
        let to = (here + way).rem_euclid(whole);
        let found = self.lengths.partition_point(|&l| l <= to).clamp(1, self.segments.len()) - 1;
        let length = self.lengths[found + 1] - self.lengths[found];
        // Short of the segment's end, which would be the next one's start.
        found as f64 + ((to - self.lengths[found]) / length).clamp(0.0, 1.0 - 1e-9)
    }

    /// The signed area between the stretch from one place to another and the origin, mm².
    pub(super) fn area_between(&self, from: f64, to: f64) -> f64 {
        let up_to = |place: f64| {
            let (index, t) = self.split(place);
            self.areas[index] + self.segments[index].subsegment(0.0..t).signed_area()
        };
        let whole = if to > from { 0.0 } else { self.areas[self.segments.len()] };
        up_to(to) - up_to(from) + whole
    }

    /// The stretch from one place on to another, past the ring's start if need be; its ends are `ends` exactly.
    pub(super) fn stretch(&self, from: f64, to: f64, ends: [Point; 2]) -> Vec<PathSeg> {
        let count = self.segments.len();
        let (first, last) = (from.floor() as usize, to.floor() as usize);
        let steps = if to > from { last - first } else { count - first + last };
        let mut parts = Vec::with_capacity(steps + 1);
        for step in 0..=steps {
            let index = (first + step) % count;
            let start = if step == 0 { from - from.floor() } else { 0.0 };
            let end = if step == steps { to - to.floor() } else { 1.0 };
            if end > start {
                parts.push(self.segments[index].subsegment(start..end));
            }
        }
        parts.retain(|s| s.start().distance(s.end()) > SAME);
        join(&mut parts, ends);
        parts
    }
}

/// The running sums of some numbers, from 0 to the whole sum.
fn running(numbers: impl Iterator<Item = f64>) -> Vec<f64> {
    let sums = numbers.scan(0.0, |sum, n| {
        *sum += n;
        Some(*sum)
    });
    std::iter::once(0.0).chain(sums).collect()
}

fn tangent(segment: &PathSeg, t: f64) -> Vec2 {
    // A handle of no length leaves no direction at its end: look a little further in.
    let inside = t.clamp(1e-6, 1.0 - 1e-6);
    let along = match segment {
        PathSeg::Line(line) => line.p1 - line.p0,
        PathSeg::Quad(quad) => quad.deriv().eval(inside).to_vec2(),
        PathSeg::Cubic(cubic) => cubic.deriv().eval(inside).to_vec2(),
    };
    along / along.hypot().max(f64::MIN_POSITIVE)
}

/// Makes a chain of segments meet exactly: each starts where the one before ended.
fn join(parts: &mut [PathSeg], ends: [Point; 2]) {
    let mut at = ends[0];
    let last = parts.len().saturating_sub(1);
    for (index, part) in parts.iter_mut().enumerate() {
        let end = if index == last { ends[1] } else { part.end() };
        match part {
            PathSeg::Line(line) => (line.p0, line.p1) = (at, end),
            PathSeg::Quad(quad) => (quad.p0, quad.p2) = (at, end),
            PathSeg::Cubic(cubic) => (cubic.p0, cubic.p3) = (at, end),
        }
        at = end;
    }
}
