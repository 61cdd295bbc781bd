//! Where a closed cut begins: in the waste beside it, and how far it runs past its end.
//!
//! Where the beam goes on it burns a mark wider than the kerf. Begun in the waste, the cut comes to the outline when the
//! head already moves.

use super::along::Along;
use crate::geometry::{Region, Surroundings, begun_at, starts};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Rect, Vec2};

/// So near to a line (mm) it is looked on which side of it the waste lies: beyond what flattening moves.
const BESIDE: f64 = 0.02;

/// How much of its own length a way into the waste keeps, at each of its points, from all cuts: a way at 45° to the
/// outline keeps 0.7.
const CLEAR: f64 = 0.55;

/// So many points of the way are looked at.
const LOOKS: usize = 4;

/// What a cut is begun in.
pub(super) struct Waste {
    /// What is kept: the even-odd inside of all closed lines.
    kept: Region,
    lines: Surroundings,
    sheet: Rect,
}

impl Waste {
    pub fn of(kept: Region, lines: &[BezPath], sheet: Rect) -> Self {
        Self { kept, lines: Surroundings::of(lines), sheet }
    }

    /// The unit normal at a point of a line that points into the waste; `None` where both sides are waste, or none is.
    pub fn side(&self, at: Point, along: Vec2) -> Option<Vec2> {
        let normal = Vec2::new(-along.y, along.x) / along.hypot();
        let is_waste = |normal: Vec2| !self.kept.contains(at + normal * BESIDE);
        match (is_waste(normal), is_waste(-normal)) {
            (true, false) => Some(normal),
            (false, true) => Some(-normal),
            _ => None,
        }
    }

    /// Whether a way from a point lies free in the waste.
    fn is_free(&self, from: Point, way: Vec2) -> bool {
        (1..=LOOKS).all(|i| {
            let step = way * (i as f64 / LOOKS as f64);
            let at = from + step;
            self.sheet.contains(at)
                && !self.kept.contains(at)
                && !self.lines.come_within(Mm::new(CLEAR * step.hypot()), at)
        })
    }
}

/// A closed cut that can be begun in the waste, and where: at its own start if there is room, else it is begun at another
/// point where it may be. `None` where none has room.
pub(super) fn with_way_in(outline: &BezPath, length: Mm, waste: &Waste) -> Option<(BezPath, Point)> {
    let begun = std::iter::once(0).chain(starts(outline)).map(|node| begun_at(outline, node));
    let mut found = begun.filter_map(|path| {
        let from = way_in(&path, length, waste)?;
        Some((path, from))
    });
    found.next()
}

/// Where the beam goes on for a line begun at its start.
fn way_in(path: &BezPath, length: Mm, waste: &Waste) -> Option<Point> {
    let along = Along::new(path);
    let at = along.point(0.0);
    let near = (along.length() / 8.0).min(0.1);
    let (out, back) = (along.point(near) - at, at - along.point(along.length() - near));
    let aside = waste.side(along.point(near), out)?;
    let before = waste.side(along.point(along.length() - near), back)?;
    let forth = out / out.hypot();
    // Slanting towards the way on, straight aside, and in the middle of a corner.
    let ways = [aside - forth, aside, aside + before];
    let unit = ways.into_iter().filter(|w| 1e-6 < w.hypot()).map(|w| w / w.hypot());
    let way = unit.map(|u| u * length.get()).find(|&way| waste.is_free(at, way))?;
    Some(at + way)
}

/// Whether waste lies on one side of a line at its start, and not on the other.
pub(super) fn is_beside_waste(line: &BezPath, waste: &Waste) -> bool {
    let (at, forth) = start(line);
    waste.side(at + forth, forth).is_some()
}

/// What bridges left of an outline, begun straight beside one of its ends, and where. Straight, for a slanting way would
/// cut the foot of the bridge off the waste. `None` where neither end has room.
pub(super) fn with_way_beside(line: &BezPath, length: Mm, waste: &Waste) -> Option<(BezPath, Point)> {
    let mut found = [line.clone(), line.reverse_subpaths()].into_iter().filter_map(|line| {
        let (at, forth) = start(&line);
        let way = waste.side(at + forth, forth)? * length.get();
        waste.is_free(at, way).then(|| (line, at + way))
    });
    found.next()
}

/// The point where a line begins, and a short step along it.
fn start(line: &BezPath) -> (Point, Vec2) {
    let along = Along::new(line);
    let at = along.point(0.0);
    (at, along.point((along.length() / 8.0).min(0.1)) - at)
}

/// A cut as it is burned: from a point beside it, if there is one, round it, and past its end.
pub(super) fn round(outline: &BezPath, from: Option<Point>, past: Mm) -> BezPath {
    let along = Along::new(outline);
    let start = along.point(0.0);
    let mut path = BezPath::from_vec(vec![PathEl::MoveTo(from.unwrap_or(start))]);
    if from.is_some() {
        path.push(PathEl::LineTo(start));
    }
    path.extend(outline.segments().map(|s| s.as_path_el()));
    if past > Mm::ZERO {
        let over = along.part(0.0, past.get().min(along.length() / 2.0));
        path.extend(over.elements().iter().skip(1).copied());
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{FillRule, length};
    use kurbo::{Circle, ParamCurve, Shape};

    const SHEET: Rect = Rect::new(0.0, 0.0, 100.0, 100.0);

    fn waste(lines: &[BezPath]) -> Waste {
        let all = BezPath::from_vec(lines.iter().flat_map(|l| l.elements().iter().copied()).collect());
        Waste::of(Region::from_path(&all, FillRule::EvenOdd).unwrap(), lines, SHEET)
    }

    fn square(x: f64, y: f64, side: f64) -> BezPath {
        Rect::new(x, y, x + side, y + side).to_path(0.1)
    }

    #[test]
    fn parts_are_begun_outside_and_openings_inside() {
        let lines = [square(20.0, 20.0, 60.0), Circle::new((50.0, 50.0), 10.0).to_path(1e-3)];
        let waste = waste(&lines);
        let of = |line: &BezPath| with_way_in(line, Mm::new(2.0), &waste).expect("room").1;
        let (part, opening) = (of(&lines[0]), of(&lines[1]));
        assert!(!Rect::new(20.0, 20.0, 80.0, 80.0).contains(part), "{part:?}");
        assert!(opening.distance((50.0, 50.0).into()) < 10.0 - 1.0, "{opening:?}");
    }

    #[test]
    fn a_cut_without_room_beside_it_is_not_begun_there() {
        // Squares 1 mm apart on all sides, at the edge of the sheet: 3 mm have no room, half a millimetre has.
        let lines: Vec<BezPath> =
            (0..9).map(|i| square(0.5 + f64::from(i % 3) * 34.0, 0.5 + f64::from(i / 3) * 34.0, 33.0)).collect();
        let waste = waste(&lines);
        assert!(with_way_in(&lines[4], Mm::new(3.0), &waste).is_none());
        assert!(with_way_in(&lines[4], Mm::new(0.4), &waste).is_some());
    }

    #[test]
    fn a_cut_is_one_line_from_the_waste_round_and_past_its_end() {
        let outline = square(20.0, 20.0, 60.0);
        let path = round(&outline, Some(Point::new(18.0, 18.0)), Mm::new(0.5));
        assert!((length(&path).get() - (8.0_f64.sqrt() + 240.0 + 0.5)).abs() < 1e-3);
        assert_eq!(crate::geometry::subpaths(&path).len(), 1);
        let end = path.segments().last().unwrap().end();
        assert!((end.distance((20.0, 20.0).into()) - 0.5).abs() < 1e-3);
    }
}
