//! Places on a line by their distance along it.

use crate::geometry::is_closed;
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, PathEl, PathSeg, Point, Vec2};

/// Distances along a line are found to this many millimetres.
const ACCURACY: f64 = 1e-4;

/// How finely a stretch is looked at for bends.
const LOOKS: usize = 12;

/// A line with the distance at which each of its segments begins.
pub(super) struct Along {
    segments: Vec<PathSeg>,
    begins: Vec<f64>,
    length: f64,
    closed: bool,
}

impl Along {
    pub fn new(path: &BezPath) -> Self {
        let segments: Vec<PathSeg> = path.segments().collect();
        let mut begins = Vec::with_capacity(segments.len());
        let mut length = 0.0;
        for segment in &segments {
            begins.push(length);
            length += segment.arclen(ACCURACY);
        }
        Self { segments, begins, length, closed: is_closed(path) }
    }

    pub const fn length(&self) -> f64 {
        self.length
    }

    /// The segment at a distance, and where on it; round a closed line more than once.
    fn at(&self, distance: f64) -> (usize, f64) {
        let distance =
            if self.closed { distance.rem_euclid(self.length) } else { distance.clamp(0.0, self.length) };
        let index = self.begins.partition_point(|&b| b <= distance).saturating_sub(1);
        let t = self.segments[index].inv_arclen((distance - self.begins[index]).max(0.0), ACCURACY);
        (index, t.clamp(0.0, 1.0))
    }

    pub fn point(&self, distance: f64) -> Point {
        let (index, t) = self.at(distance);
        self.segments[index].eval(t)
    }

    /// By how many radians the line turns within a stretch.
    pub fn turning(&self, from: f64, to: f64) -> f64 {
        let step = (to - from) / LOOKS as f64;
        let points: Vec<Point> = (0..=LOOKS).map(|i| self.point(from + step * i as f64)).collect();
        let ways: Vec<Vec2> = points.windows(2).map(|w| w[1] - w[0]).collect();
        ways.windows(2).map(|w| libm::atan2(w[0].cross(w[1]), w[0].dot(w[1])).abs()).sum()
    }

    /// The stretch between two distances, the second beyond the first; round the start of a closed line, but not more
    /// than once about it.
    pub fn part(&self, from: f64, to: f64) -> BezPath {
        let ((first, t0), (last, t1)) = (self.at(from), self.at(to));
        let mut pieces = Vec::new();
        if first == last && t0 < t1 {
            pieces.push(self.segments[first].subsegment(t0..t1));
        } else {
            let count = self.segments.len();
            pieces.push(self.segments[first].subsegment(t0..1.0));
            let between = (last + count - first - 1) % count;
            pieces.extend((1..=between).map(|i| self.segments[(first + i) % count]));
            pieces.push(self.segments[last].subsegment(0.0..t1));
        }
        pieces.retain(|p| ACCURACY < p.arclen(ACCURACY));
        joined(&pieces)
    }
}

fn joined(segments: &[PathSeg]) -> BezPath {
    let start = segments.first().map(|s| PathEl::MoveTo(s.start()));
    start.into_iter().chain(segments.iter().map(PathSeg::as_path_el)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::length;
    use kurbo::{Circle, Rect, Shape};

    #[test]
    fn parts_have_the_length_between_their_ends() {
        for path in [Rect::new(0.0, 0.0, 30.0, 10.0).to_path(0.1), Circle::new((0.0, 0.0), 8.0).to_path(1e-3)] {
            let along = Along::new(&path);
            for (from, to) in [(0.0, 5.0), (12.0, 45.0), (along.length() - 3.0, along.length() + 4.0), (1.0, 1.5)]
            {
                let part = along.part(from, to);
                assert!((length(&part).get() - (to - from)).abs() < 1e-2, "{from} {to}: {}", length(&part));
                let ends = (part.segments().next().unwrap().start(), part.segments().last().unwrap().end());
                assert!(ends.0.distance(along.point(from)) < 1e-2 && ends.1.distance(along.point(to)) < 1e-2);
            }
        }
    }

    #[test]
    fn a_corner_turns_and_a_side_does_not() {
        let along = Along::new(&Rect::new(0.0, 0.0, 30.0, 10.0).to_path(0.1));
        assert!(along.turning(2.0, 9.0) < 1e-9);
        assert!((along.turning(27.0, 33.0) - std::f64::consts::FRAC_PI_2).abs() < 1e-6);
    }
}
