//! The board on the drawing of the sheet: its outline, how large it is, and the marks around it.

use super::drawing::{View, across, upright};
use super::set_up::{Start, sheet_rect};
use super::style::{INK, SMALL, STRONG};
use super::wording::{place, size};
use crate::geometry::Region;
use crate::outputs::pdf::{Align, Cell, Fragment, Ink, Pen, Word};
use crate::plan::{Burn, Plan};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, BezPath, Point, Rect};

/// How far inside the board its dimension lines stand, on paper, in mm.
const INSIDE: f64 = 12.0;
/// Width of the label of a length, on paper, in mm.
const LABEL: f64 = 20.0;
/// Room of the name of a start point, on one side of it, and on all others, on paper, in mm.
const NAME: f64 = 30.0;
const CLEAR: f64 = 6.0;
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

/// How wide and how high the board is, where there is room for it inside, clear of start points and their names.
pub(super) fn lengths(drawing: &mut Fragment, view: View, plan: &Plan, starts: &[Start]) {
    let Some(bounds) = plan.board.as_ref().and_then(Region::bounds) else { return };
    let shown = view.rect(bounds);
    if shown.width().min(shown.height()) < LEAST {
        return;
    }
    let middle_of_sheet = view.rect(sheet_rect(plan)).center().x;
    let around_name = |at: Point| {
        let (left, right) = if middle_of_sheet < at.x { (NAME, CLEAR) } else { (CLEAR, NAME) };
        Rect::new(at.x - left, at.y - CLEAR, at.x + right, at.y + CLEAR)
    };
    let named: Vec<Rect> = starts.iter().map(|start| around_name(view.point(start.at))).collect();
    let free = |of: Rect| named.iter().all(|name| !name.overlaps(of));
    let inches = |length: Mm| format!("{} in", fixed(length.inches(), 3));
    let (width, height) = (Mm::new(bounds.width()), Mm::new(bounds.height()));

    let middle = shown.center();
    let line = |y: f64| Rect::new(shown.x0, y - 1.0, shown.x1, y + 1.0);
    let edges = [(shown.y0 + INSIDE, shown.y0), (shown.y1 - INSIDE, shown.y1)];
    if let Some((y, edge)) = edges.into_iter().find(|&(y, _)| free(line(y)) && free(beside(middle.x, y))) {
        let label = format!("{width} ({})", inches(width));
        across(drawing, Point::new(shown.x0, edge), Point::new(shown.x1, edge), y, &label);
    }
    let line = |x: f64| Rect::new(x - 1.0, shown.y0, x + 1.0, shown.y1);
    let half = LABEL / 2.0;
    let edges =
        [(shown.x0 + INSIDE, half, shown.x0, Align::Left), (shown.x1 - INSIDE, -half, shown.x1, Align::Right)];
    let clear = |&(x, aside, ..): &(f64, f64, f64, Align)| free(line(x)) && free(beside(x + aside, middle.y));
    if let Some((x, _, edge, side)) = edges.into_iter().find(clear) {
        let labels = [&*height.to_string(), &*inches(height)];
        upright(drawing, Point::new(edge, shown.y0), Point::new(edge, shown.y1), x, &labels, side);
    }
}

/// The room of a length's label around a point.
fn beside(x: f64, y: f64) -> Rect {
    Rect::from_center_size((x, y), (LABEL, 9.0))
}

/// The row of the board in the table of places.
pub(super) fn row(plan: &Plan) -> Option<Vec<Cell>> {
    let bounds: Rect = plan.board.as_ref()?.bounds()?;
    let cell = |text: String| vec![Word::new(text, SMALL)];
    let over = size(Mm::new(bounds.width()), Mm::new(bounds.height()));
    Some(vec![vec![Word::new("board", STRONG)], vec![], vec![], cell(place(bounds.origin())), cell(over)])
}
