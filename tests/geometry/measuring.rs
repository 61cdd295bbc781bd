//! Distances, excesses, thin walls and doubled lines, against closed forms and the reference library.

use super::oracle;
use geos::Geom;
use kerfbook::geometry::{
    Corners, EndNear, FillRule, MOST_CROSSINGS, Region, Thin, crossings, doubled_lines, farthest_outside,
    is_closed, length, nearest, open_ends, sharp_tips, smallest_hole, smallest_part, subpaths, thin_gaps,
    thin_places,
};
use kerfbook::units::{Degrees, Mm};
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

#[test]
fn gaps_are_measured_and_notches_are_none() {
    let limit = Mm::new(1.0);
    // A square, a star, an L, a V of 5 degrees and a plate with a V-shaped notch of 15 degrees have no gap.
    let star = "M0 -20L4.49 -6.18H19.02L7.27 2.36L11.76 16.18L0 7.64L-11.76 16.18L-7.27 2.36L-19.02 -6.18H-4.49Z";
    let notch = "M0 0H20V10H11.32L10 0.01L8.68 10H0Z";
    let needle = "M0 0H20V10H10.44L10 0.01L9.56 10H0Z";
    for sound in ["M0 0H10V10H0Z", "M0 0H30V10H10V30H0Z", star, notch, needle] {
        assert_eq!(thin_gaps(&region(sound), limit), [], "{sound}");
    }
    let only = |region: &Region| match &thin_gaps(region, limit)[..] {
        [one] => (one.at, one.width.get()),
        many => panic!("{many:?}"),
    };
    // Between two discs; the width is the distance of the centres less the radii.
    let (at, width) = only(&Region::union(&[&disc(0.0, 0.0, 5.0), &disc(10.4, 0.0, 5.0)]));
    assert!((width - 0.4).abs() < 0.01 && at.distance(Point::new(5.2, 0.0)) < 0.1, "{at:?} {width}");
    // A bay with a mouth of 0.7 mm, and a slot as wide.
    let (at, width) = only(&region("M0 0H30V10H15.35V8H20V2H10V8H14.65V10H0Z"));
    assert!((width - 0.7).abs() < 0.01 && at.distance(Point::new(15.0, 9.0)) < 1.2, "{at:?} {width}");
    let (_, width) = only(&region("M0 0H30V10H15.35V2H14.65V10H0Z"));
    assert!((width - 0.7).abs() < 0.01, "{width}");
    // A hole that is narrower everywhere, beside a sound one.
    let plate = rect(0.0, 0.0, 30.0, 30.0).subtract(&disc(8.0, 8.0, 0.3)).subtract(&disc(20.0, 20.0, 5.0));
    let (at, width) = only(&plate);
    assert!((width - 0.6).abs() < 0.02 && at.distance(Point::new(8.0, 8.0)) < 0.05, "{at:?} {width}");
    assert_eq!(thin_gaps(&Region::empty(), limit), []);
    assert_eq!(thin_gaps(&plate, Mm::new(f64::NAN)), []);
}

#[test]
fn gaps_of_real_outlines_vanish_when_closed() {
    // Closing (J. Serra, mathematical morphology): a gap narrower than the limit is filled when the region is grown
    // by half of it, so no place that is told may stay outside.
    let limit = 1.5;
    for outline in oracle::outlines() {
        let region = Region::from_path(&outline.path, outline.rule).expect("finite");
        let grown = oracle::of_region(&region).buffer(0.5 * limit, 32).expect("a buffer");
        for gap in thin_gaps(&region, Mm::new(limit)) {
            assert!(!region.contains(gap.at), "{} {gap:?}", outline.name);
            assert!(gap.width.get() < limit);
            assert!(grown.contains(&oracle::point(gap.at)).expect("an answer"), "{} {gap:?}", outline.name);
        }
    }
}

#[test]
fn a_slit_through_real_outlines_is_found() {
    // Planted: each outline is cut in two along a line through its middle, 0.6 mm wide.
    let mut planted = 0;
    for outline in oracle::outlines() {
        let whole = Region::from_path(&outline.path, outline.rule).expect("finite");
        let (middle, room) = whole.interior_point().expect("an outline");
        // Where the slit is shorter than three widths it is a notch like any other.
        if room.get() < 2.0 {
            continue;
        }
        planted += 1;
        let slit = whole.subtract(&rect(middle.x - 0.3, -100.0, 0.6, 300.0));
        let found = thin_gaps(&slit, Mm::new(0.7));
        let is_slit = |t: &Thin| (t.width.get() - 0.6).abs() < 0.01 && (t.at.x - middle.x).abs() < 0.01;
        assert!(found.iter().any(is_slit), "{} {found:?}", outline.name);
    }
    assert!(planted > 50, "{planted}");
}

/// A wedge of an angle in degrees, its tip at the origin, on a plate.
fn wedge(angle: f64) -> Region {
    let half = 20.0 * libm::tan((0.5 * angle).to_radians());
    region(&format!("M0 0L20 {half}V30H50V-30H20V{}Z", -half))
}

#[test]
fn tips_have_their_angle_and_their_length() {
    let (width, below) = (Mm::new(0.4), Degrees::new(40.0));
    // The flanks of an angle a are w apart at w / (2 sin (a / 2)) from the tip.
    for angle in [3.0, 10.0, 19.5, 30.0, 39.9] {
        let found = sharp_tips(&wedge(angle), width, below);
        let [tip] = found[..] else { panic!("{angle}: {found:?}") };
        assert!((tip.angle.get() - angle).abs() < 1e-3 && tip.at == Point::ORIGIN, "{tip:?}");
        let length = 0.2 / libm::sin((0.5 * angle).to_radians());
        assert!((tip.length.get() - length).abs() < 1e-3, "{tip:?} {length}");
        assert_eq!(thin_places(&wedge(angle), width), [], "a tip is no wall: {angle}");
    }
    assert_eq!(sharp_tips(&wedge(40.1), width, below), []);
    // Squares, discs, a notch, a finger, and a star of 36 degrees asked for 30.
    let star =
        region("M0 -20L4.49 -6.18H19.02L7.27 2.36L11.76 16.18L0 7.64L-11.76 16.18L-7.27 2.36L-19.02 -6.18H-4.49Z");
    assert_eq!(sharp_tips(&star, width, Degrees::new(30.0)), []);
    assert_eq!(sharp_tips(&star, width, below).len(), 5);
    let finger = region("M0 0H20V9.9H30V10.1H20V20H0Z");
    for sound in
        [rect(0.0, 0.0, 10.0, 10.0), disc(0.0, 0.0, 3.0), region("M0 0H20V10H10.44L10 0.01L9.56 10H0Z"), finger]
    {
        assert_eq!(sharp_tips(&sound, width, below), []);
    }
}

#[test]
fn tips_of_curves_are_found() {
    let width = Mm::new(0.2);
    // Two parabolas y = ± x² / 10 meet in a cusp: they are 0.2 mm apart at x = 1.
    let cusp = region("M10 10Q5 0 0 0Q5 0 10 -10Z");
    let found = sharp_tips(&cusp, width, Degrees::new(45.0));
    let tip = found.iter().find(|t| t.at == Point::ORIGIN).expect("the cusp");
    // The way along a parabola y = x²/10 to x = 1: 1 + 2/300 to second order; chords stray by 0.002 mm.
    assert!((tip.length.get() - 1.0066).abs() < 0.015, "{tip:?}");
    assert!((tip.angle.get() - 11.4).abs() < 0.2, "{tip:?}");
    // A thorn with an end rounded by 0.02 mm, which is flattened to many corners, is one tip.
    let thorn = wedge(10.0).offset(Mm::new(-0.2), Corners::Round).offset(Mm::new(0.02), Corners::Round);
    let found = sharp_tips(&thorn, width, Degrees::new(40.0));
    assert!(found.len() == 1 && (8.0..16.0).contains(&found[0].angle.get()), "{found:?}");
    // A region that a transform has mirrored keeps its tips.
    let mirrored = cusp.transform(Affine::scale_non_uniform(-1.0, 1.0));
    assert_eq!(sharp_tips(&mirrored, width, Degrees::new(20.0)).len(), 1);
}

#[test]
fn thorns_planted_on_real_outlines_are_found() {
    // A thorn of 12 degrees, 3 mm long, grows out of the topmost point of each outline.
    for outline in oracle::outlines() {
        let whole = Region::from_path(&outline.path, outline.rule).expect("finite");
        let chords = oracle::rings(&oracle::chords(&whole.to_path(), 0.01)).concat();
        let top = chords.iter().copied().min_by(|a, b| a.y.total_cmp(&b.y)).expect("a point");
        let half = 6.0 * libm::tan(6_f64.to_radians());
        let (x, y) = (top.x, top.y - 3.0);
        let thorn = region(&format!("M{x} {y}L{} {}H{}Z", x + half, y + 6.0, x - half));
        let found = sharp_tips(&Region::union(&[&whole, &thorn]), Mm::new(0.3), Degrees::new(20.0));
        let planted = found.iter().find(|t| t.at.distance(Point::new(x, y)) < 1e-3);
        let planted = planted.unwrap_or_else(|| panic!("{}: {found:?}", outline.name));
        assert!((planted.angle.get() - 12.0).abs() < 0.01, "{}: {planted:?}", outline.name);
    }
}

fn paths(data: &[&str]) -> Vec<BezPath> {
    data.iter().map(|d| path(d)).collect()
}

#[test]
fn crossings_are_found_once_each() {
    let count = |data: &[&str]| {
        let found = crossings(&paths(data));
        assert!(found.complete);
        let passing = found.places.iter().filter(|c| c.passes).count();
        (passing, found.places.len() - passing)
    };
    // Through the midst of chords, through a corner of one, through corners of both.
    assert_eq!(count(&["M0 0L10 10", "M0 10L10 0"]), (1, 0));
    assert_eq!(count(&["M0 0L5 5L10 10", "M0 10L10 0"]), (1, 0));
    assert_eq!(count(&["M0 0L5 5L10 10", "M0 10L5 5L10 0"]), (1, 0));
    // Ends on a line, an end on an end, corners that touch.
    assert_eq!(count(&["M0 0H10", "M5 0V5", "M5 0V-5"]), (0, 3));
    assert_eq!(count(&["M0 0H10", "M10 0H20"]), (0, 1));
    assert_eq!(count(&["M0 0L5 5L10 0", "M0 10L5 5L10 10"]), (0, 1));
    // A closed outline meets itself nowhere, wherever it starts, and however often a corner is repeated.
    assert_eq!(count(&["M0 0H10V10H0Z", "M20 0H30V10V10H20L20 0", "M45 0H50V10H40V0H45Z"]), (0, 0));
    // Lines on top of each other are no crossings; nor is a line that comes back over itself.
    assert_eq!(count(&["M0 0H10", "M2 0H8", "M20 0H30H22"]), (0, 0));
    // A pentagram: five crossings. A figure-eight through one corner, and one that only touches there.
    let star = crossings(&paths(&["M0 -10L5.878 8.09L-9.511 -3.09H9.511L-5.878 8.09Z"]));
    assert_eq!(star.places.iter().filter(|c| c.passes).count(), 5);
    assert_eq!(count(&["M0 0L10 10V0L0 10Z"]), (1, 0));
    assert_eq!(count(&["M0 0L5 5L10 0V10L5 5L0 10Z"]), (0, 1));
    // The loop of a ribbon: a square of 10 mm sides.
    let [ribbon] = crossings(&paths(&["M-5 0H10V10H0V-5"])).places[..] else { panic!("one crossing") };
    assert_eq!((ribbon.at, ribbon.loop_length), (Point::ORIGIN, Some(Mm::new(40.0))));
}

#[test]
fn crossings_agree_with_geos() {
    // Each outline as it was drawn, and once more turned by 57 degrees over itself.
    let mut met = 0;
    for outline in oracle::outlines() {
        let lines = oracle::rings(&oracle::chords(&outline.path, 0.01));
        let turned: Vec<Vec<Point>> = lines
            .iter()
            .map(|l| l.iter().map(|p| Affine::rotate_about(1.0, (24.0, 24.0)) * *p).collect())
            .collect();
        let all = [lines, turned].concat();
        let drawn: Vec<BezPath> = all
            .iter()
            .map(|line| {
                let mut path = BezPath::new();
                path.move_to(line[0]);
                line[1..].iter().for_each(|p| path.line_to(*p));
                path
            })
            .collect();
        // Where lines run on top of each other, the two do not count alike.
        if !doubled_lines(&drawn, Mm::new(2e-3), Mm::new(0.05)).is_empty() {
            continue;
        }
        let expected = oracle::crossroads(&all);
        let found = crossings(&drawn).places;
        let missed = expected.iter().filter(|e| !found.iter().any(|f| f.at.distance(**e) < 2e-3)).count();
        // A thorn that is drawn forth and back is one way to GEOS, so that it sees no crossroads where it only touches.
        let passing = found.iter().filter(|f| f.passes);
        let surplus = passing.filter(|f| !expected.iter().any(|e| f.at.distance(*e) < 2e-3)).count();
        assert_eq!((missed, surplus), (0, 0), "{}", outline.name);
        met += found.len();
    }
    assert!(met > 1000, "{met}");
}

#[test]
fn crossings_without_end_are_cut_short() {
    let bars = (0..400).flat_map(|i| [format!("M{i} -1V400"), format!("M-1 {i}H400")]);
    let lattice: Vec<BezPath> = bars.map(|d| path(&d)).collect();
    let found = crossings(&lattice);
    assert_eq!((found.places.len(), found.complete), (MOST_CROSSINGS, false));
}

#[test]
fn open_ends_near_something_are_found() {
    use EndNear::{End, Past, Short};
    let find = |data: &[&str]| {
        let found = open_ends(&paths(data), Mm::new(0.5)).into_iter();
        found.map(|e| (e.line, e.other, e.near, (e.gap.get() * 1e6).round() / 1e6)).collect::<Vec<_>>()
    };
    // Ends that meet, lines far apart, a closed outline, an end on a line, a short dash.
    assert_eq!(find(&["M0 0H10", "M10 0V10", "M20 0H30V10H20Z", "M25 0V-5", "M40 0H40.4"]), []);
    assert_eq!(find(&["M0 0H10", "M10.3 0H20"]), [(0, 1, End, 0.3)]);
    // Its own start; the nearest of three; the third falls short of the line of another.
    assert_eq!(find(&["M0 0H10V10H0V0.4"]), [(0, 0, End, 0.4)]);
    assert_eq!(find(&["M0 0H10", "M10.2 0H20", "M9.7 0.4V20"]), [(0, 1, End, 0.2), (2, 0, Short, 0.4)]);
    assert_eq!(find(&["M0 0H10", "M5 0.25V9"]), [(1, 0, Short, 0.25)]);
    assert_eq!(find(&["M0 0H10", "M5 -0.25V9"]), [(1, 0, Past, 0.25)]);
    assert_eq!(open_ends(&paths(&["M0 0H10", "M10.3 0H20"]), Mm::new(f64::NAN)), []);
}

#[test]
fn gaps_planted_in_real_outlines_are_found() {
    // Every outline is opened by 0.3 mm in the midst of its longest chord.
    for outline in oracle::outlines() {
        let clean = Region::from_path(&outline.path, outline.rule).expect("finite");
        let ring = oracle::rings(&oracle::chords(&clean.to_path(), 0.01)).remove(0);
        let far = |i: &usize| ring[*i].distance(ring[*i + 1]);
        let longest = (0..ring.len() - 1).max_by(|a, b| far(a).total_cmp(&far(b))).expect("a chord");
        if far(&longest) < 0.5 {
            continue;
        }
        let (from, to) = (ring[longest], ring[longest + 1]);
        let middle = from.midpoint(to);
        let half = (to - from).normalize() * 0.15;
        let mut opened = BezPath::new();
        opened.move_to(middle + half);
        ring[longest + 1..].iter().for_each(|p| opened.line_to(*p));
        ring[1..=longest].iter().for_each(|p| opened.line_to(*p));
        opened.line_to(middle - half);
        let found = open_ends(&[opened], Mm::new(0.4));
        let [end] = found[..] else { panic!("{}: {found:?}", outline.name) };
        assert!(end.near == EndNear::End && (end.gap.get() - 0.3).abs() < 1e-9, "{}", outline.name);
    }
}

#[test]
fn smallest_parts_and_holes() {
    let plate = rect(0.0, 0.0, 50.0, 50.0).subtract(&rect(5.0, 5.0, 30.0, 2.0)).subtract(&disc(20.0, 30.0, 4.0));
    let region = Region::union(&[&plate, &disc(20.0, 30.0, 1.5), &rect(60.0, 0.0, 10.0, 3.5)]);
    let part = smallest_part(&region).expect("parts");
    assert!((part.across.get() - 3.0).abs() < 0.06 && part.at.distance(Point::new(20.0, 30.0)) < 0.1, "{part:?}");
    assert!((part.area.get() - std::f64::consts::PI * 2.25).abs() < 0.01);
    let hole = smallest_hole(&region).expect("holes");
    // The ring between the discs is 2.5 mm wide, the slot 2.
    assert!((hole.across.get() - 2.0).abs() < 0.04 && (hole.area.get() - 60.0).abs() < 1e-3, "{hole:?}");
    assert_eq!(smallest_hole(&disc(0.0, 0.0, 5.0)), None);
    assert_eq!(smallest_part(&Region::empty()), None);
}

#[test]
fn doubled_lines_are_found_among_dense_chords() {
    // A circle of 100 000 chords of 0.006 mm, and one of 777 chords on top of it: all of it is doubled.
    let ring = |count: usize, radius: f64| {
        let mut path = BezPath::new();
        for i in 0..count {
            let (sine, cosine) = libm::sincos(i as f64 / count as f64 * std::f64::consts::TAU);
            let p = Point::new(radius * cosine, radius * sine);
            if i == 0 { path.move_to(p) } else { path.line_to(p) }
        }
        path.close_path();
        path
    };
    let found = doubled_lines(&[ring(100_000, 100.0), ring(777, 100.01)], Mm::new(0.05), Mm::new(1.0));
    let [one] = found[..] else { panic!("{found:?}") };
    assert!((one.length.get() - 628.3).abs() < 0.1, "{one:?}");
}

#[test]
fn measuring_takes_whatever_it_is_given() {
    let odd = ["M3 3", "M3 3Z", "M3 3L3 3", "M0 0L5 5L0 0Z", "M1 1L1 1L1 1Z", "M0 0H10", "M9 9V9H9"];
    let lines: Vec<BezPath> = odd.iter().map(|d| path(d)).chain([BezPath::new()]).collect();
    let one = Mm::new(1.0);
    crossings(&lines);
    open_ends(&lines, one);
    doubled_lines(&lines, one, one);
    for line in &lines {
        let region = Region::from_path(line, FillRule::NonZero).expect("harmless");
        for width in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300, 1.0] {
            thin_places(&region, Mm::new(width));
            thin_gaps(&region, Mm::new(width));
            sharp_tips(&region, Mm::new(width), Degrees::new(30.0));
        }
    }
    let square = rect(0.0, 0.0, 5.0, 5.0);
    for width in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300, 1e9] {
        thin_places(&square, Mm::new(width));
        thin_gaps(&square, Mm::new(width));
        for angle in [0.0, 30.0, 180.0, 360.0, f64::NAN, f64::INFINITY] {
            sharp_tips(&square, Mm::new(width), Degrees::new(angle));
        }
    }
    for factor in [f64::NAN, f64::INFINITY, 1e300, 0.0] {
        let spoilt = square.transform(Affine::scale(factor));
        thin_places(&spoilt, one);
        thin_gaps(&spoilt, one);
        sharp_tips(&spoilt, one, Degrees::new(30.0));
        smallest_part(&spoilt);
        smallest_hole(&spoilt);
    }
}
