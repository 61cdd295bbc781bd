//! Where a chain of chords has true corners, and which of its edges are straight edges rather than chords.
//!
//! A chord of a curve flattened within `t` bulges by `t` at most, and its bulge is its length times the turn at its
//! ends over eight. What would bulge much more was never a chord: the vertex is a corner, or the edge is straight.

use super::{Budget, tangents};
use kurbo::{Point, Vec2};
use std::f64::consts::FRAC_PI_4;

/// A vertex whose chords would bulge by more than this many times what flattening allows is a corner.
const CORNER_BULGE: f64 = 2.0;

/// An edge that would bulge by more than this many times what flattening allows at both its ends is straight.
const STRAIGHT_BULGE: f64 = 1.5;

/// An edge this many times as long as both its neighbours is straight ...
const FAR_LONGER: f64 = 3.0;

/// ... if it would bulge by this many times what flattening allows.
const LEAST_BULGE: f64 = 0.4;

/// A turn of this much (radians, 12 degrees) beyond what the turns next to it explain is a corner, however short its
/// chords are.
const KINK: f64 = 0.21;

/// A curve that meets a straight edge at more than this angle (radians, 2 degrees) was not tangent to it.
const NOT_TANGENT: f64 = 0.035;

/// A chain of chords with its corners and straight edges known. A closed one ends at its first point again.
pub(super) struct Outline {
    /// The vertices.
    pub points: Vec<Point>,
    /// Whether the edge that starts at a vertex is straight.
    straight: Vec<bool>,
    /// Whether a vertex is a corner. The ends count as corners.
    corner: Vec<bool>,
    /// How far the chain has turned, without signs, when it leaves a vertex (radians).
    turned: Vec<f64>,
    /// The direction at the ends of a closed chain without corners.
    seam: Option<Vec2>,
}

impl Outline {
    /// A chain without corners.
    pub fn smooth(points: Vec<Point>, budget: Budget) -> Self {
        let edges = Edges::of(&points, false);
        let corner = ends_only(points.len());
        let mut straight = edges.straight(&corner, budget);
        // Straight edges that meet at an angle are none in a chain that is smooth.
        let beside: Vec<bool> = (0..straight.len())
            .map(|i| straight[i] && (straight.get(i + 1) == Some(&true) || i > 0 && straight[i - 1]))
            .collect();
        straight.iter_mut().zip(beside).for_each(|(s, beside)| *s &= !beside);
        Self { points, straight, corner, turned: summed(&edges.turn), seam: None }
    }

    /// An open chain.
    pub fn open(points: Vec<Point>, budget: Budget) -> Self {
        let edges = Edges::of(&points, false);
        let (corner, straight) = edges.features(budget);
        Self { points, straight, corner, turned: summed(&edges.turn), seam: None }
    }

    /// A closed chain of three points or more, the first not repeated; it is begun at a corner if there is one, else
    /// at a straight edge, else at its longest edge, where it is likely to bend least.
    pub fn closed(mut points: Vec<Point>, budget: Budget) -> Self {
        let mut edges = Edges::of(&points, true);
        let (mut corner, mut straight) = edges.features(budget);
        let any = |marks: &[bool]| marks.iter().position(|&m| m);
        let start = any(&corner).or_else(|| any(&straight)).unwrap_or_else(|| edges.longest());
        points.rotate_left(start);
        corner.rotate_left(start);
        straight.rotate_left(start);
        edges.turn.rotate_left(start);
        edges.turn.push(0.0);
        let seam = (!corner[0])
            .then(|| if straight[0] { (points[1] - points[0]).normalize() } else { tangents::round(&points, 0) });
        points.push(points[0]);
        corner[0] = true;
        corner.push(true);
        Self { points, straight, corner, turned: summed(&edges.turn), seam }
    }

    /// The direction at the seam of a closed chain that is smooth there.
    pub fn seam_tangent(&self) -> Option<Vec2> {
        self.seam
    }

    /// The stretches from corner to corner, as ranges of vertices with both ends.
    pub fn stretches(&self) -> Vec<(usize, usize)> {
        let corners: Vec<usize> = (0..self.points.len()).filter(|&i| self.corner[i]).collect();
        corners.windows(2).map(|c| (c[0], c[1])).collect()
    }

    /// Whether the edge from a vertex to the next is straight.
    pub fn is_straight(&self, edge: usize) -> bool {
        self.straight[edge]
    }

    /// The last vertex that is reached from another before the chain has turned by more than `most` radians, forth and
    /// back counted alike; the next one at least.
    pub fn reach(&self, from: usize, most: f64) -> usize {
        let limit = self.turned[from] + most;
        self.turned.partition_point(|&t| t <= limit).clamp(from + 1, self.points.len() - 1)
    }

    /// How far the chain turns at the vertices between two, without signs.
    pub fn turn_between(&self, from: usize, to: usize) -> f64 {
        self.turned[to - 1] - self.turned[from]
    }
}

fn summed(turns: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    turns
        .iter()
        .map(|t| {
            sum += t.abs();
            sum
        })
        .collect()
}

/// The angle of a sine over a cosine; most are small, where three terms of the series are exact to 1e-8.
fn angle(sine: f64, cosine: f64) -> f64 {
    let tangent = sine / cosine;
    let square = tangent * tangent;
    if cosine > 0.0 && square < 0.01 {
        return tangent * (1.0 - square * (1.0 / 3.0 - square / 5.0));
    }
    libm::atan2(sine, cosine)
}

fn ends_only(count: usize) -> Vec<bool> {
    (0..count).map(|i| i == 0 || i + 1 == count).collect()
}

/// The edges of a chain: their lengths, and the turns between them.
struct Edges {
    closed: bool,
    /// The length of the edge that starts at a vertex.
    length: Vec<f64>,
    /// The turn at a vertex in radians; nothing at the ends of an open chain.
    turn: Vec<f64>,
}

impl Edges {
    fn of(points: &[Point], closed: bool) -> Self {
        let count = points.len();
        let edges = if closed { count } else { count.saturating_sub(1) };
        let along: Vec<Vec2> = (0..edges).map(|i| points[(i + 1) % count] - points[i]).collect();
        let turn = |i: usize| match i {
            0 if !closed => 0.0,
            i if i >= edges => 0.0,
            i => {
                let before = along[(i + edges - 1) % edges];
                angle(before.cross(along[i]), before.dot(along[i]))
            }
        };
        Self {
            closed,
            length: along.iter().map(|a| a.hypot2().sqrt()).collect(),
            turn: (0..count).map(turn).collect(),
        }
    }

    /// The corners and the straight edges.
    fn features(&self, budget: Budget) -> (Vec<bool>, Vec<bool>) {
        let count = self.turn.len();
        let is_end = |i: usize| !self.closed && (i == 0 || i + 1 == count);
        let mut corner: Vec<bool> = (0..count).map(|i| is_end(i) || self.is_corner(i, budget)).collect();
        let straight = self.straight(&corner, budget);
        for i in (0..count).filter(|&i| !is_end(i)) {
            let (before, after) = (straight[self.before(i)], straight[i]);
            let kinked = || self.kink(i, (before, after), budget) > NOT_TANGENT;
            corner[i] |= (before && after) || ((before || after) && kinked());
        }
        (corner, straight)
    }

    fn longest(&self) -> usize {
        (1..self.length.len()).fold(0, |best, i| if self.length[i] > self.length[best] { i } else { best })
    }

    /// The length of the longer neighbour of an edge.
    fn neighbours(&self, edge: usize) -> f64 {
        let count = self.length.len();
        let before = if edge > 0 || self.closed { self.length[self.before(edge)] } else { 0.0 };
        let after = if edge + 1 < count || self.closed { self.length[(edge + 1) % count] } else { 0.0 };
        before.max(after)
    }

    fn before(&self, i: usize) -> usize {
        (i + self.length.len() - 1) % self.length.len()
    }

    fn is_corner(&self, i: usize, budget: Budget) -> bool {
        let turn = self.turn[i].abs();
        let shorter = self.length[i].min(self.length[self.before(i)]);
        turn > FRAC_PI_4
            || turn * shorter / 8.0 > CORNER_BULGE * budget.chords
            || (turn > KINK && self.kink(i, (false, false), budget) > KINK)
    }

    /// How much of the turn at a vertex its neighbours' turns do not explain, in radians, less what the thinning may
    /// have turned. `straight` tells whether the edges before and after it are known to be straight.
    fn kink(&self, i: usize, straight: (bool, bool), budget: Budget) -> f64 {
        let (a, b) = (self.before(i), i);
        let half = |edge: usize, beyond: usize, vertex: usize, straight: bool| {
            if straight {
                return 0.0;
            }
            let length = self.length[edge];
            // The edge's share of the turn at its other end, but no more than its bulge allows; beside an edge far
            // longer, which may be straight, all of it.
            let beyond = *self.length.get(beyond).unwrap_or(&length);
            let share = if beyond > FAR_LONGER * length { 1.0 } else { length / (length + beyond) };
            let most = 6.0 * budget.chords / length;
            (self.turn[i].signum() * self.turn[vertex] * share).clamp(0.0, most)
        };
        let next = (i + 1) % self.turn.len();
        let explained = half(a, self.before(a), a, straight.0) + half(b, next, next, straight.1);
        let shaken = 2.0 * budget.thinning * (1.0 / self.length[a] + 1.0 / self.length[b]);
        self.turn[i].abs() - explained - shaken
    }

    /// Which edges are straight: far too long for the turns at both their ends.
    fn straight(&self, corner: &[bool], budget: Budget) -> Vec<bool> {
        let turn = |i: usize| if corner[i] { f64::INFINITY } else { self.turn[i].abs() };
        let is_straight = |i: usize| {
            let least = turn(i).min(turn((i + 1) % self.turn.len()));
            let longer = self.length[i] / self.neighbours(i);
            let bulge = if longer > FAR_LONGER { LEAST_BULGE } else { STRAIGHT_BULGE };
            self.length[i] * least / 8.0 > bulge * budget.chords
        };
        let mut straight: Vec<bool> = (0..self.length.len()).map(is_straight).collect();
        // An open chain has one edge less than vertices.
        straight.resize(self.turn.len(), false);
        straight
    }
}
