//! What cannot be cut up is refused with its reason, and what is asked for is never undercut.

use super::boards::{rectangle, request};
use kerfbook::geometry::Region;
use kerfbook::puzzle::{Character, Lattice, PuzzleError, lay_out, least_piece_size};
use kerfbook::units::Mm;
use kurbo::Affine;

fn refusal(board: Region, lattice: Lattice) -> PuzzleError {
    lay_out(&request(board, lattice, "no")).unwrap_err()
}

#[test]
fn boards_that_are_not_whole() {
    assert_eq!(refusal(Region::empty(), Lattice::Pieces(6)), PuzzleError::BoardNotWhole { outlines: 0 });
    let pair =
        Region::union(&[&rectangle(40.0, 40.0), &rectangle(40.0, 40.0).transform(Affine::translate((60.0, 0.0)))]);
    assert_eq!(refusal(pair, Lattice::Pieces(4)), PuzzleError::BoardNotWhole { outlines: 2 });
}

#[test]
fn outlines_with_too_many_pieces() {
    let (_, circle) = super::boards::shapes().swap_remove(0);
    let outcome = refusal(circle.clone(), Lattice::Pieces(500));
    assert!(matches!(outcome, PuzzleError::PiecesTooSmall { most: 70..80, .. }), "{outcome}");
    let outcome = refusal(circle.transform(Affine::scale(20.0)), Lattice::Pieces(5000));
    assert_eq!(outcome, PuzzleError::TooManyForOutline { pieces: 5000, most: 1000 });
    assert!(matches!(refusal(circle.clone(), Lattice::Pieces(1)), PuzzleError::NoSuchGrid { above: Some(2), .. }));
    assert!(matches!(
        refusal(circle, Lattice::Grid { rows: 0, columns: 9 }),
        PuzzleError::NoSuchGrid { above: Some(2), .. }
    ));
}

#[test]
fn measures_that_are_none() {
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        let mut ask = request(rectangle(100.0, 100.0), Lattice::Pieces(4), "no");
        ask.kerf = Mm::new(bad);
        assert_eq!(lay_out(&ask).unwrap_err(), PuzzleError::BadMeasure { what: "kerf" });
    }
    let mut ask = request(rectangle(100.0, 100.0), Lattice::Pieces(4), "no");
    ask.clearance = Mm::new(40.0);
    assert!(matches!(lay_out(&ask), Err(PuzzleError::NoRoom { .. })));
}

#[test]
fn grids_that_do_not_exist() {
    let board = || rectangle(216.0, 279.0);
    assert!(matches!(refusal(board(), Lattice::Pieces(0)), PuzzleError::NoSuchGrid { .. }));
    assert!(matches!(refusal(board(), Lattice::Pieces(1)), PuzzleError::NoSuchGrid { pieces: 1, .. }));
    assert!(matches!(refusal(board(), Lattice::Grid { rows: 0, columns: 4 }), PuzzleError::NoSuchGrid { .. }));
    assert!(matches!(
        refusal(board(), Lattice::Grid { rows: usize::MAX, columns: usize::MAX }),
        PuzzleError::PiecesTooSmall { .. }
    ));
}

#[test]
fn cells_at_the_floor_work_and_below_it_are_refused() {
    let cases = [
        (Character::Round, 0.15, 3.0),
        (Character::Round, 0.3, 6.0),
        (Character::Wavy, 0.1, 3.0),
        (Character::Angular, 0.2, 4.0),
    ];
    for (knob, kerf, thickness) in cases {
        let mut ask = request(Region::empty(), Lattice::Grid { rows: 4, columns: 5 }, "floor");
        (ask.knob, ask.kerf, ask.thickness) = (knob, Mm::new(kerf), Mm::new(thickness));
        let floor = least_piece_size(&ask).get();
        ask.board = rectangle(5.0 * floor * 1.001, 4.0 * floor * 1.001);
        for seed in 0..8 {
            ask.seed = format!("floor {seed}");
            let proofs = lay_out(&ask).unwrap_or_else(|e| panic!("{knob:?} {seed}: {e}")).proofs;
            // What is left of a neck, and of an undercut, once the kerf is gone: judgements of this project.
            assert!(proofs.narrowest_neck.value.get() - kerf >= 2.0_f64.max(0.8 * thickness) - 1e-9);
            assert!(proofs.least_undercut.value.get() - 2.0 * kerf >= 0.8 - 1e-9);
            assert!(proofs.nearest_lines.value.get() >= 2.0 - 0.01, "{:?}", proofs.nearest_lines);
        }
        ask.board = rectangle(5.0 * floor * 0.99, 4.0 * floor * 0.99);
        assert!(matches!(lay_out(&ask), Err(PuzzleError::PiecesTooSmall { .. })));
    }
}
