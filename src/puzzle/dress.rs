//! Puts a knob into every seam: draw one, check it, draw again; if nothing fits, move the neighbours.

use super::PuzzleError;
use super::chance::Chance;
use super::graph::{Edge, Graph, Kind};
use super::knob::{Span, segments};
use super::lock::Lock;
use super::maker::KnobMaker;
use super::polyline::Polyline;
use crate::units::Mm;
use kurbo::{PathSeg, Point};
use std::collections::VecDeque;

/// Tries with one set of neighbours.
const TRIES: u64 = 40;
/// Set in the key of a seam when its side is drawn, so that it keeps its side while its shape is tried.
const SIDE_KEY: u64 = 1 << 63;
/// After so many tries the ranges close towards their middles and the knob shrinks.
const FREE_TRIES: u64 = 12;
/// From this try on the knob may change sides, every fourth try.
const SIDE_TRIES: u64 = 8;
/// How often the neighbours of one seam may be moved away.
const KICKS: u64 = 8;
/// More generations than one seam can go through in one round.
const GENERATIONS: u64 = 1 << 20;
/// A seam may come near another one towards a corner that they share, by this factor of the distance from it:
/// less than the sine of the sharpest crossing, as both bend.
const CORNER_SLOPE: f64 = 0.6;
/// How near the checked chords are to their curve, mm.
const TOLERANCE: f64 = 0.02;

/// A knob shrinks with the smaller piece beside it: its area to this power, but not below the next number.
const SMALL_PIECE: f64 = 0.35;
const LEAST_ROOM: f64 = 0.75;

/// What dressing needs to know.
pub(super) struct Dresser<'a> {
    /// What makes the knobs.
    maker: KnobMaker,
    /// Where chance comes from.
    chance: Chance,
    /// The drawing.
    graph: &'a mut Graph,
    /// The area of every face between straight seams, mm².
    areas: Vec<f64>,
    /// The state of every edge.
    states: Vec<State>,
}

/// The state of one edge.
#[derive(Clone, Default)]
struct State {
    /// Its curve flattened; `None` for a seam that still waits.
    line: Option<Polyline>,
    /// What was measured on its knob.
    lock: Option<Lock>,
    /// How often it was drawn anew.
    generation: u64,
    /// How often its neighbours were moved for it.
    kicks: u64,
}

impl<'a> Dresser<'a> {
    /// For a graph whose seams are still straight; each round draws other knobs.
    pub(super) fn new(maker: KnobMaker, chance: Chance, round: u64, graph: &'a mut Graph) -> Self {
        let areas = graph.faces.iter().map(|sides| graph.area(sides)).collect();
        let state = |edge: &Edge| {
            let line = (!edge.is_seam()).then(|| Polyline::of(&edge.curve, TOLERANCE));
            State { line, generation: round * GENERATIONS, ..State::default() }
        };
        let states = graph.edges.iter().map(state).collect();
        Self { maker, chance, graph, areas, states }
    }

    /// Dresses all seams.
    pub(super) fn dress(&mut self) -> Result<(), PuzzleError> {
        let mut waiting: VecDeque<usize> = self.seams().into();
        while let Some(edge) = waiting.pop_front() {
            if self.place(edge) {
                continue;
            }
            for moved in self.kick(edge)? {
                waiting.push_front(moved);
            }
        }
        Ok(())
    }

    /// The edges that are seams.
    pub(super) fn seams(&self) -> Vec<usize> {
        (0..self.states.len()).filter(|&e| self.graph.edges[e].is_seam()).collect()
    }

    /// The curve of a dressed seam, and what was measured on its knob.
    pub(super) fn drawn(&self, edge: usize) -> Option<(&[PathSeg], &Lock)> {
        Some((&self.graph.edges[edge].curve, self.states[edge].lock.as_ref()?))
    }

    /// Draws a dressed seam anew among its neighbours, which stay, so that its curve and the side of its knob please;
    /// when no draw does, it stays as it was.
    pub(super) fn redraw(&mut self, edge: usize, pleases: impl FnMut(&[PathSeg], f64) -> bool) {
        let generation = self.states[edge].generation + 1;
        let before = std::mem::replace(&mut self.states[edge], State { generation, ..State::default() });
        // Tamer knobs are more alike, so only the free draws are tried.
        if !self.draw(edge, FREE_TRIES, pleases) {
            self.states[edge] = State { generation, ..before };
        }
    }

    /// What was measured on each knob, in the order of the edges.
    pub(super) fn locks(self) -> Vec<Lock> {
        self.states.into_iter().filter_map(|s| s.lock).collect()
    }

    /// Takes the neighbours away, places the seam, and returns the neighbours, which now wait again.
    fn kick(&mut self, edge: usize) -> Result<Vec<usize>, PuzzleError> {
        let mut moved = self.neighbours(edge);
        moved.retain(|&n| self.states[n].lock.is_some());
        for &neighbour in &moved {
            let State { generation, kicks, .. } = self.states[neighbour];
            self.states[neighbour] = State { generation: generation + 1, kicks, ..State::default() };
        }
        self.states[edge].kicks += 1;
        self.states[edge].generation += 1;
        if self.states[edge].kicks > KICKS || !self.place(edge) {
            let [a, b] = self.graph.edges[edge].ends.map(|n| self.graph.nodes[n].at);
            let clearance = Mm::new(self.maker.floors.clearance);
            return Err(PuzzleError::NoRoom { at: a.midpoint(b), clearance });
        }
        Ok(moved)
    }

    /// Tries to find a knob for a seam among the neighbours that are in place.
    fn place(&mut self, edge: usize) -> bool {
        self.draw(edge, TRIES, |_, _| true)
    }

    /// Draws knobs for a seam until one has room among the neighbours in place, and pleases.
    fn draw(&mut self, edge: usize, tries: u64, mut pleases: impl FnMut(&[PathSeg], f64) -> bool) -> bool {
        let Kind::Seam { key } = self.graph.edges[edge].kind else { return true };
        let (span, room) = (self.span(edge), self.room(edge));
        let first = self.states[edge].generation * TRIES;
        for attempt in 0..tries {
            let side_block = (attempt + 4).saturating_sub(SIDE_TRIES) / 4;
            let side = self.chance.draws(key | SIDE_KEY, first + side_block).share();
            let side = if side < 0.5 { 1.0 } else { -1.0 };
            let tame = attempt.saturating_sub(FREE_TRIES - 1) as f64 / (TRIES - FREE_TRIES) as f64;
            let draws = &mut self.chance.draws(key, first + attempt);
            let Some((dressed, lock)) = self.maker.make(draws, tame, room, span, side) else { continue };
            let curve = segments(&dressed.curve);
            let line = Polyline::of(&curve, TOLERANCE);
            if self.is_clear(edge, &line) && pleases(&curve, lock.side) {
                self.graph.edges[edge].curve = curve;
                (self.states[edge].line, self.states[edge].lock) = (Some(line), Some(lock));
                return true;
            }
        }
        false
    }

    /// By how much a knob has to be smaller, as it stands between small pieces.
    fn room(&self, edge: usize) -> f64 {
        let cell = self.maker.size * self.maker.size;
        let faces = self.graph.edges[edge].faces.into_iter().flatten();
        let smallest = faces.map(|f| self.areas[f]).fold(f64::INFINITY, f64::min);
        libm::pow(smallest / cell, SMALL_PIECE).clamp(LEAST_ROOM, 1.0)
    }

    fn span(&self, edge: usize) -> Span {
        let edge = &self.graph.edges[edge];
        Span { ends: edge.ends.map(|n| self.graph.nodes[n].at), tangents: edge.tangents }
    }

    /// All other edges of the two faces of an edge.
    ///
    /// These are enough: a straight way from a seam to a seam of another face must cross one of these first.
    fn neighbours(&self, edge: usize) -> Vec<usize> {
        let faces = self.graph.edges[edge].faces.into_iter().flatten();
        let mut all: Vec<usize> =
            faces.flat_map(|f| &self.graph.faces[f]).map(|side| side.edge).filter(|&e| e != edge).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether a curve keeps its distance from all neighbours in place and from the corners of waiting ones.
    fn is_clear(&self, edge: usize, line: &Polyline) -> bool {
        let clearance = self.maker.floors.clearance + 2.0 * TOLERANCE;
        let own = self.graph.edges[edge].ends;
        self.neighbours(edge).into_iter().all(|other| {
            let ends = self.graph.edges[other].ends;
            let shared: Vec<Point> =
                ends.iter().filter(|n| own.contains(n)).map(|&n| self.graph.nodes[n].at).collect();
            let too_near = |point: Point, distance: f64| distance < CORNER_SLOPE * to_nearest(point, &shared);
            let keeps_off = |obstacle: &Polyline| line.nearest(obstacle, clearance, too_near).is_none();
            match &self.states[other].line {
                Some(placed) => keeps_off(placed),
                None => ends.iter().filter(|n| !own.contains(n)).all(|&n| {
                    let corner = self.graph.nodes[n].at;
                    keeps_off(&Polyline::through(vec![corner, corner]))
                }),
            }
        })
    }
}

/// The distance to the nearest of some points; infinite without any.
pub(super) fn to_nearest(point: Point, others: &[Point]) -> f64 {
    others.iter().map(|o| o.distance(point)).fold(f64::INFINITY, f64::min)
}
