//! A piece of a page: text, paths and pictures about an origin of its own.

use super::face::{Glyph, Weight};
use super::ink::Ink;
use super::line::{Line, Part};
use super::structure::{Artifact, Figure, Role, Tag};
use crate::shaping::Base;
use kurbo::{Affine, BezPath, Point, Rect, Shape, Size, Vec2};

/// Millimetres in a typographic point (1/72 in).
pub(super) const POINT: f64 = 25.4 / 72.0;

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Style {
    /// Its weight.
    pub weight: Weight,
    /// Type size in points.
    pub size: f64,
    /// Its colour.
    pub ink: Ink,
}

impl Style {
    /// The same in another weight.
    pub(crate) const fn weight(self, weight: Weight) -> Self {
        Self { weight, ..self }
    }

    /// The same in another colour.
    pub(crate) const fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// The same in another size, in points.
    pub(crate) const fn size(self, size: f64) -> Self {
        Self { size, ..self }
    }

    /// Distance between two baselines, in mm.
    pub(crate) fn leading(self) -> f64 {
        self.size * 1.27 * POINT
    }

    /// Height of a capital, in mm (Source Sans: 0.66 of the size).
    pub(crate) fn capital(self) -> f64 {
        self.size * 0.66 * POINT
    }

    /// Width of a text, in mm.
    pub(crate) fn width(self, text: &str) -> f64 {
        self.weight.width(text) / 1000.0 * self.size * POINT
    }
}

/// A text in one style; a paragraph is several of them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Word {
    /// The text, of any length.
    pub text: String,
    /// How it looks.
    pub style: Style,
}

impl Word {
    /// A text in one style.
    pub(crate) fn new(text: impl Into<String>, style: Style) -> Self {
        Self { text: text.into(), style }
    }
}

/// The contents of a table cell or paragraph.
pub(crate) type Cell = Vec<Word>;

/// Where a line stands in its column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    /// At the left.
    Left,
    /// At the right.
    Right,
    /// In the middle.
    Centre,
}

/// How a line is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pen {
    /// Width in mm.
    pub width: f64,
    /// Colour.
    pub ink: Ink,
    /// Dashes and gaps in mm; empty for a full line.
    pub dashes: Vec<f64>,
}

impl Pen {
    /// A full line, its width in mm.
    pub(crate) const fn new(width: f64, ink: Ink) -> Self {
        Self { width, ink, dashes: Vec::new() }
    }

    /// The same line broken up; lengths in mm.
    pub(crate) fn dashed(self, dashes: &[f64]) -> Self {
        Self { dashes: dashes.to_vec(), ..self }
    }
}

/// One thing on paper; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Mark {
    /// One line of text, its baseline starting at `at`; what it says, where its glyphs stand in another order.
    Text { at: Point, style: Style, glyphs: Vec<Glyph>, said: Option<String> },
    /// An area, by the non-zero rule.
    Fill { path: BezPath, ink: Ink },
    /// Lines.
    Stroke { path: BezPath, pen: Pen },
    /// The document's picture.
    Picture { frame: Rect },
    /// A drawing, by its number in the document; where its origin lies.
    Drawing { at: Point, number: usize },
    /// A part of the document begins.
    Begin(Tag),
    /// The part that began last ends.
    End,
}

/// A piece of a page; lengths in mm from its left top corner.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Fragment {
    /// The room it takes; marks may reach beyond it.
    pub size: Size,
    pub(super) marks: Vec<Mark>,
}

impl Fragment {
    /// An empty piece of a size in mm.
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self { size: Size::new(width, height), marks: Vec::new() }
    }

    /// Writes one line with its baseline at a point; returns its width in mm.
    pub(crate) fn text(&mut self, at: Point, align: Align, text: &str, style: Style) -> f64 {
        let line = Line::of(&[Word::new(text, style)], Base::OfText);
        let start = match align {
            Align::Left => at,
            Align::Right => at - Vec2::new(line.width, 0.0),
            Align::Centre => at - Vec2::new(line.width / 2.0, 0.0),
        };
        let width = line.width;
        self.line_of_text(start, line);
        width
    }

    /// Writes a line with the left end of its baseline at a point.
    pub(crate) fn line_of_text(&mut self, at: Point, line: Line) {
        let mark = |part: Part| {
            let at = at + Vec2::new(part.x, 0.0);
            Mark::Text { at, style: part.style, glyphs: part.glyphs, said: part.said }
        };
        self.marks.extend(line.parts.into_iter().filter(|part| !part.glyphs.is_empty()).map(mark));
    }

    /// Fills a shape.
    pub(crate) fn fill(&mut self, shape: &impl Shape, ink: Ink) {
        self.marks.push(Mark::Fill { path: shape.to_path(0.01), ink });
    }

    /// Draws a shape's outline.
    pub(crate) fn stroke(&mut self, shape: &impl Shape, pen: Pen) {
        self.marks.push(Mark::Stroke { path: shape.to_path(0.01), pen });
    }

    /// Draws a straight line.
    pub(crate) fn line(&mut self, from: impl Into<Point>, to: impl Into<Point>, pen: Pen) {
        self.stroke(&kurbo::Line::new(from, to), pen);
    }

    /// Places the document's picture.
    pub(crate) fn picture(&mut self, frame: Rect) {
        self.marks.push(Mark::Picture { frame });
    }

    /// Places one of the document's drawings, its origin at a point.
    pub(crate) fn drawing(&mut self, at: Point, number: usize) {
        self.marks.push(Mark::Drawing { at, number });
    }

    /// Begins a part of the document; it [ends](Self::end) in this piece or in a later one.
    pub(crate) fn begin(&mut self, role: Role) {
        self.marks.push(Mark::Begin(Tag::Element(role)));
    }

    /// Ends the part that was begun last.
    pub(crate) fn end(&mut self) {
        self.marks.push(Mark::End);
    }

    /// The piece as one part of the document; a paragraph becomes that part.
    pub(crate) fn tagged(mut self, role: Role) -> Self {
        if let [Mark::Begin(Tag::Element(only @ Role::Paragraph)), between @ .., Mark::End] =
            self.marks.as_mut_slice()
            && !between.iter().any(|mark| matches!(mark, Mark::Begin(_) | Mark::End))
        {
            *only = role;
            return self;
        }
        self.within(Tag::Element(role))
    }

    /// The piece as something to look at, with what it tells in words.
    pub(crate) fn figure(self, alternative: String) -> Self {
        let frame = self.size.to_rect();
        self.within(Tag::Element(Role::Figure(Figure { alternative, frame })))
    }

    /// The piece as no part of the text.
    pub(crate) fn artifact(self, kind: Artifact) -> Self {
        self.within(Tag::Artifact(kind))
    }

    fn within(mut self, tag: Tag) -> Self {
        self.marks.insert(0, Mark::Begin(tag));
        self.marks.push(Mark::End);
        self
    }

    /// Places another piece in this one; the size stays.
    pub(crate) fn place(&mut self, at: impl Into<Point>, other: &Fragment) {
        let shift = at.into().to_vec2();
        self.marks.extend(other.marks.iter().map(|mark| mark.moved(shift)));
    }

    /// Places another piece below this one and grows by it and by `gap` mm.
    pub(crate) fn stack(&mut self, gap: f64, other: &Fragment) {
        self.place((0.0, self.size.height + gap), other);
        self.size = Size::new(self.size.width.max(other.size.width), self.size.height + gap + other.size.height);
    }
}

impl Mark {
    fn moved(&self, by: Vec2) -> Self {
        let shift = Affine::translate(by);
        match self {
            Self::Text { at, style, glyphs, said } => {
                Self::Text { at: *at + by, style: *style, glyphs: glyphs.clone(), said: said.clone() }
            }
            Self::Fill { path, ink } => Self::Fill { path: shift * path.clone(), ink: *ink },
            Self::Stroke { path, pen } => Self::Stroke { path: shift * path.clone(), pen: pen.clone() },
            Self::Picture { frame } => Self::Picture { frame: *frame + by },
            Self::Drawing { at, number } => Self::Drawing { at: *at + by, number: *number },
            Self::Begin(tag) => Self::Begin(tag.moved(by)),
            Self::End => Self::End,
        }
    }
}
