//! How often a contour winds about a point.
//!
//! By the pieces of its segments that a ray to the left crosses, each cut where it turns up or down. The ends of pieces
//! are the same numbers for both pieces that meet there, so that no ray slips through between two of them; `kurbo` works
//! them out anew for each, and at the very height of a node now and then misses one.

use kurbo::{BezPath, ParamCurve, ParamCurveExtrema, PathSeg, Point};

/// Halvings of a piece until its crossing is known to the last bit.
const MOST_HALVINGS: usize = 60;

/// How often the subpaths wind about a point, each closed by a straight line.
pub fn winding(path: &BezPath, p: Point) -> i32 {
    let closing = |subpath: BezPath| {
        let (first, last) = (subpath.segments().next(), subpath.segments().last());
        let line = first.zip(last).map(|(a, b)| PathSeg::Line(kurbo::Line::new(b.end(), a.start())));
        subpath.segments().chain(line).map(|s| of_segment(s, p)).sum::<i32>()
    };
    super::flatten::subpaths(path).into_iter().map(closing).sum()
}

fn of_segment(segment: PathSeg, p: Point) -> i32 {
    let PathSeg::Line(line) = segment else { return of_curve(segment, p) };
    let way = way(line.p0.y, line.p1.y, p.y);
    if way == 0 || p.x < line.p0.x.min(line.p1.x) {
        return 0;
    }
    let side = (line.p1 - line.p0).cross(p - line.p0) * f64::from(way);
    if p.x >= line.p0.x.max(line.p1.x) || side >= 0.0 { way } else { 0 }
}

fn of_curve(curve: PathSeg, p: Point) -> i32 {
    let mut cuts = vec![0.0];
    cuts.extend(curve.extrema());
    cuts.push(1.0);
    let place = |t: f64| match t {
        0.0 => curve.start(),
        1.0 => curve.end(),
        t => curve.eval(t),
    };
    let piece = |t: &[f64]| {
        let (mut low, mut high) = (t[0], t[1]);
        let (start, end) = (place(low), place(high));
        let way = way(start.y, end.y, p.y);
        // A piece lies in the box about its ends.
        if way == 0 || p.x < start.x.min(end.x) {
            return 0;
        }
        if p.x >= start.x.max(end.x) {
            return way;
        }
        for _ in 0..MOST_HALVINGS {
            let middle = 0.5 * (low + high);
            let is_before = (curve.eval(middle).y <= p.y) == (start.y <= p.y);
            if is_before { low = middle } else { high = middle }
        }
        if p.x >= curve.eval(low).x { way } else { 0 }
    };
    cuts.windows(2).map(piece).sum()
}

/// 1 where a piece passes a height downwards, -1 upwards; its lower end belongs to the next one.
fn way(from: f64, to: f64, height: f64) -> i32 {
    i32::from(to <= height && height < from) - i32::from(from <= height && height < to)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Affine, Circle, Shape};

    #[test]
    fn rays_at_the_height_of_nodes_miss_nothing() {
        let star = BezPath::from_svg(
            "M0,0 L-3,3 L0.00000000000000018369701987210297,3 L-6,0.00000000000000036739403974420594 \
             L-0.9999999999999996,8 Z M-2,1.0000000000000002 L-2,0.00000000000000012246467991473532 \
             L-1.9999999999999998,4 Z",
        );
        assert_eq!(winding(&star.expect("path data"), Point::new(-0.5625, 1.0)), -1);
    }

    #[test]
    fn inside_and_outside_of_curves_are_told_apart() {
        let circle = Affine::rotate(0.3) * Circle::new((0.0, 0.0), 5.0).to_path(1e-6);
        let heights = circle.segments().map(|s| s.start().y).chain([0.0, 4.999]);
        for y in heights.collect::<Vec<_>>() {
            let half = (25.0 - y * y).max(0.0).sqrt();
            for (x, inside) in
                [(-half - 0.01, false), (-half + 0.01, true), (half - 0.01, true), (half + 0.01, false)]
            {
                let expected = i32::from(inside && half > 0.01);
                assert_eq!(winding(&circle, Point::new(x, y)).abs(), expected, "{x} {y}");
            }
        }
    }

    #[test]
    fn the_sign_and_the_closing_line_are_those_of_kurbo() {
        let open = BezPath::from_svg("M0 0H10L12 10C5 12 2 11 0 10").expect("path data");
        for path in [open.clone(), open.reverse_subpaths()] {
            let mut closed = path.clone();
            closed.close_path();
            for p in [(3.21, 4.32), (5.1, 10.3), (-1.0, 5.0), (10.5, 5.0), (11.5, 5.0)].map(Point::from) {
                assert_eq!(winding(&path, p), closed.winding(p), "{p:?}");
            }
        }
    }
}
