//! A closed outline that can be walked: where one is after so many millimetres, and what a straight cut takes off.

use crate::geometry::chords::Chord;
use kurbo::Point;

/// The way along the border between both sides of a wall, over its width, below which it is a tip or a
/// rounded end and no wall: between the flanks of a tip of 19 degrees.
const TIP: f64 = 6.0;

/// What lies beyond a wall is a tip when it fills no more than this share of the wall's width times its length: a
/// pointed tip fills half of it, a finger all.
const FULLEST_TIP: f64 = 0.7;

/// The corners of a closed outline, with the way to each.
pub(super) struct Outline {
    /// The first corner is repeated as the last.
    corners: Vec<Point>,
    /// The way to each corner, in mm.
    along: Vec<f64>,
    /// Twice the area (mm²) that the way to each corner sweeps, seen from the first.
    swept: Vec<f64>,
}

/// The outlines of the subpaths that chords belong to, in the order of the subpaths, every one with a chord.
pub(super) fn outlines_of(chords: &[Chord]) -> Vec<Outline> {
    let count = chords.last().map_or(0, |c| c.subpath + 1);
    let mut outlines: Vec<Outline> = (0..count).map(|_| Outline::of(&[])).collect();
    for subpath in chords.chunk_by(|a, b| a.subpath == b.subpath) {
        outlines[subpath[0].subpath] = Outline::of(subpath);
    }
    outlines
}

impl Outline {
    fn of(chords: &[Chord]) -> Self {
        let ends = chords.first().map(|c| c.from).into_iter().chain(chords.iter().map(|c| c.to));
        let mut outline = Self { corners: ends.collect(), along: Vec::new(), swept: Vec::new() };
        let (mut way, mut swept) = (0.0, 0.0);
        for (i, &corner) in outline.corners.iter().enumerate() {
            let before = outline.corners[i.saturating_sub(1)];
            way += before.distance(corner);
            swept += outline.sweep(before, corner);
            outline.along.push(way);
            outline.swept.push(swept);
        }
        outline
    }

    /// Twice the area that a straight way sweeps, seen from the first corner.
    fn sweep(&self, from: Point, to: Point) -> f64 {
        (from - self.corners[0]).cross(to - self.corners[0])
    }

    /// All the way round, in mm.
    pub fn length(&self) -> f64 {
        self.along.last().copied().unwrap_or(0.0)
    }

    /// The corners, the first not repeated, each with the way to it.
    pub fn corners(&self) -> impl ExactSizeIterator<Item = (Point, f64)> + '_ {
        let distinct = self.corners.len().saturating_sub(1);
        (0..distinct).map(|i| (self.corners[i], self.along[i]))
    }

    /// The corner before a way in `0..length`, and the point there; `None` when there is no way at all.
    fn place(&self, way: f64) -> Option<(usize, Point)> {
        let before = self.along.partition_point(|&a| a <= way).checked_sub(1)?;
        let Some(&to) = self.corners.get(before + 1) else { return Some((before, self.corners[before])) };
        let from = self.corners[before];
        let share = (way - self.along[before]) / (self.along[before + 1] - self.along[before]);
        Some((before, from.lerp(to, share)))
    }

    /// The way as one in `0..length`.
    fn wrapped(&self, way: f64) -> f64 {
        let rest = way % self.length();
        if rest < 0.0 { (rest + self.length()).min(self.length()) } else { rest }
    }

    /// Where one is after a way, which may lead past the start either way round.
    pub fn at(&self, way: f64) -> Option<Point> {
        Some(self.place(self.wrapped(way))?.1)
    }

    /// The area (mm²) between the outline from one place on to another and the straight way back; negative where
    /// the outline runs clockwise about it (y up).
    pub fn cut_off(&self, from: f64, to: f64) -> f64 {
        let (from, to) = (self.wrapped(from), self.wrapped(to));
        let (Some((i, start)), Some((k, end))) = (self.place(from), self.place(to)) else { return 0.0 };
        let to_start = self.swept[i] + self.sweep(self.corners[i], start);
        let to_end = self.swept[k] + self.sweep(self.corners[k], end);
        let round = if to < from { self.swept[self.swept.len() - 1] } else { 0.0 };
        0.5 * (to_end - to_start + round + self.sweep(end, start))
    }

    /// Whether what a wall of some width between two places cuts off is no more than a rounded end or a tip.
    pub fn is_end(&self, a: f64, b: f64, width: f64) -> bool {
        let forth = (b - a).rem_euclid(self.length());
        let (from, to, way) =
            if forth <= 0.5 * self.length() { (a, b, forth) } else { (b, a, self.length() - forth) };
        way < TIP * width || is_taper(self.fullness(from, to, width))
    }

    /// How much of its width times its length the piece fills that lies from one place on to another, where it is
    /// `width` wide; negative where the outline runs clockwise about it (y up).
    pub fn fullness(&self, from: f64, to: f64, width: f64) -> f64 {
        self.cut_off(from, to) / (0.5 * width * (to - from).rem_euclid(self.length()))
    }
}

/// Whether a piece that fills so much of its width times its length runs out to a tip.
pub(super) fn is_taper(fullness: f64) -> bool {
    fullness > 0.0 && fullness <= FULLEST_TIP
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::chords::of_paths;
    use kurbo::{Rect, Shape};

    #[test]
    fn a_walk_round_a_rectangle() {
        let rectangle = Rect::new(10.0, 20.0, 40.0, 30.0).to_path(0.1);
        let outlines = outlines_of(&of_paths([&rectangle]).0);
        let [outline] = &outlines[..] else { panic!("one outline") };
        assert_eq!(outline.length(), 80.0);
        assert_eq!(outline.corners().len(), 4);
        assert_eq!(outline.at(35.0), Some(Point::new(40.0, 25.0)));
        assert_eq!(outline.at(-5.0), Some(Point::new(10.0, 25.0)));
        assert_eq!(outline.at(80.0 * 3.0 + 1.0), Some(Point::new(11.0, 20.0)));
        // The right half; a corner, round the start.
        assert_eq!(outline.cut_off(15.0, 55.0), 150.0);
        assert_eq!(outline.cut_off(76.0, 3.0), 6.0);
        assert_eq!(outline.cut_off(3.0, 76.0), 294.0);
    }
}
