//! Small cases that generated tests found, kept by name.

use super::oracle::{self, allowed, differs_by_no_more};
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
    assert_eq!(differs_by_no_more(found, expected, allowed(found)), Ok(()));
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
