//! How far things stick out.

use crate::geometry::Region;
use crate::geometry::border::Border;
use crate::geometry::chords::{Chord, of_paths};
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// What sticks out by no more than this (mm) lies inside: less than flattening and rounding make of it.
const INSIDE_TOLERANCE: f64 = 1e-3;

/// The search for the farthest point ends after this many steps.
const MOST_STEPS: usize = 200_000;

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
        let excess = if holes { self.subtract(container).parts() } else { Vec::new() };
        let depths = excess.iter().filter_map(Self::interior_point).map(|(at, _)| (at, -border.depth(at)));
        let start = depths.max_by(|a, b| a.1.total_cmp(&b.1));
        farthest_of_chords(&of_paths(self.contours()).0, &border, start)
    }
}

/// An end of a stretch: how far outside it lies (negative inside), and the nearest chord of the container.
#[derive(Clone, Copy)]
struct End {
    at: Point,
    outside: f64,
    nearest: Chord,
}

/// A stretch of a line, ordered by how far outside it could still reach.
struct Stretch {
    from: End,
    to: End,
    reach: f64,
}

impl Stretch {
    fn new(from: End, to: End) -> Self {
        // The distance changes at most as fast as one walks; and the distance to one chord, which is at least
        // that to all, has no maximum between the ends.
        let walked = 0.5 * (from.outside + to.outside + from.at.distance(to.at));
        let to_one = |c: &Chord| from.at.distance(c.nearest(from.at)).max(to.at.distance(c.nearest(to.at)));
        Self { from, to, reach: walked.min(to_one(&from.nearest)).min(to_one(&to.nearest)) }
    }

    fn order(&self) -> (f64, f64, f64) {
        (self.reach, self.from.at.x, self.from.at.y)
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

/// Whether the box around chords lies inside a border that does not come near it.
fn is_clear(chords: &[Chord], border: &Border) -> bool {
    let Some(bounds) = chords.iter().map(|c| Rect::from_points(c.from, c.to)).reduce(|a, b| a.union(b)) else {
        return true;
    };
    border.tree.meeting(bounds).is_empty() && border.tree.winding(bounds.center()) != 0
}

fn farthest_of_chords(chords: &[Chord], border: &Border, start: Option<(Point, f64)>) -> Option<(Point, Mm)> {
    let end = |at: Point| {
        let (depth, nearest) = border.depth_and_nearest(at)?;
        Some(End { at, outside: -depth, nearest })
    };
    let mut best = start.unwrap_or((Point::ZERO, f64::NEG_INFINITY));
    let mut open = BinaryHeap::new();
    // Most of what is asked about lies clear of the border: its box says so.
    let unclear = chords.chunk_by(|a, b| a.subpath == b.subpath).filter(|subpath| !is_clear(subpath, border));
    for chord in unclear.flatten() {
        open.push(Stretch::new(end(chord.from)?, end(chord.to)?));
    }
    for stretch in &open {
        for end in [stretch.from, stretch.to] {
            best = if end.outside > best.1 { (end.at, end.outside) } else { best };
        }
    }
    for _ in 0..MOST_STEPS {
        let Some(stretch) = open.pop() else { break };
        if stretch.reach <= best.1.max(0.0) + INSIDE_TOLERANCE {
            break;
        }
        let middle = end(stretch.from.at.midpoint(stretch.to.at))?;
        if middle.outside > best.1 {
            best = (middle.at, middle.outside);
        }
        open.push(Stretch::new(stretch.from, middle));
        open.push(Stretch::new(middle, stretch.to));
    }
    (best.1 > INSIDE_TOLERANCE).then_some((best.0, Mm::new(best.1)))
}
