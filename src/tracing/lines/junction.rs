//! Where strokes meet, and which of them run through.

use super::super::samples::{STEP, angle, side};
use super::ends::{STRAIGHT, heading};
use super::graph::Node;
use super::strands::Strand;
use crate::geometry::LeastSquares;
use kurbo::{Point, Vec2};
use std::f64::consts::PI;

/// Two branches that turn by no more than this, in degrees, are one stroke.
const LEAST_THROUGH: f64 = 35.0;

/// How much the rough place of a meeting counts beside a branch that points at it.
const ROUGH: f64 = 0.02;

/// A seam comes to the rim no farther than this (px) from where its pixels do.
const FARTHEST_RIM: f64 = 4.0;

/// Where more branches than this meet there is no drawing but noise, and none runs through.
const MOST_BRANCHES: usize = 64;

/// An end of a strand at a node.
#[derive(Clone, Copy, Debug)]
pub(in crate::tracing) struct Branch {
    /// The strand, and which of its ends.
    pub end: (usize, usize),
    /// Where what is known of it ends.
    from: Point,
    /// Its direction there, to the node.
    toward: Vec2,
    /// The line by which it goes on to the node: a place on it near the node, and the direction from the node.
    line: (Point, Vec2),
}

/// How the strands at a node are joined.
#[derive(Clone, Debug)]
pub(in crate::tracing) struct Meeting {
    /// The branches.
    pub branches: Vec<Branch>,
    /// Where they meet, all of them taken together.
    pub place: Point,
    /// The branches that run through, as pairs of indices, with the way from the one to the other.
    pub through: Vec<(usize, usize, Vec<Point>)>,
}

/// What a strand looks like from one of its ends; `None` if it cannot be told.
fn branch(strand: &Strand, end: (usize, usize), node: &Node) -> Option<Branch> {
    let reach = 2.0 * strand.half_width + 3.0;
    let inward: Vec<Point> = {
        let count = (reach / STEP) as usize + 2;
        let points = strand.points.iter().copied();
        if end.1 == 0 { points.take(count).collect() } else { points.rev().take(count).collect() }
    };
    let (from, toward) = heading(inward.iter().rev().copied(), reach)?;
    let near: Vec<(f64, Point)> = inward.iter().map(|&p| ((p - node.place).hypot(), p)).collect();
    let (place, slope) = side(&near, STRAIGHT)?;
    let direction = slope / slope.hypot();
    // What points away from the node has been read wrongly.
    let is_sound = direction.is_finite() && direction.dot(-toward) > 0.0;
    Some(Branch { end, from, toward, line: if is_sound { (place, direction) } else { (from, -toward) } })
}

/// The meeting at a node of the strands that end there.
pub(in crate::tracing) fn meeting(node: &Node, ends: &[(usize, usize)], strands: &[Strand]) -> Meeting {
    let branches: Vec<Branch> = ends.iter().filter_map(|&end| branch(&strands[end.0], end, node)).collect();
    let place = common_place(node, &branches);
    let through = pairs(&branches)
        .into_iter()
        .map(|(i, j)| (i, j, curve(branches[i].from, branches[i].toward, branches[j].from, -branches[j].toward)))
        .collect();
    Meeting { branches, place, through }
}

/// The place that is nearest to the lines of all branches.
fn common_place(node: &Node, branches: &[Branch]) -> Point {
    let mut system = LeastSquares::<2>::new();
    for Branch { line: (place, direction), .. } in branches {
        let off = Vec2::new(-direction.y, direction.x);
        system.add([off.x, off.y], off.dot(*place - node.place));
    }
    system.draw(0, 0.0, ROUGH);
    system.draw(1, 0.0, ROUGH);
    let [x, y] = system.solve();
    let moved = Vec2::new(x, y);
    let is_near = moved.is_finite() && moved.hypot() < node.spread + 2.0 * node.radius + 1.0;
    if is_near { node.place + moved } else { node.place }
}

/// The branches that run through, those that turn least first.
fn pairs(branches: &[Branch]) -> Vec<(usize, usize)> {
    let count = if branches.len() > MOST_BRANCHES { 0 } else { branches.len() };
    let turn = |i: usize, j: usize| angle(branches[i].line.1, -branches[j].line.1);
    let mut found: Vec<(f64, usize, usize)> =
        (0..count).flat_map(|i| (0..i).map(move |j| (j, i))).map(|(i, j)| (turn(i, j), i, j)).collect();
    found.retain(|p| p.0 <= LEAST_THROUGH * PI / 180.0);
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut taken = vec![false; count];
    let mut pairs = Vec::new();
    for (_, i, j) in found {
        if !taken[i] && !taken[j] {
            (taken[i], taken[j]) = (true, true);
            pairs.push((i, j));
        }
    }
    pairs
}

/// Places along a smooth curve between two places with directions of unit length there, both included.
fn curve(from: Point, start: Vec2, to: Point, end: Vec2) -> Vec<Point> {
    let chord = (to - from).hypot();
    let steps = (chord / STEP).ceil().max(1.0) as usize;
    let (start, end) = (start * chord, end * chord);
    let at = |k: usize| {
        let t = k as f64 / steps as f64;
        let (s, u) = (t * t, 1.0 - t);
        let ends = from.to_vec2() * (u * u * (1.0 + 2.0 * t)) + to.to_vec2() * (s * (3.0 - 2.0 * t));
        (ends + start * (t * u * u) - end * (s * u)).to_point()
    };
    (0..=steps).map(at).collect()
}

impl Meeting {
    /// Whether a branch runs through.
    pub fn runs_through(&self, branch: usize) -> bool {
        self.through.iter().any(|(i, j, _)| *i == branch || *j == branch)
    }

    /// Where a branch that does not run through meets the others: on the way of one that does, if there is one.
    pub fn foot(&self, branch: usize) -> Point {
        let line = self.branches[branch].line;
        let feet = self.through.iter().filter_map(|(_, _, way)| crossing(way, line, self.place));
        let nearest = feet.min_by(|a, b| (*a - self.place).hypot().total_cmp(&(*b - self.place).hypot()));
        nearest.unwrap_or(self.place)
    }

    /// Where the one branch of a seam comes to the rim of a sheet so wide and high, near a place on it.
    pub fn at_rim(&self, near: Point, width: f64, height: f64) -> Point {
        let Some(Branch { line: (on, direction), .. }) = self.branches.first() else { return near };
        let (off, along) = if near.x <= 0.0 || near.x >= width {
            (near.x - on.x, direction.x)
        } else {
            (near.y - on.y, direction.y)
        };
        let place = *on + *direction * (off / along);
        if !place.is_finite() || (place - near).hypot() > FARTHEST_RIM {
            return near;
        }
        let place = Point::new(place.x.clamp(0.0, width), place.y.clamp(0.0, height));
        if near.x <= 0.0 || near.x >= width { Point::new(near.x, place.y) } else { Point::new(place.x, near.y) }
    }

    /// The one place where all branches meet when they have to: on the way of the one that runs through, if only one does.
    pub fn shared_place(&self) -> Point {
        let stem = (0..self.branches.len()).find(|&b| !self.runs_through(b));
        match (&self.through[..], stem) {
            ([_], Some(stem)) => self.foot(stem),
            _ => self.place,
        }
    }

    /// The way of a branch to a place, both ends included: straight on and, if a direction is given, arriving by it.
    pub fn lead(&self, branch: usize, place: Point, arriving: Option<Vec2>) -> Vec<Point> {
        let Branch { from, toward, line, .. } = self.branches[branch];
        let arriving = arriving.unwrap_or_else(|| {
            let straight = (place - from) / (place - from).hypot();
            // The branch may have to bend a little to reach the place; it does so at once, and not at the end.
            if straight.is_finite() { straight } else { -line.1 }
        });
        curve(from, toward, place, arriving)
    }

    /// The direction in which a branch that runs through arrives where it passes nearest to a place.
    pub fn direction(&self, branch: usize, place: Point) -> Option<Vec2> {
        let (i, _, way) = self.through.iter().find(|(i, j, _)| *i == branch || *j == branch)?;
        let off = |k: usize| (way[k] - place).hypot();
        let nearest = (0..way.len()).min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
        let along = way[(nearest + 1).min(way.len() - 1)] - way[nearest.saturating_sub(1)];
        let along = if *i == branch { along } else { -along };
        Some(along / along.hypot()).filter(|d| d.is_finite())
    }
}

/// Where a line crosses a way, nearest to a place; if it does not, the nearest of the way's places.
fn crossing(way: &[Point], (on, direction): (Point, Vec2), place: Point) -> Option<Point> {
    let off = |p: Point| direction.cross(p - on);
    let crossings = way.windows(2).filter(|w| off(w[0]) * off(w[1]) <= 0.0).map(|w| {
        let (a, b) = (off(w[0]), off(w[1]));
        let share = a / (a - b);
        if share.is_finite() { w[0].lerp(w[1], share) } else { w[0] }
    });
    let near = |a: &Point, b: &Point| (*a - place).hypot().total_cmp(&(*b - place).hypot());
    crossings.min_by(near).or_else(|| way.iter().copied().min_by(near))
}
