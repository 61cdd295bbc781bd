//! Outlines of real pictograms, traced back from pixels.

use super::pictures::{Look, filled};
use crate::geometry::oracle::{Outline, chords, outlines};
use kerfbook::geometry::{FillRule, Region};
use kerfbook::tracing;
use kurbo::{Affine, BezPath, ParamCurveNearest, PathSeg, Point, Shape};

/// Pixels along the side of a picture.
const SIDE: u32 = 300;

/// How far a traced outline lies from the drawn one, in pixels.
#[derive(Debug)]
struct Off {
    /// Area that differs over the length of the drawn outline.
    mean: f64,
    /// Farthest distance, both ways (Hausdorff).
    most: f64,
    nodes: usize,
    loops: (usize, usize),
}

fn drawn(outline: &Outline, side: u32) -> BezPath {
    Affine::scale(f64::from(side) / 48.0) * outline.path.clone()
}

fn nodes(paths: &[BezPath]) -> usize {
    paths.iter().map(|p| p.segments().count()).sum()
}

fn traced(outline: &Outline, side: u32, look: Look) -> Vec<BezPath> {
    let even_odd = outline.rule == FillRule::EvenOdd;
    let picture = filled(&drawn(outline, side), even_odd, (side, side), look);
    let ink = tracing::ink(picture, None).expect("ink on paper");
    tracing::outlines(&ink, 0.0).expect("a drawing").paths
}

fn off(outline: &Outline, side: u32, look: Look) -> Off {
    let traced = traced(outline, side, look);
    let whole: BezPath = traced.iter().flat_map(|p| p.elements().iter().copied()).collect();
    let truth = Region::from_path(&drawn(outline, side), outline.rule).unwrap();
    let found = Region::from_path(&whole, FillRule::EvenOdd).unwrap();
    let length: f64 = truth.contours().iter().map(|c| c.perimeter(1e-3)).sum();
    Off {
        mean: truth.exclude(&found).area().get() / length,
        most: farthest(truth.contours(), found.contours()).max(farthest(found.contours(), truth.contours())),
        nodes: nodes(&traced),
        loops: (truth.contours().len(), traced.len()),
    }
}

/// The farthest that points of some paths, a quarter pixel apart, lie from others.
fn farthest(from: &[BezPath], to: &[BezPath]) -> f64 {
    let segments: Vec<(kurbo::Rect, PathSeg)> =
        to.iter().flat_map(BezPath::segments).map(|s| (s.bounding_box(), s)).collect();
    let points = from.iter().flat_map(|p| chords(p, 0.02).segments().collect::<Vec<_>>());
    let mut most = 0.0_f64;
    for segment in points {
        let kurbo::PathSeg::Line(line) = segment else { continue };
        let steps = (line.p1 - line.p0).hypot().mul_add(2.0, 1.0).ceil() as usize;
        for k in 0..steps {
            let p = line.p0.lerp(line.p1, k as f64 / steps as f64);
            most = most.max(nearest(p, &segments));
        }
    }
    most
}

fn nearest(p: Point, segments: &[(kurbo::Rect, PathSeg)]) -> f64 {
    let mut least = f64::INFINITY;
    for (frame, segment) in segments {
        let (dx, dy) =
            ((frame.x0 - p.x).max(p.x - frame.x1).max(0.0), (frame.y0 - p.y).max(p.y - frame.y1).max(0.0));
        if dx * dx + dy * dy < least {
            least = least.min(segment.nearest(p, 1e-3).distance_sq);
        }
    }
    least.sqrt()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Two in five of the hundred outlines.
fn some() -> Vec<Outline> {
    outlines().into_iter().enumerate().filter(|(i, _)| i % 5 == 0 || i % 5 == 2).map(|(_, o)| o).collect()
}

/// Parts that meet in a point, or that a gap of less than a pixel parts, run together when they become pixels.
const RUN_TOGETHER: [&str; 8] = [
    "filled/specialties/cardiology",
    "filled/symbols/geo_location",
    "filled/symbols/virus_research_alt",
    "filled/zoonoses/animal_tick",
    "outline/places/palm_branches_roof",
    "outline/specialties/cardiology",
    "outline/symbols/geo_location",
    "outline/diagnostics/malaria_mixed_microscope",
];

/// The bars of the design this follows: what its prototype reached on other pictograms, with some room.
fn check(look: Look, most_off: f64) -> Vec<(&'static str, Off)> {
    let all: Vec<(&str, Off)> = some().iter().map(|o| (o.name, off(o, SIDE, look))).collect();
    let mean = all.iter().map(|o| o.1.mean).sum::<f64>() / all.len() as f64;
    assert!(mean <= most_off, "{look:?}: {mean} px off on average");
    for (name, off) in all.iter().filter(|o| !RUN_TOGETHER.contains(&o.0)) {
        assert_eq!(off.loops.0, off.loops.1, "{name} as {look:?}");
    }
    all
}

#[test]
fn clean_pictograms_come_back_within_a_part_of_a_pixel() {
    let all = check(Look::Grey, 0.04);
    let most = median(all.iter().map(|o| o.1.most).collect());
    assert!(most <= 0.3, "half of the outlines stray {most} px or more");
    let text = include_str!("../fixtures/tracing/segments.txt");
    let counted = |name: &str| {
        let line = text.lines().find(|l| l.split('\t').next() == Some(name)).expect("counted");
        line.split('\t').nth(1).unwrap().parse::<usize>().unwrap()
    };
    let (ours, theirs) = all.iter().fold((0, 0), |(a, b), (n, off)| (a + off.nodes, b + counted(n)));
    assert!(ours as f64 <= 0.75 * theirs as f64, "{ours} segments where potrace needs {theirs}");
}

#[test]
fn scans_come_back() {
    check(Look::Scan, 0.08);
}

#[test]
fn black_and_white_comes_back() {
    check(Look::BlackAndWhite, 0.24);
}

#[test]
fn the_same_pixels_give_the_same_bits() {
    let outline = &outlines()[7];
    for look in [Look::Grey, Look::Scan] {
        let bits = |paths: Vec<BezPath>| format!("{paths:?}");
        assert_eq!(bits(traced(outline, SIDE, look)), bits(traced(outline, SIDE, look)));
    }
}

fn traced_path(path: &BezPath, side: u32) -> Vec<BezPath> {
    let ink = tracing::ink(filled(path, false, (side, side), Look::Grey), None).unwrap();
    tracing::outlines(&ink, 0.0).unwrap().paths
}

/// The area of a circle and its middle (closed form).
#[test]
fn circles_stay_round() {
    for radius in [4.0, 11.3, 47.0] {
        let found = traced_path(&kurbo::Circle::new((60.3, 59.6), radius).to_path(1e-4), 120);
        assert_eq!(found.len(), 1);
        let area = found[0].area().abs();
        let truth = std::f64::consts::PI * radius * radius;
        assert!((area / truth - 1.0).abs() < 0.25 / radius, "radius {radius}: {area} for {truth}");
        let middle = found[0].bounding_box().center();
        assert!((middle - Point::new(60.3, 59.6)).hypot() < 0.15, "{middle:?}");
        assert!(found[0].segments().count() <= 8);
    }
}

/// Sharp tips are followed out to where their sides meet, though the pixels round them.
#[test]
fn tips_of_a_star_are_kept() {
    let mut star = BezPath::new();
    let corner = |i: i32| {
        let angle = std::f64::consts::PI * (f64::from(i) / 5.0 - 0.5);
        let reach = if i % 2 == 0 { 110.0 } else { 50.0 };
        Point::new(128.2 + reach * libm::cos(angle), 127.7 + reach * libm::sin(angle))
    };
    star.move_to(corner(0));
    (1..10).for_each(|i| star.line_to(corner(i)));
    star.close_path();
    let found = traced_path(&star, 256);
    let nodes: Vec<Point> = found[0].elements().iter().filter_map(kurbo::PathEl::end_point).collect();
    assert_eq!(found[0].segments().count(), 10);
    for i in 0..10 {
        let off = nodes.iter().map(|p| (*p - corner(i)).hypot()).fold(f64::INFINITY, f64::min);
        assert!(off < 0.35, "corner {i} is {off} px off");
    }
}

#[test]
fn specks_are_counted_and_left_out() {
    let mut drawn = kurbo::Circle::new((100.0, 100.0), 60.0).to_path(1e-4);
    for i in 0..9 {
        drawn.extend(kurbo::Circle::new((12.5 + 20.0 * f64::from(i), 12.5), 1.0).to_path(1e-4));
    }
    let ink = tracing::ink(filled(&drawn, false, (200, 200), Look::Grey), None).unwrap();
    let found = tracing::outlines(&ink, 0.0).unwrap();
    assert_eq!((found.paths.len(), found.specks.len()), (1, 9));
    assert!((found.specks[0] - Point::new(12.5, 12.5)).hypot() < 0.1);
}

/// Hostile and odd pictures: nothing panics, and nothing is made up.
#[test]
fn odd_pictures_are_survived() {
    use kerfbook::raster::Plane;
    for (width, height) in [(0, 0), (1, 1), (1, 90), (90, 1), (2, 2)] {
        for value in [0.0, 0.5, 1.0] {
            let plane = Plane { width, height, values: vec![value; width * height] };
            assert!(tracing::ink(plane.clone(), None).is_err(), "an even picture has no edges");
            if let Ok(ink) = tracing::ink(plane, Some(0.5)) {
                let _ = tracing::outlines(&ink, 0.0);
            }
        }
    }
    let noise: Vec<f32> =
        (0_u32..120 * 120).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as f32 / 255.0).collect();
    let plane = Plane { width: 120, height: 120, values: noise };
    if let Ok(ink) = tracing::ink(plane, None) {
        assert!(tracing::outlines(&ink, 0.0).unwrap().paths.iter().all(BezPath::is_finite));
    }
}
