//! What is offset: an outline as a ring of chords that remember what they were.

use super::thinning;
use crate::geometry::{Caps, Corners, FLATTEN_TOLERANCE, flatten};
use kurbo::{BezPath, ParamCurve, PathSeg, Point, Vec2};

/// A joint between two segments whose directions differ by less than this (radians, 2 degrees) is smooth.
const SMOOTH_JOINT: f64 = 0.035;

/// Chords that turn by more than this (radians, 45 degrees) make a corner, however short they are.
const SHARPEST_BEND: f64 = std::f64::consts::FRAC_PI_4;

/// Points nearer to each other than this (mm) are one point.
const SAME_POINT: f64 = 1e-7;

/// What two chords of an outline meet in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::geometry) enum Join {
    /// A point of a smooth curve: only chords turn here.
    Smooth,
    /// A corner that was drawn.
    Corner,
    /// The end of a line, where the outline turns back.
    End(Caps),
}

/// A ring of distinct chords with what is known of them; it is offset to the right of its direction of travel (x right,
/// y up), or to the left when the distance is negative.
#[derive(Clone, Debug, Default)]
pub(in crate::geometry) struct Outline {
    /// The corners of the chords, the first not repeated.
    pub points: Vec<Point>,
    /// What lies at each of the points.
    pub joins: Vec<Join>,
    /// Whether the chord that starts at each of the points is a straight edge rather than part of a curve.
    pub straight: Vec<bool>,
}

/// How far an outline is offset, and what its corners become.
#[derive(Clone, Copy, Debug)]
pub(in crate::geometry) struct Beside {
    /// The distance in mm.
    pub distance: f64,
    /// What becomes of corners.
    pub corners: Corners,
}

impl Outline {
    /// A closed contour; `None` when it encloses nothing.
    pub fn of_contour(contour: &BezPath) -> Option<Self> {
        let mut drawn = Drawn::default();
        for segment in contour.segments() {
            drawn.draw(segment);
        }
        drawn.closed().thinned()
    }

    /// A line, there and back again, so that its right is all round it; `None` when it has no length.
    pub fn round_line(line: &BezPath, caps: Caps) -> Option<Self> {
        let mut drawn = Drawn::default();
        for segment in line.segments() {
            drawn.draw(segment);
        }
        let end = line.segments().last()?.end();
        drawn.close_with(end, caps)?.thinned()
    }

    /// The outline walked the other way.
    pub fn reversed(&self) -> Self {
        let mut turned = self.clone();
        turned.points.reverse();
        turned.joins.reverse();
        turned.straight.reverse();
        turned.straight.rotate_left(1);
        turned
    }

    fn thinned(self) -> Option<Self> {
        let kept = thinning::kept(&self.points, |i| self.is_fixed(i));
        if kept.len() < 2 {
            return None;
        }
        let count = self.points.len();
        let straight = |from: usize, to: usize| {
            let to = if to <= from { to + count } else { to };
            (from..to).all(|i| self.straight[i % count])
        };
        let next = kept.iter().cycle().skip(1);
        Some(Self {
            points: kept.iter().map(|&i| self.points[i]).collect(),
            joins: kept.iter().map(|&i| self.joins[i]).collect(),
            straight: kept.iter().zip(next).map(|(&a, &b)| straight(a, b)).collect(),
        })
    }

    /// Corners stay where they are, and so do the ends of straight edges; but for corners beside an edge that nobody can
    /// have drawn: a notch that rounding left would decide which way a tip of many millimetres points.
    fn is_fixed(&self, i: usize) -> bool {
        let before = if i == 0 { self.points.len() - 1 } else { i - 1 };
        let next = if i + 1 == self.points.len() { 0 } else { i + 1 };
        let is_speck = |k: usize| self.points[k].distance(self.points[i]) < thinning::THINNING;
        match self.joins[i] {
            Join::End(_) => true,
            Join::Corner => !is_speck(before) && !is_speck(next),
            Join::Smooth => self.straight[i] != self.straight[before],
        }
    }
}

/// An outline as it is being drawn, with the directions in which its segments arrive at and leave each point.
#[derive(Default)]
struct Drawn {
    outline: Outline,
    arrive: Vec<Vec2>,
    leave: Vec<Vec2>,
    /// The direction at the end of the last segment.
    last: Vec2,
}

impl Drawn {
    /// Adds the chords of a segment, without its end.
    fn draw(&mut self, segment: PathSeg) {
        let Some((leave, arrive)) = directions(segment) else { return };
        let straight = matches!(segment, PathSeg::Line(_));
        let count = flatten::chords_of(segment);
        for i in 0..count {
            let at = if i == 0 { segment.start() } else { segment.eval(i as f64 / count as f64) };
            let near = self.outline.points.last().is_some_and(|last| last.distance(at) <= SAME_POINT);
            if near {
                // What was there before it has no length: this starts in its place.
                self.outline.points.pop();
                self.outline.straight.pop();
                self.leave.pop();
                if let Some(join) = self.outline.joins.last_mut().filter(|_| i == 0) {
                    *join = Join::Corner;
                }
            } else {
                self.outline.joins.push(if i == 0 { Join::Corner } else { Join::Smooth });
                self.arrive.push(self.last);
            }
            self.outline.points.push(at);
            self.outline.straight.push(straight);
            self.leave.push(leave);
        }
        self.last = arrive;
    }

    fn closed(mut self) -> Outline {
        let outline = &mut self.outline;
        let is_open =
            |points: &[Point]| points.len() > 1 && points[0].distance(points[points.len() - 1]) <= SAME_POINT;
        while is_open(&outline.points) {
            outline.points.pop();
            outline.joins.pop();
            outline.straight.pop();
        }
        if let Some(first) = self.arrive.first_mut() {
            *first = self.last;
        }
        self.classified()
    }

    /// The way back over everything that was drawn, round its end.
    fn close_with(mut self, end: Point, caps: Caps) -> Option<Outline> {
        let outline = &mut self.outline;
        while outline.points.last().is_some_and(|p| p.distance(end) <= SAME_POINT) {
            outline.points.pop();
            outline.joins.pop();
            outline.straight.pop();
        }
        let last = outline.points.len();
        if last == 0 {
            return None;
        }
        outline.joins[0] = Join::End(caps);
        outline.points.push(end);
        outline.joins.push(Join::End(caps));
        outline.straight.push(outline.straight[last - 1]);
        self.arrive.truncate(last);
        self.arrive.push(Vec2::ZERO);
        self.leave.truncate(last);
        self.leave.push(Vec2::ZERO);
        for i in (1..last).rev() {
            self.outline.points.push(self.outline.points[i]);
            self.outline.joins.push(self.outline.joins[i]);
            self.outline.straight.push(self.outline.straight[i - 1]);
            self.arrive.push(-self.leave[i]);
            self.leave.push(-self.arrive[i]);
        }
        Some(self.classified())
    }

    /// Tells corners from points of curves: what a drawing program or a tracer broke into short segments is a curve all
    /// the same.
    fn classified(self) -> Outline {
        let Self { mut outline, arrive, leave, .. } = self;
        let count = outline.points.len();
        if count < 3 {
            return outline;
        }
        // Within a segment nothing is to be told.
        let joint = |i: usize| outline.joins[i] == Join::Corner;
        let bends: Vec<Option<Bend>> =
            (0..count).map(|i| joint(i).then(|| Bend::at(&outline, i, arrive[i], leave[i]))).collect();
        for (join, bend) in outline.joins.iter_mut().zip(&bends) {
            if bend.as_ref().is_some_and(Bend::is_smooth) {
                *join = Join::Smooth;
            }
        }
        let lines_bend = |k: usize| bends[k].as_ref().filter(|b| b.of_lines && b.is_smooth());
        outline.straight = (0..count)
            .map(|i| {
                let length = outline.points[i].distance(outline.points[(i + 1) % count]);
                let ends = [lines_bend(i), lines_bend((i + 1) % count)];
                // A line that bends gently into others is a chord of a curve, unless it is far too long for one.
                let chord = ends.iter().any(Option::is_some)
                    && ends.into_iter().flatten().all(|bend| is_flat(bend.turn, length));
                outline.straight[i] && !chord
            })
            .collect();
        outline
    }
}

/// How an outline turns at a point where two segments meet.
struct Bend {
    /// By how much, in radians.
    turn: f64,
    /// The length (mm) of the shorter of the two chords.
    shorter: f64,
    /// Whether both segments are lines.
    of_lines: bool,
}

impl Bend {
    fn at(outline: &Outline, i: usize, arrive: Vec2, leave: Vec2) -> Self {
        let count = outline.points.len();
        let (before, after) = ((i + count - 1) % count, (i + 1) % count);
        let length = |k: usize| outline.points[i].distance(outline.points[k]);
        Self {
            turn: libm::atan2(arrive.cross(leave).abs(), arrive.dot(leave)),
            shorter: length(before).min(length(after)),
            of_lines: outline.straight[i] && outline.straight[before],
        }
    }

    fn is_smooth(&self) -> bool {
        let slight = !self.of_lines && self.turn <= SMOOTH_JOINT;
        slight || (self.turn < SHARPEST_BEND && is_flat(self.turn, self.shorter))
    }
}

/// The directions in which a segment sets out and arrives; `None` when it has no length.
fn directions(segment: PathSeg) -> Option<(Vec2, Vec2)> {
    let c = segment.to_cubic();
    let points = [c.p0, c.p1, c.p2, c.p3];
    let far = |from: Point| move |p: &&Point| p.distance(from) > SAME_POINT;
    let set_out = *points.iter().find(far(c.p0))? - c.p0;
    let arrive = c.p3 - *points.iter().rev().find(far(c.p3))?;
    Some((set_out, arrive))
}

/// Whether a curve through two chords that turn by so much keeps as near to them as chords keep to curves: the sagitta of
/// an arc is a quarter of chord times half the turn between two chords.
fn is_flat(turn: f64, length: f64) -> bool {
    turn * length / 8.0 <= 2.0 * FLATTEN_TOLERANCE.get()
}

/// The unit vector to the right of a direction (x right, y up).
pub(super) fn right(along: Vec2) -> Vec2 {
    Vec2::new(along.y, -along.x)
}
