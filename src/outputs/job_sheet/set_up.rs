//! Set-up: the bed and the sheet to scale, and the point from which each run is started.

use super::alternatives;
use super::bed;
use super::board;
use super::drawing::{View, across, tag, tag_on, target, upright};
use super::flow::Flow;
use super::lay;
use super::style::{BODY, INK, LABEL, SMALL, SOFT, STRONG, TINT};
use super::table::{column, table};
use super::text::{clipped, fit_line};
use super::wording::{both, place, place_in_inches, size};
use crate::geometry::Region;
use crate::outputs::pdf::{Align, Cell, Fragment, Pen, Word};
use crate::plan::{Plan, Run, SAME_PLACE};
use crate::shop::StartPoint;
use crate::units::Mm;
use kurbo::{Affine, BezPath, Point, Rect};

/// The boxes of more runs than this are not named in the drawing.
const MOST_TAGS: usize = 6;

/// More start points than are labelled in the drawing; the table has them all.
const MOST_SHOWN: usize = 4;

/// What a start point is, in words.
pub(super) const fn start_words(start: StartPoint) -> &'static str {
    match start {
        StartPoint::Centre => "middle of what the run burns",
        StartPoint::LeftTop => "left top corner of what the run burns",
        StartPoint::RightTop => "right top corner of what the run burns",
        StartPoint::LeftBottom => "left bottom corner of what the run burns",
        StartPoint::RightBottom => "right bottom corner of what the run burns",
        StartPoint::Page => "left top corner of the sheet",
    }
}

/// What a run burns, from the left top corner of the sheet as it lies then.
pub(super) fn burned_on_sheet(plan: &Plan, run: &Run) -> Option<Rect> {
    Some(run.burned_on_page()? + plan.page_to_sheet(run))
}

/// The board as it lies on the sheet during a run.
pub(super) fn board_on_sheet(plan: &Plan, run: &Run) -> Option<Region> {
    let movement = Affine::translate(plan.page_to_sheet(run)) * run.movement();
    Some(plan.board.as_ref()?.transform(movement))
}

/// What the start points of all runs are, in words.
pub(super) fn starts_in_words(plan: &Plan) -> String {
    let mut all: Vec<(StartPoint, Vec<String>)> = Vec::new();
    for run in &plan.runs {
        let start = plan.start_of(run);
        match all.iter_mut().find(|(of, _)| *of == start) {
            Some((_, runs)) => runs.push(run.number.to_string()),
            None => all.push((start, vec![run.number.to_string()])),
        }
    }
    match all.as_slice() {
        [] => start_words(plan.machine.start).to_owned(),
        [(only, _)] => start_words(*only).to_owned(),
        _ => {
            let words = all.iter().map(|(of, runs)| format!("run {}: {}", runs.join(", "), start_words(*of)));
            words.collect::<Vec<_>>().join("; ")
        }
    }
}

/// A start point and the runs that share it.
pub(super) struct Start {
    /// Where it lies on the sheet.
    pub at: Point,
    runs: Vec<usize>,
}

impl Start {
    fn label(&self) -> String {
        let numbers: Vec<String> = self.runs.iter().map(usize::to_string).collect();
        let (shown, more) = (numbers.iter().take(6).cloned().collect::<Vec<_>>().join(", "), 6 < numbers.len());
        format!(
            "start of {} {shown}{}",
            if numbers.len() == 1 { "run" } else { "runs" },
            if more { " …" } else { "" }
        )
    }
}

fn starts(plan: &Plan) -> Vec<Start> {
    let mut starts: Vec<Start> = Vec::new();
    for run in &plan.runs {
        let Some(at) = plan.start_on_sheet(run) else { continue };
        match starts.iter_mut().find(|s| s.at.distance(at) <= SAME_PLACE.get()) {
            Some(start) => start.runs.push(run.number),
            None => starts.push(Start { at, runs: vec![run.number] }),
        }
    }
    starts
}

/// Writes the section.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    let starts = starts(plan);
    let width = flow.width();
    flow.turn();
    flow.section("Set-up", "lengths from the sheet’s left top corner, x to the right, y down", 60.0);
    flow.place(&sheet_drawing(plan, &starts, width).figure(alternatives::set_up(plan)));
    flow.gap(3.0);
    flow.table(&places(plan, width));
    flow.gap(5.0);
    flow.place(&bed::bed_and_steps(plan, &starts, width));
}

pub(super) fn sheet_rect(plan: &Plan) -> Rect {
    Rect::new(0.0, 0.0, plan.sheet.width.get().max(0.0), plan.sheet.height.get().max(0.0))
}

/// The sheet and what hangs over its edges, should anything.
fn everything(plan: &Plan, sheet: Rect) -> Rect {
    let board = plan.board.as_ref().and_then(Region::bounds);
    let burned = plan.runs.iter().filter_map(|run| burned_on_sheet(plan, run));
    let starts = plan.runs.iter().filter_map(|run| plan.start_on_sheet(run));
    let all = burned.chain(board).fold(sheet, |all, one| all.union(one));
    starts.fold(all, |all, one| all.union_pt(one))
}

/// The run in which the board lies elsewhere on the sheet before the maker than its face shows it.
fn turned_off_middle(plan: &Plan) -> Option<&Run> {
    let sheet = (plan.sheet.width, plan.sheet.height);
    let is_off = |run: &&Run| run.lay.turned.is_some_and(|t| SAME_PLACE.get() < t.shift(sheet).get().abs());
    plan.runs.iter().find(is_off)
}

/// The sheet with board, burned boxes and start points, dimensioned.
fn sheet_drawing(plan: &Plan, starts: &[Start], width: f64) -> Fragment {
    let sheet = sheet_rect(plan);
    let frame = Rect::new(21.0, 9.0, width - 38.0, 9.0 + 114.0);
    let whole = everything(plan, sheet);
    let view = View::fit(whole, frame);
    let view = view.moved_to(Point::new(view.rect(whole).x0, frame.y0), whole);
    let (outline, lowest) = (view.rect(sheet), view.rect(whole).y1);
    let mut drawing = Fragment::new(width, lowest);

    drawing.fill(&outline, TINT);
    board::outline(&mut drawing, view, plan);
    drawing.stroke(&outline, Pen::new(0.5, INK));
    let behind = turned_off_middle(plan).and_then(|run| board_on_sheet(plan, run));
    if let Some(outline) = behind.as_ref().and_then(|board| view.region(board)) {
        drawing.stroke(&outline, Pen::new(0.3, SOFT).dashed(&[2.2, 0.8]));
    }
    plan.runs.iter().for_each(|run| burned_box(&mut drawing, view, plan, run));
    if plan.runs.len() <= MOST_TAGS {
        plan.runs.iter().for_each(|run| box_tag(&mut drawing, view, plan, run));
    }
    board::marks(&mut drawing, view, plan);
    sheet_lengths(&mut drawing, plan, outline);
    board::lengths(&mut drawing, view, plan, starts);
    let shown: Vec<Point> = starts.iter().take(MOST_SHOWN).map(|start| start.at).collect();
    let below = coordinates(&mut drawing, view, outline, &shown);
    names(&mut drawing, plan, view, outline);
    for start in starts {
        target(&mut drawing, view.point(start.at), 2.3);
    }
    start_names(&mut drawing, view, outline, starts);
    if let Some(shown) = behind.and_then(|board| board.bounds()).map(|b| view.rect(b)) {
        tag(
            &mut drawing,
            Point::new(shown.x0 + 3.5, shown.y0 + 3.0 + LABEL.capital()),
            Align::Left,
            "board, back up",
        );
    }
    drawing.size.height = lowest.max(outline.y1 + below) + 2.0;
    drawing
}

/// Says whose start each target is; names that would lie on each other go below one another.
fn start_names(drawing: &mut Fragment, view: View, outline: Rect, starts: &[Start]) {
    let mut taken: Vec<Point> = Vec::new();
    for start in starts.iter().take(MOST_SHOWN) {
        let at = view.point(start.at);
        let leans_right = outline.center().x < at.x;
        let (side, align) = if leans_right { (-3.4, Align::Right) } else { (3.4, Align::Left) };
        let mut place = Point::new(at.x + side, at.y - 1.6);
        while taken.iter().any(|p| (p.x - place.x).abs() < 30.0 && (p.y - place.y).abs() < SMALL.leading()) {
            place.y += SMALL.leading();
        }
        taken.push(place);
        tag(drawing, place, align, &start.label());
    }
}

/// Whether runs start at the lower edge: other names then stand at the upper one.
fn starts_low(plan: &Plan) -> bool {
    plan.runs.iter().any(|run| matches!(plan.start_of(run), StartPoint::LeftBottom | StartPoint::RightBottom))
}

fn burned_box(drawing: &mut Fragment, view: View, plan: &Plan, run: &Run) {
    let Some(burned) = burned_on_sheet(plan, run) else { return };
    // Each run has dashes of its own, so that the boxes are told apart without colour.
    let dash = 0.7 + 1.3 * ((run.number.max(1) - 1) % 4) as f64;
    drawing.stroke(&view.rect(burned), Pen::new(0.35, SOFT).dashed(&[dash, 0.9]));
}

/// Says whose box it is. All boxes are drawn before, so that none crosses out the name of another.
fn box_tag(drawing: &mut Fragment, view: View, plan: &Plan, run: &Run) {
    let Some(shown) = burned_on_sheet(plan, run).map(|burned| view.rect(burned)) else { return };
    let edge = if starts_low(plan) { shown.y0 } else { shown.y1 };
    let step = 13.0 * (run.number.max(1) - 1) as f64;
    let at = Point::new(shown.x1 - 2.0 - step, edge + LABEL.capital() / 2.0);
    tag(drawing, at, Align::Right, &format!("run {}", run.number));
}

pub(super) fn sheet_lengths(drawing: &mut Fragment, plan: &Plan, outline: Rect) {
    let (w, h) = (plan.sheet.width, plan.sheet.height);
    let corner = |x: f64, y: f64| Point::new(x, y);
    let inches = |length: Mm| format!("{} in", crate::units::number::fixed(length.inches(), 3));
    across(
        drawing,
        corner(outline.x0, outline.y0),
        corner(outline.x1, outline.y0),
        outline.y0 - 4.5,
        &format!("{w} ({})", inches(w)),
    );
    upright(
        drawing,
        corner(outline.x0, outline.y0),
        corner(outline.x0, outline.y1),
        outline.x0 - 4.5,
        &[&h.to_string(), &inches(h)],
        Align::Right,
    );
}

/// One of all points that share a coordinate, in its order: the one from which the line to the edge passes the others.
fn one_each(points: &[Point], of: fn(&Point) -> f64, other: fn(&Point) -> f64) -> Vec<Point> {
    let mut all = points.to_vec();
    all.sort_by(|a, b| of(a).total_cmp(&of(b)).then(other(a).total_cmp(&other(b))));
    all.dedup_by(|next, kept| (of(next) - of(kept)).abs() <= SAME_PLACE.get());
    all
}

/// Running dimensions to the start points: y at the right edge, x below; returns the height taken below.
pub(super) fn coordinates(drawing: &mut Fragment, view: View, outline: Rect, starts: &[Point]) -> f64 {
    let dash_dot = || Pen::new(0.15, INK).dashed(&[2.0, 0.6, 0.4, 0.6]);
    let thin = || Pen::new(0.15, INK);
    let step = SMALL.leading() + 0.4;
    let mut lowest = f64::NEG_INFINITY;
    for start in one_each(starts, |p| p.y, |p| p.x).iter().filter(|p| SAME_PLACE.get() < p.y.abs()) {
        let at = view.point(*start);
        let middle = at.y.max(lowest + step);
        lowest = middle;
        drawing.line(at, (outline.x1, at.y), dash_dot());
        drawing.line((outline.x1, at.y), (outline.x1 + 2.5, at.y), thin());
        drawing.line((outline.x1 + 2.5, at.y), (outline.x1 + 5.0, middle), thin());
        let label = format!("y {}", both(Mm::new(start.y)));
        let beside = Point::new(outline.x1 + 5.8, middle + SMALL.capital() / 2.0);
        let room = drawing.size.width - beside.x;
        fit_line(drawing, beside, Align::Left, &label, SMALL, room);
    }
    let mut below = 0.0;
    for start in one_each(starts, |p| p.x, |p| p.y).iter().rev().filter(|p| SAME_PLACE.get() < p.x.abs()) {
        let at = view.point(*start);
        let level = outline.y1 + below + 4.6;
        below += step;
        drawing.line(at, (at.x, outline.y1), dash_dot());
        drawing.line((at.x, outline.y1), (at.x, level), thin());
        let label = format!("x {}", both(Mm::new(start.x)));
        // The label goes to the side of the line where there is room for it.
        let align = if drawing.size.width < at.x + 38.0 { Align::Right } else { Align::Left };
        let aside = if align == Align::Right { -1.0 } else { 1.0 };
        drawing.text(Point::new(at.x + aside, level), align, &label, SMALL);
    }
    below + 2.0
}

fn names(drawing: &mut Fragment, plan: &Plan, view: View, outline: Rect) {
    let mut corner = BezPath::new();
    corner.move_to(outline.origin());
    corner.line_to((outline.x0 + 3.2, outline.y0));
    corner.line_to((outline.x0, outline.y0 + 3.2));
    corner.close_path();
    drawing.fill(&corner, INK);
    // Beside the corner, clear of the target of a start point that lies near it.
    drawing.text(Point::new(outline.x0 - 2.8, outline.y0 - 2.6), Align::Right, "0, 0", LABEL.ink(INK));
    tag_on(drawing, Point::new(outline.x0 + 2.0, outline.y1 - 1.8), Align::Left, "sheet", TINT);
    if let Some(board) = plan.board.as_ref().and_then(Region::bounds).map(|b| view.rect(b)) {
        let y = if starts_low(plan) { board.y0 + 3.0 + LABEL.capital() } else { board.y1 - 3.0 };
        tag(drawing, Point::new(board.x0 + 3.5, y), Align::Left, "board");
    }
    let scale = format!("scale {}", view.ratio());
    drawing.text(Point::new(drawing.size.width, outline.y0 - 5.5), Align::Right, &scale, LABEL);
}

/// Where the board lies, and start point and burned box of each run.
fn places(plan: &Plan, width: f64) -> super::table::Table {
    let columns = [
        column("run", 0.0),
        column("start point", 41.0),
        column("in inches", 38.0),
        column("takes from", 35.0),
        column("over", 31.0),
    ];
    let rows: Vec<Vec<Cell>> = board::row(plan)
        .into_iter()
        .chain(plan.runs.iter().map(|run| {
            let mut name = vec![Word::new(format!("{}\u{a0}{}", run.number, clipped(&run.name, 60)), STRONG)];
            let lies = lay::words(plan, run);
            if !lies.is_empty() {
                name.push(Word::new(format!(" {lies}"), LABEL));
            }
            let (Some(start), Some(burned)) = (plan.start_on_sheet(run), burned_on_sheet(plan, run)) else {
                return vec![name, vec![Word::new("burns nothing", BODY)], vec![], vec![], vec![]];
            };
            vec![
                name,
                vec![Word::new(place(start), STRONG)],
                vec![Word::new(place_in_inches(start), SMALL)],
                vec![Word::new(place(burned.origin()), SMALL)],
                vec![Word::new(size(Mm::new(burned.width()), Mm::new(burned.height())), SMALL)],
            ]
        }))
        .collect();
    table(&columns, &rows, width)
}
