//! The one drawing of a puzzle: corners, edges between them, and the faces that they enclose.
//!
//! Every later step reads and changes this graph only. Invariant: an edge lies between exactly two faces (one
//! of them may be the outside), so that a line which two pieces share exists once.

use kurbo::{Line, ParamCurveArclen, ParamCurveArea, PathSeg, Point, Vec2};

/// How well lengths are known, mm.
const LENGTH_ERROR: f64 = 0.01;

/// A corner where edges meet.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// Where it is.
    pub at: Point,
    /// Where it lies along the rings of the board; `None` inside the board.
    pub place: Option<f64>,
    /// What its chance is drawn by; see [`super::chance::key`].
    pub key: u64,
}

/// What an edge is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A line to be cut between two pieces, with the key that its chance is drawn by.
    Seam {
        /// See [`super::chance::key`].
        key: u64,
    },
    /// A stretch of the board's outline, or of the line round a hole.
    Outline,
    /// A stretch of the line round a whimsy: cut between two pieces as it is, without a knob.
    Whimsy,
}

/// A line between two corners.
#[derive(Clone, Debug)]
pub(super) struct Edge {
    /// The corners that it runs from and to.
    pub ends: [usize; 2],
    /// Seam or outline.
    pub kind: Kind,
    /// Unit tangents at its two ends, both in the direction in which it runs.
    pub tangents: [Vec2; 2],
    /// The faces that it runs along forwards and backwards; `None` is the outside.
    pub faces: [Option<usize>; 2],
    /// The curve; a straight chord until a knob is put in.
    pub curve: Vec<PathSeg>,
}

/// An edge in one of its two directions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Side {
    /// The edge.
    pub edge: usize,
    /// Whether it is walked in the direction in which it runs.
    pub forwards: bool,
}

/// The drawing.
#[derive(Clone, Debug, Default)]
pub(super) struct Graph {
    /// The corners.
    pub nodes: Vec<Node>,
    /// The edges.
    pub edges: Vec<Edge>,
    /// The sides of every face, once round it; the outside is left out.
    pub faces: Vec<Vec<Side>>,
}

impl Edge {
    /// A seam along the straight chord.
    pub(super) fn seam(nodes: &[Node], ends: [usize; 2], key: u64, tangents: [Vec2; 2]) -> Self {
        let chord = Line::new(nodes[ends[0]].at, nodes[ends[1]].at);
        let curve = vec![PathSeg::Line(chord)];
        Self { ends, kind: Kind::Seam { key }, tangents, faces: [None; 2], curve }
    }

    /// Whether it is a line between two pieces that carries a knob.
    pub(super) fn is_seam(&self) -> bool {
        matches!(self.kind, Kind::Seam { .. })
    }
}

impl Graph {
    /// The segments of one side, in the direction in which it is walked.
    pub(super) fn walk(&self, side: Side) -> Vec<PathSeg> {
        let curve = &self.edges[side.edge].curve;
        if side.forwards { curve.clone() } else { curve.iter().rev().map(PathSeg::reverse).collect() }
    }

    /// The area that a face's sides enclose, mm²; negative when they run the other way round.
    pub(super) fn area(&self, sides: &[Side]) -> f64 {
        let signed = |side: &Side| {
            let sum: f64 = self.edges[side.edge].curve.iter().map(ParamCurveArea::signed_area).sum();
            if side.forwards { sum } else { -sum }
        };
        sides.iter().map(signed).sum()
    }

    /// The length of a face's sides, mm.
    pub(super) fn perimeter(&self, sides: &[Side]) -> f64 {
        sides.iter().flat_map(|s| &self.edges[s.edge].curve).map(|s| s.arclen(LENGTH_ERROR)).sum()
    }

    /// The corner that a side starts from.
    pub(super) fn start(&self, side: Side) -> usize {
        self.edges[side.edge].ends[usize::from(!side.forwards)]
    }

    /// The direction in which a side leaves its first corner.
    pub(super) fn leaving(&self, side: Side) -> Vec2 {
        let edge = &self.edges[side.edge];
        if side.forwards { edge.tangents[0] } else { -edge.tangents[1] }
    }

    /// The sides that leave each corner, in the order of their angles.
    pub(super) fn fans(&self) -> Vec<Vec<Side>> {
        let mut fans = vec![Vec::new(); self.nodes.len()];
        for edge in 0..self.edges.len() {
            for forwards in [true, false] {
                let side = Side { edge, forwards };
                fans[self.start(side)].push(side);
            }
        }
        let angle = |side: &Side| {
            let direction = self.leaving(*side);
            libm::atan2(direction.y, direction.x)
        };
        for fan in &mut fans {
            fan.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
        }
        fans
    }

    /// Whether a face is a whimsy, walked from its inside.
    pub(super) fn is_whimsy(&self, face: usize) -> bool {
        self.faces[face].iter().all(|s| !s.forwards && self.edges[s.edge].kind == Kind::Whimsy)
    }

    /// Finds the faces: walks along each side once, and turns as sharply as it can at every corner.
    pub(super) fn trace_faces(&mut self) {
        let fans = self.fans();
        let index = |side: Side| 2 * side.edge + usize::from(!side.forwards);
        let mut seen = vec![false; 2 * self.edges.len()];
        self.faces.clear();
        for first in 0..seen.len() {
            let mut side = Side { edge: first / 2, forwards: first % 2 == 0 };
            let mut sides = Vec::new();
            while !std::mem::replace(&mut seen[index(side)], true) {
                sides.push(side);
                side = next(&fans[self.start(back(side))], side);
            }
            // The walk round the outside is the only one that turns the other way; holes are walked from their inside.
            let is_hole = sides.iter().all(|s| !s.forwards && self.edges[s.edge].kind == Kind::Outline);
            if !is_hole && self.area(&sides) > 0.0 {
                let face = self.faces.len();
                for side in &sides {
                    self.edges[side.edge].faces[usize::from(!side.forwards)] = Some(face);
                }
                self.faces.push(sides);
            }
        }
    }
}

/// The same edge walked the other way.
pub(super) fn back(side: Side) -> Side {
    Side { edge: side.edge, forwards: !side.forwards }
}

/// The side to go on with at the end of `side`: the one before the way back, in the order of the angles.
fn next(fan: &[Side], side: Side) -> Side {
    let way_back = fan.iter().position(|&s| s == back(side)).unwrap_or(0);
    fan[(way_back + fan.len() - 1) % fan.len()]
}
