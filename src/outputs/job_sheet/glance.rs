//! The first page: everything that is asked before the sheet is turned.

use super::alternatives;
use super::flow::Flow;
use super::panel;
use super::style::{ALERT, BODY, HEADING, LABEL, SMALL, STRONG, TITLE, hairline, rule};
use super::table::{Table, column, facts, numbers, table};
use super::text::{self, MOST_LINES, clipped, fitted, kept, paragraph, text};
use super::wording::{both, count, doubt, duration, estimated, led, short_hash, size, size_in_inches, total_time};
use crate::outputs::pdf::{Align, Cell, Fragment, Picture, Role, Weight, Word};
use crate::outputs::run_file;
use crate::plan::{Cornering, Estimate, Motion, Plan};
use crate::safety::{AUTHORITY, Circumstances, Judgement};
use crate::shop::LaserKind;
use crate::units::Mm;
use kurbo::{Rect, Size};

/// The picture's frame, in mm.
const PICTURE: Size = Size::new(72.0, 76.0);

/// Writes the page.
pub(super) fn write(flow: &mut Flow, plan: &Plan, of: &Circumstances, picture: Option<&Picture>) {
    let width = flow.width();
    flow.place(&authority(width));
    flow.gap(6.0);
    flow.place(&title(plan, width));
    flow.gap(3.0);
    flow.place(&key_values(plan, width));
    flow.gap(4.0);
    flow.place(&picture_and_facts(plan, picture, width));
    material(flow, of);
    super::last_time::write(flow, plan);
    runs(flow, plan);
    origins(flow, plan);
}

pub(super) fn authority(width: f64) -> Fragment {
    let mut words =
        vec![Word::new("Where two disagree, the first of these holds:", SMALL.weight(Weight::Semibold))];
    for (i, authority) in AUTHORITY.iter().enumerate() {
        words.push(Word::new(format!("  {}\u{a0}", i + 1), SMALL.weight(Weight::Semibold)));
        let end = if i + 1 == AUTHORITY.len() { "." } else { ";" };
        words.push(Word::new(format!("{authority}{end}"), SMALL));
    }
    panel::quiet(&paragraph(&words, panel::inner(width), Align::Left, MOST_LINES))
}

fn title(plan: &Plan, width: f64) -> Fragment {
    let style = fitted(&clipped(&plan.title, 90), TITLE, width * 1.9);
    let mut head = paragraph(&[Word::new(&plan.title, style)], width, Align::Left, 3).tagged(Role::Title);
    if !plan.about.trim().is_empty() {
        head.stack(0.5, &paragraph(&[Word::new(&plan.about, BODY.size(11.0))], width, Align::Left, 5));
    }
    head
}

/// The four answers that are asked for first.
fn key_values(plan: &Plan, width: f64) -> Fragment {
    let finished = plan.board.as_ref().and_then(crate::geometry::Region::bounds);
    let last = match (&plan.puzzle, finished) {
        (Some(puzzle), _) => ("puzzle", count(puzzle.pieces.len(), "piece", "pieces")),
        (None, Some(b)) => ("finished size", size(Mm::new(b.width()), Mm::new(b.height()))),
        (None, None) => ("sheet", size(plan.sheet.width, plan.sheet.height)),
    };
    let values = [
        ("burning, estimated", estimated(&total_time(plan))),
        ("visits to the machine", count(plan.runs.len(), "run", "runs")),
        ("stock", format!("{}, {}", clipped(&plan.stock.name, 40), kept(&plan.stock.thickness.to_string()))),
        last,
    ];
    let mut ruled = Fragment::new(width, 0.0);
    ruled.line((0.0, 0.0), (width, 0.0), rule());
    ruled.stack(0.0, &panel::band(&values, 16.0, width));
    ruled
}

fn picture_and_facts(plan: &Plan, picture: Option<&Picture>, width: f64) -> Fragment {
    let Some(picture) = picture else { return facts(&key_facts(plan), 40.0, width) };
    let frame = Rect::from_origin_size((0.0, 0.0), PICTURE);
    let (w, h) = (f64::from(picture.width), f64::from(picture.height));
    let scale = (frame.width() / w).min(frame.height() / h);
    let image = Rect::from_origin_size((0.0, 0.0), (w * scale, h * scale));
    let gap = 7.0;
    let left = image.width() + gap;
    let list = facts(&key_facts(plan), 27.0, width - left);
    let mut both = Fragment::new(width, (image.height() + 2.0).max(list.size.height));
    let mut shown = Fragment::new(image.width(), image.height());
    shown.picture(image);
    shown.stroke(&image, hairline());
    both.place((0.0, 1.0), &shown.figure(alternatives::picture(plan)));
    both.place((left, 0.0), &list);
    both
}

fn key_facts(plan: &Plan) -> Vec<(&'static str, Cell)> {
    let (sheet, machine, stock) = (&plan.sheet, &plan.machine, &plan.stock);
    let strong = |text: String| vec![Word::new(text, STRONG)];
    let plain = |text: String| if text.is_empty() { Vec::new() } else { vec![Word::new(text, BODY)] };
    let two =
        |first: String, second: String| vec![Word::new(first, STRONG), Word::new(format!(" {second}"), BODY)];
    let finished = plan.board.as_ref().and_then(crate::geometry::Region::bounds).map_or_else(Vec::new, |b| {
        let (w, h) = (Mm::new(b.width()), Mm::new(b.height()));
        two(size(w, h), format!("({})", size_in_inches(w, h)))
    });
    let light = format!(
        "{}, {}, {}, {}",
        match machine.kind {
            LaserKind::Diode => "diode laser",
            LaserKind::CarbonDioxide => "CO₂ laser",
            LaserKind::Fibre => "fibre laser",
        },
        crate::safety::wavelength_text(machine.wavelength),
        kept(&machine.power.to_string()),
        if machine.enclosed { "enclosed" } else { "open beam" },
    );
    vec![
        ("Stock", two(clipped(&stock.name, 60), clipped(&stock.material, 120))),
        ("", plain(clipped(&stock.about, 160))),
        ("Thickness", two(kept(&stock.thickness.to_string()), "as measured for the shop file".to_owned())),
        ("Width of cut", widths_of_cuts(plan).map_or_else(Vec::new, strong)),
        (
            "Sheet",
            two(
                size(sheet.width, sheet.height),
                format!("({}){}", size_in_inches(sheet.width, sheet.height), sheets(plan)),
            ),
        ),
        ("Finished", finished),
        ("Machine", two(clipped(&machine.name, 60), clipped(&machine.about, 160))),
        ("Beam", plain(light)),
        ("Start point", plain(super::set_up::starts_in_words(plan))),
        ("Cost", cost(plan)),
    ]
}

/// How many sheets are needed, where it is more than one.
fn sheets(plan: &Plan) -> String {
    match plan.runs.iter().filter_map(|run| run.lay.on.sheet()).max() {
        Some(count) if 1 < count => format!(", {count} of them"),
        _ => String::new(),
    }
}

/// The verdict on the material, where it has conditions.
fn material(flow: &mut Flow, of: &Circumstances) {
    let width = panel::inner(flow.width());
    let words = match &of.material {
        Judgement::Known { .. } => return,
        Judgement::Caution { material, conditions, source } => {
            let mut words = led(&format!("Material: {material}."), &format!("{}.", conditions.join(". ")), BODY);
            words.push(Word::new(format!(" {source}"), LABEL));
            words
        }
        Judgement::Refused { material, why, source } => {
            let mut words = led(&format!("Do not burn: {material}."), &format!("It {why}."), BODY.ink(ALERT));
            words.push(Word::new(format!(" {source}"), LABEL));
            words
        }
        Judgement::Unknown => led(
            "Do not burn: unknown material.",
            "Nobody has told what it is; ask the supplier for its composition and safety data sheet.",
            BODY.ink(ALERT),
        ),
    };
    flow.gap(4.0);
    flow.place(&panel::alert(&paragraph(&words, width, Align::Left, MOST_LINES)));
}

fn runs(flow: &mut Flow, plan: &Plan) {
    let width = flow.width();
    heading(flow, "Runs, in this order", 22.0);
    if plan.runs.is_empty() {
        flow.place(&text("Nothing is burned: the recipe has no run.", BODY, width));
        return;
    }
    let columns = [
        column("", 9.0),
        column("run", 0.0),
        column("file", 62.0),
        numbers("operations", 22.0),
        numbers("time", 26.0),
        numbers("so far", 26.0),
    ];
    let mut so_far = Estimate::default();
    let rows: Vec<Vec<Cell>> = plan
        .runs
        .iter()
        .map(|run| {
            so_far = so_far + run.time;
            vec![
                vec![Word::new(run.number.to_string(), STRONG)],
                vec![Word::new(clipped(&run.name, 80), STRONG)],
                vec![Word::new(clipped(&run_file(plan, run), 60), BODY)],
                vec![Word::new(run.operations.len().to_string(), BODY)],
                vec![Word::new(duration(run.time.likely), BODY)],
                vec![Word::new(duration(so_far.likely), BODY)],
            ]
        })
        .collect();
    flow.table(&table(&columns, &rows, width));
    flow.gap(1.5);
    flow.place(&text(&time_note(plan), SMALL, width));
}

/// What the times are, how close they are, and what they are not.
fn time_note(plan: &Plan) -> String {
    let corners = match Motion::of(&plan.machine).corners {
        Cornering::Within(by) => format!("passes corners within {by}, as the shop file says"),
        _ => "stops at sharp corners, for nothing says how this machine passes them".to_owned(),
    };
    format!(
        "Times are estimates, {} for this job: the acceleration of the shop file may be off by a quarter, and the head \
         {corners}. In them are the lines and rows at the set speed, slowed down in bends and corners, passes, the runs \
         beside rows, and moves with the beam off. Not in them: what machine and program do before, between and after, \
         focusing, loading, airing. Somebody stays until it has ended, whatever the estimate says.",
        doubt(&total_time(plan))
    )
}

/// What the job costs, as far as the shop knows prices.
fn cost(plan: &Plan) -> Cell {
    let cost = &plan.cost;
    let sheets = cost.material.as_ref().map(|m| format!("{} {m}", count(cost.sheets, "sheet", "sheets")));
    let running = cost.running.as_ref().map(|r| format!("machine time {r}"));
    let parts: Vec<String> = [sheets, running].into_iter().flatten().collect();
    match (&cost.total, parts.as_slice()) {
        (_, []) => Vec::new(),
        (Some(total), [_, _]) => {
            vec![Word::new(total.to_string(), STRONG), Word::new(format!(": {}", parts.join(", ")), BODY)]
        }
        _ => vec![Word::new(parts.join(", "), BODY)],
    }
}

/// Where the job comes from: inputs and files, side by side where both are short.
fn origins(flow: &mut Flow, plan: &Plan) {
    let width = flow.width();
    let gap = 7.0;
    let half = (width - gap) / 2.0;
    let mut beside = Fragment::new(width, 0.0);
    for (i, list) in [inputs(plan, half), files(plan, half)].iter().flatten().enumerate() {
        let whole = stacked(list, half);
        beside.place(((half + gap) * i as f64, 0.0), &whole);
        beside.size.height = beside.size.height.max(whole.size.height);
    }
    flow.gap(4.5);
    if beside.size.height <= flow.room() {
        flow.place(&beside);
        return;
    }
    for (title, list) in [inputs(plan, width), files(plan, width)].into_iter().flatten() {
        heading(flow, title, 14.0);
        flow.table(&list);
    }
}

fn stacked((title, list): &(&str, Table), width: f64) -> Fragment {
    let mut whole = text::heading(title, HEADING, width, Role::Heading);
    whole.begin(Role::Table);
    whole.stack(0.0, &list.head);
    for row in &list.rows {
        whole.stack(0.0, row);
    }
    whole.end();
    whole
}

fn inputs(plan: &Plan, width: f64) -> Option<(&'static str, Table)> {
    let rows: Vec<Vec<Cell>> = plan
        .inputs
        .iter()
        .map(|input| {
            let mut value = vec![Word::new(clipped(&input.value, 200), STRONG)];
            if input.is_default {
                value.push(Word::new(" the recipe’s default", LABEL));
            }
            let mut name = vec![Word::new(clipped(&input.name, 60), BODY)];
            if !input.about.is_empty() {
                name.push(Word::new(format!(" {}", clipped(&input.about, 120)), LABEL));
            }
            vec![name, value]
        })
        .collect();
    let columns = [column("name", 0.0), column("value", width * 0.5)];
    (!rows.is_empty()).then(|| ("Inputs", table(&columns, &rows, width)))
}

fn files(plan: &Plan, width: f64) -> Option<(&'static str, Table)> {
    let rows: Vec<Vec<Cell>> = plan
        .files
        .iter()
        .map(|file| {
            let weight = if plan.recipe.ends_with(file.path.as_str()) { STRONG } else { BODY };
            vec![vec![Word::new(clipped(&file.path, 160), weight)], vec![Word::new(short_hash(&file.hash), BODY)]]
        })
        .collect();
    let columns = [column("file read", 0.0), numbers("SHA-256 begins", 30.0)];
    (!rows.is_empty()).then(|| ("Files", table(&columns, &rows, width)))
}

fn heading(flow: &mut Flow, title: &str, with: f64) {
    let width = flow.width();
    flow.gap(4.5);
    flow.head(&text::heading(title, HEADING, width, Role::Heading), with);
}

/// A length in both units, for those who only need one.
pub(super) fn length_cell(length: Mm) -> Cell {
    vec![Word::new(both(length), BODY)]
}

/// The kerfs of its cuts, each once; that of the stock where nothing is cut.
fn widths_of_cuts(plan: &Plan) -> Option<String> {
    let settings = plan.runs.iter().flat_map(|r| &r.operations).filter_map(|o| o.setting.as_ref());
    let mut widths: Vec<Mm> = settings.filter_map(|s| s.kerf).collect();
    if widths.is_empty() {
        widths.extend(plan.stock.kerf);
    }
    widths.sort_by(|a, b| a.get().total_cmp(&b.get()));
    widths.dedup();
    let shown: Vec<String> = widths.iter().map(|w| kept(&w.to_string())).collect();
    (!shown.is_empty()).then(|| shown.join(" and "))
}
