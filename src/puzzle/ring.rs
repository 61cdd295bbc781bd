//! A closed outline with places along it.
//!
//! A place is the number of a segment plus the parameter on it: `2.5` is the middle of the third segment.
//! Rings run so that their area is positive; with y down that is clockwise on the screen.

use super::PuzzleError;
use crate::geometry::Region;
use kurbo::{BezPath, Line, ParamCurve, ParamCurveDeriv, PathSeg, Point, Rect, Shape, Vec2};

/// Two points nearer than this (mm) are one point of an outline.
const SAME: f64 = 1e-9;

/// The outline of a board.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    segments: Vec<PathSeg>,
    bounds: Rect,
}

/// A point of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hit {
    /// Where it is.
    pub at: Point,
    /// Where it is along the ring.
    pub place: f64,
    /// Unit tangent of the ring there.
    pub tangent: Vec2,
}

impl Ring {
    /// The outline of a board without holes.
    pub(super) fn of(board: &Region) -> Result<Self, PuzzleError> {
        let [contour] = board.contours() else {
            return Err(PuzzleError::BoardNotWhole { outlines: board.contours().len() });
        };
        let contour = if contour.area() < 0.0 { contour.reverse_subpaths() } else { contour.clone() };
        let segments: Vec<_> = contour.segments().filter(|s| s.start().distance(s.end()) > SAME).collect();
        if segments.len() < 2 || contour.area() <= 0.0 {
            return Err(PuzzleError::BoardNotWhole { outlines: 0 });
        }
        Ok(Self { segments, bounds: contour.bounding_box() })
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
        let segment = &self.segments[index];
        let tangent = match segment {
            PathSeg::Line(line) => line.p1 - line.p0,
            PathSeg::Quad(quad) => quad.deriv().eval(t).to_vec2(),
            PathSeg::Cubic(cubic) => cubic.deriv().eval(t).to_vec2(),
        };
        Hit {
            at: segment.eval(t),
            place: index as f64 + t,
            tangent: tangent / tangent.hypot().max(f64::MIN_POSITIVE),
        }
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
