//! Corners near the outline moved until pieces, seams and angles are even.

use super::draft::Draft;
use super::graph::{Graph, Side};
use super::lattice::micrometres;
use super::polyline::Polyline;
use super::rings::{Corner, Rings};
use super::tangents::degrees;
use kurbo::{Line, Point, Vec2};

/// Corners within so many cells of the outline, or of a ring inside it, are moved; the others stay where the lattice put them.
const REACH: f64 = 2.2;
/// Rounds at most.
const ROUNDS: usize = 14;
/// The first step, in cells, and what becomes of it after a round with and one without progress.
const FIRST_STEP: f64 = 0.16;
const SLOWER: f64 = 0.88;
const MUCH_SLOWER: f64 = 0.5;
/// Angles below this are too narrow, degrees.
const NARROW: f64 = 72.0;
/// A corner inside the board keeps this far from the outline, in cells.
const OFF_OUTLINE: f64 = 0.25;
/// Two seams end on the outline at least this far apart, in cells.
const SPACING: f64 = 0.3;
/// A seam keeps this far from the outline, in cells, except near its end on it.
const HUGGING: f64 = 0.16;
/// How far from its end on the outline a seam may be near it, in cells.
const NEAR_END: f64 = 0.4;
/// A seam ends at least this far from a corner of the outline, in cells, or right in it.
const OFF_CORNER: f64 = 0.35;

/// Moves corners of a draft, which must not change its seams meanwhile.
pub(super) struct Relaxer<'a> {
    rings: &'a Rings,
    graph: Graph,
    stars: Vec<Vec<usize>>,
    faces_at: Vec<Vec<usize>>,
    obstacles: Vec<Polyline>,
    cell: f64,
    pitch: f64,
}

impl<'a> Relaxer<'a> {
    /// For a draft whose pieces should have the area `cell`, mm².
    pub(super) fn new(draft: &Draft, rings: &'a Rings, cell: f64) -> Option<Self> {
        let graph = draft.graph(rings)?;
        let mut faces_at = vec![Vec::new(); graph.nodes.len()];
        for (face, sides) in graph.faces.iter().enumerate().filter(|&(face, _)| !graph.is_whimsy(face)) {
            for &side in sides {
                faces_at[graph.start(side)].push(face);
            }
        }
        let pitch = cell.sqrt();
        let obstacles = rings.lines().map(|(_, line)| line.dense(pitch / 12.0)).collect();
        Some(Self { rings, graph, stars: draft.stars(), faces_at, obstacles, cell, pitch })
    }

    /// Moves the corners and gives back the draft with them; `None` when a seam still breaks a rule.
    pub(super) fn relax(mut self, mut draft: Draft) -> Option<Draft> {
        let movable: Vec<usize> = (0..self.graph.nodes.len())
            .filter(|&n| self.distance(self.graph.nodes[n].at) < REACH * self.pitch)
            .collect();
        let mut step = FIRST_STEP * self.pitch;
        for _ in 0..ROUNDS {
            let mut moved = false;
            for &node in &movable {
                moved |= self.improve(node, step);
            }
            step *= if moved { SLOWER } else { MUCH_SLOWER };
        }
        draft.nodes.clone_from(&self.graph.nodes);
        (0..draft.nodes.len()).all(|n| self.is_sound(n)).then_some(draft)
    }

    /// Moves one corner to the best of the places around it; false when it stays.
    fn improve(&mut self, node: usize, step: f64) -> bool {
        let start = self.graph.nodes[node].clone();
        let was_sound = self.is_sound(node);
        let mut best = (self.energy(node), start.clone());
        for candidate in self.candidates(node, step) {
            self.graph.nodes[node].at = candidate.0;
            self.graph.nodes[node].place = candidate.1;
            let energy = self.energy(node);
            if energy < best.0 - 1e-9 && (!was_sound || self.is_sound(node)) {
                best = (energy, self.graph.nodes[node].clone());
            }
        }
        let moved = best.1.at != start.at;
        self.graph.nodes[node] = best.1;
        moved
    }

    fn candidates(&self, node: usize, step: f64) -> Vec<(Point, Option<f64>)> {
        let here = &self.graph.nodes[node];
        let Some(place) = here.place else {
            let round = |k: i32| {
                let (sine, cosine) = libm::sincos(f64::from(k) * std::f64::consts::FRAC_PI_4);
                (micrometres(here.at + Vec2::new(cosine, sine) * step), None)
            };
            return (0..8).map(round).collect();
        };
        let slides = [-2.0, -1.0, -0.5, 0.5, 1.0, 2.0].map(|f| self.rings.slide(place, f * step));
        let inner_corners =
            self.rings.corners().iter().filter(|c| !c.convex && c.at.distance(here.at) < 0.5 * self.pitch);
        slides.into_iter().chain(inner_corners.map(|c| c.place)).map(|p| (self.rings.at(p), Some(p))).collect()
    }

    /// How far from even everything round a corner is.
    fn energy(&self, node: usize) -> f64 {
        let far = |seam: usize| {
            let [a, b] = self.graph.edges[seam].ends;
            if a == node { b } else { a }
        };
        let areas: f64 = self.faces_at[node].iter().map(|&f| self.area_energy(f)).sum();
        let lengths: f64 = self.stars[node].iter().map(|&s| self.length_energy(node, far(s))).sum();
        let angles: f64 =
            self.stars[node].iter().map(|&s| far(s)).chain([node]).map(|n| self.angle_energy(n)).sum();
        areas + lengths + angles + self.corner_energy(node)
    }

    fn area_energy(&self, face: usize) -> f64 {
        let part = |side: &Side| {
            let edge = &self.graph.edges[side.edge];
            let [a, b] = edge.ends.map(|n| &self.graph.nodes[n]);
            let area = match (edge.is_seam(), a.place, b.place) {
                (false, Some(from), Some(to)) => self.rings.area_between(from, to),
                _ => a.at.to_vec2().cross(b.at.to_vec2()) / 2.0,
            };
            if side.forwards { area } else { -area }
        };
        let share = self.graph.faces[face].iter().map(part).sum::<f64>() / self.cell;
        1.6 * (share - 1.0) * (share - 1.0) + 12.0 * (0.55 - share).max(0.0).powi(2)
    }

    fn length_energy(&self, a: usize, b: usize) -> f64 {
        let share = self.graph.nodes[a].at.distance(self.graph.nodes[b].at) / self.pitch;
        0.5 * (share - 1.0) * (share - 1.0) + 12.0 * (0.75 - share).max(0.0).powi(2)
    }

    fn angle_energy(&self, node: usize) -> f64 {
        let here = &self.graph.nodes[node];
        let mut angles: Vec<f64> = self.stars[node]
            .iter()
            .map(|&seam| {
                let [a, b] = self.graph.edges[seam].ends;
                degrees(self.graph.nodes[if a == node { b } else { a }].at - here.at)
            })
            .collect();
        if let Some(place) = here.place {
            let [arriving, leaving] = self.rings.tangents(place);
            angles.extend([degrees(-arriving), degrees(leaving)]);
        }
        angles.sort_by(f64::total_cmp);
        let next = angles.iter().cycle().skip(1);
        let gaps = angles.iter().zip(next).map(|(a, b)| (b - a).rem_euclid(360.0));
        gaps.map(|gap| 6.0 * (NARROW - gap).max(0.0).to_radians().powi(2)).sum()
    }

    fn corner_energy(&self, node: usize) -> f64 {
        let here = &self.graph.nodes[node];
        let Some(place) = here.place else { return 0.0 };
        let from = |c: &Corner| {
            let right_in_it = !c.convex && c.place == place;
            if right_in_it { f64::INFINITY } else { c.at.distance(here.at) / self.pitch }
        };
        let nearest = self.rings.corners().iter().map(from).fold(f64::INFINITY, f64::min);
        12.0 * (OFF_CORNER - nearest).max(0.0).powi(2)
    }

    /// Whether a corner and its seams keep clear of the outline and of other seams.
    fn is_sound(&self, node: usize) -> bool {
        let here = &self.graph.nodes[node];
        let placed = if here.place.is_some() {
            let others = self.graph.nodes.iter().enumerate().filter(|(n, o)| *n != node && o.place.is_some());
            others.into_iter().all(|(_, o)| o.at.distance(here.at) >= SPACING * self.pitch)
        } else {
            self.rings.contains(here.at) && self.distance(here.at) >= OFF_OUTLINE * self.pitch
        };
        placed && self.stars[node].iter().all(|&seam| self.is_seam_sound(seam))
    }

    fn is_seam_sound(&self, seam: usize) -> bool {
        let ends = self.graph.edges[seam].ends;
        let [a, b] = ends.map(|n| &self.graph.nodes[n]);
        let line = Line::new(a.at, b.at);
        let crosses = |other: usize| {
            let edge = &self.graph.edges[other];
            let [c, d] = edge.ends.map(|n| self.graph.nodes[n].at);
            edge.is_seam() && edge.ends.iter().all(|n| !ends.contains(n)) && cross(line, Line::new(c, d))
        };
        if (0..self.graph.edges.len()).any(crosses) || !self.rings.contains(a.at.midpoint(b.at)) {
            return false;
        }
        let on_outline: Vec<Point> = [a, b].iter().filter(|n| n.place.is_some()).map(|n| n.at).collect();
        let away = |p: Point, _: f64| on_outline.iter().all(|o| o.distance(p) > NEAR_END * self.pitch);
        let chord = Polyline::through(vec![a.at, b.at]).dense(self.pitch / 12.0);
        self.obstacles.iter().all(|o| chord.nearest(o, HUGGING * self.pitch, away).is_none())
    }

    fn distance(&self, point: Point) -> f64 {
        let here = Polyline::through(vec![point, point]);
        let to = |o: &Polyline| here.nearest(o, f64::INFINITY, |_, _| true).map_or(f64::INFINITY, |n| n.distance);
        self.obstacles.iter().map(to).fold(f64::INFINITY, f64::min)
    }
}

/// Whether two chords cross.
fn cross(a: Line, b: Line) -> bool {
    let side = |line: Line, p: Point| (line.p1 - line.p0).cross(p - line.p0);
    side(a, b.p0) * side(a, b.p1) < 0.0 && side(b, a.p0) * side(b, a.p1) < 0.0
}
