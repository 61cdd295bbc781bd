//! The same seed gives the same bytes, another one another puzzle, and a larger panel keeps what it had.

use super::boards::{cut_up, rectangle};
use kerfbook::puzzle::{Lattice, PuzzleLayout};
use kerfbook::units::number::coordinate;
use kurbo::{CubicBez, Point};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write;

/// All seams as a file would hold them.
fn text(layout: &PuzzleLayout) -> String {
    let mut text = String::new();
    for seam in &layout.seams {
        for cubic in seam.segments().map(|s| s.to_cubic()) {
            for point in [cubic.p0, cubic.p1, cubic.p2, cubic.p3] {
                write!(text, "{},{} ", coordinate(point.x), coordinate(point.y)).unwrap();
            }
        }
        text.push('\n');
    }
    text
}

const GRID: Lattice = Lattice::Grid { rows: 5, columns: 6 };

#[test]
fn a_seed_is_a_puzzle_for_ever() {
    let layout = cut_up(rectangle(150.0, 125.0), GRID, "heron-2027");
    assert_eq!(text(&layout), text(&cut_up(rectangle(150.0, 125.0), GRID, "heron-2027")));
    // Pinned: a change here changes puzzles that people have already cut, and cannot re-cut a lost piece for.
    let digest: String = Sha256::digest(text(&layout)).iter().take(8).fold(String::new(), |mut s, byte| {
        write!(s, "{byte:02x}").unwrap();
        s
    });
    assert_eq!(digest, "d0226a75646bb673");
}

#[test]
fn seeds_differ_even_by_a_letter() {
    let texts: BTreeSet<String> = ["heron", "Heron", "heron ", "", "鷺"]
        .iter()
        .map(|s| text(&cut_up(rectangle(150.0, 125.0), GRID, s)))
        .collect();
    assert_eq!(texts.len(), 5);
}

#[test]
fn coordinates_are_whole_micrometres() {
    let layout = cut_up(rectangle(150.0, 125.0), GRID, "micro");
    for cubic in layout.seams.iter().flat_map(kurbo::BezPath::segments).map(|s| s.to_cubic()) {
        for v in [cubic.p1.x, cubic.p1.y, cubic.p2.x, cubic.p2.y] {
            assert!((v * 1000.0 - (v * 1000.0).round()).abs() < 1e-6, "{v}");
        }
    }
}

#[test]
fn a_larger_panel_keeps_the_seams_inside_the_smaller_one() {
    let heads = |layout: &PuzzleLayout| -> BTreeSet<String> {
        let inside = |p: Point| p.x < 10.0 + 4.0 * 25.0 && p.y < 20.0 + 3.0 * 25.0;
        let cubics = layout.seams.iter().flat_map(kurbo::BezPath::segments).map(|s| s.to_cubic());
        let name = |c: CubicBez| format!("{c:?}");
        cubics.filter(|c| inside(c.p0) && inside(c.p3)).map(name).collect()
    };
    let small = heads(&cut_up(rectangle(150.0, 125.0), GRID, "grow"));
    let large = heads(&cut_up(rectangle(200.0, 175.0), Lattice::Grid { rows: 7, columns: 8 }, "grow"));
    // A knob may be drawn anew where a new neighbour is in its way, so nearly all: 9 of 10.
    let kept = small.intersection(&large).count();
    assert!(small.len() > 150 && kept * 10 >= small.len() * 9, "{kept} of {}", small.len());
}
