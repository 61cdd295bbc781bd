//! The fitter on closed forms and on chains that mean harm. Deviations are measured by dense sampling, by other code
//! than what guarantees them.

use super::*;
use kurbo::{Circle, Ellipse, Line, ParamCurveNearest, RoundedRect, Shape};
use proptest::prelude::*;
use std::f64::consts::TAU;

/// What fits may stray from their chains here, in mm.
const TOLERANCE: Mm = Mm::new(0.008);

/// The corners of chords that keep within the flattening tolerance, by kurbo; the last is not the first again.
fn chords(shape: impl Shape) -> Vec<Point> {
    let mut points = Vec::new();
    kurbo::flatten(shape.path_elements(1e-5), FLATTEN_TOLERANCE.get(), |e| points.extend(e.end_point()));
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) < 1e-9 {
        points.pop();
    }
    points
}

fn distance_to_chain(p: Point, chain: &[Point]) -> f64 {
    let lines = chain.windows(2).map(|e| {
        let along = e[1] - e[0];
        let t = (p - e[0]).dot(along) / along.hypot2();
        let t = if t.is_nan() { 0.0 } else { t.clamp(0.0, 1.0) };
        p.distance(e[0] + along * t)
    });
    lines.fold(chain.first().map_or(f64::INFINITY, |&a| p.distance(a)), f64::min)
}

/// How far a chain lies from another at most. Where that one are samples of curves, between which their chords sag, `exact`
/// says how far a point lies from the curves themselves.
fn farthest(chain: &[Point], from: &[Point], exact: Option<&dyn Fn(Point) -> f64>) -> f64 {
    let along = |e: &[Point]| {
        let (a, b) = (e[0], e[1]);
        (0..=4).map(move |i| a.lerp(b, f64::from(i) / 4.0))
    };
    chain.windows(2).flat_map(along).fold(0.0, |most, p| {
        let distance = distance_to_chain(p, from);
        if distance <= most { most } else { exact.map_or(distance, |exact| exact(p)).max(most) }
    })
}

/// The Hausdorff distance of segments and a chain.
fn deviation(segments: &[PathSeg], chain: &[Point]) -> f64 {
    let dense: Vec<Point> =
        segments.iter().flat_map(|s| (0..=100).map(move |i| s.eval(f64::from(i) / 100.0))).collect();
    let nearest = |p: Point| {
        let distances = segments.iter().map(|s| s.nearest(p, 1e-9).distance_sq);
        distances.fold(f64::INFINITY, f64::min).sqrt()
    };
    farthest(&dense, chain, None).max(farthest(chain, &dense, Some(&nearest)))
}

fn closed(points: &[Point]) -> Vec<Point> {
    points.iter().chain(points.first()).copied().collect()
}

/// The ring of a shape's chords, and its segments; it must keep to the chords.
#[track_caller]
fn fitted(points: &[Point]) -> Vec<PathSeg> {
    let segments: Vec<PathSeg> = ring(points, TOLERANCE).segments().collect();
    let strays = deviation(&segments, &closed(points));
    assert!(strays <= TOLERANCE.get(), "strays by {strays}");
    segments
}

fn is_line(s: &PathSeg) -> bool {
    matches!(s, PathSeg::Line(_))
}

/// The greatest turn at an inner join (radians), and where the segments start.
fn greatest_turn(segments: &[PathSeg]) -> f64 {
    let turn = |pair: &[PathSeg]| {
        let (a, b) = (pair[0].to_cubic(), pair[1].to_cubic());
        let (u, v) = (a.p3 - a.p2, b.p1 - b.p0);
        libm::atan2(u.cross(v), u.dot(v)).abs()
    };
    segments.windows(2).map(turn).fold(0.0, f64::max)
}

#[test]
fn a_circle_is_four_arcs() {
    // Four cubics with handles of 4/3 tan(22.5°) keep within 0.00027 of the radius (M. Goldapp, 1991, from memory).
    for radius in [0.1, 1.0, 5.0, 20.0] {
        let circle = Circle::new((3.0, -4.0), radius);
        let segments = fitted(&chords(circle));
        assert_eq!(segments.len(), 4, "radius {radius}");
        let off = |p: Point| (p.distance(circle.center) - radius).abs();
        let samples = segments.iter().flat_map(|s| (0..50).map(|i| s.eval(f64::from(i) / 50.0)));
        let worst = samples.map(off).fold(0.0, f64::max);
        // Flattening leaves its vertices a little outside.
        assert!(worst <= 3e-4 * radius + 5e-4, "radius {radius}: {worst}");
        assert!(greatest_turn(&segments) < 1e-9);
    }
    assert_eq!(fitted(&chords(Circle::new((0.0, 0.0), 50.0))).len(), 6, "four would stray by 0.014 mm");
}

#[test]
fn a_square_stays_exactly_a_square() {
    for side in [0.05, 1.0, 300.0] {
        let corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(Point::from);
        let lines: Vec<PathSeg> = (0..4).map(|i| Line::new(corners[i], corners[(i + 1) % 4]).into()).collect();
        assert_eq!(fitted(&corners), lines);
    }
}

#[test]
fn a_rounded_rectangle_is_four_lines_and_four_arcs() {
    for radius in [0.1, 0.5, 3.0] {
        let segments = fitted(&chords(RoundedRect::new(0.0, 0.0, 40.0, 25.0, radius)));
        assert_eq!((segments.len(), segments.iter().filter(|s| is_line(s)).count()), (8, 4), "radius {radius}");
        for line in segments.iter().filter(|s| is_line(s)) {
            let along = line.end() - line.start();
            assert!(along.x.abs() < 1e-9 || along.y.abs() < 1e-9, "{line:?}");
        }
        // The arcs are tangent to the lines.
        assert!(greatest_turn(&segments) < 1e-6, "{}", greatest_turn(&segments));
    }
}

#[test]
fn an_ellipse_a_sine_and_a_spiral_take_few() {
    let ellipse = fitted(&chords(Ellipse::new((0.0, 0.0), (20.0, 8.0), 0.3)));
    assert!(ellipse.len() <= 8 && greatest_turn(&ellipse) < 1e-6, "{}", ellipse.len());
    let sine: Vec<Point> =
        (0..=2000).map(|i| 0.02 * f64::from(i)).map(|t| (t, 3.0 * libm::sin(t)).into()).collect();
    let spiral: Vec<Point> =
        (0..3000).map(|i| 0.01 * f64::from(i)).map(|t| (t * libm::cos(t), t * libm::sin(t)).into()).collect();
    for (points, most) in [(sine, 16), (spiral, 22)] {
        let segments: Vec<PathSeg> = chain(&points, TOLERANCE).segments().collect();
        assert!(segments.len() <= most, "{}", segments.len());
        assert!(greatest_turn(&segments) < 1e-6);
        assert!(deviation(&segments, &points) <= TOLERANCE.get());
        assert_eq!(
            (segments[0].start(), segments[segments.len() - 1].end()),
            (points[0], points[points.len() - 1])
        );
    }
}

#[test]
fn a_star_keeps_its_points() {
    // A five-pointed star with round valleys: the points are corners.
    let arm = |k: i32| {
        let turn = f64::from(k) * TAU / 10.0;
        let away = if k % 2 == 0 { 10.0 } else { 4.0 };
        Point::new(away * libm::cos(turn), away * libm::sin(turn))
    };
    let points: Vec<Point> = (0..10).map(arm).collect();
    assert_eq!(fitted(&points).len(), 10);
    // Sides that are curves: parabolas between the points.
    let side = |k: i32| {
        let (a, b) = (arm(2 * k), arm(2 * k + 2));
        (0..80).map(f64::from).map(move |i| {
            let t = i / 80.0;
            a.lerp(b, t) - a.midpoint(b).to_vec2() * (1.2 * t * (1.0 - t))
        })
    };
    let curved: Vec<Point> = (0..5).flat_map(side).collect();
    let segments = fitted(&curved);
    assert!(segments.len() <= 10, "{}", segments.len());
    for k in 0..5 {
        assert!(segments.iter().any(|s| s.start() == arm(2 * k)), "point {k}");
    }
}

#[test]
fn an_edge_far_longer_than_its_neighbours_stays_a_line() {
    let slot = RoundedRect::new(0.0, 0.0, 30.0, 4.0, 2.0);
    let segments = fitted(&chords(slot));
    assert_eq!(segments.iter().filter(|s| is_line(s)).count(), 2);
    // Two half circles of two arcs each.
    assert_eq!(segments.len(), 6);
}

#[test]
fn a_ring_does_not_depend_on_where_it_starts() {
    for shape in [
        chords(Ellipse::new((3.0, 1.0), (20.0, 8.0), 0.3)),
        chords(RoundedRect::new(0.0, 0.0, 40.0, 25.0, 3.0)),
        chords(Circle::new((0.0, 0.0), 7.0)),
    ] {
        let first = ring(&shape, TOLERANCE);
        for start in [1, shape.len() / 3, shape.len() - 1] {
            let mut turned = shape.clone();
            turned.rotate_left(start);
            assert_eq!(ring(&turned, TOLERANCE), first);
        }
    }
}

#[test]
fn known_directions_are_kept() {
    let arc: Vec<Point> =
        (0..=40).map(|i| 0.03 * f64::from(i)).map(|t| (5.0 * libm::sin(t), 5.0 * libm::cos(t)).into()).collect();
    let (start, end) = (Vec2::new(1.0, 0.0), Vec2::new(libm::cos(1.2), -libm::sin(1.2)));
    for (from, to) in [(Some(start), Some(end)), (Some(start), None), (None, None)] {
        let segments = stretch(Stretch { points: &arc, start: from, end: to }, TOLERANCE);
        assert_eq!(segments.len(), 1);
        assert!(deviation(&segments, &arc) <= TOLERANCE.get());
        let c = segments[0].to_cubic();
        if from.is_some() {
            assert!((c.p1 - c.p0).cross(start).abs() < 1e-12);
        }
        if to.is_some() {
            assert!((c.p3 - c.p2).cross(end).abs() < 1e-12);
        }
    }
    // A direction that the chain does not have is kept all the same, and the fit still keeps to the chain.
    let bent = Vec2::new(libm::cos(0.2), libm::sin(0.2));
    let segments = stretch(Stretch { points: &arc, start: Some(bent), end: Some(end) }, TOLERANCE);
    let c = segments[0].to_cubic();
    assert!((c.p1 - c.p0).cross(bent).abs() < 1e-9 && (c.p1 - c.p0).dot(bent) > 0.0);
    assert!(deviation(&segments, &arc) <= TOLERANCE.get());
}

#[test]
fn a_straight_stretch_is_a_line() {
    let points: Vec<Point> = (0..5000).map(|i| Point::new(0.01 * f64::from(i), 0.003 * f64::from(i))).collect();
    let segments = stretch(Stretch { points: &points, start: None, end: None }, TOLERANCE);
    assert_eq!(segments, [Line::new(points[0], points[4999]).into()]);
}

#[test]
fn degenerate_input_comes_back_as_little() {
    let p = |x: f64, y: f64| Point::new(x, y);
    for few in [vec![], vec![p(1.0, 1.0)], vec![p(1.0, 1.0); 9]] {
        assert!(chain(&few, TOLERANCE).is_empty() && ring(&few, TOLERANCE).is_empty());
        assert!(stretch(Stretch { points: &few, start: None, end: None }, TOLERANCE).is_empty());
    }
    let two = [p(0.0, 0.0), p(3.0, 4.0)];
    assert_eq!(chain(&two, TOLERANCE).to_svg(), "M0,0 L3,4");
    assert!(ring(&two, TOLERANCE).is_empty());
    // Forth and back is two lines.
    let spike = [p(0.0, 0.0), p(5.0, 0.0), p(2.0, 0.0)];
    assert_eq!(chain(&spike, TOLERANCE).segments().count(), 2);
}

#[test]
fn many_points_take_bounded_time() {
    // Noise of all sizes about a wave: nothing fits, and still each point is looked at only so often.
    let mut seed = 1_u64;
    let mut noise = move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / (1_u64 << 31) as f64 - 0.5
    };
    for size in [0.0, 0.01, 1.0] {
        let count = 200_000;
        let points: Vec<Point> = (0..count)
            .map(|i| {
                let turn = f64::from(i) / f64::from(count) * TAU;
                let away = 100.0 + 5.0 * libm::sin(40.0 * turn) + size * noise();
                Point::new(away * libm::cos(turn), away * libm::sin(turn))
            })
            .collect();
        let fitted = ring(&points, TOLERANCE).segments().count();
        assert!(fitted > 0 && fitted <= points.len(), "{fitted}");
        assert!(size > 0.0 || fitted < 150, "{fitted}");
    }
}

/// Chains of steps that are short or long, straight on, slightly turned or back.
fn wild() -> impl Strategy<Value = Vec<Point>> {
    let step = (
        prop_oneof![Just(0.0), Just(1e-4), 1e-3..0.1, 0.1..5.0],
        prop_oneof![Just(0.0), Just(std::f64::consts::PI), -0.2..0.2, -3.2..3.2],
    );
    prop::collection::vec((step, 1..12_usize), 0..40).prop_map(|runs| {
        let (mut at, mut heading) = (Point::ZERO, 0.0);
        let mut points = vec![at];
        for ((length, turn), count) in runs {
            for _ in 0..count {
                heading += turn;
                at += Vec2::new(libm::cos(heading), libm::sin(heading)) * length;
                points.push(at);
            }
        }
        points
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_comes_in_the_fit_keeps_to_it(points in wild(), tolerance in prop_oneof![Just(0.008), 0.001..0.3]) {
        let segments: Vec<PathSeg> = chain(&points, Mm::new(tolerance)).segments().collect();
        let strays = deviation(&segments, &points);
        prop_assert!(segments.is_empty() || strays <= tolerance * 1.001, "chain strays {}", strays);
        for pair in segments.windows(2) {
            prop_assert_eq!(pair[0].end(), pair[1].start());
        }
        let segments: Vec<PathSeg> = ring(&points, Mm::new(tolerance)).segments().collect();
        let strays = deviation(&segments, &closed(&points));
        prop_assert!(segments.is_empty() || strays <= tolerance * 1.001, "ring strays {}", strays);
        let known = Stretch { points: &points, start: Some(Vec2::new(1.0, 0.0)), end: Some(Vec2::new(0.6, 0.8)) };
        let segments = stretch(known, Mm::new(tolerance));
        let strays = deviation(&segments, &points);
        prop_assert!(segments.is_empty() || strays <= tolerance * 1.001, "stretch strays {}", strays);
    }
}
