//! Curves as chains of short straight pieces, for distances.

use kurbo::{ParamCurve, PathSeg, Point, Rect, Vec2};

/// How many straight pieces share one box.
const CHUNK: usize = 6;

/// A flattened curve with boxes over its stretches.
#[derive(Clone, Debug)]
pub(super) struct Polyline {
    /// The points; consecutive ones are joined.
    pub points: Vec<Point>,
    boxes: Vec<Rect>,
}

/// The shortest way between two polylines.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nearest {
    /// Its length.
    pub distance: f64,
    /// Its two ends.
    pub ends: [Point; 2],
    /// For each polyline the index of the last point up to the end on it.
    pub indices: [usize; 2],
}

impl Polyline {
    /// Flattens segments so that no chord lies farther than `tolerance` from its curve.
    ///
    /// The number of chords is Wang's bound (1984): the square root of d(d-1)/8 times the largest second
    /// difference of the control points over the tolerance.
    pub(super) fn of(segments: &[PathSeg], tolerance: f64) -> Self {
        let bend = |segment: &PathSeg| match segment {
            PathSeg::Line(_) => 0.0,
            PathSeg::Quad(q) => 0.25 * second_difference(q.p0, q.p1, q.p2),
            PathSeg::Cubic(c) => {
                0.75 * second_difference(c.p0, c.p1, c.p2).max(second_difference(c.p1, c.p2, c.p3))
            }
        };
        let count = |segment: &PathSeg| (bend(segment) / tolerance).sqrt().ceil().clamp(1.0, 4096.0);
        // Curves are flattened by the million, and their points are kept: no more room than they fill.
        let mut points = Vec::with_capacity(1 + segments.iter().map(|s| count(s) as usize).sum::<usize>());
        points.extend(segments.first().map(PathSeg::start));
        for segment in segments {
            let count = count(segment);
            points.extend((1..count as usize).map(|k| segment.eval(k as f64 / count)));
            // Evaluating a line at its end may miss it by the last bit.
            points.push(segment.end());
        }
        Self::through(points)
    }

    /// The polyline through these points.
    pub(super) fn through(points: Vec<Point>) -> Self {
        let last = points.len().saturating_sub(1);
        let boxes = (0..last)
            .step_by(CHUNK)
            .map(|k| {
                let part = &points[k..=(k + CHUNK).min(last)];
                part.iter().fold(Rect::from_points(part[0], part[0]), |r, &p| r.union_pt(p))
            })
            .collect();
        Self { points, boxes }
    }

    /// The same line with points no farther apart than `step`.
    pub(super) fn dense(&self, step: f64) -> Self {
        let mut points: Vec<Point> = self.points.first().copied().into_iter().collect();
        for pair in self.points.windows(2) {
            let count = (pair[0].distance(pair[1]) / step).ceil().clamp(1.0, 4096.0);
            points.extend((1..=count as usize).map(|k| pair[0].lerp(pair[1], k as f64 / count)));
        }
        Self::through(points)
    }

    fn chunks(&self) -> impl Iterator<Item = (usize, usize, &Rect)> {
        let last = self.points.len().saturating_sub(1);
        self.boxes.iter().enumerate().map(move |(k, b)| (k * CHUNK, ((k + 1) * CHUNK).min(last), b))
    }

    /// The distance from a point to this line.
    pub(super) fn distance(&self, point: Point) -> f64 {
        // The nearest box most likely holds the nearest chord; after it few others are left to look into.
        let near = |chunk: &(usize, usize, &Rect)| gap2_to(point, chunk.2);
        let first = self.chunks().min_by(|a, b| near(a).total_cmp(&near(b))).map_or(0, |c| c.0);
        let mut best = f64::INFINITY;
        for chunk in std::iter::once(first / CHUNK).chain(0..self.boxes.len()) {
            if gap2_to(point, &self.boxes[chunk]) >= best {
                continue;
            }
            let end = ((chunk + 1) * CHUNK).min(self.points.len() - 1);
            for pair in self.points[chunk * CHUNK..=end].windows(2) {
                best = best.min((point - foot_on_chord(point, pair[0], pair[1])).hypot2());
            }
        }
        best.sqrt()
    }

    /// Whether this line, which ends where it starts, encloses a point (the even-odd rule).
    pub(super) fn encloses(&self, point: Point) -> bool {
        let beside = self.chunks().filter(|(_, _, b)| b.y0 <= point.y && point.y < b.y1 && point.x < b.x1);
        beside.map(|(from, to, _)| crossings(&self.points[from..=to], point)).sum::<usize>() % 2 == 1
    }

    /// The shortest way to another polyline that does not cross this one, if it is shorter than `limit`.
    ///
    /// `allowed` tells whether the way from a point counts; it is asked for the points of both.
    pub(super) fn nearest(
        &self,
        other: &Self,
        limit: f64,
        allowed: impl Fn(Point, f64) -> bool,
    ) -> Option<Nearest> {
        let mut best: Option<Nearest> = None;
        for (from, to, near) in self.chunks() {
            for (other_from, other_to, far) in other.chunks() {
                let bound = best.map_or(limit, |b| b.distance);
                if gap(near, far) >= bound {
                    continue;
                }
                let a = points_to_chords(
                    &self.points,
                    from..=to,
                    &other.points,
                    other_from..other_to,
                    bound,
                    &allowed,
                );
                let bound = a.map_or(bound, |n| n.distance);
                let b = points_to_chords(
                    &other.points,
                    other_from..=other_to,
                    &self.points,
                    from..to,
                    bound,
                    &allowed,
                )
                .map(|n| Nearest {
                    ends: [n.ends[1], n.ends[0]],
                    indices: [n.indices[1], n.indices[0]],
                    ..n
                });
                best = b.or(a).or(best);
            }
        }
        best
    }
}

/// The shortest way from some points of one polyline to some chords of another, below `bound`.
fn points_to_chords(
    points: &[Point],
    which: std::ops::RangeInclusive<usize>,
    others: &[Point],
    chords: std::ops::Range<usize>,
    bound: f64,
    allowed: &impl Fn(Point, f64) -> bool,
) -> Option<Nearest> {
    let mut best: Option<Nearest> = None;
    for index in which {
        let point = points[index];
        for chord in chords.clone() {
            let foot = foot_on_chord(point, others[chord], others[chord + 1]);
            let distance = point.distance(foot);
            if distance < best.map_or(bound, |b| b.distance) && allowed(point, distance) {
                best = Some(Nearest { distance, ends: [point, foot], indices: [index, chord] });
            }
        }
    }
    best
}

/// The point of a chord that is nearest to `point`.
pub(super) fn foot_on_chord(point: Point, start: Point, end: Point) -> Point {
    let along = end - start;
    let length2 = along.hypot2();
    if length2 == 0.0 {
        return start;
    }
    start + along * ((point - start).dot(along) / length2).clamp(0.0, 1.0)
}

/// Whether a closed polygon encloses a point (the even-odd rule).
pub(super) fn encloses(polygon: &[Point], point: Point) -> bool {
    let closing = [polygon[polygon.len() - 1], polygon[0]];
    (crossings(polygon, point) + crossings(&closing, point)) % 2 == 1
}

/// How many chords of a chain a ray from a point to the right crosses.
fn crossings(chain: &[Point], point: Point) -> usize {
    let crosses = |pair: &&[Point]| {
        let (a, b) = (pair[0], pair[1]);
        (a.y > point.y) != (b.y > point.y) && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x
    };
    chain.windows(2).filter(crosses).count()
}

fn second_difference(a: Point, b: Point, c: Point) -> f64 {
    let difference: Vec2 = (a - b) + (c - b);
    difference.hypot()
}

/// The distance between two boxes; 0 when they touch.
fn gap(a: &Rect, b: &Rect) -> f64 {
    let across = (a.x0 - b.x1).max(b.x0 - a.x1).max(0.0);
    let down = (a.y0 - b.y1).max(b.y0 - a.y1).max(0.0);
    Vec2::new(across, down).hypot()
}

/// The squared distance from a point to a box; 0 inside.
fn gap2_to(point: Point, to: &Rect) -> f64 {
    let across = (to.x0 - point.x).max(point.x - to.x1).max(0.0);
    let down = (to.y0 - point.y).max(point.y - to.y1).max(0.0);
    across * across + down * down
}
