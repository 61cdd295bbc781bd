//! Rows and columns on a rectangular board: the graph of straight chords, with a tangent for every seam end.

use super::PuzzleError;
use super::chance::{Chance, Purpose, key};
use super::character::LatticeStyle;
use super::graph::{Edge, Graph, Kind, Node};
use super::grid::Grid;
use super::ring::{Hit, Ring};
use kurbo::{Line, Point, Rect, Vec2};

/// How far (mm) the end of a seam may lie inside the board's box: boards drawn by hand are not exact.
const OFF_BOX: f64 = 0.05;
/// How far a seam's end may be from square to the outline, as a sine.
const OFF_SQUARE: f64 = 0.01;
/// The least angle at which two seams cross, degrees: sharper tips break off.
const SHARPEST_CROSSING: f64 = 66.0;

/// What a lattice is made from.
pub(super) struct LatticeMaker<'a> {
    /// The board's outline.
    pub ring: &'a Ring,
    /// Rows and columns.
    pub grid: Grid,
    /// The length that knobs and strays are measured by, mm.
    pub size: f64,
    /// How corners vary.
    pub style: LatticeStyle,
    /// Where chance comes from.
    pub chance: Chance,
}

/// The two lines through a corner: unit tangents to the right and down.
#[derive(Clone, Copy)]
struct Cross {
    across: Vec2,
    down: Vec2,
}

impl LatticeMaker<'_> {
    /// The graph, with straight seams and its faces traced.
    pub(super) fn make(&self) -> Result<Graph, PuzzleError> {
        let mut graph = Graph::default();
        let mut hits = Vec::new();
        for (i, j) in self.corners() {
            let node = match self.border_hit(i, j)? {
                None => Node { at: self.inner(i, j), place: None },
                Some(hit) => {
                    hits.push((graph.nodes.len(), hit));
                    Node { at: hit.at, place: Some(hit.place) }
                }
            };
            graph.nodes.push(node);
        }
        self.add_seams(&mut graph, &hits);
        add_outline(&mut graph, self.ring, hits);
        graph.trace_faces();
        Ok(graph)
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
        let bounds = self.ring.bounds();
        let cell = self.grid.cell(bounds.size());
        let mut draws = self.chance.draws(key(Purpose::Corner, i, j), 0);
        let stray = Vec2::new(draws.either_way(), draws.either_way()) * (self.style.stray * self.size);
        bounds.origin() + Vec2::new(cell.width * j as f64, cell.height * i as f64) + stray
    }

    fn inner(&self, i: usize, j: usize) -> Point {
        micrometres(self.strayed(i, j))
    }

    /// Where a seam meets the outline; `None` for a corner inside the board.
    fn border_hit(&self, i: usize, j: usize) -> Result<Option<Hit>, PuzzleError> {
        let Grid { rows, columns } = self.grid;
        let Rect { x0, y0, x1, y1 } = self.ring.bounds();
        let at = micrometres(self.strayed(i, j));
        let middle = self.ring.bounds().center();
        // From the middle of the board outwards, so that the last crossing is the outer one.
        let (line, wall, outwards) = match (i, j) {
            (0, _) => (Line::new((at.x, middle.y), (at.x, y0 - 1.0)), Point::new(at.x, y0), -Vec2::new(0.0, 1.0)),
            (i, _) if i == rows => {
                (Line::new((at.x, middle.y), (at.x, y1 + 1.0)), Point::new(at.x, y1), Vec2::new(0.0, 1.0))
            }
            (_, 0) => (Line::new((middle.x, at.y), (x0 - 1.0, at.y)), Point::new(x0, at.y), -Vec2::new(1.0, 0.0)),
            (_, j) if j == columns => {
                (Line::new((middle.x, at.y), (x1 + 1.0, at.y)), Point::new(x1, at.y), Vec2::new(1.0, 0.0))
            }
            _ => return Ok(None),
        };
        let fits = |hit: &Hit| hit.at.distance(wall) < OFF_BOX && hit.tangent.dot(outwards).abs() < OFF_SQUARE;
        let hit = self.ring.crossings(line).pop().filter(fits);
        hit.map(Some).ok_or(PuzzleError::OutlineNotRectangular { at: wall })
    }

    fn add_seams(&self, graph: &mut Graph, hits: &[(usize, Hit)]) {
        let Grid { rows, columns } = self.grid;
        let mut crosses: Vec<_> = self.corners().map(|(i, j)| self.cross(&graph.nodes, i, j)).collect();
        for &(node, hit) in hits {
            crosses[node] = square_to(hit);
        }
        for (i, j) in (0..rows).flat_map(|i| (0..columns).map(move |j| (i, j))) {
            if i > 0 {
                let ends = [self.index(i, j), self.index(i, j + 1)];
                let tangents = ends.map(|n| crosses[n].across);
                graph.edges.push(Edge::seam(&graph.nodes, ends, key(Purpose::Across, i, j), tangents));
            }
            if j > 0 {
                let ends = [self.index(i, j), self.index(i + 1, j)];
                let tangents = ends.map(|n| crosses[n].down);
                graph.edges.push(Edge::seam(&graph.nodes, ends, key(Purpose::Down, i, j), tangents));
            }
        }
    }

    /// The two tangents at a corner inside the board: along its neighbours, and turned a little by chance.
    fn cross(&self, nodes: &[Node], i: usize, j: usize) -> Cross {
        if nodes[self.index(i, j)].place.is_some() {
            return Cross { across: Vec2::new(1.0, 0.0), down: Vec2::new(0.0, 1.0) };
        }
        let between = |from: usize, to: usize| {
            let chord = nodes[to].at - nodes[from].at;
            libm::atan2(chord.y, chord.x).to_degrees()
        };
        let mut draws = self.chance.draws(key(Purpose::Corner, i, j), 1);
        let sign = if self.style.wave && (i + j) % 2 == 1 { -1.0 } else { 1.0 };
        let turn = sign * self.style.turn.draw(&mut draws);
        let bend = self.style.bend;
        let mut across = between(self.index(i, j - 1), self.index(i, j + 1)) + turn + bend * draws.either_way();
        let mut down = between(self.index(i - 1, j), self.index(i + 1, j)) + turn + bend * draws.either_way();
        let slack = 90.0 - SHARPEST_CROSSING;
        let excess = (down - across - 90.0) - (down - across - 90.0).clamp(-slack, slack);
        across += excess / 2.0;
        down -= excess / 2.0;
        Cross { across: direction(across), down: direction(down) }
    }
}

/// A seam ends square to the outline; which of the two lines ends here is told by where it points.
fn square_to(hit: Hit) -> Cross {
    let normal = Vec2::new(-hit.tangent.y, hit.tangent.x);
    let towards = |axis: Vec2| if normal.dot(axis) < 0.0 { -normal } else { normal };
    Cross { across: towards(Vec2::new(1.0, 0.0)), down: towards(Vec2::new(0.0, 1.0)) }
}

fn direction(degrees: f64) -> Vec2 {
    let (sine, cosine) = libm::sincos(degrees.to_radians());
    Vec2::new(cosine, sine)
}

/// Adds the outline, split where seams end on it.
fn add_outline(graph: &mut Graph, ring: &Ring, mut hits: Vec<(usize, Hit)>) {
    hits.sort_by(|a, b| a.1.place.total_cmp(&b.1.place));
    for (position, (node, hit)) in hits.iter().enumerate() {
        let (next_node, next) = &hits[(position + 1) % hits.len()];
        graph.edges.push(Edge {
            ends: [*node, *next_node],
            kind: Kind::Outline,
            tangents: [hit.tangent, next.tangent],
            faces: [None; 2],
            curve: ring.stretch(hit.place, next.place, [hit.at, next.at]),
        });
    }
}

/// A point rounded to whole micrometres, the step of the files that machines read.
pub(super) fn micrometres(point: Point) -> Point {
    // Adding zero takes the sign off a negative zero.
    let round = |v: f64| (v * 1000.0).round() / 1000.0 + 0.0;
    Point::new(round(point.x), round(point.y))
}
