//! Evenly spaced samples of a contour, and what is read from their neighbours.

use kurbo::{Point, Vec2};

/// The way from sample to sample, in pixels.
pub(super) const STEP: f64 = 0.5;

/// How finely a picture's edges are read. All in pixels, if not said otherwise; measured on pictograms drawn at 300 pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Settings {
    /// How far curves may lie from the smoothed samples.
    pub tolerance: f64,
    /// A turn of this many degrees is a corner.
    pub corner: f64,
    /// Samples nearer than this to a corner are rounded by the pixels, and say nothing.
    pub skip: f64,
    /// How far from a sample its neighbours are looked at.
    pub reach: f64,
    /// Samples on each side that smoothing takes in.
    pub half: usize,
    /// How far the samples of a straight line may lie from it.
    pub line: f64,
    /// A line whose samples lie on one side of it by this much on average is an arc.
    pub bow: f64,
    /// Half the width of the stroke whose middle is followed; zero where an edge is.
    pub stroke: f64,
}

/// A closed chain of points as evenly spaced samples, about [`STEP`] apart; at least four.
pub(super) fn resampled(points: &[Point]) -> Vec<Point> {
    let total = way(points) + points.last().map_or(0.0, |last| last.distance_squared(points[0]).sqrt());
    let count = ((total / STEP).round() as usize).max(4);
    let round = points.iter().chain(points.first()).copied();
    spaced(round, total / count as f64, count)
}

/// An open chain of points as evenly spaced samples, about [`STEP`] apart, both ends included.
pub(super) fn resampled_open(points: &[Point]) -> Vec<Point> {
    let total = way(points);
    let count = ((total / STEP).round() as usize).max(1);
    let mut samples = spaced(points.iter().copied(), total / count as f64, count);
    samples.extend(points.last());
    samples
}

/// The way along an open chain.
pub(super) fn way(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance_squared(w[1]).sqrt()).sum()
}

/// So many samples along a chain, the first at its start.
fn spaced(mut points: impl Iterator<Item = Point>, step: f64, count: usize) -> Vec<Point> {
    let Some(start) = points.next() else { return Vec::new() };
    let mut samples = Vec::with_capacity(count);
    let (mut from, mut next, mut passed) = (start, 0.0, 0.0);
    for to in points {
        let edge = from.distance_squared(to).sqrt();
        while samples.len() < count && next <= passed + edge && edge > 0.0 {
            samples.push(from.lerp(to, (next - passed) / edge));
            next = samples.len() as f64 * step;
        }
        passed += edge;
        from = to;
    }
    samples.resize(count, start);
    samples
}

/// Weights that read a slope at zero from samples at `from..=to` steps: as of a line, and as of a parabola (least squares).
pub(super) struct Slope {
    from: usize,
    line: Vec<f64>,
    parabola: Vec<f64>,
}

impl Slope {
    /// Samples from `skip` to `reach` pixels away.
    pub fn new(skip: f64, reach: f64) -> Self {
        let (from, to) = ((skip / STEP).ceil() as usize, (reach / STEP).floor() as usize);
        let at: Vec<f64> = (from..=to.max(from + 2)).map(|i| i as f64 * STEP).collect();
        let count = at.len() as f64;
        let mean = at.iter().sum::<f64>() / count;
        let spread: f64 = at.iter().map(|s| (s - mean) * (s - mean)).sum();
        let line: Vec<f64> = at.iter().map(|s| (s - mean) / spread).collect();
        // With the square's mean and its own slope taken away, what is left of it is at right angles to the line.
        let square_mean = at.iter().map(|s| s * s).sum::<f64>() / count;
        let square_slope: f64 = at.iter().zip(&line).map(|(s, w)| s * s * w).sum();
        let rest: Vec<f64> = at.iter().map(|s| s * s - square_mean - square_slope * (s - mean)).collect();
        let rest_spread: f64 = rest.iter().map(|r| r * r).sum();
        let parabola = line.iter().zip(&rest).map(|(w, r)| w - square_slope * r / rest_spread).collect();
        Self { from, line, parabola }
    }

    /// How many samples on each side it looks at.
    pub fn reach(&self) -> usize {
        self.from + self.line.len() - 1
    }

    /// The slope of a line through the samples before and after the middle one of `around`, along the way of travel.
    pub fn lines(&self, around: &[Point]) -> [Vec2; 2] {
        self.weighed(&self.line, around)
    }

    /// As [`lines`](Self::lines), of parabolas.
    pub fn parabolas(&self, around: &[Point]) -> [Vec2; 2] {
        self.weighed(&self.parabola, around)
    }

    fn weighed(&self, weights: &[f64], around: &[Point]) -> [Vec2; 2] {
        let reach = self.reach();
        let middle = around[reach];
        let ahead = around[reach + self.from..].iter().zip(weights);
        let behind = around[..=reach - self.from].iter().rev().zip(weights);
        let sum = |sum: Vec2, (p, w): (&Point, &f64)| sum + (*p - middle) * *w;
        [-behind.fold(Vec2::ZERO, sum), ahead.fold(Vec2::ZERO, sum)]
    }
}

/// The angle between two directions, in radians.
pub(super) fn angle(a: Vec2, b: Vec2) -> f64 {
    libm::atan2(a.cross(b).abs(), a.dot(b))
}

/// Where the sides of a corner meet.
pub(super) fn meeting(a: (Point, Vec2), b: (Point, Vec2)) -> Option<Point> {
    let cross = a.1.cross(b.1);
    let along = (b.0 - a.0).cross(b.1) / cross;
    (cross.abs() > 1e-9 && along.is_finite()).then(|| a.0 + a.1 * along)
}

/// A side of a corner as a line through the place where a sample lies: fitted to samples, given with their distance along the
/// chain from it. A straight side is read as a line, a bent one as the tangent of a parabola.
pub(super) fn side(points: &[(f64, Point)], straight: f64) -> Option<(Point, Vec2)> {
    let line = fitted::<2>(points)?;
    let (place, slope) = if points.len() < 5 || off(points, &line) < straight {
        (line[0], line[1])
    } else {
        let bent = fitted::<3>(points)?;
        (bent[0], bent[1])
    };
    Some((Point::new(place[0], place[1]), Vec2::new(slope[0], slope[1])))
}

/// How far samples lie from the line that fits them best (root of the mean square, px).
pub(super) fn off_line(points: &[(f64, Point)]) -> Option<f64> {
    fitted::<2>(points).map(|line| off(points, &line))
}

fn off(points: &[(f64, Point)], line: &[[f64; 2]; 2]) -> f64 {
    let square = |(s, p): &(f64, Point)| {
        let (x, y) = (line[0][0] + line[1][0] * s, line[0][1] + line[1][1] * s);
        (p.x - x) * (p.x - x) + (p.y - y) * (p.y - y)
    };
    (points.iter().map(square).sum::<f64>() / points.len() as f64).sqrt()
}

/// The terms of a polynomial through samples, x and y each (least squares).
fn fitted<const N: usize>(points: &[(f64, Point)]) -> Option<[[f64; 2]; N]> {
    if points.len() < N {
        return None;
    }
    let (mut x, mut y) = (crate::geometry::LeastSquares::<N>::new(), crate::geometry::LeastSquares::<N>::new());
    let origin = points[0].1;
    for (s, p) in points {
        let mut row = [1.0; N];
        (1..N).for_each(|i| row[i] = row[i - 1] * s);
        x.add(row, p.x - origin.x);
        y.add(row, p.y - origin.y);
    }
    let (x, y) = (x.solve(), y.solve());
    let mut found = [[0.0; 2]; N];
    (0..N).for_each(|i| found[i] = [x[i], y[i]]);
    found[0][0] += origin.x;
    found[0][1] += origin.y;
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_even_and_close() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)].map(Point::from);
        let samples = resampled(&square);
        assert_eq!(samples.len(), 80);
        assert_eq!(samples[20], Point::new(10.0, 0.0));
        assert!(samples.iter().all(|p| p.x == 0.0 || p.y == 0.0 || p.x == 10.0 || p.y == 10.0));
    }

    /// A parabola's slope at a sample is read exactly by the parabola's weights, and a line's by both.
    #[test]
    fn slopes_are_read() {
        let slope = Slope::new(1.0, 5.0);
        let at = |i: usize| {
            let s = i as f64 * STEP - 20.0;
            Point::new(s, 3.0 + 0.5 * s + 0.02 * s * s)
        };
        let samples: Vec<Point> = (0..81).map(at).collect();
        let reach = slope.reach();
        let [behind, ahead] = slope.parabolas(&samples[40 - reach..=40 + reach]);
        assert!((ahead.y - 0.5).abs() < 1e-9 && (behind.y - 0.5).abs() < 1e-9, "{ahead:?} {behind:?}");
        assert!((ahead.x - 1.0).abs() < 1e-9 && (behind.x - 1.0).abs() < 1e-9);
    }
}
