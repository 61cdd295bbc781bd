//! Areas and lengths that are known exactly. Flattening and arcs may take away at most the tolerance times
//! the length of the border, which is what `near` allows.

use kerfbook::geometry::{Caps, Corners, FLATTEN_TOLERANCE, FillRule, Line, Pen, Region};
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, PathSeg, Rect, Shape};
use std::f64::consts::{FRAC_PI_4, PI};

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
    let line = Line { path, width: Some(Mm::new(10.0)), pen: Pen::default() };
    let slot = Region::from_strokes(&[line]).expect("a clean line");
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

#[test]
fn half_of_each_unit_disc_is_shared_at_a_known_distance() {
    // MathWorld, "Circle-Circle Intersection", equation 14 (the number from memory).
    let apart = 10.0 * 0.807_945_506_6;
    near(&disc(0.0, 0.0, 10.0).overlap(&disc(apart, 0.0, 10.0)), 50.0 * PI);
}

#[test]
fn three_discs() {
    // Equilateral centres 10 apart, r = 10: union 100 (3 pi / 2 + sqrt 3) by inclusion and exclusion; the core
    // is a Reuleaux triangle, (pi - sqrt 3) / 2 of the square of its width.
    let height = 10.0 * 3.0_f64.sqrt() / 2.0;
    let discs = [disc(0.0, 0.0, 10.0), disc(10.0, 0.0, 10.0), disc(5.0, height, 10.0)];
    near(&Region::union(&discs.each_ref()), 644.443_978_9);
    near(&discs[0].overlap(&discs[1]).overlap(&discs[2]), 70.477_092_3);
}

#[test]
fn a_hexagon_of_discs_leaves_a_hole() {
    // Six discs of radius 1 about a regular hexagon of side 2 touch; grown by 0.5 they merge to one ring.
    let centre = |i: u32| {
        let turn = f64::from(i) * PI / 3.0;
        disc(2.0 * libm::cos(turn), 2.0 * libm::sin(turn), 1.0)
    };
    let discs: Vec<Region> = (0..6).map(centre).collect();
    let union = Region::union(&discs.iter().collect::<Vec<_>>());
    near(&union, 6.0 * PI);
    let grown = union.offset(Mm::new(0.5), Corners::Round);
    assert_eq!((grown.parts().len(), grown.contours().len()), (1, 2));
    // Radius 1.5, neighbours 2 apart: six discs less six lenses; no three of them meet.
    let lens = 2.0 * 2.25 * libm::acos(2.0 / 3.0) - (9.0_f64 - 4.0).sqrt();
    near(&grown, 6.0 * PI * 2.25 - 6.0 * lens);
}

#[test]
fn mitred_offsets_are_exact() {
    // (a ± 2 d)(b ± 2 d).
    let plate = rect(0.0, 0.0, 40.0, 25.0);
    let mitre = Corners::Mitre { limit: 4.0 };
    assert!((plate.offset(Mm::new(0.1), mitre).area().get() - 1013.04).abs() < 1e-9);
    assert!((plate.offset(Mm::new(-0.1), mitre).area().get() - 987.04).abs() < 1e-9);
    // Bevels cut (tan(45°) d)² - d² / 2 ... that is half a square of d at each corner.
    assert!((plate.offset(Mm::new(2.0), Corners::Bevel).area().get() - (44.0 * 29.0 - 4.0 * 2.0)).abs() < 1e-9);
    // The mitre limit of a right angle is the root of 2 (SVG 2, 13.5.6): below it, a bevel.
    let (below, above) = (Corners::Mitre { limit: 1.414 }, Corners::Mitre { limit: 1.415 });
    assert_eq!(plate.offset(Mm::new(2.0), below), plate.offset(Mm::new(2.0), Corners::Bevel));
    assert_eq!(plate.offset(Mm::new(2.0), above), plate.offset(Mm::new(2.0), mitre));
}

#[test]
fn opening_rounds_the_corners() {
    // Shrunk and grown by d, a rectangle loses (4 - pi) d² (J. Serra, from memory).
    let by = Mm::new(3.0);
    let opened = rect(0.0, 0.0, 40.0, 25.0).offset(-by, Corners::Round).offset(by, Corners::Round);
    near(&opened, 1000.0 - (4.0 - PI) * 9.0);
}

#[test]
fn isoperimetric_quotients() {
    // 4 pi A / P²: square, regular hexagon, regular triangle.
    let quotient = |r: &Region| 4.0 * PI * r.area().get() / (r.perimeter().get() * r.perimeter().get());
    assert!((quotient(&svg("M0 0H10V10H0Z")) - FRAC_PI_4).abs() < 1e-6);
    assert!((quotient(&svg("M10 0L5 8.6603L-5 8.6603L-10 0L-5 -8.6603L5 -8.6603Z")) - 0.906_899_7).abs() < 1e-5);
    assert!((quotient(&svg("M0 0H10L5 8.6603Z")) - 0.604_599_8).abs() < 1e-5);
    assert!(quotient(&disc(0.0, 0.0, 10.0)) <= 1.0);
}

#[test]
fn areas_of_curves() {
    // By the control points: 60 for the cubic; two thirds of the control triangle for the parabola (Archimedes).
    near(&svg("M0 0C0 10 10 10 10 0Z"), 60.0);
    near(&svg("M0 0Q10 20 20 0Z"), 400.0 / 3.0);
    assert!((svg("M0 0C0 10 10 10 10 0Z").area().get() - 60.0).abs() < 1e-9, "curves are kept, so it is exact");
}

#[test]
fn fill_rules_differ_on_a_figure_drawn_twice_round() {
    // SVG 2, 13.4.2: a pentagram is full under `nonzero` and has a hole under `evenodd`.
    let d = "M0 -10L5.8779 8.0902L-9.5106 -3.0902H9.5106L-5.8779 8.0902Z";
    let path = BezPath::from_svg(d).expect("path data");
    let full = region(&path);
    let hollow = Region::from_path(&path, FillRule::EvenOdd).expect("finite");
    assert_eq!((full.contours().len(), hollow.parts().len()), (1, 5));
    // The inner pentagon has a circumradius of 10 / phi²: 10 less the point's height.
    let inner = 2.5 * libm::sin(2.0 * PI / 5.0) * (10.0 / 2.618_033_988_7_f64).powi(2);
    assert!((full.area().get() - hollow.area().get() - inner).abs() < 0.01);
}

#[test]
fn a_figure_eight_becomes_two_parts() {
    let eight = svg("M0 0L10 10V0L0 10Z");
    assert_eq!((eight.parts().len(), eight.area().get()), (2, 50.0));
    // Both halves are outer contours, though one was drawn the other way round.
    assert!(eight.contours().iter().all(|c| c.area() > 0.0));
    let eight = eight.offset(Mm::new(-1.0), Corners::Round);
    assert_eq!(eight.parts().len(), 2);
}

#[test]
fn touching_squares_weld() {
    let (a, b) = (rect(0.0, 0.0, 10.0, 10.0), rect(10.0, 0.0, 10.0, 10.0));
    let both = Region::union(&[&a, &b]);
    assert_eq!((both.contours().len(), both.area().get(), both.perimeter().get()), (1, 200.0, 60.0));
    assert!(a.overlap(&b).is_empty());
    assert_eq!(a.subtract(&b), a);
    // In a corner only: two parts that share a point.
    let corner = Region::union(&[&a, &rect(10.0, 10.0, 10.0, 10.0)]);
    assert_eq!((corner.parts().len(), corner.area().get()), (2, 200.0));
    // Drawn the other way round it is the same square.
    let reversed = svg("M10 0V10H20V0Z");
    assert_eq!(Region::union(&[&a, &reversed]).area().get(), 200.0);
    let mirrored = a.transform(kurbo::Affine::FLIP_X);
    assert_eq!(Region::union(&[&a, &mirrored]).area().get(), 200.0);
}

#[test]
fn nested_holes_and_islands() {
    let d = "M0 0H40V40H0ZM5 5H35V35H5ZM10 10H30V30H10ZM15 15H25V25H15Z";
    let nested = Region::from_path(&BezPath::from_svg(d).expect("path data"), FillRule::EvenOdd).expect("finite");
    let parts = nested.parts();
    let areas: Vec<f64> = parts.iter().map(|p| p.area().get()).collect();
    assert_eq!(areas, [1600.0 - 900.0, 400.0 - 100.0]);
    assert!(nested.contains((2.0, 2.0).into()) && !nested.contains((7.0, 7.0).into()));
    assert!(nested.contains((12.0, 12.0).into()) && !nested.contains((20.0, 20.0).into()));
    // The inner ring of 5 mm closes when shrunk by 2.5 mm on both sides, and so does the outer one.
    // Not so with round corners: what is left are the crumbs in the eight outer corners.
    let mitre = Corners::Mitre { limit: 4.0 };
    assert!(nested.offset(Mm::new(-2.51), mitre).is_empty());
    assert_eq!(nested.offset(Mm::new(-2.51), Corners::Round).parts().len(), 8);
    // Grown by 2.5 mm the gap of 5 mm closes and the hole of 10 mm becomes one of 5 mm.
    let grown = nested.offset(Mm::new(2.51), mitre);
    assert_eq!(grown.contours().len(), 2);
    assert!((grown.area().get() - (45.02 * 45.02 - 4.98 * 4.98)).abs() < 1e-6);
}

#[test]
fn a_comb_closes_and_a_dumb_bell_splits() {
    // Gaps of 2 mm close when grown by 1 mm and more.
    let mut comb = rect(0.0, 0.0, 33.0, 5.0);
    for i in 0..7 {
        comb = Region::union(&[&comb, &rect(5.0 * f64::from(i), 4.0, 3.0, 11.0)]);
    }
    let mitre = Corners::Mitre { limit: 4.0 };
    assert!((comb.area().get() - (33.0 * 5.0 + 7.0 * 30.0)).abs() < 1e-9);
    assert_eq!(comb.offset(Mm::new(1.0), mitre).area().get(), 35.0 * 17.0);
    // A neck of 2 mm is lost when shrunk by more than 1 mm.
    let bell = svg("M0 0H10V4H20V0H30V10H20V6H10V10H0Z");
    let halves = bell.offset(Mm::new(-1.1), mitre);
    assert_eq!(halves.parts().len(), 2);
    assert!((halves.area().get() - 2.0 * 7.8 * 7.8).abs() < 1e-6);
}

#[test]
fn strokes_follow_svg() {
    let path = BezPath::from_svg("M0 0H20V20").expect("path data");
    let stroke = |corners, caps| Region::from_stroke(&path, Mm::new(4.0), corners, caps).expect("finite");
    // Two arms of 20 by 4 overlap in a quarter of the corner square; what lies outside of it is the join.
    let bare = 2.0 * 80.0 - 4.0;
    let area = |corners, caps| stroke(corners, caps).area().get();
    assert_eq!(area(Corners::Mitre { limit: 4.0 }, Caps::Butt), bare + 4.0);
    assert_eq!(area(Corners::Bevel, Caps::Butt), bare + 2.0);
    assert_eq!(area(Corners::Mitre { limit: 1.0 }, Caps::Butt), bare + 2.0);
    near(&stroke(Corners::Round, Caps::Butt), bare + PI);
    assert_eq!(area(Corners::Bevel, Caps::Square), bare + 2.0 + 2.0 * 8.0);
    near(&stroke(Corners::Bevel, Caps::Round), bare + 2.0 + 4.0 * PI);
    // A closed line has no caps: a frame.
    let frame = BezPath::from_svg("M0 0H20V20H0Z").expect("path data");
    let frame = Region::from_stroke(&frame, Mm::new(4.0), Corners::Mitre { limit: 4.0 }, Caps::Round);
    assert_eq!(frame.expect("finite").area().get(), 24.0 * 24.0 - 16.0 * 16.0);
    // A line without length is a dot (SVG 2, 13.5.5).
    let dot = BezPath::from_svg("M5 5Z").expect("path data");
    let dot = |caps| Region::from_stroke(&dot, Mm::new(4.0), Corners::Round, caps).expect("finite");
    assert!(dot(Caps::Butt).is_empty());
    assert!((dot(Caps::Square).area().get() - 16.0).abs() < 1e-5);
    near(&dot(Caps::Round), 4.0 * PI);
}

#[test]
fn what_is_left_alone_keeps_its_curves() {
    let disc_path = Circle::new((50.0, 50.0), 10.0).to_path(1e-2);
    let disc = region(&disc_path);
    assert_eq!(disc.contours(), std::slice::from_ref(&disc_path));
    let plate = rect(0.0, 0.0, 100.0, 100.0);
    // A hole keeps its curves, and a weld elsewhere leaves them alone.
    let drilled = Region::union(&[&plate.subtract(&disc), &rect(95.0, 40.0, 20.0, 20.0)]);
    assert_eq!(drilled.contours()[1], disc_path.reverse_subpaths());
    // Welding a disc with what lies inside it changes nothing.
    assert_eq!(Region::union(&[&disc, &rect(48.0, 48.0, 4.0, 4.0)]), disc);
}
