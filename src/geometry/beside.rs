//! The raw line at a distance beside a chain of chords: what offsets and widened lines are made of.
//!
//! Beside every chord stands a rectangle, at every outer corner a wedge (arc, tip or bevel). The raw line is
//! the outer edge of the chain of them all, each wound positively, so the area where the sum of windings is
//! positive is *exactly* their union: no step guesses which loops of the raw line are false. At an inner
//! corner the line runs through the corner itself, where both rectangles start.

use super::{Corners, FLATTEN_TOLERANCE};
use kurbo::{Point, Vec2};

/// A corner whose tip would stick out less than this (mm) past the arc gets the tip: one node, not two.
const FLAT_TIP: f64 = 0.0005;

/// How far beside, and what corners become.
#[derive(Clone, Copy)]
pub(super) struct Beside {
    /// The distance in mm to the right of the direction of travel (x right, y up); negative for the left.
    pub distance: f64,
    pub corners: Corners,
}

/// The direction of a chord and its length.
#[derive(Clone, Copy)]
struct Chord {
    along: Vec2,
    length: f64,
}

impl Chord {
    fn between(a: Point, b: Point) -> Self {
        let length = a.distance(b);
        Self { along: (b - a) / length, length }
    }

    /// The unit vector to its right.
    fn right(self) -> Vec2 {
        Vec2::new(self.along.y, -self.along.x)
    }
}

impl Beside {
    /// The raw line beside a closed ring of distinct consecutive points.
    pub fn ring(self, points: &[Point]) -> Vec<Point> {
        let count = points.len();
        let mut line = Vec::with_capacity(2 * count);
        let chord = |i: usize| Chord::between(points[i % count], points[(i + 1) % count]);
        let mut before = chord(count - 1);
        for (i, &corner) in points.iter().enumerate() {
            let after = chord(i);
            self.corner(corner, before, after, &mut line);
            before = after;
        }
        line
    }

    /// The raw line beside an open chain of distinct consecutive points, from its first point to its last.
    pub fn chain(self, points: &[Point], line: &mut Vec<Point>) {
        let mut chords = points.windows(2).map(|p| Chord::between(p[0], p[1]));
        let Some(mut before) = chords.next() else { return };
        line.push(points[0] + before.right() * self.distance);
        for (after, &corner) in chords.zip(&points[1..]) {
            self.corner(corner, before, after, line);
            before = after;
        }
        line.push(points[points.len() - 1] + before.right() * self.distance);
    }

    fn corner(self, at: Point, before: Chord, after: Chord, line: &mut Vec<Point>) {
        let (sine, cosine) = (before.along.cross(after.along), before.along.dot(after.along));
        // Where the chords turn towards the line, the rectangles overlap; a half turn leaves it outside.
        let outer = if self.distance < 0.0 { sine < 0.0 } else { sine > 0.0 } || (sine == 0.0 && cosine < 0.0);
        let (from, to) = (before.right() * self.distance, after.right() * self.distance);
        let tip = at + (from + to) / (1.0 + cosine).max(1e-12);
        let half_tangent = sine.abs() / (1.0 + cosine).max(1e-12);
        if outer {
            self.outer_corner(at, from, to, tip, (sine, cosine), line);
        } else if half_tangent * self.distance.abs() <= 0.5 * before.length.min(after.length) {
            // The overlap stays within the near halves of both rectangles: it may simply be cut.
            line.push(tip);
        } else {
            line.extend([at + from, at, at + to]);
        }
    }

    fn outer_corner(
        self,
        at: Point,
        from: Vec2,
        to: Vec2,
        tip: Point,
        (sine, cosine): (f64, f64),
        line: &mut Vec<Point>,
    ) {
        // Tip over distance is 1 / cos(turn / 2), which is SVG's mitre length over stroke width.
        let tip_ratio = (2.0 / (1.0 + cosine).max(1e-12)).sqrt();
        if (tip_ratio - 1.0) * self.distance.abs() <= FLAT_TIP {
            line.push(tip);
            return;
        }
        match self.corners {
            Corners::Mitre { limit } if tip_ratio <= limit * (1.0 + 1e-9) => line.push(tip),
            Corners::Mitre { .. } | Corners::Bevel => line.extend([at + from, at + to]),
            Corners::Round => {
                let turn = libm::atan2(sine.abs(), cosine);
                let turn = if self.distance < 0.0 { -turn } else { turn };
                arc(at, from, turn, line);
            }
        }
    }
}

/// An arc about `centre` from `centre + from` by `turn` radians, as chords within half the tolerance.
///
/// The corners between its ends lie a little outside the arc, so that the chords enclose as much as the arc
/// does: an offset neither gains nor loses by being made of chords.
pub(super) fn arc(centre: Point, from: Vec2, turn: f64, line: &mut Vec<Point>) {
    // For a step s, the corners that keep the area lie r (sqrt(s / sin s) - 1), nearly r s² / 12, outside, and
    // the middle of the first chord as much inside.
    let error = 0.5 * FLATTEN_TOLERANCE.get() / from.hypot();
    let widest = (12.0 * error).sqrt().min(1.0);
    let count = (turn.abs() / widest).ceil().max(1.0) as usize;
    let step = turn / count as f64;
    let stretch = (step / libm::sin(step)).sqrt();
    line.extend((0..=count).map(|i| {
        let (sine, cosine) = libm::sincos(step * i as f64);
        let turned = Vec2::new(from.x * cosine - from.y * sine, from.x * sine + from.y * cosine);
        centre + if i == 0 || i == count { turned } else { turned * stretch }
    }));
}
