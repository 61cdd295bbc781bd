//! Lengths, distances, and how far things stick out.

use super::border::Border;
use super::chords::{Chord, ChordTree, of_paths};
use super::flatten::subpaths;
use super::{Region, boolean};
use crate::units::Mm;
use kurbo::{BezPath, Point, Shape};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Arc lengths are found to this many millimetres a segment.
const LENGTH_ACCURACY: f64 = 1e-6;

/// What sticks out by no more than this (mm) lies inside: less than flattening and rounding make of it.
const INSIDE_TOLERANCE: f64 = 1e-3;

/// The search for the farthest point ends after this many steps.
const MOST_STEPS: usize = 200_000;

/// The length along a path, jumps between subpaths left out.
pub fn length(path: &BezPath) -> Mm {
    Mm::new(subpaths(path).iter().map(|s| s.perimeter(LENGTH_ACCURACY)).sum())
}

/// Where two drawings come closest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// How far apart they are there; zero when they cross or touch.
    pub distance: Mm,
    /// The place on the first.
    pub on_a: Point,
    /// The place on the second.
    pub on_b: Point,
}

/// The closest places of two sets of lines; `None` when one of them has no line.
///
/// Areas count as their outlines here: ask [`Region::contains`] too where one may lie inside the other.
pub fn nearest(a: &[BezPath], b: &[BezPath]) -> Option<Nearest> {
    let (on_a, on_b) = ChordTree::of_paths(a).nearest_pair(&ChordTree::of_paths(b))?;
    Some(Nearest { distance: Mm::new(on_a.distance(on_b)), on_a, on_b })
}

/// The point of some lines that lies farthest outside a region, and how far; `None` when all lie inside, and when the
/// region is empty.
pub fn farthest_outside(lines: &[BezPath], container: &Region) -> Option<(Point, Mm)> {
    let (chords, _) = of_paths(lines);
    farthest_of_chords(&chords, &Border::of(container), None)
}

impl Region {
    /// The point that lies farthest outside `container`, and how far; `None` when all of it lies inside, and
    /// when `container` is empty.
    pub fn farthest_outside(&self, container: &Self) -> Option<(Point, Mm)> {
        let border = Border::of(container);
        // Over a hole of the container the farthest point may lie in the midst of what sticks out.
        let holes = container.contours().len() > 1;
        let excess = if holes { boolean::shapes(&self.subtract(container)) } else { Vec::new() };
        let depths = excess.iter().filter_map(Self::interior_point).map(|(at, _)| (at, -border.depth(at)));
        let start = depths.max_by(|a, b| a.1.total_cmp(&b.1));
        farthest_of_chords(&of_paths(self.contours()).0, &border, start)
    }
}

/// A stretch of a chord with the distances of its ends outside, ordered by what it could still hold.
struct Stretch {
    from: (Point, f64),
    to: (Point, f64),
}

impl Stretch {
    /// No point between can lie farther out: the distance changes at most as fast as one walks.
    fn reach(&self) -> f64 {
        0.5 * (self.from.1 + self.to.1 + self.from.0.distance(self.to.0))
    }

    fn order(&self) -> (f64, f64, f64) {
        (self.reach(), self.from.0.x, self.from.0.y)
    }
}

impl Ord for Stretch {
    fn cmp(&self, other: &Self) -> Ordering {
        let (a, b) = (self.order(), other.order());
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
    }
}
impl PartialOrd for Stretch {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl PartialEq for Stretch {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Stretch {}

fn farthest_of_chords(chords: &[Chord], border: &Border, start: Option<(Point, f64)>) -> Option<(Point, Mm)> {
    if border.tree.chords().is_empty() {
        return None;
    }
    let outside = |p: Point| (p, -border.depth(p));
    let mut best = start.unwrap_or((Point::ZERO, f64::NEG_INFINITY));
    let mut open = BinaryHeap::new();
    for chord in chords {
        let stretch = Stretch { from: outside(chord.from), to: outside(chord.to) };
        for end in [stretch.from, stretch.to] {
            if end.1 > best.1 {
                best = end;
            }
        }
        open.push(stretch);
    }
    for _ in 0..MOST_STEPS {
        let Some(stretch) = open.pop() else { break };
        if stretch.reach() <= best.1.max(0.0) + INSIDE_TOLERANCE {
            break;
        }
        let middle = outside(stretch.from.0.midpoint(stretch.to.0));
        if middle.1 > best.1 {
            best = middle;
        }
        open.push(Stretch { from: stretch.from, to: middle });
        open.push(Stretch { from: middle, to: stretch.to });
    }
    (best.1 > INSIDE_TOLERANCE).then_some((best.0, Mm::new(best.1)))
}
