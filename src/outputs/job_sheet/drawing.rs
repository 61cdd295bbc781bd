//! Drawings to scale: the sheet's millimetres on the paper's, dimension lines, marks.

use super::style::{INK, LABEL, SMALL};
use super::text::fit_line;
use crate::geometry::Region;
use crate::outputs::pdf::{Align, Fragment, Ink, Pen};
use crate::plan::{Burn, Dots};
use crate::units::number::fixed;
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape, Vec2};

/// Points nearer to each other than this on paper, in mm, are one: finer than a printer's dot.
const FINEST: f64 = 0.05;

/// More points than one drawing may hold; what goes beyond is shown by its box.
const MOST_POINTS: usize = 40_000;

/// Where a drawing's own millimetres fall on the paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    scale: f64,
    shift: Vec2,
}

impl View {
    /// As large as fits into `frame`, in its middle; never larger than life.
    pub(super) fn fit(what: Rect, frame: Rect) -> Self {
        let (width, height) = (what.width().max(1e-6), what.height().max(1e-6));
        let scale = (frame.width() / width).min(frame.height() / height).min(1.0);
        Self { scale, shift: frame.center().to_vec2() - what.center().to_vec2() * scale }
    }

    /// The same scale, with `what`'s left top corner at a point.
    pub(super) fn moved_to(self, corner: Point, what: Rect) -> Self {
        Self { shift: corner.to_vec2() - what.origin().to_vec2() * self.scale, ..self }
    }

    /// `1 : 2.5`.
    pub(super) fn ratio(self) -> String {
        format!("1 : {}", fixed(1.0 / self.scale, 1))
    }

    /// A point on paper.
    pub(super) fn point(self, point: Point) -> Point {
        self.affine() * point
    }

    /// A length on paper, in mm.
    pub(super) fn length(self, length: f64) -> f64 {
        length * self.scale
    }

    /// A box on paper.
    pub(super) fn rect(self, rect: Rect) -> Rect {
        Rect::from_points(self.point(rect.origin()), self.point(Point::new(rect.x1, rect.y1)))
    }

    /// A path on paper, without the short steps that no printer can show; curves stay curves.
    pub(super) fn path(self, path: &BezPath) -> BezPath {
        let mut thin = BezPath::new();
        let mut last: Option<Point> = None;
        let mut skipped: Option<Point> = None;
        for element in (self.affine() * path.clone()).elements() {
            match *element {
                PathEl::LineTo(p) if last.is_some_and(|l| l.distance(p) < FINEST) => skipped = Some(p),
                // A closing line makes up for what was skipped before it.
                PathEl::ClosePath if last.is_some() => {
                    skipped = None;
                    thin.close_path();
                }
                PathEl::ClosePath => {}
                PathEl::LineTo(p) => {
                    skipped = None;
                    thin.line_to(p);
                    last = Some(p);
                }
                other => {
                    thin.extend(skipped.take().map(PathEl::LineTo));
                    thin.push(other);
                    last = other.end_point();
                }
            }
        }
        thin.extend(skipped.map(PathEl::LineTo));
        thin
    }

    /// An area on paper; `None` when it holds too many points to be drawn.
    pub(super) fn region(self, region: &Region) -> Option<BezPath> {
        self.all(region.contours())
    }

    /// All paths in one. Those smaller than a printer's dot are left out; where that takes most of the
    /// drawing away, as with the dots of a photo, the drawing is too fine as a whole.
    fn all(self, paths: &[BezPath]) -> Option<BezPath> {
        let mut drawn = BezPath::new();
        let (mut all, mut kept): (Option<Rect>, Option<Rect>) = (None, None);
        for path in paths {
            let bounds = self.rect(path.bounding_box());
            all = Some(all.map_or(bounds, |a| a.union(bounds)));
            if paths.len() == 1 || FINEST < bounds.size().max_side() {
                kept = Some(kept.map_or(bounds, |k| k.union(bounds)));
                drawn.extend(self.path(path));
            }
            if MOST_POINTS < drawn.elements().len() {
                return None;
            }
        }
        let side = |bounds: Option<Rect>| bounds.map_or(0.0, |b| b.size().max_side());
        (side(all) <= 2.0 * side(kept)).then_some(drawn)
    }

    fn affine(self) -> Affine {
        Affine::translate(self.shift) * Affine::scale(self.scale)
    }
}

/// Draws what an operation burns; what is too fine becomes its box, hatched.
pub(super) fn burned(fragment: &mut Fragment, view: View, burn: &Burn, ink: Ink, width: f64) {
    if let Burn::Dots(dots) = burn {
        return shaded(fragment, view, dots, ink);
    }
    let drawn = match burn {
        Burn::Dots(_) => None,
        Burn::Area(region) => view.region(region),
        Burn::Lines(lines) => view.all(lines),
    };
    match (drawn, burn) {
        (Some(path), Burn::Area(_)) => fragment.fill(&path, ink),
        (Some(path), Burn::Lines(_)) => fragment.stroke(&path, Pen::new(width, ink)),
        (Some(_), Burn::Dots(_)) | (None, _) => hatched(fragment, view, bounds_of(burn), ink),
    }
}

/// The box around what is burned.
pub(super) fn bounds_of(burn: &Burn) -> Option<Rect> {
    match burn {
        Burn::Area(region) => region.bounds(),
        Burn::Dots(dots) => Some(dots.bounds),
        Burn::Lines(lines) => lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)),
    }
}

/// Side of a photo's cells on paper, in mm, and how many of them there are at most a side.
const CELL: f64 = 0.4;
const MOST_CELLS: f64 = 90.0;

/// Steps of ink by which a photo is shown.
const SHADES: u8 = 6;

/// A photo as it is seen from afar: cells in a few shades.
fn shaded(fragment: &mut Fragment, view: View, dots: &Dots, ink: Ink) {
    let frame = view.rect(dots.bounds);
    let cells = |length: f64| (length / CELL).ceil().clamp(1.0, MOST_CELLS) as usize;
    let tones = dots.tones(cells(frame.width()), cells(frame.height()));
    let (width, height) = (frame.width() / tones.width as f64, frame.height() / tones.height as f64);
    let shade = |share: f32| (share * f32::from(SHADES)).round() as u8;
    for step in 1..=SHADES {
        let mut path = BezPath::new();
        for y in 0..tones.height {
            let row: Vec<u8> = tones.row(y).iter().map(|share| shade(*share)).collect();
            let mut x = 0;
            for run in row.chunk_by(|a, b| a == b) {
                if run[0] == step {
                    let corner = (frame.x0 + x as f64 * width, frame.y0 + y as f64 * height);
                    path.extend(
                        Rect::from_origin_size(corner, (run.len() as f64 * width, height)).path_elements(0.1),
                    );
                }
                x += run.len();
            }
        }
        if !path.elements().is_empty() {
            fragment.fill(&path, ink.share(f64::from(step) / f64::from(SHADES)));
        }
    }
    fragment.stroke(&frame, Pen::new(0.12, ink));
}

fn hatched(fragment: &mut Fragment, view: View, bounds: Option<Rect>, ink: Ink) {
    let Some(rect) = bounds.map(|b| view.rect(b)) else { return };
    fragment.stroke(&rect, Pen::new(0.2, ink));
    let rows = (rect.height() / 0.8).clamp(1.0, 400.0) as usize;
    for row in 1..rows {
        let y = rect.y0 + rect.height() * row as f64 / rows as f64;
        fragment.line((rect.x0, y), (rect.x1, y), Pen::new(0.2, ink));
    }
}

/// A horizontal dimension line at height `y` over two edges, its length above it.
pub(super) fn across(fragment: &mut Fragment, from: Point, to: Point, y: f64, label: &str) {
    let pen = Pen::new(0.2, INK);
    for end in [from, to] {
        let beyond = if y < end.y { -1.2 } else { 1.2 };
        let clear = if y < end.y { -0.8 } else { 0.8 };
        fragment.line((end.x, end.y + clear), (end.x, y + beyond), Pen::new(0.15, INK));
    }
    fragment.line((from.x, y), (to.x, y), pen);
    let outward = if from.x <= to.x { 1.0 } else { -1.0 };
    arrow(fragment, Point::new(from.x, y), Vec2::new(-outward, 0.0));
    arrow(fragment, Point::new(to.x, y), Vec2::new(outward, 0.0));
    fragment.text(Point::new(f64::midpoint(from.x, to.x), y - 1.0), Align::Centre, label, SMALL);
}

/// A vertical dimension line at `x` beside two edges, its length (one text a line) beside it.
pub(super) fn upright(fragment: &mut Fragment, from: Point, to: Point, x: f64, labels: &[&str], side: Align) {
    let pen = Pen::new(0.2, INK);
    for end in [from, to] {
        let beyond = if x < end.x { -1.2 } else { 1.2 };
        let clear = if x < end.x { -0.8 } else { 0.8 };
        fragment.line((end.x + clear, end.y), (x + beyond, end.y), Pen::new(0.15, INK));
    }
    fragment.line((x, from.y), (x, to.y), pen);
    let outward = if from.y <= to.y { 1.0 } else { -1.0 };
    arrow(fragment, Point::new(x, from.y), Vec2::new(0.0, -outward));
    arrow(fragment, Point::new(x, to.y), Vec2::new(0.0, outward));
    let gap = if side == Align::Right { -1.4 } else { 1.4 };
    let middle = f64::midpoint(from.y, to.y) - SMALL.leading() * (labels.len() as f64 - 1.0) / 2.0;
    for (i, label) in labels.iter().enumerate() {
        let baseline = middle + SMALL.capital() / 2.0 + SMALL.leading() * i as f64;
        fit_line(
            fragment,
            Point::new(x + gap, baseline),
            side,
            label,
            SMALL,
            if gap < 0.0 { x + gap } else { 30.0 },
        );
    }
}

/// A slim arrow head with its tip at a point.
fn arrow(fragment: &mut Fragment, tip: Point, direction: Vec2) {
    let back = tip - direction * 1.9;
    let aside = Vec2::new(-direction.y, direction.x) * 0.42;
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(back + aside);
    head.line_to(back - aside);
    head.close_path();
    fragment.fill(&head, INK);
}

/// The mark of a start point: a target whose opposite quarters are black.
pub(super) fn target(fragment: &mut Fragment, at: Point, radius: f64) {
    fragment.fill(&disc(at, radius), Ink::WHITE);
    for direction in [1.0, -1.0] {
        let (across, down) = (Vec2::new(radius * direction, 0.0), Vec2::new(0.0, radius * direction));
        let mut quarter = BezPath::new();
        quarter.move_to(at);
        quarter.line_to(at + across);
        quarter.curve_to(at + across + down * QUARTER, at + down + across * QUARTER, at + down);
        quarter.close_path();
        fragment.fill(&quarter, INK);
    }
    fragment.stroke(&disc(at, radius), Pen::new(0.3, INK));
    let arm = radius + 1.8;
    fragment.line((at.x - arm, at.y), (at.x + arm, at.y), Pen::new(0.25, INK));
    fragment.line((at.x, at.y - arm), (at.x, at.y + arm), Pen::new(0.25, INK));
}

/// Handle of a quarter circle as a cubic, 4 (√2 − 1) / 3 of the radius: within 0.03 % of the circle.
///
/// Circles are made of four of them, because kurbo's use sines, which differ between platforms.
const QUARTER: f64 = 0.552_284_749_8;

/// A circle.
pub(super) fn disc(at: Point, radius: f64) -> BezPath {
    let mut path = BezPath::new();
    let (mut from, mut to) = (Vec2::new(radius, 0.0), Vec2::new(0.0, radius));
    path.move_to(at + from);
    for _ in 0..4 {
        path.curve_to(at + from + to * QUARTER, at + to + from * QUARTER, at + to);
        (from, to) = (to, -from);
    }
    path.close_path();
    path
}

/// Writes a label on a white ground, so that lines under it do not cross the letters.
pub(super) fn tag(fragment: &mut Fragment, at: Point, align: Align, text: &str) {
    tag_on(fragment, at, align, text, Ink::WHITE);
}

/// The same on a ground of another colour.
pub(super) fn tag_on(fragment: &mut Fragment, at: Point, align: Align, text: &str, ground_ink: Ink) {
    let style = LABEL.ink(INK);
    let width = style.width(text);
    let left = match align {
        Align::Left => at.x,
        Align::Right => at.x - width,
        Align::Centre => at.x - width / 2.0,
    };
    let ground = Rect::new(left - 0.6, at.y - style.capital() - 0.6, left + width + 0.6, at.y + 0.8);
    fragment.fill(&ground, ground_ink);
    fragment.text(at, align, text, style);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_are_to_scale_and_never_larger_than_life() {
        let view = View::fit(Rect::new(0.0, 0.0, 300.0, 100.0), Rect::new(10.0, 10.0, 110.0, 110.0));
        assert_eq!(view.ratio(), "1 : 3");
        let corner = Point::new(10.0, 10.0 + (100.0 - 100.0 / 3.0) / 2.0);
        assert!(view.point(Point::ORIGIN).distance(corner) < 1e-9);
        let small = View::fit(Rect::new(0.0, 0.0, 10.0, 10.0), Rect::new(0.0, 0.0, 100.0, 100.0));
        assert_eq!(small.ratio(), "1 : 1");
        let nothing = View::fit(Rect::ZERO, Rect::new(0.0, 0.0, 100.0, 100.0));
        assert!(nothing.point(Point::ZERO).is_finite());
    }

    /// Largest error of the four-cubic circle: +2.7253e-4 of the radius (Goldapp 1991, from memory).
    #[test]
    fn discs_are_round() {
        let outline = disc(Point::new(1.0, 2.0), 10.0);
        let area = outline.area().abs();
        assert!((area / 100.0 - 3.142_472_332_7).abs() < 1e-6, "{area}");
    }

    #[test]
    fn what_would_vanish_is_drawn_as_its_box() {
        let dot = |x: f64| Rect::new(x, 0.0, x + 0.1, 0.1).to_path(0.1);
        let view = View::fit(Rect::new(0.0, 0.0, 300.0, 300.0), Rect::new(0.0, 0.0, 20.0, 20.0));
        let dots: Vec<BezPath> = (0..50).map(|i| dot(f64::from(i))).collect();
        assert_eq!(view.all(&dots), None);
        let mut with_bar = dots;
        with_bar.push(Rect::new(0.0, 2.0, 49.0, 9.0).to_path(0.1));
        assert!(view.all(&with_bar).is_some_and(|drawn| drawn.elements().len() == 5));
        assert_eq!(view.all(&[]), Some(BezPath::new()));
    }

    #[test]
    fn thinning_keeps_ends_and_stays_near() {
        let mut circle = BezPath::new();
        kurbo::flatten(disc(Point::new(50.0, 50.0), 40.0), 1e-5, |element| circle.push(element));
        let view = View::fit(Rect::new(0.0, 0.0, 100.0, 100.0), Rect::new(0.0, 0.0, 50.0, 50.0));
        let thin = view.path(&circle);
        assert!(thin.elements().len() < circle.elements().len());
        let (thin_area, true_area) = (thin.area().abs(), std::f64::consts::PI * 400.0);
        assert!((thin_area - true_area).abs() < true_area * 0.005, "{thin_area} {true_area}");
    }
}
