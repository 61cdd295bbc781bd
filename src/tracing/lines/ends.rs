//! Where a stroke ends.

use super::super::ink::Ink;
use super::super::samples::{STEP, side};
use super::super::sections::filled;
use super::middle::edge;
use kurbo::{Point, Vec2};

/// Sides whose samples lie this close to a line (root of the mean square, px) are straight.
pub(super) const STRAIGHT: f64 = 0.12;

/// The end of a chain as a line: a place on it at the last sample, and the direction out of the chain.
pub(super) fn heading(points: impl DoubleEndedIterator<Item = Point>, reach: f64) -> Option<(Point, Vec2)> {
    let count = (reach / STEP) as usize + 1;
    let near: Vec<(f64, Point)> =
        points.rev().take(count).enumerate().map(|(k, p)| (k as f64 * STEP, p)).collect();
    let (place, slope) = side(&near, STRAIGHT)?;
    let out = -slope / slope.hypot();
    (out.is_finite() && place.is_finite()).then_some((place, out))
}

/// A chain brought to the end of its stroke: as far before the end of the ink as the middle is from its edges, as a round
/// pen's middle is. At the rim of the sheet a stroke is cut off, and goes to the rim.
pub(super) fn extended(ink: &Ink, mut points: Vec<Point>, half_width: f64) -> Vec<Point> {
    let found = heading(points.iter().copied(), 2.0 * half_width + 3.0);
    let Some((place, out)) = found else { return points };
    let Some(way) = edge(ink, place, out, 4.0 * half_width + 6.0) else { return points };
    let rim = place + out * way;
    let (width, height) = (ink.plane.width as f64, ink.plane.height as f64);
    let cut = rim.x < 0.5 || rim.y < 0.5 || rim.x > width - 0.5 || rim.y > height - 0.5;
    let end = place + out * if cut { way } else { way - half_width };
    let least = points.len().min(2);
    let beyond = |p: &Point| (*p - end).dot(out) > -STEP / 2.0;
    while points.len() > least && points.last().is_some_and(beyond) {
        points.pop();
    }
    if points.last().is_some_and(beyond) {
        return points;
    }
    filled(points.into_iter().chain([end]))
}
