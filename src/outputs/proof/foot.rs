//! The foot of a page: scale bars, which page it is, how it is joined to its neighbours, which colour is what.

use super::map;
use super::page::{INK, SOFT, sheet_edge};
use super::picture::{ink, pen, tint};
use super::side::Side;
use super::tiling::{MARGIN, Tile};
use crate::outputs::pdf::{Align, Artifact, Fragment, Numbering, Pen, Role, Style, Weight};
use crate::plan::Operation;
use kurbo::{Point, Rect, Vec2};

const HEADING: Style = Style { weight: Weight::Semibold, size: 9.5, ink: INK };
const BODY: Style = Style { weight: Weight::Regular, size: 8.5, ink: INK };
const LABEL: Style = Style { weight: Weight::Regular, size: 8.0, ink: SOFT };

/// From the drawing down to the scale bars, in mm: clear of the crop marks.
const BARS: f64 = 11.0;

/// From the first scale bar down to the second, to how the page is joined, and to the legend, in mm.
const SECOND_BAR: f64 = 6.7;
const JOINING: f64 = 11.8;
const LEGEND: f64 = 22.4;

/// Height of the ticks at both ends of a bar, in mm.
const TICK: f64 = 2.2;

/// From the left margin to the words beside the bars, in mm.
const WORDS: f64 = 122.0;

/// Lines of the legend.
const LEGEND_LINES: usize = 2;

/// From the start of a colour sample to its text, and from there to the next sample, in mm.
const SWATCH: f64 = 5.2;
const NEXT: f64 = 3.6;

/// Which page of which.
pub(super) struct Says {
    /// Which of the side's printed tiles it is, from 0.
    pub index: usize,
    /// The number of the side's first page.
    pub first_page: usize,
    /// Pages of the whole file.
    pub count: usize,
}

/// Writes the foot of a page with a tile on it.
pub(super) fn write(page: &mut Fragment, side: &Side, says: &Says) {
    let foot = Point::new(MARGIN, side.tiling.frame().y1 + BARS);
    let tile = &side.printed[says.index];
    let number = format!("Full-size proof, page {} of {}", says.first_page + says.index, says.count);
    let is_one_of_many = 1 < side.tiling.count();
    let place = is_one_of_many.then(|| {
        let (rows, columns) = (side.tiling.rows, side.tiling.columns);
        format!("Row {} of {rows}, column {} of {columns}", tile.row + 1, tile.column + 1)
    });
    // The only side of the only sheet needs no name.
    let name = (says.count > side.printed.len()).then(|| side.name());
    let lines = [name, Some(number), place, Some(PRINT[0].to_owned()), Some(PRINT[1].to_owned())];
    let room =
        page.size.width - MARGIN - WORDS - MARGIN - if is_one_of_many { map::SIZE.width + 2.0 } else { 0.0 };
    let number_of_all = says.first_page + says.index;
    words(page, foot + Vec2::new(WORDS, 0.0), side, number_of_all, lines.into_iter().flatten(), room);
    scale_bars(page, foot);
    if is_one_of_many {
        let mut at = foot + Vec2::new(0.0, JOINING);
        for line in joining(side, tile, says.first_page) {
            page.begin(Role::Paragraph);
            page.text(at, Align::Left, &line, LABEL);
            page.end();
            at.y += LABEL.leading();
        }
        let corner = Point::new(page.size.width - MARGIN, foot.y - HEADING.capital());
        map::draw(page, corner, side, says.index, says.first_page);
    }
    legend(page, foot + Vec2::new(0.0, LEGEND), side);
}

/// The page of a side that would take too many pages.
pub(super) fn refuse(page: &mut Fragment, side: &Side, number: usize, count: usize) {
    let room = page.size.width - 2.0 * MARGIN;
    let tiles = side.tiling.count();
    let lines = [
        side.name(),
        format!("Full-size proof, page {number} of {count}"),
        format!("At full size this side takes {tiles} pages, too many to print and join."),
        "Check positions with the machine's own framing at its lowest power, lid closed.".to_owned(),
    ];
    words(page, Point::new(MARGIN, 30.0), side, number, lines.into_iter(), room);
    scale_bars(page, Point::new(MARGIN, side.tiling.frame().y1 + BARS));
}

const PRINT: [&str; 2] = ["Print at 100 % (actual size),", "then measure both bars."];

fn scale_bars(page: &mut Fragment, at: Point) {
    for (below, steps, step, label) in [(0.0, 10, 10.0, "100 mm"), (SECOND_BAR, 4, 25.4, "4 in")] {
        let mut one = Fragment::new(120.0, TICK);
        bar(&mut one, Point::new(0.0, TICK), steps, step, label);
        let alternative = format!("A bar that measures {label} where the printer kept the size.");
        page.place(at + Vec2::new(0.0, below - TICK), &one.figure(alternative));
    }
}

/// A bar of so many steps, with a tick at each.
fn bar(page: &mut Fragment, at: Point, steps: u32, step: f64, label: &str) {
    let length = f64::from(steps) * step;
    page.line(at, at + Vec2::new(length, 0.0), Pen::new(0.3, INK));
    for tick in 0..=steps {
        let x = at.x + f64::from(tick) * step;
        let tall = if tick % steps == 0 { TICK } else { 1.2 };
        page.line((x, at.y - tall), (x, at.y + 0.15), Pen::new(0.2, INK));
    }
    page.text(at + Vec2::new(105.0, 0.0), Align::Left, label, LABEL);
}

/// The title, which further pages carry for the eye only, the name of the side as a heading, and the rest.
fn words(
    page: &mut Fragment,
    mut at: Point,
    side: &Side,
    number: usize,
    lines: impl Iterator<Item = String>,
    room: f64,
) {
    let mut title = Fragment::new(room, HEADING.leading());
    title.text(Point::ORIGIN, Align::Left, &fitted(&side.plan.title, HEADING, room), HEADING);
    let title = if number == 1 { title.tagged(Role::Title) } else { title.artifact(Artifact::Pagination) };
    page.place(at, &title);
    for (index, line) in lines.enumerate() {
        at.y += BODY.leading();
        page.begin(if index == 0 { Role::Heading } else { Role::Paragraph });
        page.text(at, Align::Left, &fitted(&line, BODY, room), BODY);
        page.end();
    }
}

/// How a page is joined to those that are printed beside and below it, and which tiles are left out.
fn joining(side: &Side, tile: &Tile, first_page: usize) -> Vec<String> {
    let page_at = |row: usize, column: usize| {
        let index = side.printed.iter().position(|t| (t.row, t.column) == (row, column))?;
        Some(first_page + index)
    };
    let onto = |way: &str, page: usize| {
        format!("{way}: cut along the dotted line, lay that edge on the same line of page {page}, tape.")
    };
    let right = page_at(tile.row, tile.column + 1).map(|page| onto("Right", page));
    let below = page_at(tile.row + 1, tile.column).map(|page| onto("Below", page));
    let left_out = side.tiling.count() - side.printed.len();
    let bare = match left_out {
        0 => None,
        1 => Some("One page with nothing on it is left out: dotted on the map.".to_owned()),
        many => Some(format!("{many} pages with nothing on them are left out: dotted on the map.")),
    };
    [right, below, bare].into_iter().flatten().collect()
}

/// Which colour is which operation: as many as fit.
fn legend(page: &mut Fragment, at: Point, side: &Side) {
    let edge = if side.is_scrap() { "where the sheet will lie" } else { "edge of the sheet" };
    page.begin(Role::List(Numbering::Terms));
    let mut line = LegendLine { at, line: 1 };
    line.write(page, edge, |page, sample| {
        page.line((sample.x0, sample.center().y), (sample.x1, sample.center().y), sheet_edge());
    });
    for (run, operation) in side.operations() {
        let text = format!("{}.{} {} {}", run.number, operation.number, operation.kind, operation.name);
        if !line.write(page, &fitted(&text, LABEL, 60.0), |page, sample| swatch(page, sample, operation)) {
            break;
        }
    }
    page.end();
}

/// Where the next entry of the legend stands.
struct LegendLine {
    at: Point,
    line: usize,
}

impl LegendLine {
    /// Writes an entry; says whether there was room for it.
    fn write(&mut self, page: &mut Fragment, text: &str, draw: impl FnOnce(&mut Fragment, Rect)) -> bool {
        let right = page.size.width - MARGIN;
        if right < self.at.x + SWATCH + LABEL.width(text) {
            if self.line == LEGEND_LINES {
                entry(page, self.at, "…");
                return false;
            }
            self.line += 1;
            self.at = Point::new(MARGIN, self.at.y + LABEL.leading());
        }
        let at = self.at;
        draw(page, Rect::new(at.x, at.y - LABEL.capital(), at.x + SWATCH - 1.2, at.y));
        self.at.x += SWATCH + entry(page, at + Vec2::new(SWATCH, 0.0), text) + NEXT;
        true
    }
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

fn swatch(page: &mut Fragment, sample: Rect, operation: &Operation) {
    if operation.burn.area().is_some() {
        page.fill(&sample, tint(ink(operation)));
    } else {
        page.line((sample.x0, sample.center().y), (sample.x1, sample.center().y), pen(operation));
    }
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
