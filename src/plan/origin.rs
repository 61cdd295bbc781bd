//! Where a run is started, and what it reaches from there.
//!
//! All runs share the page, so whatever the point is that the head is put over, what lies there on the page has to lie
//! there on the sheet. A turned sheet need not lie on the page where the sheet lay: see [`Plan::sheet_on_page`].

use super::model::{Burn, Operation, Plan, Run};
use super::time::{Motion, run_up};
use crate::shop::{OperationKind, StartPoint};
use crate::units::Mm;
use kurbo::{Point, Rect, Vec2};

/// Two places nearer to each other than this are one: finer than any machine comes back to.
pub const SAME_PLACE: Mm = Mm::new(0.01);

/// What a run reaches on the page of its file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The box around the paths of the beam, by which machines find the start point.
    pub paths: Rect,
    /// The box around everything that is charred: half the kerf beside cuts, half the spot beside all else.
    pub charred: Rect,
    /// The box that the head takes, with the way in which it speeds up and brakes beside engraved rows.
    pub head: Rect,
}

impl Plan {
    /// The point that a run is started from: the recipe's, or else the machine's.
    pub fn start_of(&self, run: &Run) -> StartPoint {
        run.start.unwrap_or(self.machine.start)
    }

    /// That point on the page of the run's file; `None` when it burns nothing.
    pub fn start_on_page(&self, run: &Run) -> Option<Point> {
        Some(self.start_of(run).of(run.burned_on_page()?).unwrap_or(Point::ORIGIN))
    }

    /// That point from the left top corner of the sheet as it lies during the run.
    pub fn start_on_sheet(&self, run: &Run) -> Option<Point> {
        Some(self.start_on_page(run)? - self.sheet_on_page(run).origin().to_vec2())
    }

    /// The box of the sheet on the page of a run: beside the page where it was turned about a board off its middle.
    pub fn sheet_on_page(&self, run: &Run) -> Rect {
        let sheet = Rect::new(0.0, 0.0, self.sheet.width.get().max(0.0), self.sheet.height.get().max(0.0));
        run.movement().transform_rect_bbox(sheet)
    }

    /// From the page of a run to the sheet as it lies during it.
    pub fn page_to_sheet(&self, run: &Run) -> Vec2 {
        -self.sheet_on_page(run).origin().to_vec2()
    }

    /// Whether an operation burns only corner marks.
    pub fn is_marks(&self, operation: &Operation) -> bool {
        let kind = |name: &String| self.figures.iter().find(|f| f.name == *name).map(|f| f.kind);
        operation.kind != OperationKind::Guide
            && operation.figures.iter().all(|name| kind(name) == Some("register"))
    }

    /// What a run reaches; `None` when it burns nothing.
    pub fn reach(&self, run: &Run) -> Option<Reach> {
        let burning = run.operations.iter().filter(|o| o.kind != OperationKind::Guide);
        let boxes = burning.filter_map(|o| Some((o, run.movement().transform_rect_bbox(o.bounds?))));
        let of_one = |(operation, paths): (&Operation, Rect)| {
            let beside = self.half_width(operation).get();
            let way = self.way_beside_rows(operation).get();
            Reach { paths, charred: paths.inflate(beside, beside), head: paths.inflate(way, 0.0) }
        };
        let both = |a: Reach, b: Reach| Reach {
            paths: a.paths.union(b.paths),
            charred: a.charred.union(b.charred),
            head: a.head.union(b.head),
        };
        boxes.map(of_one).reduce(both)
    }

    /// How far what is burned reaches beside the path of the beam.
    fn half_width(&self, operation: &Operation) -> Mm {
        let kerf = operation.setting.as_ref().and_then(|setting| setting.kerf);
        kerf.unwrap_or(self.machine.spot) / 2.0
    }

    /// The way in which the head speeds up and brakes beside engraved rows.
    pub fn way_beside_rows(&self, operation: &Operation) -> Mm {
        match (&operation.burn, &operation.setting) {
            (Burn::Lines(_), _) | (_, None) => Mm::ZERO,
            // A machine that is asked for more goes as fast as it can.
            (_, Some(setting)) => run_up(setting.speed.min(self.machine.top_speed), &Motion::of(&self.machine)),
        }
    }
}
