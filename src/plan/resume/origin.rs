//! How a remainder is started so that it falls into register.
//!
//! A machine that starts from what a file burns finds another middle and other corners in the file of the remainder. Where the
//! corner marks of the run give it its box, they are burned once more, in the same place, and everything is as it was; else
//! the head has to be put over another point, which is told.

use super::measured_again;
use crate::plan::SAME_PLACE;
use crate::plan::model::{Operation, Plan, Run};
use crate::shop::StartPoint;
use kurbo::{Point, Rect, Vec2};

/// How a remainder is started in register.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BackTo {
    /// From the corner of the page, as the run.
    Page,
    /// From the same point of what it burns, which lies where that of the run lies.
    SamePoint,
    /// From the same point of what it burns, which lies elsewhere: so far from that of the run, on the page.
    Moved(Vec2),
}

/// How what is left is started, and the marks that have to be burned before it for that.
pub(super) fn back_to(plan: &Plan, run: &Run, left: &[Operation]) -> (BackTo, Option<Operation>) {
    let start = plan.start_of(run);
    if start == StartPoint::Page {
        return (BackTo::Page, None);
    }
    let point = |operations: &mut dyn Iterator<Item = &Operation>| -> Option<Point> {
        let burned: Option<Rect> = operations.filter_map(|o| o.bounds).reduce(|a, b| a.union(b));
        start.of(run.movement().transform_rect_bbox(burned?))
    };
    let (Some(at), Some(was)) = (point(&mut left.iter()), run.burned_on_page().and_then(|b| start.of(b))) else {
        return (BackTo::Page, None);
    };
    let is_same = |at: Point| at.distance(was) <= SAME_PLACE.get();
    if is_same(at) {
        return (BackTo::SamePoint, None);
    }
    let marks = run.operations.iter().filter(|o| plan.is_marks(o)).find(|marks| {
        let mut with = left.iter().chain([*marks]);
        point(&mut with).is_some_and(is_same)
    });
    match marks {
        Some(marks) => {
            let mut marks = marks.clone();
            measured_again(&mut marks, plan);
            (BackTo::SamePoint, Some(marks))
        }
        None => (BackTo::Moved(at - was), None),
    }
}
