//! Doubled lines, loops and crossings.

use super::drawings::{Dice, in_cells, line_string, mend, multi_line, of_lines, path, total};
use crate::geometry::oracle_path;
use geos::{Geom, Geometry};
use kerfbook::geometry::{FillRule, is_closed};
use kerfbook::mending::MendKind;
use kurbo::{BezPath, Point};

#[test]
fn planted_doubles_are_dropped_and_no_others() {
    for seed in [21, 22, 23] {
        let mut dice = Dice(seed);
        let (mut cells, mut doubled, mut count): (Vec<Vec<BezPath>>, f64, usize) = (Vec::new(), 0.0, 0);
        for _ in 0..225 {
            let mut plant = |length: f64| {
                doubled += length;
                count += 1;
            };
            cells.push(match dice.below(7) {
                0 => {
                    plant(32.0);
                    vec![path("M-4 -4H4V4H-4Z"), path("M-4 -4V4H4V-4Z")]
                }
                1 => {
                    plant(8.0);
                    vec![path("M-8 -4H0V4H-8Z"), path("M0 -4H8V4H0Z")]
                }
                2 => {
                    plant(5.0);
                    vec![path("M-8 0H3"), path("M-2 0H8")]
                }
                3 => vec![path("M-8 0H8"), path("M0 -8V8")],
                4 => vec![path("M-8 0H8"), path("M-8 0.3H8")],
                5 => vec![path("M-4 -4H4V4H-4Z"), path("M-4 4L4 -4")],
                _ => vec![path("M-4 -4L0 4L4 -4")],
            });
        }
        let drawing = in_cells(&cells, &mut dice);
        let (single, change) = mend(&drawing, MendKind::Doubled, 0.02);
        let found: f64 = change.places.iter().map(|p| p.size.get()).sum();
        assert_eq!(change.places.len(), count, "seed {seed}");
        assert!((found - doubled).abs() < 1e-6, "{found} of {doubled} mm");
        assert!((total(&drawing) - total(&single) - doubled).abs() < 1e-6);
        assert!((change.length.get() + doubled).abs() < 1e-6);
        // GEOS: in a union, what lies on each other counts once.
        let once = multi_line(&drawing).unary_union_prec(1e-6).and_then(|u| u.length()).expect("a length");
        assert!((once - total(&single)).abs() < 0.01, "{once} and {}", total(&single));
        let (_, nothing) = mend(&single, MendKind::Doubled, 0.02);
        assert!(nothing.places.is_empty(), "{:?}", nothing.places);
    }
}

#[test]
fn curves_keep_their_own_segments_where_nothing_lies_on_them() {
    let curve = path("M0 0C10 20 30 -20 40 0");
    let drawing = of_lines(vec![curve.clone(), path("M0 30H40"), curve.reverse_subpaths()]);
    let (single, change) = mend(&drawing, MendKind::Doubled, 0.02);
    assert_eq!((single.lines.len(), change.places.len()), (2, 1));
    assert!(single.lines.iter().any(|l| l.path == curve || l.path == curve.reverse_subpaths()));
}

/// A stem with loops of about 0.4 mm round at some places.
fn looped(at: &[f64]) -> BezPath {
    let mut d = "M-8 0".to_owned();
    for x in at {
        let p = |dx: f64, dy: f64| format!("L{} {}", x + dx, dy);
        d += &[p(0.0, 0.0), p(0.1, 0.1), p(0.1, -0.05), p(0.0, -0.05), p(0.0, 0.1), p(0.05, 0.2), p(0.3, 0.0)]
            .concat();
    }
    path(&(d + "L8 0"))
}

#[test]
fn small_loops_are_cut_off_and_large_ones_stay() {
    let mut dice = Dice(31);
    let mut count = 0;
    let cells: Vec<Vec<BezPath>> = (0..150)
        .map(|_| match dice.below(4) {
            0 => {
                count += 1;
                vec![looped(&[dice.between(-5.0, 5.0)])]
            }
            1 => {
                count += 3;
                vec![looped(&[-5.0, -1.0, 4.0])]
            }
            2 => vec![path("M-8 -2L4 2V-4L-8 3")],
            _ => vec![path("M-8 0L0 3L8 0"), path("M0 -5V8")],
        })
        .collect();
    let drawing = in_cells(&cells, &mut dice);
    let (cut, change) = mend(&drawing, MendKind::Loops, 0.6);
    assert_eq!(change.places.len(), count);
    assert!((total(&cut) - total(&drawing) - change.length.get()).abs() < 1e-9);
    let lost: f64 = change.places.iter().map(|p| p.size.get()).sum();
    assert!((lost + change.length.get()).abs() < 0.02 * count as f64, "{lost} {}", change.length);
    // GEOS: a line that crosses itself is not simple.
    let crossed = |d: &kerfbook::geometry::Drawing| {
        d.lines.iter().filter(|l| !line_string(&l.path).is_simple().expect("an answer")).count()
    };
    let kept = cells.iter().filter(|c| c[0] == path("M-8 -2L4 2V-4L-8 3")).count();
    assert_eq!(crossed(&cut), kept);
    assert!(crossed(&drawing) > kept);
    let (_, nothing) = mend(&cut, MendKind::Loops, 0.6);
    assert!(nothing.places.is_empty(), "{:?}", nothing.places);
}

#[test]
fn a_loop_through_the_start_of_a_closed_line_is_cut_off_too() {
    // The start lies in the loop.
    let drawing = of_lines(vec![path("M-0.1 -0.1L0.1 -0.1L-8 8H8Z")]);
    let (cut, change) = mend(&drawing, MendKind::Loops, 1.0);
    assert_eq!(change.places.len(), 1);
    assert!(is_closed(&cut.lines[0].path));
    assert!(line_string(&cut.lines[0].path).is_simple().expect("an answer"));
}

#[test]
fn a_loop_in_a_single_curve_is_cut_off() {
    let drawing = of_lines(vec![path("M-5 0L0 0C1.2 0.8 -1.2 0.8 0 0L5 -0.3"), path("M-5 9C1.5 11 -1.5 11 5 9")]);
    let looped = of_lines(vec![path("M-2 5C1.9 4.6 -1.9 4.6 2 5")]);
    let (cut, change) = mend(&looped, MendKind::Loops, 5.0);
    assert_eq!(change.places.len(), kerfbook::geometry::crossings(&[looped.lines[0].path.clone()]).places.len());
    assert!(kerfbook::geometry::crossings(&[cut.lines[0].path.clone()]).places.iter().all(|c| !c.passes));
    assert!(mend(&drawing, MendKind::Loops, 0.01).1.places.is_empty());
}

#[test]
fn crossed_outlines_become_what_they_wind_about() {
    let mut dice = Dice(41);
    for (points, step) in [(5, 2), (7, 2), (7, 3), (9, 4), (12, 5)] {
        let turn = dice.between(0.0, 1.0);
        let at = |i: usize| {
            let angle = turn + (i * step) as f64 / points as f64 * std::f64::consts::TAU;
            Point::new(20.0 * libm::cos(angle), 20.0 * libm::sin(angle))
        };
        let mut star = BezPath::new();
        star.move_to(at(0));
        (1..points).for_each(|i| star.line_to(at(i)));
        star.close_path();
        let (outlined, change) = mend(&of_lines(vec![star.clone()]), MendKind::Crossings, 0.0);
        assert!(!change.places.is_empty());
        let expected = oracle_path(&star, FillRule::NonZero).area().expect("an area");
        let mut area = 0.0;
        for line in &outlined.lines {
            let ring = Geometry::create_linear_ring(line_string(&line.path).get_coord_seq().expect("corners"));
            let polygon = Geometry::create_polygon(ring.expect("a ring"), Vec::new()).expect("a polygon");
            assert_eq!(polygon.is_valid_reason().expect("a reason"), "Valid Geometry");
            area += polygon.area().expect("an area");
        }
        assert!((area - expected).abs() < 0.01, "{points}/{step}: {area}, GEOS {expected}");
        assert!(mend(&outlined, MendKind::Crossings, 0.0).1.places.is_empty());
    }
    let clean = of_lines(vec![path("M0 0H9V9H0Z"), path("M0 0L9 9L9 0L0 9")]);
    assert!(mend(&clean, MendKind::Crossings, 0.0).1.places.is_empty(), "open lines may cross themselves");
}
