//! Set-up: the bed and the sheet to scale, and the point from which each run is started.

use super::drawing::{View, across, tag, target, upright};
use super::flow::Flow;
use super::glance::length_cell;
use super::lay;
use super::style::{BODY, GHOST, HEADING, INK, LABEL, SMALL, SOFT, STRONG, TINT};
use super::table::{column, facts, table};
use super::text::{MOST_LINES, clipped, fit_line, kept, led, paragraph, text};
use super::wording::{both, count, place, place_in_inches, size};
use crate::outputs::pdf::{Align, Cell, Fragment, Ink, Pen, Word};
use crate::plan::{Plan, Run};
use crate::shop::StartPoint;
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect};

/// Two start points nearer than this, in mm, are the same: what a machine's file can tell apart.
const SAME: f64 = 0.0005;

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

/// Where a run is started, on the sheet; `None` when it burns nothing.
fn start_of(run: &Run, start: StartPoint) -> Option<Point> {
    Some(start.of(run.burned_on_page()?).unwrap_or(Point::ORIGIN))
}

/// A start point and the runs that share it.
struct Start {
    at: Point,
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
        let Some(at) = start_of(run, plan.machine.start) else { continue };
        match starts.iter_mut().find(|s| s.at.distance(at) < SAME) {
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
    flow.place(&sheet_drawing(plan, &starts, width));
    flow.gap(3.0);
    if !plan.runs.is_empty() {
        flow.table(&places(plan, width));
    }
    flow.gap(5.0);
    flow.place(&bed_and_steps(plan, &starts, width));
}

fn sheet_rect(plan: &Plan) -> Rect {
    Rect::new(0.0, 0.0, plan.sheet.width.get().max(0.0), plan.sheet.height.get().max(0.0))
}

/// The sheet and what hangs over its edges, should anything.
fn everything(plan: &Plan, sheet: Rect) -> Rect {
    let board = plan.board.as_ref().and_then(crate::geometry::Region::bounds);
    plan.runs.iter().filter_map(Run::burned_on_page).chain(board).fold(sheet, |all, one| all.union(one))
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
    if let Some(board) = plan.board.as_ref().and_then(|board| view.region(board)) {
        drawing.fill(&board, Ink::WHITE);
        drawing.stroke(&board, Pen::new(0.3, INK));
    }
    drawing.stroke(&outline, Pen::new(0.5, INK));
    plan.runs.iter().for_each(|run| burned_box(&mut drawing, view, run));
    if plan.runs.len() <= MOST_TAGS {
        plan.runs.iter().for_each(|run| box_tag(&mut drawing, view, plan, run));
    }
    sheet_lengths(&mut drawing, plan, outline);
    names(&mut drawing, plan, view, outline);
    let below = coordinates(&mut drawing, view, outline, starts);
    for start in starts {
        target(&mut drawing, view.point(start.at), 2.3);
    }
    start_names(&mut drawing, view, outline, starts);
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
    matches!(plan.machine.start, StartPoint::LeftBottom | StartPoint::RightBottom)
}

fn burned_box(drawing: &mut Fragment, view: View, run: &Run) {
    let Some(burned) = run.burned_on_page() else { return };
    // Each run has dashes of its own, so that the boxes are told apart without colour.
    let dash = 0.7 + 1.3 * ((run.number.max(1) - 1) % 4) as f64;
    drawing.stroke(&view.rect(burned), Pen::new(0.35, SOFT).dashed(&[dash, 0.9]));
}

/// Says whose box it is. All boxes are drawn before, so that none crosses out the name of another.
fn box_tag(drawing: &mut Fragment, view: View, plan: &Plan, run: &Run) {
    let Some(shown) = run.burned_on_page().map(|burned| view.rect(burned)) else { return };
    let edge = if starts_low(plan) { shown.y0 } else { shown.y1 };
    let step = 13.0 * (run.number.max(1) - 1) as f64;
    let at = Point::new(shown.x1 - 2.0 - step, edge + LABEL.capital() / 2.0);
    tag(drawing, at, Align::Right, &format!("run {}", run.number));
}

fn sheet_lengths(drawing: &mut Fragment, plan: &Plan, outline: Rect) {
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

/// Running dimensions to the start points: y at the right edge, x below; returns the height taken below.
fn coordinates(drawing: &mut Fragment, view: View, outline: Rect, starts: &[Start]) -> f64 {
    let dash_dot = || Pen::new(0.15, INK).dashed(&[2.0, 0.6, 0.4, 0.6]);
    let thin = || Pen::new(0.15, INK);
    let step = SMALL.leading() + 0.4;
    let mut points: Vec<Point> = starts.iter().take(MOST_SHOWN).map(|start| start.at).collect();
    points.sort_by(|a, b| a.y.total_cmp(&b.y));
    let mut lowest = f64::NEG_INFINITY;
    for start in points.iter().filter(|p| SAME < p.y) {
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
    points.sort_by(|a, b| b.x.total_cmp(&a.x));
    let mut below = 0.0;
    for start in points.iter().filter(|p| SAME < p.x) {
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
    let inside = 1.6 + LABEL.capital();
    drawing.text(Point::new(outline.x0 + 4.0, outline.y0 + inside), Align::Left, "0, 0", LABEL.ink(INK));
    drawing.text(Point::new(outline.x0 + 2.0, outline.y1 - 1.8), Align::Left, "sheet", LABEL.ink(INK));
    if let Some(board) = plan.board.as_ref().and_then(crate::geometry::Region::bounds).map(|b| view.rect(b)) {
        let y = if starts_low(plan) { board.y0 + 3.0 + LABEL.capital() } else { board.y1 - 3.0 };
        tag(drawing, Point::new(board.x0 + 3.5, y), Align::Left, "board");
    }
    let scale = format!("scale {}", view.ratio());
    drawing.text(Point::new(drawing.size.width, outline.y0 - 5.5), Align::Right, &scale, LABEL);
}

/// Start point and burned box of each run.
fn places(plan: &Plan, width: f64) -> super::table::Table {
    let columns = [
        column("run", 0.0),
        column("start point", 41.0),
        column("in inches", 38.0),
        column("burns from", 35.0),
        column("over", 31.0),
    ];
    let rows: Vec<Vec<Cell>> = plan
        .runs
        .iter()
        .map(|run| {
            let mut name = vec![Word::new(format!("{}\u{a0}{}", run.number, clipped(&run.name, 60)), STRONG)];
            let lies = lay::words(plan, run);
            if !lies.is_empty() {
                name.push(Word::new(format!(" {lies}"), LABEL));
            }
            let (Some(start), Some(burned)) = (start_of(run, plan.machine.start), run.burned_on_page()) else {
                return vec![name, vec![Word::new("burns nothing", BODY)], vec![], vec![], vec![]];
            };
            vec![
                name,
                vec![Word::new(place(start), STRONG)],
                vec![Word::new(place_in_inches(start), SMALL)],
                vec![Word::new(place(burned.origin()), SMALL)],
                vec![Word::new(size(Mm::new(burned.width()), Mm::new(burned.height())), SMALL)],
            ]
        })
        .collect();
    table(&columns, &rows, width)
}

fn bed_and_steps(plan: &Plan, starts: &[Start], width: f64) -> Fragment {
    let bed = bed_drawing(plan, starts);
    let left = bed.size.width + 7.0;
    let steps = steps(plan, starts, width - left);
    let mut both = Fragment::new(width, bed.size.height.max(steps.size.height));
    both.place((0.0, 0.0), &bed);
    both.place((left, 0.0), &steps);
    both
}

/// The whole bed with the sheet in its middle.
fn bed_drawing(plan: &Plan, starts: &[Start]) -> Fragment {
    let bed = Rect::new(0.0, 0.0, plan.machine.bed_width.get().max(0.0), plan.machine.bed_height.get().max(0.0));
    let sheet = sheet_rect(plan);
    let offset = bed.center() - sheet.center();
    let view = View::fit(bed.union(sheet + offset), Rect::new(0.0, 6.0, 72.0, 66.0));
    let view = view.moved_to(Point::new(0.0, 6.0), bed.union(sheet + offset));
    let (on_bed, on_sheet) = (view.rect(bed), view.rect(sheet + offset));
    let whole = on_bed.union(on_sheet);
    let mut drawing = Fragment::new(72.0, whole.y1 + 4.5);
    let heading = format!("Bed {}", size(plan.machine.bed_width, plan.machine.bed_height));
    drawing.text(Point::new(0.0, 3.4), Align::Left, &heading, HEADING);
    drawing.fill(&on_bed, GHOST);
    drawing.stroke(&on_bed, Pen::new(0.5, INK));
    drawing.fill(&on_sheet, Ink::WHITE);
    drawing.stroke(&on_sheet, Pen::new(0.3, INK));
    for run in &plan.runs {
        if let Some(burned) = run.burned_on_page() {
            drawing.stroke(&view.rect(burned + offset), Pen::new(0.25, SOFT).dashed(&[0.8, 0.7]));
        }
    }
    for start in starts {
        target(&mut drawing, view.point(start.at + offset), 1.5);
    }
    let inside = Point::new(on_sheet.x0 + 1.5, on_sheet.y1 - 1.5);
    tag(&mut drawing, inside, Align::Left, "sheet");
    let scale = format!("scale {}", view.ratio());
    drawing.text(Point::new(0.0, whole.y1 + 3.8), Align::Left, &scale, LABEL);
    drawing
}

fn steps(plan: &Plan, starts: &[Start], width: f64) -> Fragment {
    let face_down = if plan.runs.first().is_some_and(|r| r.lay.turned.is_some()) {
        "with its face down, since the first run burns its back, "
    } else {
        ""
    };
    let mut lines = vec![
        led(
            "Lay the sheet",
            &format!(
                "{face_down}where all of it is within the bed, its edges along the machine’s axes; the drawing only \
             shows it in the middle."
            ),
            BODY,
        ),
        led("Put the head", &format!("over the target: {}.", start_words(plan.machine.start)), BODY),
    ];
    if 1 < starts.len() {
        let moves = plan.runs.windows(2).any(|w| !lay::stays(&w[0], &w[1]));
        let still = if moves { "" } else { ", and do not move the sheet in between" };
        let text = format!(
            "the runs have {}: go by the table{still}.",
            count(starts.len(), "start point", "different start points"),
        );
        lines.push(led("Mind that", &text, BODY));
    }
    let gauge = plan.machine.focus_gauge.as_deref().map(|gauge| format!(" Gauge: {}.", clipped(gauge, 200)));
    let depth = plan.machine.focus_depth.map(|d| format!(" It may be off by {} in all.", kept(&d.to_string())));
    let focus = format!(
        "for {} of stock, then as each table says.{}{}",
        kept(&plan.stock.thickness.to_string()),
        gauge.unwrap_or_default(),
        depth.unwrap_or_default(),
    );
    lines.push(led("Set the focus", &focus, BODY));
    lines.push(led(
        "Trace the outer box",
        "with the beam off or at its weakest: it must run where the dashes are.",
        BODY,
    ));
    let mut column_of_steps = text("Setting up", HEADING, width);
    for (i, line) in lines.iter().enumerate() {
        let mut step = Fragment::new(width, 0.0);
        let body = paragraph(line, width - 6.0, Align::Left, MOST_LINES);
        step.text(
            Point::new(0.0, f64::midpoint(BODY.leading(), BODY.capital())),
            Align::Left,
            &(i + 1).to_string(),
            STRONG,
        );
        step.place((6.0, 0.0), &body);
        step.size.height = body.size.height;
        column_of_steps.stack(1.2, &step);
    }
    let spot = [("Spot", length_cell(plan.machine.spot))];
    column_of_steps.stack(2.0, &facts(&spot, 14.0, width));
    column_of_steps
}
