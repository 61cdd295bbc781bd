//! Small cases that generated tests found, kept by name.

use super::oracle::{self, allowed_beside, differs_by_no_more};
use geos::{CapStyle, Geom, JoinStyle};
use kerfbook::geometry::{Caps, Corners, FillRule, Region};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath};

fn path(d: &str) -> BezPath {
    BezPath::from_svg(d).expect("path data")
}

fn region(path: &BezPath, rule: FillRule) -> Region {
    Region::from_path(path, rule).expect("finite")
}

#[track_caller]
fn agree(found: &Region, expected: &geos::Geometry) {
    assert_eq!(oracle::sound(found), Ok(()));
    assert_eq!(differs_by_no_more(found, expected, allowed_beside(found, expected)), Ok(()));
}

#[test]
fn a_curve_that_crosses_itself_keeps_both_its_lobes() {
    let loops = path("M0,0 C18.2,29.2 0,24 4.7,0 Z");
    let expected = oracle::of_path(&oracle::chords(&loops, 1e-4), FillRule::NonZero);
    agree(&region(&loops, FillRule::NonZero), &expected);
}

#[test]
fn a_short_line_with_butt_caps_is_a_bar() {
    let line = path("M5 0H6");
    let bar = Region::from_stroke(&line, Mm::new(4.0), Corners::Round, Caps::Butt).expect("finite");
    agree(&bar, &oracle::stroke(&line, 4.0, CapStyle::Flat, JoinStyle::Round));
    assert!((bar.area().get() - 4.0).abs() < 1e-9, "{}", bar.area());
}

#[test]
fn a_needle_and_its_near_copy_weld_to_a_needle() {
    let needle = path("M0.0236,0.0686 L-0.0236,-0.0686 L24.1396,-8.2849 Z");
    let copy = Affine::rotate(1e-5) * Affine::translate((1e-4, -1e-4)) * needle.clone();
    let (a, b) = (region(&needle, FillRule::NonZero), region(&copy, FillRule::NonZero));
    let (ga, gb) = (oracle::of_region(&a), oracle::of_region(&b));
    agree(&Region::union(&[&a, &b]), &ga.union(&gb).expect("an answer"));
    agree(&a.overlap(&b), &ga.intersection(&gb).expect("an answer"));
}

#[test]
fn a_hairline_across_a_corner_leaves_a_sound_outline() {
    let corner = path("M4,5 L0,4 L0,0 L0,0 Z M0,6 L2,5 L10,2 Z");
    let hairlines = path(
        "M-0.0000075456,0.00024988610 L0.0000075456,-0.00024988610 L34.47747439,1.04108761 Z \
         M-0.0073229356,0.00510364336 L0.0073229356,-0.00510364336 L6.54717117,9.39417386 Z",
    );
    let hairlines = Affine::translate((2.423_926_782_965_366_6, 3.043_567_702_969_133)) * hairlines;
    let (a, b) = (region(&corner, FillRule::EvenOdd), region(&hairlines, FillRule::NonZero));
    let (ga, gb) = (oracle::of_region(&a), oracle::of_region(&b));
    agree(&Region::union(&[&a, &b]), &ga.union(&gb).expect("an answer"));
}

/// Eleven corners, one of them shaken by less than a micrometre in the second copy: their weld has a step of that size.
fn nearly_twice() -> Region {
    let rest = "L-9.594929736144975,-2.8173255684142937 L-7.203468073398137,-8.31324531789684 \
                L-1.7077780592794227,-11.877857302571192 L4.15415013001886,-9.096319953545185 \
                L9.253788861142993,-5.947048992011572 Z";
    let begin = "M10,0 L9.253788861142993,5.947048992011573 L4.984980156022637,10.91558394425422 \
                 L-1.4231483827328502,9.898214418809328 L-7.203468073398135,8.313245317896842";
    let first = format!("{begin} L-11.513753328410232,3.3800337286319437 {rest}");
    let second = format!("{begin} L-11.513253199034908,3.3808659907366425 {rest}");
    region(&path(&(first + &second)), FillRule::NonZero)
}

#[test]
fn a_step_of_a_micrometre_does_not_lose_the_area_by_growing() {
    let area = nearly_twice();
    for corners in [Corners::Round, Corners::Bevel, Corners::Mitre { limit: 4.0 }] {
        let grown = area.offset(Mm::new(0.05), corners);
        assert!(area.area() <= grown.area(), "{corners:?}: {} of {}", grown.area(), area.area());
    }
}

#[test]
fn a_wide_pen_inks_a_short_hook() {
    let hook = path("M0 3L1 2L1 5");
    for caps in [Caps::Butt, Caps::Round, Caps::Square] {
        let found = Region::from_stroke(&hook, Mm::new(5.5), Corners::Round, caps).expect("finite");
        agree(&found, &oracle::inked(&hook, 5.5, caps));
    }
}

/// What a line inks, as [`agree`] does, with the tolerance of curves that are drawn anew.
#[track_caller]
fn inks(line: &str, width: f64, caps: Caps) {
    let line = path(line);
    let found = Region::from_stroke(&line, Mm::new(width), Corners::Round, caps).expect("finite");
    let expected = oracle::inked(&line, width, caps);
    let bound = 0.004 * (1.0 + oracle::perimeter(&expected));
    assert_eq!((oracle::sound(&found), differs_by_no_more(&found, &expected, bound)), (Ok(()), Ok(())));
}

#[test]
fn a_wide_pen_with_butt_caps_inks_what_sticks_out_behind_a_short_first_line() {
    // The bar of the second line reaches 0.496 mm back behind the start of the first: by hand, a triangle of 0.246 mm².
    inks("M2 3L2 4L1 5", 4.230_983_699_400_118, Caps::Butt);
}

#[test]
fn bars_that_only_share_an_edge_are_one() {
    inks("M5 4L0 3", 5.881_843_283_331_934, Caps::Square);
    inks("M5 3L1 2L4 1", 5.230_946_335_473_948, Caps::Butt);
    inks("M2 1L4 2L0 1", 4.026_302_306_724_302, Caps::Butt);
    inks(
        "M0 18.38759773654107V5.383921714388793V0V2.768357646491178L23.391191185256684 2.774855572690312",
        3.453_927_810_109_300_3,
        Caps::Square,
    );
}

/// Two loops of one curve each that meet in a point.
fn eight(width: f64, height: f64) -> Region {
    let d = format!("M0,0 C{width},{height} {width},-{height} 0,0 C-{width},{height} -{width},-{height} 0,0 Z");
    region(&path(&d), FillRule::NonZero)
}

#[test]
fn a_figure_of_eight_grows() {
    for (w, h, by) in [
        (9.965_597_469_510_68, 11.089_143_536_316_499, 5.191_269_997_678_058),
        (2.882_267_889_096_666, 2.875_528_356_215_577_6, 1.778),
    ] {
        let area = eight(w, h);
        let expected = oracle::of_region(&area).buffer(by, 64).expect("a buffer");
        let grown = area.offset(Mm::new(by), Corners::Round);
        assert_eq!(differs_by_no_more(&grown, &expected, 0.004 * (1.0 + oracle::perimeter(&expected))), Ok(()));
    }
}

#[test]
fn a_cusp_is_inked_as_far_as_the_pen_reaches() {
    let cusp = path(
        "M0 38.82752936978781C28.137055145210898 0 0 24.54624783342864 0 24.080590455847908L0 38.82752936978781",
    );
    let width = 4.664_805_848_762_567;
    let found = Region::from_stroke(&cusp, Mm::new(width), Corners::Round, Caps::Round).expect("finite");
    let expected = oracle::inked(&oracle::chords(&cusp, 1e-4), width, Caps::Round);
    assert_eq!(differs_by_no_more(&found, &expected, 0.003 * (1.0 + found.perimeter().get())), Ok(()));
}

#[test]
fn a_weld_keeps_its_order_when_it_is_welded_again() {
    // Curves that are cut short have other nodes when they are flattened again.
    let star = path(
        "M-18.2118 0L-0.6439 -0.6439L0 -18.2118L0.6439 -0.6439L18.2118 0L0.6439 0.6439L0 18.2118L-0.6439 0.6439Z",
    );
    let ring = path(
        "M0 16.0445C-5.7322 16.0445 -11.0289 12.9865 -13.895 8.0223C-16.7611 3.0581 -16.7611 -3.0581 -13.895 -8.0223\
         C-11.0289 -12.9865 -5.7322 -16.0445 0 -16.0445C5.7322 -16.0445 11.0289 -12.9865 13.895 -8.0223\
         C16.7611 -3.0581 16.7611 3.0581 13.895 8.0223C11.0289 12.9865 5.7322 16.0445 0 16.0445Z\
         M0 12.0359C5.2143 12.0359 9.8355 8.6784 11.4468 3.7193C13.0581 -1.2398 11.293 -6.6724 7.0745 -9.7372\
         C2.8561 -12.8021 -2.8561 -12.8021 -7.0745 -9.7372C-11.293 -6.6724 -13.0581 -1.2398 -11.4468 3.7193\
         C-9.8355 8.6784 -5.2143 12.0359 0 12.0359Z",
    );
    let triangle = path("M-0.8395 0.5434L-0.0553 -0.0855L0.0553 0.0855Z");
    let plate = path("M0 0H12.0525V6.0263H0Z");
    let weld = |a: &Region, b: &Region| {
        let weld = Region::union(&[a, b]);
        assert_eq!(weld, Region::union(&[b, a]));
        assert_eq!(weld, Region::union(&[&weld, &weld]));
    };
    weld(&region(&star, FillRule::NonZero), &region(&ring, FillRule::EvenOdd));
    let loops = path(
        "M0 0C-10.312275912414288 -18.12983059415176 10.312275912414284 -18.12983059415176 0 0Z\
                      M0 0C10.312275912414288 18.12983059415176 -10.312275912414284 18.12983059415176 0 0Z",
    );
    weld(&region(&triangle, FillRule::NonZero), &region(&loops, FillRule::NonZero));
    weld(&region(&plate, FillRule::NonZero), &eight(18.351_648_248_098_805, 6.611_047_569_185_978));
}

#[test]
fn a_notch_of_a_step_of_the_lattice_makes_no_spike() {
    let notched = "M-11.8657,-1.7906 L-7.5117,-6.6011 L-3.0254,-10.5758 L2.8842,-9.5751 L8.3633,-7.1453 L11.8895,-1.6249 \
                   L9.0671,4.2175 L5.8824,9.295 L-0.0836,11.9997 L-0.0837,11.9996 L-0.0838,11.9997 L-5.4649,8.3746 \
                   L-10.0376,4.4997 Z";
    let whole = region(&path(&notched.replace(" L-0.0837,11.9996 L-0.0838,11.9997", "")), FillRule::NonZero);
    let corners = Corners::Mitre { limit: 4.0 };
    let [expected, found] = [whole, region(&path(notched), FillRule::NonZero)]
        .map(|area| area.offset(Mm::new(4.715_476_748_603_515), corners));
    // A corner that is moved by 0.0002 mm moves the tip of its mitre by little more.
    assert_eq!(
        differs_by_no_more(&found, &oracle::of_region(&expected), 0.001 * expected.perimeter().get()),
        Ok(())
    );
}

#[test]
fn slivers_between_near_copies_may_be_dropped() {
    let begin = "M10,0 L9.253788861142993,5.947048992011573 L4.984980156022637,10.91558394425422 \
                 L-1.4231483827328502,9.898214418809328 L-7.203468073398135,8.313245317896842 \
                 L-11.513915683373968,3.380790682097156";
    let first = "L-9.594929736144975,-2.8173255684142937 L-7.203468073398137,-8.31324531789684 \
                 L-1.7077780592794227,-11.877857302571192 L4.15415013001886,-9.096319953545185 \
                 L9.253788861142993,-5.947048992011572 Z";
    let second = "L-9.594925461946369,-2.8173255684142937 L-7.203459542932581,-8.313236281985748 \
                  L-1.7077780592794227,-11.877853507709442 L4.1541544107397925,-9.096323795465523 \
                  L9.253797156360266,-5.947056587176489 Z";
    let copies = path(&format!("{begin} {first} {begin} {second}"));
    agree(&region(&copies, FillRule::EvenOdd), &oracle::of_path(&copies, FillRule::EvenOdd));
}

#[test]
fn rays_at_the_height_of_nodes_are_told_right() {
    for (d, rule) in [
        (
            "M0,0 L-3,3 L0.00000000000000018369701987210297,3 L-6,0.00000000000000036739403974420594 L-0.9999999999999996,8 Z \
          M-2,1.0000000000000002 L-2,0.00000000000000012246467991473532 L-1.9999999999999998,4 Z",
            FillRule::NonZero,
        ),
        (
            "M-0.9999999999999997,6 L-3,1.0000000000000002 L-3,3 L-1,0.00000000000000006123233995736766 Z \
          M0.00000000000000012246467991473532,2 L-3,2 L0.00000000000000012246467991473532,2 Z",
            FillRule::EvenOdd,
        ),
    ] {
        let path = path(d);
        agree(&region(&path, rule), &oracle::of_path(&path, rule));
    }
}
