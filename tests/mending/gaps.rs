//! Gaps: planted ones are closed, and nothing is moved.

use super::drawings::{Dice, in_cells, mend, multi_line, path, total};
use geos::{Geom, Geometry};
use kerfbook::geometry::{Drawing, Line, Pen};
use kerfbook::mending::MendKind;
use kerfbook::units::Mm;
use kurbo::BezPath;

/// A drawing of 225 cells and what was planted in it.
struct Planted {
    drawing: Drawing,
    gaps: Vec<f64>,
    /// Faces between the lines once the gaps are closed, and before.
    outlines: (usize, usize),
    /// Pairs of lines that become one.
    pairs: usize,
}

fn planted(seed: u64) -> Planted {
    let mut dice = Dice(seed);
    let (mut cells, mut gaps, mut outlines, mut pairs) = (Vec::new(), Vec::new(), (0, 0), 0);
    for _ in 0..225 {
        let gap = dice.between(0.02, 0.19);
        let cell: Vec<BezPath> = match dice.below(8) {
            0 => {
                gaps.push(gap);
                outlines.0 += 1;
                vec![path(&format!("M-4 {gap}V4H4V-4H-4V0"))]
            }
            1 => {
                // Two halves, of which one joint is right.
                gaps.push(gap);
                outlines.0 += 1;
                vec![path("M-4 -4H4V4"), path(&format!("M{} 4H-4V-4", 4.0 - gap))]
            }
            2 => {
                gaps.push(gap);
                pairs += 1;
                vec![path("M-5 -3L0 0"), path(&format!("M{gap} 0L5 3"))]
            }
            3 => {
                gaps.push(gap);
                vec![path("M-4 -4V4"), path(&format!("M{} 1L5 3", gap - 4.0))]
            }
            4 => {
                outlines = (outlines.0 + 1, outlines.1 + 1);
                vec![path("M-4 -4H4V4H-4Z")]
            }
            5 => {
                outlines = (outlines.0 + 1, outlines.1 + 1);
                vec![path("M-4 -4L0 3L4 -4"), path("M-4 0.5H4")]
            }
            6 => vec![path("M-4 -4V4"), path("M-4 1L5 3")],
            _ => vec![path("M-4 -4V4"), path("M-3.7 1L5 3")],
        };
        cells.push(cell);
    }
    Planted { drawing: in_cells(&cells, &mut dice), gaps, outlines, pairs }
}

/// How many faces GEOS finds between the lines.
fn faces(drawing: &Drawing) -> usize {
    let noded = multi_line(drawing).unary_union().expect("noded lines");
    Geometry::polygonize(&[noded]).and_then(|f| f.get_num_geometries()).expect("faces")
}

fn merged(drawing: &Drawing) -> usize {
    multi_line(drawing).line_merge().and_then(|m| m.get_num_geometries()).expect("merged lines")
}

#[test]
fn planted_gaps_are_closed_and_no_others() {
    for seed in [11, 12, 13] {
        let Planted { drawing, gaps, outlines, pairs } = planted(seed);
        let (closed, change) = mend(&drawing, MendKind::Gaps, 0.2);
        assert_eq!(change.places.len(), gaps.len(), "seed {seed}");
        let mut widths: Vec<f64> = change.places.iter().map(|p| p.size.get()).collect();
        widths.sort_by(f64::total_cmp);
        let mut expected = gaps.clone();
        expected.sort_by(f64::total_cmp);
        assert!(widths.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-9), "{widths:?}\n{expected:?}");
        // Bridges are as long as the gaps: that is the whole change.
        let more = total(&closed) - total(&drawing);
        assert!((more - gaps.iter().sum::<f64>()).abs() < 1e-6);
        assert!((change.length.get() - more).abs() < 1e-9);
        // GEOS: outlines close, and of two lines one is left.
        assert_eq!((faces(&closed), faces(&drawing)), outlines, "seed {seed}");
        assert_eq!(merged(&drawing) - merged(&closed), pairs, "seed {seed}");
        let (again, nothing) = mend(&closed, MendKind::Gaps, 0.2);
        assert!(nothing.places.is_empty(), "{:?}", nothing.places);
        assert_eq!(again.lines, closed.lines);
    }
}

#[test]
fn what_was_drawn_stays_where_it_is() {
    let Planted { drawing, .. } = planted(17);
    let (closed, _) = mend(&drawing, MendKind::Gaps, 0.2);
    let (before, after) = (multi_line(&drawing), multi_line(&closed));
    let lost =
        before.difference(&after.buffer(1e-6, 8).expect("a buffer")).and_then(|d| d.length()).expect("a length");
    assert!(lost < 1e-9, "{lost} mm of the lines are gone");
}

#[test]
fn lines_of_unlike_pens_meet_but_stay_two() {
    let line = |d: &str, width: f64| Line { path: path(d), width: Some(Mm::new(width)), pen: Pen::default() };
    let lines = vec![line("M0 0H10", 0.2), line("M10.1 0H20", 0.6)];
    let (closed, change) = mend(&Drawing { lines, ..Drawing::default() }, MendKind::Gaps, 0.2);
    assert_eq!((closed.lines.len(), change.places.len()), (2, 1));
    assert!((total(&closed) - 20.0).abs() < 1e-9);
}

#[test]
fn a_chain_of_a_thousand_pieces_becomes_one_outline() {
    // A circle of 1 000 chords with gaps between all of them, every second one drawn backwards.
    let at = |i: f64| {
        let angle = i / 1_000.0 * std::f64::consts::TAU;
        (60.0 + 50.0 * libm::cos(angle), 60.0 + 50.0 * libm::sin(angle))
    };
    let piece = |i: usize| {
        let ((ax, ay), (bx, by)) = (at(i as f64), at(i as f64 + 0.8));
        if i.is_multiple_of(2) {
            path(&format!("M{ax} {ay}L{bx} {by}"))
        } else {
            path(&format!("M{bx} {by}L{ax} {ay}"))
        }
    };
    let drawing = super::drawings::of_lines((0..1_000).map(piece).collect());
    let (closed, change) = mend(&drawing, MendKind::Gaps, 0.1);
    assert_eq!((closed.lines.len(), change.places.len()), (1, 1_000));
    assert!(kerfbook::geometry::is_closed(&closed.lines[0].path));
}
