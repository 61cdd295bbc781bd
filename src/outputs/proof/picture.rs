//! The drawing of one side, in pieces that can be left out of the pages they do not touch.

use crate::cache::{Cache, MadeFrom};
use crate::geometry::Region;
use crate::outputs::clusters::clusters;
use crate::outputs::pdf::{Drawing, Fragment, Ink, Pen, Sketch};
use crate::plan::{Burn, Dots, Laid, Lay, Operation, Plan};
use crate::raster::Plane;
use crate::shop::OperationKind;
use kurbo::{BezPath, Point, Rect, Shape};
use rayon::prelude::*;
use std::sync::Arc;

/// Width of lines, in mm: a fine pen.
const LINE: f64 = 0.2;

/// Share of its colour that an engraved area is printed with: ink is dear, and lines must show on it.
const TINT: f64 = 0.45;

/// Segments that are drawn and kept together.
const SHARE: usize = 2000;

/// Side of a photo's cells, in mm, and how many of them there are at most a side.
const CELL: f64 = 0.3;
const MOST_CELLS: f64 = 400.0;

/// Colour of an operation whose own cannot be read.
const PLAIN: Ink = Ink::hex(0x33_3333);

/// The drawing of a side.
pub(super) struct Picture {
    layers: Vec<Layer>,
}

/// A part of the board, or of an operation.
struct Layer {
    /// Boxes around its parts.
    boxes: Vec<Rect>,
    drawing: Arc<Drawing>,
}

/// One thing on paper.
struct Item {
    path: BezPath,
    look: Look,
}

#[derive(Debug)]
enum Look {
    Filled(Ink),
    /// Grey of that ink, so many cells across and down its box.
    Shaded(Ink, Plane),
    Drawn(Pen),
}

impl Picture {
    /// The board, everything that is burned on a side, areas first so that lines stand on top, and the guides, as they
    /// lie there. Operations that an earlier build has drawn are taken from `cache`.
    pub fn of(plan: &Plan, side: Lay, cache: &Cache) -> Self {
        let edge = Pen::new(LINE / 2.0, PLAIN).dashed(&[1.0, 1.0]);
        // The finished piece comes from the first sheet.
        let board = plan.board.iter().filter(|_| side.on == Laid::Sheet(1)).flat_map(Region::contours);
        let board =
            board.map(|contour| Item { path: side.movement() * contour.clone(), look: Look::Drawn(edge.clone()) });
        let seen: Vec<_> = plan.seen_on_side(side).map(|(_, operation)| operation).collect();
        let operations = || seen.iter().map(AsRef::as_ref);
        let areas = operations().filter_map(|operation| match &operation.burn {
            Burn::Area(region) => Some(area(region, tint(ink(operation)))),
            Burn::Dots(dots) => Some(vec![photo(dots, ink(operation))]),
            Burn::Lines(_) => None,
        });
        let lines = operations().filter_map(|operation| match &operation.burn {
            Burn::Area(_) | Burn::Dots(_) => None,
            Burn::Lines(lines) => Some(
                lines.iter().map(|path| Item { path: path.clone(), look: Look::Drawn(pen(operation)) }).collect(),
            ),
        });
        let all: Vec<Vec<Item>> = std::iter::once(board.collect()).chain(areas).chain(lines).collect();
        let shares: Vec<&[Item]> = all.iter().flat_map(|items| shares(items)).collect();
        Self { layers: shares.par_iter().map(|items| Layer::of(items, cache)).collect() }
    }

    /// The box around it all.
    pub fn bounds(&self) -> Option<Rect> {
        self.layers.iter().flat_map(|layer| &layer.boxes).copied().reduce(|a, b| a.union(b))
    }

    /// Whether anything of it lies in a box.
    pub fn touches(&self, rect: Rect) -> bool {
        self.layers.iter().any(|layer| layer.lies_in(rect))
    }

    /// Draws what lies in `shown` with that box's corner at `at`; what reaches beyond the box is drawn too. Its drawings
    /// are numbered from `first` in the document.
    pub fn draw(&self, fragment: &mut Fragment, shown: Rect, at: Point, first: usize) {
        let origin = at - shown.origin().to_vec2();
        for (number, layer) in (first..).zip(&self.layers) {
            if layer.lies_in(shown) {
                fragment.drawing(origin, number);
            }
        }
    }

    /// The drawings, in the order of their numbers.
    pub fn drawings(&self) -> impl Iterator<Item = Arc<Drawing>> + '_ {
        self.layers.iter().map(|layer| Arc::clone(&layer.drawing))
    }
}

impl Layer {
    fn of(items: &[Item], cache: &Cache) -> Self {
        let boxes = items.iter().map(|item| item.path.bounding_box().inflate(LINE, LINE)).collect();
        let made_from = items
            .iter()
            .fold(MadeFrom::kind("proof"), |made_from, item| made_from.shown(&item.look).path(&item.path));
        let drawing = cache.keep(made_from, || {
            let mut sketch = Sketch::default();
            for item in items {
                match &item.look {
                    Look::Filled(ink) => sketch.fill(&item.path, *ink),
                    Look::Shaded(ink, tones) => sketch.shade(item.path.bounding_box(), tones, *ink),
                    Look::Drawn(pen) => sketch.stroke(&item.path, pen),
                }
            }
            sketch.finish()
        });
        Self { boxes, drawing }
    }

    fn lies_in(&self, rect: Rect) -> bool {
        let lies_in = |b: &Rect| b.x0 < rect.x1 && rect.x0 < b.x1 && b.y0 < rect.y1 && rect.y0 < b.y1;
        self.boxes.iter().any(lies_in)
    }
}

/// Items in groups of a few thousand segments: an edit to one leaves the groups before it as they were.
fn shares(items: &[Item]) -> Vec<&[Item]> {
    let mut shares = Vec::new();
    let (mut start, mut segments) = (0, 0);
    for (index, item) in items.iter().enumerate() {
        segments += item.path.elements().len();
        if SHARE <= segments || index + 1 == items.len() {
            shares.push(&items[start..=index]);
            (start, segments) = (index + 1, 0);
        }
    }
    shares
}

fn area(region: &Region, ink: Ink) -> Vec<Item> {
    let joined = |cluster: Vec<&BezPath>| {
        let path = BezPath::from_vec(cluster.into_iter().flat_map(|c| c.elements().iter().copied()).collect());
        Item { path, look: Look::Filled(ink) }
    };
    clusters(region).into_iter().map(joined).collect()
}

/// A photo as tones: dots of a tenth of a millimetre would make a page of megabytes, and a printer has its own.
fn photo(dots: &Dots, ink: Ink) -> Item {
    let cells = |length: f64| (length / CELL).ceil().clamp(1.0, MOST_CELLS) as usize;
    let tones = dots.tones(cells(dots.bounds.width()), cells(dots.bounds.height()));
    Item { path: dots.bounds.to_path(0.1), look: Look::Shaded(ink, tones) }
}

/// The line of an operation.
pub(super) fn pen(operation: &Operation) -> Pen {
    let pen = Pen::new(LINE, ink(operation));
    if operation.kind == OperationKind::Guide { pen.dashed(&[2.0, 1.5]) } else { pen }
}

/// The colour of an operation.
pub(super) fn ink(operation: &Operation) -> Ink {
    Ink::parse(&operation.colour).unwrap_or(PLAIN)
}

/// The colour of its areas.
pub(super) fn tint(ink: Ink) -> Ink {
    ink.share(TINT)
}
