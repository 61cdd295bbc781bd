//! How firmly a piece is held: whichever way it is pushed in the plane, its neighbours stand in its way.
//!
//! A piece that is pushed along a way runs, at once, into whatever faces it there. Each seam is walked along: where it
//! faces against the way, its width across the way is what the neighbour blocks. The kerf lets both sides give way by
//! half of its width, at either end of a facing stretch, so a stretch wider than the kerf holds. That no turning lets a
//! knob out either is what its undercut says, see [`super::lock`].

use super::graph::{Graph, Kind};
use super::polyline::Polyline;
use crate::units::{Degrees, Mm};
use kurbo::{Point, Vec2};

/// Ways that are looked at on half the compass; the other half are the same ways back.
const HALF: usize = 18;
/// All ways: one each 10°.
const WAYS: usize = 2 * HALF;
/// How near the walked chords are to their curve, mm.
const TOLERANCE: f64 = 0.02;

/// How a piece is held on the way on which its neighbours stand in it least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// The number of the piece.
    pub piece: usize,
    /// The width across the way of the widest stretch of a neighbour that stands in it.
    pub value: Mm,
    /// The way: 0° is to the right, 90° is down.
    pub way: Degrees,
}

/// How every face is held on the way on which it is held least.
///
/// `numbers` are the numbers of the pieces that the faces become.
pub(super) fn holds(graph: &Graph, numbers: &[usize]) -> Vec<Hold> {
    let mut widest = vec![[0.0_f64; WAYS]; graph.faces.len()];
    for edge in graph.edges.iter().filter(|e| e.kind != Kind::Outline) {
        let stretches = facing(&Polyline::of(&edge.curve, TOLERANCE).points);
        for (face, stretches) in edge.faces.into_iter().zip(stretches) {
            if let Some(face) = face {
                widest[face].iter_mut().zip(stretches).for_each(|(most, width)| *most = most.max(width));
            }
        }
    }
    let weakest = |(face, widths): (usize, &[f64; WAYS])| {
        let (way, width) =
            widths.iter().enumerate().fold((0, f64::INFINITY), |b, (k, &w)| if w < b.1 { (k, w) } else { b });
        let turn = 360.0 / WAYS as f64;
        Hold { piece: numbers[face], value: Mm::new(width), way: Degrees::new(turn * way as f64) }
    };
    widest.iter().enumerate().map(weakest).collect()
}

/// For each way, the widest stretch of a seam that faces against it: for the face along which the seam runs forwards,
/// and for the one along which it runs backwards.
fn facing(seam: &[Point]) -> [[f64; WAYS]; 2] {
    let mut widest = [[0.0; WAYS]; 2];
    for half in 0..HALF {
        let (sine, cosine) = libm::sincos(std::f64::consts::PI * half as f64 / HALF as f64);
        let way = Vec2::new(cosine, sine);
        // A face lies to the left of its walk, so what faces the way runs to the left across it.
        let (left, right) = runs(seam.iter().map(|p| way.cross(p.to_vec2())));
        (widest[0][half], widest[1][half]) = (left, right);
        (widest[0][half + HALF], widest[1][half + HALF]) = (right, left);
    }
    widest
}

/// By how much some numbers rise, and by how much they fall, at most without turning.
fn runs(mut numbers: impl Iterator<Item = f64>) -> (f64, f64) {
    let Some(first) = numbers.next() else { return (0.0, 0.0) };
    let (mut rise, mut fall) = (0.0_f64, 0.0_f64);
    let (mut turned, mut last) = (first, first);
    let mut rising = None;
    for number in numbers {
        let up = number > last;
        if number != last && rising != Some(up) {
            (turned, rising) = (last, Some(up));
        }
        rise = rise.max(number - turned);
        fall = fall.max(turned - number);
        last = number;
    }
    (rise, fall)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On how many ways the two sides of a seam can be drawn apart by its lower side, with this kerf.
    fn free(seam: &[(f64, f64)], kerf: f64) -> usize {
        let points: Vec<Point> = seam.iter().copied().map(Point::from).collect();
        facing(&points)[0].iter().filter(|&&w| w <= kerf).count()
    }

    #[test]
    fn pieces_escape_where_they_should() {
        // A straight seam: half of all ways, and both ways along it. The same in any other position.
        assert_eq!(free(&[(25.0, 0.0), (0.0, 0.0)], 1e-9), 19);
        assert_eq!(free(&[(0.0, 0.0), (0.0, 25.0)], 1e-9), 19);
        // A square peg: straight back only. A dovetail, wider at its end than at its foot: not at all, until the kerf
        // eats what it is wider by.
        let peg = [(25.0, 0.0), (16.0, 0.0), (16.0, 7.0), (9.0, 7.0), (9.0, 0.0), (0.0, 0.0)];
        assert_eq!(free(&peg, 1e-9), 1);
        let dovetail = [(25.0, 0.0), (16.0, 0.0), (17.0, 7.0), (8.0, 7.0), (9.0, 0.0), (0.0, 0.0)];
        assert_eq!(free(&dovetail, 1e-9), 0);
        assert_eq!(free(&dovetail, 0.99), 0);
        assert_eq!(free(&dovetail, 1.01), 1);
    }

    #[test]
    fn runs_end_where_numbers_turn() {
        assert_eq!(runs([0.0, 2.0, 5.0, 5.0, 6.0, 4.0, 8.0].into_iter()), (6.0, 2.0));
        assert_eq!(runs([3.0].into_iter()), (0.0, 0.0));
    }
}
