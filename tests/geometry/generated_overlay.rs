//! Generated shapes cleaned, welded and cut, against the reference library: area, holes, validity, order, place.

use super::oracle::{self, allowed, allowed_beside, differs_by_no_more};
use super::shapes::{Shape, config, flat_shapes, shapes};
use geos::{Geom, Geometry};
use kerfbook::geometry::{FLATTEN_TOLERANCE, Region};
use kurbo::{Affine, BezPath, PathEl, PathSeg, Point};
use proptest::prelude::*;

fn region(shape: &Shape) -> Region {
    Region::from_path(&shape.path, shape.rule).expect("finite")
}

/// A path on whole steps of the kernel's lattice, where nothing is rounded.
fn on_lattice(path: &BezPath) -> BezPath {
    let rounded = |v: f64| (v * 1e4).round() / 1e4;
    let snapped = |p: Point| Point::new(rounded(p.x), rounded(p.y));
    let element = |e: PathEl| match e {
        PathEl::MoveTo(p) => PathEl::MoveTo(snapped(p)),
        PathEl::LineTo(p) => PathEl::LineTo(snapped(p)),
        other => other,
    };
    path.iter().map(element).collect()
}

/// Both cover the same, have the same holes, and are sound.
fn agree(found: &Region, expected: &Geometry, what: &str) -> Result<(), TestCaseError> {
    oracle::sound(found).map_err(|why| TestCaseError::fail(format!("{what}: {why}")))?;
    differs_by_no_more(found, expected, allowed_beside(found, expected))
        .map_err(|why| TestCaseError::fail(format!("{what}: {why}")))?;
    let (ours, theirs) = (oracle::of_region(found), expected);
    let holes = |at: f64| (oracle::rooms(&ours, at), oracle::rooms(theirs, at));
    // Where a hole is about as narrow as the measure, one of them may just keep it.
    prop_assert!(
        [0.02, 0.03, 0.05].into_iter().any(|at| holes(at).0 == holes(at).1),
        "{what}: holes {:?}",
        holes(0.02)
    );
    Ok(())
}

proptest! {
    #![proptest_config(config(64))]

    #[test]
    fn shapes_are_cleaned_as_geos_cleans_them(shape in flat_shapes()) {
        agree(&region(&shape), &oracle::of_path(&shape.path, shape.rule), "clean-up")?;
    }

    #[test]
    fn curves_are_cleaned_within_the_tolerance(shape in shapes()) {
        let found = region(&shape);
        let fine = oracle::chords(&shape.path, 1e-4);
        let length = kurbo::Shape::perimeter(&shape.path, 0.1) + found.perimeter().get();
        differs_by_no_more(&found, &oracle::of_path(&fine, shape.rule), 0.004 * (1.0 + length)).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn booleans_agree_with_geos(a in flat_shapes(), b in flat_shapes(), slid in (-10.0..10.0_f64, -10.0..10.0_f64)) {
        let b = Shape { path: Affine::translate(slid) * b.path, ..b };
        let (ra, rb) = (region(&a), region(&b));
        let (ga, gb) = (oracle::of_region(&ra), oracle::of_region(&rb));
        agree(&Region::union(&[&ra, &rb]), &ga.union(&gb).expect("an answer"), "union")?;
        agree(&ra.subtract(&rb), &ga.difference(&gb).expect("an answer"), "subtract")?;
        agree(&ra.overlap(&rb), &ga.intersection(&gb).expect("an answer"), "overlap")?;
        agree(&ra.exclude(&rb), &ga.sym_difference(&gb).expect("an answer"), "exclude")?;
    }

    #[test]
    fn a_shape_and_its_near_copy_agree_with_geos(a in flat_shapes(), by in prop_oneof![Just(1e-6), Just(1e-4), Just(1e-3)]) {
        // The hardest of neighbours: every edge nearly on another.
        let turned = Affine::rotate(by / 10.0) * Affine::translate((by, -by)) * a.path.clone();
        let b = Shape { path: turned, ..a.clone() };
        let (ra, rb) = (region(&a), region(&b));
        let (ga, gb) = (oracle::of_region(&ra), oracle::of_region(&rb));
        let close = |found: &Region, expected: &Geometry| {
            oracle::sound(found).map_err(TestCaseError::fail)?;
            differs_by_no_more(found, expected, 4.0 * allowed(&ra)).map_err(TestCaseError::fail)
        };
        close(&Region::union(&[&ra, &rb]), &ga.union(&gb).expect("an answer"))?;
        close(&ra.overlap(&rb), &ga.intersection(&gb).expect("an answer"))?;
    }

    #[test]
    fn a_weld_is_the_same_bytes_in_any_order(
        all in prop::collection::vec(shapes(), 2..6).prop_map(|all| all.iter().map(region).collect::<Vec<_>>()),
        order in any::<prop::sample::Index>(),
    ) {
        let forth: Vec<&Region> = all.iter().collect();
        let mut shuffled = forth.clone();
        shuffled.rotate_left(order.index(all.len()));
        shuffled.swap(0, all.len() - 1);
        let union = Region::union(&forth);
        prop_assert_eq!(&union, &Region::union(&shuffled));
        // And welding again changes nothing of lines. Of curves that were cut short other chords come then, within the
        // flattening tolerance of both; where a curve runs along something else as near as that, it is cut elsewhere.
        let again = Region::union(&[&union, &union]);
        let curved = union.contours().iter().flat_map(BezPath::segments).any(|s| !matches!(s, PathSeg::Line(_)));
        if curved {
            let bound = 2.0 * FLATTEN_TOLERANCE.get() * (1.0 + union.perimeter().get());
            differs_by_no_more(&again, &oracle::of_region(&union), bound).map_err(TestCaseError::fail)?;
        } else {
            prop_assert_eq!(&again, &union);
        }
    }

    #[test]
    fn subpaths_may_come_in_any_order(shape in shapes(), order in any::<prop::sample::Index>()) {
        let mut subpaths = kerfbook::geometry::subpaths(&shape.path);
        let first = order.index(subpaths.len());
        subpaths.reverse();
        subpaths.rotate_left(first);
        let shuffled = Shape { path: subpaths.iter().flatten().collect(), ..shape.clone() };
        prop_assert_eq!(region(&shape), region(&shuffled));
    }

    #[test]
    fn three_metres_away_all_is_the_same(a in flat_shapes(), b in flat_shapes()) {
        let far = Affine::translate((3_000.0, -3_000.0));
        let (a, b) = (Shape { path: on_lattice(&a.path), ..a }, Shape { path: on_lattice(&b.path), ..b });
        let moved = |s: &Shape| Shape { path: far * s.path.clone(), ..s.clone() };
        let pairs = [(region(&a), region(&b)), (region(&moved(&a)), region(&moved(&b)))];
        let [near, away] = pairs.map(|(a, b)| [a.clone(), Region::union(&[&a, &b]), a.subtract(&b), a.exclude(&b)]);
        for (near, away) in near.iter().zip(&away) {
            // On the lattice nothing is rounded, so no step of it may be lost: far below a micrometre.
            let back = away.transform(far.inverse());
            prop_assert_eq!(back.contours().len(), near.contours().len());
            let elements = |r: &Region| r.to_path().elements().to_vec();
            for (p, q) in elements(near).iter().zip(&elements(&back)) {
                let apart = p.end_point().zip(q.end_point()).map_or(0.0, |(p, q)| p.distance(q));
                prop_assert!(apart < 1e-4, "{apart} mm");
            }
        }
    }
}
