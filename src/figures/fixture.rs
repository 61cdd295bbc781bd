//! Corners cut from scrap: the path of the beam that leaves the edges of the scrap on the edges of the sheet.

use super::bench::{Bench, positive};
use super::inlay::not_measured;
use super::placed::Figures;
use crate::diagnostics::Sink;
use crate::geometry::Drawing;
use crate::recipe::{Figure, FixtureOf, SheetCorner};
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect};

/// The path of the beam.
pub(super) fn make(
    fixture: &FixtureOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Drawing> {
    let (arm, width) = (positive(&fixture.arm, figures, sink), positive(&fixture.width, figures, sink));
    let (arm, _) = (arm?, width?);
    let stock = bench.recipe.chosen_stock()?;
    let Some(kerf) = stock.kerf else {
        sink.push(not_measured(stock, figure.head));
        return None;
    };
    Some(Drawing::of_bare_lines(vec![corner(figures.sheet(), fixture.corner, arm, kerf)]))
}

/// Along two edges of the sheet and half a kerf within it, so that what the beam takes away ends on the edges.
fn corner(sheet: Rect, corner: SheetCorner, arm: Mm, kerf: Mm) -> BezPath {
    let (x, right) = if corner.is_left() { (sheet.x0, 1.0) } else { (sheet.x1, -1.0) };
    let (y, down) = if corner.is_top() { (sheet.y0, 1.0) } else { (sheet.y1, -1.0) };
    let at = |along: f64, across: f64| Point::new(x + right * along, y + down * across);
    let (half, arm) = (kerf.get() / 2.0, arm.get());
    let mut path = BezPath::new();
    path.move_to(at(arm, half));
    path.line_to(at(half, half));
    path.line_to(at(half, arm));
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    #[test]
    fn half_a_kerf_beyond_the_path_lies_the_corner_of_the_sheet() {
        // Own arithmetic: the box of the path, grown by half the kerf, reaches to two edges of the sheet and no farther.
        let sheet = Rect::new(0.0, 0.0, 300.0, 200.0);
        let burned = |at| corner(sheet, at, Mm::new(80.0), Mm::new(0.16)).bounding_box().inflate(0.08, 0.08);
        for (at, wanted) in [
            (SheetCorner::LeftTop, [0.0, 0.0, 80.08, 80.08]),
            (SheetCorner::RightTop, [219.92, 0.0, 300.0, 80.08]),
            (SheetCorner::LeftBottom, [0.0, 119.92, 80.08, 200.0]),
            (SheetCorner::RightBottom, [219.92, 119.92, 300.0, 200.0]),
        ] {
            let found = burned(at);
            let found = [found.x0, found.y0, found.x1, found.y1];
            assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{at:?}: {found:?}");
        }
    }
}
