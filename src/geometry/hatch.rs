//! Parallel lines clipped to an area: the rows an area is engraved in, at any angle.

use super::{Region, flatten};
use crate::units::{Degrees, Mm};
use kurbo::{Point, Vec2};

/// Most lines of a hatch; where there would be more, the area is far larger than any bed.
const MOST_LINES: f64 = 2e6;

/// Lines at one distance from each other, where they run through an area.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hatch {
    /// The way along the lines, of length 1.
    along: Vec2,
    /// The lines that meet the area, in the order of their numbers.
    pub lines: Vec<HatchLine>,
}

/// One line of a hatch.
#[derive(Clone, Debug, PartialEq)]
pub struct HatchLine {
    /// Its number, from 0; lines that miss the area are counted too.
    pub number: usize,
    /// How far aside of the origin it runs, in mm.
    pub aside: f64,
    /// Where it enters and leaves the area, in mm along it, in order. There is at least one span.
    pub spans: Vec<(f64, f64)>,
}

impl Hatch {
    /// The spans as points, line by line.
    pub fn segments(&self) -> impl Iterator<Item = (Point, Point)> {
        let (along, across) = (self.along, across(self.along));
        self.lines.iter().flat_map(move |line| {
            let at = move |x: f64| (along * x + across * line.aside).to_point();
            line.spans.iter().map(move |&(from, to)| (at(from), at(to)))
        })
    }

    /// The length of all spans.
    pub fn length(&self) -> Mm {
        Mm::new(self.lines.iter().flat_map(|l| &l.spans).map(|(from, to)| to - from).sum())
    }

    /// How many lines there are from the first to the last that meets the area, those between that miss it included.
    pub fn count(&self) -> usize {
        match (self.lines.first(), self.lines.last()) {
            (Some(first), Some(last)) => last.number - first.number + 1,
            _ => 0,
        }
    }
}

/// The lines that hatch an area, `interval` apart, turned by `angle` from the x axis towards the y axis.
///
/// The first lies half an interval inside the area's edge on the side of smaller y (of smaller `aside`), so that
/// every line stands for a strip of one interval. Curves are followed within
/// [`FLATTEN_TOLERANCE`](super::FLATTEN_TOLERANCE). Empty when the area is, when the interval is not positive,
/// and when there would be over two million lines.
pub fn hatch(region: &Region, angle: Degrees, interval: Mm) -> Hatch {
    let (sine, cosine) = libm::sincos(angle.radians());
    // Upright and level lines shall be so exactly, not up to the rounding of pi.
    let exact = |v: f64| if v.abs() < 1e-12 { 0.0 } else { v };
    let along = Vec2::new(exact(cosine), exact(sine));
    let chains: Vec<Vec<Point>> = region.contours().iter().map(|c| turned(&flatten::chords(c), along)).collect();
    let heights = || chains.iter().flatten().map(|p| p.y);
    let (top, bottom) = (heights().fold(f64::INFINITY, f64::min), heights().fold(f64::NEG_INFINITY, f64::max));
    let step = interval.get();
    let count = ((bottom - top) / step).ceil();
    if step <= 0.0 || !(1.0..=MOST_LINES).contains(&count) {
        return Hatch { along, lines: Vec::new() };
    }
    let grid = Lines { top, step, count: count as usize };
    Hatch { along, lines: grid.clipped(&chains) }
}

fn across(along: Vec2) -> Vec2 {
    Vec2::new(-along.y, along.x)
}

/// Points seen with `along` as the x axis.
fn turned(points: &[Point], along: Vec2) -> Vec<Point> {
    points.iter().map(|p| Point::new(p.to_vec2().dot(along), p.to_vec2().dot(across(along)))).collect()
}

/// Level lines at equal distances.
#[derive(Clone, Copy)]
struct Lines {
    top: f64,
    step: f64,
    count: usize,
}

impl Lines {
    fn height(self, number: usize) -> f64 {
        self.top + (number as f64 + 0.5) * self.step
    }

    /// The number of the first line at or below a height: the same for both chords that meet there, so that each
    /// line crosses a closed chain an even number of times.
    fn first_below(self, y: f64) -> usize {
        (((y - self.top) / self.step - 0.5).ceil().max(0.0) as usize).min(self.count)
    }

    /// The lines with the spans between every second crossing and the next.
    fn clipped(self, chains: &[Vec<Point>]) -> Vec<HatchLine> {
        let mut crossings = self.crossings(chains);
        let mut lines = Vec::new();
        for (number, of_line) in crossings.iter_mut().enumerate().filter(|(_, c)| !c.is_empty()) {
            of_line.sort_unstable_by(f64::total_cmp);
            let spans = of_line.chunks_exact(2).map(|pair| (pair[0], pair[1])).filter(|(from, to)| from < to);
            let line = HatchLine { number, aside: self.height(number), spans: spans.collect() };
            lines.extend((!line.spans.is_empty()).then_some(line));
        }
        lines
    }

    /// Where each line crosses the chains.
    fn crossings(self, chains: &[Vec<Point>]) -> Vec<Vec<f64>> {
        let mut crossings = vec![Vec::new(); self.count];
        for chain in chains {
            for (&a, &b) in chain.iter().zip(chain.iter().cycle().skip(1)) {
                let (upper, lower) = if a.y < b.y { (a, b) } else { (b, a) };
                let slope = (lower.x - upper.x) / (lower.y - upper.y);
                let (first, end) = (self.first_below(upper.y), self.first_below(lower.y));
                for (number, on_line) in crossings.iter_mut().enumerate().take(end).skip(first) {
                    on_line.push(upper.x + slope * (self.height(number) - upper.y));
                }
            }
        }
        crossings
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{FLATTEN_TOLERANCE, FillRule};
    use kurbo::{Affine, BezPath, Circle, Rect, Shape};

    fn region(path: &BezPath) -> Region {
        Region::from_path(path, FillRule::EvenOdd).expect("finite")
    }

    #[test]
    fn a_rectangle_is_crossed_from_edge_to_edge() {
        let plate = region(&Rect::new(10.0, 20.0, 110.0, 70.0).to_path(0.1));
        let hatch = hatch(&plate, Degrees::new(0.0), Mm::new(0.1));
        assert_eq!((hatch.lines.len(), hatch.count()), (500, 500));
        assert!(hatch.lines.iter().all(|l| l.spans == [(10.0, 110.0)]));
        assert!((hatch.lines[0].aside - 20.05).abs() < 1e-9);
    }

    #[test]
    fn lines_at_any_angle_stand_for_the_area() {
        // The midpoint rule over chords of a disc; area of a disc is pi r squared.
        let disc = region(&Circle::new((50.0, 50.0), 20.0).to_path(1e-4));
        let allowed = 2.0 * std::f64::consts::PI * 20.0 * FLATTEN_TOLERANCE.get();
        for angle in [0.0, 30.0, 45.0, 90.0, 137.0, -60.0] {
            let hatch = hatch(&disc, Degrees::new(angle), Mm::new(0.05));
            assert!((hatch.length().get() * 0.05 - std::f64::consts::PI * 400.0).abs() < allowed, "{angle}");
            let inside = |(a, b): (Point, Point)| disc.contains(a.midpoint(b));
            assert!(hatch.segments().all(inside));
        }
    }

    #[test]
    fn upright_lines_are_upright() {
        let plate = region(&Rect::new(10.0, 20.0, 110.0, 70.0).to_path(0.1));
        let hatch = hatch(&plate, Degrees::new(90.0), Mm::new(1.0));
        assert_eq!(hatch.lines.len(), 100);
        let mut ends = hatch.segments().flat_map(|(a, b)| [a, b]);
        assert!(ends.all(|p| (p.y == 20.0 || p.y == 70.0) && (p.x - 0.5).fract().abs() < 1e-9));
    }

    #[test]
    fn a_hole_and_a_gap_leave_the_lines_bare() {
        let frame = region(&BezPath::from_svg("M0 0H30V30H0ZM10 10H20V20H10ZM40 0H50V30H40Z").expect("path data"));
        let hatch = hatch(&frame, Degrees::new(0.0), Mm::new(10.0));
        let spans: Vec<_> = hatch.lines.iter().map(|l| l.spans.clone()).collect();
        let whole = vec![(0.0, 30.0), (40.0, 50.0)];
        assert_eq!(spans, [whole.clone(), vec![(0.0, 10.0), (20.0, 30.0), (40.0, 50.0)], whole]);
    }

    #[test]
    fn lines_that_miss_are_counted_and_left_out() {
        let two = region(&BezPath::from_svg("M0 0H10V1H0ZM0 9H10V10H0Z").expect("path data"));
        let hatch = hatch(&two, Degrees::new(0.0), Mm::new(1.0));
        assert_eq!((hatch.lines.len(), hatch.count()), (2, 10));
        assert_eq!(hatch.lines[1].number, 9);
    }

    #[test]
    fn nothing_comes_of_nothing() {
        let plate = region(&Rect::new(0.0, 0.0, 1.0, 1.0).to_path(0.1));
        for interval in [0.0, -1.0, f64::NAN, 1e-9] {
            assert!(hatch(&plate, Degrees::new(0.0), Mm::new(interval)).lines.is_empty());
        }
        assert!(hatch(&Region::empty(), Degrees::new(0.0), Mm::new(1.0)).lines.is_empty());
        let spoilt = plate.transform(Affine::scale(f64::NAN));
        assert!(hatch(&spoilt, Degrees::new(0.0), Mm::new(1.0)).lines.is_empty());
    }
}
