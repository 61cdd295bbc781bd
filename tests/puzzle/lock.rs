//! Pieces hold: shifted any way, a piece runs into its neighbour.

use super::boards::{cut_up_as, rectangle, shapes};
use super::reference::{area, moved};
use geos::{Geom, Geometry};
use kerfbook::puzzle::{Character, Lattice, Proofs, PuzzleLayout};

const KERF: f64 = 0.15;
/// An overlap that no play or rounding explains, mm².
const BLOCKED: f64 = 0.5;

/// In how many of 36 directions `moving` can be drawn away from `fixed`, both a kerf smaller than drawn.
fn escapes(moving: &Geometry, fixed: &Geometry) -> usize {
    let [moving, fixed] = [moving, fixed].map(|p| p.buffer(-KERF / 2.0, 8).unwrap());
    (0..36)
        .filter(|k| {
            let (sine, cosine) = libm::sincos(f64::from(*k * 10_i32).to_radians());
            // Steps up to more than a knob's height: the first that overlaps blocks the way.
            ![1.0, 2.0, 3.0, 4.5, 6.0, 8.0].iter().any(|step| {
                moved(&moving, cosine * step, sine * step).intersection(&fixed).unwrap().area().unwrap() > BLOCKED
            })
        })
        .count()
}

#[test]
fn the_test_itself_tells_locked_from_loose() {
    let shape = |wkt: &str| Geometry::new_from_wkt(wkt).unwrap();
    // A straight seam: half of all directions and both along the seam.
    let left = shape("POLYGON((0 0,25 0,25 25,0 25,0 0))");
    let right = shape("POLYGON((25 0,50 0,50 25,25 25,25 0))");
    assert_eq!(escapes(&left, &right), 19);
    // A square peg: straight back only.
    let peg = shape("POLYGON((0 0,25 0,25 9,32 9,32 16,25 16,25 25,0 25,0 0))");
    let hole = shape("POLYGON((25 0,50 0,50 25,25 25,25 16,32 16,32 9,25 9,25 0))");
    assert_eq!(escapes(&peg, &hole), 1);
}

/// What the proofs say: every piece is held on every way, by more than the kerf that both sides lose.
fn nothing_is_loose(layout: &PuzzleLayout, name: &str) {
    let Proofs { weakest_hold, loose, least_undercut, .. } = &layout.proofs;
    assert!(loose.is_empty(), "{name}: {loose:?}");
    // Of the two lips that hold a knob in its socket, one is at least half of the undercut wide, whichever way it is pushed.
    assert!(
        weakest_hold.value.get() > KERF && weakest_hold.value.get() >= least_undercut.value.get() / 2.0,
        "{name}"
    );
    assert!((1..=layout.pieces.len()).contains(&weakest_hold.piece), "{name}");
}

/// Draws every piece away from every piece that it shares a seam with.
fn nothing_escapes(layout: &PuzzleLayout, name: &str) {
    nothing_is_loose(layout, name);
    let shapes: Vec<Geometry> = layout.pieces.iter().map(|p| area(&p.outline)).collect();
    for (index, shape) in shapes.iter().enumerate() {
        for (other, neighbour) in shapes.iter().enumerate().skip(index + 1) {
            let shared = shape.boundary().unwrap().intersection(&neighbour.boundary().unwrap()).unwrap();
            if shared.length().unwrap() > 5.0 {
                assert_eq!(escapes(shape, neighbour), 0, "{name}: {} and {}", index + 1, other + 1);
            }
        }
    }
}

#[test]
fn no_piece_can_be_drawn_from_its_neighbour() {
    let cases = [(Character::Round, 2, 3, 17.0), (Character::Wavy, 2, 3, 25.0), (Character::Angular, 3, 2, 20.0)];
    for (knob, rows, columns, cell) in cases {
        let board = rectangle(cell * columns as f64, cell * rows as f64);
        nothing_escapes(&cut_up_as(knob, board, Lattice::Grid { rows, columns }, "lock"), &format!("{knob:?}"));
    }
    let (_, heart) = shapes().swap_remove(2);
    nothing_escapes(&cut_up_as(Character::Round, heart, Lattice::Pieces(9), "lock"), "heart");
}

#[test]
fn many_pieces_are_held_whatever_their_knobs() {
    for knob in [Character::Round, Character::Wavy, Character::Angular] {
        let layout = cut_up_as(knob, rectangle(500.0, 500.0), Lattice::Grid { rows: 20, columns: 20 }, "hold");
        nothing_is_loose(&layout, &format!("{knob:?}"));
    }
    for (name, board) in shapes() {
        nothing_is_loose(&cut_up_as(Character::Round, board, Lattice::Pieces(14), "hold"), name);
    }
}
