//! The order of cuts: what is still to be cut hangs on the sheet.

use super::{lines, plan};
use kerfbook::plan::{Piece, Plan};
use kurbo::{BezPath, ParamCurve, ParamCurveNearest, Point, Shape};
use std::collections::BTreeSet;

/// A stretch of a seam between two pieces (or a piece and the frame of the sheet, number 0), and the stroke that cuts it.
struct Edge {
    pieces: (usize, usize),
    stroke: Option<usize>,
}

fn nearest(path: &BezPath, at: Point) -> f64 {
    path.segments().map(|s| s.nearest(at, 1e-6).distance_sq).fold(f64::INFINITY, f64::min).sqrt()
}

/// What holds what: from the curves that the outlines of two pieces share.
fn edges(pieces: &[Piece], strokes: &[BezPath]) -> Vec<Edge> {
    let boxes: Vec<_> = strokes.iter().map(|s| s.bounding_box().inflate(0.1, 0.1)).collect();
    let mut edges = Vec::new();
    for piece in pieces {
        for segment in piece.outline.contours().iter().flat_map(BezPath::segments) {
            let middle = segment.eval(0.5);
            let stroke =
                (0..strokes.len()).find(|&s| boxes[s].contains(middle) && nearest(&strokes[s], middle) < 1e-2);
            let beside = piece.neighbours.iter().copied().find(|n| {
                let other = pieces[n - 1].outline.contours();
                other.iter().any(|c| nearest(c, middle) < 1e-3)
            });
            match (beside, stroke) {
                (Some(other), Some(_)) if other < piece.number => {}
                (Some(other), Some(stroke)) => {
                    edges.push(Edge { pieces: (piece.number, other), stroke: Some(stroke) });
                }
                (None, None) => edges.push(Edge { pieces: (piece.number, 0), stroke: None }),
                other => panic!("{middle}: {other:?}"),
            }
        }
    }
    edges
}

/// The pieces that hang on the frame while the strokes before `cut` have been cut.
fn held(edges: &[Edge], cut: usize) -> BTreeSet<usize> {
    let holds = |e: &&Edge| e.stroke.is_none_or(|s| s >= cut);
    let mut held = BTreeSet::from([0]);
    loop {
        let before = held.len();
        for edge in edges.iter().filter(holds) {
            if held.contains(&edge.pieces.0) || held.contains(&edge.pieces.1) {
                held.extend([edge.pieces.0, edge.pieces.1]);
            }
        }
        if held.len() == before {
            return held;
        }
    }
}

/// How many stretches are cut in pieces that hang together but no longer on the sheet.
fn cut_adrift(plan: &Plan) -> usize {
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    let strokes = lines(&plan.runs[0].operations[0]);
    let edges = edges(pieces, strokes);
    (0..strokes.len())
        .map(|stroke| {
            let held = held(&edges, stroke);
            let adrift = |e: &&Edge| e.stroke == Some(stroke) && !held.contains(&e.pieces.0);
            edges.iter().filter(adrift).count()
        })
        .sum()
}

fn puzzle(board: &str, pieces: &str) -> Plan {
    plan(&format!(
        "sheet \"400 mm\" \"400 mm\"\nboard {{ {board} }}\npuzzle \"pieces\" of=\"board\" {pieces}\n\
        run \"out\" {{ cut \"pieces\"; cut \"board\" }}"
    ))
}

#[test]
fn seams_are_cut_only_where_pieces_hang_on_the_sheet() {
    let wavy = "seed=\"a\" { knob \"wavy\" }";
    for (board, pieces) in [
        ("rectangle \"216 mm\" \"280 mm\"", format!("rows=7 columns=5 {wavy}")),
        ("rectangle \"300 mm\" \"120 mm\"", "rows=4 columns=9 seed=\"b\" { knob \"angular\" }".to_owned()),
        ("circle \"260 mm\"", "pieces=30 seed=\"c\"".to_owned()),
        ("ellipse \"300 mm\" \"200 mm\"", format!("pieces=24 {wavy}")),
    ] {
        assert_eq!(cut_adrift(&puzzle(board, &pieces)), 0, "{board}");
    }
}

#[test]
fn the_other_way_round_pieces_would_be_cut_adrift() {
    // The measure itself: from the outside inwards the middle of a board comes loose before it is cut up.
    let mut plan = puzzle("rectangle \"216 mm\" \"280 mm\"", "rows=7 columns=5 seed=\"a\"");
    if let kerfbook::plan::Burn::Lines(lines) = &mut plan.runs[0].operations[0].burn {
        lines.reverse();
    }
    assert!(cut_adrift(&plan) > 10);
}

#[test]
fn strokes_go_to_and_fro() {
    // Moves between strokes are short: the next one is begun at its nearer end. Of the 4 + 6 strokes over 216 x 280 no
    // move is longer than half the longer side, while always beginning at the same end would take whole sides.
    let plan = puzzle("rectangle \"216 mm\" \"280 mm\"", "rows=7 columns=5 seed=\"a\"");
    let strokes = lines(&plan.runs[0].operations[0]);
    assert_eq!(strokes.len(), 10);
    let ends = |p: &BezPath| (p.segments().next().unwrap().start(), p.segments().last().unwrap().end());
    let longest = strokes.windows(2).map(|w| ends(&w[0]).1.distance(ends(&w[1]).0)).fold(0.0, f64::max);
    assert!(longest < 200.0, "{longest}");
}
