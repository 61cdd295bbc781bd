//! The puzzle key: every piece with its number, to count by and to lay the puzzle by.

use super::drawing::View;
use super::flow::Flow;
use super::panel;
use super::style::{BODY, INK, STRONG};
use super::text::clipped;
use crate::outputs::pdf::{Align, Fragment, Pen};
use crate::plan::{Plan, Puzzle};
use kurbo::{Point, Rect};

/// Height of a number's digits as a share of its room: two digits then fit into the circle.
const DIGITS_OF_ROOM: f64 = 0.75;

/// Writes the section, where there is a puzzle.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    let Some(puzzle) = plan.puzzle.as_ref().filter(|p| !p.pieces.is_empty()) else { return };
    let (width, height) = (flow.width(), flow.height());
    let bounds = puzzle.pieces.iter().filter_map(|p| p.outline.bounds()).reduce(|a, b| a.union(b));
    let Some(bounds) = bounds else { return };
    let facts = facts(puzzle, width);
    let frame = Rect::new(0.0, 0.0, width, height - facts.size.height - 22.0);
    let view = View::fit(bounds, frame);
    let shown = view.rect(bounds);
    let view = view.moved_to(Point::new((width - shown.width()) / 2.0, 0.0), bounds);
    let aside = format!("scale {}", view.ratio());
    flow.section("Puzzle key", &aside, facts.size.height + shown.height() + 4.0);
    flow.place(&facts);
    flow.gap(4.0);
    flow.place(&key(puzzle, view, width, shown.height()));
}

fn facts(puzzle: &Puzzle, width: f64) -> Fragment {
    let values = [
        ("pieces", puzzle.pieces.len().to_string()),
        ("rows × columns", format!("{} × {}", puzzle.rows, puzzle.columns)),
        ("seed", clipped(&puzzle.seed, 60)),
        ("narrowest neck", puzzle.narrowest_neck.to_string()),
        ("least undercut", puzzle.least_undercut.to_string()),
    ];
    panel::band(&values, 12.0, width)
}

fn key(puzzle: &Puzzle, view: View, width: f64, height: f64) -> Fragment {
    let mut key = Fragment::new(width, height);
    for piece in &puzzle.pieces {
        if let Some(outline) = view.region(&piece.outline) {
            key.stroke(&outline, Pen::new(0.25, INK));
        }
    }
    for piece in &puzzle.pieces {
        let at = view.point(piece.middle);
        let number = piece.number.to_string();
        let room = view.length(piece.room.get()).max(0.0);
        // Points of type from the height of a digit, then held between the smallest legible and a heading.
        let by_height = room * DIGITS_OF_ROOM / BODY.size(1.0).capital();
        let by_width = 1.5 * room / STRONG.size(1.0).width(&number).max(1e-6);
        let style = STRONG.size(by_height.min(by_width).clamp(5.0, 18.0));
        key.text(Point::new(at.x, at.y + style.capital() / 2.0), Align::Centre, &number, style);
    }
    key
}
