//! The rows in which an area is engraved.

use crate::geometry::{Hatch, HatchLine, Region, hatch};
use crate::units::{Degrees, Mm};

/// The rows of an area that have ink, from the top.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The rows; blank ones are left out.
    pub rows: Vec<Row>,
    /// The length that is burned, gaps left out.
    pub burned: Mm,
}

/// One row, in mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// How far down it lies.
    pub y: f64,
    /// The left end of its first ink.
    pub left: f64,
    /// The right end of its last ink.
    pub right: f64,
    /// The lengths of the blank stretches between them that are wide enough for the head to speed up in.
    pub gaps: Vec<f64>,
}

/// Gaps narrower than this (mm) are never passed at another speed than the ink beside them.
const WIDE: f64 = 2.0;

impl Row {
    /// A row of stretches of ink, from the left; `None` where there are none.
    pub(super) fn of(y: f64, spans: impl IntoIterator<Item = (f64, f64)>) -> Option<Self> {
        let mut spans = spans.into_iter();
        let (left, mut right) = spans.next()?;
        let mut gaps = Vec::new();
        for (from, to) in spans {
            if WIDE <= from - right {
                gaps.push(from - right);
            }
            right = to;
        }
        Some(Self { y, left, right, gaps })
    }
}

/// Finds the rows of an area at a distance from each other. Rows lie half a distance inside the top edge.
pub fn rows(region: &Region, interval: Mm) -> Rows {
    let hatch: Hatch = hatch(region, Degrees::new(0.0), interval);
    let row = |line: &HatchLine| Row::of(line.aside, line.spans.iter().copied());
    Rows { rows: hatch.lines.iter().filter_map(row).collect(), burned: hatch.length() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{FLATTEN_TOLERANCE, FillRule};
    use kurbo::{BezPath, Circle, Rect, Shape};

    fn region(path: &BezPath) -> Region {
        Region::from_path(path, FillRule::NonZero).unwrap()
    }

    #[test]
    fn a_rectangle_has_one_full_row_for_each_interval() {
        let rows = rows(&region(&Rect::new(10.0, 20.0, 110.0, 70.0).to_path(0.1)), Mm::new(0.1));
        assert_eq!(rows.rows.len(), 500);
        assert!(rows.rows.iter().all(|row| (row.right - row.left - 100.0).abs() < 1e-6));
    }

    #[test]
    fn rows_times_interval_is_the_area_of_a_disc() {
        // The midpoint rule over chords of a disc; area of a disc is pi r squared.
        let rows = rows(&region(&Circle::new((50.0, 50.0), 20.0).to_path(1e-4)), Mm::new(0.05));
        let area: f64 = rows.rows.iter().map(|row| (row.right - row.left) * 0.05).sum();
        // Chords lie inside the circle by at most the tolerance, all the way round.
        let allowed = 2.0 * std::f64::consts::PI * 20.0 * FLATTEN_TOLERANCE.get();
        assert!((area - std::f64::consts::PI * 400.0).abs() < allowed, "{area}");
    }

    #[test]
    fn a_gap_is_known_and_not_burned() {
        let two = BezPath::from_svg("M0 0H10V10H0ZM40 0H50V10H40Z").expect("path data");
        let rows = rows(&region(&two), Mm::new(0.1));
        assert!(rows.rows.iter().all(|row| (row.left, row.right, &row.gaps[..]) == (0.0, 50.0, &[30.0][..])));
        assert!((rows.burned.get() - 100.0 * 20.0).abs() < 1e-6);
    }
}
