//! The same polygons for GEOS, for Clipper2 and for us.

use clipper2::PointScaler;
use geos::{CoordSeq, Geom, Geometry};
use kerfbook::geometry::{FillRule, Region};
use kurbo::{BezPath, PathEl, Point};

/// Clipper2 works on whole numbers; these are steps of 0.0001 mm, as ours are.
#[derive(Clone, Copy, Debug, Default, Hash, PartialEq)]
pub struct Steps;

impl PointScaler for Steps {
    const MULTIPLIER: f64 = 10_000.0;
}

/// Areas as Clipper2 takes them.
pub type Paths = clipper2::Paths<Steps>;

/// One area, for each contender: cleaned by us, so that all of them start from the same valid polygons.
pub struct Same {
    pub ours: Region,
    pub geos: Geometry,
    pub clipper: Paths,
}

impl Same {
    /// The area of a path, its curves flattened to the kernel's tolerance first.
    pub fn of(path: &BezPath, rule: FillRule) -> Self {
        let ours = Region::from_path(&flat(path), rule).expect("a sound path");
        let corners: Vec<Vec<Point>> = ours.contours().iter().map(corners).collect();
        let clipper = corners.iter().map(|c| c.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>()).collect::<Vec<_>>();
        Self { geos: polygons(&ours), clipper: clipper.into(), ours }
    }
}

/// A path as chords within the kernel's tolerance.
pub fn flat(path: &BezPath) -> BezPath {
    flat_to(path, 0.002)
}

/// A path as chords within a tolerance (mm).
pub fn flat_to(path: &BezPath, tolerance: f64) -> BezPath {
    let mut flat = BezPath::new();
    kurbo::flatten(path.iter(), tolerance, |e| flat.push(e));
    flat
}

/// The corners of a flat contour.
pub fn corners(contour: &BezPath) -> Vec<Point> {
    contour.elements().iter().filter_map(PathEl::end_point).collect()
}

/// A point.
pub fn point(at: Point) -> Geometry {
    Geometry::create_point(sequence(&[at])).expect("a point")
}

/// A line through points.
fn line(points: &[Point]) -> Geometry {
    Geometry::create_line_string(sequence(points)).expect("a line")
}

/// Lines through points, as one geometry.
pub fn lines(all: impl Iterator<Item = Vec<Point>>) -> Geometry {
    Geometry::create_multiline_string(all.map(|l| line(&l)).collect()).expect("lines")
}

fn sequence(points: &[Point]) -> CoordSeq {
    let pairs: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
    CoordSeq::new_from_vec(&pairs).expect("coordinates")
}

fn ring(contour: &BezPath) -> Geometry {
    let mut points = corners(contour);
    points.push(points[0]);
    Geometry::create_linear_ring(sequence(&points)).expect("a ring")
}

/// An outer contour and its holes as a valid polygon.
pub fn polygon(contours: &[BezPath]) -> Geometry {
    let mut rings = contours.iter().map(ring);
    let outer = rings.next().expect("an outer contour");
    let polygon = Geometry::create_polygon(outer, rings.collect()).expect("a polygon");
    if polygon.is_valid().expect("an answer") { polygon } else { polygon.make_valid().expect("a mended area") }
}

/// A region of chords as polygons: one for each part.
pub fn polygons(region: &Region) -> Geometry {
    let parts = region.parts().iter().map(|part| polygon(part.contours())).collect();
    Geometry::create_geometry_collection(parts).and_then(|all| all.unary_union()).expect("an area")
}
