//! The drawing against the reference library: faces, Euler's formula, areas, simplicity, thinnest places.

use super::boards::{cut_up, cut_up_as, random_outline, rectangle, rounded, shapes};
use super::reference::{area, faces, line, noded, parts, points};
use geos::Geom;
use kerfbook::geometry::Region;
use kerfbook::puzzle::{Character, Lattice, Proofs, PuzzleLayout};
use kurbo::{BezPath, Point, Shape};
use std::collections::BTreeSet;

/// A seam drawn out at both ends, so that it crosses an outline made of chords; closed lines stay as they are.
fn overlong(seam: &BezPath) -> BezPath {
    let points = points(seam);
    if points[0] == points[points.len() - 1] {
        return seam.clone();
    }
    let out = |from: Point, to: Point| to + (to - from) / from.distance(to) * 0.05;
    let last = points.len() - 1;
    let mut path = BezPath::new();
    path.move_to(out(points[1], points[0]));
    for &point in &points {
        path.line_to(point);
    }
    path.line_to(out(points[last - 1], points[last]));
    path
}

const fn grid(rows: usize, columns: usize) -> Lattice {
    Lattice::Grid { rows, columns }
}

/// Every claim about a layout that the reference library can judge.
pub fn judge(board: &Region, layout: &PuzzleLayout, name: &str) {
    let mut lines: Vec<_> = layout.seams.iter().map(|s| line(&overlong(s))).collect();
    lines.extend(board.contours().iter().map(line));
    let noded = noded(lines);
    let found = faces(&noded);
    let holes = board.contours().len() - 1;
    assert_eq!(found.len(), layout.pieces.len() + holes, "{name}: faces");
    // V - E + F = 1 for a drawing in one piece, the outside left out (Euler 1758).
    let edges = edges(&noded);
    assert_eq!(ends(&edges).len() + found.len(), edges.len() + 1, "{name}: Euler");
    let whole = area(board).area().unwrap();
    let sum: f64 = found.iter().map(|f| f.area().unwrap()).sum();
    let filled = area(&board.without_holes()).area().unwrap();
    assert!((sum / filled - 1.0).abs() < 1e-4, "{name}: faces {sum}, board {filled}");

    let pieces: Vec<_> = layout.pieces.iter().map(|p| area(&p.outline)).collect();
    let sum: f64 = pieces.iter().map(|p| p.area().unwrap()).sum();
    // conservation of area, before the kerf is taken off: on curves as well as chords show it.
    assert!((sum / whole - 1.0).abs() < 1e-4, "{name}: pieces {sum}, board {whole}");
    assert!(layout.proofs.area_error.get() < 1e-6 * pieces.len() as f64, "{name}: {}", layout.proofs.area_error);
    let thinnest = layout.proofs.narrowest_neck.value.min(layout.proofs.nearest_lines.value).get();
    for (piece, shape) in layout.pieces.iter().zip(&pieces) {
        let number = piece.number;
        assert!(shape.is_valid().unwrap(), "{name}, {number}: {}", shape.is_valid_reason().unwrap());
        // Eaten away from all sides by less than half of its thinnest place, a piece stays in one piece.
        let core = shape.buffer(-0.49 * thinnest, 8).unwrap();
        assert!(
            core.area().unwrap() > 0.0 && parts(&core).len() == 1,
            "{name}, {number}: thinner than {thinnest}"
        );
        let middle =
            geos::Geometry::new_from_wkt(&format!("POINT({} {})", piece.middle.x, piece.middle.y)).unwrap();
        assert!(shape.contains(&middle).unwrap(), "{name}, {number}: middle");
        let room = shape.boundary().unwrap().distance(&middle).unwrap();
        assert!(piece.room.get() > 3.0 && room >= piece.room.get() - 0.01, "{name}, {number}: room");
    }
}

/// The edges of split lines. Where two lines cross in a corner of both, rounding may split off edges of no length.
fn edges(noded: &geos::Geometry) -> Vec<geos::Geometry> {
    parts(noded).into_iter().filter(|e| e.length().unwrap() > 1e-6).collect()
}

/// The places where edges end, to a micrometre.
fn ends(edges: &[geos::Geometry]) -> BTreeSet<(i64, i64)> {
    let micrometre = |v: f64| (v * 1000.0).round() as i64;
    let place = |p: geos::Geometry| (micrometre(p.get_x().unwrap()), micrometre(p.get_y().unwrap()));
    edges.iter().flat_map(|e| [e.get_start_point().unwrap(), e.get_end_point().unwrap()]).map(place).collect()
}

#[test]
fn pieces_are_faces_on_many_seeds() {
    for seed in 0..200 {
        let (board, lattice) = match seed % 4 {
            0 => (rounded(120.0, 80.0, 6.0), grid(3, 4)),
            1 => (rectangle(75.0, 50.0), Lattice::Pieces(6)),
            2 => (rectangle(215.9, 279.4), Lattice::Pieces(15)),
            _ => (rounded(52.0, 34.0, 4.0), grid(2, 3)),
        };
        let name = format!("seed {seed}");
        let layout = cut_up(board.clone(), lattice, &name);
        judge(&board, &layout, &name);
        assert_eq!(layout.pieces.len(), layout.rows * layout.columns);
    }
}

#[test]
fn the_other_characters_keep_the_same_promises() {
    for seed in 0..20 {
        for knob in [Character::Wavy, Character::Angular] {
            let board = rounded(120.0, 80.0, 6.0);
            let name = format!("{knob:?} {seed}");
            judge(&board, &cut_up_as(knob, board.clone(), grid(3, 4), &name), &name);
        }
    }
}

#[test]
fn any_outline_gives_exactly_the_pieces_asked_for() {
    for (shape, board) in shapes() {
        for pieces in [9, 20] {
            let name = format!("{shape} in {pieces}");
            let layout = cut_up(board.clone(), Lattice::Pieces(pieces), &name);
            assert_eq!(layout.pieces.len(), pieces, "{name}");
            judge(&board, &layout, &name);
            let mean = board.area().get() / pieces as f64;
            let Proofs { smallest_piece, largest_piece, nearest_lines, .. } = layout.proofs;
            assert!(smallest_piece.get() > 0.4 * mean && largest_piece.get() < 2.0 * mean, "{name}");
            assert!(nearest_lines.value.get() >= 2.0 - 0.01, "{name}: {nearest_lines:?}");
        }
        let name = format!("{shape} in 4 x 4");
        judge(&board, &cut_up(board.clone(), grid(4, 4), &name), &name);
    }
}

#[test]
fn random_outlines_are_cut_soundly() {
    for number in 0..16 {
        let board = random_outline(number);
        let pieces = 3 + 5 * (number as usize % 4);
        let name = format!("random outline {number} in {pieces}");
        let layout = cut_up(board.clone(), Lattice::Pieces(pieces), &name);
        assert_eq!(layout.pieces.len(), pieces, "{name}");
        judge(&board, &layout, &name);
    }
}

#[test]
fn counts_follow_euler() {
    // interior edges r(c-1) + c(r-1); vertices and edges of the grid graph; V - E + F = 2 (Euler 1758).
    for (rows, columns, interior) in [(2, 3, 7), (4, 5, 31), (10, 10, 180)] {
        let (width, height) = (20.0 * columns as f64, 20.0 * rows as f64);
        let layout = cut_up(rectangle(width, height), grid(rows, columns), "euler");
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
        let sides = corners.windows(2).map(|c| {
            let mut side = BezPath::new();
            side.move_to((c[0].0 + 10.0, c[0].1 + 20.0));
            side.line_to((c[1].0 + 10.0, c[1].1 + 20.0));
            line(&side)
        });
        let noded = noded(layout.seams.iter().map(line).chain(sides).collect());
        let edges = edges(&noded);
        let ends = ends(&edges);
        let found = faces(&noded).len() + 1;
        assert_eq!(ends.len(), (rows + 1) * (columns + 1));
        assert_eq!(edges.len(), interior + 2 * (rows + columns));
        assert_eq!(found, rows * columns + 1);
        assert_eq!(ends.len() + found, edges.len() + 2);
    }
}

#[test]
fn seams_are_long_strokes_and_no_line_is_cut_twice() {
    let board = rounded(150.0, 100.0, 5.0);
    let layout = cut_up(board.clone(), grid(4, 6), "strokes");
    assert_eq!(layout.seams.len(), (4 - 1) + (6 - 1));
    // outlining every piece would cut each shared line twice and the border once.
    let border = board.to_path().perimeter(1e-4);
    let outlines: f64 = layout.pieces.iter().map(|p| p.outline.to_path().perimeter(1e-4)).sum();
    let once: f64 = layout.seams.iter().map(|s| s.perimeter(1e-4)).sum();
    assert!((outlines - border - 2.0 * once).abs() < 0.05, "{outlines} {border} {once}");
    assert!((layout.proofs.seam_length.get() - once).abs() < 0.05);
    for seam in &layout.seams {
        let points = points(seam);
        for end in [points[0], points[points.len() - 1]] {
            let on_box = [end.x - 10.0, end.x - 160.0, end.y - 20.0, end.y - 120.0];
            assert!(on_box.iter().any(|d| d.abs() < 1e-9), "{end} is not on the outline");
        }
    }
}

#[test]
fn seams_have_no_kinks_and_end_square_to_the_outline() {
    for knob in [Character::Round, Character::Wavy, Character::Angular] {
        let layout = cut_up_as(knob, rectangle(150.0, 100.0), grid(4, 6), "kinks");
        for seam in &layout.seams {
            let segments: Vec<_> = seam.segments().map(|s| s.to_cubic()).collect();
            for pair in segments.windows(2) {
                let [before, after] = [pair[0].p3 - pair[0].p2, pair[1].p1 - pair[1].p0];
                let kink = before.cross(after) / (before.hypot() * after.hypot());
                // Handles whose ends are rounded to micrometres turn by that over their length.
                let rounding = 0.003 / before.hypot().min(after.hypot());
                assert!(kink.abs() < rounding && before.dot(after) > 0.0, "{kink} at {}", pair[0].p3);
            }
            let (first, last) = (segments[0], segments[segments.len() - 1]);
            for way in [first.p1 - first.p0, last.p3 - last.p2] {
                assert!(way.x.abs().min(way.y.abs()) < 1e-3, "{way:?} is not square to the outline");
            }
        }
    }
}

#[test]
fn numbers_run_row_by_row_from_the_left_top() {
    let layout = cut_up(rectangle(216.0, 279.0), Lattice::Pieces(15), "numbers");
    assert_eq!((layout.rows, layout.columns), (5, 3));
    for (index, piece) in layout.pieces.iter().enumerate() {
        assert_eq!((piece.number, piece.row, piece.column), (index + 1, index / 3 + 1, index % 3 + 1));
        let cell = Point::new(10.0 + 72.0 * (index % 3) as f64, 20.0 + 55.8 * (index / 3) as f64);
        let way = piece.middle - cell;
        assert!(way.x > 0.0 && way.x < 72.0 && way.y > 0.0 && way.y < 55.8, "{index}: {way:?}");
    }
}
