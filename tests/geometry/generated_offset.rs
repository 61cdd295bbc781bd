//! Generated shapes grown, shrunk and drawn with pens, against the reference library and against true distances.

use super::oracle::{self, allowed, differs_by_no_more};
use super::shapes::{Shape, config, open_lines, shapes};
use geos::{CapStyle, Geom, JoinStyle};
use kerfbook::geometry::{Caps, Corners, DEVIATION, Region};
use kerfbook::units::Mm;
use kurbo::Affine;
use proptest::prelude::*;

fn region(shape: &Shape) -> Region {
    Region::from_path(&shape.path, shape.rule).expect("finite")
}

fn distances() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.05), Just(-0.05), Just(0.1), Just(-0.1), Just(1.778), Just(-0.5), -4.0..6.0_f64]
        .prop_filter("no offset", |by: &f64| by.abs() > 1e-3)
}

fn corners() -> impl Strategy<Value = Corners> {
    prop_oneof![
        Just(Corners::Round),
        Just(Corners::Bevel),
        (1.0..8.0_f64).prop_map(|limit| Corners::Mitre { limit })
    ]
}

proptest! {
    #![proptest_config(config(64))]

    #[test]
    fn round_offsets_agree_with_geos(shape in shapes(), by in distances()) {
        let area = region(&shape);
        let found = area.offset(Mm::new(by), Corners::Round);
        oracle::sound(&found).map_err(TestCaseError::fail)?;
        let reference = oracle::of_region(&area);
        let expected = reference.buffer_with_style(by, 64, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer");
        // What is thinner than the tolerances may be there or not.
        let bound = 0.004 * (1.0 + oracle::perimeter(&expected)) + allowed(&found);
        differs_by_no_more(&found, &expected, bound).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn round_offsets_lie_at_their_distance(shape in shapes(), by in distances()) {
        let area = region(&shape);
        let found = area.offset(Mm::new(by), Corners::Round);
        prop_assume!(!area.is_empty() && !found.is_empty());
        let (least, greatest) = oracle::distances(&area, &found);
        let wrong = (least - by.abs()).abs().max((greatest - by.abs()).abs());
        prop_assert!(wrong <= DEVIATION.get(), "from {least} to {greatest} instead of {}", by.abs());
    }

    #[test]
    fn offsets_with_corners_lie_between_their_bounds(shape in shapes(), by in distances(), corners in corners()) {
        let area = region(&shape);
        let found = area.offset(Mm::new(by), corners);
        oracle::sound(&found).map_err(TestCaseError::fail)?;
        // A bevel stays within the round corner, a mitre goes no farther than its limit; neither comes nearer to the
        // outline than the bevel of its corner, which is the outline itself at the sharpest.
        let limit = if let Corners::Mitre { limit } = corners { limit } else { 1.0 };
        let reference = oracle::of_region(&area);
        let grown = |by: f64| reference.buffer_with_style(by, 64, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer");
        let (outer, inner) =
            if by > 0.0 { (grown(by * limit + 0.011), Geom::clone(&reference).expect("a copy")) } else { (Geom::clone(&reference).expect("a copy"), grown(by * limit - 0.011)) };
        let mine = oracle::of_region(&found);
        let outside = mine.difference(&outer).and_then(|d| d.area()).expect("an area");
        let missing = inner.difference(&mine).and_then(|d| d.area()).expect("an area");
        let bound = 1e-3 * (1.0 + found.perimeter().get());
        prop_assert!(outside <= bound && missing <= bound, "{outside} mm² too far out, {missing} mm² too far in");
    }

    #[test]
    fn mitred_offsets_agree_with_geos_within_the_limit(shape in shapes(), by in distances()) {
        // A limit that no corner of an outline that turns by less than 150 degrees reaches: engines differ beyond it. GEOS
        // drops what stands out by less than a hundredth of the distance, which makes some corners sharper first; and where
        // an edge is as short as that, it or its absence decides how far a tip reaches.
        let area = region(&shape);
        let flat = oracle::of_region(&area);
        let as_thinned = [0.002, 0.01 * by.abs(), 0.02 * by.abs()];
        prop_assume!(as_thinned.into_iter().all(|tolerance| oracle::sharpest_turn(&area, tolerance) < 150.0));
        prop_assume!(oracle::shortest_line(&area) > 0.02 * by.abs());
        let limit = 4.0;
        let found = area.offset(Mm::new(by), Corners::Mitre { limit });
        let expected = flat.buffer_with_style(by, 64, CapStyle::Round, JoinStyle::Mitre, limit).expect("a buffer");
        let bound = 0.004 * (1.0 + oracle::perimeter(&expected)) + allowed(&found);
        differs_by_no_more(&found, &expected, bound).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn lines_are_inked_as_svg_says(
        line in open_lines(),
        width in 0.05..6.0_f64,
        caps in prop_oneof![Just(Caps::Butt), Just(Caps::Round), Just(Caps::Square)],
    ) {
        let found = Region::from_stroke(&line, Mm::new(width), Corners::Round, caps).expect("finite");
        oracle::sound(&found).map_err(TestCaseError::fail)?;
        let expected = oracle::inked(&line, width, caps);
        let bound = 0.004 * (1.0 + oracle::perimeter(&expected)) + allowed(&found);
        differs_by_no_more(&found, &expected, bound).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn growing_and_shrinking_nest(shape in shapes(), by in 0.02..2.0_f64) {
        let area = region(&shape);
        let reference = oracle::of_region(&area);
        let grown = oracle::of_region(&area.offset(Mm::new(by), Corners::Round));
        let shrunk = oracle::of_region(&area.offset(Mm::new(-by), Corners::Round));
        let lost = reference.difference(&grown).and_then(|d| d.area()).expect("an area");
        let gained = shrunk.difference(&reference).and_then(|d| d.area()).expect("an area");
        prop_assert!(lost <= 1e-3 && gained <= 1e-3, "{lost} mm² lost by growing, {gained} mm² gained by shrinking");
    }

    #[test]
    fn three_metres_away_offsets_are_the_same(shape in shapes(), by in distances()) {
        let far = Affine::translate((3_000.0, -3_000.0));
        let moved = Shape { path: far * shape.path.clone(), ..shape.clone() };
        let here = region(&shape).offset(Mm::new(by), Corners::Round);
        let there = region(&moved).offset(Mm::new(by), Corners::Round).transform(far.inverse());
        differs_by_no_more(&there, &oracle::of_region(&here), 1e-3 * (1.0 + here.perimeter().get())).map_err(TestCaseError::fail)?;
    }
}
