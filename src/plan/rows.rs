//! The rows in which an area is engraved.

use crate::geometry::{FLATTEN_TOLERANCE, Region};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point};

/// The rows of an area, from the top. A row reaches from its first to its last ink.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The rows that have ink: left and right end, in mm.
    pub spans: Vec<(f64, f64)>,
    /// How many rows there are from the first to the last with ink, blank ones included.
    pub count: usize,
}

/// Most rows that are worked out; beyond it the area is far larger than any bed.
const MOST_ROWS: f64 = 2e6;

/// Finds the rows of an area at a distance from each other. Rows lie half a distance inside the top edge.
pub fn rows(region: &Region, interval: Mm) -> Rows {
    let Some(bounds) = region.bounds() else { return Rows::default() };
    let step = interval.get();
    let count = (bounds.height() / step).ceil();
    if step <= 0.0 || !(1.0..=MOST_ROWS).contains(&count) {
        return Rows::default();
    }
    let count = count as usize;
    let mut ends: Vec<Option<(f64, f64)>> = vec![None; count];
    for contour in region.contours() {
        chords(contour, |a, b| widen(&mut ends, a, b, bounds.y0, step));
    }
    let first = ends.iter().position(Option::is_some).unwrap_or(0);
    let last = ends.iter().rposition(Option::is_some).map_or(0, |i| i + 1);
    Rows { spans: ends.iter().flatten().copied().collect(), count: last.saturating_sub(first) }
}

/// Extends every row that a chord crosses.
fn widen(ends: &mut [Option<(f64, f64)>], a: Point, b: Point, top: f64, step: f64) {
    let (upper, lower) = if a.y < b.y { (a, b) } else { (b, a) };
    let row_at = |y: f64| ((y - top) / step - 0.5).ceil().max(0.0) as usize;
    for row in row_at(upper.y)..row_at(lower.y).min(ends.len()) {
        let y = top + (row as f64 + 0.5) * step;
        let x = upper.x + (lower.x - upper.x) * (y - upper.y) / (lower.y - upper.y);
        let (left, right) = ends[row].unwrap_or((x, x));
        ends[row] = Some((left.min(x), right.max(x)));
    }
}

/// Calls `each` with every chord of a closed contour.
fn chords(contour: &BezPath, mut each: impl FnMut(Point, Point)) {
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(contour.elements().iter().copied(), FLATTEN_TOLERANCE.get(), |element| match element {
        PathEl::MoveTo(p) => (start, last) = (p, p),
        PathEl::LineTo(p) => {
            each(last, p);
            last = p;
        }
        _ => {
            each(last, start);
            last = start;
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;
    use kurbo::{Circle, Rect, Shape};

    fn region(path: &BezPath) -> Region {
        Region::from_path(path, FillRule::NonZero).unwrap()
    }

    #[test]
    fn a_rectangle_has_one_full_row_for_each_interval() {
        let rows = rows(&region(&Rect::new(10.0, 20.0, 110.0, 70.0).to_path(0.1)), Mm::new(0.1));
        assert_eq!((rows.spans.len(), rows.count), (500, 500));
        assert!(rows.spans.iter().all(|(l, r)| (r - l - 100.0).abs() < 1e-6));
    }

    #[test]
    fn rows_times_interval_is_the_area_of_a_disc() {
        // The midpoint rule over chords of a disc; area of a disc is pi r squared.
        let rows = rows(&region(&Circle::new((50.0, 50.0), 20.0).to_path(1e-4)), Mm::new(0.05));
        let area: f64 = rows.spans.iter().map(|(l, r)| (r - l) * 0.05).sum();
        // Chords lie inside the circle by at most the tolerance, all the way round.
        let allowed = 2.0 * std::f64::consts::PI * 20.0 * FLATTEN_TOLERANCE.get();
        assert!((area - std::f64::consts::PI * 400.0).abs() < allowed, "{area}");
    }
}
