//! Lines widened to areas, as a pen of some width would ink them.

use super::offset::{self, Aside, Beside, Outline};
use super::{Corners, GeometryError, Line, Region, crossings, flatten};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Shape, Vec2};

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

/// Crossings of the ways along lines, there and back, of which each takes some 10 µs and 1 kB; two lines cross four times.
const MOST_CROSSINGS: f64 = 1e6;

impl Region {
    /// The area that drawn lines ink, each at its own width and with its own pen. Lines without a width ink nothing.
    ///
    /// # Errors
    /// Refuses what [`Region::from_path`] refuses, and lines that cross each other hundreds of thousands of times.
    pub fn from_strokes(lines: &[Line]) -> Result<Self, GeometryError> {
        let mut all = Vec::new();
        for line in lines {
            if let Some(width) = line.width {
                all.extend(asides(&line.path, width, line.pen.corners, line.pen.caps)?);
            }
        }
        let round = |outline: &Outline| outline.points.iter().chain(outline.points.first()).copied().collect();
        let chains: Vec<Vec<Point>> = all.iter().map(|(outline, _)| round(outline)).collect();
        if crossings::exceed(&chains, MOST_CROSSINGS) {
            return Err(GeometryError::TooMany);
        }
        Ok(offset::about_lines(&all))
    }

    /// The area that one path inks at a width.
    ///
    /// # Errors
    /// Refuses what [`Region::from_path`] refuses, and a width that is not finite or over 10 m.
    pub fn from_stroke(path: &BezPath, width: Mm, corners: Corners, caps: Caps) -> Result<Self, GeometryError> {
        Ok(offset::about_lines(&asides(path, width, corners, caps)?))
    }
}

/// What is to be offset to ink one path, all of it to the right.
fn asides(path: &BezPath, width: Mm, corners: Corners, caps: Caps) -> Result<Vec<Aside>, GeometryError> {
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
    let outlines = flatten::subpaths(path).into_iter().flat_map(|s| outlines(&s, caps));
    Ok(outlines.map(|outline| (outline, beside)).collect())
}

/// The outlines of one subpath: two of a closed one, one round an open one.
fn outlines(subpath: &BezPath, caps: Caps) -> Vec<Outline> {
    let closed = flatten::is_closed(subpath);
    if let Some(there) = Outline::of_contour(subpath).filter(|o| closed && o.points.len() > 2) {
        let back = there.reversed();
        return vec![there, back];
    }
    match Outline::round_line(subpath, caps) {
        Some(outline) => vec![outline],
        // A line of no length inks a disc or an upright square (SVG 2, 13.5.5), or nothing.
        None if caps == Caps::Butt => Vec::new(),
        None => {
            subpath.elements().first().and_then(PathEl::end_point).map(dot(caps)).into_iter().flatten().collect()
        }
    }
}

/// A dot as a line that is too short to be seen.
fn dot(caps: Caps) -> impl Fn(Point) -> Option<Outline> {
    move |at| Outline::round_line(&kurbo::Line::new(at, at + Vec2::new(SHORT, 0.0)).to_path(SHORT), caps)
}

/// The length of a dot in mm: what the lattice cannot tell from none.
const SHORT: f64 = 1e-6;
