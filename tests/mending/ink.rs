//! Specks, strays and nodes.

use super::drawings::{Dice, mend, of_ink, of_lines, path};
use crate::geometry::oracle_region;
use geos::Geom;
use kerfbook::geometry::{Drawing, FillRule, Region};
use kerfbook::mending::MendKind;
use kurbo::{BezPath, Circle, PathEl, Point, Rect, Shape};

fn disc(x: f64, y: f64, across: f64) -> BezPath {
    Circle::new((x, y), 0.5 * across).to_path(1e-4)
}

#[test]
fn planted_specks_are_dropped_and_no_others() {
    for seed in [51, 52, 53] {
        let mut dice = Dice(seed);
        let mut ink = Rect::new(0.0, 0.0, 100.0, 50.0).to_path(0.1);
        let (mut dots, mut holes, mut areas) = (0, 0, 0.0);
        for i in 0..200 {
            // Above the plate it is a dot, in the plate a hole; half of them are large enough to stay.
            let is_hole = dice.roll() < 0.5;
            let across = if dice.roll() < 0.5 { dice.between(0.05, 0.29) } else { dice.between(0.31, 1.0) };
            let (x, y) = (f64::from(i % 40) * 2.4 + 2.0, f64::from(i / 40) * 3.0 + 3.0);
            let dot = disc(x, if is_hole { y } else { -y }, across);
            ink.extend(if is_hole { dot.reverse_subpaths() } else { dot });
            if across < 0.3 {
                (dots, holes) = if is_hole { (dots, holes + 1) } else { (dots + 1, holes) };
                let area = std::f64::consts::FRAC_PI_4 * across * across;
                areas += if is_hole { area } else { -area };
            }
        }
        let drawing = of_ink(Region::from_path(&ink, FillRule::EvenOdd).expect("ink"));
        let (clean, change) = mend(&drawing, MendKind::Specks, 0.3);
        assert_eq!(change.places.len(), dots + holes, "seed {seed}");
        assert!((change.area.get() - areas).abs() < 0.01, "{} and {areas}", change.area);
        let of_geos = |d: &Drawing| oracle_region(&d.ink).area().expect("an area");
        assert!((of_geos(&clean) - of_geos(&drawing) - change.area.get()).abs() < 0.01);
        assert!(mend(&clean, MendKind::Specks, 0.3).1.places.is_empty());
    }
}

#[test]
fn short_lines_that_are_part_of_a_chain_are_no_specks() {
    let chain: Vec<BezPath> =
        (0..40).map(|i| path(&format!("M{} 0H{}", f64::from(i) * 0.1, f64::from(i + 1) * 0.1))).collect();
    let mut lines = chain.clone();
    lines.extend([path("M20 20H20.05"), path("M0 10H30")]);
    let (clean, change) = mend(&of_lines(lines), MendKind::Specks, 0.5);
    assert_eq!((clean.lines.len(), change.places.len()), (41, 1));
}

#[test]
fn a_drawing_of_nothing_but_dots_is_left() {
    let dots = (0..9).fold(BezPath::new(), |mut all, i| {
        all.extend(disc(f64::from(i), 0.0, 0.2));
        all
    });
    let drawing = of_ink(Region::from_path(&dots, FillRule::NonZero).expect("ink"));
    let (left, change) = mend(&drawing, MendKind::Specks, 0.3);
    assert_eq!((left.ink.contours().len(), change.places.len()), (9, 0));
}

#[test]
fn strays_are_dropped_and_halves_are_not() {
    let ink = |d: &str| of_ink(Region::from_path(&path(d), FillRule::NonZero).expect("ink"));
    let bird = "M0 0H40V30H0ZM45 10H60V20H45Z";
    let (clean, change) = mend(&ink(&format!("{bird}M120 90H122V91H120Z")), MendKind::Stray, 20.0);
    assert_eq!((clean.ink.contours().len(), change.places.len()), (2, 1));
    assert!((change.places[0].size.get() - f64::hypot(60.0, 60.0)).abs() < 1e-9);
    // Two earrings.
    let (both, change) = mend(&ink("M0 0H40V30H0ZM100 0H120V30H100Z"), MendKind::Stray, 20.0);
    assert_eq!((both.ink.contours().len(), change.places.len()), (2, 0));
}

/// Every corner of a path is within `tolerance` of another path.
fn keeps_near(points: &BezPath, to: &BezPath, tolerance: f64) -> bool {
    use kurbo::ParamCurveNearest;
    let segments: Vec<kurbo::PathSeg> = to.segments().collect();
    let distance =
        |p: Point| segments.iter().map(|s| s.nearest(p, 1e-6).distance_sq).fold(f64::INFINITY, f64::min);
    points.elements().iter().filter_map(PathEl::end_point).all(|p| distance(p) <= tolerance * tolerance)
}

#[test]
fn floods_of_nodes_are_drained_within_the_tolerance() {
    let count = 4_000;
    let mut dense = BezPath::new();
    for i in 0..count {
        let angle = f64::from(i) / f64::from(count) * std::f64::consts::TAU;
        let radius = 30.0 + 4.0 * libm::sin(5.0 * angle);
        let p = Point::new(radius * libm::cos(angle), radius * libm::sin(angle));
        if i == 0 { dense.move_to(p) } else { dense.line_to(p) }
    }
    dense.close_path();
    let (drained, change) = mend(&of_lines(vec![dense.clone()]), MendKind::Nodes, 0.01);
    assert!(change.segments.0 >= 4_000 && change.segments.1 < 80, "{:?}", change.segments);
    assert!(keeps_near(&dense, &drained.lines[0].path, 0.01));
    assert!((change.length.get()).abs() < 0.2);
    let (again, nothing) = mend(&drained, MendKind::Nodes, 0.01);
    assert!(nothing.places.is_empty() && again.lines == drained.lines);
}
