//! Fragments to the operators of a page.

use super::face::{Glyph, Weight};
use super::fragment::{Fragment, Mark, POINT, Pen, Style};
use super::ink::Ink;
use super::objects::{drawing_id, picture_id};
use super::subset::Subset;
use super::tree::{Place, Tree, utf_16};
use kurbo::{BezPath, PathEl, Point, Rect, Size, Vec2};
use printpdf::{
    Codepoint, Color, DictItem, Line, LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode,
    PdfFontHandle, Polygon, PolygonRing, Pt, Rgb, TextItem, TextMatrix, TextRenderingMode, WindingOrder,
    XObjectTransform,
};
use std::collections::BTreeMap;

/// Width of the line around letters that stand in for bolder ones, as a share of the type size: it makes stems of a regular
/// weight about as wide as those of a semibold (common practice, no source).
const BOLDER: f64 = 0.022;

/// Turns the marks of one page into operations; state that is already set is not set again.
pub(super) struct Painter<'a> {
    height: f64,
    fonts: &'a [Subset],
    tree: &'a mut Tree,
    ops: Vec<Op>,
    fill: Option<Ink>,
    pen: Option<Pen>,
    is_bolder: bool,
    /// Where the content belongs that is being written.
    place: Option<Place>,
}

impl<'a> Painter<'a> {
    pub fn new(page: Size, fonts: &'a [Subset], tree: &'a mut Tree) -> Self {
        let ops = vec![
            Op::SetLineCapStyle { cap: LineCapStyle::Butt },
            Op::SetLineJoinStyle { join: LineJoinStyle::Round },
        ];
        tree.turn(page.height);
        Self { height: page.height, fonts, tree, ops, fill: None, pen: None, is_bolder: false, place: None }
    }

    pub fn paint(mut self, content: &Fragment) -> Vec<Op> {
        for mark in &content.marks {
            match mark {
                Mark::Begin(tag) => self.tree.begin(tag),
                Mark::End => self.tree.end(),
                Mark::Text { at, style, glyphs, said } => self.text(*at, *style, glyphs, said.as_deref()),
                drawn => {
                    self.go_to(self.tree.place_of_drawing());
                    self.drawn(drawn);
                }
            }
        }
        self.leave();
        self.ops
    }

    fn drawn(&mut self, mark: &Mark) {
        match mark {
            Mark::Fill { path, ink } => self.fill(path, *ink),
            Mark::Stroke { path, pen } => self.stroke(path, pen),
            Mark::Picture { frame } => self.picture(*frame),
            Mark::Drawing { at, number } => self.drawing(*at, *number),
            Mark::Text { .. } | Mark::Begin(_) | Mark::End => {}
        }
    }

    /// Says where the content belongs that comes next, where that is not said yet (ISO 32000-1, 14.6).
    fn go_to(&mut self, place: Place) {
        if self.place == Some(place) {
            return;
        }
        self.leave();
        let (tag, key, value) = match place {
            Place::Element(element) => {
                let (structure_type, number) = self.tree.content(element);
                (structure_type, "MCID", DictItem::Int(number.into()))
            }
            Place::Artifact(kind) => ("Artifact", "Type", DictItem::Name(kind.word().as_bytes().to_vec())),
        };
        self.begin(tag, key, value);
        self.place = Some(place);
    }

    fn leave(&mut self) {
        if self.place.take().is_some() {
            self.ops.push(Op::EndMarkedContentWithProperties);
        }
    }

    fn begin(&mut self, tag: &str, key: &str, value: DictItem) {
        let properties = DictItem::Dict { map: BTreeMap::from([(key.to_owned(), value)]) };
        self.ops.push(Op::BeginMarkedContentWithProperties { tag: tag.to_owned(), properties });
    }

    /// A point of the page in PDF's frame: points, y up, to a thousandth.
    fn point(&self, p: Point) -> printpdf::Point {
        printpdf::Point { x: points(p.x), y: points(self.height - p.y) }
    }

    fn set_fill(&mut self, ink: Ink) {
        if self.fill != Some(ink) {
            self.ops.push(Op::SetFillColor { col: colour(ink) });
            self.fill = Some(ink);
        }
    }

    fn set_pen(&mut self, pen: &Pen) {
        if self.pen.as_ref() != Some(pen) {
            self.ops.push(Op::SetOutlineColor { col: colour(pen.ink) });
            self.ops.push(Op::SetOutlineThickness { pt: points(pen.width) });
            let dashes: Vec<f32> = pen.dashes.iter().map(|d| points(*d).0).collect();
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &dashes) });
            self.pen = Some(pen.clone());
        }
    }

    /// Fills the letters that come next, or draws a fine line around them too.
    fn set_bolder(&mut self, is_bolder: bool) {
        if self.is_bolder != is_bolder {
            let mode = if is_bolder { TextRenderingMode::FillStroke } else { TextRenderingMode::Fill };
            self.ops.push(Op::SetTextRenderingMode { mode });
            self.is_bolder = is_bolder;
        }
    }

    /// Shows a line; `said` is its text where it runs leftwards, for its glyphs stand as they are seen.
    fn text(&mut self, at: Point, style: Style, glyphs: &[Glyph], said: Option<&str>) {
        if let Some(said) = said {
            self.tree.begin_span(said);
        }
        let place = self.tree.place_of_text();
        self.go_to(place);
        self.parts(at, style, glyphs);
        if said.is_some() {
            self.tree.end_span();
        }
    }

    /// Shows glyphs, each part of them in a span that tells its text where they do not (ISO 32000-1, 14.9.4).
    fn parts(&mut self, at: Point, style: Style, glyphs: &[Glyph]) {
        let mut pen = at;
        for part in glyphs.chunk_by(|a, b| b.whole.is_none() && a.face == b.face) {
            let Some(text) = &part[0].whole else {
                pen = self.part(pen, style, part);
                continue;
            };
            self.begin("Span", "ActualText", DictItem::Bytes(utf_16(text)));
            pen = self.part(pen, style, part);
            self.ops.push(Op::EndMarkedContentWithProperties);
        }
    }

    /// Shows glyphs of one face; tells where the pen is then.
    fn part(&mut self, at: Point, style: Style, glyphs: &[Glyph]) -> Point {
        let millimetres = |thousandths: f32| f64::from(thousandths) / 1000.0 * style.size * POINT;
        let mut pen = at;
        // Glyphs that stand above or below the line are shown from where they stand; all others in one go.
        for run in glyphs.chunk_by(|a, b| a.face == b.face && a.shift.1 == 0.0 && b.shift.1 == 0.0) {
            let (right, up) = run[0].shift;
            self.show(pen + Vec2::new(millimetres(right), -millimetres(up)), style, run);
            pen.x += run.iter().map(|glyph| millimetres(glyph.advance)).sum::<f64>();
        }
        pen
    }

    /// Shows glyphs of one face, one after the other.
    fn show(&mut self, at: Point, style: Style, glyphs: &[Glyph]) {
        let Some(font) = self.fonts.iter().find(|f| f.id == glyphs[0].face) else { return };
        let scale = 1000.0 / f32::from(font.face().metrics().units_per_em);
        let own_width = |id: u16| f32::from(font.face().advance(id)) * scale;
        // After each glyph the pen goes to where the next one stands, which may be beside its place in the line.
        let next = glyphs.iter().skip(1).map(|glyph| glyph.shift.0).chain([0.0]);
        let items = glyphs.iter().zip(next).map(|(glyph, next)| Codepoint {
            gid: font.glyph(glyph.id),
            offset: glyph.shift.0 + own_width(glyph.id) - glyph.advance - next,
            cid: Some(glyph.text.clone()),
        });
        let items = vec![TextItem::GlyphIds(items.collect())];
        self.set_fill(style.ink);
        let is_bolder = style.weight == Weight::Semibold && !font.id.is_house();
        if is_bolder {
            self.set_pen(&Pen::new(BOLDER * style.size * POINT, style.ink));
        }
        self.set_bolder(is_bolder);
        let start = self.point(at);
        let handle = PdfFontHandle::External(font.name_in_file());
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font: handle, size: Pt(style.size as f32) },
            Op::SetTextMatrix { matrix: TextMatrix::Translate(start.x, start.y) },
            Op::ShowText { items },
            Op::EndTextSection,
        ]);
    }

    fn fill(&mut self, path: &BezPath, ink: Ink) {
        self.set_fill(ink);
        let rings = self.subpaths(path).into_iter().map(|line| PolygonRing { points: line.points }).collect();
        let polygon = Polygon { rings, mode: PaintMode::Fill, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn stroke(&mut self, path: &BezPath, pen: &Pen) {
        self.set_pen(pen);
        for line in self.subpaths(path) {
            self.ops.push(Op::DrawLine { line });
        }
    }

    fn picture(&mut self, frame: Rect) {
        let corner = self.point(Point::new(frame.x0, frame.y1));
        let transform = XObjectTransform {
            translate_x: Some(corner.x),
            translate_y: Some(corner.y),
            scale_x: Some(points(frame.width()).0),
            scale_y: Some(points(frame.height()).0),
            no_auto_scale: true,
            ..XObjectTransform::default()
        };
        self.ops.push(Op::UseXobject { id: picture_id(), transform });
    }

    /// The drawing leaves behind no colour and no pen, because placing it saves and restores the state.
    fn drawing(&mut self, at: Point, number: usize) {
        let origin = self.point(at);
        let transform = XObjectTransform {
            translate_x: Some(origin.x),
            translate_y: Some(origin.y),
            no_auto_scale: true,
            ..XObjectTransform::default()
        };
        self.ops.push(Op::UseXobject { id: drawing_id(number), transform });
    }

    fn subpaths(&self, path: &BezPath) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut last = Point::ZERO;
        for element in path.elements() {
            if let PathEl::MoveTo(p) = element {
                lines.push(Line { points: vec![self.on_line(*p)], is_closed: false });
                last = *p;
                continue;
            }
            let Some(line) = lines.last_mut() else { continue };
            match *element {
                PathEl::LineTo(p) => line.points.push(self.on_line(p)),
                PathEl::QuadTo(a, p) => {
                    let controls = [last + (a - last) * (2.0 / 3.0), p + (a - p) * (2.0 / 3.0)];
                    line.points.extend(controls.map(|c| self.control(c)));
                    line.points.push(self.on_line(p));
                }
                PathEl::CurveTo(a, b, p) => {
                    line.points.extend([a, b].map(|c| self.control(c)));
                    line.points.push(self.on_line(p));
                }
                PathEl::ClosePath => line.is_closed = true,
                PathEl::MoveTo(_) => {}
            }
            last = element.end_point().unwrap_or(last);
        }
        lines
    }

    fn on_line(&self, p: Point) -> LinePoint {
        LinePoint { p: self.point(p), bezier: false }
    }

    fn control(&self, p: Point) -> LinePoint {
        LinePoint { p: self.point(p), bezier: true }
    }
}

/// Points of a length in mm, to a thousandth.
pub(super) fn points(millimetres: f64) -> Pt {
    Pt(((millimetres / POINT * 1000.0).round() / 1000.0) as f32)
}

fn colour(ink: Ink) -> Color {
    let [r, g, b] = [ink.red, ink.green, ink.blue].map(|c| f32::from(c) / 255.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}
