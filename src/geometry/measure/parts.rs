//! What an area is made of and where its points lie.

use crate::geometry::border::{Ball, Border};
use crate::geometry::chords::Chord;
use crate::geometry::{Region, boolean, winding};
use crate::units::Mm;
use kurbo::{Point, Rect, Shape, Vec2};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The clearance of an interior point is found to this share of itself.
const CLEARANCE_SHARE: f64 = 0.02;

/// The search for an interior point ends after this many cells, whatever the shape.
const MOST_CELLS: usize = 4_000;

/// How many of the longest chords are tried for a first guess.
const GUESSES: usize = 16;

impl Region {
    /// The separate parts: each outer contour with the holes in it. An island in a hole is a part of its own.
    pub fn parts(&self) -> Vec<Self> {
        boolean::shapes(self)
    }

    /// The area with its holes filled.
    pub fn without_holes(&self) -> Self {
        let area = |c: &kurbo::BezPath| c.area();
        let largest = self.contours().iter().map(area).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0);
        let is_outer = |c: &&kurbo::BezPath| area(c).signum() == largest.signum();
        let outer: Vec<Self> =
            self.contours().iter().filter(is_outer).map(|c| Self::from_clean_contours(vec![c.clone()])).collect();
        Self::union(&outer.iter().collect::<Vec<_>>())
    }

    /// The length of all its contours.
    pub fn perimeter(&self) -> Mm {
        self.contours().iter().map(crate::geometry::length).sum()
    }

    /// Whether a point lies inside; on the border either answer may come.
    pub fn contains(&self, point: Point) -> bool {
        self.contours().iter().map(|c| winding(c, point)).sum::<i32>() != 0
    }

    /// A point well inside, with its distance to the border: near the centre of the largest disc that fits.
    ///
    /// `None` when the region is empty. The distance is within a fiftieth of the best one, unless the shape is
    /// so ragged that the search is cut short.
    pub fn interior_point(&self) -> Option<(Point, Mm)> {
        self.deepest(f64::INFINITY)
    }

    /// An interior point that is content with a clearance of `enough` mm.
    pub(super) fn deepest(&self, enough: f64) -> Option<(Point, Mm)> {
        let bounds = self.bounds()?;
        let border = Border::of(self);
        let cell = |at: Point, half: f64| Cell::new(at, half, border.depth(at));
        let mut best = first_guess(&border).map(|ball| cell(ball.centre, 0.0))?;
        let mut open: BinaryHeap<Cell> =
            tiles(bounds).into_iter().map(|t| cell(t.center(), t.width().max(t.height()) / 2.0)).collect();
        for _ in 0..MOST_CELLS {
            let Some(next) = open.pop() else { break };
            if next.depth > best.depth {
                best = next;
            }
            if best.depth >= enough || next.reach <= best.depth * (1.0 + CLEARANCE_SHARE) {
                break;
            }
            let h = next.half / 2.0;
            open.extend([(-h, -h), (h, -h), (-h, h), (h, h)].map(|d| cell(next.at + Vec2::from(d), h)));
        }
        (best.depth > 0.0).then_some((best.at, Mm::new(best.depth)))
    }
}

/// The largest of the discs that touch the border at the middle of one of its longest chords.
///
/// It gives the search something to beat, and an answer for shapes thinner than the search is fine.
fn first_guess(border: &Border) -> Option<Ball> {
    let mut chords: Vec<&Chord> = border.tree.chords().iter().collect();
    chords.sort_by(|a, b| b.length().total_cmp(&a.length()));
    let guesses = chords.iter().take(GUESSES).flat_map(|chord| {
        let along = (chord.to - chord.from) / chord.length();
        let inwards = Vec2::new(-along.y, along.x);
        // Which side is inside is tried, not trusted: a caller's contours may wind either way.
        [inwards, -inwards].map(|side| border.ball(chord.from.midpoint(chord.to), side, 1e4))
    });
    guesses
        .filter(|ball| ball.other.is_some() && border.tree.winding(ball.centre) != 0)
        .max_by(|a, b| a.radius.total_cmp(&b.radius))
}

/// Near-squares that cover a box, 64 by 64 at most.
fn tiles(bounds: Rect) -> Vec<Rect> {
    let side = bounds.width().min(bounds.height()).max(1e-9);
    let count = |extent: f64| (extent / side).ceil().clamp(1.0, 64.0);
    let (across, down) = (count(bounds.width()), count(bounds.height()));
    let (width, height) = (bounds.width() / across, bounds.height() / down);
    let tile = |i: usize, k: usize| {
        let corner = Point::new(bounds.x0 + i as f64 * width, bounds.y0 + k as f64 * height);
        Rect::from_origin_size(corner, (width, height))
    };
    (0..across as usize).flat_map(|i| (0..down as usize).map(move |k| tile(i, k))).collect()
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
