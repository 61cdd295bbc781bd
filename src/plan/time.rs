//! How long things take.
//!
//! The head speeds up, runs and brakes (a trapezoid of speed over time; Lynch and Park, *Modern Robotics*,
//! section 9.2.2, cited from memory). It is taken to stop at the ends of each line and at every corner sharper than
//! [`STOP_AT`]; how a machine really rounds its corners, and what it does between lines, is its own business
//! and not in the estimate.

use super::rows::Rows;
use crate::units::{Mm, MmPerSecond, MmPerSecond2, Seconds};
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, ParamCurveDeriv, PathSeg, Vec2};

/// A corner that turns by more than this many degrees is taken as a stop.
pub const STOP_AT: f64 = 30.0;

/// Arc lengths for times are found to this many millimetres: thousandths of a second at any speed.
const ACCURACY: f64 = 1e-3;

/// Time to go `distance` from rest to rest.
pub fn move_time(distance: Mm, top: MmPerSecond, acceleration: MmPerSecond2) -> Seconds {
    let (d, v, a) = (distance.get(), top.get(), acceleration.get());
    if d <= 0.0 || v <= 0.0 || a <= 0.0 {
        return Seconds::ZERO;
    }
    Seconds::new(if d < v * v / a { 2.0 * (d / a).sqrt() } else { d / v + v / a })
}

/// Time along a line, with a stop at each sharp corner.
pub fn line_time(path: &BezPath, speed: MmPerSecond, acceleration: MmPerSecond2) -> Seconds {
    let mut total = Seconds::ZERO;
    let mut stretch = 0.0;
    let mut heading: Option<Vec2> = None;
    for segment in path.segments() {
        if let (Some(before), Some(now)) = (heading, tangent(&segment, 0.0))
            && turn(before, now) > STOP_AT
        {
            total += move_time(Mm::new(stretch), speed, acceleration);
            stretch = 0.0;
        }
        stretch += segment.arclen(ACCURACY);
        heading = tangent(&segment, 1.0).or(heading);
    }
    total + move_time(Mm::new(stretch), speed, acceleration)
}

/// Time for the rows of an area: both directions, with the way for speeding up and braking outside the ink at both
/// ends of each row, and a step to the next. Blank rows are passed over in one move.
pub fn row_time(rows: &Rows, interval: Mm, speed: MmPerSecond, acceleration: MmPerSecond2) -> Seconds {
    let along: Seconds = rows
        .spans
        .iter()
        .map(|(left, right)| Mm::new(right - left) / speed + Seconds::new(2.0 * speed.get() / acceleration.get()))
        .sum();
    let step = move_time(interval, speed, acceleration);
    along + step * rows.count.saturating_sub(1) as f64
}

fn tangent(segment: &PathSeg, t: f64) -> Option<Vec2> {
    let direction = match segment {
        PathSeg::Line(line) => line.p1 - line.p0,
        PathSeg::Quad(quad) => quad.deriv().eval(t).to_vec2(),
        PathSeg::Cubic(cubic) => cubic.deriv().eval(t).to_vec2(),
    };
    // A handle of no length has no direction; the chord stands in for it.
    let direction = if direction.hypot() > 1e-9 { direction } else { segment.end() - segment.start() };
    (direction.hypot() > 1e-9).then_some(direction)
}

/// The angle between two directions, in degrees.
fn turn(before: Vec2, now: Vec2) -> f64 {
    libm::atan2(before.cross(now), before.dot(now)).abs().to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Rect, Shape};

    fn seconds(d: f64, v: f64, a: f64) -> f64 {
        move_time(Mm::new(d), MmPerSecond::new(v), MmPerSecond2::new(a)).get()
    }

    #[test]
    fn moves_from_rest_to_rest() {
        // Lynch and Park, Modern Robotics, 9.2.2 (from memory); the same values by stepwise integration.
        for (d, v, a, expected) in [
            (100.0, 50.0, 500.0, 2.1),
            (100.0, 100.0, 1000.0, 1.1),
            (2.0, 100.0, 1000.0, 0.089_442_7),
            (10.0, 100.0, 1000.0, 0.2),
            (300.0, 400.0, 3000.0, 0.883_333_3),
            (50.0, 400.0, 3000.0, 0.258_198_9),
        ] {
            assert!((seconds(d, v, a) - expected).abs() < 1e-6, "{d} {v} {a}");
        }
    }

    #[test]
    fn a_square_stops_at_its_corners() {
        // Four sides of 20 mm from rest to rest at 50 mm/s and 1000 mm/s²: 4 (20/50 + 50/1000) = 1.8 s.
        let square = Rect::new(0.0, 0.0, 20.0, 20.0).to_path(0.1);
        let time = line_time(&square, MmPerSecond::new(50.0), MmPerSecond2::new(1000.0));
        assert!((time.get() - 1.8).abs() < 1e-6, "{time}");
    }

    #[test]
    fn rows_speed_up_and_brake_outside_the_ink() {
        // 100 mm rows at 300 mm/s and 3000 mm/s²: 100/300 + 2 * 300/3000 = 0.5333 s a row (kinematics, own arithmetic).
        let rows = Rows { spans: vec![(0.0, 100.0); 501], count: 501, burned: Mm::new(50_100.0) };
        let time = row_time(&rows, Mm::new(0.1), MmPerSecond::new(300.0), MmPerSecond2::new(3000.0));
        let steps = 500.0 * 2.0 * (0.1_f64 / 3000.0).sqrt();
        assert!((time.get() - 501.0 * 0.533_333_333 - steps).abs() < 1e-4, "{time}");
    }
}
