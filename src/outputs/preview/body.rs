//! What is left of a sheet once everything has fallen out of it that is cut out.
//!
//! As for beginnings in the waste, closed outlines of cuts are told by the even-odd rule: what lies inside one is a part,
//! what lies in an outline inside that is an opening. Seams are none of them: their pieces stay in their places.

use crate::geometry::{FillRule, Region};
use crate::plan::{Burn, Laid, Lay, Operation, Plan};
use crate::shop::OperationKind;
use kurbo::{BezPath, PathEl, Point, Rect, Shape};

/// An outline that differs by no more than this, in mm, is that of the board: it may lie half a kerf beside it.
const SAME_OUTLINE: f64 = 1.0;

/// Areas that differ by no more than this share are one.
const SAME_AREA: f64 = 0.01;

/// Marks that are looked at, of each operation, to see on which part they lie.
const MOST_MARKS: usize = 500;

/// What is left of a sheet, as seen from the front.
pub(super) struct Body {
    /// Its outline, by the even-odd rule.
    pub outline: BezPath,
    /// Its box.
    pub bounds: Rect,
}

impl Body {
    /// The finished piece, with what falls out of it; where no board is named, the parts that are cut out of the sheet if
    /// all that is burned lies on them, else the sheet.
    pub fn of(plan: &Plan, side: Lay) -> Self {
        let loops = loops(plan, side);
        let board = plan.board.as_ref().filter(|board| side.on == Laid::Sheet(1) && !board.is_empty());
        if let Some(board) = board {
            return Self::with_openings(board, &loops, plan, side);
        }
        let parts = inside(&loops);
        let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get().max(0.1), plan.sheet.height.get().max(0.1));
        let marks = marks(plan, side);
        if !parts.is_empty() && marks.iter().all(|&at| parts.contains(at)) {
            return Self { outline: parts.to_path(), bounds: parts.bounds().unwrap_or(sheet) };
        }
        match Region::from_path(&sheet.to_path(0.1), FillRule::NonZero) {
            Ok(whole) => Self::with_openings(&whole, &loops, plan, side),
            Err(_) => Self { outline: sheet.to_path(0.1), bounds: sheet },
        }
    }

    /// A piece without what is cut out of it whole and bears no marks.
    ///
    /// An outline that shares a line with others, or crosses them, is one of a jigsaw: what it encloses stays.
    fn with_openings(piece: &Region, loops: &[BezPath], plan: &Plan, side: Lay) -> Self {
        let bounds = piece.bounds().unwrap_or_default();
        let within: Vec<BezPath> = loops
            .iter()
            .filter(|l| !is_near(l.bounding_box(), bounds) && bounds.contains_rect(l.bounding_box()))
            .cloned()
            .collect();
        let marks = marks(plan, side);
        let openings = inside(&within).parts().into_iter().map(|part| part.without_holes()).filter(|opening| {
            within.iter().any(|outline| is_outline_of(outline, opening))
                && opening.interior_point().is_some_and(|(at, _)| piece.contains(at))
                && !marks.iter().any(|&at| opening.contains(at))
        });
        let openings = openings.flat_map(|opening| opening.to_path().into_iter().collect::<Vec<_>>());
        Self { outline: piece.to_path().into_iter().chain(openings).collect(), bounds }
    }

    /// Whether a point lies on it: inside an odd number of contours.
    pub fn contains(&self, at: Point) -> bool {
        let contours = self.outline.elements().chunk_by(|_, next| !matches!(next, PathEl::MoveTo(_)));
        contours.filter(|contour| BezPath::from_vec(contour.to_vec()).winding(at) != 0).count() % 2 == 1
    }
}

/// The closed outlines that are cut on a side, seams left out.
fn loops(plan: &Plan, side: Lay) -> Vec<BezPath> {
    let cuts = plan.on_side(side).filter(|(_, o)| o.kind == OperationKind::Cut && o.seams.is_none());
    cuts.flat_map(|(_, operation)| operation.clean_up.outlines.iter().cloned()).collect()
}

/// What lies inside outlines by the even-odd rule.
fn inside(loops: &[BezPath]) -> Region {
    let all = BezPath::from_vec(loops.iter().flat_map(|l| l.elements().iter().copied()).collect());
    Region::from_path(&all, FillRule::EvenOdd).unwrap_or_default()
}

fn is_near(a: Rect, b: Rect) -> bool {
    [a.x0 - b.x0, a.y0 - b.y0, a.x1 - b.x1, a.y1 - b.y1].iter().all(|off| off.abs() < SAME_OUTLINE)
}

fn is_outline_of(outline: &BezPath, opening: &Region) -> bool {
    let (drawn, found) = (outline.area().abs(), opening.area().get());
    opening.bounds().is_some_and(|bounds| is_near(outline.bounding_box(), bounds))
        && (drawn - found).abs() <= SAME_AREA * drawn
}

/// Places of what is engraved or scored on a side: where its outlines and lines begin. Register marks are left out, which
/// lie beside the piece.
fn marks(plan: &Plan, side: Lay) -> Vec<Point> {
    let is_register = |name: &String| plan.figures.iter().any(|f| f.name == *name && f.kind == "register");
    let shows = |operation: &&Operation| {
        matches!(operation.kind, OperationKind::Engrave | OperationKind::Score)
            && !operation.figures.iter().all(is_register)
    };
    plan.on_side(side).map(|(_, operation)| operation).filter(shows).flat_map(begins).collect()
}

fn begins(operation: &Operation) -> Vec<Point> {
    let paths = match &operation.burn {
        Burn::Area(region) => region.contours(),
        Burn::Lines(lines) => lines,
        Burn::Dots(dots) => return vec![dots.bounds.center()],
    };
    let every = paths.len().div_ceil(MOST_MARKS).max(1);
    paths.iter().step_by(every).filter_map(|path| path.elements().first()?.end_point()).collect()
}
