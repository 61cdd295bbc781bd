//! Lines widened to areas, as a pen of some width would ink them.

use super::beside::{Beside, arc};
use super::boolean::Originals;
use super::grid::{Node, Ring};
use super::offset::thinned;
use super::{Corners, GeometryError, Line, Region, boolean, flatten};
use crate::units::Mm;
use kurbo::{BezPath, Point, Vec2};

/// What the end of a widened line looks like (SVG `stroke-linecap`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caps {
    /// Cut off at the end.
    Butt,
    /// A half disc about the end.
    Round,
    /// Half the width longer.
    Square,
}

impl Region {
    /// The area that drawn lines ink, each at its own width and with its own pen. Lines without a width ink nothing.
    ///
    /// # Errors
    /// Refuses what [`Region::from_path`] refuses.
    pub fn from_strokes(lines: &[Line]) -> Result<Self, GeometryError> {
        let mut rings = Vec::new();
        for line in lines {
            if let Some(width) = line.width {
                rings.extend(stroke_rings(&line.path, width, line.pen.corners, line.pen.caps)?);
            }
        }
        Ok(boolean::region_of_fine_rings(&rings, &Originals::new()))
    }

    /// The area that one path inks at a width.
    ///
    /// # Errors
    /// Refuses what [`Region::from_path`] refuses, and a width that is not finite or over 10 m.
    pub fn from_stroke(path: &BezPath, width: Mm, corners: Corners, caps: Caps) -> Result<Self, GeometryError> {
        Ok(boolean::region_of_fine_rings(&stroke_rings(path, width, corners, caps)?, &Originals::new()))
    }
}

/// Rings on the fine lattice that wind positively about the inked area.
fn stroke_rings(path: &BezPath, width: Mm, corners: Corners, caps: Caps) -> Result<Vec<Ring>, GeometryError> {
    flatten::check(path)?;
    if !width.get().is_finite() {
        return Err(GeometryError::NotFinite);
    }
    if width.get() > 10_000.0 {
        return Err(GeometryError::TooFar);
    }
    if width.get() <= 0.0 {
        return Ok(Vec::new());
    }
    let beside = Beside { distance: width.get() / 2.0, corners };
    let outlines = flatten::subpaths(path).into_iter().flat_map(|s| outlines(&s, beside, caps));
    Ok(outlines.map(|o| o.into_iter().map(Node::nearest_fine).collect()).collect())
}

/// The raw outlines of one subpath: two of a closed one, one round an open one.
fn outlines(subpath: &BezPath, beside: Beside, caps: Caps) -> Vec<Vec<Point>> {
    let mut points: Vec<Point> = flatten::chords(subpath);
    points.dedup_by_key(|p| Node::nearest(*p));
    let closed = flatten::is_closed(subpath);
    if let [point] = points[..] {
        return dot(point, beside.distance, caps).into_iter().collect();
    }
    let mut points = thinned(&points);
    if closed && points.len() > 2 {
        points.pop();
        let there = beside.ring(&points);
        points.reverse();
        return vec![there, beside.ring(&points)];
    }
    let mut line = Vec::new();
    for _ in 0..2 {
        beside.chain(&points, &mut line);
        cap(&points, beside.distance, caps, &mut line);
        points.reverse();
    }
    vec![line]
}

/// Goes from the right of the last point round to its left.
fn cap(points: &[Point], half: f64, caps: Caps, line: &mut Vec<Point>) {
    let end = points[points.len() - 1];
    let along = (end - points[points.len() - 2]).normalize() * half;
    let right = Vec2::new(along.y, -along.x);
    match caps {
        Caps::Butt => {}
        Caps::Round => arc(end, right, std::f64::consts::PI, line),
        Caps::Square => line.extend([end + right + along, end - right + along]),
    }
}

/// What a line of no length inks: a disc or an upright square (SVG 2, 13.5.5), or nothing.
fn dot(at: Point, half: f64, caps: Caps) -> Option<Vec<Point>> {
    let mut line = Vec::new();
    match caps {
        Caps::Butt => return None,
        Caps::Round => arc(at, Vec2::new(half, 0.0), std::f64::consts::TAU, &mut line),
        Caps::Square => {
            line.extend([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|d| at + Vec2::from(d) * half));
        }
    }
    Some(line)
}
