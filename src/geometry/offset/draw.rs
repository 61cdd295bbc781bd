//! Rings of known edges drawn with lines, arcs and smooth curves.

use super::raw::{Mark, Marked};
use crate::geometry::fit::{self, Stretch};
use crate::units::Mm;
use kurbo::{BezPath, CubicBez, PathSeg, Point, Vec2};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Fitted curves keep within this (mm) of the chords; see [`FIT_TOLERANCE`](crate::geometry::FIT_TOLERANCE).
const TOLERANCE: Mm = crate::geometry::FIT_TOLERANCE;

/// Two stretches of curves that cross at less than this (radians, 8 degrees) run on as one.
const SLIGHT: f64 = 0.14;

/// A ring as a closed contour.
pub(super) fn contour(ring: &Marked) -> BezPath {
    let breaks = breaks(ring);
    if breaks.is_empty() {
        return fit::ring(&ring.points, TOLERANCE);
    }
    let runs: Vec<Run> = breaks
        .iter()
        .zip(breaks.iter().cycle().skip(1))
        .map(|(&from, &to)| Run { ring, from, to: if to > from { to } else { to + ring.points.len() } })
        .collect();
    let mut path = BezPath::new();
    path.move_to(runs[0].at(0));
    for (i, run) in runs.iter().enumerate() {
        let (before, after) = (&runs[(i + runs.len() - 1) % runs.len()], &runs[(i + 1) % runs.len()]);
        for segment in run.segments(before, after) {
            path.push(segment.as_path_el());
        }
    }
    path.close_path();
    path
}

/// The points where one kind of line ends and another starts, from the one that is leftmost.
fn breaks(ring: &Marked) -> Vec<usize> {
    let count = ring.points.len();
    let is_break = |&i: &usize| {
        let (before, after) = (ring.marks[(i + count - 1) % count], ring.marks[i]);
        let runs_on = before == after && before != Mark::Straight && (ring.smooth[i] || is_slight(ring, i));
        !runs_on
    };
    let mut breaks: Vec<usize> = (0..count).filter(is_break).collect();
    let place = |i: usize| (ring.points[i].x, ring.points[i].y);
    let first = (0..breaks.len()).min_by(|&a, &b| {
        let (a, b) = (place(breaks[a]), place(breaks[b]));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    breaks.rotate_left(first.unwrap_or(0));
    breaks
}

fn is_slight(ring: &Marked, i: usize) -> bool {
    let count = ring.points.len();
    let (a, b, c) = (ring.points[(i + count - 1) % count], ring.points[i], ring.points[(i + 1) % count]);
    let (before, after) = (b - a, c - b);
    ring.marks[i] == Mark::Curved && libm::atan2(before.cross(after).abs(), before.dot(after)) < SLIGHT
}

/// Edges of one kind that run on smoothly.
struct Run<'a> {
    ring: &'a Marked,
    /// Its first point.
    from: usize,
    /// Its last point, counted on round the ring.
    to: usize,
}

impl Run<'_> {
    /// A point, counted from the first.
    fn at(&self, i: usize) -> Point {
        self.ring.points[(self.from + i) % self.ring.points.len()]
    }

    fn len(&self) -> usize {
        self.to - self.from
    }

    fn mark(&self) -> Mark {
        self.ring.marks[self.from]
    }

    fn points(&self) -> Vec<Point> {
        (0..=self.len()).map(|i| self.at(i)).collect()
    }

    fn is_smooth_at(&self, i: usize) -> bool {
        self.ring.smooth[(self.from + i) % self.ring.points.len()]
    }

    fn segments(&self, before: &Self, after: &Self) -> Vec<PathSeg> {
        match self.mark() {
            Mark::Straight | Mark::Inner => vec![kurbo::Line::new(self.at(0), self.at(self.len())).into()],
            Mark::Arc(centre) => arc(centre, self.at(0), self.at(1), self.at(self.len())),
            Mark::Curved => {
                let start = if self.is_smooth_at(0) { before.end_direction() } else { None };
                let end = if self.is_smooth_at(self.len()) { after.start_direction() } else { None };
                fit::stretch(Stretch { points: &self.points(), start, end }, TOLERANCE)
            }
        }
    }

    /// The direction in which it sets out, where that is known for sure.
    fn start_direction(&self) -> Option<Vec2> {
        self.direction(self.at(0), self.at(1) - self.at(0))
    }

    fn end_direction(&self) -> Option<Vec2> {
        let end = self.at(self.len());
        self.direction(end, end - self.at(self.len() - 1))
    }

    /// The direction at one of its ends, where its first or last edge runs along `edge`.
    fn direction(&self, end: Point, edge: Vec2) -> Option<Vec2> {
        match self.mark() {
            Mark::Straight => Some(edge.normalize()),
            Mark::Arc(centre) => {
                let radius = (end - centre).normalize();
                let across = Vec2::new(-radius.y, radius.x);
                Some(if across.dot(edge) < 0.0 { -across } else { across })
            }
            Mark::Curved | Mark::Inner => None,
        }
    }
}

/// An arc about `centre` as cubics of a quarter turn at most, which stray from it by 0.00027 of the radius (M. Goldapp,
/// 1991, from memory). `towards` says which way it sets out.
fn arc(centre: Point, from: Point, towards: Point, to: Point) -> Vec<PathSeg> {
    let (start, end) = (from - centre, to - centre);
    let left = start.cross(towards - centre) >= 0.0;
    let between = libm::atan2(start.cross(end), start.dot(end));
    let turn = match left {
        true if between < 0.0 => between + TAU,
        false if between > 0.0 => between - TAU,
        _ => between,
    };
    let count = (turn.abs() / FRAC_PI_2 - 1e-6).ceil().max(1.0) as usize;
    let step = turn / count as f64;
    let handle = 4.0 / 3.0 * libm::tan(step / 4.0);
    let across = |v: Vec2| Vec2::new(-v.y, v.x) * handle;
    let on = |i: usize| match i {
        0 => start,
        i if i == count => end,
        i => {
            let (sine, cosine) = libm::sincos(step * i as f64);
            Vec2::new(start.x * cosine - start.y * sine, start.x * sine + start.y * cosine)
        }
    };
    (0..count)
        .map(|i| {
            let (a, b) = (on(i), on(i + 1));
            CubicBez::new(centre + a, centre + a + across(a), centre + b - across(b), centre + b).into()
        })
        .collect()
}
