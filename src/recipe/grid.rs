//! Where the cells of a `repeat` lie on the sheet.

use crate::schema::Choice;
use crate::units::Mm;
use kurbo::Rect;

/// Where a grid may lie.
pub(super) static ALIGNS: &[Choice] = &[
    Choice { word: "centre", about: "in the middle of the sheet" },
    Choice { word: "left-top", about: "in the left top corner, a margin from the edges" },
];

/// Lengths that differ by less (mm) are one: a sheet that is filled exactly is filled.
const SPARE: f64 = 1e-6;

/// A sheet and what is to lie on it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    /// Width and height of the sheet.
    pub sheet: (Mm, Mm),
    /// Width and height of a cell.
    pub cell: (Mm, Mm),
    /// Distance between cells.
    pub gap: Mm,
    /// Distance from the edges of the sheet at least.
    pub margin: Mm,
    /// Cells side by side; as many as fit without it.
    pub across: Option<usize>,
    /// Where it lies.
    pub align: &'static str,
}

/// Why cells do not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Needed {
    /// Not one does.
    Nothing,
    /// Not so many side by side.
    Across {
        /// How many do.
        fit: usize,
    },
    /// Not so many in all.
    Sheets {
        /// How many do.
        fit: usize,
        /// How many sheets they take.
        sheets: usize,
    },
}

impl Grid {
    /// How many cells of a length fit on a side of the sheet: ⌊(W − 2 m + g) / (w + g)⌋.
    fn fit(&self, side: Mm, cell: Mm) -> usize {
        let free = side - self.margin * 2.0 + self.gap;
        let count = ((free.get() + SPARE) / (cell + self.gap).get()).floor();
        if count.is_finite() && count > 0.0 { count.min(1e6) as usize } else { 0 }
    }

    /// The boxes of so many cells, row by row.
    ///
    /// # Errors
    /// Says how many fit.
    pub fn place(&self, count: usize) -> Result<Vec<Rect>, Needed> {
        let (columns, rows) = (self.fit(self.sheet.0, self.cell.0), self.fit(self.sheet.1, self.cell.1));
        if columns == 0 || rows == 0 {
            return Err(Needed::Nothing);
        }
        let across = self.across.unwrap_or(columns);
        if across > columns {
            return Err(Needed::Across { fit: columns });
        }
        let fit = across * rows;
        if count > fit {
            return Err(Needed::Sheets { fit, sheets: count.div_ceil(fit) });
        }
        let (across, down) = (across.min(count), count.div_ceil(across));
        let start = |side: Mm, cell: Mm, cells: usize| {
            let taken = (cell + self.gap) * cells as f64 - self.gap;
            if self.align == "left-top" { self.margin.get() } else { (side - taken).get() / 2.0 }
        };
        let (left, top) = (start(self.sheet.0, self.cell.0, across), start(self.sheet.1, self.cell.1, down));
        let (width, height) = (self.cell.0.get(), self.cell.1.get());
        let cell = |index: usize| {
            let x = left + (index % across) as f64 * (width + self.gap.get());
            let y = top + (index / across) as f64 * (height + self.gap.get());
            Rect::new(x, y, x + width, y + height)
        };
        Ok((0..count).map(cell).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(sheet: (f64, f64), cell: (f64, f64), gap: f64, margin: f64) -> Grid {
        Grid {
            sheet: (Mm::new(sheet.0), Mm::new(sheet.1)),
            cell: (Mm::new(cell.0), Mm::new(cell.1)),
            gap: Mm::new(gap),
            margin: Mm::new(margin),
            across: None,
            align: "centre",
        }
    }

    #[test]
    fn as_many_fit_as_can_be_counted() {
        // Parts of 30 x 20 mm, 2 mm apart and 3 mm from the edges of 100 x 60 mm: 3 x 2, by ⌊(W − 2 m + g) / (w + g)⌋.
        let grid = grid((100.0, 60.0), (30.0, 20.0), 2.0, 3.0);
        assert_eq!(grid.place(6).map(|cells| cells.len()), Ok(6));
        assert_eq!(grid.place(7), Err(Needed::Sheets { fit: 6, sheets: 2 }));
        assert_eq!(Grid { across: Some(4), ..grid }.place(4), Err(Needed::Across { fit: 3 }));
        assert_eq!(Grid { margin: Mm::new(40.0), ..grid }.place(1), Err(Needed::Nothing));
    }

    #[test]
    fn a_sheet_that_is_filled_exactly_is_filled() {
        let grid = grid((64.2, 21.4), (21.4, 21.4), 0.0, 0.0);
        assert_eq!(grid.place(3).map(|cells| cells.len()), Ok(3));
    }

    #[test]
    fn cells_lie_apart_on_the_sheet_and_in_its_middle() {
        let grid = grid((210.0, 100.0), (60.0, 25.0), 5.0, 5.0);
        let cells = grid.place(8).unwrap();
        let all = cells.iter().copied().reduce(|a, b| a.union(b)).unwrap();
        assert!((all.center().x - 105.0).abs() < 1e-9 && (all.center().y - 50.0).abs() < 1e-9, "{all:?}");
        for (i, a) in cells.iter().enumerate() {
            assert!((a.width() - 60.0).abs() < 1e-9 && (a.height() - 25.0).abs() < 1e-9);
            for b in &cells[..i] {
                let apart = (a.x0 - b.x1).max(b.x0 - a.x1).max(a.y0 - b.y1).max(b.y0 - a.y1);
                assert!(apart > 5.0 - 1e-9, "{a:?} {b:?}");
            }
        }
    }
}
