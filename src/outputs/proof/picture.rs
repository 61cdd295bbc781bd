//! The drawing of a job, in pieces that can be left out of the pages they do not touch.

use crate::geometry::Region;
use crate::outputs::clusters::clusters;
use crate::outputs::pdf::{Fragment, Ink, Pen};
use crate::plan::{Burn, Operation, Plan};
use crate::shop::OperationKind;
use kurbo::{Affine, BezPath, Rect, Shape};

/// Width of lines, in mm: a fine pen.
const LINE: f64 = 0.2;

/// Share of its colour that an engraved area is printed with: ink is dear, and lines must show on it.
const TINT: f64 = 0.45;

/// Colour of an operation whose own cannot be read.
const PLAIN: Ink = Ink::hex(0x33_3333);

/// The drawing of a job.
pub(super) struct Picture {
    items: Vec<Item>,
}

/// One thing on paper.
struct Item {
    path: BezPath,
    bounds: Rect,
    look: Look,
}

enum Look {
    Filled(Ink),
    Drawn(Pen),
}

impl Picture {
    /// The board, everything the runs burn, areas first so that lines stand on top, and the guides.
    pub fn of(plan: &Plan) -> Self {
        let edge = Pen::new(LINE / 2.0, PLAIN).dashed(&[1.0, 1.0]);
        let board = plan.board.iter().flat_map(Region::contours);
        let board = board.map(|contour| Item::new(contour.clone(), Look::Drawn(edge.clone())));
        let operations = || plan.runs.iter().flat_map(|run| &run.operations);
        let areas = operations().flat_map(|operation| match &operation.burn {
            Burn::Area(region) => area(region, tint(ink(operation))),
            Burn::Lines(_) => Vec::new(),
        });
        let lines = operations().flat_map(|operation| match &operation.burn {
            Burn::Area(_) => Vec::new(),
            Burn::Lines(lines) => {
                lines.iter().map(|path| Item::new(path.clone(), Look::Drawn(pen(operation)))).collect()
            }
        });
        Self { items: board.chain(areas).chain(lines).collect() }
    }

    /// The box around it all.
    pub fn bounds(&self) -> Option<Rect> {
        self.items.iter().map(|item| item.bounds).reduce(|a, b| a.union(b))
    }

    /// Whether anything of it lies in a box.
    pub fn touches(&self, rect: Rect) -> bool {
        self.items.iter().any(|item| item.lies_in(rect))
    }

    /// Draws what lies in `shown` with that box's corner at `at`; what reaches beyond the box is drawn too.
    pub fn draw(&self, fragment: &mut Fragment, shown: Rect, at: kurbo::Point) {
        let shift = Affine::translate(at - shown.origin());
        for item in self.items.iter().filter(|item| item.lies_in(shown)) {
            let path = shift * item.path.clone();
            match &item.look {
                Look::Filled(ink) => fragment.fill(&path, *ink),
                Look::Drawn(pen) => fragment.stroke(&path, pen.clone()),
            }
        }
    }
}

impl Item {
    fn new(path: BezPath, look: Look) -> Self {
        Self { bounds: path.bounding_box().inflate(LINE, LINE), path, look }
    }

    fn lies_in(&self, rect: Rect) -> bool {
        self.bounds.x0 < rect.x1
            && rect.x0 < self.bounds.x1
            && self.bounds.y0 < rect.y1
            && rect.y0 < self.bounds.y1
    }
}

fn area(region: &Region, ink: Ink) -> Vec<Item> {
    let joined = |cluster: Vec<&BezPath>| {
        let path = BezPath::from_vec(cluster.into_iter().flat_map(|c| c.elements().iter().copied()).collect());
        Item::new(path, Look::Filled(ink))
    };
    clusters(region).into_iter().map(joined).collect()
}

/// The line of an operation.
pub(super) fn pen(operation: &Operation) -> Pen {
    let pen = Pen::new(LINE, ink(operation));
    if operation.kind == OperationKind::Guide { pen.dashed(&[2.0, 1.5]) } else { pen }
}

/// The colour of an operation.
pub(super) fn ink(operation: &Operation) -> Ink {
    Ink::parse(&operation.colour).unwrap_or(PLAIN)
}

/// The colour of its areas.
pub(super) fn tint(ink: Ink) -> Ink {
    let paler = |channel: u8| (255.0 - (255.0 - f64::from(channel)) * TINT).round() as u8;
    Ink { red: paler(ink.red), green: paler(ink.green), blue: paler(ink.blue) }
}
