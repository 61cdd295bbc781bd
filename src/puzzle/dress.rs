//! Puts a knob into every seam: draw one, check it, draw again; if nothing fits, move the neighbours.

use super::PuzzleError;
use super::chance::{Chance, Draws};
use super::character::{Character, RoundStyle};
use super::floors::Floors;
use super::graph::{Graph, Kind};
use super::knob::{Dressed, RoundKnob, Span, segments};
use super::lock::{Lock, least_radius};
use super::polyline::Polyline;
use crate::units::Mm;
use kurbo::Point;
use std::collections::VecDeque;

/// Tries with one set of neighbours.
const TRIES: u64 = 40;
/// Set in the key of a seam when its side is drawn, so that it keeps its side while its shape is tried.
const SIDE_KEY: u64 = 1 << 63;
/// After so many tries the ranges close towards their middles and the knob shrinks.
const FREE_TRIES: u64 = 12;
/// From this try on the knob may change sides, every fourth try.
const SIDE_TRIES: u64 = 8;
/// By how much the knob has shrunk at the last try.
const SHRINK: f64 = 0.22;
/// How often the neighbours of one seam may be moved away.
const KICKS: u64 = 8;
/// A seam may come near another one towards a corner that they share, by this factor of the distance from it:
/// less than the sine of the sharpest crossing, as both bend.
const CORNER_SLOPE: f64 = 0.6;
/// How near the checked chords are to their curve, mm.
const TOLERANCE: f64 = 0.02;
/// Least radius of a curve, as a share of the cell's size: a sharper bend burns.
const LEAST_RADIUS: f64 = 0.036;
/// Least gap between head and shoulder in radii of the fillet between them.
const UNDER_HEAD: f64 = 1.5;

/// What dressing needs to know.
pub(super) struct Dresser<'a> {
    /// How knobs look.
    pub character: Character,
    /// What no knob may fall below.
    pub floors: Floors,
    /// The length that knobs are measured by, mm.
    pub size: f64,
    /// Where chance comes from.
    pub chance: Chance,
    /// The drawing.
    pub graph: &'a mut Graph,
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

impl Dresser<'_> {
    /// Dresses all seams and returns what was measured on each knob, in the order of the edges.
    pub(super) fn dress(mut self) -> Result<Vec<Lock>, PuzzleError> {
        let mut states: Vec<State> = self
            .graph
            .edges
            .iter()
            .map(|edge| {
                let line = (!edge.is_seam()).then(|| Polyline::of(&edge.curve, TOLERANCE));
                State { line, ..State::default() }
            })
            .collect();
        let mut waiting: VecDeque<usize> = (0..states.len()).filter(|&e| self.graph.edges[e].is_seam()).collect();
        while let Some(edge) = waiting.pop_front() {
            if self.place(edge, &mut states) {
                continue;
            }
            for moved in self.kick(edge, &mut states)? {
                waiting.push_front(moved);
            }
        }
        Ok(states.into_iter().filter_map(|s| s.lock).collect())
    }

    /// Takes the neighbours away, places the seam, and returns the neighbours, which now wait again.
    fn kick(&mut self, edge: usize, states: &mut [State]) -> Result<Vec<usize>, PuzzleError> {
        let moved: Vec<usize> = self.neighbours(edge).into_iter().filter(|&n| states[n].lock.is_some()).collect();
        for &neighbour in &moved {
            states[neighbour] = State {
                generation: states[neighbour].generation + 1,
                kicks: states[neighbour].kicks,
                ..State::default()
            };
        }
        states[edge].kicks += 1;
        states[edge].generation += 1;
        if states[edge].kicks > KICKS || !self.place(edge, states) {
            let [a, b] = self.graph.edges[edge].ends.map(|n| self.graph.nodes[n].at);
            let clearance = Mm::new(self.floors.clearance);
            return Err(PuzzleError::NoRoom { at: a.midpoint(b), clearance });
        }
        Ok(moved)
    }

    /// Tries to find a knob for a seam among the neighbours that are in place.
    fn place(&mut self, edge: usize, states: &mut [State]) -> bool {
        let Kind::Seam { key } = self.graph.edges[edge].kind else { return true };
        let span = self.span(edge);
        for attempt in 0..TRIES {
            let nth = states[edge].generation * TRIES + attempt;
            let side_block = (attempt + 4).saturating_sub(SIDE_TRIES) / 4;
            let side = self.chance.draws(key | SIDE_KEY, states[edge].generation * TRIES + side_block).share();
            let draws = &mut self.chance.draws(key, nth);
            let knob = self.draw(draws, attempt, span, if side < 0.5 { 1.0 } else { -1.0 });
            let Some(dressed) = knob.dress(span) else { continue };
            let Some(lock) = self.holds(&knob, &dressed) else { continue };
            let line = Polyline::of(&segments(&dressed.curve), TOLERANCE);
            if self.is_clear(edge, &line, states) {
                self.graph.edges[edge].set_curve(&dressed.curve);
                (states[edge].line, states[edge].lock) = (Some(line), Some(lock));
                return true;
            }
        }
        false
    }

    fn span(&self, edge: usize) -> Span {
        let edge = &self.graph.edges[edge];
        Span { ends: edge.ends.map(|n| self.graph.nodes[n].at), tangents: edge.tangents }
    }

    /// Draws a knob and moves its measures so that it should hold; [`Self::holds`] then measures whether it does.
    fn draw(&self, draws: &mut Draws, attempt: u64, span: Span, side: f64) -> RoundKnob {
        let tame = attempt.saturating_sub(FREE_TRIES - 1) as f64 / (TRIES - FREE_TRIES) as f64;
        let style: RoundStyle = self.character.round();
        let length = span.ends[0].distance(span.ends[1]);
        let scale = (length / (0.92 * self.size)).clamp(0.6, 1.0) * (1.0 - SHRINK * tame);
        let unit = self.size * scale;
        let mut pick = |range: super::character::Range| range.towards_middle(tame).draw(draws);
        let place = pick(style.place);
        let neck = pick(style.neck);
        let fillet = pick(style.fillet) * unit;
        let uneven = pick(style.unevenness) / 2.0;
        let mut knob = RoundKnob {
            place,
            head: 0.0,
            neck: 0.0,
            fillets: [fillet * (1.0 + uneven), fillet * (1.0 - uneven)],
            sag: pick(style.sag) * unit,
            tilt: pick(style.tilt).to_radians(),
            lean: pick(style.lean),
            stretch: pick(style.stretch),
            rise: pick(style.rise),
            dips: [pick(style.dip).to_radians(), pick(style.dip).to_radians()],
            reaches: [pick(style.reach), pick(style.reach)],
            side,
        };
        knob.head = style.head.towards_low(tame).draw(draws) * unit;
        knob.neck = neck * knob.head;
        self.strengthen(&mut knob);
        knob
    }

    /// Widens neck, head and fillets to what the floors ask for, as far as a formula can tell.
    fn strengthen(&self, knob: &mut RoundKnob) {
        let [most, least] = knob.stretches();
        let Floors { neck, undercut, .. } = self.floors;
        let widest = (knob.head * least - undercut) / knob.stretch;
        knob.neck = knob.neck.min(widest).max(neck / least);
        knob.head = knob.head.max((knob.neck * knob.stretch + undercut) / least);
        let bend = LEAST_RADIUS * self.size * most / (least * least);
        knob.fillets = knob.fillets.map(|f| f.max(bend));
    }

    /// Measures a knob; `None` when it is below a floor, too sharply bent, or its head sits on its shoulders.
    fn holds(&self, knob: &RoundKnob, dressed: &Dressed) -> Option<Lock> {
        let shoulders = [dressed.curve[0], dressed.curve[dressed.curve.len() - 1]];
        if shoulders.iter().any(|&s| least_radius(s) < LEAST_RADIUS * self.size) {
            return None;
        }
        let lock = Lock::of(dressed)?;
        let gap = UNDER_HEAD * knob.fillets[0].min(knob.fillets[1]) * knob.stretch.min(knob.rise);
        let good = lock.neck.value.get() >= self.floors.neck
            && lock.undercut.value.get() >= self.floors.undercut
            && lock.under_head >= gap;
        good.then_some(lock)
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
    fn is_clear(&self, edge: usize, line: &Polyline, states: &[State]) -> bool {
        let clearance = self.floors.clearance + 2.0 * TOLERANCE;
        let own = self.graph.edges[edge].ends;
        self.neighbours(edge).into_iter().all(|other| {
            let ends = self.graph.edges[other].ends;
            let shared: Vec<Point> =
                ends.iter().filter(|n| own.contains(n)).map(|&n| self.graph.nodes[n].at).collect();
            let too_near = |point: Point, distance: f64| distance < CORNER_SLOPE * to_nearest(point, &shared);
            let corners = || {
                Polyline::through(
                    ends.iter().filter(|n| !own.contains(n)).flat_map(|&n| [self.graph.nodes[n].at; 2]).collect(),
                )
            };
            let obstacle = states[other].line.clone().unwrap_or_else(corners);
            line.nearest(&obstacle, clearance, too_near).is_none()
        })
    }
}

/// The distance to the nearest of some points; infinite without any.
pub(super) fn to_nearest(point: Point, others: &[Point]) -> f64 {
    others.iter().map(|o| o.distance(point)).fold(f64::INFINITY, f64::min)
}
