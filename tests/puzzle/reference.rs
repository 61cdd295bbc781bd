//! GEOS, the reference library, and our paths in its terms.

use geos::{CoordSeq, Geom, Geometry};
use kerfbook::geometry::Region;
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, PathSeg, Point, Shape};

/// The points of a path: corners, and about one a millimetre on a curve, the same whichever way it runs.
pub fn points(path: &BezPath) -> Vec<Point> {
    let mut points: Vec<Point> = path.segments().next().map(|s| s.start()).into_iter().collect();
    for segment in path.segments() {
        let count = if matches!(segment, PathSeg::Line(_)) { 1 } else { 12 + segment.arclen(1e-3).round() as u32 };
        points.extend((1..count).map(|k| segment.eval(f64::from(k) / f64::from(count))));
        points.push(segment.end());
    }
    points.dedup();
    points
}

fn sequence(points: &[Point]) -> CoordSeq {
    CoordSeq::new_from_vec(&points.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>()).unwrap()
}

/// A line in GEOS.
pub fn line(path: &BezPath) -> Geometry {
    Geometry::create_line_string(sequence(&points(path))).unwrap()
}

/// An area of one outline, with holes or without, in GEOS.
pub fn area(region: &Region) -> Geometry {
    let ring = |contour: &BezPath| {
        let mut points = points(contour);
        points.push(points[0]);
        points.dedup();
        Geometry::create_linear_ring(sequence(&points)).unwrap()
    };
    let mut contours: Vec<&BezPath> = region.contours().iter().collect();
    contours.sort_by(|a, b| b.area().abs().total_cmp(&a.area().abs()));
    Geometry::create_polygon(ring(contours[0]), contours[1..].iter().map(|c| ring(c)).collect()).unwrap()
}

/// A polygon of one outline, moved.
pub fn moved(polygon: &Geometry, x: f64, y: f64) -> Geometry {
    let sequence = polygon.get_exterior_ring().unwrap().get_coord_seq().unwrap();
    let count = sequence.size().unwrap();
    let at = |n| [sequence.get_x(n).unwrap() + x, sequence.get_y(n).unwrap() + y];
    let shifted = CoordSeq::new_from_vec(&(0..count).map(at).collect::<Vec<_>>()).unwrap();
    Geometry::create_polygon(Geometry::create_linear_ring(shifted).unwrap(), vec![]).unwrap()
}

/// The parts of a collection.
pub fn parts(collection: &Geometry) -> Vec<Geometry> {
    let count = collection.get_num_geometries().unwrap();
    (0..count).map(|n| Geom::clone(&collection.get_geometry_n(n).unwrap()).unwrap()).collect()
}

/// All lines split where they meet.
pub fn noded(lines: Vec<Geometry>) -> Geometry {
    Geometry::create_geometry_collection(lines).unwrap().unary_union().unwrap()
}

/// The faces that split lines enclose; those of no area are rounding at crossings.
pub fn faces(noded: &Geometry) -> Vec<Geometry> {
    let found = parts(&Geometry::polygonize(&[noded]).unwrap());
    found.into_iter().filter(|f| f.area().unwrap() > 1e-6).collect()
}
