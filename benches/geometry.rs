//! The kernel beside GEOS on the same polygons. Absolute times say little on a shared machine; the pairs do.

use divan::Bencher;
use geos::{CapStyle, CoordSeq, Geom, Geometry, JoinStyle};
use kerfbook::geometry::{Corners, FillRule, Region, doubled_lines, nearest, thin_places};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Circle, PathEl, Point, Shape};

fn main() {
    divan::main();
}

/// A flat path as a region and as a GEOS polygon.
fn both(path: &BezPath) -> (Region, Geometry) {
    let mut flat = BezPath::new();
    kurbo::flatten(path.iter(), 0.002, |e| flat.push(e));
    let region = Region::from_path(&flat, FillRule::NonZero).expect("finite");
    let rings = region.contours().iter().map(|contour| {
        let corner = |e: &PathEl| e.end_point();
        let mut points: Vec<Point> = contour.elements().iter().filter_map(corner).collect();
        points.push(points[0]);
        let pairs: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
        CoordSeq::new_from_vec(&pairs).and_then(Geometry::create_linear_ring).expect("a ring")
    });
    let polygons = rings.map(|r| Geometry::create_polygon(r, Vec::new()).expect("a polygon"));
    let empty = Geometry::create_empty_polygon().expect("a polygon");
    let geometry = polygons.fold(empty, |sum, p| sum.sym_difference(&p).expect("a difference"));
    (region, geometry)
}

/// Overlapping circles on a spiral.
fn circles(count: usize) -> Vec<(Region, Geometry)> {
    let circle = |i: usize| {
        let turn = i as f64 * 2.399_963;
        let away = 4.0 * (i as f64).sqrt();
        both(&Circle::new((away * libm::cos(turn), away * libm::sin(turn)), 5.0).to_path(1e-4))
    };
    (0..count).map(circle).collect()
}

/// Every third of the real outlines the tests use.
fn outlines() -> Vec<(Region, Geometry)> {
    let text = include_str!("../tests/fixtures/geometry/outlines.txt");
    let lines = text.lines().filter(|l| l.contains('\t')).step_by(3);
    let data = lines.map(|l| l.rsplit('\t').next().expect("path data"));
    data.map(|d| both(&BezPath::from_svg(d).expect("path data"))).collect()
}

const COUNTS: [usize; 2] = [100, 1000];

#[divan::bench(args = COUNTS)]
fn union_of_circles(bencher: Bencher, count: usize) {
    let circles = circles(count);
    let regions: Vec<&Region> = circles.iter().map(|c| &c.0).collect();
    bencher.bench_local(|| Region::union(&regions));
}

#[divan::bench(args = COUNTS)]
fn union_of_circles_geos(bencher: Bencher, count: usize) {
    let circles: Vec<Geometry> = circles(count).into_iter().map(|c| c.1).collect();
    let all = Geometry::create_geometry_collection(circles).expect("a collection");
    bencher.bench_local(|| all.unary_union().expect("a union"));
}

#[divan::bench(args = [1.778, -0.5])]
fn offset_of_outlines(bencher: Bencher, by: f64) {
    let outlines = outlines();
    bencher.bench_local(|| outlines.iter().map(|o| o.0.offset(Mm::new(by), Corners::Round)).collect::<Vec<_>>());
}

#[divan::bench(args = [1.778, -0.5])]
fn offset_of_outlines_geos(bencher: Bencher, by: f64) {
    let outlines = outlines();
    // As many arc steps as keep within the kernel's tolerance: pi / 2 over the widest step.
    let steps = (std::f64::consts::FRAC_PI_2 / (0.012 / f64::abs(by)).sqrt()).ceil() as i32;
    let grown = |g: &Geometry| g.buffer_with_style(by, steps, CapStyle::Round, JoinStyle::Round, 5.0);
    bencher.bench_local(|| outlines.iter().map(|o| grown(&o.1).expect("a buffer")).collect::<Vec<_>>());
}

/// A wavy closed line of about so many chords.
fn wave(chords: usize) -> BezPath {
    let mut path = BezPath::new();
    for i in 0..chords {
        let turn = i as f64 / chords as f64 * std::f64::consts::TAU;
        let away = 100.0 + 5.0 * libm::sin(40.0 * turn);
        let p = (away * libm::cos(turn), away * libm::sin(turn));
        if i == 0 { path.move_to(p) } else { path.line_to(p) }
    }
    path.close_path();
    path
}

#[divan::bench]
fn nearest_of_100k_and_10k_chords(bencher: Bencher) {
    let (a, b) = ([wave(100_000)], [Affine::scale(0.8) * wave(10_000)]);
    bencher.bench_local(|| nearest(&a, &b));
}

#[divan::bench]
fn doubled_among_100k_chords(bencher: Bencher) {
    let lines = [wave(50_000), Affine::translate((0.01, 0.0)) * wave(49_999)];
    bencher.bench_local(|| doubled_lines(&lines, Mm::new(0.05), Mm::new(1.0)));
}

#[divan::bench]
fn thin_places_of_outlines(bencher: Bencher) {
    let outlines = outlines();
    bencher.bench_local(|| outlines.iter().map(|o| thin_places(&o.0, Mm::new(1.0)).len()).sum::<usize>());
}

#[divan::bench]
fn thin_places_of_outlines_geos_opening(bencher: Bencher) {
    let outlines = outlines();
    let opened = |g: &Geometry| {
        let core = g.buffer(-0.5, 16).expect("a buffer");
        let opened = core.buffer(0.5, 16).expect("a buffer");
        g.difference(&opened).and_then(|d| d.area()).expect("an area")
    };
    bencher.bench_local(|| outlines.iter().map(|o| opened(&o.1)).sum::<f64>());
}
