//! The board on the drawing of the sheet: its outline, how large it is, and the marks around it.

use super::drawing::{View, across, upright};
use super::set_up::Start;
use super::style::{INK, SMALL, STRONG};
use super::wording::{place, size};
use crate::geometry::Region;
use crate::outputs::pdf::{Align, Cell, Fragment, Ink, Pen, Word};
use crate::plan::{Burn, Plan};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, BezPath, Point, Rect};

/// How far inside the board its dimension lines stand, on paper, in mm, and how near to a start point they may come.
const INSIDE: f64 = 12.0;
const CLEAR: f64 = 8.0;
/// A board less wide or high than this on paper, in mm, has no room for them; the table has its size all the same.
const LEAST: f64 = 48.0;

/// The outline, white within.
pub(super) fn outline(drawing: &mut Fragment, view: View, plan: &Plan) {
    if let Some(board) = plan.board.as_ref().and_then(|board| view.region(board)) {
        drawing.fill(&board, Ink::WHITE);
        drawing.stroke(&board, Pen::new(0.3, INK));
    }
}

/// The corner marks that runs burn on the sheet, each as it lies then.
pub(super) fn marks(drawing: &mut Fragment, view: View, plan: &Plan) {
    for run in &plan.runs {
        let to_sheet = Affine::translate(plan.page_to_sheet(run));
        for operation in run.operations.iter().filter(|operation| plan.is_marks(operation)) {
            let Burn::Lines(lines) = &run.on_page(operation).burn else { continue };
            let drawn: BezPath = lines.iter().flat_map(|line| view.path(&(to_sheet * line.clone()))).collect();
            drawing.stroke(&drawn, Pen::new(0.6, INK));
        }
    }
}

/// How wide and how high the board is, where there is room for it inside.
pub(super) fn lengths(drawing: &mut Fragment, view: View, plan: &Plan, starts: &[Start]) {
    let Some(bounds) = plan.board.as_ref().and_then(Region::bounds) else { return };
    let shown = view.rect(bounds);
    if shown.width().min(shown.height()) < LEAST {
        return;
    }
    let taken: Vec<Point> = starts.iter().map(|start| view.point(start.at)).collect();
    let free = |of: fn(&Point) -> f64, at: f64| taken.iter().all(|p| CLEAR < (of(p) - at).abs());
    let (y, x) = (shown.y0 + INSIDE, shown.x0 + INSIDE);
    let (width, height) = (Mm::new(bounds.width()), Mm::new(bounds.height()));
    let inches = |length: Mm| format!("{} in", fixed(length.inches(), 3));
    if free(|p| p.y, y) {
        let label = format!("{width} ({})", inches(width));
        across(drawing, shown.origin(), Point::new(shown.x1, shown.y0), y, &label);
    }
    if free(|p| p.x, x) {
        let foot = Point::new(shown.x0, shown.y1);
        upright(drawing, shown.origin(), foot, x, &[&height.to_string(), &inches(height)], Align::Left);
    }
}

/// The row of the board in the table of places.
pub(super) fn row(plan: &Plan) -> Option<Vec<Cell>> {
    let bounds: Rect = plan.board.as_ref()?.bounds()?;
    let cell = |text: String| vec![Word::new(text, SMALL)];
    let over = size(Mm::new(bounds.width()), Mm::new(bounds.height()));
    Some(vec![vec![Word::new("board", STRONG)], vec![], vec![], cell(place(bounds.origin())), cell(over)])
}
