//! Where the strokes of a run that cuts begin, by their numbers: to say later how far the run came.

use super::alternatives;
use super::drawing::{View, burned, disc};
use super::set_up::burned_on_sheet;
use super::style::{GHOST, HEADING, INK, LABEL, SOFT};
use super::text::heading;
use crate::outputs::pdf::{Align, Fragment, Ink, Pen, Role};
use crate::plan::{Burn, Operation, Plan, Run};
use crate::shop::OperationKind;
use kurbo::{ParamCurve, Point, Rect};

/// Height of the drawing's frame, in mm, and the least at which it is still legible.
const FRAME: f64 = 92.0;
const LEAST_FRAME: f64 = 58.0;
/// Room of its heading and margins, in mm.
const AROUND: f64 = 14.0;
/// More strokes than this are not looked at for a place for their number.
const MOST: usize = 5_000;
/// Of the strokes of an operation, every so manieth gets its number before the others.
const ROUND: usize = 10;

/// The drawing, in what is left of a page where that is enough; `None` for a run that cuts nothing but marks, or all in one
/// stroke.
pub(super) fn stroke_map(plan: &Plan, run: &Run, width: f64, room: f64) -> Option<Fragment> {
    let cuts = || run.operations.iter().filter(|o| o.kind == OperationKind::Cut && !plan.is_marks(o));
    if cuts().map(|o| o.numbers.len()).sum::<usize>() < 2 {
        return None;
    }
    let bounds = burned_on_sheet(plan, run)?;
    let mut title = heading("Where the strokes begin", HEADING, width, Role::Subheading);
    let height = if room < LEAST_FRAME + AROUND { FRAME } else { (room - AROUND).min(FRAME) };
    let frame = Rect::new(6.0, 0.0, width - 6.0, height);
    let view = View::fit(bounds, frame);
    let view = view.moved_to(Point::new((width - view.rect(bounds).width()) / 2.0, 0.0), bounds);
    let to_sheet = plan.page_to_sheet(run);
    let mut map = Fragment::new(width, view.rect(bounds).y1 + 4.0);
    let scale = format!("numbers as in the table; scale {}", view.ratio());
    title.text(Point::new(width, 3.6), Align::Right, &scale, LABEL);
    let moved = kurbo::Affine::translate(to_sheet);
    let on_sheet = |operation: &Operation| match &run.on_page(operation).burn {
        Burn::Lines(lines) => Burn::Lines(lines.iter().map(|l| moved * l.clone()).collect()),
        Burn::Area(area) => Burn::Area(area.transform(moved)),
        Burn::Dots(dots) => Burn::Area(dots.region.transform(moved)),
    };
    let mut starts: Vec<(bool, usize, Point)> = Vec::new();
    for operation in cuts() {
        let burn = on_sheet(operation);
        burned(&mut map, view, &burn, SOFT, 0.25);
        let Burn::Lines(lines) = &burn else { continue };
        let last = operation.numbers.len().saturating_sub(1);
        for (i, (number, line)) in operation.numbers.iter().zip(lines).enumerate() {
            let Some(start) = line.segments().next().map(|s| s.start()) else { continue };
            starts.push((i != 0 && i != last && !number.is_multiple_of(ROUND), *number, view.point(start)));
        }
    }
    starts.truncate(MOST);
    starts.sort_by_key(|s| (s.0, s.1));
    name(&mut map, &starts);
    title.stack(3.0, &map.figure(alternatives::stroke_map(plan, run)));
    Some(title)
}

/// Numbers the starts as far as there is room, in their order.
fn name(map: &mut Fragment, starts: &[(bool, usize, Point)]) {
    let style = LABEL.size(7.0).ink(INK);
    let mut taken: Vec<Rect> = Vec::new();
    for (_, number, at) in starts {
        map.fill(&disc(*at, 0.45), INK);
        let shown = number.to_string();
        let (w, h) = (style.width(&shown) + 0.8, style.capital() + 0.8);
        // Right below, left below, right above, left above: the first of them that is free.
        let places = [(0.6, 0.6), (-0.6 - w, 0.6), (0.6, -0.6 - h), (-0.6 - w, -0.6 - h)];
        let boxes = places.map(|(x, y)| Rect::from_origin_size((at.x + x, at.y + y), (w, h)));
        let Some(free) = boxes.into_iter().find(|b| taken.iter().all(|t| !t.overlaps(*b))) else { continue };
        taken.push(free);
        map.fill(&free, Ink::WHITE);
        map.stroke(&free, Pen::new(0.1, GHOST));
        map.text(Point::new(free.x0 + 0.4, free.y1 - 0.4), Align::Left, &shown, style);
    }
}
