//! The reference library (GEOS) in the kernel's terms, and the real outlines both are run on.

use geos::{CapStyle, CoordSeq, Geom, Geometry, GeometryTypes, JoinStyle};
use kerfbook::geometry::{Caps, DEVIATION, FillRule, Region};
use kurbo::{Affine, BezPath, CubicBez, ParamCurve, PathEl, PathSeg, Point, QuadBez};

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

/// The path with its curves as chords that keep within `tolerance` (mm).
///
/// By equal steps of the parameter, as many as Wang's bound asks for; not by kurbo, whose flattening takes a loop that
/// ends where it starts for a point.
pub fn chords(path: &BezPath, tolerance: f64) -> BezPath {
    let mut flat = BezPath::new();
    let mut start = Point::ORIGIN;
    for element in path.elements() {
        match (*element, element.end_point()) {
            (PathEl::QuadTo(a, p), _) => steps(PathSeg::Quad(QuadBez::new(start, a, p)), tolerance, &mut flat),
            (PathEl::CurveTo(a, b, p), _) => {
                steps(PathSeg::Cubic(CubicBez::new(start, a, b, p)), tolerance, &mut flat);
            }
            _ => flat.push(*element),
        }
        start = element.end_point().unwrap_or(start);
    }
    flat
}

fn steps(curve: PathSeg, tolerance: f64, flat: &mut BezPath) {
    let c = curve.to_cubic();
    let bend = |a: Point, b: Point, c: Point| ((a - b) - (b - c)).hypot();
    let count =
        (0.75 * bend(c.p0, c.p1, c.p2).max(bend(c.p1, c.p2, c.p3)) / tolerance).sqrt().ceil().max(1.0) as usize;
    (1..count).for_each(|i| flat.line_to(c.eval(i as f64 / count as f64)));
    flat.line_to(c.p3);
}

/// Nodes nearer than this (mm) to the one before them are the same: what an operation left alone keeps its own
/// coordinates, which may be less than a step of the kernel's lattice apart.
const SAME: f64 = 1e-6;

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
        let is_same = |a: Point, b: Point| a.distance(b) <= SAME;
        ring.dedup_by(|b, a| is_same(*a, *b));
        while ring.len() > 1 && is_same(ring[0], ring[ring.len() - 1]) {
            ring.pop();
        }
        ring.push(ring[0]);
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
/// Each contour must be a valid ring by itself. Coordinates that were kept may cross within the tolerances, which chords
/// of a finer tolerance show; such a crossing is mended. [`sound`] bounds what that may change.
pub fn of_region(region: &Region) -> Geometry {
    let flat = region.contours().iter().map(|contour| rings(&chords(contour, 1e-4)).remove(0));
    let polygons = flat.filter(|ring| ring.len() > 3).map(|ring| {
        let ring = Geometry::create_linear_ring(sequence(&ring)).expect("a ring");
        let polygon = Geometry::create_polygon(ring, Vec::new()).expect("a polygon");
        if polygon.is_valid().expect("an answer") {
            polygon
        } else {
            polygon.make_valid().expect("a mended polygon")
        }
    });
    polygons.fold(empty(), |sum, p| sum.sym_difference(&p).expect("a difference"))
}

/// The area a flat path encloses: its lines are noded, and the faces between them asked one by one.
pub fn of_path(flat: &BezPath, rule: FillRule) -> Geometry {
    let rings = rings(flat);
    let lines = rings
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
            let winding = winding(&rings, Point::new(at.get_x().expect("x"), at.get_y().expect("y")));
            match rule {
                FillRule::NonZero => winding != 0,
                FillRule::EvenOdd => winding % 2 != 0,
            }
        })
        .collect();
    assert!(inside.iter().all(|f| f.geometry_type().expect("a type") == GeometryTypes::Polygon));
    Geometry::create_multipolygon(inside).and_then(|m| m.unary_union()).expect("a union")
}

/// How often rings wind about a point, by the edges that a ray to the left crosses. The ends of an edge count as they
/// are: `kurbo` works them out anew, and rays at their very height slip through between two edges.
fn winding(rings: &[Vec<Point>], at: Point) -> i32 {
    let edges = rings.iter().flat_map(|ring| ring.windows(2));
    let crossing = |p: &[Point]| {
        let rises = p[0].y <= at.y && at.y < p[1].y;
        let falls = p[1].y <= at.y && at.y < p[0].y;
        let side = (p[1] - p[0]).cross(at - p[0]);
        i32::from(rises && side < 0.0) - i32::from(falls && side > 0.0)
    };
    edges.map(crossing).sum()
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

/// What an open line inks with round corners, by the words of SVG: a bar about each chord, at each corner the sector of
/// a disc between the bars' outer sides, and the caps. The buffer of a whole line is no such thing where chords are shorter than the pen is wide.
pub fn inked(flat: &BezPath, width: f64, caps: Caps) -> Geometry {
    let mut corners: Vec<Point> = flat.elements().iter().filter_map(PathEl::end_point).collect();
    corners.dedup();
    let half = width / 2.0;
    let disc = |at: Point| point(at).buffer(half, 64).expect("a disc");
    let bar = |a: Point, b: Point| {
        let line = Geometry::create_line_string(sequence(&[a, b])).expect("a line");
        line.buffer_with_style(half, 64, CapStyle::Flat, JoinStyle::Round, 1.0).expect("a bar")
    };
    let mut parts: Vec<Geometry> = corners.windows(2).map(|p| bar(p[0], p[1])).collect();
    let last = corners.len() - 1;
    parts.extend(corners.windows(3).filter_map(|p| sector(p[0], p[1], p[2], half)));
    for (end, before) in [(corners[0], corners[1]), (corners[last], corners[last - 1])] {
        match caps {
            Caps::Butt => {}
            Caps::Round => parts.push(disc(end)),
            Caps::Square => parts.push(bar(end, end + (end - before).normalize() * half)),
        }
    }
    together(parts)
}

/// The union of areas, noded on a grid of a hundredth of a nanometre: where areas only share edges, the plain union has
/// been seen to lose some of them.
fn together(parts: Vec<Geometry>) -> Geometry {
    Geometry::create_geometry_collection(parts).and_then(|all| all.unary_union_prec(1e-8)).expect("a union")
}

/// The sector of a disc about a corner that the bars on both sides leave open; none where the line goes straight on.
fn sector(before: Point, at: Point, after: Point, half: f64) -> Option<Geometry> {
    let (a, b) = ((at - before).normalize(), (after - at).normalize());
    let turn = libm::atan2(a.cross(b), a.dot(b));
    let side = -half * turn.signum();
    let from = kurbo::Vec2::new(-a.y, a.x) * side;
    let steps = (turn.abs() / 0.03).ceil().max(1.0) as i32;
    let spoke = |i: i32| {
        let (sine, cosine) = libm::sincos(turn * f64::from(i) / f64::from(steps));
        at + kurbo::Vec2::new(from.x * cosine - from.y * sine, from.x * sine + from.y * cosine)
    };
    let points: Vec<Point> = [at].into_iter().chain((0..=steps).map(spoke)).chain([at]).collect();
    let ring = Geometry::create_linear_ring(sequence(&points)).expect("a ring");
    (turn.abs() > 1e-6).then(|| Geometry::create_polygon(ring, Vec::new()).expect("a sector"))
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

/// The area (mm²) by which two good answers may differ along borders of so many mm together: along the border, rounding
/// to the lattice moves nodes by less than a step, 0.0001 mm, and what is on the mean less than 0.0005 mm wide may be
/// dropped, which is half as much along its border; or, where curves were drawn anew, their deviation.
fn allowed_along(found: &Region, border: f64) -> f64 {
    let curved = found.contours().iter().flat_map(BezPath::segments).any(|s| !matches!(s, PathSeg::Line(_)));
    (if curved { DEVIATION.get() } else { 2.5e-4 }) * (1.0 + border)
}

/// The same, along the border of what was found.
pub fn allowed(found: &Region) -> f64 {
    allowed_along(found, found.perimeter().get())
}

/// The same, along the border of what was found or of what was expected, whichever is longer: slivers that were dropped
/// for good reason have a border in only one of them.
pub fn allowed_beside(found: &Region, expected: &Geometry) -> f64 {
    allowed_along(found, found.perimeter().get().max(perimeter(expected)))
}

/// Whether two areas differ by no more than `bound` (mm²), else what is wrong.
pub fn differs_by_no_more(found: &Region, expected: &Geometry, bound: f64) -> Result<(), String> {
    let differs = difference(found, expected);
    if differs <= bound { Ok(()) } else { Err(format!("{differs} mm² differ, {bound} allowed")) }
}

/// Whether a region keeps what the type promises: closed contours, finite, and each part a valid polygon; for contours
/// with curves, up to what flattening them may do.
pub fn sound(found: &Region) -> Result<(), String> {
    for contour in found.contours() {
        if !matches!(contour.elements().last(), Some(PathEl::ClosePath)) {
            return Err(format!("an open contour: {}", contour.to_svg()));
        }
        if contour.elements().iter().filter_map(PathEl::end_point).any(|p| !p.is_finite()) {
            return Err("a point that is not finite".to_owned());
        }
    }
    for part in found.parts() {
        let flat = part.contours().iter().map(|c| rings(&chords(c, 1e-4)).remove(0)).filter(|ring| ring.len() > 3);
        let mut shells = flat.map(|ring| Geometry::create_linear_ring(sequence(&ring)).expect("a ring"));
        let Some(outer) = shells.next() else { continue };
        let polygon = Geometry::create_polygon(outer, shells.collect()).expect("a polygon");
        if polygon.is_valid().expect("an answer") {
            continue;
        }
        let mended = polygon.make_valid().and_then(|m| m.area()).expect("an area");
        let straight = part.contours().iter().flat_map(BezPath::segments).all(|s| matches!(s, PathSeg::Line(_)));
        let slack = if straight { 1e-6 * (1.0 + part.perimeter().get()) } else { allowed(&part) };
        if (mended - part.area().get()).abs() > slack {
            return Err(format!("{}: {}", polygon.is_valid_reason().expect("a reason"), part.to_path().to_svg()));
        }
    }
    Ok(())
}

/// The length of an area's border.
pub fn perimeter(area: &Geometry) -> f64 {
    area.length().expect("a length")
}

/// How many holes an area has that a disc of radius `at` fits into; one that is as good as parted counts as two.
///
/// Hairlines are taken off first: the kernel drops them, so what they surround is no hole to it.
pub fn rooms(area: &Geometry, at: f64) -> usize {
    let opened = area.buffer(-0.003, 8).and_then(|core| core.buffer(0.003, 8)).expect("an area");
    if opened.is_empty().expect("an answer") {
        return 0;
    }
    let around = opened.envelope().and_then(|e| e.buffer(1.0, 1)).expect("a box");
    let rest = around.difference(&opened).and_then(|r| r.buffer(-at, 8)).expect("what is left");
    rest.get_num_geometries().expect("a count") - 1
}

/// The least and the greatest distance from the nodes of new outlines, and the middles between them, to the old ones.
pub fn distances(old: &Region, new: &Region) -> (f64, f64) {
    let border = lines(&chords(&old.to_path(), 1e-4));
    let border = border.to_prepared_geom().expect("a prepared geometry");
    let mut range = (f64::INFINITY, 0.0_f64);
    for ring in rings(&chords(&new.to_path(), 1e-4)) {
        for pair in ring.windows(2) {
            for at in [pair[0], pair[0].midpoint(pair[1])] {
                let distance = border.distance(&point(at)).expect("a distance");
                range = (range.0.min(distance), range.1.max(distance));
            }
        }
    }
    range
}

/// The sharpest turn at a corner of an area's outlines, in degrees, their curves drawn with chords within `tolerance` (mm).
pub fn sharpest_turn(area: &Region, tolerance: f64) -> f64 {
    let turn = |p: &[Point]| {
        let (a, b) = (p[1] - p[0], p[2] - p[1]);
        libm::atan2(a.cross(b), a.dot(b)).abs().to_degrees()
    };
    let closed = area.contours().iter().map(|c| {
        let mut ring = rings(&chords(c, tolerance)).remove(0);
        ring.push(ring[1]);
        ring
    });
    closed.flat_map(|r| r.windows(3).map(turn).collect::<Vec<_>>()).fold(0.0, f64::max)
}

/// The length (mm) of the shortest straight edge of an area's outlines.
pub fn shortest_line(area: &Region) -> f64 {
    let lines = area.contours().iter().flat_map(BezPath::segments).filter_map(|s| match s {
        PathSeg::Line(line) => Some(line.p0.distance(line.p1)),
        _ => None,
    });
    lines.fold(f64::INFINITY, f64::min)
}

/// Where closed lines cross or touch, by noding them: the places from which four ways and more lead off. Where two begin to
/// run on top of each other, three do.
pub fn crossroads(lines: &[Vec<Point>]) -> Vec<Point> {
    let drawn = lines.iter().map(|l| Geometry::create_line_string(sequence(l)).expect("a line")).collect();
    let noded = Geometry::create_multiline_string(drawn).and_then(|l| l.unary_union()).expect("noded lines");
    let mut ends: Vec<(f64, f64)> = Vec::new();
    for i in 0..noded.get_num_geometries().expect("a count") {
        let line = noded.get_geometry_n(i).expect("a line");
        let coordinates = line.get_coord_seq().expect("coordinates");
        let last = coordinates.size().expect("a count") - 1;
        ends.extend([0, last].map(|k| (coordinates.get_x(k).expect("x"), coordinates.get_y(k).expect("y"))));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let crossroads = ends.chunk_by(|a, b| a == b).filter(|same| same.len() > 2 && same.len() % 2 == 0);
    crossroads.map(|same| Point::from(same[0])).collect()
}

/// The subpaths of a flat path as lines, each ended where it ends.
pub fn open_lines(flat: &BezPath) -> Geometry {
    let lines = kerfbook::geometry::subpaths(flat).into_iter().map(|subpath| {
        let mut points: Vec<Point> = subpath.segments().map(|s| s.start()).collect();
        points.extend(subpath.segments().last().map(|s| s.end()));
        points.dedup();
        Geometry::create_line_string(sequence(&points)).expect("a line")
    });
    Geometry::create_multiline_string(lines.collect()).expect("lines")
}

/// The rings of polygons as closed subpaths.
pub fn path_of(area: &Geometry) -> BezPath {
    let mut path = BezPath::new();
    for i in 0..area.get_num_geometries().expect("a count") {
        let polygon = area.get_geometry_n(i).expect("a polygon");
        if polygon.is_empty().expect("an answer") {
            continue;
        }
        let holes = polygon.get_num_interior_rings().expect("a count");
        let inner = (0..holes).map(|h| polygon.get_interior_ring_n(h).expect("a ring"));
        for ring in std::iter::once(polygon.get_exterior_ring().expect("a ring")).chain(inner) {
            let points = ring.get_coord_seq().expect("coordinates");
            for k in 0..points.size().expect("a count") - 1 {
                let at = (points.get_x(k).expect("x"), points.get_y(k).expect("y"));
                if k == 0 { path.move_to(at) } else { path.line_to(at) }
            }
            path.close_path();
        }
    }
    path
}
