//! Input that means harm, and generated input: never a panic, always a valid region, and the reference
//! library's answer.

use super::oracle;
use kerfbook::geometry::{Caps, Corners, FillRule, GeometryError, Region};
use kerfbook::units::Mm;
use kurbo::{BezPath, PathEl, Point};
use proptest::prelude::*;

fn polygon(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, &p) in points.iter().enumerate() {
        if i == 0 { path.move_to(p) } else { path.line_to(p) }
    }
    if !points.is_empty() {
        path.close_path();
    }
    path
}

#[test]
fn what_is_not_finite_or_absurd_is_refused() {
    for (bad, error) in [
        (f64::NAN, GeometryError::NotFinite),
        (f64::INFINITY, GeometryError::NotFinite),
        (1e30, GeometryError::TooFar),
        (-10_000.1, GeometryError::TooFar),
    ] {
        let path = polygon(&[(0.0, 0.0), (bad, 5.0), (5.0, 5.0)]);
        assert_eq!(Region::from_path(&path, FillRule::NonZero), Err(error));
        assert_eq!(Region::from_stroke(&path, Mm::new(1.0), Corners::Round, Caps::Round), Err(error));
        let mut curve = BezPath::new();
        curve.move_to((0.0, 0.0));
        curve.curve_to((1.0, bad), (2.0, 2.0), (3.0, 0.0));
        assert_eq!(Region::from_path(&curve, FillRule::EvenOdd), Err(error));
    }
    let line = BezPath::from_svg("M0 0H5").expect("path data");
    let width = Mm::new(f64::NAN);
    assert_eq!(Region::from_stroke(&line, width, Corners::Round, Caps::Butt), Err(GeometryError::NotFinite));
    let long = BezPath::from_vec(vec![PathEl::MoveTo(Point::ZERO); 1_000_001]);
    assert_eq!(Region::from_path(&long, FillRule::NonZero), Err(GeometryError::TooMany));
}

#[test]
fn what_encloses_nothing_is_empty() {
    let paths = [
        BezPath::new(),
        BezPath::from_svg("M3 3").expect("path data"),
        BezPath::from_svg("M3 3Z").expect("path data"),
        polygon(&[(0.0, 0.0), (5.0, 5.0)]),
        polygon(&[(0.0, 0.0), (5.0, 5.0), (2.0, 2.0)]),
        polygon(&[(1.0, 1.0); 7]),
    ];
    for path in paths {
        let region = Region::from_path(&path, FillRule::NonZero).expect("harmless");
        assert!(region.is_empty(), "{}", path.to_svg());
        assert!(region.offset(Mm::new(5.0), Corners::Round).is_empty());
        assert!(region.interior_point().is_none());
        assert!(region.parts().is_empty());
        // A line without length inks a dot, which is no error.
        Region::from_stroke(&path, Mm::new(1.0), Corners::Round, Caps::Square).expect("harmless");
    }
}

#[test]
fn regions_spoilt_by_a_transform_do_not_panic() {
    let square = Region::from_path(&polygon(&[(0.0, 0.0), (5.0, 0.0), (5.0, 5.0)]), FillRule::NonZero);
    let square = square.expect("a square");
    for factor in [f64::NAN, f64::INFINITY, 1e300, 0.0] {
        let spoilt = square.transform(kurbo::Affine::scale(factor));
        Region::union(&[&spoilt, &square]);
        spoilt.offset(Mm::new(1.0), Corners::Round);
        spoilt.interior_point();
    }
    assert_eq!(square.offset(Mm::new(f64::NAN), Corners::Round), square);
    assert!(square.offset(Mm::new(f64::NEG_INFINITY), Corners::Round).is_empty());
}

/// Numbers that look random, the same on every run.
fn scatter(count: usize, from: f64, to: f64) -> Vec<f64> {
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + (to - from) * (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    (0..count).map(|_| draw()).collect()
}

#[test]
fn a_tangle_is_refused_before_it_is_worked_out() {
    let numbers = scatter(20_000, 0.0, 300.0);
    let points: Vec<(f64, f64)> = numbers.chunks(2).map(|p| (p[0], p[1])).collect();
    let tangle = polygon(&points);
    assert_eq!(Region::from_path(&tangle, FillRule::EvenOdd), Err(GeometryError::TooMany));
    let few = polygon(&points[..500]);
    assert!(Region::from_path(&few, FillRule::EvenOdd).is_ok());
}

/// Lines that are drawn one by one cross as often as those of a single path.
#[test]
fn a_lattice_of_strokes_is_refused_before_it_is_worked_out() {
    let pen = kerfbook::geometry::Pen::default();
    let line = |from: (f64, f64), to: (f64, f64)| {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        kerfbook::geometry::Line { path, width: Some(Mm::new(0.01)), pen }
    };
    let lattice = |count: u32| -> Vec<kerfbook::geometry::Line> {
        let end = f64::from(count);
        (0..count).map(f64::from).flat_map(|i| [line((i, -1.0), (i, end)), line((-1.0, i), (end, i))]).collect()
    };
    assert_eq!(Region::from_strokes(&lattice(800)), Err(GeometryError::TooMany));
    assert!(Region::from_strokes(&lattice(40)).is_ok());
}

#[test]
fn a_noisy_outline_is_offset_in_bounded_time() {
    let noise = scatter(8_000, 99.9, 100.1);
    let points: Vec<(f64, f64)> = noise
        .iter()
        .enumerate()
        .map(|(i, away)| {
            let turn = i as f64 / noise.len() as f64 * std::f64::consts::TAU;
            (away * libm::cos(turn), away * libm::sin(turn))
        })
        .collect();
    let noisy = Region::from_path(&polygon(&points), FillRule::NonZero).expect("finite");
    let grown = noisy.offset(Mm::new(5.0), Corners::Round);
    // Every tip of the noise reaches about 105.1; between them the border sags a little.
    let reaches = |r: f64| grown.contains(Point::new(r, 0.0));
    assert!(reaches(105.0) && !reaches(105.11), "{}", grown.area());
    assert!((grown.area().get() / (std::f64::consts::PI * 105.09 * 105.09) - 1.0).abs() < 1e-3);
}

/// Polygons on a coarse grid: shared corners, overlapping edges and points on edges are the rule.
fn coarse_path() -> impl Strategy<Value = BezPath> {
    let ring = prop::collection::vec((0..12_i32, 0..12_i32), 0..9);
    prop::collection::vec(ring, 0..4).prop_map(|rings| {
        let rings = rings.into_iter().map(|ring| {
            let points: Vec<(f64, f64)> = ring.into_iter().map(|(x, y)| (f64::from(x), f64::from(y))).collect();
            polygon(&points)
        });
        BezPath::from_vec(rings.filter(|r| r.elements().len() > 1).flatten().collect())
    })
}

/// Curves anywhere, loops and cusps among them.
fn curved_path() -> impl Strategy<Value = BezPath> {
    let point = || (0.0..50.0, 0.0..50.0);
    (point(), prop::collection::vec((point(), point(), point()), 1..6)).prop_map(|(start, curves)| {
        let mut path = BezPath::new();
        path.move_to(start);
        for (a, b, c) in curves {
            path.curve_to(a, b, c);
        }
        path.line_to(start);
        path
    })
}

fn corners() -> impl Strategy<Value = Corners> {
    prop_oneof![Just(Corners::Round), Just(Corners::Bevel), Just(Corners::Mitre { limit: 4.0 })]
}

fn agrees(found: &Region, expected: &geos::Geometry) {
    let bound = 2e-4 * (1.0 + found.perimeter().get());
    let differs = oracle::difference(found, expected);
    assert!(differs <= bound, "{differs} mm² differ, {bound} allowed");
}

/// How far areas may differ (mm²) where corners that were crossings of lines are put onto the lattice once more.
fn lattice(region: &Region) -> f64 {
    1e-4 * region.perimeter().get()
}

/// Found by the generated cases below: crossings whose exact places lie off the lattice.
#[test]
fn parts_make_up_a_region_of_crossing_rings() {
    let rings: [&[(f64, f64)]; 3] = [
        &[(9.0, 7.0), (2.0, 2.0), (3.0, 2.0), (5.0, 5.0), (1.0, 1.0)],
        &[(6.0, 0.0), (1.0, 1.0), (4.0, 8.0)],
        &[(10.0, 8.0), (2.0, 6.0), (4.0, 7.0), (4.0, 0.0), (0.0, 8.0), (9.0, 0.0)],
    ];
    let path = BezPath::from_vec(rings.into_iter().flat_map(|ring| polygon(ring).elements().to_vec()).collect());
    for rule in [FillRule::NonZero, FillRule::EvenOdd] {
        let region = Region::from_path(&path, rule).expect("finite");
        agrees(&region, &oracle::of_path(&path, rule));
        let parts = region.parts();
        let sum: f64 = parts.iter().map(|p| p.area().get()).sum();
        let off = (sum - region.area().get()).abs();
        assert!(off < lattice(&region), "{off} mm² of {} in {} parts", region.area(), parts.len());
    }
}

/// Some generated cases of each kind; `PROPTEST_CASES` asks for more.
fn cases() -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|count| count.parse().ok()).unwrap_or(48)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn coarse_polygons_are_cleaned_as_geos_cleans_them(path in coarse_path()) {
        for rule in [FillRule::NonZero, FillRule::EvenOdd] {
            let region = Region::from_path(&path, rule).expect("finite");
            if !path.is_empty() {
                agrees(&region, &oracle::of_path(&path, rule));
            }
            let parts = region.parts();
            let sum: f64 = parts.iter().map(|p| p.area().get()).sum();
            prop_assert!((sum - region.area().get()).abs() <= lattice(&region), "{sum} of {}", region.area());
        }
    }

    #[test]
    fn curves_are_cleaned_within_the_tolerance(path in curved_path()) {
        let region = Region::from_path(&path, FillRule::NonZero).expect("finite");
        let fine = oracle::chords(&path, 1e-4);
        let bound = 2.0 * 0.002 * (1.0 + kurbo::Shape::perimeter(&path, 0.1) + region.perimeter().get());
        let differs = oracle::difference(&region, &oracle::of_path(&fine, FillRule::NonZero));
        prop_assert!(differs <= bound, "{differs} mm² differ, {bound} allowed");
    }

    #[test]
    fn booleans_of_coarse_polygons_agree(a in coarse_path(), b in coarse_path()) {
        use geos::Geom;
        let ra = Region::from_path(&a, FillRule::EvenOdd).expect("finite");
        let rb = Region::from_path(&b, FillRule::EvenOdd).expect("finite");
        let (ga, gb) = (oracle::of_region(&ra), oracle::of_region(&rb));
        agrees(&Region::union(&[&ra, &rb]), &ga.union(&gb).expect("an answer"));
        agrees(&ra.subtract(&rb), &ga.difference(&gb).expect("an answer"));
        agrees(&ra.overlap(&rb), &ga.intersection(&gb).expect("an answer"));
        agrees(&ra.exclude(&rb), &ga.sym_difference(&gb).expect("an answer"));
    }

    #[test]
    fn a_union_is_the_same_bytes_in_any_order(paths in prop::collection::vec(curved_path(), 2..5)) {
        let clean = |p: &BezPath| Region::from_path(p, FillRule::NonZero).expect("finite");
        let regions: Vec<Region> = paths.iter().map(clean).collect();
        let forth: Vec<&Region> = regions.iter().collect();
        let back: Vec<&Region> = regions.iter().rev().collect();
        let union = Region::union(&forth);
        prop_assert_eq!(&union, &Region::union(&back));
        // And welding again changes nothing that the tolerance of the new chords does not explain.
        let again = oracle::difference(&Region::union(&[&union, &union]), &oracle::of_region(&union));
        prop_assert!(again <= 0.004 * (1.0 + union.perimeter().get()), "{again} mm² differ");
    }

    #[test]
    fn offsets_of_coarse_polygons_agree(path in coarse_path(), by in -3.0..4.0_f64) {
        use geos::{CapStyle, Geom, JoinStyle};
        let region = Region::from_path(&path, FillRule::EvenOdd).expect("finite");
        let found = region.offset(Mm::new(by), Corners::Round);
        let reference = oracle::of_region(&region);
        let expected = reference.buffer_with_style(by, 48, CapStyle::Round, JoinStyle::Round, 5.0);
        let bound = 0.002 * (1.0 + found.perimeter().get());
        let differs = oracle::difference(&found, &expected.expect("a buffer"));
        prop_assert!(differs <= bound, "{differs} mm² differ, {bound} allowed");
    }

    #[test]
    fn offsets_of_curves_are_valid(path in curved_path(), by in -3.0..4.0_f64, corners in corners()) {
        let region = Region::from_path(&path, FillRule::NonZero).expect("finite");
        oracle::of_region(&region.offset(Mm::new(by), corners));
    }

    #[test]
    fn strokes_agree(path in curved_path(), width in 0.01..5.0_f64) {
        let expected = oracle::inked(&oracle::chords(&path, 1e-3), width, Caps::Round);
        let found = Region::from_stroke(&path, Mm::new(width), Corners::Round, Caps::Round).expect("finite");
        let bound = 0.003 * (1.0 + found.perimeter().get());
        let differs = oracle::difference(&found, &expected);
        prop_assert!(differs <= bound, "{differs} mm² differ, {bound} allowed");
    }
}
