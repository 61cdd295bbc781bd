//! The raw line beside an outline: what an offset is cut out of.
//!
//! Beside every chord stands a strip, at every outer corner a wedge (arc, tip or bevel). The raw line runs along their
//! far sides. At an inner corner, where two strips overlap, it cuts across; that short cut never lies on the border of
//! what strips and wedges cover together.

use super::source::{Beside, Join, Outline, right};
use crate::geometry::{Caps, Corners, FLATTEN_TOLERANCE};
use kurbo::{Point, Vec2};

/// A corner whose tip would stick out less than this (mm) past the arc gets the tip: one node, not two.
const FLAT_TIP: f64 = 0.0005;

/// What an edge of a raw line is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Mark {
    /// Beside a straight edge, or straight by nature, as a bevel.
    Straight,
    /// Beside a chord of a curve, or about a point of one.
    Curved,
    /// Part of an arc about a corner.
    Arc(Point),
    /// Cuts across an inner corner.
    Inner,
}

/// A ring whose edges are known for what they are.
#[derive(Clone, Debug, Default)]
pub(super) struct Marked {
    /// The points, the first not repeated.
    pub points: Vec<Point>,
    /// What the edge from each point to the next is.
    pub marks: Vec<Mark>,
    /// Whether the edges that meet in each point do so without a corner.
    pub smooth: Vec<bool>,
    /// The outline that it lies beside, where it does so all the way round.
    pub beside: Option<usize>,
}

impl Marked {
    /// Area (mm²), positive for an outer contour, and perimeter (mm).
    pub fn area_and_perimeter(&self) -> (f64, f64) {
        let origin = self.points.first().copied().unwrap_or_default();
        let pairs = self.points.iter().zip(self.points.iter().cycle().skip(1));
        pairs.fold((0.0, 0.0), |(area, perimeter), (a, b)| {
            (area + 0.5 * (*a - origin).cross(*b - origin), perimeter + a.distance(*b))
        })
    }

    pub fn push(&mut self, at: Point, mark: Mark, smooth: bool) {
        if self.points.last() == Some(&at) {
            self.points.pop();
            self.marks.pop();
            self.smooth.pop();
        }
        self.points.push(at);
        self.marks.push(mark);
        self.smooth.push(smooth);
    }

    fn close(&mut self) {
        while self.points.len() > 1 && self.points.first() == self.points.last() {
            self.points.pop();
            self.marks.pop();
            self.smooth.pop();
        }
    }
}

/// How an outline turns at one of its points, and what that means beside it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    /// Where.
    pub at: Point,
    /// The unit vectors along the chords before and after it.
    pub before: Vec2,
    pub after: Vec2,
    sine: f64,
    cosine: f64,
    /// What lies there.
    pub join: Join,
    beside: Beside,
}

impl Turn {
    pub fn of(outline: &Outline, i: usize, beside: Beside) -> Self {
        let points = &outline.points;
        let (last, next) =
            (if i == 0 { points.len() - 1 } else { i - 1 }, if i + 1 == points.len() { 0 } else { i + 1 });
        let unit = |from: Point, to: Point| (to - from) / from.distance(to);
        let (before, after) = (unit(points[last], points[i]), unit(points[i], points[next]));
        let (sine, cosine) = (before.cross(after), before.dot(after));
        Self { at: points[i], before, after, sine, cosine, join: outline.joins[i], beside }
    }

    /// Whether the strips of the two chords leave a wedge open between them.
    pub fn is_outer(&self) -> bool {
        let away = if self.beside.distance < 0.0 { self.sine < 0.0 } else { self.sine > 0.0 };
        // A half turn leaves everything beyond the point open.
        away || (self.sine == 0.0 && self.cosine < 0.0) || matches!(self.join, Join::End(_))
    }

    /// The ends of the strips beside the point, as seen from it.
    pub fn ends(&self) -> (Vec2, Vec2) {
        (right(self.before) * self.beside.distance, right(self.after) * self.beside.distance)
    }

    /// Where the far sides of both strips meet.
    pub fn tip(&self) -> Point {
        let (from, to) = self.ends();
        self.at + (from + to) / (1.0 + self.cosine).max(1e-12)
    }

    /// Tip over distance, 1 / cos(turn / 2), which is SVG's mitre length over stroke width.
    fn tip_ratio(&self) -> f64 {
        (2.0 / (1.0 + self.cosine).max(1e-12)).sqrt()
    }

    /// What the wedge of an outer corner becomes.
    pub fn wedge(&self) -> Wedge {
        if let Join::End(caps) = self.join {
            return match caps {
                Caps::Butt => Wedge::Bevel,
                Caps::Round => Wedge::Arc,
                Caps::Square => Wedge::Square,
            };
        }
        if (self.tip_ratio() - 1.0) * self.beside.distance.abs() <= FLAT_TIP {
            return Wedge::Tip;
        }
        match self.beside.corners {
            _ if self.join == Join::Smooth => Wedge::Arc,
            Corners::Round => Wedge::Arc,
            Corners::Mitre { limit } if self.tip_ratio() <= limit * (1.0 + 1e-9) => Wedge::Tip,
            Corners::Mitre { .. } | Corners::Bevel => Wedge::Bevel,
        }
    }

    /// How much of both strips' far sides an inner corner takes away.
    fn trim(&self) -> f64 {
        self.sine.abs() / (1.0 + self.cosine).max(1e-12) * self.beside.distance.abs()
    }

    /// How far back beside each of the two chords the strip of the other one reaches at an inner corner.
    fn reach(&self) -> f64 {
        if self.cosine > 0.0 { self.sine.abs() * self.beside.distance.abs() } else { self.beside.distance.abs() }
    }
}

/// What fills the wedge between two strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wedge {
    /// The sector of a disc.
    Arc,
    /// Both strips go on until they meet.
    Tip,
    /// A straight cut.
    Bevel,
    /// Half a square round the end of a line.
    Square,
}

/// What the raw line does at inner corners whose strips overlap beyond their ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum InnerCorners {
    /// It cuts across, which makes the fewest crossings. The short cut lies within the distance of the corner, and so
    /// inside where everything within the distance belongs to the area: all corners and ends are round.
    Across,
    /// It runs through the corner itself. Then every strip and wedge is wound about once, and the area that the line
    /// winds about positively is exactly their union. Ends of strips may lie on its border.
    Through,
}

impl InnerCorners {
    /// What does for an outline.
    pub fn of(outline: &Outline, beside: Beside) -> Self {
        let round = |join: &Join| !matches!(join, Join::End(Caps::Butt | Caps::Square));
        let all_round = beside.corners == Corners::Round && outline.joins.iter().all(round);
        if all_round { Self::Across } else { Self::Through }
    }
}

/// The raw line beside an outline.
pub(super) fn beside(outline: &Outline, beside: Beside, inner: InnerCorners) -> Marked {
    let count = outline.points.len();
    let turns: Vec<Turn> = (0..count).map(|i| Turn::of(outline, i, beside)).collect();
    let cut = cut_short(outline, &turns, inner);
    let mut line = Marked::default();
    for (i, turn) in turns.iter().enumerate() {
        let side = if outline.straight[i] { Mark::Straight } else { Mark::Curved };
        let smooth = turn.join == Join::Smooth;
        let (from, to) = turn.ends();
        if turn.is_outer() {
            turn.outer(side, &mut line);
        } else if cut[i] {
            line.push(turn.tip(), side, smooth);
        } else {
            match inner {
                InnerCorners::Across => line.push(turn.at + from, Mark::Inner, false),
                InnerCorners::Through => {
                    line.push(turn.at + from, Mark::Straight, false);
                    line.push(turn.at, Mark::Straight, false);
                }
            }
            line.push(turn.at + to, side, false);
        }
    }
    line.close();
    line
}

/// At which inner corners both strips are simply cut where they meet: there, what is cut off leaves something of their far
/// sides, and it lies within the other strip. Where all is round it need not: it lies within the distance of the corner.
fn cut_short(outline: &Outline, turns: &[Turn], inner: InnerCorners) -> Vec<bool> {
    let count = turns.len();
    let of_inner = |of: fn(&Turn) -> f64| -> Vec<f64> {
        turns.iter().map(|t| if t.is_outer() { 0.0 } else { of(t) }).collect()
    };
    let trims = of_inner(Turn::trim);
    let reaches = if inner == InnerCorners::Through { of_inner(Turn::reach) } else { vec![0.0; count] };
    let length = |i: usize| outline.points[i].distance(outline.points[(i + 1) % count]);
    let mut cut = vec![true; count];
    for i in 0..count {
        let next = (i + 1) % count;
        let fits = trims[i] + trims[next] < length(i);
        for k in [i, next] {
            cut[k] &= (fits && reaches[k] <= length(i)) || trims[k] == 0.0;
        }
    }
    cut
}

impl Turn {
    fn outer(&self, side: Mark, line: &mut Marked) {
        let (from, to) = self.ends();
        let smooth = self.join == Join::Smooth;
        match self.wedge() {
            Wedge::Tip => line.push(self.tip(), side, smooth),
            Wedge::Bevel => {
                line.push(self.at + from, Mark::Straight, false);
                line.push(self.at + to, side, false);
            }
            Wedge::Square => {
                let beyond = self.before * self.beside.distance;
                line.push(self.at + from, Mark::Straight, true);
                line.push(self.at + from + beyond, Mark::Straight, false);
                line.push(self.at + to + beyond, Mark::Straight, false);
                line.push(self.at + to, side, true);
            }
            Wedge::Arc => self.arc(side, line),
        }
    }

    /// An arc from strip to strip, as chords within half the tolerance.
    ///
    /// The corners between its ends lie a little outside the arc, so that the chords enclose as much as the arc
    /// does: an offset neither gains nor loses by being made of chords.
    fn arc(&self, side: Mark, line: &mut Marked) {
        let (from, to) = self.ends();
        let turn = if matches!(self.join, Join::End(_)) {
            std::f64::consts::PI
        } else {
            libm::atan2(self.sine.abs(), self.cosine)
        };
        let turn = if self.beside.distance < 0.0 { -turn } else { turn };
        // For a step s, the corners that keep the area lie r (sqrt(s / sin s) - 1), nearly r s² / 12, outside, and
        // the middle of the first chord as much inside. A chord that is alone has both its ends on the arc, and its
        // middle lies r s² / 8 inside.
        let error = 0.5 * FLATTEN_TOLERANCE.get() / from.hypot();
        let widest = |share: f64| (share * error).sqrt().min(1.0);
        let alone = turn.abs() <= widest(8.0);
        let count = if alone { 1 } else { (turn.abs() / widest(12.0)).ceil().max(2.0) as usize };
        let step = turn / count as f64;
        let stretch = (step / libm::sin(step)).sqrt();
        let mark = if self.join == Join::Smooth { Mark::Curved } else { Mark::Arc(self.at) };
        line.push(self.at + from, mark, true);
        for i in 1..count {
            let (sine, cosine) = libm::sincos(step * i as f64);
            let turned = Vec2::new(from.x * cosine - from.y * sine, from.x * sine + from.y * cosine);
            line.push(self.at + turned * stretch, mark, true);
        }
        line.push(self.at + to, side, true);
    }
}
