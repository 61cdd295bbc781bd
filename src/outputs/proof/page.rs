//! One page of the proof: its part of the drawing, crop marks, and the foot that says where it belongs.

use super::foot::{self, Says};
use super::side::Side;
use super::tiling::{MARGIN, Tile};
use crate::outputs::pdf::{Artifact, Fragment, Ink, Page, Pen, Role};
use crate::units::Mm;
use kurbo::{Point, Rect};

pub(super) const INK: Ink = Ink::hex(0x1a_1a1a);
pub(super) const SOFT: Ink = Ink::hex(0x55_5555);
const JOIN: Ink = Ink::hex(0x8a_8a8a);

/// Length of crop marks and their distance from the drawing, in mm.
const CROP: (f64, f64) = (6.0, 1.5);

/// Where the pages and drawings of a side stand in the file.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// The number of its first page, from 1.
    pub first_page: usize,
    /// The number of its first drawing, from 0.
    pub first_drawing: usize,
    /// Whether its tiles are printed; else a page says that they are too many.
    pub is_printed: bool,
}

impl Place {
    /// How many pages the side takes.
    pub fn count(&self, side: &Side) -> usize {
        if self.is_printed { side.printed.len() } else { 1 }
    }
}

/// All pages of a side; `count` pages are in the whole file.
pub(super) fn of_side(side: &Side, place: Place, count: usize) -> Vec<Page> {
    if place.is_printed {
        (0..side.printed.len()).map(|index| tile(side, place, index, count)).collect()
    } else {
        vec![too_large(side, place, count)]
    }
}

/// A page with one tile on it.
fn tile(side: &Side, place: Place, index: usize, count: usize) -> Page {
    let (tile, frame) = (&side.printed[index], side.tiling.frame());
    let mut page = Fragment::new(side.tiling.paper.width, side.tiling.paper.height);
    let on_page = |rect: Rect| rect + (frame.origin() - tile.shown.origin());
    page.begin(Role::Section);
    let shown = drawn(side, tile, place.first_drawing).figure(alternative(side, tile));
    page.place(frame.origin(), &shown);
    let mut edges = Fragment::new(page.size.width, page.size.height);
    cover_margins(&mut edges, frame);
    if 1 < side.tiling.count() {
        joins(&mut edges, frame, on_page(tile.trimmed));
        crop_marks(&mut edges, frame, on_page(tile.trimmed));
    }
    page.place((0.0, 0.0), &edges.artifact(Artifact::Page));
    foot::write(&mut page, side, &Says { index, first_page: place.first_page, count });
    page.end();
    let name = side.name();
    let of_many = if 1 < side.printed.len() {
        format!("{name} – row {}, column {}", tile.row + 1, tile.column + 1)
    } else {
        name
    };
    Page { content: page, bookmark: (1 < count).then_some(of_many) }
}

/// What a page shows of the drawing, at the left top corner of the frame.
fn drawn(side: &Side, tile: &Tile, first_drawing: usize) -> Fragment {
    let mut drawn = Fragment::new(tile.shown.width(), tile.shown.height());
    side.picture.draw(&mut drawn, tile.shown, Point::ORIGIN, first_drawing);
    drawn.stroke(&(side.sheet - tile.shown.origin().to_vec2()), sheet_edge());
    drawn
}

/// The same in words.
fn alternative(side: &Side, tile: &Tile) -> String {
    let place = |p: Point| format!("x {}, y {}", Mm::new(p.x), Mm::new(p.y));
    let (from, to) = (tile.shown.origin(), Point::new(tile.shown.x1, tile.shown.y1));
    let of_many = match side.printed.len() {
        1 => String::new(),
        _ => format!(", row {}, column {}", tile.row + 1, tile.column + 1),
    };
    format!(
        "What is burned, at full size: {}{of_many}, from {} to {}, from the left top corner, x to the right and y down.",
        side.name(),
        place(from),
        place(to)
    )
}

/// The one page of a side that would take too many.
fn too_large(side: &Side, place: Place, count: usize) -> Page {
    let mut page = Fragment::new(side.tiling.paper.width, side.tiling.paper.height);
    page.begin(Role::Section);
    foot::refuse(&mut page, side, place.first_page, count);
    page.end();
    Page { content: page, bookmark: (1 < count).then(|| side.name()) }
}

/// The edge of the stock, as it is drawn.
pub(super) fn sheet_edge() -> Pen {
    Pen::new(0.15, SOFT).dashed(&[2.5, 1.0])
}

/// Paper over what reaches beyond the frame, and over the paper's own edge.
fn cover_margins(page: &mut Fragment, frame: Rect) {
    let whole = Rect::from_origin_size(Point::ORIGIN, page.size).inflate(MARGIN, MARGIN);
    for cover in [
        Rect { y1: frame.y0, ..whole },
        Rect { y0: frame.y1, ..whole },
        Rect { x1: frame.x0, ..whole },
        Rect { x0: frame.x1, ..whole },
    ] {
        page.fill(&cover, Ink::WHITE);
    }
}

/// Where this page meets its neighbours: trim one page here and lay it on the other's line.
fn joins(page: &mut Fragment, frame: Rect, trimmed: Rect) {
    let pen = || Pen::new(0.12, JOIN).dashed(&[1.0, 2.0]);
    let inner = frame.inset(-1.0);
    for x in [trimmed.x0, trimmed.x1].into_iter().filter(|&x| inner.x0 < x && x < inner.x1) {
        page.line((x, frame.y0), (x, frame.y1), pen());
    }
    for y in [trimmed.y0, trimmed.y1].into_iter().filter(|&y| inner.y0 < y && y < inner.y1) {
        page.line((frame.x0, y), (frame.x1, y), pen());
    }
}

fn crop_marks(page: &mut Fragment, frame: Rect, trimmed: Rect) {
    let (length, gap) = CROP;
    let pen = || Pen::new(0.15, INK);
    for x in [trimmed.x0, trimmed.x1] {
        page.line((x, frame.y0 - gap), (x, frame.y0 - gap - length), pen());
        page.line((x, frame.y1 + gap), (x, frame.y1 + gap + length), pen());
    }
    for y in [trimmed.y0, trimmed.y1] {
        page.line((frame.x0 - gap, y), (frame.x0 - gap - length, y), pen());
        page.line((frame.x1 + gap, y), (frame.x1 + gap + length, y), pen());
    }
}
