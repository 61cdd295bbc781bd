//! Distances, excesses, thin walls and doubled lines, against closed forms and the reference library.

use super::oracle;
use geos::Geom;
use kerfbook::geometry::{
    FillRule, Region, doubled_lines, farthest_outside, is_closed, length, nearest, subpaths, thin_places,
};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Circle, Point, Rect, Shape};

fn path(d: &str) -> BezPath {
    BezPath::from_svg(d).expect("path data")
}

fn region(d: &str) -> Region {
    Region::from_path(&path(d), FillRule::NonZero).expect("finite")
}

fn disc(x: f64, y: f64, r: f64) -> Region {
    Region::from_path(&Circle::new((x, y), r).to_path(1e-4), FillRule::NonZero).expect("finite")
}

fn rect(x: f64, y: f64, w: f64, h: f64) -> Region {
    Region::from_path(&Rect::new(x, y, x + w, y + h).to_path(0.1), FillRule::NonZero).expect("finite")
}

#[test]
fn lengths_of_curves() {
    // A Pythagorean hodograph cubic: speed 30 (1 - 2 t (1 - t)), length 20 exactly (R. Farouki).
    assert!((length(&path("M0 0C0 10 10 10 10 0")).get() - 20.0).abs() < 1e-6);
    // A jump between subpaths is no length; a closing line is.
    assert!((length(&path("M0 0H3V4ZM100 0H105")).get() - 17.0).abs() < 1e-9);
    // The perimeter of an ellipse with half axes 30 and 20 (complete elliptic integral, DLMF chapter 19).
    let ellipse = Affine::scale_non_uniform(30.0, 20.0) * Circle::new((0.0, 0.0), 1.0).to_path(1e-9);
    assert!((length(&ellipse).get() - 158.654_395_892_9).abs() < 1e-4);
}

#[test]
fn subpaths_follow_svg() {
    let found = subpaths(&path("M0 0H5V5ZL9 9M3 3H4"));
    let expected = [path("M0 0H5V5Z"), path("M0 0L9 9"), path("M3 3H4")];
    assert_eq!(found, expected);
    let closed: Vec<bool> = found.iter().map(is_closed).collect();
    assert_eq!(closed, [true, false, false]);
    assert!(is_closed(&path("M0 0H5V5L0 0")));
    assert!(!is_closed(&path("M0 0")));
}

#[test]
fn nearest_places_of_simple_lines() {
    let found = nearest(&[path("M0 0H10")], &[path("M3 4V9"), path("M50 50H60")]).expect("lines");
    assert_eq!(
        (found.distance, found.on_a, found.on_b),
        (Mm::new(4.0), Point::new(3.0, 0.0), Point::new(3.0, 4.0))
    );
    let crossing = nearest(&[path("M0 0L10 10")], &[path("M0 10L10 0")]).expect("lines");
    assert_eq!((crossing.distance, crossing.on_a), (Mm::ZERO, Point::new(5.0, 5.0)));
    assert!(nearest(&[], &[path("M0 0H10")]).is_none());
    // Two circles: the distance of the centres less the radii.
    let circles = [Circle::new((0.0, 0.0), 10.0).to_path(1e-4), Circle::new((30.0, 40.0), 15.0).to_path(1e-4)];
    let gap = nearest(&circles[..1], &circles[1..]).expect("circles").distance;
    assert!((gap.get() - 25.0).abs() < 0.004, "{gap}");
}

#[test]
fn nearest_places_agree_with_geos() {
    let outlines = oracle::outlines();
    for (a, b) in outlines.iter().zip(outlines.iter().skip(1)) {
        let a = oracle::chords(&a.path, 0.01);
        let b = oracle::moved(&oracle::chords(&b.path, 0.01), 41.0, 33.0);
        let expected = oracle::lines(&a).distance(&oracle::lines(&b)).expect("a distance");
        let found = nearest(&[a], &[b]).expect("lines");
        assert!((found.distance.get() - expected).abs() < 1e-9, "{} {expected}", found.distance);
    }
}

#[test]
fn what_sticks_out() {
    let sheet = rect(0.0, 0.0, 100.0, 60.0);
    assert_eq!(rect(10.0, 10.0, 20.0, 20.0).farthest_outside(&sheet), None);
    assert_eq!(sheet.farthest_outside(&sheet), None);
    let (at, by) = rect(90.0, 50.0, 20.0, 20.0).farthest_outside(&sheet).expect("it sticks out");
    // The far corner is 10 mm beyond both edges.
    assert_eq!(at, Point::new(110.0, 70.0));
    assert!((by.get() - 200.0_f64.sqrt()).abs() < 1e-9);
    let (_, by) = disc(100.0, 30.0, 5.0).farthest_outside(&sheet).expect("it sticks out");
    assert!((by.get() - 5.0).abs() < 0.003);
    assert_eq!(farthest_outside(&[path("M0 0L100 60")], &sheet), None);
    let (at, by) = farthest_outside(&[path("M10 10L10 -7L20 10")], &sheet).expect("it sticks out");
    assert_eq!((at, by), (Point::new(10.0, -7.0), Mm::new(7.0)));
}

#[test]
fn what_sticks_out_into_a_hole() {
    let ring = disc(0.0, 0.0, 20.0).subtract(&disc(0.0, 0.0, 12.0));
    // The disc covers the hole; its midst is farthest from the ring, though its border lies on the ring.
    let (at, by) = disc(0.0, 0.0, 15.0).farthest_outside(&ring).expect("it covers the hole");
    assert!((by.get() - 12.0).abs() < 0.3 && at.distance(Point::ZERO) < 0.3, "{at:?} {by}");
    // A chord of the hole is farthest at its middle, which is no node.
    let (at, by) = farthest_outside(&[path("M-15 3L15 3")], &ring).expect("it crosses the hole");
    assert!((by.get() - 9.0).abs() < 0.003 && at.distance(Point::new(0.0, 3.0)) < 0.1, "{at:?} {by}");
}

#[test]
fn interior_points_have_room() {
    let (at, room) = disc(3.0, 4.0, 10.0).interior_point().expect("a disc");
    assert!(at.distance(Point::new(3.0, 4.0)) < 0.3 && (room.get() - 10.0).abs() < 0.2);
    // The inradius of a 30-40-50 triangle is 10, about (10, 10).
    let (at, room) = region("M0 0H30L0 40Z").interior_point().expect("a triangle");
    assert!(at.distance(Point::new(10.0, 10.0)) < 0.5 && (9.8..=10.0).contains(&room.get()));
    // A ring holds a disc of half its width; a slanting hairline one of half its own.
    let ring = disc(0.0, 0.0, 20.0).subtract(&disc(0.0, 0.0, 12.0));
    let (at, room) = ring.interior_point().expect("a ring");
    assert!(ring.contains(at) && (3.9..=4.001).contains(&room.get()));
    let (at, room) = region("M0 0L100 77L100 77.01Z").interior_point().expect("a hairline");
    assert!(room > Mm::ZERO && room.get() < 0.005 && region("M0 0L100 77L100 77.01Z").contains(at));
}

#[test]
fn interior_points_of_real_outlines_are_inside() {
    for outline in oracle::outlines() {
        let region = Region::from_path(&outline.path, outline.rule).expect("finite");
        let geos = oracle::of_region(&region);
        for part in region.parts() {
            let (at, room) = part.interior_point().expect("a part has an inside");
            let disc = Circle::new(at, room.get() * 0.98).to_path(1e-3);
            let disc = Region::from_path(&disc, FillRule::NonZero).expect("finite");
            assert!(geos.contains(&oracle::of_region(&disc)).expect("an answer"), "{}", outline.name);
        }
    }
}

#[test]
fn corners_are_no_thin_walls() {
    let limit = Mm::new(1.0);
    // Squares, a triangle of 60 degrees, a star of 36 degrees, an L, a disc, a plate with a round hole.
    let star = "M0 -20L4.49 -6.18H19.02L7.27 2.36L11.76 16.18L0 7.64L-11.76 16.18L-7.27 2.36L-19.02 -6.18H-4.49Z";
    for sound in ["M0 0H10V10H0Z", "M0 0H20L10 17.3205Z", "M0 0H30V10H10V30H0Z", star] {
        assert_eq!(thin_places(&region(sound), limit), [], "{sound}");
    }
    assert_eq!(thin_places(&disc(0.0, 0.0, 5.0), limit), []);
    assert_eq!(thin_places(&rect(-10.0, -10.0, 20.0, 20.0).subtract(&disc(0.0, 0.0, 8.0)), limit), []);
}

#[test]
fn necks_and_walls_are_measured() {
    let limit = Mm::new(1.0);
    let only = |region: &Region| match &thin_places(region, limit)[..] {
        [one] => (one.at, one.width.get()),
        many => panic!("{many:?}"),
    };
    // Two notches that leave 0.6 mm between their tips.
    let (at, width) = only(&region("M0 0H20L10.3 10L20 20H0L9.7 10Z"));
    assert!((width - 0.6).abs() < 0.01 && at.distance(Point::new(10.0, 10.0)) < 0.02, "{at:?} {width}");
    // A notch that leaves 0.5 mm to the far side.
    let (at, width) = only(&region("M0 0H20V10H11L10 0.5L9 10H0Z"));
    assert!((width - 0.5).abs() < 0.01 && at.distance(Point::new(10.0, 0.25)) < 0.02, "{at:?} {width}");
    // A round hole 0.4 mm from the edge: the thinnest wall between a circle and a line.
    let (at, width) = only(&rect(0.0, 0.0, 30.0, 30.0).subtract(&disc(15.0, 5.4, 5.0)));
    assert!((width - 0.4).abs() < 0.01 && at.distance(Point::new(15.0, 0.2)) < 0.1, "{at:?} {width}");
    // A bridge 8 mm long and 0.8 mm wide between two plates.
    let (at, width) = only(&region("M0 0H10V4.6H18V0H28V10H18V5.4H10V10H0Z"));
    assert!((width - 0.8).abs() < 0.01 && at.distance(Point::new(14.0, 5.0)) < 0.5, "{at:?} {width}");
    // A speck thinner than the limit everywhere counts once, beside a sound plate.
    let speck = Region::union(&[&disc(0.0, 0.0, 5.0), &disc(20.0, 0.0, 0.3)]);
    let (at, width) = only(&speck);
    assert!((width - 0.6).abs() < 0.02 && at.distance(Point::new(20.0, 0.0)) < 0.05, "{at:?} {width}");
}

#[test]
fn a_comb_has_thin_teeth_only_below_its_pitch() {
    // Teeth 1.2 mm wide, 6 mm long.
    let mut comb = path("M0 0H30V10H0Z");
    for i in 0..8 {
        comb.extend(Rect::new(2.0 + 3.2 * f64::from(i), 9.0, 3.2 + 3.2 * f64::from(i), 16.0).to_path(0.1));
    }
    let comb = Region::from_path(&comb, FillRule::NonZero).expect("finite");
    assert_eq!(thin_places(&comb, Mm::new(1.1)), []);
    let found = thin_places(&comb, Mm::new(1.3));
    assert!(
        !found.is_empty() && found.iter().all(|t| (t.width.get() - 1.2).abs() < 1e-3 && t.at.y > 9.0),
        "{found:?}"
    );
}

#[test]
fn thin_places_of_real_outlines_vanish_when_opened() {
    // Opening (J. Serra, mathematical morphology): what is thinner than the limit is lost when the region is
    // shrunk by half of it. So no place that is told may survive shrinking by half its limit.
    let limit = 1.5;
    for outline in oracle::outlines() {
        let region = Region::from_path(&outline.path, outline.rule).expect("finite");
        let core = oracle::of_region(&region).buffer(-0.5 * limit, 32).expect("a buffer");
        for thin in thin_places(&region, Mm::new(limit)) {
            assert!(region.contains(thin.at), "{} {thin:?}", outline.name);
            assert!(thin.width.get() < limit);
            let point = oracle::point(thin.at);
            assert!(!core.contains(&point).expect("an answer"), "{} {thin:?}", outline.name);
        }
    }
}

#[test]
fn lines_that_run_over_each_other() {
    let find = |lines: &[&str]| {
        let lines: Vec<BezPath> = lines.iter().map(|d| path(d)).collect();
        doubled_lines(&lines, Mm::new(0.05), Mm::new(1.0))
    };
    // Crossings, corners, a touching end, lines farther apart than the tolerance.
    assert_eq!(find(&["M0 0L10 10", "M0 10L10 0", "M10 10V20", "M20 0H30", "M20 0.1H30"]), []);
    assert_eq!(find(&["M0 0H10V10H0Z", "M0 0C2 10 8 10 10 0"]), []);
    // The same line reversed and broken elsewhere.
    let [one] = find(&["M0 0H10", "M8 0L3.3 0L2 0"])[..] else { panic!("one stretch") };
    assert_eq!((one.first, one.second), (0, 1));
    assert!((one.length.get() - 6.1).abs() < 1e-6 && one.at.distance(Point::new(5.0, 0.0)) < 1e-6, "{one:?}");
    // Two squares that share an edge.
    let [one] = find(&["M0 0H10V10H0Z", "M10 0H20V10H10Z"])[..] else { panic!("one stretch") };
    assert!((one.length.get() - 10.0).abs() < 0.2 && one.at.distance(Point::new(10.0, 5.0)) < 0.1, "{one:?}");
    // A line that comes back over itself.
    let [one] = find(&["M0 0H10V5H20V5.01H10V0.02H4"])[..] else { panic!("one stretch") };
    assert_eq!((one.first, one.second), (0, 0));
    assert!((one.length.get() - 20.9).abs() < 0.3, "{one:?}");
    // Too short a stretch.
    assert_eq!(find(&["M0 0H10", "M5 0H5.8"]), []);
    // The same circle twice, drawn with different curves.
    let circles = [Circle::new((0.0, 0.0), 10.0).to_path(1e-2), Circle::new((0.0, 0.0), 10.0).to_path(1e-5)];
    let [one] = doubled_lines(&circles, Mm::new(0.05), Mm::new(1.0))[..] else { panic!("one stretch") };
    assert!((one.length.get() - 62.83).abs() < 0.1, "{one:?}");
}

#[test]
fn doubled_parts_of_real_outlines_are_found() {
    // Planted: each outline, and a copy of it that is reversed and cut at other places.
    for outline in oracle::outlines() {
        let whole = oracle::chords(&outline.path, 0.01);
        let total: f64 = length(&whole).get();
        let copy = oracle::moved(&whole, 0.01, -0.01).reverse_subpaths();
        let found = doubled_lines(&[whole, copy], Mm::new(0.05), Mm::new(1.0));
        let doubled: f64 = found.iter().filter(|d| d.first == 0 && d.second == 1).map(|d| d.length.get()).sum();
        assert!(doubled > 0.97 * total, "{}: {doubled} of {total}", outline.name);
    }
}
