//! A lattice laid over any outline and cut off at it.

use super::chance::{Chance, Purpose, key};
use super::draft::{Draft, Seam};
use super::graph::Node;
use super::lattice::micrometres;
use super::rings::Rings;
use kurbo::{Line, Point, Rect, Size, Vec2};

/// Set in the key of the second part of a lattice line that the outline cuts in two, and so on.
const PART_KEY: u64 = 1 << 56;

/// A lattice that is larger than the board.
#[derive(Clone, Copy, Debug)]
pub(super) struct LooseLattice {
    /// One cell.
    pub cell: Size,
    /// How far the first line lies inside the board's box, in cells: 0 to 1.
    pub phase: Vec2,
    /// How far a corner strays, mm each way.
    pub stray: f64,
    /// Whether whole cells fill the board's box, a rectangle: the lines along its sides are then moved out of it.
    pub fills_box: bool,
}

/// How far out lines along the sides of the box are moved, in cells.
const OUT: f64 = 0.4;

impl LooseLattice {
    /// The corners and seams inside the outline.
    pub(super) fn clip(&self, rings: &Rings, chance: Chance) -> Draft {
        let bounds = rings.bounds();
        let columns = (bounds.width() / self.cell.width).ceil() as usize + 2;
        let rows = (bounds.height() / self.cell.height).ceil() as usize + 2;
        let mut draft = Draft::default();
        let mut names = vec![None; (rows + 1) * (columns + 1)];
        for i in 0..=rows {
            for j in 0..=columns {
                let at = self.corner(bounds, chance, i, j);
                if rings.contains(at) {
                    names[i * (columns + 1) + j] = Some(draft.nodes.len());
                    draft.nodes.push(Node { at, place: None, key: key(Purpose::Corner, i, j) });
                }
            }
        }
        for i in 0..=rows {
            for j in 0..=columns {
                for (purpose, k, l) in [(Purpose::Across, i, j + 1), (Purpose::Down, i + 1, j)] {
                    if k <= rows && l <= columns {
                        let line = Line::new(self.corner(bounds, chance, i, j), self.corner(bounds, chance, k, l));
                        let ends = [names[i * (columns + 1) + j], names[k * (columns + 1) + l]];
                        add_parts(&mut draft, rings, line, ends, key(purpose, i, j));
                    }
                }
            }
        }
        draft
    }

    /// A corner of the lattice; the first ones lie outside of the board's box.
    fn corner(&self, bounds: Rect, chance: Chance, i: usize, j: usize) -> Point {
        let mut draws = chance.draws(key(Purpose::Corner, i, j), 0);
        let stray = Vec2::new(draws.either_way(), draws.either_way()) * self.stray;
        let (mut column, mut row) = (j as f64 - 1.0 + self.phase.x, i as f64 - 1.0 + self.phase.y);
        if self.fills_box {
            column = out_of_box(column, (bounds.width() / self.cell.width).round());
            row = out_of_box(row, (bounds.height() / self.cell.height).round());
        }
        let (x, y) = (self.cell.width * column, self.cell.height * row);
        micrometres(bounds.origin() + Vec2::new(x, y) + stray)
    }
}

/// A lattice line by its number, moved out when it lies along the first or the last side of the box.
fn out_of_box(line: f64, last: f64) -> f64 {
    if line <= 0.0 {
        line - OUT
    } else if line >= last {
        line + OUT
    } else {
        line
    }
}

/// Adds the parts of a lattice line that lie inside the outline.
fn add_parts(draft: &mut Draft, rings: &Rings, line: Line, ends: [Option<usize>; 2], key: u64) {
    let mut stops: Vec<(Point, Option<usize>)> = vec![(line.p0, ends[0])];
    for hit in rings.crossings(line) {
        draft.nodes.push(Node { at: hit.at, place: Some(hit.place), key: key | (PART_KEY << (stops.len() % 4)) });
        stops.push((hit.at, Some(draft.nodes.len() - 1)));
    }
    stops.push((line.p1, ends[1]));
    for (part, pair) in stops.windows(2).enumerate() {
        if let [(from, Some(a)), (to, Some(b))] = *pair
            && rings.contains(from.midpoint(to))
        {
            draft.seams.push(Seam { ends: [a, b], key: key | (PART_KEY * (part as u64 % 16)) });
        }
    }
}
