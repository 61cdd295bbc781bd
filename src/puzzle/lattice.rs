//! Rows and columns on a rectangular board.

use super::chance::{Chance, Purpose, key};
use super::draft::{Draft, Seam};
use super::graph::Node;
use super::grid::Grid;
use super::rings::{Hit, Rings};
use kurbo::{Line, Point, Rect, Vec2};

/// How far (mm) the end of a seam may lie inside the board's box: boards drawn by hand are not exact.
const OFF_BOX: f64 = 0.05;
/// How far past the wall a seam's end is looked for, as a share of the way from the middle.
const OVERSHOOT: f64 = 0.05;
/// How far a seam's end may be from square to the outline, as a sine.
const OFF_SQUARE: f64 = 0.01;

/// What a lattice is made from.
pub(super) struct LatticeMaker<'a> {
    /// The board's outline.
    pub rings: &'a Rings,
    /// Rows and columns.
    pub grid: Grid,
    /// How far a corner strays, mm each way.
    pub stray: f64,
    /// Where chance comes from.
    pub chance: Chance,
}

impl LatticeMaker<'_> {
    /// The corners and straight seams; `None` where the outline is no rectangle.
    pub(super) fn make(&self) -> Option<Draft> {
        let mut nodes = Vec::new();
        for (i, j) in self.corners() {
            let key = key(Purpose::Corner, i, j);
            nodes.push(match self.border_line(i, j) {
                None => Node { at: micrometres(self.strayed(i, j)), place: None, key },
                Some((line, wall)) => {
                    let hit = self.border_hit(line, wall)?;
                    Node { at: hit.at, place: Some(hit.place), key }
                }
            });
        }
        Some(Draft { nodes, seams: self.seams() })
    }

    /// All corners but the four of the board itself, row by row.
    fn corners(&self) -> impl Iterator<Item = (usize, usize)> {
        let Grid { rows, columns } = self.grid;
        let is_corner = move |i, j| (i == 0 || i == rows) && (j == 0 || j == columns);
        (0..=rows).flat_map(move |i| (0..=columns).map(move |j| (i, j))).filter(move |&(i, j)| !is_corner(i, j))
    }

    /// The index of a corner in the order of [`Self::corners`].
    fn index(&self, i: usize, j: usize) -> usize {
        let Grid { rows, columns } = self.grid;
        let before = i * (columns + 1) + j;
        // The corners of the board passed so far: left top, right top, left bottom.
        before - 1 - usize::from(i > 0) - usize::from(i == rows)
    }

    /// A corner's place in the even lattice, and how far it strays.
    fn strayed(&self, i: usize, j: usize) -> Point {
        let bounds = self.rings.bounds();
        let cell = self.grid.cell(bounds.size());
        let mut draws = self.chance.draws(key(Purpose::Corner, i, j), 0);
        let stray = Vec2::new(draws.either_way(), draws.either_way()) * self.stray;
        bounds.origin() + Vec2::new(cell.width * j as f64, cell.height * i as f64) + stray
    }

    /// For a corner on the border: a line from the middle of the board through it, and where it should be.
    fn border_line(&self, i: usize, j: usize) -> Option<(Line, Point)> {
        let Grid { rows, columns } = self.grid;
        let Rect { x0, y0, x1, y1 } = self.rings.bounds();
        let middle = self.rings.bounds().center();
        let at = micrometres(self.strayed(i, j));
        let (start, wall) = match (i, j) {
            (0, _) => (Point::new(at.x, middle.y), Point::new(at.x, y0)),
            (i, _) if i == rows => (Point::new(at.x, middle.y), Point::new(at.x, y1)),
            (_, 0) => (Point::new(middle.x, at.y), Point::new(x0, at.y)),
            (_, j) if j == columns => (Point::new(middle.x, at.y), Point::new(x1, at.y)),
            _ => return None,
        };
        // A little past the wall, so that rounding cannot miss it.
        Some((Line::new(start, start.lerp(wall, 1.0 + OVERSHOOT)), wall))
    }

    /// Where a seam meets the outline: at the outermost crossing, which must lie on the wall and square to it.
    fn border_hit(&self, line: Line, wall: Point) -> Option<Hit> {
        let along = (line.p1 - line.p0) / line.p0.distance(line.p1);
        let fits = |hit: &Hit| {
            hit.at.distance(wall) < OFF_BOX
                && self.rings.tangents(hit.place).iter().all(|t| t.dot(along).abs() < OFF_SQUARE)
        };
        self.rings.crossings(line).pop().filter(fits)
    }

    fn seams(&self) -> Vec<Seam> {
        let Grid { rows, columns } = self.grid;
        let cells = (0..rows).flat_map(|i| (0..columns).map(move |j| (i, j)));
        let of_cell = |(i, j)| {
            let start = |used: bool| used.then(|| self.index(i, j));
            let across = start(i > 0).map(|a| ([a, self.index(i, j + 1)], Purpose::Across));
            let down = start(j > 0).map(|a| ([a, self.index(i + 1, j)], Purpose::Down));
            let seam = move |(ends, purpose)| Seam { ends, key: key(purpose, i, j) };
            across.into_iter().chain(down).map(seam).collect::<Vec<_>>()
        };
        cells.flat_map(of_cell).collect()
    }
}

/// A point rounded to whole micrometres, the step of the files that machines read.
pub(super) fn micrometres(point: Point) -> Point {
    // Adding zero takes the sign off a negative zero.
    let round = |v: f64| (v * 1000.0).round() / 1000.0 + 0.0;
    Point::new(round(point.x), round(point.y))
}
