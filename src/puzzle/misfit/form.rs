//! A seam laid so that it can be compared with others.

use super::super::polyline::Polyline;
use kurbo::{PathSeg, Point};

/// Points that stand for a seam, evenly spaced along it.
pub(super) const POINTS: usize = 95;
/// How near the chords are to the curve that the points are taken from, mm.
const TOLERANCE: f64 = 0.005;

/// A seam with its ends on the x axis, the middle between them at 0, and its knob on the side where y is positive.
///
/// Only turning and moving have brought it there, and there is just one such way: pieces of two seams fit into each other
/// exactly if the forms are the same. A piece that is turned over has the mirrored form.
#[derive(Clone, Debug)]
pub(super) struct Form {
    /// Its points from its left end to its right one.
    pub points: Vec<Point>,
}

impl Form {
    /// The form of a curve with its knob on this side; see [`super::super::knob::Stand`].
    pub(super) fn of(curve: &[PathSeg], side: f64) -> Self {
        let mut points = Polyline::of(curve, TOLERANCE).points;
        if let (Some(&first), Some(&last)) = (points.first(), points.last()) {
            let middle = first.midpoint(last);
            let right = (last - first) * (side / first.distance(last).max(f64::MIN_POSITIVE));
            for point in &mut points {
                *point = Point::new(right.dot(*point - middle), right.cross(*point - middle));
            }
        }
        if side < 0.0 {
            points.reverse();
        }
        Self { points: even(&points) }
    }

    /// The form of the same seam turned over.
    pub(super) fn turned_over(&self) -> Self {
        Self { points: self.points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect() }
    }

    /// Half the distance between its ends, mm.
    pub(super) fn half(&self) -> f64 {
        self.points[POINTS - 1].x
    }

    /// The distance between two points along the seam, mm.
    pub(super) fn step(&self) -> f64 {
        self.points[0].distance(self.points[1]).max(f64::MIN_POSITIVE)
    }
}

/// Evenly spaced points along a chain of chords, both ends included.
fn even(chain: &[Point]) -> Vec<Point> {
    let mut lengths = vec![0.0];
    for pair in chain.windows(2) {
        lengths.push(lengths[lengths.len() - 1] + pair[0].distance(pair[1]));
    }
    let whole = lengths[lengths.len() - 1];
    let mut chord = 0;
    let point = |k: usize| {
        let way = whole * k as f64 / (POINTS - 1) as f64;
        while chord + 2 < chain.len() && lengths[chord + 1] < way {
            chord += 1;
        }
        let share = (way - lengths[chord]) / (lengths[chord + 1] - lengths[chord]).max(f64::MIN_POSITIVE);
        chain[chord].lerp(chain[chord + 1], share.clamp(0.0, 1.0))
    };
    (0..POINTS).map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Affine, Line, Shape};

    #[test]
    fn a_form_does_not_know_where_its_seam_lay() {
        let path = kurbo::BezPath::from_svg("M0 0C6 1 9 2 10 5C11 9 17 8 16 4C16 1 20 0 25 0").unwrap();
        let form = |path: &kurbo::BezPath, side| Form::of(&path.segments().collect::<Vec<_>>(), side).points;
        let laid = form(&path, 1.0);
        assert!(
            laid[0].distance(Point::new(-12.5, 0.0)) < 1e-9 && laid[94].distance(Point::new(12.5, 0.0)) < 1e-9
        );
        assert!(laid[47].y > 5.0);
        let moved = Affine::translate((30.0, -7.0)) * Affine::rotate(2.0) * path;
        // Run the other way its knob stands on its other side.
        for same in [form(&moved, 1.0), form(&moved.reverse_subpaths(), -1.0)] {
            assert!(laid.iter().zip(&same).all(|(a, b)| a.distance(*b) < 1e-3));
        }
    }

    #[test]
    fn points_are_evenly_spaced() {
        let line = Form::of(&[PathSeg::Line(Line::new((3.0, 4.0), (3.0, 51.0)))], 1.0);
        assert!(line.points.iter().enumerate().all(|(k, p)| (p.x - (k as f64 / 2.0 - 23.5)).abs() < 1e-9));
        let arc = kurbo::Arc::new((0.0, 0.0), (10.0, 10.0), 0.0, 2.0, 0.0);
        let form = Form::of(&arc.path_segments(1e-6).collect::<Vec<_>>(), 1.0);
        let step = 20.0 / 94.0;
        assert!(form.points.windows(2).all(|p| (p[0].distance(p[1]) - step).abs() < 1e-3));
    }
}
