//! The line that a text runs along: any open or closed path, measured by its length.

use super::error::LetteringError;
use crate::geometry::FLATTEN_TOLERANCE;
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Vec2};

/// A line that lettering runs along.
#[derive(Clone, Debug, PartialEq)]
pub struct Along {
    /// One subpath, in mm: the text runs from its start to its end, and stands on its left hand (seen with y down).
    pub path: BezPath,
    /// Distance from the line to the baseline, away from the line.
    pub gap: Mm,
    /// Whether the letters hang under the line, their heads to it, instead of standing on it.
    pub hanging: bool,
    /// How far the text is shifted along the line from where its alignment puts it.
    pub shift: Mm,
}

/// What there is to say of two neighbouring letters on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TightTurn {
    /// Where, in the frame of the line.
    pub at: Point,
    /// By how many degrees the second letter is turned from the first; above zero their heads spread.
    pub degrees: f64,
}

/// Letters that turn by more than this (degrees) from one to the next no longer read as one word.
///
/// Common practice, no source: on a circle it is a letter as wide as three quarters of the radius.
pub(super) const MOST_TURN: f64 = 40.0;

/// A line as chords, each with the length before it.
pub(super) struct Track {
    points: Vec<Point>,
    lengths: Vec<f64>,
    closed: bool,
}

impl Track {
    /// The line, moved to where the baseline lies; `capitals` is the height of the letters.
    pub(super) fn new(along: &Along, capitals: f64) -> Result<Self, LetteringError> {
        let mut points = Vec::new();
        let mut closed = false;
        kurbo::flatten(along.path.iter(), FLATTEN_TOLERANCE.get(), |element| match element {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
            _ => closed = true,
        });
        points.dedup_by(|a, b| a.distance(*b) < 1e-9);
        closed |= 3 < points.len() && points[0].distance(points[points.len() - 1]) < 1e-6;
        if points.len() < 2 {
            return Err(LetteringError::NoLine);
        }
        if closed {
            // The end may miss the start by a rounding: such a side would have any direction.
            if points[0].distance(points[points.len() - 1]) < 1e-6 {
                points.pop();
            }
            points.push(points[0]);
        }
        let out = if along.hanging { -(along.gap.get() + capitals) } else { along.gap.get() };
        let moved = beside(&points, closed, out);
        let mut lengths = vec![0.0];
        for pair in moved.windows(2) {
            lengths.push(lengths[lengths.len() - 1] + pair[0].distance(pair[1]));
        }
        let is_sound = moved.iter().all(|p| p.is_finite()) && 0.0 < lengths[lengths.len() - 1];
        if is_sound { Ok(Self { points: moved, lengths, closed }) } else { Err(LetteringError::NoLine) }
    }

    /// Its whole length.
    pub(super) fn length(&self) -> f64 {
        self.lengths[self.lengths.len() - 1]
    }

    /// Whether it comes back to its start.
    pub(super) const fn is_closed(&self) -> bool {
        self.closed
    }

    /// The point at a length; beyond the ends of an open line it goes on straight.
    pub(super) fn point(&self, along: f64) -> Point {
        let at = if self.closed { along - self.length() * libm::floor(along / self.length()) } else { along };
        let last = self.points.len() - 1;
        let next = self.lengths.partition_point(|l| *l < at).clamp(1, last);
        let (from, to) = (self.points[next - 1], self.points[next]);
        let side = self.lengths[next] - self.lengths[next - 1];
        if side <= 0.0 { from } else { from + (to - from) * ((at - self.lengths[next - 1]) / side) }
    }
}

/// The chords moved sideways: to the left of their direction by `out`.
///
/// Each corner moves along the middle of its two normals. In a bend tighter than `out` the moved line turns back on
/// itself; the letters there run into each other, which is found after they have been placed.
fn beside(points: &[Point], closed: bool, out: f64) -> Vec<Point> {
    if out == 0.0 {
        return points.to_vec();
    }
    let last = points.len() - 1;
    let normal = |from: Point, to: Point| {
        let along = (to - from).normalize();
        Vec2::new(along.y, -along.x)
    };
    let mut moved = Vec::with_capacity(points.len());
    for index in 0..=last {
        let before = match index {
            0 if closed => Some(normal(points[last - 1], points[last])),
            0 => None,
            _ => Some(normal(points[index - 1], points[index])),
        };
        let after = match index {
            _ if index == last && closed => Some(normal(points[0], points[1])),
            _ if index == last => None,
            _ => Some(normal(points[index], points[index + 1])),
        };
        let (a, b) = (before.or(after).unwrap_or_default(), after.or(before).unwrap_or_default());
        let cosine = a.dot(b);
        if (-0.999..0.9).contains(&cosine) && out > 0.0 {
            // A corner that is gone round outside: both ends and the tip between them, so that its length counts.
            moved.push(points[index] + a * out);
            moved.push(points[index] + (a + b).normalize() * out);
            moved.push(points[index] + b * out);
            continue;
        }
        let middle = (a + b) / (1.0 + cosine).max(0.2);
        moved.push(points[index] + middle * out);
    }
    moved
}
