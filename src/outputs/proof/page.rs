//! One page of the proof: its part of the drawing, crop marks, scale bars, where it belongs.

use super::picture::{Picture, ink, pen, tint};
use super::tiling::{FOOT, MARGIN, Tile, Tiling};
use crate::outputs::pdf::{Align, Artifact, Fragment, Ink, Numbering, Page, Pen, Role, Style, Weight};
use crate::plan::{Operation, Plan};
use crate::units::Mm;
use kurbo::{Point, Rect, Size, Vec2};

const INK: Ink = Ink::hex(0x1a_1a1a);
const SOFT: Ink = Ink::hex(0x55_5555);
const JOIN: Ink = Ink::hex(0x8a_8a8a);
const HERE: Ink = Ink::hex(0x1d_4a50);
const HEADING: Style = Style { weight: Weight::Semibold, size: 9.5, ink: INK };
const BODY: Style = Style { weight: Weight::Regular, size: 8.5, ink: INK };
const LABEL: Style = Style { weight: Weight::Regular, size: 8.0, ink: SOFT };

/// Length of crop marks and their distance from the drawing, in mm.
const CROP: (f64, f64) = (6.0, 1.5);

/// From the drawing down to the scale bars, in mm: clear of the crop marks.
const BARS: f64 = 12.0;

/// From the first scale bar down to the legend, in mm.
const LEGEND: f64 = 16.5;

/// From the start of a colour sample to its text, in mm.
const SWATCH: f64 = 5.2;

/// Room of the little map of all pages, in mm.
const MAP: Size = Size::new(18.0, 14.0);

/// A page with one tile on it.
pub(super) fn tile(plan: &Plan, picture: &Picture, tiling: &Tiling, used: &[Tile], index: usize) -> Page {
    let (tile, frame) = (&used[index], tiling.frame());
    let mut page = Fragment::new(tiling.paper.width, tiling.paper.height);
    let on_page = |rect: Rect| rect + (frame.origin() - tile.shown.origin());
    page.begin(Role::Section);
    page.place(frame.origin(), &drawn(plan, picture, tile).figure(alternative(tile, (index, used.len()))));
    let mut edges = Fragment::new(page.size.width, page.size.height);
    cover_margins(&mut edges, frame);
    if 1 < tiling.count() {
        joins(&mut edges, frame, on_page(tile.trimmed));
        crop_marks(&mut edges, frame, on_page(tile.trimmed));
    }
    page.place((0.0, 0.0), &edges.artifact(Artifact::Page));
    let foot = Point::new(MARGIN, frame.y1 + BARS);
    let lines: [String; 3] = [
        format!("Full-size proof, page {} of {}", index + 1, used.len()),
        "Print at 100 % (actual size), ".to_owned(),
        "then measure both bars.".to_owned(),
    ];
    words(&mut page, foot, &plan.title, &lines, (index, used.len()));
    scale_bars(&mut page, foot);
    legend(&mut page, foot + Vec2::new(0.0, LEGEND), plan);
    if 1 < tiling.count() {
        map(&mut page, tiling, used, index);
    }
    page.end();
    let bookmark = (1 < used.len()).then(|| format!("Row {}, column {}", tile.row + 1, tile.column + 1));
    Page { content: page, bookmark }
}

/// What a page shows of the drawing, at the left top corner of the frame.
fn drawn(plan: &Plan, picture: &Picture, tile: &Tile) -> Fragment {
    let mut drawn = Fragment::new(tile.shown.width(), tile.shown.height());
    picture.draw(&mut drawn, tile.shown, Point::ORIGIN);
    let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get(), plan.sheet.height.get());
    drawn.stroke(&(sheet - tile.shown.origin().to_vec2()), sheet_edge());
    drawn
}

/// The same in words.
fn alternative(tile: &Tile, (index, count): (usize, usize)) -> String {
    let place = |p: Point| format!("x {}, y {}", Mm::new(p.x), Mm::new(p.y));
    let (from, to) = (tile.shown.origin(), Point::new(tile.shown.x1, tile.shown.y1));
    let page = match count {
        1 => String::new(),
        _ => format!(", page {} of {count} in row {}, column {}", index + 1, tile.row + 1, tile.column + 1),
    };
    format!(
        "What is burned, at full size{page}: the sheet from {} to {}, from its left top corner, x to the right and y down.",
        place(from),
        place(to)
    )
}

/// The one page of a job that would take too many.
pub(super) fn too_large(plan: &Plan, tiling: &Tiling) -> Page {
    let mut page = Fragment::new(tiling.paper.width, tiling.paper.height);
    page.begin(Role::Title);
    page.text(Point::new(MARGIN, 30.0), Align::Left, &fitted(&plan.title, HEADING, 180.0), HEADING);
    page.end();
    let needed = format!("At full size this job takes {} pages, too many to print and join.", tiling.count());
    page.begin(Role::Paragraph);
    page.text(Point::new(MARGIN, 38.0), Align::Left, &format!("{needed} "), BODY);
    let instead = "Check positions with the machine's own framing at its lowest power, lid closed.";
    page.text(Point::new(MARGIN, 43.0), Align::Left, instead, BODY);
    page.end();
    scale_bars(&mut page, Point::new(MARGIN, tiling.frame().y1 + BARS));
    Page { content: page, bookmark: None }
}

/// Paper over what reaches beyond the frame, and over the paper's own edge.
fn cover_margins(page: &mut Fragment, frame: Rect) {
    let whole = Rect::from_origin_size(Point::ORIGIN, page.size).inflate(MARGIN, MARGIN);
    for cover in [
        Rect { y1: frame.y0, ..whole },
        Rect { y0: frame.y1, ..whole },
        Rect { x1: frame.x0, ..whole },
        Rect { x0: frame.x1, ..whole },
    ] {
        page.fill(&cover, Ink::WHITE);
    }
}

/// Where this page meets its neighbours: trim one page here and lay it on the other's line.
fn joins(page: &mut Fragment, frame: Rect, trimmed: Rect) {
    let pen = || Pen::new(0.12, JOIN).dashed(&[1.0, 2.0]);
    let inner = frame.inset(-1.0);
    for x in [trimmed.x0, trimmed.x1].into_iter().filter(|&x| inner.x0 < x && x < inner.x1) {
        page.line((x, frame.y0), (x, frame.y1), pen());
    }
    for y in [trimmed.y0, trimmed.y1].into_iter().filter(|&y| inner.y0 < y && y < inner.y1) {
        page.line((frame.x0, y), (frame.x1, y), pen());
    }
}

fn crop_marks(page: &mut Fragment, frame: Rect, trimmed: Rect) {
    let (length, gap) = CROP;
    let pen = || Pen::new(0.15, INK);
    for x in [trimmed.x0, trimmed.x1] {
        page.line((x, frame.y0 - gap), (x, frame.y0 - gap - length), pen());
        page.line((x, frame.y1 + gap), (x, frame.y1 + gap + length), pen());
    }
    for y in [trimmed.y0, trimmed.y1] {
        page.line((frame.x0 - gap, y), (frame.x0 - gap - length, y), pen());
        page.line((frame.x1 + gap, y), (frame.x1 + gap + length, y), pen());
    }
}

fn scale_bars(page: &mut Fragment, at: Point) {
    for (below, steps, step, label) in [(0.0, 10, 10.0, "100 mm"), (7.5, 4, 25.4, "4 in")] {
        let mut one = Fragment::new(120.0, 2.4);
        bar(&mut one, Point::new(0.0, 2.2), steps, step, label);
        let alternative = format!("A bar that measures {label} where the printer kept the size.");
        page.place(at + Vec2::new(0.0, below - 2.2), &one.figure(alternative));
    }
}

/// A bar of so many steps, with a tick at each.
fn bar(page: &mut Fragment, at: Point, steps: u32, step: f64, label: &str) {
    let length = f64::from(steps) * step;
    page.line(at, at + Vec2::new(length, 0.0), Pen::new(0.3, INK));
    for tick in 0..=steps {
        let x = at.x + f64::from(tick) * step;
        let tall = if tick % steps == 0 { 2.2 } else { 1.2 };
        page.line((x, at.y - tall), (x, at.y + 0.15), Pen::new(0.2, INK));
    }
    page.text(at + Vec2::new(105.0, 0.0), Align::Left, label, LABEL);
}

fn words(
    page: &mut Fragment,
    foot: Point,
    title: &str,
    [head, print @ ..]: &[String; 3],
    (index, count): (usize, usize),
) {
    let left = foot.x + 122.0;
    let room = page.size.width - MARGIN - MAP.width - 2.0 - left;
    let mut at = Point::new(left, foot.y);
    let mut shown = Fragment::new(room, BODY.leading());
    shown.text(Point::ORIGIN, Align::Left, &fitted(title, HEADING, room), HEADING);
    // The title is that of the whole file, and stands on further pages for the eye only.
    let shown = if index == 0 { shown.tagged(Role::Title) } else { shown.artifact(Artifact::Pagination) };
    page.place(at, &shown);
    page.begin(if count == 1 { Role::Paragraph } else { Role::Heading });
    at.y += BODY.leading();
    page.text(at, Align::Left, head, BODY);
    page.end();
    page.begin(Role::Paragraph);
    for line in print {
        at.y += BODY.leading();
        page.text(at, Align::Left, line, BODY);
    }
    page.end();
}

/// The edge of the stock, as it is drawn.
fn sheet_edge() -> Pen {
    Pen::new(0.15, SOFT).dashed(&[2.5, 1.0])
}

/// Which colour is which operation: as many as fit on one line.
fn legend(page: &mut Fragment, mut at: Point, plan: &Plan) {
    let right = page.size.width - MARGIN;
    page.begin(Role::List(Numbering::Terms));
    page.line(at - Vec2::new(0.0, 1.0), at + Vec2::new(SWATCH - 1.2, -1.0), sheet_edge());
    at.x += SWATCH + entry(page, at + Vec2::new(SWATCH, 0.0), "edge of the sheet") + 3.6;
    for (run, operation) in plan.on_first_sheet(false) {
        let text = format!("{}.{} {} {}", run.number, operation.number, operation.kind, operation.name);
        let text = fitted(&text, LABEL, 60.0);
        if right < at.x + SWATCH + LABEL.width(&text) {
            entry(page, at, "…");
            break;
        }
        swatch(page, at, operation);
        at.x += SWATCH + entry(page, at + Vec2::new(SWATCH, 0.0), &text) + 3.6;
    }
    page.end();
}

/// A text of the legend; tells its width in mm.
fn entry(page: &mut Fragment, at: Point, text: &str) -> f64 {
    page.begin(Role::Item);
    page.begin(Role::Body);
    let width = page.text(at, Align::Left, text, LABEL);
    page.end();
    page.end();
    width
}

fn swatch(page: &mut Fragment, at: Point, operation: &Operation) {
    let sample = Rect::new(at.x, at.y - LABEL.capital(), at.x + SWATCH - 1.2, at.y);
    if operation.burn.area().is_some() {
        page.fill(&sample, tint(ink(operation)));
    } else {
        page.line((sample.x0, sample.center().y), (sample.x1, sample.center().y), pen(operation));
    }
}

/// The grid of pages, this one filled; pages with nothing on them are left out, here as in the file.
fn map(page: &mut Fragment, tiling: &Tiling, used: &[Tile], index: usize) {
    let paper = tiling.frame().size();
    let (columns, rows) = (tiling.columns as f64, tiling.rows as f64);
    let scale = (MAP.width / (columns * paper.width)).min(MAP.height / (rows * paper.height));
    let cell = paper * scale;
    let corner = Point::new(page.size.width - MARGIN - columns * cell.width, page.size.height - FOOT + BARS - 2.5);
    let mut map = Fragment::new(columns * cell.width, rows * cell.height);
    for (number, tile) in used.iter().enumerate() {
        let at = (tile.column as f64 * cell.width, tile.row as f64 * cell.height);
        let rect = Rect::from_origin_size(at, cell).inset(-0.25);
        if number == index {
            map.fill(&rect, HERE);
        }
        map.stroke(&rect, Pen::new(0.15, HERE));
    }
    let (row, column) = (used[index].row + 1, used[index].column + 1);
    let alternative = format!("A map of the {} pages: this one is in row {row}, column {column}.", used.len());
    page.place(corner, &map.figure(alternative));
}

/// The text, cut short where it is wider than `room` mm.
fn fitted(text: &str, style: Style, room: f64) -> String {
    // No line of this file holds more characters than this; shaping an endless title would take long.
    let mut kept: String = text.chars().take(120).collect();
    if style.width(&kept) <= room && kept.len() == text.len() {
        return kept;
    }
    while !kept.is_empty() && room < style.width(&format!("{kept}…")) {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}
