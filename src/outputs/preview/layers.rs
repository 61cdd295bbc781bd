//! What lies in a picture, from the lowest: the floor and the frame of a tray, the piece, the inserts let into it.

use super::body::Body;
use super::shown;
use crate::plan::{Burn, FigureUsed, InlayUsed, Laid, Lay, Operation, Plan};
use crate::shop::OperationKind;
use kurbo::{Affine, BezPath, Point, Rect, Shape, Size};
use std::borrow::Cow;

/// An insert has to come to lie within this of its pocket, in mm.
const FITS: f64 = 1.0;

/// A piece of stock in a picture.
pub(super) struct Layer<'a> {
    /// Its outline, by the even-odd rule.
    pub outline: BezPath,
    /// What is burned on it.
    pub operations: Vec<Cow<'a, Operation>>,
    /// How far it stands out from what lies below, in mm.
    pub height: f64,
    /// What its grain is drawn from.
    pub wood: String,
    /// Whether its grain runs across that of the others.
    pub is_across: bool,
}

/// A side of a sheet: what is left of it, with the inserts in their pockets.
pub(super) fn of_side(plan: &Plan, side: Lay) -> Vec<Layer<'_>> {
    let piece = Layer {
        outline: side.movement() * Body::of(plan, side).outline,
        operations: shown::operations(plan, side),
        height: plan.stock.thickness.get(),
        wood: wood(plan, side),
        is_across: false,
    };
    std::iter::once(piece).chain(inserts(plan, side)).collect()
}

/// How large what is left of a side is, in mm.
pub(super) fn size(plan: &Plan, side: Lay) -> Size {
    Body::of(plan, side).bounds.size()
}

/// The piece in its tray, where both parts of that are cut around it; `None` where they are not.
pub(super) fn in_tray(plan: &Plan) -> Option<Vec<Layer<'_>>> {
    let board = plan.board.as_ref()?;
    let (bounds, (middle, _)) = (board.bounds()?, board.interior_point()?);
    let is_tray = |name: &String| plan.figures.iter().any(|f| f.name == *name && f.kind == "tray");
    let cuts_tray = |side: &Lay| {
        let mut cuts = plan.on_side(*side).filter(|(_, o)| o.kind == OperationKind::Cut);
        side.turned.is_none() && cuts.any(|(_, o)| o.figures.iter().any(is_tray))
    };
    let parts: Vec<(Lay, Body)> =
        plan.sides().into_iter().filter(cuts_tray).map(|side| (side, Body::of(plan, side))).collect();
    let around = |is_floor: bool| {
        let fits =
            |(_, body): &&(Lay, Body)| body.bounds.contains_rect(bounds) && body.contains(middle) == is_floor;
        parts.iter().find(fits).map(|(side, _)| *side)
    };
    let (floor, frame) = (around(true)?, around(false)?);
    let below = of_side(plan, floor).into_iter().chain(of_side(plan, frame));
    Some(below.chain(of_side(plan, Lay::default())).collect())
}

/// Every side of every sheet has its own grain.
fn wood(plan: &Plan, side: Lay) -> String {
    let sheet = match side.on {
        Laid::Sheet(1) => String::new(),
        Laid::Sheet(number) => format!(" sheet {number}"),
        Laid::Scrap => " scrap".to_owned(),
    };
    format!("{}{sheet}{}", plan.slug, if side.turned.is_some() { " back" } else { "" })
}

/// The inserts of the pockets that are cut on a side, laid in, all as one layer.
fn inserts(plan: &Plan, side: Lay) -> Option<Layer<'_>> {
    let pockets = plan.figures.iter().filter(|figure| {
        figure.inlay.as_ref().is_some_and(|inlay| !inlay.is_insert)
            && plan.on_side(side).any(|(_, o)| o.kind == OperationKind::Cut && o.figures.contains(&figure.name))
    });
    let laid: Vec<Insert> = pockets.filter_map(|pocket| Insert::of(plan, pocket)).collect();
    let first = laid.first()?;
    let is_face = side.turned.is_none();
    let movement = |insert: &Insert| side.movement() * insert.movement;
    let operations = laid.iter().flat_map(|insert| insert.operations(plan, movement(insert), is_face));
    let outline = laid.iter().flat_map(|insert| movement(insert) * insert.outline(plan)).collect();
    Some(Layer {
        operations: operations.map(Cow::Owned).collect(),
        outline,
        height: 0.0,
        wood: format!("{} insert{}", plan.slug, if is_face { "" } else { " back" }),
        is_across: first.is_turned(),
    })
}

/// An insert, and the way from where it is cut into its pocket.
struct Insert {
    figure: String,
    from: Rect,
    movement: Affine,
}

impl Insert {
    /// The insert of a pocket, where it is cut in this job.
    fn of(plan: &Plan, pocket: &FigureUsed) -> Option<Self> {
        let opening = pocket.inlay.as_ref()?;
        let is_mate = |inlay: &InlayUsed| inlay.is_insert && inlay.of == opening.of;
        let mate = plan.figures.iter().find(|f| f.inlay.as_ref().is_some_and(is_mate))?;
        let movement = opening.movement * mate.inlay.as_ref()?.movement.inverse();
        let (from, to) = (mate.bounds?, pocket.bounds?);
        let off = movement.transform_rect_bbox(from).center() - to.center();
        (off.hypot() < FITS).then(|| Self { figure: mate.name.clone(), from: from.inflate(0.01, 0.01), movement })
    }

    fn is_turned(&self) -> bool {
        let along = self.movement * Point::new(1.0, 0.0) - self.movement * Point::ORIGIN;
        along.y.abs() > along.x.abs()
    }

    /// Its outline, where it is cut.
    fn outline(&self, plan: &Plan) -> BezPath {
        let cuts = plan.runs.iter().flat_map(|run| &run.operations);
        let cuts = cuts.filter(|o| o.kind == OperationKind::Cut && o.figures.contains(&self.figure));
        let outlines = cuts.flat_map(|o| &o.clean_up.outlines);
        outlines.filter(|o| self.from.contains_rect(o.bounding_box())).flat_map(BezPath::iter).collect()
    }

    /// What is burned on it, where it is laid; of its other side, only the cuts.
    fn operations(&self, plan: &Plan, movement: Affine, is_face: bool) -> Vec<Operation> {
        let sides: Vec<Lay> = plan.sides();
        let cut_on = |side: &&Lay| plan.on_side(**side).any(|(_, o)| o.figures.contains(&self.figure));
        let Some(&side) = sides.iter().find(cut_on) else { return Vec::new() };
        let face = Lay { turned: None, ..side };
        let all = plan.on_side(face).map(|(_, operation)| operation);
        let seen = all.filter(|o| o.kind != OperationKind::Guide && (is_face || o.kind == OperationKind::Cut));
        seen.filter_map(|operation| self.moved(operation, movement)).collect()
    }

    /// What of an operation lies on it, moved along; photos are left out, because dots lie in level rows.
    fn moved(&self, operation: &Operation, movement: Affine) -> Option<Operation> {
        let lies_on = |path: &&BezPath| self.from.overlaps(path.bounding_box());
        let burn = match &operation.burn {
            Burn::Dots(_) => return None,
            Burn::Area(region) => {
                let near = region.contours().iter().filter(lies_on).cloned().collect();
                Burn::Area(crate::geometry::Region::from_clean_contours(near).transform(movement))
            }
            Burn::Lines(lines) => {
                Burn::Lines(lines.iter().filter(lies_on).map(|line| movement * line.clone()).collect())
            }
        };
        Some(Operation { burn, ..operation.clone() })
    }
}
