//! The reference library (GEOS) in the kernel's terms, and the real outlines both are run on.

use geos::{CoordSeq, Geom, Geometry, GeometryTypes};
use kerfbook::geometry::{FillRule, Region};
use kurbo::{Affine, BezPath, PathEl, PathSeg, Point, Shape};

/// A real outline, see the head of `fixtures/geometry/outlines.txt`.
pub struct Outline {
    pub name: &'static str,
    pub rule: FillRule,
    pub path: BezPath,
}

/// The hundred outlines, in a frame of 48 mm.
pub fn outlines() -> Vec<Outline> {
    let text = include_str!("../fixtures/geometry/outlines.txt");
    let lines = text.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
    lines
        .map(|line| {
            let fields: Vec<&str> = line.split('\t').collect();
            let rule = if fields[1] == "evenodd" { FillRule::EvenOdd } else { FillRule::NonZero };
            Outline { name: fields[0], rule, path: BezPath::from_svg(fields[2]).expect("path data") }
        })
        .collect()
}

/// The path with its curves as chords that keep within `tolerance` (mm), by kurbo.
pub fn chords(path: &BezPath, tolerance: f64) -> BezPath {
    let mut flat = BezPath::new();
    kurbo::flatten(path.iter(), tolerance, |element| flat.push(element));
    flat
}

/// The corners of each subpath, first repeated as last.
pub fn rings(flat: &BezPath) -> Vec<Vec<Point>> {
    let mut rings: Vec<Vec<Point>> = Vec::new();
    for element in flat.elements() {
        match *element {
            PathEl::MoveTo(p) => rings.push(vec![p]),
            PathEl::LineTo(p) => rings.last_mut().expect("a start").push(p),
            PathEl::ClosePath => {}
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => panic!("curves are flattened first"),
        }
    }
    for ring in &mut rings {
        ring.dedup();
        if ring.first() != ring.last() {
            ring.push(ring[0]);
        }
    }
    rings
}

fn sequence(points: &[Point]) -> CoordSeq {
    let pairs: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
    CoordSeq::new_from_vec(&pairs).expect("coordinates")
}

fn empty() -> Geometry {
    Geometry::create_empty_polygon().expect("an empty polygon")
}

/// A region as GEOS sees it: its contours count by parity.
///
/// Each contour must be a valid ring by itself. Curves that were kept may loop within the flattening
/// tolerance, which chords of a finer tolerance show; such a loop is mended.
pub fn of_region(region: &Region) -> Geometry {
    let polygons = region.contours().iter().map(|contour| {
        let ring = rings(&chords(contour, 1e-4)).remove(0);
        let ring = Geometry::create_linear_ring(sequence(&ring)).expect("a ring");
        let polygon = Geometry::create_polygon(ring, Vec::new()).expect("a polygon");
        let valid = polygon.is_valid().expect("an answer");
        let straight = contour.segments().all(|s| matches!(s, PathSeg::Line(_)));
        assert!(valid || !straight, "{} {}", contour.to_svg(), polygon.is_valid_reason().expect("a reason"));
        if valid { polygon } else { polygon.buffer(0.0, 8).expect("a mended polygon") }
    });
    polygons.fold(empty(), |sum, p| sum.sym_difference(&p).expect("a difference"))
}

/// The area a flat path encloses: its lines are noded, and the faces between them asked one by one.
pub fn of_path(flat: &BezPath, rule: FillRule) -> Geometry {
    let lines = rings(flat)
        .iter()
        .filter(|r| r.len() > 1)
        .map(|r| Geometry::create_line_string(sequence(r)).expect("a line"))
        .collect();
    let noded = Geometry::create_multiline_string(lines).and_then(|l| l.unary_union()).expect("noded lines");
    let faces = Geometry::polygonize(&[noded]).expect("faces");
    let inside: Vec<Geometry> = (0..faces.get_num_geometries().expect("a count"))
        .map(|i| faces.get_geometry_n(i).and_then(|f| Geom::clone(&f)).expect("a face"))
        .filter(|face| {
            let at = face.point_on_surface().expect("a point");
            let at = Point::new(at.get_x().expect("x"), at.get_y().expect("y"));
            let winding = flat.winding(at);
            match rule {
                FillRule::NonZero => winding != 0,
                FillRule::EvenOdd => winding % 2 != 0,
            }
        })
        .collect();
    assert!(inside.iter().all(|f| f.geometry_type().expect("a type") == GeometryTypes::Polygon));
    Geometry::create_multipolygon(inside).and_then(|m| m.unary_union()).expect("a union")
}

/// The area (mm²) that only one of the two covers.
pub fn difference(found: &Region, expected: &Geometry) -> f64 {
    of_region(found).sym_difference(expected).and_then(|d| d.area()).expect("an area")
}

/// Moves a path by millimetres.
pub fn moved(path: &BezPath, x: f64, y: f64) -> BezPath {
    Affine::translate((x, y)) * path.clone()
}

/// What flat open lines ink.
pub fn stroke(flat: &BezPath, width: f64, cap: geos::CapStyle, join: geos::JoinStyle) -> Geometry {
    let points = |e: &PathEl| match *e {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => p,
        _ => panic!("one open flat line"),
    };
    let mut line: Vec<Point> = flat.elements().iter().map(points).collect();
    line.dedup();
    let line = Geometry::create_line_string(sequence(&line)).expect("a line");
    line.buffer_with_style(width / 2.0, 48, cap, join, 4.0).expect("a buffer")
}

/// Flat subpaths as lines; all of them are taken for closed.
pub fn lines(flat: &BezPath) -> Geometry {
    let lines = rings(flat).iter().map(|r| Geometry::create_line_string(sequence(r)).expect("a line")).collect();
    Geometry::create_multiline_string(lines).expect("lines")
}

/// A point.
pub fn point(at: Point) -> Geometry {
    Geometry::create_point(sequence(&[at])).expect("a point")
}
