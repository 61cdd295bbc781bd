//! What a figure looks like.

use super::{Caps, Corners, Region};
use crate::units::Mm;
use kurbo::{Affine, BezPath, ParamCurveNearest, Point, Rect, Shape};

/// A figure's geometry: inked areas and drawn lines.
///
/// `ink` is already one clean area (overlaps welded, white parts taken out). `lines` are centre lines.
/// Engraving burns the ink and the lines at their drawn width; scoring and cutting follow the outline of
/// the ink and the middle of the lines.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// The inked area.
    pub ink: Region,
    /// The drawn lines.
    pub lines: Vec<Line>,
    /// The single parts it was made of, to tell which element lies where.
    pub parts: Vec<Part>,
}

/// One drawn line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its middle: one subpath, open or closed.
    pub path: BezPath,
    /// Its drawn width; `None` for a line without width, which cannot be engraved as an area.
    pub width: Option<Mm>,
    /// What its ends and corners look like at that width.
    pub pen: Pen,
}

/// What the ends and corners of a widened line look like (SVG `stroke-linecap` and `stroke-linejoin`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Its ends.
    pub caps: Caps,
    /// Its corners.
    pub corners: Corners,
}

impl Default for Pen {
    /// A round pen: what a beam draws by itself.
    fn default() -> Self {
        Self { caps: Caps::Round, corners: Corners::Round }
    }
}

/// An element of an artwork file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Element {
    /// `#id` where it has one, else the tag (`path`).
    pub name: String,
    /// Line in the file, from 1.
    pub line: usize,
    /// Column in the file, from 1.
    pub column: usize,
}

/// One source part of a drawing, as it was drawn.
#[derive(Clone, Debug)]
pub struct Part {
    /// The element it came from; `None` for what the recipe itself draws.
    pub element: Option<Element>,
    /// Its path, in the drawing's frame.
    pub path: BezPath,
    /// Whether it is an area or a line.
    pub filled: bool,
    /// Subpaths that are filled although their ends do not meet.
    pub open: Vec<OpenEnds>,
}

/// The two ends of an outline that does not close.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenEnds {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
}

impl OpenEnds {
    /// How far the ends are apart.
    pub fn gap(&self) -> Mm {
        Mm::new(self.from.distance(self.to))
    }
}

impl Drawing {
    /// Lines without a width, each of them a part.
    pub fn of_bare_lines(paths: Vec<BezPath>) -> Self {
        let part = |path: &BezPath| Part { element: None, path: path.clone(), filled: false, open: Vec::new() };
        Self {
            ink: Region::empty(),
            parts: paths.iter().map(part).collect(),
            lines: paths.into_iter().map(|path| Line { path, width: None, pen: Pen::default() }).collect(),
        }
    }

    /// A drawing that is one area and nothing else.
    pub fn of_region(ink: Region) -> Self {
        Self { ink, ..Self::default() }
    }

    /// Whether there is nothing to see.
    pub fn is_empty(&self) -> bool {
        self.ink.is_empty() && self.lines.is_empty()
    }

    /// The box around ink and the middles of lines, line widths left out: the size a figure is known by.
    pub fn bounds(&self) -> Option<Rect> {
        let lines = self.lines.iter().map(|l| l.path.bounding_box());
        self.ink.bounds().into_iter().chain(lines).reduce(|a, b| a.union(b))
    }

    /// The elements of its file that lie within `reach` of a point, the nearest first.
    pub fn elements_at(&self, at: Point, reach: Mm) -> Vec<&Element> {
        let reach = reach.get();
        let distance = |path: &BezPath| {
            let near = path.bounding_box().inflate(reach, reach).contains(at);
            let segments = near.then(|| path.segments().map(|s| s.nearest(at, 1e-3).distance_sq));
            segments.and_then(|all| all.reduce(f64::min)).filter(|d| *d <= reach * reach)
        };
        let near = self.parts.iter().filter_map(|p| Some((distance(&p.path)?, p.element.as_ref()?)));
        let mut near: Vec<(f64, &Element)> = near.collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)));
        near.dedup_by(|b, a| a.1 == b.1);
        near.into_iter().map(|(_, element)| element).collect()
    }

    /// The drawing moved, turned, mirrored or scaled; widths scale with the square root of the area.
    #[must_use]
    pub fn transform(&self, affine: Affine) -> Self {
        let scale = affine.determinant().abs().sqrt();
        let move_line =
            |l: &Line| Line { path: affine * l.path.clone(), width: l.width.map(|w| w * scale), pen: l.pen };
        let move_open = |o: &OpenEnds| OpenEnds { from: affine * o.from, to: affine * o.to };
        let move_part = |p: &Part| Part {
            element: p.element.clone(),
            path: affine * p.path.clone(),
            filled: p.filled,
            open: p.open.iter().map(move_open).collect(),
        };
        Self {
            ink: self.ink.transform(affine),
            lines: self.lines.iter().map(move_line).collect(),
            parts: self.parts.iter().map(move_part).collect(),
        }
    }
}
