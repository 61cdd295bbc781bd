//! Boards with holes, pieces of a given outline, and every kind of board on many seeds.

use super::boards::{disc, holed, rectangle, region, request, rounded, shapes, star};
use super::proofs::judge;
use super::reference::area;
use geos::Geom;
use kerfbook::geometry::Region;
use kerfbook::puzzle::{Character, Lattice, PuzzleError, PuzzleLayout, PuzzleRequest, lay_out};
use kurbo::{Affine, BezPath, Point};
use rayon::prelude::*;

fn with_whimsies(board: Region, whimsies: Vec<Region>, pieces: usize, seed: &str) -> PuzzleRequest {
    PuzzleRequest { whimsies, ..request(board, Lattice::Pieces(pieces), seed) }
}

fn cut(ask: &PuzzleRequest, name: &str) -> PuzzleLayout {
    lay_out(ask).unwrap_or_else(|e| panic!("{name}: {e}"))
}

#[test]
fn boards_with_holes_are_cut_into_exactly_the_pieces_asked_for() {
    for (shape, board) in holed() {
        for pieces in [8, 16, 23] {
            let name = format!("{shape} in {pieces}");
            let layout = cut(&request(board.clone(), Lattice::Pieces(pieces), &name), &name);
            assert_eq!(layout.pieces.len(), pieces, "{name}");
            judge(&board, &layout, &name);
        }
    }
}

#[test]
fn a_whimsy_is_a_piece_with_its_own_outline() {
    let (_, heart) = shapes().swap_remove(2);
    let heart = heart.transform(Affine::translate((40.0, 50.0)) * Affine::scale(0.32));
    let whimsies =
        [vec![star(160.0, 120.0, 30.0)], vec![disc(90.0, 120.0, 22.0), star(220.0, 110.0, 28.0)], vec![heart]];
    for (set, whimsies) in whimsies.into_iter().enumerate() {
        for knob in [Character::Round, Character::Wavy, Character::Angular] {
            let name = format!("whimsies {set}, {knob:?}");
            let board = rectangle(300.0, 200.0);
            let ask = PuzzleRequest { knob, ..with_whimsies(board.clone(), whimsies.clone(), 30, &name) };
            let layout = cut(&ask, &name);
            assert_eq!(layout.pieces.len(), 30, "{name}");
            judge(&board, &layout, &name);
            let found: Vec<_> = layout.pieces.iter().filter(|p| p.is_whimsy).collect();
            assert_eq!(found.len(), whimsies.len(), "{name}");
            for whimsy in &whimsies {
                let least = found.iter().map(|p| area(&p.outline).hausdorff_distance(&area(whimsy)).unwrap());
                let least = least.fold(f64::INFINITY, f64::min);
                assert!(least < 0.05, "{name}: no piece looks like the whimsy, off by {least}");
            }
            // The line round a whimsy is cut once, closed, after the seams.
            let closed = layout.seams.iter().rev().take_while(|s| s.to_svg().ends_with('Z')).count();
            assert_eq!(closed, whimsies.len(), "{name}");
        }
    }
}

#[test]
fn several_areas_are_a_piece_each() {
    let pair = Region::union(&[&disc(90.0, 120.0, 20.0), &disc(220.0, 120.0, 20.0)]);
    let board = rectangle(300.0, 200.0);
    let layout = cut(&with_whimsies(board.clone(), vec![pair], 24, "pair"), "pair");
    assert_eq!(layout.pieces.iter().filter(|p| p.is_whimsy).count(), 2);
    judge(&board, &layout, "pair");
}

#[test]
fn rectangles_are_cut_into_numbers_that_no_grid_has() {
    for pieces in [13, 17, 23, 47, 101] {
        let board = rectangle(215.9, 279.4);
        let name = format!("{pieces} from a rectangle");
        let layout = cut(&request(board.clone(), Lattice::Pieces(pieces), &name), &name);
        assert_eq!(layout.pieces.len(), pieces);
        judge(&board, &layout, &name);
    }
}

#[test]
fn whimsies_without_room_are_refused_with_the_place() {
    let refusal =
        |whimsies: Vec<Region>| lay_out(&with_whimsies(rectangle(300.0, 200.0), whimsies, 24, "no")).unwrap_err();
    let outside = refusal(vec![disc(90.0, 120.0, 20.0), disc(600.0, 120.0, 20.0)]);
    assert!(matches!(outside, PuzzleError::WhimsyTooNear { index: 1, .. }), "{outside}");
    let PuzzleError::WhimsyTooNear { index: 0, at, .. } = refusal(vec![disc(33.0, 120.0, 20.0)]) else {
        panic!("3 mm from the edge of the board is too near");
    };
    assert!(at.distance(Point::new(13.0, 120.0)) < 1.0, "{at}");
    let crossing = region(&BezPath::from_svg("M0 100H400V110H0Z").unwrap());
    assert!(matches!(refusal(vec![crossing]), PuzzleError::WhimsyTooNear { index: 0, .. }));
    let nested = refusal(vec![disc(150.0, 120.0, 60.0), disc(150.0, 120.0, 20.0)]);
    assert!(matches!(nested, PuzzleError::WhimsyTooNear { .. }), "{nested}");
    let ring = disc(150.0, 120.0, 40.0).subtract(&disc(150.0, 120.0, 20.0));
    assert_eq!(refusal(vec![ring]), PuzzleError::WhimsyNotWhole { index: 0 });
    assert_eq!(refusal(vec![Region::empty()]), PuzzleError::WhimsyNotWhole { index: 0 });
}

#[test]
fn two_hundred_seeds_on_six_boards() {
    let [circle, _, heart, _, _, angle] = shapes().try_into().unwrap_or_else(|_| panic!("six shapes"));
    let [_, ring] = holed().try_into().unwrap_or_else(|_| panic!("two boards with holes"));
    let boards = [
        ("rectangle", rectangle(120.0, 90.0)),
        ("rounded", rounded(130.0, 90.0, 9.0)),
        circle,
        heart,
        angle,
        ring,
    ];
    (0..200).into_par_iter().for_each(|seed: usize| {
        for (shape, board) in &boards {
            let knob = [Character::Round, Character::Wavy, Character::Angular][seed % 3];
            // No piece smaller than knobs of that kind need.
            let room = (board.area().get() / 420.0) as usize;
            let pieces = (6 + seed % 7).min(room);
            let name = format!("{shape}, seed {seed}, {knob:?}, {pieces} pieces");
            let layout =
                cut(&PuzzleRequest { knob, ..request(board.clone(), Lattice::Pieces(pieces), &name) }, &name);
            assert_eq!(layout.pieces.len(), pieces, "{name}");
            judge(board, &layout, &name);
            assert!(
                layout.proofs.nearest_lines.value.get() >= 2.0 - 0.01,
                "{name}: {:?}",
                layout.proofs.nearest_lines
            );
            assert!(layout.proofs.sharpest_tip.angle.get() >= 35.0, "{name}: {:?}", layout.proofs.sharpest_tip);
        }
    });
}

#[test]
fn whimsies_and_holes_too_small_for_the_bench_are_refused() {
    let hair = region(&kurbo::Rect::new(100.0, 100.0, 160.0, 100.05));
    let thin = lay_out(&with_whimsies(rectangle(300.0, 200.0), vec![hair], 24, "no")).unwrap_err();
    assert!(matches!(thin, PuzzleError::WhimsyTooThin { index: 0, .. }), "{thin}");
    let pinhole = rectangle(300.0, 200.0).subtract(&disc(150.0, 100.0, 1.5));
    match lay_out(&request(pinhole, Lattice::Pieces(20), "pinhole")) {
        Ok(layout) => assert_eq!(layout.pieces.len(), 20),
        Err(error) => {
            let PuzzleError::HoleTooSmall { at, .. } = error else { panic!("{error}") };
            assert!(at.distance(Point::new(150.0, 100.0)) < 0.01, "{at}");
        }
    }
}

#[test]
fn a_flood_of_corners_is_no_panic() {
    let mut path = BezPath::new();
    path.move_to((100.0, 90.0));
    for k in 0..1500 {
        let x = 100.0 + 60.0 * f64::from(k) / 1500.0;
        path.line_to((x, if k % 2 == 0 { 90.0 } else { 84.0 }));
    }
    path.line_to((160.0, 130.0));
    path.line_to((100.0, 130.0));
    path.close_path();
    for seed in ["a", "d", "e"] {
        // Whether it comes out does not matter: it comes to an end and is told.
        let _ = lay_out(&with_whimsies(rectangle(300.0, 200.0), vec![region(&path)], 20, seed))
            .map_err(|e| e.to_string());
    }
}
