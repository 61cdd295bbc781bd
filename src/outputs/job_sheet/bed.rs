//! The bed to scale with the sheet on it, and how the machine is set up.

use super::alternatives;
use super::drawing::{View, tag, target};
use super::glance::length_cell;
use super::lay;
use super::set_up::{Start, burned_on_sheet, sheet_rect, starts_in_words};
use super::style::{BODY, GHOST, HEADING, INK, LABEL, SOFT, STRONG};
use super::table::facts;
use super::text::{MOST_LINES, clipped, heading, kept, paragraph};
use super::wording::{count, led, size};
use crate::outputs::pdf::{Align, Fragment, Ink, Numbering, Pen, Role, Word};
use crate::plan::{Laid, Plan};
use crate::shop::StartPoint;
use crate::units::Mm;
use kurbo::{Point, Rect, Vec2};

/// The bed to scale, and beside it what is done one after the other.
pub(super) fn bed_and_steps(plan: &Plan, starts: &[Start], width: f64) -> Fragment {
    let bed = bed_drawing(plan, starts);
    let left = bed.size.width + 7.0;
    let steps = steps(plan, starts, width - left);
    let mut both = Fragment::new(width, bed.size.height.max(steps.size.height));
    both.place((0.0, 0.0), &bed.figure(alternatives::bed(plan)));
    both.place((left, 0.0), &steps);
    both
}

/// The whole bed with the sheet on it: at its corner where all runs are started from the page, else in its middle.
fn bed_drawing(plan: &Plan, starts: &[Start]) -> Fragment {
    let bed = Rect::new(0.0, 0.0, plan.machine.bed_width.get().max(0.0), plan.machine.bed_height.get().max(0.0));
    let sheet = sheet_rect(plan);
    let is_page = plan.runs.iter().all(|run| plan.start_of(run) == StartPoint::Page);
    let offset = if is_page { Vec2::ZERO } else { bed.center() - sheet.center() };
    // The target on the corner of the bed takes room of its own.
    let corner = if is_page { Point::new(3.5, 9.5) } else { Point::new(0.0, 6.0) };
    let view = View::fit(bed.union(sheet + offset), Rect::new(corner.x, corner.y, 72.0, corner.y + 60.0));
    let view = view.moved_to(corner, bed.union(sheet + offset));
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
        if let Some(burned) = burned_on_sheet(plan, run) {
            drawing.stroke(&view.rect(burned + offset), Pen::new(0.25, SOFT).dashed(&[0.8, 0.7]));
        }
    }
    for start in starts {
        target(&mut drawing, view.point(start.at + offset), 1.5);
    }
    let inside = Point::new(on_sheet.x0 + 1.5, on_sheet.y1 - 1.5);
    tag(&mut drawing, inside, Align::Left, "sheet");
    let scale = format!("scale {}", view.ratio());
    drawing.text(Point::new(whole.x0, whole.y1 + 3.8), Align::Left, &scale, LABEL);
    drawing
}

fn steps(plan: &Plan, starts: &[Start], width: f64) -> Fragment {
    let first_of_sheet = plan.runs.iter().find(|r| r.lay.on != Laid::Scrap);
    let face_down = if first_of_sheet.is_some_and(|r| r.lay.turned.is_some()) {
        "with its face down, since its first run burns its back, "
    } else {
        ""
    };
    let first_cuts = plan.runs.first().map(|run| lay::fixtures(plan, run)).unwrap_or_default();
    let is_page = plan.runs.iter().all(|run| plan.start_of(run) == StartPoint::Page);
    let shown = if is_page { "" } else { "; the drawing only shows it in the middle" };
    let mut lines: Vec<Vec<Word>> =
        first_cuts.iter().map(|fixture| led("Lay scrap:", &lay::scrap_words(plan, fixture), BODY)).collect();
    let sheet = match first_cuts.first() {
        Some(fixture) => {
            let text = format!(
                "{face_down}its {} corner pushed into the one that was cut.",
                lay::corner_words(fixture.corner)
            );
            led(&format!("Burn run {}, then lay the sheet", plan.runs[0].number), &text, BODY)
        }
        None => led(
            "Lay the sheet",
            &format!("{face_down}where all of it is within the bed, its edges along the machine’s axes{shown}."),
            BODY,
        ),
    };
    let tilt = plan.sheet.block.map(|block| {
        let text = format!("its left edge on the bed, its right edge on a block of {block}, both held down.");
        led("Tilt the sheet:", &text, BODY)
    });
    let laid: Vec<Vec<Word>> = std::iter::once(sheet).chain(tilt).collect();
    // Where a corner is cut first, it is cut before there is a sheet to lay.
    let (before, after) = if first_cuts.is_empty() { (laid, Vec::new()) } else { (Vec::new(), laid) };
    lines.extend(before);
    lines.extend([led("Put the head", &format!("over the target: {}.", starts_in_words(plan)), BODY)]);
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
    let curl = plan.sheet.curl.filter(|c| *c > Mm::ZERO);
    let curl = curl.map(|c| format!(" The sheet rises {}: weigh it down first.", kept(&c.to_string())));
    let set = match plan.sheet.block {
        Some(_) => "over the middle of the sheet, and do not touch it again.".to_owned(),
        None => format!("for {} of stock, then as each table says.", kept(&plan.stock.thickness.to_string())),
    };
    let focus =
        format!("{set}{}{}{}", gauge.unwrap_or_default(), depth.unwrap_or_default(), curl.unwrap_or_default());
    lines.push(led("Set the focus", &focus, BODY));
    lines.push(led(
        "Trace the outer box",
        "with the beam off or at its weakest: it must run where the dashes are.",
        BODY,
    ));
    lines.extend(after);
    let mut column_of_steps = heading("Setting up", HEADING, width, Role::Subheading);
    column_of_steps.begin(Role::List(Numbering::Decimal));
    for (i, line) in lines.iter().enumerate() {
        let mut step = Fragment::new(width, 0.0);
        let body = paragraph(line, width - 6.0, Align::Left, MOST_LINES);
        step.begin(Role::Label);
        step.text(
            Point::new(0.0, f64::midpoint(BODY.leading(), BODY.capital())),
            Align::Left,
            &(i + 1).to_string(),
            STRONG,
        );
        step.end();
        step.size.height = body.size.height;
        step.place((6.0, 0.0), &body.tagged(Role::Body));
        column_of_steps.stack(1.2, &step.tagged(Role::Item));
    }
    column_of_steps.end();
    let spot = plan.machine.known_spot();
    let spot = [("Spot", spot.map_or_else(|| vec![Word::new("not measured", BODY)], length_cell))];
    column_of_steps.stack(2.0, &facts(&spot, 14.0, width));
    column_of_steps
}
