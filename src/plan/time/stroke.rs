//! Time along a stroke.
//!
//! A stroke is taken apart into pieces, each with the speed that its bend allows, and gates between them, each with the
//! speed that the corner there allows. Going through them forwards no gate is passed faster than the head can have become
//! by then, going through them backwards none faster than it can still brake from.

use super::motion::{Motion, passing};
use crate::units::{MmPerSecond, Seconds};
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, PathSeg, Point, Vec2};

/// Arc lengths for times are found to this many millimetres: thousandths of a second at any speed.
const ACCURACY: f64 = 1e-3;

/// Curves are taken apart into pieces that turn by no more than this many radians.
const TURN_OF_PIECE: f64 = 0.1;

/// … but into no more pieces than this.
const MOST_PIECES: f64 = 64.0;

/// Time along a line, from rest to rest.
pub fn line_time(path: &BezPath, speed: MmPerSecond, motion: &Motion) -> Seconds {
    let pieces = pieces(path);
    let acceleration = motion.acceleration.get();
    if speed.get() <= 0.0 || acceleration <= 0.0 {
        return Seconds::ZERO;
    }
    let tops: Vec<f64> = pieces.iter().map(|p| p.top(speed, acceleration)).collect();
    let gates = gates(&pieces, &tops, motion);
    let of_piece =
        |(i, piece): (usize, &Piece)| passing(piece.length, (gates[i], gates[i + 1]), tops[i], acceleration);
    Seconds::new(pieces.iter().enumerate().map(of_piece).sum())
}

/// A piece along which one speed can be held.
struct Piece {
    /// In mm.
    length: f64,
    /// By how many radians it turns.
    turn: f64,
    /// By how many radians it turns away from the piece before.
    corner: f64,
    /// The length of the whole segment that it is a piece of, in mm.
    of: f64,
}

impl Piece {
    /// The speed that its bend allows: that at which the head is turned aside with all its acceleration, `√(a r)`.
    fn top(&self, speed: MmPerSecond, acceleration: f64) -> f64 {
        let speed = speed.get();
        if self.turn * speed * speed <= acceleration * self.length {
            return speed;
        }
        (acceleration * self.length / self.turn).sqrt()
    }
}

fn pieces(path: &BezPath) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut heading: Option<Vec2> = None;
    for segment in path.segments() {
        let begun = pieces.len();
        for part in parts(&segment) {
            let Some((first, last)) = ends(&part) else { continue };
            let corner = heading.map_or(0.0, |before| turn(before, first));
            pieces.push(Piece { length: part.arclen(ACCURACY), turn: bend(&part), corner, of: 0.0 });
            heading = Some(last);
        }
        let whole: f64 = pieces[begun..].iter().map(|p| p.length).sum();
        pieces[begun..].iter_mut().for_each(|p| p.of = whole);
    }
    pieces
}

/// The speeds at which the ends of pieces are passed, at rest first and last.
fn gates(pieces: &[Piece], tops: &[f64], motion: &Motion) -> Vec<f64> {
    let acceleration = motion.acceleration.get();
    let mut gates = vec![0.0; pieces.len() + 1];
    for i in 1..pieces.len() {
        let (before, after) = (&pieces[i - 1], &pieces[i]);
        let corner = motion.corners.speed(after.corner, motion.acceleration);
        // Short chords stand for a curve; it bends by the corner over the length that belongs to it.
        let curve = (acceleration * (before.of + after.of) / 2.0 / after.corner.max(1e-12)).sqrt();
        gates[i] = tops[i - 1].min(tops[i]).min(corner).min(curve);
    }
    let within =
        |speed: f64, from: f64, length: f64| speed.min((from * from + 2.0 * acceleration * length).sqrt());
    for i in 1..gates.len() {
        gates[i] = within(gates[i], gates[i - 1], pieces[i - 1].length);
    }
    for i in (0..pieces.len()).rev() {
        gates[i] = within(gates[i], gates[i + 1], pieces[i].length);
    }
    gates
}

/// A segment in parts that bend little.
fn parts(segment: &PathSeg) -> impl Iterator<Item = PathSeg> + '_ {
    let count = (bend(segment) / TURN_OF_PIECE).ceil().clamp(1.0, MOST_PIECES);
    let at = move |i: usize| i as f64 / count;
    (0..count as usize).map(move |i| segment.subsegment(at(i)..at(i + 1)))
}

/// By how many radians a segment turns, both ways added up; its control points turn by no less.
fn bend(segment: &PathSeg) -> f64 {
    let ways = ways(segment);
    ways.windows(2).map(|w| turn(w[0], w[1])).sum()
}

/// The directions in which a segment begins and ends; `None` where it has no length.
fn ends(segment: &PathSeg) -> Option<(Vec2, Vec2)> {
    let ways = ways(segment);
    Some((*ways.first()?, *ways.last()?))
}

/// The ways between control points, those of no length left out.
fn ways(segment: &PathSeg) -> Vec<Vec2> {
    let points: Vec<Point> = match segment {
        PathSeg::Line(l) => vec![l.p0, l.p1],
        PathSeg::Quad(q) => vec![q.p0, q.p1, q.p2],
        PathSeg::Cubic(c) => vec![c.p0, c.p1, c.p2, c.p3],
    };
    points.windows(2).map(|w| w[1] - w[0]).filter(|way| 1e-9 < way.hypot()).collect()
}

/// The angle between two directions, in radians.
fn turn(before: Vec2, now: Vec2) -> f64 {
    libm::atan2(before.cross(now), before.dot(now)).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Cornering;
    use crate::units::{Mm, MmPerSecond2};
    use kurbo::{Circle, Rect, Shape};

    fn motion(acceleration: f64, corners: Cornering) -> Motion {
        Motion {
            travel: MmPerSecond::new(300.0),
            acceleration: MmPerSecond2::new(acceleration),
            corners,
            run_up: None,
            skips_gaps: false,
        }
    }

    fn time(path: &BezPath, speed: f64, motion: &Motion) -> f64 {
        line_time(path, MmPerSecond::new(speed), motion).get()
    }

    #[test]
    fn a_square_stops_at_its_corners() {
        // Four sides of 20 mm from rest to rest at 50 mm/s and 1000 mm/s²: 4 (20/50 + 50/1000) = 1.8 s.
        let square = Rect::new(0.0, 0.0, 20.0, 20.0).to_path(0.1);
        assert!((time(&square, 50.0, &motion(1000.0, Cornering::Stopping)) - 1.8).abs() < 1e-6);
    }

    #[test]
    fn a_square_within_a_deviation_slows_down_at_its_corners() {
        // Corners at 6.948683 mm/s (0.02 mm, 1000 mm/s²). A side between two of them: ramps of (50² - 6.948683²) / 2000 mm
        // and (50 - 6.948683) / 1000 s each, the rest at 50 mm/s; at the start and the end from rest (kinematics).
        let square = Rect::new(0.0, 0.0, 20.0, 20.0).to_path(0.1);
        let (v, c, a) = (50.0, 6.948_683_f64, 1000.0);
        let ramp = |from: f64| ((v * v - from * from) / (2.0 * a), (v - from) / a);
        let side = |from: f64, to: f64| {
            let ((d1, t1), (d2, t2)) = (ramp(from), ramp(to));
            t1 + t2 + (20.0 - d1 - d2) / v
        };
        let expected = side(0.0, c) + 2.0 * side(c, c) + side(c, 0.0);
        let time = time(&square, v, &motion(a, Cornering::Within(Mm::new(0.02))));
        assert!((time - expected).abs() < 1e-5, "{time} {expected}");
    }

    #[test]
    fn a_circle_is_no_faster_than_its_bend_allows() {
        // √(a r): 70.710678 mm/s on 5 mm at 1000 mm/s² (centripetal acceleration). Round it at that speed, with the ramps
        // from rest of v/a each, in which half the way is lost: 2 π 5 / v + v / a.
        let circle = Circle::new((0.0, 0.0), 5.0).to_path(1e-5);
        let v = 70.710_678;
        let expected = 2.0 * std::f64::consts::PI * 5.0 / v + v / 1000.0;
        for path in [circle.clone(), chords(&circle)] {
            let time = time(&path, 400.0, &motion(1000.0, Cornering::Stopping));
            assert!((time / expected - 1.0).abs() < 0.01, "{time} {expected}");
        }
    }

    /// The same as many short lines.
    fn chords(path: &BezPath) -> BezPath {
        let mut chords = BezPath::new();
        kurbo::flatten(path.elements().iter().copied(), 0.002, |element| chords.push(element));
        chords
    }

    #[test]
    fn no_time_is_less_than_the_way_at_full_speed() {
        let zigzag = BezPath::from_svg("M0 0 L1 3 L2 0 L2.5 1 C3 9 4 -9 8 0 L9 0 L9 0.001").unwrap();
        for corners in [Cornering::Stopping, Cornering::Within(Mm::new(0.05)), Cornering::Unbraked] {
            assert!(zigzag.perimeter(1e-4) / 80.0 < time(&zigzag, 80.0, &motion(2000.0, corners)));
        }
    }
}
