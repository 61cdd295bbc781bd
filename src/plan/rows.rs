//! The rows in which an area is engraved.

use crate::geometry::{Hatch, Region, hatch};
use crate::units::{Degrees, Mm};

/// The rows of an area, from the top.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The rows that have ink: from the left end of the first to the right end of the last ink, in mm.
    ///
    /// The head runs through the gaps between them at its working speed.
    pub spans: Vec<(f64, f64)>,
    /// How many rows there are from the first to the last with ink, blank ones included.
    pub count: usize,
    /// The length that is burned, gaps left out.
    pub burned: Mm,
}

/// Finds the rows of an area at a distance from each other. Rows lie half a distance inside the top edge.
pub fn rows(region: &Region, interval: Mm) -> Rows {
    let hatch: Hatch = hatch(region, Degrees::new(0.0), interval);
    let reach = |spans: &Vec<(f64, f64)>| Some((spans.first()?.0, spans.last()?.1));
    Rows {
        spans: hatch.lines.iter().filter_map(|line| reach(&line.spans)).collect(),
        count: hatch.count(),
        burned: hatch.length(),
    }
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

    #[test]
    fn a_gap_is_run_through_and_not_burned() {
        let two = BezPath::from_svg("M0 0H10V10H0ZM40 0H50V10H40Z").expect("path data");
        let rows = rows(&region(&two), Mm::new(0.1));
        assert!(rows.spans.iter().all(|&span| span == (0.0, 50.0)));
        assert!((rows.burned.get() - 100.0 * 20.0).abs() < 1e-6);
    }
}
