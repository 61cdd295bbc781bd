//! Pieces of seams that were not grown here: what drawn or traced lines part, found where they meet each other.

use super::polyline::Polyline;
use crate::geometry::{Region, faces};
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Point, Rect, Vec2};
use rayon::prelude::*;

/// What is narrower than this share of the usual piece is no piece but a splinter: the strip between a frame that was drawn
/// by hand and the board's edge. A judgement of this project, no source.
const SPLINTER: f64 = 0.1;

/// Rows are told apart by this share of a piece's usual height.
const NEXT_ROW: f64 = 0.6;

/// A drawing with more areas was not made of seams.
const MOST_PIECES: usize = 2000;

/// Outlines are looked at so often, in mm, and so far to either side, for the piece beside them.
const STEP: f64 = 1.5;
const ASIDE: f64 = 0.05;

/// Pieces that touch at fewer places only share a corner.
const LEAST_SHARED: usize = 2;

/// How near the looked-at outlines are to the curves, mm.
const TOLERANCE: f64 = 0.02;

/// A piece that lines part from the rest.
#[derive(Clone, Debug)]
pub struct FoundPiece {
    /// Number, from 1, row by row.
    pub number: usize,
    /// Its outline: the middles of the lines round it.
    pub outline: Region,
    /// A point well inside it, for its number.
    pub middle: Point,
    /// Radius of a circle about that point that stays inside.
    pub room: Mm,
    /// The numbers of the pieces that it meets along seams.
    pub neighbours: Vec<usize>,
}

/// The pieces that lines and the edge of the board part, row by row from the left top; none where they part nothing.
///
/// A line that ends within `reach` of another reaches it: the cut is about as wide.
pub fn found(lines: &[BezPath], board: Option<&Region>, reach: Mm) -> Vec<FoundPiece> {
    let edges = board.into_iter().flat_map(Region::contours);
    let all: Vec<BezPath> = lines.iter().chain(edges).cloned().collect();
    let areas = faces(&all, reach);
    if MOST_PIECES < areas.len() {
        return Vec::new();
    }
    let mut areas: Vec<Area> = areas.into_par_iter().filter_map(Area::of).collect();
    areas.retain(|area| board.is_none_or(|board| board.contains(area.middle)));
    let usual = median(areas.iter().map(|area| area.room.get()).collect());
    areas.retain(|area| area.room.get() >= reach.get().max(SPLINTER * usual));
    if areas.len() < 2 {
        return Vec::new();
    }
    let areas = in_rows(areas);
    let outlines: Vec<Outline> = areas.par_iter().map(|area| Outline::of(&area.outline)).collect();
    let piece = |(index, area): (usize, Area)| FoundPiece {
        number: index + 1,
        neighbours: beside(&outlines, index),
        outline: area.outline,
        middle: area.middle,
        room: area.room,
    };
    areas.into_par_iter().enumerate().map(piece).collect()
}

/// An area between lines.
struct Area {
    outline: Region,
    bounds: Rect,
    middle: Point,
    room: Mm,
}

impl Area {
    fn of(outline: Region) -> Option<Self> {
        let (bounds, (middle, room)) = (outline.bounds()?, outline.interior_point()?);
        Some(Self { outline, bounds, middle, room })
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

/// Areas from the left top, row by row.
fn in_rows(mut areas: Vec<Area>) -> Vec<Area> {
    let height = median(areas.iter().map(|area| area.bounds.height()).collect());
    areas.sort_by(|a, b| a.bounds.center().y.total_cmp(&b.bounds.center().y));
    let mut rows: Vec<Vec<Area>> = Vec::new();
    for area in areas {
        let y = area.bounds.center().y;
        match rows.last_mut().filter(|row| y - row[0].bounds.center().y < NEXT_ROW * height) {
            Some(row) => row.push(area),
            None => rows.push(vec![area]),
        }
    }
    for row in &mut rows {
        row.sort_by(|a, b| a.bounds.center().x.total_cmp(&b.bounds.center().x));
    }
    rows.into_iter().flatten().collect()
}

/// The border of an area, to be asked what lies inside.
struct Outline {
    bounds: Rect,
    contours: Vec<Polyline>,
}

impl Outline {
    fn of(region: &Region) -> Self {
        let polyline = |contour: &BezPath| {
            let segments: Vec<PathSeg> = contour.segments().collect();
            Polyline::of(&segments, TOLERANCE)
        };
        Self {
            bounds: region.bounds().unwrap_or_default(),
            contours: region.contours().iter().map(polyline).collect(),
        }
    }

    fn encloses(&self, point: Point) -> bool {
        self.bounds.contains(point) && self.contours.iter().filter(|c| c.encloses(point)).count() % 2 == 1
    }

    /// Places on both sides of it, all along.
    fn beside(&self) -> impl Iterator<Item = Point> + '_ {
        let dense = self.contours.iter().map(|contour| contour.dense(STEP));
        dense.flat_map(|line| {
            let pairs = line.points.windows(2).flat_map(|pair| {
                let along = pair[1] - pair[0];
                let across = Vec2::new(-along.y, along.x) * (ASIDE / along.hypot().max(ASIDE));
                [1.0, -1.0].map(|side| pair[0].midpoint(pair[1]) + across * side)
            });
            pairs.collect::<Vec<_>>()
        })
    }
}

/// The numbers of the pieces that lie along the border of one.
fn beside(outlines: &[Outline], index: usize) -> Vec<usize> {
    let own = &outlines[index];
    let near = own.bounds.inflate(ASIDE, ASIDE);
    let others = outlines.iter().enumerate().filter(|(i, other)| *i != index && near.overlaps(other.bounds));
    let places: Vec<Point> = own.beside().collect();
    let shared = |other: &Outline| places.iter().filter(|&&at| other.encloses(at)).take(LEAST_SHARED).count();
    others.filter(|(_, other)| shared(other) == LEAST_SHARED).map(|(i, _)| i + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;
    use kurbo::Shape;

    fn lines(d: &str) -> Vec<BezPath> {
        d.split('M').skip(1).map(|one| BezPath::from_svg(&format!("M{one}")).expect("path data")).collect()
    }

    fn board(width: f64, height: f64) -> Region {
        Region::from_path(&Rect::new(0.0, 0.0, width, height).to_path(0.1), FillRule::NonZero).expect("finite")
    }

    #[test]
    fn bricks_are_numbered_row_by_row_and_know_what_they_touch() {
        // Two bricks above three: by drawing it, the second brick below touches both above.
        let seams = lines("M0 20H60M30 0V20M20 20V40M40 20V40");
        let pieces = found(&seams, Some(&board(60.0, 40.0)), Mm::new(0.2));
        let beside: Vec<&[usize]> = pieces.iter().map(|p| p.neighbours.as_slice()).collect();
        assert_eq!(beside, [&[2, 3, 4][..], &[1, 4, 5], &[1, 4], &[1, 2, 3, 5], &[2, 4]]);
        let areas: Vec<f64> = pieces.iter().map(|p| p.outline.area().get().round()).collect();
        assert_eq!(areas, [600.0, 600.0, 400.0, 400.0, 400.0]);
    }

    #[test]
    fn a_frame_that_was_drawn_beside_the_edge_parts_no_piece() {
        // The frame lies half a millimetre inside the board; its strip is a splinter, not a thirteenth piece.
        let upright = (1..4).map(|i| format!("M{} 0.5V59.5", 20 * i));
        let level = (1..3).map(|i| format!("M0.5 {}H79.5", 20 * i));
        let d: String =
            std::iter::once("M0.5 0.5H79.5V59.5H0.5Z".to_owned()).chain(upright).chain(level).collect();
        let pieces = found(&lines(&d), Some(&board(80.0, 60.0)), Mm::new(0.2));
        assert_eq!(pieces.len(), 12);
        assert!(pieces.iter().all(|p| (p.room.get() - 10.0).abs() < 0.6));
    }

    #[test]
    fn lines_that_part_nothing_leave_no_pieces() {
        assert!(found(&lines("M10 10H50"), Some(&board(60.0, 40.0)), Mm::new(0.2)).is_empty());
        assert!(found(&[], None, Mm::new(0.2)).is_empty());
        // Ends that fall short by less than the cut is wide do part.
        assert_eq!(found(&lines("M0.15 20H59.85"), Some(&board(60.0, 40.0)), Mm::new(0.2)).len(), 2);
        assert!(found(&lines("M0.5 20H59.5"), Some(&board(60.0, 40.0)), Mm::new(0.2)).is_empty());
    }
}
