//! Pieces pulled apart: how far each has to move until there is room between all of them.

use super::polyline::Polyline;
use crate::geometry::Region;
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Rect, Vec2};
use rayon::prelude::*;

/// How near the measured chords are to the outlines, mm.
const TOLERANCE: f64 = 0.02;
/// How much too far pieces may be pulled, as a share of their distance from the middle.
const PRECISION: f64 = 0.004;
/// Pieces that still meet when they are this many times as far from the middle hang in each other.
const FARTHEST: f64 = 8.0;

/// The movement of each piece that leaves at least `gap` between any two, all of them drawn out from the middle of
/// the board in the same proportion, and no farther than it takes.
///
/// A knob cannot be pulled out of its socket by a little: its head has to leave the socket first, so the pieces come
/// to lie at least as far apart as knobs are high. `None` when no proportion frees them all, or a piece is empty.
pub fn apart(outlines: &[&Region], gap: Mm) -> Option<Vec<Vec2>> {
    let whole = outlines.iter().filter_map(|outline| outline.bounds()).reduce(|a, b| a.union(b))?;
    let room = gap.get() + 2.0 * TOLERANCE;
    let pieces: Vec<Piece> =
        outlines.iter().map(|outline| Piece::of(outline, whole, room)).collect::<Option<_>>()?;
    let is_free = |share: f64| are_free(&pieces, share, room);
    let mut free = 0.25;
    while !is_free(free) {
        free *= 2.0;
        if FARTHEST < free {
            return None;
        }
    }
    let mut locked = free / 2.0 * f64::from(u8::from(free > 0.25));
    while free - locked > PRECISION {
        let middle = f64::midpoint(free, locked);
        if is_free(middle) {
            free = middle;
        } else {
            locked = middle;
        }
    }
    Some(pieces.iter().map(|p| p.out * free).collect())
}

/// A piece where it was drawn.
struct Piece {
    outline: Polyline,
    bounds: Rect,
    /// From the middle of the board to the middle of its box.
    out: Vec2,
}

impl Piece {
    fn of(outline: &Region, whole: Rect, room: f64) -> Option<Self> {
        let bounds = outline.bounds()?;
        let segments: Vec<PathSeg> = outline.contours().iter().flat_map(BezPath::segments).collect();
        // No chord is longer than the room, so that two that cross have an end within it.
        let outline = Polyline::of(&segments, TOLERANCE).dense(room);
        Some(Self { outline, bounds, out: bounds.center() - whole.center() })
    }
}

/// Whether all pieces are free of each other when they lie so much farther from the middle.
fn are_free(pieces: &[Piece], share: f64, room: f64) -> bool {
    let mut moved: Vec<(Rect, Polyline)> = pieces
        .par_iter()
        .map(|p| {
            let by = p.out * share;
            (p.bounds + by, Polyline::through(p.outline.points.iter().map(|&point| point + by).collect()))
        })
        .collect();
    moved.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    (0..moved.len()).into_par_iter().all(|i| {
        let (bounds, outline) = &moved[i];
        let near = bounds.inflate(room, room);
        moved[i + 1..]
            .iter()
            .take_while(|(other, _)| other.x0 < near.x1)
            .filter(|(other, _)| other.y0 < near.y1 && near.y0 < other.y1)
            .all(|(_, other)| outline.nearest(other, room, |_, _| true).is_none())
    })
}
