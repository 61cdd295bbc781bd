//! Pieces pulled apart, and what each of them meets; distances by GEOS.

use super::boards::{cut_up_as, rectangle, shapes};
use super::reference::{area, moved};
use geos::{Geom, Geometry};
use kerfbook::geometry::Region;
use kerfbook::puzzle::{Character, Lattice, PuzzleLayout, apart};
use kerfbook::units::Mm;

const GAP: f64 = 3.0;

/// The least distance between two pieces that are moved so far of what `apart` says.
fn nearest(layout: &PuzzleLayout, share: f64) -> f64 {
    let outlines: Vec<&Region> = layout.pieces.iter().map(|piece| &piece.outline).collect();
    let ways = apart(&outlines, Mm::new(GAP)).expect("they can be pulled apart");
    let lies = |(piece, way): (&kerfbook::puzzle::PuzzlePiece, &kurbo::Vec2)| {
        moved(&area(&piece.outline), way.x * share, way.y * share)
    };
    let pieces: Vec<Geometry> = layout.pieces.iter().zip(&ways).map(lies).collect();
    let pairs = pieces.iter().enumerate().flat_map(|(i, a)| pieces[i + 1..].iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| a.distance(b).unwrap()).fold(f64::INFINITY, f64::min)
}

fn layouts() -> Vec<PuzzleLayout> {
    let heart = shapes().swap_remove(2).1;
    vec![
        cut_up_as(Character::Round, rectangle(120.0, 90.0), Lattice::Grid { rows: 3, columns: 4 }, "apart"),
        cut_up_as(Character::Wavy, rectangle(200.0, 90.0), Lattice::Grid { rows: 2, columns: 5 }, "apart"),
        cut_up_as(Character::Angular, rectangle(160.0, 160.0), Lattice::Grid { rows: 4, columns: 4 }, "apart"),
        cut_up_as(Character::Round, heart, Lattice::Pieces(9), "apart"),
    ]
}

#[test]
fn pieces_are_pulled_as_far_apart_as_they_have_to_be_and_no_farther() {
    for layout in layouts() {
        let free = nearest(&layout, 1.0);
        assert!((GAP - 0.01..GAP + 1.0).contains(&free), "{free}");
        // Half the way leaves knobs in their sockets.
        assert!(nearest(&layout, 0.5) < 0.1);
    }
}

#[test]
fn neighbours_are_mutual_and_each_seam_has_one_knob_in_one_socket() {
    for layout in layouts() {
        let (mut knobs, mut sockets, mut beside) = (0, 0, 0);
        for piece in &layout.pieces {
            // Two pieces may meet along two seams.
            assert!(piece.knobs + piece.sockets >= piece.neighbours.len(), "{}", piece.number);
            for &other in &piece.neighbours {
                let other = &layout.pieces[other - 1];
                assert!(other.neighbours.contains(&piece.number));
                // They share a line, which GEOS finds.
                let (a, b) = (area(&piece.outline).boundary().unwrap(), area(&other.outline).boundary().unwrap());
                assert!(a.distance(&b).unwrap() < 1e-6);
            }
            knobs += piece.knobs;
            sockets += piece.sockets;
            beside += piece.neighbours.len();
        }
        assert_eq!(knobs, sockets);
        assert!(knobs >= beside / 2);
    }
}

#[test]
fn a_knob_makes_its_piece_reach_beyond_its_corners() {
    // Two pieces: the one with the knob is as wide as half the board and the height of a knob; the other one, with the
    // socket, is as wide as half the board and what the seam sags. Cells of 40 mm have knobs of at least 8 mm.
    for seed in ["a", "b", "c", "d"] {
        let layout =
            cut_up_as(Character::Round, rectangle(80.0, 40.0), Lattice::Grid { rows: 1, columns: 2 }, seed);
        for piece in &layout.pieces {
            let width = piece.outline.bounds().unwrap().width();
            assert_eq!(piece.knobs == 1, width > 47.0, "{seed}: {width}");
        }
    }
}
