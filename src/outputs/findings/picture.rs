//! The picture itself: the drawing with its marks, and below it a list with a close view of each first place.

use super::labels::{DISC, RING, beside};
use super::marks::{Mark, Marked};
use crate::outputs::page::legible;
use crate::outputs::path_data::path_data;
use crate::plan::ArtworkUsed;
use crate::units::number::{coordinate, fixed};
use kurbo::{BezPath, Point, Rect};
use std::collections::BTreeMap;
use svg::Document;
use svg::node::element::{Circle, ClipPath, Definitions, Group, Line, Path, Rectangle, Text, Title, Use};

/// Width of the paper, in mm.
const PAPER: f64 = 190.0;

/// Blank round everything.
const MARGIN: f64 = 10.0;

/// Where the drawing begins, below the heading.
const TOP: f64 = 24.0;

/// Room round the drawing, for numbers beside its edge.
const AROUND: f64 = 9.0;

/// The drawing is at most so high.
const HIGHEST: f64 = 140.0;

/// The drawing is enlarged at most so often.
const LARGEST: f64 = 12.0;

/// Side of a close view.
const VIEW: f64 = 24.0;

/// A close view shows so many mm of the piece, or a fifth of a small one.
const SHOWN: f64 = 2.5;

/// Letters in a line of the list; a letter of the type used is about 1.5 mm wide.
const LETTERS: usize = 82;

/// Height of a line of the list.
const LEADING: f64 = 4.3;

/// Where the words of the list begin.
const WORDS: f64 = MARGIN + 8.0 + VIEW + 5.0;

/// From the sheet to the paper.
#[derive(Clone, Copy)]
struct View {
    from: Rect,
    to: Point,
    zoom: f64,
}

impl View {
    fn point(&self, p: Point) -> Point {
        self.to + (p - self.from.origin()) * self.zoom
    }

    fn transform(&self) -> String {
        let shift = self.to - self.from.origin().to_vec2() * self.zoom;
        format!("translate({} {}) scale({})", coordinate(shift.x), coordinate(shift.y), fixed(self.zoom, 6))
    }
}

/// Draws the picture of an artwork.
pub(super) fn draw(marked: &Marked) -> Vec<u8> {
    let Rect { x0, y0, .. } = marked.frame;
    let (width, height) = (marked.frame.width().max(0.1), marked.frame.height().max(0.1));
    let room = PAPER - 2.0 * (MARGIN + AROUND);
    let zoom = (room / width).min((HIGHEST - 2.0 * AROUND) / height).min(LARGEST);
    let to = Point::new(MARGIN + AROUND + 0.5 * (room - width * zoom), TOP + AROUND);
    let view = View { from: Rect::new(x0, y0, x0 + width, y0 + height), to, zoom };
    let list_top = TOP + height * zoom + 2.0 * AROUND + 4.0;
    let (list, bottom) = list(marked, list_top);
    let document = Document::new()
        .set("width", format!("{}mm", coordinate(PAPER)))
        .set("height", format!("{}mm", coordinate(bottom)))
        .set("viewBox", format!("0 0 {} {}", coordinate(PAPER), coordinate(bottom)))
        .set("font-family", "sans-serif")
        .add(Title::new(legible(&format!("{}: findings", marked.figure.name))))
        .add(definitions(marked.artwork))
        .add(rectangle(Rect::new(0.0, 0.0, PAPER, bottom)).set("fill", "#ffffff"))
        .add(heading(marked, zoom))
        .add(shown(&view, 0.25))
        .add(marks(marked, &view, Rect::new(MARGIN, TOP, PAPER - MARGIN, list_top - 4.0)))
        .add(list);
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n").into_bytes()
}

/// The drawing, once: areas and widened lines in grey, outlines and middles of lines to be stroked.
fn definitions(artwork: &ArtworkUsed) -> Definitions {
    let drawing = &artwork.drawing;
    let ink = Path::new().set("d", path_data(drawing.ink.contours())).set("fill-rule", "evenodd");
    let mut grey = Group::new().set("id", "ink").set("fill", "#cfcfcf").set("stroke", "none").add(ink);
    let mut by_width: BTreeMap<u64, Vec<&BezPath>> = BTreeMap::new();
    for line in &drawing.lines {
        by_width.entry(line.width.map_or(0, |w| w.get().to_bits())).or_default().push(&line.path);
    }
    for (width, paths) in by_width.into_iter().filter(|(width, _)| *width > 0) {
        let line = Path::new()
            .set("d", path_data(paths))
            .set("fill", "none")
            .set("stroke", "#cfcfcf")
            .set("stroke-width", fixed(f64::from_bits(width), 4));
        grey = grey.add(line);
    }
    let all = drawing.ink.contours().iter().chain(drawing.lines.iter().map(|l| &l.path));
    let lines = Path::new().set("id", "lines").set("d", path_data(all));
    Definitions::new().add(grey).add(lines)
}

/// The drawing in a view, its outlines `pen` mm wide on the paper.
fn shown(view: &View, pen: f64) -> Group {
    let lines = Use::new()
        .set("href", "#lines")
        .set("fill", "none")
        .set("stroke", "#8a8a8a")
        .set("stroke-linejoin", "round")
        .set("stroke-width", fixed(pen / view.zoom, 5));
    Group::new().set("transform", view.transform()).add(Use::new().set("href", "#ink")).add(lines)
}

fn heading(marked: &Marked, zoom: f64) -> Group {
    let count = marked.marks.len();
    let plural = if count == 1 { "" } else { "s" };
    let name = format!("{}: {count} finding{plural} with a place", marked.figure.name);
    let times = if (zoom - 1.0).abs() < 0.005 {
        "drawn at its size".to_owned()
    } else {
        format!("drawn {} times as large", fixed(zoom, 2))
    };
    let (width, height) = (fixed(marked.frame.width(), 1), fixed(marked.frame.height(), 1));
    let about = format!("{}, {width} x {height} mm on the sheet, {times}", marked.artwork.file);
    Group::new()
        .add(words(&name, Point::new(MARGIN, MARGIN + 5.0), 5.0).set("font-weight", "bold"))
        .add(words(&about, Point::new(MARGIN, MARGIN + 11.0), 3.2).set("fill", "#444444"))
}

fn words(text: &str, at: Point, size: f64) -> Text {
    Text::new(legible(text))
        .set("x", coordinate(at.x))
        .set("y", coordinate(at.y))
        .set("font-size", coordinate(size))
}

fn rectangle(r: Rect) -> Rectangle {
    Rectangle::new()
        .set("x", coordinate(r.x0))
        .set("y", coordinate(r.y0))
        .set("width", coordinate(r.width()))
        .set("height", coordinate(r.height()))
}

fn circle(at: Point, radius: f64) -> Circle {
    Circle::new().set("cx", coordinate(at.x)).set("cy", coordinate(at.y)).set("r", coordinate(radius))
}

/// A straight line with a white one under it, so that it shows on grey and on black.
fn line(from: Point, to: Point, pen: f64) -> Group {
    let one = |stroke: &str, width: f64| {
        Line::new()
            .set("x1", coordinate(from.x))
            .set("y1", coordinate(from.y))
            .set("x2", coordinate(to.x))
            .set("y2", coordinate(to.y))
            .set("stroke", stroke)
            .set("stroke-width", coordinate(width))
    };
    Group::new().add(one("#ffffff", pen + 0.8)).add(one("#000000", pen))
}

/// A number in a black disc.
fn number(number: usize, at: Point) -> Group {
    let size = if number < 10 { 3.6 } else { 3.0 };
    let digits = words(&number.to_string(), Point::new(at.x, at.y + 0.36 * size), size)
        .set("text-anchor", "middle")
        .set("font-weight", "bold")
        .set("fill", "#ffffff");
    let disc = circle(at, DISC).set("fill", "#000000").set("stroke", "#ffffff").set("stroke-width", 0.4);
    Group::new().add(disc).add(digits)
}

/// A ring round every place, tied to its number.
fn marks(marked: &Marked, view: &View, paper: Rect) -> Group {
    let places: Vec<(usize, Point)> = marked
        .marks
        .iter()
        .enumerate()
        .flat_map(|(i, mark)| mark.at.iter().map(move |at| (i + 1, view.point(*at))))
        .collect();
    let points: Vec<Point> = places.iter().map(|p| p.1).collect();
    let discs = beside(&points, paper);
    let mut rings = Group::new().set("fill", "none");
    let mut numbers = Group::new();
    for ((index, at), disc) in places.iter().zip(&discs) {
        let edge = *at + (*disc - *at) * (RING / at.distance(*disc).max(RING));
        rings = rings
            .add(circle(*at, RING).set("stroke", "#ffffff").set("stroke-width", 1.1))
            .add(circle(*at, RING).set("stroke", "#000000").set("stroke-width", 0.4))
            .add(line(edge, *disc, 0.3));
        numbers = numbers.add(number(*index, *disc));
    }
    Group::new().add(rings).add(numbers)
}

/// The list, and where it ends.
fn list(marked: &Marked, top: f64) -> (Group, f64) {
    let (mut list, mut y) = (Group::new(), top);
    for (i, mark) in marked.marks.iter().enumerate() {
        let (row, height) = row(marked, mark, i + 1, y);
        list = list.add(line(Point::new(MARGIN, y - 2.0), Point::new(PAPER - MARGIN, y - 2.0), 0.15)).add(row);
        y += height;
    }
    (list, y + MARGIN - 4.0)
}

fn row(marked: &Marked, mark: &Mark, index: usize, y: f64) -> (Group, f64) {
    let finding = mark.finding;
    let rule = format!("{}: {}", finding.severity, finding.finding.rule);
    let mut row = Group::new()
        .add(number(index, Point::new(MARGIN + DISC + 0.4, y + DISC + 0.6)))
        .add(close_view(marked, mark, index, Point::new(MARGIN + 8.0, y)))
        .add(words(&rule, Point::new(WORDS, y + 3.4), 3.3).set("font-weight", "bold"));
    let mut at = y + 3.4 + LEADING;
    let repair = finding.repair.as_ref().map(|r| r.text.clone());
    for (text, fill) in
        [(Some(finding.message.clone()), "#000000"), (elements(mark), "#444444"), (repair, "#444444")]
    {
        for line in text.map(|t| wrapped(&t.replace('`', ""))).unwrap_or_default() {
            row = row.add(words(&line, Point::new(WORDS, at), 3.1).set("fill", fill));
            at += LEADING;
        }
    }
    (row, (at - y).max(VIEW + 1.0) + 4.0)
}

/// The elements that a finding points at and does not name in its message, with their lines in the file.
fn elements(mark: &Mark) -> Option<String> {
    let is_new = |name: &&String| !mark.finding.message.contains(name.as_str());
    let named = mark.finding.artwork.iter().filter_map(|place| {
        let line = place.position.map_or_else(String::new, |(line, column)| match &place.element {
            Some(name) if name.starts_with('#') => format!(" (line {line})"),
            _ => format!(" (line {line}, column {column})"),
        });
        Some(format!("{}{line}", place.element.as_ref().filter(is_new)?))
    });
    let mut all: Vec<String> = named.collect();
    all.dedup();
    (!all.is_empty()).then(|| format!("in {}", all.join(", ")))
}

/// The surroundings of a finding's first place, enlarged; ticks from the corners point at it.
fn close_view(marked: &Marked, mark: &Mark, index: usize, to: Point) -> Group {
    let across = SHOWN.min(marked.frame.width().max(marked.frame.height()) / 5.0).max(0.2);
    let middle = mark.at[0];
    let view = View { from: Rect::from_center_size(middle, (across, across)), to, zoom: VIEW / across };
    let frame = Rect::from_origin_size(to, (VIEW, VIEW));
    let (id, centre) = (format!("view-{index}"), frame.center());
    let mut all = Group::new()
        .add(ClipPath::new().set("id", id.as_str()).add(rectangle(frame)))
        .add(Group::new().set("clip-path", format!("url(#{id})")).add(shown(&view, 0.3)))
        .add(rectangle(frame).set("fill", "none").set("stroke", "#000000").set("stroke-width", 0.25));
    // From the corners: lines are more often level or upright.
    for (dx, dy) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
        let at = |share: f64| Point::new(centre.x + dx * share * VIEW, centre.y + dy * share * VIEW);
        all = all.add(line(at(0.36), at(0.18), 0.35));
    }
    let scale = format!("{} mm", fixed(across, 1));
    all.add(words(&scale, Point::new(to.x + 0.8, to.y + VIEW - 0.9), 2.4).set("fill", "#444444"))
}

/// Text in lines of at most [`LETTERS`] letters.
fn wrapped(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= LETTERS => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
