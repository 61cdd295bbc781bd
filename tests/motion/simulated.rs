//! A head that is moved step by step: no formula for ramps, only "as fast as it still can brake for all that lies ahead".

use kurbo::{BezPath, ParamCurve, PathSeg, Point};

/// What holds the head back.
#[derive(Clone, Copy)]
pub struct Head {
    /// mm/s²
    pub acceleration: f64,
    /// How far it leaves corners, mm; it stops at those over 30° where this is not known.
    pub corner: Option<f64>,
}

/// One step takes this way at full speed, mm …
const STEP_WAY: f64 = 2e-3;

/// … but no more nor less time than this, s.
const STEPS: (f64, f64) = (1e-4, 4e-4);

/// The way is looked at in points so far apart, mm.
const APART: f64 = 0.01;

/// A place on the way and the speed that it allows.
struct Mark {
    at: f64,
    speed: f64,
}

impl Head {
    /// Time from rest to rest along a path, s.
    pub fn follows(&self, path: &BezPath, top: f64) -> f64 {
        let marks = self.marks(path, top);
        let end = marks.last().map_or(0.0, |m| m.at);
        let step = (STEP_WAY / top).clamp(STEPS.0, STEPS.1);
        let (mut at, mut speed, mut time, mut ahead) = (0.0, 0.0_f64, 0.0, 0);
        while at < end {
            // All marks that lie within the way in which it could stop.
            let reach = at + speed * speed / (2.0 * self.acceleration) + APART;
            let brakes = |m: &Mark| (m.speed * m.speed + 2.0 * self.acceleration * (m.at - at)).sqrt();
            let near = marks[ahead..].iter().take_while(|m| m.at <= reach);
            let most = near.map(brakes).fold(top, f64::min);
            // At a mark that asks for a stop it has to get away again.
            speed = (speed + self.acceleration * step).min(most).max(self.acceleration * step / 2.0);
            at += speed * step;
            time += step;
            while ahead < marks.len() && marks[ahead].at <= at {
                speed = speed.min(marks[ahead].speed);
                ahead += 1;
            }
        }
        time
    }

    /// Time for a straight way, s.
    pub fn moves(&self, way: f64, top: f64) -> f64 {
        self.follows(
            &BezPath::from_vec(vec![kurbo::PathEl::MoveTo(Point::ZERO), kurbo::PathEl::LineTo((way, 0.0).into())]),
            top,
        )
    }

    fn marks(&self, path: &BezPath, top: f64) -> Vec<Mark> {
        let drawn: Vec<Vec<Point>> = path.segments().map(|s| points(&s)).filter(|p| 1e-9 < way(p)).collect();
        let mut marks = Vec::new();
        let mut at = 0.0;
        for (i, points) in drawn.iter().enumerate() {
            if let Some(before) = i.checked_sub(1).map(|i| &drawn[i]) {
                marks.push(Mark { at, speed: self.corner_speed(before, points).min(top) });
            }
            for triple in points.windows(3) {
                at += triple[0].distance(triple[1]);
                marks.push(Mark { at, speed: (self.acceleration * radius(triple)).sqrt().min(top) });
            }
            let [.., a, b] = points[..] else { continue };
            at += a.distance(b);
        }
        marks.push(Mark { at, speed: 0.0 });
        marks
    }

    /// The speed between two segments: that of a circle which the two would be chords of and, where it is a sharp corner,
    /// none, or that of the circle which fits into it.
    fn corner_speed(&self, before: &[Point], after: &[Point]) -> f64 {
        let (a, b) = (before[before.len() - 1] - before[before.len() - 2], after[1] - after[0]);
        let cosine = (a.dot(b) / (a.hypot() * b.hypot())).clamp(-1.0, 1.0);
        let turn = libm::acos(cosine);
        let of_radius = |r: f64| (self.acceleration * r).sqrt();
        let chords = of_radius(f64::midpoint(way(before), way(after)) / turn.max(1e-9));
        match self.corner {
            None if turn.to_degrees() > 30.0 => 0.0,
            None => chords,
            // The circle that touches both sides lies (r / cos - r) from the corner, with half the turn.
            Some(deviation) => chords.min(of_radius(deviation / (1.0 / libm::cos(turn / 2.0) - 1.0).max(1e-9))),
        }
    }
}

fn way(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// A segment as points: its two ends where it is straight.
fn points(segment: &PathSeg) -> Vec<Point> {
    if let PathSeg::Line(line) = segment {
        return vec![line.p0, line.p1];
    }
    let rough: Vec<Point> = (0..=32).map(|i| segment.eval(f64::from(i) / 32.0)).collect();
    let count = (way(&rough) / APART).ceil().clamp(32.0, 100_000.0) as usize;
    (0..=count).map(|i| segment.eval(i as f64 / count as f64)).collect()
}

/// Radius of the circle through three points, mm.
fn radius(p: &[Point]) -> f64 {
    let (a, b, c) = (p[0].distance(p[1]), p[1].distance(p[2]), p[2].distance(p[0]));
    let twice_area = (p[1] - p[0]).cross(p[2] - p[0]).abs();
    if twice_area < 1e-15 { f64::INFINITY } else { a * b * c / (2.0 * twice_area) }
}
