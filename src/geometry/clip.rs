//! Lines cut off at the border of an area.

use super::Region;
use super::flatten::{chords, chords_of, is_closed};
use crate::units::Mm;
use kurbo::{BezPath, Line, ParamCurve, ParamCurveArclen, PathSeg, Rect, Shape};

/// Arc lengths are found to this many mm.
const ACCURACY: f64 = 1e-6;

/// Stretches shorter than this (mm) are what rounding leaves at a border.
const SPECK: f64 = 1e-4;

/// How the stretches of a line that lie in an area are cut off.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ends {
    /// How far a stretch goes on beyond the border, where the line does.
    pub overlap: Mm,
    /// A shorter stretch is left out.
    pub least: Mm,
}

/// The stretches of a line that lie in an area, in its direction. The line is one subpath; one that lies inside whole
/// comes back as it is. Stretches that overlap once they are lengthened become one.
pub fn clipped(line: &BezPath, area: &Region, ends: Ends) -> Vec<BezPath> {
    let Some(bounds) = area.bounds() else { return Vec::new() };
    if !touches(bounds, line.bounding_box()) {
        return Vec::new();
    }
    let line = Measured::of(line);
    let mut found = line.within(area);
    found.retain(|(from, to)| to - from > ends.least.get().max(SPECK));
    line.lengthened(found, ends.overlap.get()).into_iter().map(|span| line.part(span)).collect()
}

/// Boxes that share a point; kurbo's own test leaves out boxes without an area, such as those of level lines.
fn touches(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

/// A line with the way to the start of each of its segments.
struct Measured<'a> {
    path: &'a BezPath,
    segments: Vec<PathSeg>,
    /// From the start of the line to the start of each segment, and to its end.
    ways: Vec<f64>,
    is_closed: bool,
}

/// A stretch of a line, by the ways to its ends. On a closed line it may begin before its start or end after it.
type Span = (f64, f64);

impl<'a> Measured<'a> {
    fn of(path: &'a BezPath) -> Self {
        let segments: Vec<PathSeg> = path.segments().collect();
        let mut ways = vec![0.0];
        let mut way = 0.0;
        for segment in &segments {
            way += segment.arclen(ACCURACY);
            ways.push(way);
        }
        Self { path, segments, ways, is_closed: is_closed(path) }
    }

    fn length(&self) -> f64 {
        self.ways.last().copied().unwrap_or(0.0)
    }

    /// The stretches inside, in their order. On a closed line, the first and the last are one where its start lies inside.
    fn within(&self, area: &Region) -> Vec<Span> {
        let border = border(area);
        let mut spans: Vec<Span> = Vec::new();
        for (segment, &way) in self.segments.iter().zip(&self.ways) {
            for (from, to) in pieces(segment, &border) {
                if !area.contains(segment.eval(f64::midpoint(from, to))) {
                    continue;
                }
                let at = |t: f64| if t <= 0.0 { way } else { way + segment.subsegment(0.0..t).arclen(ACCURACY) };
                let (from, to) = (at(from), at(to));
                match spans.last_mut() {
                    Some(last) if from - last.1 <= SPECK => last.1 = to,
                    _ => spans.push((from, to)),
                }
            }
        }
        let length = self.length();
        if let [first, .., last] = spans.as_mut_slice()
            && self.is_closed
            && first.0 <= SPECK
            && length - last.1 <= SPECK
        {
            first.0 = last.0 - length;
            spans.pop();
        }
        spans
    }

    /// The same stretches, longer at both ends; those that meet are one.
    fn lengthened(&self, spans: Vec<Span>, by: f64) -> Vec<Span> {
        let length = self.length();
        let mut all: Vec<Span> = Vec::new();
        for (from, to) in spans {
            let (from, to) = (from - by, to + by);
            let (from, to) = if self.is_closed { (from, to) } else { (from.max(0.0), to.min(length)) };
            match all.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(to),
                _ => all.push((from, to)),
            }
        }
        if let [first, .., last] = all.as_mut_slice()
            && self.is_closed
            && first.0 + length <= last.1
        {
            first.0 = last.0 - length;
            all.pop();
        }
        all
    }

    fn part(&self, (from, to): Span) -> BezPath {
        let length = self.length();
        if length - SPECK <= to - from {
            return self.path.clone();
        }
        let mut part = BezPath::new();
        // Before the start of a closed line lies its end, and after its end its start.
        for (a, b) in [(from + length, length), (from.max(0.0), to.min(length)), (0.0, to - length)] {
            if a.max(0.0) < b && a < length {
                self.add(a, b, &mut part);
            }
        }
        part
    }

    fn add(&self, from: f64, to: f64, part: &mut BezPath) {
        for (segment, ways) in self.segments.iter().zip(self.ways.windows(2)) {
            let [start, end] = [ways[0], ways[1]];
            if end <= from || to <= start {
                continue;
            }
            let at = |way: f64| match way {
                way if way <= start => 0.0,
                way if end <= way => 1.0,
                way => segment.inv_arclen(way - start, ACCURACY),
            };
            let (a, b) = (at(from), at(to));
            let kept = if (a, b) == (0.0, 1.0) { *segment } else { segment.subsegment(a..b) };
            if part.elements().is_empty() {
                part.move_to(kept.start());
            }
            part.push(kept.as_path_el());
        }
    }
}

/// The border of an area as chords.
fn border(area: &Region) -> Vec<Line> {
    let ring = |contour: &BezPath| -> Vec<Line> {
        let points = chords(contour);
        let round = points.iter().zip(points.iter().cycle().skip(1));
        round.filter(|(a, b)| a != b).map(|(a, b)| Line::new(*a, *b)).collect()
    };
    area.contours().iter().flat_map(ring).collect()
}

/// A segment taken apart where it crosses the border, by its chords: they lie within a thousandth of it, and take square
/// roots only, which are the same on every machine.
fn pieces(segment: &PathSeg, border: &[Line]) -> Vec<(f64, f64)> {
    let bounds = segment.bounding_box();
    let near: Vec<&Line> = border.iter().filter(|chord| touches(bounds, chord.bounding_box())).collect();
    let mut cuts: Vec<f64> = Vec::new();
    let count = if near.is_empty() { 0 } else { chords_of(*segment) };
    for i in 0..count {
        let at = |i: usize| i as f64 / count as f64;
        let chord = Line::new(segment.eval(at(i)), segment.eval(at(i + 1)));
        let hits = near.iter().filter_map(|line| crossing(chord, **line));
        cuts.extend(hits.map(|along| (i as f64 + along) / count as f64).filter(|t| 0.0 < *t && *t < 1.0));
    }
    cuts.sort_by(f64::total_cmp);
    let starts = std::iter::once(0.0).chain(cuts.iter().copied());
    let ends = cuts.iter().copied().chain(std::iter::once(1.0));
    starts.zip(ends).filter(|(from, to)| from < to).collect()
}

/// How far along the first of two lines the other crosses it, as a share; `None` where they miss or are parallel.
fn crossing(line: Line, other: Line) -> Option<f64> {
    let (along, across, from) = (line.p1 - line.p0, other.p1 - other.p0, other.p0 - line.p0);
    let turn = along.cross(across);
    if turn == 0.0 {
        return None;
    }
    let (on_line, on_other) = (from.cross(across) / turn, from.cross(along) / turn);
    ((0.0..=1.0).contains(&on_line) && (0.0..=1.0).contains(&on_other)).then_some(on_line)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{FillRule, length};
    use kurbo::Circle;

    fn square(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
        Region::from_path(&Rect::new(x0, y0, x1, y1).to_path(0.1), FillRule::NonZero).unwrap()
    }

    fn path(data: &str) -> BezPath {
        BezPath::from_svg(data).unwrap()
    }

    fn lengths(line: &BezPath, area: &Region, overlap: f64) -> Vec<f64> {
        let ends = Ends { overlap: Mm::new(overlap), least: Mm::ZERO };
        clipped(line, area, ends).iter().map(|l| length(l).get()).collect()
    }

    fn near(found: &[f64], wanted: &[f64]) {
        let same = found.len() == wanted.len() && found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-3);
        assert!(same, "{found:?} {wanted:?}");
    }

    #[test]
    fn a_level_line_is_cut_at_both_sides_of_a_box() {
        let line = path("M 0 5 L 30 5");
        near(&lengths(&line, &square(10.0, 0.0, 20.0, 10.0), 0.0), &[10.0]);
        near(&lengths(&line, &square(10.0, 0.0, 20.0, 10.0), 1.0), &[12.0]);
        // It does not go on beyond its own ends.
        near(&lengths(&line, &square(-5.0, 0.0, 20.0, 10.0), 4.0), &[24.0]);
        assert!(lengths(&line, &square(10.0, 20.0, 20.0, 30.0), 1.0).is_empty());
    }

    #[test]
    fn half_a_circle_is_pi_r_long_wherever_it_begins() {
        let pi = std::f64::consts::PI;
        let circle = Circle::new((0.0, 0.0), 10.0).to_path(1e-6);
        // kurbo begins a circle at its right: the right half holds the start and comes back as one stretch.
        for half in [square(0.0, -20.0, 20.0, 20.0), square(-20.0, -20.0, 0.0, 20.0)] {
            near(&lengths(&circle, &half, 0.0), &[10.0 * pi]);
            near(&lengths(&circle, &half, 1.5), &[10.0 * pi + 3.0]);
        }
        let whole = clipped(&circle, &square(-20.0, -20.0, 20.0, 20.0), Ends::default());
        assert_eq!(whole, std::slice::from_ref(&circle));
        // Lengthened until they meet, the stretches are the whole line.
        near(&lengths(&circle, &square(0.0, -20.0, 20.0, 20.0), 16.0), &[20.0 * pi]);
    }

    #[test]
    fn what_lies_inside_and_what_lies_outside_is_the_whole() {
        let wave = path("M 0 0 C 10 20 20 -20 30 0 S 50 20 60 0 L 60 9 C 40 3 20 15 0 9");
        let (inside, all) = (square(7.3, -3.0, 41.0, 6.1), square(-10.0, -30.0, 80.0, 30.0));
        let outside = all.subtract(&inside);
        let total = |area: &Region| lengths(&wave, area, 0.0).iter().sum::<f64>();
        assert!((total(&inside) + total(&outside) - length(&wave).get()).abs() < 1e-3);
    }

    #[test]
    fn stubs_are_left_out() {
        let line = path("M 0 5 L 30 5");
        let ends = Ends { overlap: Mm::new(2.0), least: Mm::new(0.6) };
        assert!(clipped(&line, &square(10.0, 0.0, 10.5, 10.0), ends).is_empty());
    }
}
