//! What an area is made of and where its points lie.

use super::{Region, boolean, flatten};
use crate::units::Mm;
use kurbo::{Point, Shape};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The clearance of an interior point is found to this share of the region's size.
const CLEARANCE_SHARE: f64 = 0.01;

/// The search for an interior point ends after this many cells, whatever the shape.
const MOST_CELLS: usize = 2_000;

impl Region {
    /// The separate parts: each outer contour with the holes in it. An island in a hole is a part of its own.
    pub fn parts(&self) -> Vec<Self> {
        boolean::shapes(self)
    }

    /// The length of all its contours.
    pub fn perimeter(&self) -> Mm {
        self.contours().iter().map(super::length).sum()
    }

    /// Whether a point lies inside; on the border either answer may come.
    pub fn contains(&self, point: Point) -> bool {
        self.contours().iter().map(|c| c.winding(point)).sum::<i32>() != 0
    }

    /// A point well inside, with its distance to the border: near the centre of the largest disc that fits.
    ///
    /// `None` when the region is empty. The distance is at most a hundredth of the region's size short of the best.
    pub fn interior_point(&self) -> Option<(Point, Mm)> {
        let bounds = self.bounds()?;
        let rings: Vec<Vec<Point>> = self.contours().iter().map(flatten::chords).collect();
        let precision = CLEARANCE_SHARE * bounds.width().min(bounds.height());
        let half = bounds.width().min(bounds.height()) / 2.0;
        if half <= 0.0 {
            return None;
        }
        let cell = |at: Point, half: f64| Cell::new(at, half, self.depth(at, &rings));
        let mut open = BinaryHeap::new();
        let count = |extent: f64| (extent / (2.0 * half)).ceil().clamp(1.0, 64.0);
        let (across, down) = (count(bounds.width()), count(bounds.height()));
        for i in 0..across as usize {
            for k in 0..down as usize {
                let at = Point::new(
                    bounds.x0 + (i as f64 + 0.5) * bounds.width() / across,
                    bounds.y0 + (k as f64 + 0.5) * bounds.height() / down,
                );
                open.push(cell(at, (bounds.width() / across).max(bounds.height() / down) / 2.0));
            }
        }
        let mut best = Cell::new(bounds.center(), 0.0, self.depth(bounds.center(), &rings));
        for _ in 0..MOST_CELLS {
            let Some(next) = open.pop() else { break };
            if next.depth > best.depth {
                best = next;
            }
            if next.reach <= best.depth + precision {
                break;
            }
            let h = next.half / 2.0;
            for (dx, dy) in [(-h, -h), (h, -h), (-h, h), (h, h)] {
                open.push(cell(Point::new(next.at.x + dx, next.at.y + dy), h));
            }
        }
        (best.depth > 0.0).then_some((best.at, Mm::new(best.depth)))
    }

    /// The distance to the border, negative outside.
    fn depth(&self, at: Point, rings: &[Vec<Point>]) -> f64 {
        let chords = rings.iter().flat_map(|r| r.windows(2));
        let distance =
            chords.map(|c| super::offset::distance_to_chord(at, c[0], c[1])).fold(f64::INFINITY, f64::min);
        if self.contains(at) { distance } else { -distance }
    }
}

/// A square of the search, ordered by the greatest depth it could hold.
#[derive(Clone, Copy)]
struct Cell {
    at: Point,
    half: f64,
    depth: f64,
    reach: f64,
}

impl Cell {
    fn new(at: Point, half: f64, depth: f64) -> Self {
        Self { at, half, depth, reach: depth + half * std::f64::consts::SQRT_2 }
    }

    fn key(&self) -> (f64, f64, f64) {
        (self.reach, self.at.x, self.at.y)
    }
}

impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        let (a, b) = (self.key(), other.key());
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
    }
}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
