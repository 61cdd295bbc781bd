//! The puzzle key: every piece with its number, to count by and to lay the puzzle by.

use super::alternatives;
use super::drawing::View;
use super::flow::Flow;
use super::panel;
use super::style::{BODY, INK, STRONG};
use super::text::clipped;
use crate::outputs::pdf::{Align, Fragment, Pen};
use crate::plan::{Piece, Plan, Puzzle};
use crate::units::Mm2;
use kurbo::{Point, Rect};
use std::collections::BTreeSet;

/// Height of a number's digits as a share of its room: two digits then fit into the circle.
const DIGITS_OF_ROOM: f64 = 0.75;

/// Greys of pieces, as shares of ink: far enough from each other to be told apart on any black-and-white print. Pieces
/// of a grid take the first two; no drawing in the plane takes more than six where the piece with the fewest neighbours is
/// always coloured last.
const GREYS: [f64; 6] = [0.0, 0.16, 0.32, 0.48, 0.64, 0.8];

/// Writes the section, where there is a puzzle.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    let Some(puzzle) = plan.puzzle.as_ref().filter(|p| !p.pieces.is_empty()) else { return };
    let (width, height) = (flow.width(), flow.height());
    let bounds = puzzle.pieces.iter().filter_map(|p| p.outline.bounds()).reduce(|a, b| a.union(b));
    let Some(bounds) = bounds else { return };
    let facts = facts(puzzle, width);
    let frame = Rect::new(0.0, 0.0, width, height - facts.size.height - 22.0);
    let view = View::fit(bounds, frame);
    let shown = view.rect(bounds);
    let view = view.moved_to(Point::new((width - shown.width()) / 2.0, 0.0), bounds);
    let aside = format!("scale {}", view.ratio());
    flow.section("Puzzle key", &aside, facts.size.height + shown.height() + 4.0);
    flow.place(&facts);
    flow.gap(4.0);
    flow.place(&key(puzzle, view, width, shown.height()).figure(alternatives::puzzle_key(puzzle)));
}

fn facts(puzzle: &Puzzle, width: f64) -> Fragment {
    let mut values = vec![("pieces", puzzle.pieces.len().to_string())];
    match &puzzle.drawn {
        Some(drawn) => {
            values.extend([
                ("rows × columns", format!("{} × {}", drawn.rows, drawn.columns)),
                ("seed", clipped(&drawn.seed, 60)),
                ("narrowest neck", drawn.proofs.narrowest_neck.value.to_string()),
                ("least undercut", drawn.proofs.least_undercut.value.to_string()),
            ]);
            let least = drawn.proofs.least_misfit.map(|least| least.value.to_string());
            values.extend(least.map(|value| ("least misfit of seams", value)));
        }
        None => values.extend(traced_facts(puzzle)),
    }
    panel::band(&values, 12.0, width)
}

/// What is known of seams that were traced.
fn traced_facts(puzzle: &Puzzle) -> [(&'static str, String); 3] {
    let areas = || puzzle.pieces.iter().map(|piece| piece.outline.area());
    let (least, most) = (areas().reduce(Mm2::min), areas().reduce(Mm2::max));
    [
        ("seams", "traced".to_owned()),
        ("smallest piece", least.unwrap_or(Mm2::ZERO).to_string()),
        ("largest piece", most.unwrap_or(Mm2::ZERO).to_string()),
    ]
}

/// A grey for each piece, unlike those of its neighbours.
///
/// The piece with the fewest neighbours is set aside until none is left; in the opposite order each takes the lightest grey
/// that its neighbours have left (Matula and Beck 1983, smallest-last order, from memory).
fn tones(pieces: &[Piece]) -> Vec<usize> {
    let beside: Vec<Vec<usize>> = pieces
        .iter()
        .map(|p| p.neighbours.iter().filter_map(|n| n.checked_sub(1)).filter(|&n| n < pieces.len()).collect())
        .collect();
    let mut left: Vec<usize> = beside.iter().map(Vec::len).collect();
    let mut waiting: BTreeSet<(usize, usize)> = left.iter().enumerate().map(|(i, &n)| (n, i)).collect();
    let mut aside = Vec::with_capacity(pieces.len());
    while let Some((_, piece)) = waiting.pop_first() {
        aside.push(piece);
        for &other in &beside[piece] {
            if waiting.remove(&(left[other], other)) {
                left[other] -= 1;
                waiting.insert((left[other], other));
            }
        }
    }
    let mut tones: Vec<Option<usize>> = vec![None; pieces.len()];
    for piece in aside.into_iter().rev() {
        let taken: BTreeSet<usize> = beside[piece].iter().filter_map(|&n| tones[n]).collect();
        // One more than there are neighbours is always enough.
        tones[piece] = (0..=taken.len()).find(|tone| !taken.contains(tone));
    }
    tones.into_iter().map(Option::unwrap_or_default).collect()
}

fn key(puzzle: &Puzzle, view: View, width: f64, height: f64) -> Fragment {
    let mut key = Fragment::new(width, height);
    let tones = tones(&puzzle.pieces);
    let tone = |index: usize| INK.share(GREYS[tones[index].min(GREYS.len() - 1)]);
    for (index, piece) in puzzle.pieces.iter().enumerate() {
        if let Some(outline) = view.region(&piece.outline) {
            key.fill(&outline, tone(index));
            key.stroke(&outline, Pen::new(0.25, INK));
        }
    }
    for (index, piece) in puzzle.pieces.iter().enumerate() {
        let at = view.point(piece.middle);
        let number = piece.number.to_string();
        let room = view.length(piece.room.get()).max(0.0);
        // Points of type from the height of a digit, then held between the smallest legible and a heading.
        let by_height = room * DIGITS_OF_ROOM / BODY.size(1.0).capital();
        let by_width = 1.5 * room / STRONG.size(1.0).width(&number).max(1e-6);
        let ink = tone(index).legible(INK);
        let style = STRONG.size(by_height.min(by_width).clamp(5.0, 18.0)).ink(ink);
        key.text(Point::new(at.x, at.y + style.capital() / 2.0), Align::Centre, &number, style);
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Region;
    use crate::units::Mm;
    use kurbo::Vec2;

    fn piece(number: usize, neighbours: &[usize]) -> Piece {
        Piece {
            is_whimsy: false,
            number,
            outline: Region::empty(),
            middle: Point::ZERO,
            room: Mm::ZERO,
            neighbours: neighbours.to_vec(),
            knobs: None,
            sockets: None,
            apart: Vec2::ZERO,
        }
    }

    fn differ(pieces: &[Piece]) -> usize {
        let tones = tones(pieces);
        let meets = |p: &Piece| p.neighbours.iter().all(|n| tones[n - 1] != tones[p.number - 1]);
        assert!(pieces.iter().all(meets), "{tones:?}");
        1 + tones.into_iter().max().unwrap_or(0)
    }

    #[test]
    fn a_grid_takes_two_greys() {
        // The grid graph is bipartite.
        let (rows, columns) = (4, 5);
        let number = |r: i32, c: i32| {
            ((0..rows).contains(&r) && (0..columns).contains(&c)).then(|| (r * columns + c + 1) as usize)
        };
        let beside = |r: i32, c: i32| {
            [(r - 1, c), (r, c - 1), (r, c + 1), (r + 1, c)]
                .into_iter()
                .filter_map(|(r, c)| number(r, c))
                .collect()
        };
        let all = (0..rows).flat_map(|r| (0..columns).map(move |c| (r, c)));
        let pieces: Vec<Piece> = all
            .enumerate()
            .map(|(i, (r, c))| {
                let neighbours: Vec<usize> = beside(r, c);
                piece(i + 1, &neighbours)
            })
            .collect();
        assert_eq!(differ(&pieces), 2);
    }

    #[test]
    fn a_solid_of_twenty_triangles_takes_no_more_greys_than_there_are() {
        // The icosahedron's corners: every one has five neighbours, and no three greys do (its chromatic number is 4).
        let ring = |k: usize, from: usize| from + k % 5;
        let mut neighbours: Vec<Vec<usize>> = vec![Vec::new(); 13];
        let mut join = |a: usize, b: usize| {
            neighbours[a].push(b);
            neighbours[b].push(a);
        };
        for k in 0..5 {
            join(1, ring(k, 2));
            join(12, ring(k, 7));
            join(ring(k, 2), ring(k + 1, 2));
            join(ring(k, 7), ring(k + 1, 7));
            join(ring(k, 2), ring(k, 7));
            join(ring(k, 2), ring(k + 1, 7));
        }
        let pieces: Vec<Piece> = (1..13).map(|n| piece(n, &neighbours[n])).collect();
        assert!((4..=GREYS.len()).contains(&differ(&pieces)));
    }

    #[test]
    fn greys_can_be_told_apart_and_numbers_be_read_on_each() {
        let inks = GREYS.map(|share| INK.share(share));
        for pair in inks.windows(2) {
            assert!(pair[0].contrast(pair[1]) > 1.2, "{pair:?}");
        }
        // WCAG 2.2, SC 1.4.3: large type needs 3 to 1.
        assert!(inks.iter().all(|ink| ink.legible(INK).contrast(*ink) >= 3.0));
    }
}
