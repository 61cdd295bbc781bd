//! The closed lines that bound the cells of a puzzle, with places along them.
//!
//! The first ring is the board's outline; the others lie inside it: holes, and whimsies, which are pieces of a given
//! outline. A place is the number of a segment, counted through all rings, plus the parameter on it: `2.5` is the middle
//! of the third segment. All rings keep the cells on the same side: the outline runs so that its area is positive (with
//! y down that is clockwise on the screen), the others the other way round.

use super::PuzzleError;
use super::polyline::{Polyline, encloses};
use crate::geometry::Region;
use crate::units::Mm;
use kurbo::{
    BezPath, Line, ParamCurve, ParamCurveArclen, ParamCurveArea, ParamCurveDeriv, PathSeg, Point, Rect, Shape,
    Vec2,
};
use std::ops::Range;

/// Two points nearer than this (mm) are one point of an outline.
const SAME: f64 = 1e-9;
/// An outline that turns by more than this at a point, degrees, has a corner there.
const SHARP: f64 = 20.0;
/// How well the length of a segment is known, mm.
const LENGTH_ERROR: f64 = 1e-3;
/// How near the flattened ring is to the curve, mm.
const TOLERANCE: f64 = 0.02;

/// All rings of a board.
#[derive(Clone, Debug)]
pub(super) struct Rings {
    all: Vec<Ring>,
    segments: Vec<PathSeg>,
    bounds: Rect,
    corners: Vec<Corner>,
    /// For each segment, length and signed area of all before it; one more for the whole.
    lengths: Vec<f64>,
    areas: Vec<f64>,
}

/// One ring.
#[derive(Clone, Debug)]
struct Ring {
    role: Role,
    /// Which whimsy of those asked for it belongs to.
    whimsy: usize,
    /// Its segments among those of all rings.
    segments: Range<usize>,
    line: Polyline,
}

/// What lies on the other side of a ring than the cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// Everything outside the board.
    Outline,
    /// Nothing: a hole in the board.
    Hole,
    /// A piece whose outline is given.
    Whimsy,
}

/// A corner of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    /// Where it is.
    pub at: Point,
    /// Where it is along the ring.
    pub place: f64,
    /// Whether the cell in it is narrower than a straight angle: true for the corners of a square board, false for those
    /// of a square hole.
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

impl Rings {
    /// The rings of a board that is one area, and of the whimsies set into it.
    pub(super) fn of(board: &Region, whimsies: &[Region]) -> Result<Self, PuzzleError> {
        let (outlines, holes) = sides(board);
        let [outline] = &outlines[..] else {
            return Err(PuzzleError::BoardNotWhole { outlines: outlines.len() });
        };
        let mut rings = Self {
            all: Vec::new(),
            segments: Vec::new(),
            bounds: outline.bounding_box(),
            corners: Vec::new(),
            lengths: vec![0.0],
            areas: vec![0.0],
        };
        if !rings.add(Role::Outline, 0, outline) {
            return Err(PuzzleError::BoardNotWhole { outlines: 0 });
        }
        for hole in &holes {
            rings.add(Role::Hole, 0, hole);
        }
        for (index, whimsy) in whimsies.iter().enumerate() {
            let (pieces, holes) = sides(whimsy);
            let whole = !pieces.is_empty() && holes.is_empty();
            if !whole || !pieces.iter().all(|c| rings.add(Role::Whimsy, index, &c.reverse_subpaths())) {
                return Err(PuzzleError::WhimsyNotWhole { index });
            }
        }
        rings.corners = rings.find_corners();
        Ok(rings)
    }

    /// Adds one ring; false when there is nothing to it.
    fn add(&mut self, role: Role, whimsy: usize, contour: &BezPath) -> bool {
        let mut segments: Vec<_> = contour.segments().filter(|s| s.start().distance(s.end()) > SAME).collect();
        if segments.len() < 2 || contour.area() == 0.0 {
            return false;
        }
        let line = Polyline::of(&segments, TOLERANCE);
        // What was left out was not quite nothing: close the gaps.
        let start = segments[0].start();
        join(&mut segments, [start, start]);
        extend(&mut self.lengths, segments.iter().map(|s| s.arclen(LENGTH_ERROR)));
        extend(&mut self.areas, segments.iter().map(ParamCurveArea::signed_area));
        let first = self.segments.len();
        self.segments.extend(segments);
        self.all.push(Ring { role, whimsy, segments: first..self.segments.len(), line });
        true
    }

    /// Refuses whimsies that do not lie inside the board, `least` mm from all other rings.
    pub(super) fn keep_apart(&self, least: f64) -> Result<(), PuzzleError> {
        // Chords of at most this length cannot cross without a point of one being nearer to the other than `least`.
        let dense: Vec<Polyline> = self.all.iter().map(|r| r.line.dense(least)).collect();
        for (k, whimsy) in self.all.iter().enumerate().filter(|(_, r)| r.role == Role::Whimsy) {
            let start = whimsy.line.points[0];
            let lies_in = |r: &Ring| encloses(&r.line.points, start) == (r.role == Role::Outline);
            let others = || self.all.iter().enumerate().filter(|&(other, _)| other != k);
            let nearest = others()
                .filter_map(|(other, _)| dense[k].nearest(&dense[other], least, |_, _| true))
                .min_by(|a, b| a.distance.total_cmp(&b.distance));
            let outside = others().any(|(_, r)| !lies_in(r));
            let at = if outside { Some(start) } else { nearest.map(|n| n.ends[0]) };
            if let Some(at) = at {
                let (index, least) = (whimsy.whimsy, Mm::new(least));
                return Err(PuzzleError::WhimsyTooNear { index, at, is_outside: outside, least });
            }
        }
        Ok(())
    }

    /// The box around all.
    pub(super) fn bounds(&self) -> Rect {
        self.bounds
    }

    /// The area of all cells, mm²: without holes and whimsies.
    pub(super) fn area(&self) -> f64 {
        self.areas[self.segments.len()]
    }

    /// The area of the board without its holes, mm².
    pub(super) fn board_area(&self) -> f64 {
        let whimsies = self.all.iter().filter(|r| r.role == Role::Whimsy);
        self.area() - whimsies.map(|r| self.areas[r.segments.end] - self.areas[r.segments.start]).sum::<f64>()
    }

    /// Whether there are neither holes nor whimsies.
    pub(super) fn are_only_the_outline(&self) -> bool {
        self.all.len() == 1
    }

    /// The middle of the first hole that is less than `least` mm across.
    pub(super) fn hole_below(&self, least: f64) -> Option<Point> {
        let holes = self.all.iter().filter(|r| r.role == Role::Hole);
        let mut boxes = holes.map(|r| {
            r.line.points.iter().fold(Rect::from_points(r.line.points[0], r.line.points[0]), |b, &p| b.union_pt(p))
        });
        boxes.find(|b| b.size().max_side() < least).map(|b| b.center())
    }

    /// How many rings have this role.
    pub(super) fn count(&self, role: Role) -> usize {
        self.all.iter().filter(|r| r.role == role).count()
    }

    /// The lines round the whimsies.
    pub(super) fn whimsies(&self) -> impl Iterator<Item = BezPath> {
        self.all.iter().filter(|r| r.role == Role::Whimsy).map(|ring| {
            let mut path = BezPath::from_path_segments(self.segments[ring.segments.clone()].iter().copied());
            path.close_path();
            path
        })
    }

    /// What each ring is and the first of its segments.
    pub(super) fn roles(&self) -> impl Iterator<Item = (Role, Range<f64>)> {
        self.all.iter().map(|r| (r.role, r.segments.start as f64..r.segments.end as f64))
    }

    /// Where a straight line crosses them, in order along the line.
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
        let Range { start, end } = self.ring_of(index);
        let place = index as f64 + t;
        Hit { at: self.segments[index].eval(t), place: if place < end as f64 { place } else { start as f64 } }
    }

    /// The point at a place.
    pub(super) fn at(&self, place: f64) -> Point {
        let (index, t) = self.split(place);
        self.segments[index].eval(t)
    }

    /// The unit tangents with which its ring arrives at a place and leaves it; they differ at a corner.
    pub(super) fn tangents(&self, place: f64) -> [Vec2; 2] {
        let (index, t) = self.split(place);
        let Range { start, end } = self.ring_of(index);
        let before = match (t > 0.0, index == start) {
            (true, _) => (index, t),
            (false, true) => (end - 1, 1.0),
            (false, false) => (index - 1, 1.0),
        };
        [before, (index, t)].map(|(index, t)| tangent(&self.segments[index], t))
    }

    fn split(&self, place: f64) -> (usize, f64) {
        let index = (place.floor() as usize).min(self.segments.len() - 1);
        (index, place - index as f64)
    }

    /// The segments of the ring that one of them belongs to.
    fn ring_of(&self, segment: usize) -> Range<usize> {
        let ring = self.all.partition_point(|r| r.segments.end <= segment).min(self.all.len() - 1);
        self.all[ring].segments.clone()
    }

    /// Whether a point lies where cells are.
    pub(super) fn contains(&self, point: Point) -> bool {
        let within = |r: &Ring| encloses(&r.line.points, point);
        self.bounds.contains(point)
            && self.all.iter().all(|r| if r.role == Role::Outline { within(r) } else { !within(r) })
    }

    /// The rings flattened.
    pub(super) fn lines(&self) -> impl Iterator<Item = (Role, &Polyline)> {
        self.all.iter().map(|r| (r.role, &r.line))
    }

    /// The corners of all rings.
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
        let Range { start, end } = self.ring_of(index);
        let whole = self.lengths[end] - self.lengths[start];
        let here = self.lengths[index] - self.lengths[start] + t * (self.lengths[index + 1] - self.lengths[index]);
        let to = self.lengths[start] + (here + way).rem_euclid(whole);
        let before = self.lengths[start..=end].partition_point(|&l| l <= to).clamp(1, end - start) - 1;
        let found = start + before;
        let length = self.lengths[found + 1] - self.lengths[found];
        // Short of the segment's end, which would be the next one's start.
        found as f64 + ((to - self.lengths[found]) / length).clamp(0.0, 1.0 - 1e-9)
    }

    /// The signed area between the stretch from one place to another of the same ring and the origin, mm².
    pub(super) fn area_between(&self, from: f64, to: f64) -> f64 {
        let up_to = |place: f64| {
            let (index, t) = self.split(place);
            self.areas[index] + self.segments[index].subsegment(0.0..t).signed_area()
        };
        let Range { start, end } = self.ring_of(self.split(from).0);
        let whole = if to > from { 0.0 } else { self.areas[end] - self.areas[start] };
        up_to(to) - up_to(from) + whole
    }

    /// The stretch from one place on to another, past its ring's start if need be; its ends are `ends` exactly.
    pub(super) fn stretch(&self, from: f64, to: f64, ends: [Point; 2]) -> Vec<PathSeg> {
        let ring = self.ring_of(self.split(from).0);
        let count = ring.len();
        let (first, last) = (from.floor() as usize, to.floor() as usize);
        let steps = if to > from { last - first } else { count + last - first };
        let mut parts = Vec::with_capacity(steps + 1);
        for step in 0..=steps {
            let index = ring.start + (first - ring.start + step) % count;
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

/// The outer contours of a region, with positive areas, and its holes, with negative ones.
fn sides(region: &Region) -> (Vec<BezPath>, Vec<BezPath>) {
    // Outer contours and holes wind against each other, but either may be the positive ones; the largest is an outer one.
    let largest = region.contours().iter().map(Shape::area).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let backwards = largest.is_some_and(|area| area < 0.0);
    let turned = |c: &BezPath| if backwards { c.reverse_subpaths() } else { c.clone() };
    region.contours().iter().map(turned).partition(|c| c.area() > 0.0)
}

/// Goes on with running sums, of which there is at least one.
fn extend(sums: &mut Vec<f64>, numbers: impl Iterator<Item = f64>) {
    let mut sum = sums[sums.len() - 1];
    sums.extend(numbers.map(|n| {
        sum += n;
        sum
    }));
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
