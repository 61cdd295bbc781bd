//! How a drawing is spread over pages.

use kurbo::{Rect, Size};

/// Left, right and upper edge that printers leave white, in mm; crop marks stand in it.
pub(super) const MARGIN: f64 = 10.0;

/// Lower edge, in mm: crop marks, scale bars, how to join, colours, then the printer's own margin.
pub(super) const FOOT: f64 = 42.0;

/// How much of the drawing two neighbours share, in mm: enough to glue.
pub(super) const OVERLAP: f64 = 10.0;

/// A drawing on a grid of pages.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tiling {
    /// The paper, turned as it is used.
    pub paper: Size,
    /// Pages beside each other.
    pub columns: usize,
    /// Pages below each other.
    pub rows: usize,
    /// What the whole grid shows, in mm on the sheet.
    grid: Rect,
}

/// One page of the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tile {
    /// Place in its row, from 0.
    pub column: usize,
    /// Row, from 0.
    pub row: usize,
    /// What it shows, in mm on the sheet.
    pub shown: Rect,
    /// What is left of it when it is trimmed: tiles meet exactly at these edges.
    pub trimmed: Rect,
}

impl Tiling {
    /// The grid of fewest pages that shows `what`, on upright paper where both ways need as many.
    pub fn of(what: Rect, paper: Size) -> Self {
        let upright = Self::on(what, paper);
        let across = Self::on(what, Size::new(paper.height, paper.width));
        if across.count() < upright.count() { across } else { upright }
    }

    fn on(what: Rect, paper: Size) -> Self {
        let frame = frame(paper);
        let (columns, width) = spread(what.width(), frame.width());
        let (rows, height) = spread(what.height(), frame.height());
        // What is left over is shared between both sides, so that the drawing stands in the middle.
        let grid = Rect::from_center_size(what.center(), (width, height));
        Self { paper, columns, rows, grid }
    }

    /// How many pages the grid has.
    pub fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// What all its pages show together, in mm on the sheet.
    pub fn grid(&self) -> Rect {
        self.grid
    }

    /// Where the drawing stands on each page, in mm on the paper.
    pub fn frame(&self) -> Rect {
        frame(self.paper)
    }

    /// All pages, row by row.
    pub fn tiles(&self) -> impl Iterator<Item = Tile> {
        (0..self.rows).flat_map(move |row| (0..self.columns).map(move |column| self.tile(row, column)))
    }

    fn tile(&self, row: usize, column: usize) -> Tile {
        let size = self.frame().size();
        let (step_x, step_y) = (size.width - OVERLAP, size.height - OVERLAP);
        let corner = self.grid.origin() + kurbo::Vec2::new(column as f64 * step_x, row as f64 * step_y);
        let shown = Rect::from_origin_size(corner, size);
        let cut = |joined: bool| if joined { OVERLAP / 2.0 } else { 0.0 };
        let trimmed = Rect::new(
            shown.x0 + cut(0 < column),
            shown.y0 + cut(0 < row),
            shown.x1 - cut(column + 1 < self.columns),
            shown.y1 - cut(row + 1 < self.rows),
        );
        Tile { column, row, shown, trimmed }
    }
}

fn frame(paper: Size) -> Rect {
    Rect::new(MARGIN, MARGIN, paper.width - MARGIN, paper.height - FOOT)
}

/// How many frames a length takes, and how much they show together.
fn spread(length: f64, frame: f64) -> (usize, f64) {
    let step = frame - OVERLAP;
    let count = ((length - OVERLAP) / step).ceil().clamp(1.0, 1e4);
    (count as usize, count * step + OVERLAP)
}

#[cfg(test)]
mod tests {
    use super::*;

    const A4: Size = Size::new(210.0, 297.0);

    #[test]
    fn what_fits_takes_one_page_turned_as_needed() {
        assert_eq!(Tiling::of(Rect::new(0.0, 0.0, 190.0, 245.0), A4).count(), 1);
        let wide = Tiling::of(Rect::new(5.0, 5.0, 240.0, 100.0), A4);
        assert_eq!((wide.count(), wide.paper.width), (1, 297.0));
    }

    #[test]
    fn trimmed_tiles_meet_and_cover_everything() {
        let what = Rect::new(-7.0, 12.0, 600.0, 431.0);
        let tiling = Tiling::of(what, A4);
        let tiles: Vec<Tile> = tiling.tiles().collect();
        assert_eq!(tiles.len(), tiling.count());
        let area: f64 = tiles.iter().map(|t| t.trimmed.area()).sum();
        let whole = tiles.iter().map(|t| t.trimmed).reduce(|a, b| a.union(b)).unwrap();
        // Equal areas: nothing is missing between them and nothing is there twice.
        assert!((area - whole.area()).abs() < 1e-6);
        assert!(whole.contains_rect(what));
        for tile in &tiles {
            assert!(tile.shown.contains_rect(tile.trimmed));
        }
    }

    #[test]
    fn neighbours_share_the_overlap() {
        let tiling = Tiling::of(Rect::new(0.0, 0.0, 300.0, 100.0), A4);
        let [a, b] = [0, 1].map(|column| tiling.tile(0, column));
        assert!((a.shown.x1 - b.shown.x0 - OVERLAP).abs() < 1e-9);
        assert!((a.trimmed.x1 - b.trimmed.x0).abs() < 1e-9);
    }
}
