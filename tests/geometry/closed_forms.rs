//! Areas and lengths that are known exactly. Flattening and arcs may take away at most the tolerance times
//! the length of the border, which is what `near` allows.

use kerfbook::geometry::{Caps, Corners, FLATTEN_TOLERANCE, FillRule, Line, Region};
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, PathSeg, Rect, Shape};
use std::f64::consts::PI;

fn disc(x: f64, y: f64, r: f64) -> Region {
    region(&Circle::new((x, y), r).to_path(1e-4))
}

fn rect(x: f64, y: f64, w: f64, h: f64) -> Region {
    region(&Rect::new(x, y, x + w, y + h).to_path(0.1))
}

fn region(path: &BezPath) -> Region {
    Region::from_path(path, FillRule::NonZero).expect("a clean path")
}

fn svg(d: &str) -> Region {
    region(&BezPath::from_svg(d).expect("path data"))
}

/// Both borders may be off by the flattening tolerance, so the area by that times their length.
#[track_caller]
fn near(found: &Region, expected: f64) {
    let bound = FLATTEN_TOLERANCE.get() * found.perimeter().get() + 1e-3;
    let area = found.area().get();
    assert!((area - expected).abs() <= bound, "area {area}, expected {expected} within {bound}");
}

#[test]
fn two_discs_share_a_lens() {
    // MathWorld, "Circle-Circle Intersection", equation 14.
    let (a, b) = (disc(0.0, 0.0, 10.0), disc(10.0, 0.0, 10.0));
    near(&a.overlap(&b), 122.836_969_9);
    near(&Region::union(&[&a, &b]), 505.481_560_9);
    near(&a.subtract(&b), 100.0 * PI - 122.836_969_9);
    near(&a.exclude(&b), 505.481_560_9 - 122.836_969_9);
    let (a, b) = (disc(0.0, 0.0, 30.0), disc(35.0, 0.0, 20.0));
    near(&a.overlap(&b), 357.950_312_4);
    near(&Region::union(&[&a, &b]), 3_726.120_137_2);
}

#[test]
fn a_rectangle_grows_by_steiners_formula() {
    // A + P r + pi r² (Steiner; R. Schneider, Convex Bodies, chapter 4, from memory).
    let grown = rect(0.0, 0.0, 40.0, 25.0).offset(Mm::new(3.0), Corners::Round);
    near(&grown, 1_418.274_333_9);
    assert!((grown.perimeter().get() - 148.849_555_9).abs() < 0.01);
}

#[test]
fn a_triangle_shrinks_by_similarity_until_its_inradius() {
    // 30-40-50: inradius 10; shrunk by 2 its area is 600 (1 - 2/10)².
    let triangle = svg("M0 0L30 0L0 40Z");
    near(&triangle.offset(Mm::new(2.0), Corners::Round), 852.566_370_6);
    near(&triangle.offset(Mm::new(-2.0), Corners::Round), 384.0);
    assert!(triangle.offset(Mm::new(-10.001), Corners::Round).is_empty());
}

#[test]
fn an_inner_corner_stays_sharp() {
    // A + P r + r² (sum over convex corners of a/2 - sum over reflex corners of tan(a/2)), a the turn.
    let l = svg("M0 0H30V10H10V30H0Z");
    near(&l.offset(Mm::new(2.0), Corners::Round), 751.707_966_3);
    near(&l.offset(Mm::new(2.0), Corners::Mitre { limit: 4.0 }), 756.0);
}

#[test]
fn ring_and_slot() {
    let ring = disc(0.0, 0.0, 20.0).subtract(&disc(0.0, 0.0, 12.0));
    near(&ring, 256.0 * PI);
    near(&ring.offset(Mm::new(1.0), Corners::Round), PI * (21.0 * 21.0 - 11.0 * 11.0));
    let path = BezPath::from_svg("M5 5H35").expect("path data");
    let line = Line { path, width: Some(Mm::new(10.0)) };
    let slot = Region::from_strokes(&[line], Corners::Round, Caps::Round).expect("a clean line");
    near(&slot, 300.0 + 25.0 * PI);
}

#[test]
fn circles_stay_circles_through_an_offset() {
    let plate = rect(-30.0, -30.0, 60.0, 60.0).subtract(&disc(5.0, 5.0, 10.0));
    for by in [3.0, 0.05, -0.1, -3.0] {
        let moved = plate.offset(Mm::new(by), Corners::Mitre { limit: 4.0 });
        let outer = 60.0 + 2.0 * by;
        let expected = outer * outer - PI * (10.0 - by) * (10.0 - by);
        assert!((moved.area().get() - expected).abs() < 0.1, "{} {expected}", moved.area());
        let hole = &moved.contours()[1];
        assert_eq!(hole.segments().filter(|s| matches!(s, PathSeg::Cubic(_))).count(), hole.segments().count());
        assert!((hole.bounding_box().width() - 2.0 * (10.0 - by)).abs() < 1e-9);
    }
}
