//! Pieces that are cut one by one: once the beam has taken its kerf, they fit as was asked.

use super::{KERF, compiled, lines, plan};
use crate::puzzle::reference::{area, moved};
use geos::{Geom, Geometry};
use kerfbook::geometry::{Corners, FillRule, Region};
use kerfbook::plan::{Plan, SeamCut};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Shape};

const BOARD: &str = "board { rectangle \"120 mm\" \"90 mm\" corner=\"6 mm\" }\n\
    puzzle \"pieces\" of=\"board\" pieces=6 seed=\"leaf\"\n";

fn cut(fit: &str) -> Plan {
    plan(&format!(
        "sheet \"220 mm\" \"180 mm\"\n{BOARD}run \"out\" {{ cut \"pieces\" seams=\"per-piece\" fit=\"{fit}\" }}"
    ))
}

/// The finished pieces laid together again, in the order of their numbers: half the kerf is gone from each.
fn finished(plan: &Plan) -> Vec<Geometry> {
    let strokes = lines(&plan.runs[0].operations[0]);
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    assert_eq!(strokes.len(), pieces.len());
    // All were moved as the plan says, and the whole perhaps once more to lie on the sheet.
    let middle = |paths: &[BezPath]| {
        let bounds = paths.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)).unwrap();
        bounds.center()
    };
    let spread: Vec<BezPath> =
        pieces.iter().map(|p| Affine::translate(p.apart) * p.outline.contours()[0].clone()).collect();
    let shift = middle(strokes) - middle(&spread);
    let of_piece = |number: usize| {
        let centre = spread[number].bounding_box().center() + shift;
        let near = |path: &&BezPath| path.bounding_box().center().distance(centre);
        let stroke = strokes.iter().min_by(|a, b| near(a).total_cmp(&near(b))).unwrap();
        let burned = Region::from_path(stroke, FillRule::NonZero).unwrap();
        let left = burned.offset(Mm::new(-KERF / 2.0), Corners::Round);
        let back = -(pieces[number].apart + shift);
        moved(&area(&left), back.x, back.y)
    };
    (0..pieces.len()).map(of_piece).collect()
}

#[test]
fn mated_pieces_keep_the_gap_that_was_asked_for() {
    let plan = cut("0.1 mm");
    let pieces = finished(&plan);
    for piece in &plan.puzzle.as_ref().unwrap().pieces {
        for other in &piece.neighbours {
            // GEOS measures: the nearest they come is the fit, but for what flattening and two offsets cost.
            let gap = pieces[piece.number - 1].distance(&pieces[other - 1]).unwrap();
            assert!((gap - 0.1).abs() < 0.03, "{} and {other}: {gap}", piece.number);
        }
    }
    assert_eq!(plan.runs[0].operations[0].seams, Some(SeamCut::PerPiece { fit: Mm::new(0.1) }));
}

#[test]
fn a_press_makes_pieces_larger_than_drawn_and_no_fit_keeps_them() {
    let areas = |fit: &str| -> Vec<f64> {
        let plan = cut(fit);
        let drawn = plan.puzzle.as_ref().unwrap().pieces.iter().map(|p| p.outline.area().get());
        finished(&plan).iter().zip(drawn).map(|(f, d)| f.area().unwrap() - d).collect()
    };
    assert!(areas("0 mm").iter().all(|more| more.abs() < 1.5), "{:?}", areas("0 mm"));
    // Steiner's formula: an outline of length L moved out by 0.05 mm adds 0.05 L; a piece of a 40 mm cell has about 250.
    assert!(areas("-0.1 mm").iter().all(|more| (6.0..25.0).contains(more)), "{:?}", areas("-0.1 mm"));
}

#[test]
fn pieces_are_pulled_apart_until_a_strip_stays_between_any_two() {
    let plan = cut("0 mm");
    let burned: Vec<Geometry> = lines(&plan.runs[0].operations[0])
        .iter()
        .map(|l| area(&Region::from_path(l, FillRule::NonZero).unwrap()))
        .collect();
    for (i, a) in burned.iter().enumerate() {
        for b in &burned[i + 1..] {
            // What is left of the sheet between two cuts: a kerf less than between their lines.
            let strip = a.distance(b).unwrap() - KERF;
            assert!(strip >= 2.45, "{strip}");
        }
    }
}

#[test]
fn a_sheet_that_is_too_small_is_told_the_size_it_needs() {
    let body = |w: f64, h: f64| {
        format!("sheet \"{w} mm\" \"{h} mm\"\n{BOARD}run \"out\" {{ cut \"pieces\" seams=\"per-piece\" }}")
    };
    let small = compiled(&body(130.0, 100.0));
    let found = small.findings.iter().find(|d| d.finding.rule == "puzzle/sheet-too-small").expect("raised");
    // The size stands in the message: a sheet of just that size will do, a millimetre less will not.
    let numbers: Vec<f64> = found.message.split_whitespace().filter_map(|w| w.parse().ok()).collect();
    let [w, h] = numbers[..] else { panic!("{}", found.message) };
    assert!(compiled(&body(w, h)).plan.is_some());
    assert!(compiled(&body(w - 1.0, h)).plan.is_none() && compiled(&body(w, h - 1.0)).plan.is_none());
}
