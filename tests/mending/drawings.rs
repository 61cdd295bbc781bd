//! Drawings with planted faults, and what GEOS sees of them.

use geos::{CoordSeq, Geometry};
use kerfbook::geometry::{Drawing, Line, Pen, Region};
use kerfbook::mending::{Change, MendKind, Mended, Mends, mended};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Point};

/// A small generator of numbers in 0..1 (Lehmer 1951, with the multiplier of Park and Miller 1988, from memory).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.roll() * count as f64) as usize).min(count - 1)
    }
}

pub fn path(d: &str) -> BezPath {
    BezPath::from_svg(d).expect(d)
}

/// Lines of 0.2 mm, each drawn in its own cell of a grid and turned there by some angle.
pub fn in_cells(cells: &[Vec<BezPath>], dice: &mut Dice) -> Drawing {
    let mut lines = Vec::new();
    for (i, cell) in cells.iter().enumerate() {
        let (column, row) = ((i % 15) as f64, (i / 15) as f64);
        let turn = Affine::rotate(dice.between(0.0, std::f64::consts::TAU));
        let place = Affine::translate((20.0 * column + 20.0, 20.0 * row + 20.0)) * turn;
        lines.extend(cell.iter().map(|path| place * path.clone()));
    }
    of_lines(lines)
}

pub fn of_lines(paths: Vec<BezPath>) -> Drawing {
    let line = |path| Line { path, width: Some(Mm::new(0.2)), pen: Pen::default() };
    Drawing { lines: paths.into_iter().map(line).collect(), ..Drawing::default() }
}

pub fn of_ink(ink: Region) -> Drawing {
    Drawing::of_region(ink)
}

/// One mend of a drawing.
pub fn mend(drawing: &Drawing, kind: MendKind, up_to: f64) -> (Drawing, Change) {
    let wanted: Mends = [(kind, Mm::new(up_to))].into_iter().collect();
    let Mended { drawing, mut changes } = mended(drawing, &wanted);
    (drawing, changes.remove(0))
}

pub fn paths(drawing: &Drawing) -> Vec<BezPath> {
    drawing.ink.contours().iter().cloned().chain(drawing.lines.iter().map(|l| l.path.clone())).collect()
}

pub fn total(drawing: &Drawing) -> f64 {
    paths(drawing).iter().map(|p| kerfbook::geometry::length(p).get()).sum()
}

/// The corners of a path of straight lines; a closed one ends where it starts.
pub fn corners(path: &BezPath) -> Vec<Point> {
    let mut all: Vec<Point> = path.elements().iter().filter_map(PathEl::end_point).collect();
    if matches!(path.elements().last(), Some(PathEl::ClosePath)) && all.first() != all.last() {
        all.push(all[0]);
    }
    all
}

/// A path of straight lines, to GEOS.
pub fn line_string(path: &BezPath) -> Geometry {
    let pairs: Vec<[f64; 2]> = corners(path).iter().map(|p| [p.x, p.y]).collect();
    Geometry::create_line_string(CoordSeq::new_from_vec(&pairs).expect("coordinates")).expect("a line")
}

/// All lines of a drawing, to GEOS.
pub fn multi_line(drawing: &Drawing) -> Geometry {
    Geometry::create_multiline_string(drawing.lines.iter().map(|l| line_string(&l.path)).collect()).expect("lines")
}
