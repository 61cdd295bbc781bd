//! `put-back.pdf`: how the sheet of a run that stopped is put back in register, and what is burned of it.

use super::alternatives;
use super::checklists;
use super::drawing::{View, burned, disc, target};
use super::flow::Flow;
use super::glance::authority;
use super::lay;
use super::operation_row::{head, row, strokes};
use super::panel::{self, square};
use super::set_up::{board_on_sheet, coordinates, sheet_lengths, sheet_rect, start_words};
use super::style::{ALERT, BODY, GHOST, HEADING, INK, LABEL, STRONG, TINT, TITLE};
use super::table::Table;
use super::text::{MOST_LINES, clipped, fit_line, heading, kept, paragraph, text};
use super::wording::{count, duration, estimated, led, place, place_in_inches};
use crate::diagnostics::place::way;
use crate::outputs::pdf::{Align, Fragment, Ink, Numbering, Pen, Role, Word};
use crate::plan::{BackTo, Burn, Operation, Plan, Remainder, Run};
use crate::safety::Circumstances;
use crate::shop::{Moment, OperationKind, StartPoint};
use crate::units::Seconds;
use kurbo::{Affine, BezPath, Point, Rect};
use std::collections::BTreeSet;

/// Height of the drawing's frame, in mm.
const FRAME: f64 = 78.0;

/// Writes the sheet; `file` is the name of the file that is burned, `warning` what is told first, where there is something.
pub(super) fn write(
    flow: &mut Flow,
    plan: &Plan,
    of: &Circumstances,
    left: &Remainder,
    file: &str,
    warning: Option<&str>,
) {
    let width = flow.width();
    flow.place(&authority(width));
    flow.gap(5.0);
    flow.place(&title(plan, left, width));
    flow.gap(2.5);
    flow.place(&key_values(left, width));
    flow.gap(3.5);
    flow.place(&panel::alert(&limits(left, warning, panel::inner(width))));
    flow.gap(5.0);
    flow.place(&drawing(plan, left, width).figure(alternatives::put_back(plan, left)));
    flow.gap(4.0);
    flow.head(&heading("In this order", HEADING, width, Role::Heading), 20.0);
    flow.begin(Role::List(Numbering::Decimal));
    for (number, step) in steps(plan, left, file).iter().enumerate() {
        flow.place(&ticked(number + 1, step, width));
    }
    flow.end();
    operations(flow, plan, left, file);
    checklists::list(flow, plan, of, Moment::Pausing, ("Pausing and resuming", Role::Subheading));
}

fn title(plan: &Plan, left: &Remainder, width: f64) -> Fragment {
    let name = format!("Run {} · {}: put back in register first", left.run.number, clipped(&left.run.name, 40));
    let mut head = paragraph(&[Word::new(name, TITLE.size(18.0))], width, Align::Left, 2).tagged(Role::Title);
    let what = match (left.rows_below, left.after) {
        (Some(line), _) => {
            format!("Its rows from {line} below the top edge of the page are left, and what comes after them.")
        }
        (None, Some(stroke)) => format!("What is left of it after stroke {stroke} of {}.", left.strokes),
        (None, None) => "What did not go through, once more.".to_owned(),
    };
    let lies = lay::words(plan, &left.run);
    let lies = if lies.is_empty() { lies } else { format!(" It burns {lies}.") };
    let words = format!("{}. {what} The file holds nothing else.{lies}", clipped(&plan.title, 90));
    head.stack(0.5, &paragraph(&[Word::new(words, BODY.size(11.0))], width, Align::Left, 3));
    head
}

fn key_values(left: &Remainder, width: f64) -> Fragment {
    let start = match left.back_to {
        BackTo::Page => "the page’s corner",
        BackTo::SamePoint => "where it was",
        BackTo::Moved(_) => "elsewhere",
    };
    let (done, all) = (strokes_of(&left.run).len(), left.strokes);
    let values = [
        ("left to burn, estimated", estimated(&left.run.time)),
        ("of the whole run", duration(left.whole_time.likely)),
        ("start point", start.to_owned()),
        ("strokes left", format!("{done} of {all}")),
    ];
    panel::band(&values, 13.0, width)
}

fn limits(left: &Remainder, warning: Option<&str>, width: f64) -> Fragment {
    let mut limits = paragraph(
        &led(
            "After a fire, a crash, a power cut or any interlock event do not resume:",
            "inspect the machine, tell the responsible person, start a new job. The machine’s manual comes before this sheet.",
            BODY,
        ),
        width,
        Align::Left,
        MOST_LINES,
    );
    if left.again {
        let charred = "char takes up the beam and lights easily. Look at the line first, brush the char off, keep air and \
             extraction on, and stay with it; a line that twice did not go through wants another setting, not a third pass.";
        limits.stack(
            0.8,
            &paragraph(&led("A second pass on a charred line:", charred, BODY), width, Align::Left, MOST_LINES),
        );
    }
    if let Some(warning) = warning {
        limits.stack(0.8, &paragraph(&led("Look here first:", warning, BODY), width, Align::Left, MOST_LINES));
    }
    limits
}

/// The sheet as it lies: what is left in black, the rest of the run in grey, and the start point with its lengths.
fn drawing(plan: &Plan, left: &Remainder, width: f64) -> Fragment {
    let sheet = sheet_rect(plan);
    let frame = Rect::new(21.0, 12.0, width - 38.0, 12.0 + FRAME);
    let view = View::fit(sheet, frame);
    let view = view.moved_to(Point::new(view.rect(sheet).x0, frame.y0), sheet);
    let outline = view.rect(sheet);
    let mut drawing = Fragment::new(width, outline.y1);
    drawing.fill(&outline, TINT);
    if let Some(board) = board_on_sheet(plan, &left.run).as_ref().and_then(|board| view.region(board)) {
        drawing.fill(&board, Ink::WHITE);
    }
    drawing.stroke(&outline, Pen::new(0.5, INK));
    if let Some(whole) = plan.runs.iter().find(|r| r.number == left.run.number) {
        whole.operations.iter().for_each(|o| operation(&mut drawing, view, plan, whole, o, GHOST, 0.35));
    }
    left.run.operations.iter().for_each(|o| operation(&mut drawing, view, plan, &left.run, o, INK, 0.5));
    let first =
        first_stroke(&mut drawing, view, plan, left).map(|number| format!("ring: where stroke {number} begins"));
    sheet_lengths(&mut drawing, plan, outline);
    let legend = [Some(format!("scale {}", view.ratio())), Some("black: left; grey: the run".to_owned()), first];
    for (i, line) in legend.iter().flatten().enumerate() {
        let at = Point::new(drawing.size.width, outline.y0 - 9.3 + 3.8 * i as f64);
        fit_line(&mut drawing, at, Align::Right, line, LABEL, 37.0);
    }
    let below = match plan.start_on_sheet(&left.run) {
        Some(at) => {
            let below = coordinates(&mut drawing, view, outline, &[at]);
            target(&mut drawing, view.point(at), 2.3);
            below
        }
        None => 0.0,
    };
    drawing.size.height = outline.y1 + below + 2.0;
    drawing
}

fn operation(
    drawing: &mut Fragment,
    view: View,
    plan: &Plan,
    run: &Run,
    operation: &Operation,
    ink: Ink,
    pen: f64,
) {
    if operation.kind == OperationKind::Guide {
        return;
    }
    let on_page = run.on_page(operation);
    let to_sheet = Affine::translate(plan.page_to_sheet(run));
    let moved = match &on_page.burn {
        Burn::Lines(lines) => Burn::Lines(lines.iter().map(|l: &BezPath| to_sheet * l.clone()).collect()),
        Burn::Area(region) => Burn::Area(region.transform(to_sheet)),
        Burn::Dots(dots) => Burn::Area(dots.region.transform(to_sheet)),
    };
    burned(drawing, view, &moved, ink, pen);
}

/// A ring where the stroke that is burned first begins; gives back its number. A name there would cover what is burned.
fn first_stroke(drawing: &mut Fragment, view: View, plan: &Plan, left: &Remainder) -> Option<usize> {
    let marks = left.marks_again;
    let first = left.run.operations.iter().find(|o| Some(o.number) != marks)?;
    let on_page = left.run.on_page(first);
    let Burn::Lines(lines) = &on_page.burn else { return None };
    let start = lines.first()?.segments().next().map(|s| kurbo::ParamCurve::start(&s))?;
    let at = view.point(start + plan.page_to_sheet(&left.run));
    drawing.stroke(&disc(at, 2.2), Pen::new(0.9, Ink::WHITE));
    drawing.stroke(&disc(at, 2.2), Pen::new(0.35, ALERT));
    first.numbers.first().copied()
}

/// The numbers of the strokes that are burned, each once: one that was broken up is burned in several stretches.
fn strokes_of(run: &Run) -> BTreeSet<usize> {
    run.operations.iter().flat_map(|o| o.numbers.iter().copied()).collect()
}

/// What the outer box has to run along: only what is burned already can show that the sheet lies as it lay.
const fn tracing(left: &Remainder) -> &'static str {
    if left.marks_again.is_some() {
        "with the beam off or at its weakest. It has to run along the corner marks that are burned already. A hair beside them \
         is a ruined piece: move the sheet or the start point, not the file, and trace again."
    } else {
        "with the beam off or at its weakest. Where something on it is burned already, it has to run along that: a hair beside \
         it is a ruined piece. Where nothing is, the box shows nothing of how the sheet lies: a sheet that was not moved stays \
         as it is, and one that was is laid by the lengths of the drawing, from the edges of the sheet to the start point."
    }
}

fn steps(plan: &Plan, left: &Remainder, file: &str) -> Vec<Vec<Word>> {
    let mut steps = vec![led(
        "Leave the sheet where it lies.",
        "If it was moved or taken out: lay it back against the same stops, or into the corner it lay in, and go by the marks \
         and cuts on it.",
        BODY,
    )];
    steps.push(led(
        "Load",
        &format!("{}; its page is the whole sheet, as that of the run.", clipped(file, 80)),
        BODY,
    ));
    steps.push(start_step(plan, left));
    steps.push(led("Trace the outer box", tracing(left), BODY));
    if let Some(marks) = left.marks_again {
        let text = format!(
            "operation {marks} burns the corner marks once more, so that this file has the box of the run. Each mark has to fall \
             into itself; where one comes out double, stop."
        );
        steps.push(led("Watch the marks:", &text, BODY));
    }
    if let Some(line) = left.rows_below {
        let text = format!(
            "the first one left begins {line} below the top edge of the page, where the last one burned ends. They are taken to \
             be burned from the top down: where this machine begins at the bottom, ask for the box of what is missing instead, \
             with `--only`."
        );
        steps.push(led("Rows:", &text, BODY));
    }
    if let Some(words) = passes(left) {
        steps.push(led("Passes:", &words, BODY));
    }
    steps.push(led(
        "Settings, focus and air",
        "as the table says: those of the run. Write down when and why.",
        BODY,
    ));
    steps
}

fn start_step(plan: &Plan, left: &Remainder) -> Vec<Word> {
    let at = plan.start_on_sheet(&left.run).unwrap_or(Point::ORIGIN);
    let there = format!("{} ({})", place(at), place_in_inches(at));
    let of = start_words(plan.start_of(&left.run));
    match left.back_to {
        BackTo::Page => led(
            "Start",
            "from the corner of the page, as the run was started. The head is not moved by hand.",
            BODY,
        ),
        BackTo::SamePoint => {
            led("Put the head back", &format!("where the run was started: {of}, {there} on the sheet."), BODY)
        }
        BackTo::Moved(by) => led(
            "Put the head elsewhere:",
            &format!(
                "this file has another {} than the run. From where the run was started, move the head {}; it then stands at {there} \
                 on the sheet.",
                point_word(plan.start_of(&left.run)),
                way(by).replace(" mm", "\u{a0}mm"),
            ),
            BODY,
        ),
    }
}

const fn point_word(start: StartPoint) -> &'static str {
    match start {
        StartPoint::Centre => "middle",
        _ => "corner",
    }
}

/// What is to be thought of where something is burned several times.
fn passes(left: &Remainder) -> Option<String> {
    let most = left.run.operations.iter().filter_map(|o| o.setting.as_ref()).map(|s| s.passes).max()?;
    (left.after.is_some() && 1 < most).then(|| {
        format!(
            "what is left is burned {} as often as in the run. If the run stopped after its first pass, some of it was burned \
             already: make this file again with `--passes` and what is missing.",
            count(most as usize, "time,", "times,")
        )
    })
}

fn ticked(number: usize, words: &[Word], width: f64) -> Fragment {
    let body = paragraph(words, width - 13.0, Align::Left, MOST_LINES);
    let mut item = Fragment::new(width, body.size.height + 1.2);
    item.begin(Role::Label);
    square(&mut item, 0.0, BODY.leading() / 2.0);
    let baseline = f64::midpoint(BODY.leading(), BODY.capital());
    item.text(Point::new(6.0, baseline), Align::Left, &number.to_string(), STRONG);
    item.end();
    item.place((13.0, 0.0), &body.tagged(Role::Body));
    item.tagged(Role::Item)
}

/// The table of what is left, as on the job sheet.
fn operations(flow: &mut Flow, plan: &Plan, left: &Remainder, file: &str) {
    let width = flow.width();
    let stretches: usize = left.run.operations.iter().map(|o| o.numbers.len()).sum();
    let whole = strokes_of(&left.run).len();
    let broken = if whole < stretches {
        format!("{} of ", count(stretches, "stretch", "stretches"))
    } else {
        String::new()
    };
    let aside = format!("file {} · {broken}{}", clipped(file, 60), count(whole, "stroke", "strokes"));
    let board = plan.board.as_ref().map(|board| board.transform(left.run.movement()));
    let mut so_far = Seconds::ZERO;
    let rows: Vec<Fragment> = left
        .run
        .operations
        .iter()
        .map(|operation| {
            so_far += operation.time.likely;
            row(plan, board.as_ref(), &left.run.on_page(operation), so_far, width)
        })
        .collect();
    let table = Table { head: head(width), rows };
    flow.section("What is left", &aside, table.least());
    flow.table(&table);
    flow.gap(1.5);
    let said = left.run.operations.iter().map(strokes).collect::<Vec<_>>().join("; ");
    let words = format!("numbers as on the job sheet of the whole run: {}", kept(&said));
    flow.place(&text(&clipped(&words, 300), LABEL, width));
}
