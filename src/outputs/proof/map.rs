//! The little map of all pages of a side, with their numbers: which goes where.

use super::page::{INK, SOFT};
use super::side::Side;
use crate::outputs::pdf::{Align, Fragment, Ink, Pen, Style, Weight};
use kurbo::{Affine, Point, Shape, Size, Vec2};

/// Room of the map, in mm.
pub(super) const SIZE: Size = Size::new(24.0, 19.0);

const HERE: Ink = Ink::hex(0x1d_4a50);
const NUMBER: Style = Style { weight: Weight::Regular, size: 6.5, ink: INK };

/// Cells narrower than this, in mm, have no room for a number.
const LEAST_CELL: f64 = 3.4;

/// An outline of more parts than this is left out of the map: nobody could see it.
const MOST_PARTS: usize = 400;

/// Draws the map with its right top corner at a point: the pages of the side, this one filled, those with nothing on them
/// dotted, and behind them the sheet and the board.
pub(super) fn draw(page: &mut Fragment, corner: Point, side: &Side, index: usize, first_page: usize) {
    let grid = side.tiling.grid();
    let scale = (SIZE.width / grid.width()).min(SIZE.height / grid.height());
    let on_map = Affine::scale(scale) * Affine::translate(-grid.origin().to_vec2());
    let frame = on_map.transform_rect_bbox(grid);
    let mut map = Fragment::new(frame.width(), frame.height());
    let sheet = on_map.transform_rect_bbox(side.sheet);
    if frame.inflate(0.1, 0.1).contains_rect(sheet) {
        map.stroke(&sheet, Pen::new(0.1, SOFT));
    }
    if let Some(board) = side.board().filter(|board| board.elements().len() <= MOST_PARTS) {
        let board = on_map * board;
        if frame.inflate(0.1, 0.1).contains_rect(board.bounding_box()) {
            map.stroke(&board, Pen::new(0.15, SOFT));
        }
    }
    for tile in side.tiling.tiles() {
        let cell = on_map.transform_rect_bbox(tile.trimmed).inset(-0.25);
        let printed = side.printed.iter().position(|t| (t.row, t.column) == (tile.row, tile.column));
        let Some(printed) = printed else {
            map.stroke(&cell, Pen::new(0.12, SOFT).dashed(&[0.4, 0.8]));
            continue;
        };
        let is_here = printed == index;
        if is_here {
            map.fill(&cell, HERE);
        }
        map.stroke(&cell, Pen::new(0.15, HERE));
        if cell.width().min(cell.height()) >= LEAST_CELL {
            let style = if is_here { NUMBER.ink(Ink::WHITE) } else { NUMBER };
            let at = cell.center() + Vec2::new(0.0, style.capital() / 2.0);
            map.text(at, Align::Centre, &(first_page + printed).to_string(), style);
        }
    }
    let tile = &side.printed[index];
    let alternative = format!(
        "A map of the {} pages of this side: this one is in row {}, column {}.",
        side.printed.len(),
        tile.row + 1,
        tile.column + 1
    );
    page.place(corner - Vec2::new(frame.width(), 0.0), &map.figure(alternative));
}
