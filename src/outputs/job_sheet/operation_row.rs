//! One operation as a row: number and line pattern, thumbnail, what it burns, the numbers to set.

use super::alternatives;
use super::drawing::{View, bounds_of, burned, disc};
use super::style::{ALERT, BODY, GHOST, INK, LABEL, SMALL, SOFT, STRONG, VALUE, hairline};
use super::text::{clipped, fit_line, fitted, kept, paragraph};
use super::wording::{amount, count, duration, quoted, shop_speed, size};
use crate::geometry::Region;
use crate::outputs::pdf::{Align, Fragment, Ink, Pen, Role, Style, Weight, Word};
use crate::plan::{
    Beam, Burn, CardRead, Dots, Finished, Focus, Manner, Operation, Plan, ResolvedSetting, SeamCut,
};
use crate::shop::OperationKind;
use crate::units::number::fixed;
use crate::units::{Mm, Percent, Seconds};
use kurbo::{Point, Rect};

/// Left edges of the columns, in mm; the last is the right edge of the times, from the right.
const TILE: f64 = 0.0;
const THUMB: f64 = 15.5;
const WORDS: f64 = 39.5;
const SPEED: f64 = 76.0;
const POWER: f64 = 102.0;
const PASSES: f64 = 119.0;
const FINE: f64 = 130.5;
const TIMES: f64 = 156.5;
/// Free above and below what stands in a row, in mm.
const PAD: f64 = 2.0;
/// Size of the thumbnail, in mm.
const THUMB_SIZE: (f64, f64) = (21.0, 19.0);

/// The head of the table.
pub(super) fn head(width: f64) -> Fragment {
    let mut head = Fragment::new(width, 5.2);
    for (x, title) in [
        (TILE, "no."),
        (THUMB, "where"),
        (WORDS, "burns, setting"),
        (SPEED, "speed"),
        (POWER, "power"),
        (PASSES, "passes"),
        (FINE, "interval, focus, air"),
    ] {
        head.begin(Role::ColumnHead);
        head.text(Point::new(x, 3.6), Align::Left, title, LABEL);
        head.end();
    }
    head.begin(Role::ColumnHead);
    head.text(Point::new(width, 3.6), Align::Right, "time, so far", LABEL);
    head.end();
    head.line((0.0, 5.2), (width, 5.2), hairline());
    head.tagged(Role::Row)
}

/// One row; `board` lies as it does in the run, `so_far` is the time of the run up to its end.
pub(super) fn row(
    plan: &Plan,
    board: Option<&Region>,
    operation: &Operation,
    so_far: Seconds,
    width: f64,
) -> Fragment {
    let words = words(operation);
    let notes = notes(plan, operation, width - WORDS);
    let upper = (PAD + words.size.height).max(PAD + 15.5) + 0.6;
    let height = (upper + notes.size.height).max(PAD + THUMB_SIZE.1) + PAD;
    let mut row = Fragment::new(width, height);
    cell(&mut row, |row| tile(row, operation, Ink::parse(&operation.colour).unwrap_or(INK)));
    cell(&mut row, |row| row.place((THUMB, PAD), &thumbnail(plan, board, operation)));
    cell(&mut row, |row| {
        row.place((WORDS, PAD), &words);
        finished(row, operation);
        row.place((WORDS, upper), &notes);
    });
    match &operation.setting {
        Some(setting) => numbers(&mut row, plan, setting),
        None => unset(&mut row, operation.kind),
    }
    cell(&mut row, |row| times(row, operation, so_far));
    row.line((0.0, height), (width, height), hairline());
    row.tagged(Role::Row)
}

/// Draws a cell of a row.
fn cell(row: &mut Fragment, draw: impl FnOnce(&mut Fragment)) {
    row.begin(Role::Cell);
    draw(row);
    row.end();
}

/// Writes a line of a cell that takes no more than `width` mm.
fn line(row: &mut Fragment, at: Point, align: Align, text: &str, style: Style, width: f64) {
    row.begin(Role::Paragraph);
    fit_line(row, at, align, text, style, width);
    row.end();
}

/// Number, colour, and what kind of burn it is; number and pattern are black, for a printer without colours dithers whatever
/// stands on one.
fn tile(row: &mut Fragment, operation: &Operation, ink: Ink) {
    let square = Rect::new(TILE, PAD, TILE + 12.5, PAD + 9.5);
    let swatch = Rect { y0: square.y1 - 2.6, ..square };
    row.fill(&swatch, ink);
    row.stroke(&square, Pen::new(0.25, INK));
    let number = operation.number.to_string();
    let style = fitted(&number, VALUE.size(15.0), 11.0);
    let baseline = f64::midpoint(square.y0, swatch.y0) + style.capital() / 2.0;
    line(row, Point::new(square.center().x, baseline), Align::Centre, &number, style, 11.0);
    let sample = Rect::new(square.x0, square.y1 + 1.2, square.x1, square.y1 + 5.2);
    pattern(row, sample, operation.kind);
    let below = Point::new(square.x0, sample.y1 + 3.4);
    line(row, below, Align::Left, &operation.colour, LABEL.size(7.5), square.width() + 1.0);
}

fn pattern(row: &mut Fragment, sample: Rect, kind: OperationKind) {
    let middle = sample.center().y;
    match kind {
        OperationKind::Engrave => {
            for i in 0..5 {
                let y = sample.y0 + sample.height() * f64::from(i) / 4.0;
                row.line((sample.x0, y), (sample.x1, y), Pen::new(0.3, INK));
            }
        }
        OperationKind::Score => row.line((sample.x0, middle), (sample.x1, middle), Pen::new(0.35, INK)),
        OperationKind::Cut => row.line((sample.x0, middle), (sample.x1, middle), Pen::new(1.3, INK)),
        OperationKind::Guide => {
            row.line((sample.x0, middle), (sample.x1, middle), Pen::new(0.35, INK).dashed(&[0.4, 0.9]));
        }
    }
}

fn thumbnail(plan: &Plan, board: Option<&Region>, operation: &Operation) -> Fragment {
    let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get().max(0.0), plan.sheet.height.get().max(0.0));
    let mut thumbnail = Fragment::new(THUMB_SIZE.0, THUMB_SIZE.1);
    let frame = thumbnail.size.to_rect();
    let view = View::fit(sheet, frame);
    let view = view.moved_to(frame.origin(), sheet);
    thumbnail.stroke(&view.rect(sheet), Pen::new(0.18, SOFT));
    if let Some(board) = board.and_then(|board| view.region(board)) {
        thumbnail.stroke(&board, Pen::new(0.18, GHOST));
    }
    burned(&mut thumbnail, view, &operation.burn, INK, 0.22);
    pointer(&mut thumbnail, view, operation, view.rect(sheet));
    thumbnail.figure(alternatives::thumbnail(operation))
}

/// A ring round what is so small that it would be overlooked.
fn pointer(row: &mut Fragment, view: View, operation: &Operation, sheet: Rect) {
    let Some(seen) = bounds_of(&operation.burn).map(|b| view.rect(b)).filter(|b| b.size().max_side() < 2.2) else {
        return;
    };
    if sheet.contains(seen.center()) {
        row.stroke(&disc(seen.center(), 2.4), Pen::new(0.2, ALERT));
    }
}

fn words(operation: &Operation) -> Fragment {
    let width = SPEED - WORDS - 2.0;
    let mut words = paragraph(&[Word::new(title(operation.kind), STRONG.size(11.5))], width, Align::Left, 1);
    let figures = clipped(&operation.figures.join(", "), 160);
    words.stack(0.0, &paragraph(&[Word::new(figures, BODY)], width, Align::Left, 3));
    if let Some(setting) = &operation.setting {
        words.stack(0.2, &paragraph(&whose(setting), width, Align::Left, 2));
    }
    words
}

/// The setting that the numbers come from, or that they are on trial.
fn whose(setting: &ResolvedSetting) -> Vec<Word> {
    let trial = Word::new("numbers on trial", SMALL.weight(Weight::Semibold));
    if setting.name.is_empty() {
        return vec![trial];
    }
    let mut words =
        vec![Word::new("setting", LABEL), Word::new(format!(" {}", clipped(&setting.name, 60)), SMALL)];
    if setting.is_trial {
        words.extend([Word::new(", ", SMALL), trial]);
    }
    words
}

fn title(kind: OperationKind) -> &'static str {
    match kind {
        OperationKind::Engrave => "Engrave",
        OperationKind::Score => "Score",
        OperationKind::Cut => "Cut",
        OperationKind::Guide => "Guide",
    }
}

/// What is said in place of the numbers.
fn unset(row: &mut Fragment, kind: OperationKind) {
    let (text, style) = match kind {
        OperationKind::Guide => ("drawn for people, not burned", BODY.ink(SOFT)),
        _ => ("no setting: do not burn", STRONG.ink(ALERT)),
    };
    cell(row, |row| {
        row.text(Point::new(SPEED, PAD + 4.0), Align::Left, text, style);
    });
    (0..3).for_each(|_| cell(row, |_| {}));
}

/// Height of the baseline of a line of numbers, in mm below the top of the row.
fn baseline(i: usize) -> f64 {
    PAD + 4.0 + 5.0 * i as f64
}

/// Speed, power, passes, and what else is set: a cell each.
fn numbers(row: &mut Fragment, plan: &Plan, setting: &ResolvedSetting) {
    let is_changed = |word: &str| setting.overridden.contains(&word) && !setting.is_trial;
    let mark = |word: &str| if is_changed(word) { "\u{a0}†" } else { "" };
    let value = |row: &mut Fragment, (x, right): (f64, f64), i: usize, text: &str, style| {
        line(row, Point::new(x, baseline(i)), Align::Left, text, style, right - x - 1.5);
    };
    cell(row, |row| {
        let speed = setting.speed.to_string();
        let shop = shop_speed(setting.speed, &plan.machine.speed_unit);
        let first = format!("{}{}", shop.as_deref().unwrap_or(&speed), mark("speed"));
        value(row, (SPEED, POWER), 0, &first, VALUE);
        if shop.is_some() {
            value(row, (SPEED, POWER), 1, &speed, BODY);
        }
    });
    cell(row, |row| {
        value(row, (POWER, PASSES), 0, &format!("{}{}", setting.power, mark("power")), VALUE);
        if let Some(shade) = setting.shade {
            value(row, (POWER, PASSES), 1, &format!("shade {shade}"), SMALL);
        }
    });
    cell(row, |row| value(row, (PASSES, FINE), 0, &format!("{}{}", setting.passes, mark("passes")), VALUE));
    let fine = [
        ("interval ", setting.interval.map(|i| format!("{i}{}", mark("interval")))),
        ("focus ", setting.focus.map(|f| format!("{f}{}", mark("focus")))),
        ("air ", setting.air.map(|on| format!("{}{}", if on { "on" } else { "off" }, mark("air")))),
    ];
    cell(row, |row| {
        let left = FINE + LABEL.width("interval ") + 0.3;
        for (i, (name, text)) in fine.into_iter().filter_map(|(name, text)| Some((name, text?))).enumerate() {
            row.begin(Role::Paragraph);
            row.text(Point::new(FINE, baseline(i)), Align::Left, name, LABEL);
            fit_line(row, Point::new(left, baseline(i)), Align::Left, &text, STRONG, TIMES - left - 0.5);
            row.end();
        }
    });
}

fn times(row: &mut Fragment, operation: &Operation, so_far: Seconds) {
    let right = row.size.width;
    let lines = [
        (duration(operation.time.likely), STRONG.size(11.0)),
        (duration(so_far), BODY),
        (amount(operation), SMALL.ink(SOFT)),
        (strokes(operation), SMALL),
    ];
    for (i, (text, style)) in lines.iter().enumerate() {
        line(row, Point::new(right, baseline(i)), Align::Right, text, *style, right - TIMES - 1.0);
    }
}

/// `stroke 1`, `strokes 5–16`, `strokes 3, 7–9`: by these numbers it is said later how far the run came.
pub(super) fn strokes(operation: &Operation) -> String {
    let mut ranges: Vec<(usize, usize)> = Vec::new();
    for &number in &operation.numbers {
        match ranges.last_mut() {
            Some(last) if number == last.1 || number == last.1 + 1 => last.1 = number,
            _ => ranges.push((number, number)),
        }
    }
    let one = |&(first, last): &(usize, usize)| {
        if first == last { first.to_string() } else { format!("{first}–{last}") }
    };
    match ranges.as_slice() {
        [] => String::new(),
        [only] if only.0 == only.1 => kept(&format!("stroke {}", only.0)),
        _ => kept(&format!("strokes {}", ranges.iter().map(one).collect::<Vec<_>>().join(", "))),
    }
}

/// What a cut comes to, in the free room under its numbers: a cut has no interval, so a line is left there.
fn finished(row: &mut Fragment, operation: &Operation) {
    // The size of seams would be that of the largest whimsy among them.
    if operation.setting.is_none() {
        return;
    }
    let said = operation.seams.map(seams).or_else(|| operation.finished.as_ref().map(comes_out));
    if let Some(text) = said {
        line(row, Point::new(SPEED, PAD + 14.0), Align::Left, &text, SMALL, TIMES - SPEED - 1.5);
    }
}

/// How seams are cut, and what lies between two pieces then.
fn seams(cut: SeamCut) -> String {
    match cut {
        SeamCut::Shared { kerf: Some(kerf) } => {
            format!("seams once, from the middle outwards; {kerf} between pieces")
        }
        SeamCut::Shared { kerf: None } => "seams once, from the middle outwards".to_owned(),
        SeamCut::PerPiece { fit } if fit < Mm::ZERO => {
            format!("piece by piece, from the middle outwards; press of {}", -fit)
        }
        SeamCut::PerPiece { fit } => format!("piece by piece, from the middle outwards; gap of {fit}"),
    }
}

/// How large the largest part comes out, and how large when the beam runs elsewhere.
fn comes_out(finished: &Finished) -> String {
    let of = |beam| {
        let (width, height) = finished.size(beam);
        size(width, height)
    };
    match finished.beam {
        Beam::OnLine => {
            format!("comes out {} (on the waste side {})", of(Beam::OnLine), of(Beam::WasteSide))
        }
        Beam::WasteSide => {
            format!("comes out {} (on the line {})", of(Beam::WasteSide), of(Beam::OnLine))
        }
    }
}

/// What the dots of a photo are, when and how the setting was measured, and what the recipe changed.
fn notes(plan: &Plan, operation: &Operation, width: f64) -> Fragment {
    let mut notes = Fragment::new(width, 0.0);
    if let Burn::Dots(dots) = &operation.burn {
        notes.stack(0.0, &paragraph(&[Word::new(of_dots(dots), SMALL)], width, Align::Left, 2));
    }
    for line in of_manner(operation) {
        notes.stack(0.0, &paragraph(&[Word::new(line, SMALL)], width, Align::Left, 2));
    }
    if let Some(text) = plan.focus_of(operation).as_ref().and_then(of_focus) {
        notes.stack(0.0, &paragraph(&[Word::new(text, SMALL)], width, Align::Left, 2));
    }
    let Some(setting) = &operation.setting else { return notes };
    if setting.is_trial {
        return notes;
    }
    if let Some(read) = setting.card.as_ref() {
        notes.stack(0.0, &paragraph(&[Word::new(of_card(read), SMALL)], width, Align::Left, 2));
    }
    let how = setting.how.as_deref().map(|how| clipped(how, 300)).unwrap_or_default();
    let words = match &setting.measured {
        Some(when) => {
            let colon = if how.is_empty() { "" } else { ": " };
            quoted(&format!("measured {}{colon}{how}", kept(&clipped(when, 40))), SMALL.ink(SOFT))
        }
        None if how.is_empty() => {
            vec![Word::new("not measured: burn a test first", SMALL.weight(Weight::Semibold))]
        }
        None => quoted(&how, SMALL.ink(SOFT)),
    };
    notes.stack(0.0, &paragraph(&words, width, Align::Left, 4));
    if !setting.overridden.is_empty() {
        let text = format!("† changed in the recipe: {}", setting.overridden.join(", "));
        notes.stack(0.0, &paragraph(&[Word::new(text, SMALL.weight(Weight::Semibold))], width, Align::Left, 2));
    }
    notes
}

/// What somebody at the bench has to know of how a cut is made.
fn of_manner(operation: &Operation) -> Vec<String> {
    let Manner { tabs, lead_ins, overcut, spread } = &operation.manner;
    let mut lines = Vec::new();
    if let Some(tabs) = tabs.as_ref().filter(|t| !t.places.is_empty()) {
        let (bridges, outlines) = (tabs.places.len(), tabs.outlines);
        lines.push(format!(
            "{} of {} {} what is cut out, on {}: cut them with a knife",
            count(bridges, "bridge", "bridges"),
            kept(&tabs.width.to_string()),
            if bridges == 1 { "holds" } else { "hold" },
            count(outlines, "outline", "outlines"),
        ));
    }
    let leads = lead_ins
        .filter(|leads| 0 < leads.begun)
        .map(|l| format!("{} begun {} beside the line, in the waste", count(l.begun, "cut", "cuts"), l.length));
    let past = overcut.map(|by| format!("closed lines run {by} past their end"));
    let both: Vec<String> = leads.into_iter().chain(past).collect();
    if !both.is_empty() {
        lines.push(both.join("; "));
    }
    if let Some(spread) = spread {
        let more = (operation.travel - spread.travel_without).max(Mm::ZERO);
        lines.push(format!(
            "spread to cool, {} apart: {} more of moves a pass",
            kept(&spread.distance.to_string()),
            kept(&format!("{} mm", fixed(more.get(), 0)))
        ));
    }
    lines
}

/// `beam 0.082 mm wide at the upper face, 0.21 mm at the lower; the sheet may rise or sink 0.8 mm`; nothing where
/// nothing is known.
fn of_focus(focus: &Focus) -> Option<String> {
    let widths = focus.widths.map(|w| {
        let lower = w.lower.map_or_else(String::new, |l| format!(", {} at the lower", kept(&hundredths(l))));
        format!("beam {} wide at the upper face{lower}", kept(&hundredths(w.upper)))
    });
    let room = focus.room.map(|r| format!("the sheet may rise or sink {}", kept(&hundredths(r.either_way))));
    let parts: Vec<String> = widths.into_iter().chain(room).collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// A length that nobody can measure more finely.
fn hundredths(length: Mm) -> String {
    format!("{} mm", fixed(length.get(), 2))
}

/// `shade by card birch-tones, read between powers of 18 % (shade 20 %) and 28 % (shade 38 %)`.
fn of_card(read: &CardRead) -> String {
    let patch = |(power, shade): (Percent, Percent)| kept(&format!("{power} (shade {shade})"));
    let card = clipped(&read.card, 40);
    format!("shade by card {card}, read between powers of {} and {}", patch(read.lighter), patch(read.darker))
}

/// `photo: 812 × 1024 dots, 0.1 mm apart; halftone, period 0.8 mm; 43 % of them burned; tone card maple-dots`.
fn of_dots(dots: &Dots) -> String {
    let grid = kept(&format!("{} × {} dots", dots.bitmap.width, dots.bitmap.height));
    let period = dots.period.map_or_else(String::new, |period| format!(", {}", kept(&format!("period {period}"))));
    let burned = kept(&format!("{} %", fixed(100.0 * dots.coverage, 0)));
    let card = match &dots.tone_card {
        Some(card) => format!("tone card {}", clipped(card, 40)),
        None => "no tone card".to_owned(),
    };
    let pitch = kept(&dots.pitch.to_string());
    format!("photo: {grid}, {pitch} apart; {}{period}; {burned} of them burned; {card}", dots.dither)
}

/// Length of the moves with the beam off, for the foot of a table.
pub(super) fn travel(operations: &[Operation]) -> Mm {
    let passes = |o: &Operation| o.setting.as_ref().map_or(1, |s| s.passes);
    operations.iter().map(|o| o.travel * f64::from(passes(o))).sum()
}
