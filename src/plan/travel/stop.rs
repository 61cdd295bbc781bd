//! Strokes as places that the head comes to: where each may be entered, and where it is left then.

use super::{end, start};
use crate::geometry::{begun_at, is_closed, starts};
use kurbo::{BezPath, ParamCurve, Point};

/// A stroke with the ways in which it may be burned; there is at least one.
pub(super) struct Stop {
    path: BezPath,
    pub ways: Vec<Way>,
}

/// One way to burn a stroke.
#[derive(Clone, Copy)]
pub(super) struct Way {
    /// Where the beam goes on.
    pub from: Point,
    /// Where it goes off.
    pub to: Point,
    turn: Turn,
}

#[derive(Clone, Copy)]
enum Turn {
    AsDrawn,
    Backwards,
    /// A closed stroke, from the start of this segment round to it.
    BegunAt(usize),
}

/// A stroke at its turn: numbers of a stop and of one of its ways.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Visit {
    pub stop: usize,
    pub way: usize,
}

impl Stop {
    pub fn new(path: BezPath) -> Self {
        let ways = if is_closed(&path) { round(&path) } else { there_and_back(&path) };
        Self { path, ways }
    }

    /// The stroke as it is burned.
    pub fn burned(&self, way: usize) -> BezPath {
        match self.ways[way].turn {
            Turn::AsDrawn => self.path.clone(),
            Turn::Backwards => self.path.reverse_subpaths(),
            Turn::BegunAt(node) => begun_at(&self.path, node),
        }
    }

    pub const fn path(&self) -> &BezPath {
        &self.path
    }

    /// The number of the way that enters where this one leaves: of a closed stroke, itself.
    pub fn reverse(&self, way: usize) -> usize {
        if matches!(self.ways[way].turn, Turn::BegunAt(_)) { way } else { 1 - way }
    }
}

fn round(path: &BezPath) -> Vec<Way> {
    let nodes: Vec<Point> = path.segments().map(|s| s.start()).collect();
    let way = |node: usize| nodes.get(node).map(|&at| Way { from: at, to: at, turn: Turn::BegunAt(node) });
    let ways: Vec<Way> = starts(path).into_iter().filter_map(way).collect();
    let at = start(path);
    if ways.is_empty() { vec![Way { from: at, to: at, turn: Turn::BegunAt(0) }] } else { ways }
}

fn there_and_back(path: &BezPath) -> Vec<Way> {
    let (a, b) = (start(path), end(path));
    vec![Way { from: a, to: b, turn: Turn::AsDrawn }, Way { from: b, to: a, turn: Turn::Backwards }]
}
