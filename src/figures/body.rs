//! The body of a shape: primitives and other figures, welded, subtracted, overlapped, excluded.

use super::bench::geometry_failure;
use super::placed::Figures;
use super::primitive::{self, Outline};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, FillRule, GeometryError, Line, Part, Pen, Region, is_closed, subpaths};
use crate::layout::home;
use crate::recipe::{Combine, Drawn, Figure, Item, SHEET_NAME};
use crate::source::{Span, Spanned};
use kurbo::{Affine, BezPath, Shape, Vec2};

pub(super) static NOTHING_LEFT: Finding = Finding {
    rule: "shape/nothing-left",
    severity: Severity::Error,
    title: "nothing is left of a shape",
    explanation: "What is overlapped does not meet, or what is subtracted covers everything.",
    wrong: "shape \"lens\" { overlap { circle \"10 mm\"; circle \"10 mm\" right=\"20 mm\" } }",
    right: "shape \"lens\" { overlap { circle \"30 mm\"; circle \"30 mm\" right=\"20 mm\" } }",
};

pub(super) static BOARD_NOT_WHOLE: Finding = Finding {
    rule: "board/not-one-outline",
    severity: Severity::Error,
    title: "the board is not one closed outline",
    explanation: "The board is the finished piece, so it is one area; it may have holes. Two areas would be two boards, and \
        an open line has no inside.",
    wrong: "board { circle \"40 mm\"; circle \"40 mm\" right=\"90 mm\" }",
    right: "board { circle \"40 mm\"; circle \"40 mm\" right=\"30 mm\" }",
};

/// Draws a shape or the board in its own frame.
pub(super) fn make(items: &[Item], figure: &Figure, figures: &Figures, sink: &mut Sink) -> Option<Drawing> {
    let context =
        Context { figures, home: home(&figure.placing, figures).map_or(Vec2::ZERO, |f| f.center().to_vec2()) };
    let mut areas = Vec::new();
    let mut lines = Vec::new();
    for item in items {
        let Drawing { ink, lines: own, .. } = context.item(item, sink)?;
        areas.push(ink);
        lines.extend(own);
    }
    let ink = welded(&areas, figure.head, sink)?;
    let drawing = with_parts(ink, lines);
    if figure.is_board() {
        board_is_whole(&drawing, figure.head, sink)?;
    }
    Some(drawing)
}

/// Areas as one; areas that cross each other without end are refused.
fn welded(areas: &[Region], span: Span, sink: &mut Sink) -> Option<Region> {
    Region::try_union(&areas.iter().collect::<Vec<_>>())
        .map_err(|error| sink.push(geometry_failure(error, span)))
        .ok()
}

fn with_parts(ink: Region, lines: Vec<Line>) -> Drawing {
    let area = (!ink.is_empty()).then(|| part(ink.to_path(), true));
    let parts = area.into_iter().chain(lines.iter().map(|l| part(l.path.clone(), false))).collect();
    Drawing { ink, lines, parts }
}

const fn part(path: BezPath, filled: bool) -> Part {
    Part { element: None, path, filled, open: Vec::new() }
}

struct Context<'a> {
    figures: &'a Figures,
    /// Where the origin of the shape's own frame lies on the sheet before `place` moves it.
    home: Vec2,
}

impl Context<'_> {
    fn item(&self, item: &Item, sink: &mut Sink) -> Option<Drawing> {
        match item {
            Item::Drawn(drawn) => self.drawn(drawn, sink),
            Item::Figure(name) => self.figure(name, sink),
            Item::Made { how, items, span } => self.made(*how, items, *span, sink),
        }
    }

    fn drawn(&self, drawn: &Drawn, sink: &mut Sink) -> Option<Drawing> {
        let Outline { path, width } = primitive::draw(&drawn.primitive, &drawn.position, self.figures, sink)?;
        let (closed, open): (Vec<BezPath>, Vec<BezPath>) = subpaths(&path).into_iter().partition(is_closed);
        let closed = BezPath::from_vec(closed.into_iter().flat_map(|p| p.elements().to_vec()).collect());
        let ink = Region::from_path(&closed, FillRule::NonZero)
            .map_err(|error| sink.push(geometry_failure(error, drawn.span)))
            .ok()?;
        Some(Drawing {
            ink,
            lines: open.into_iter().map(|path| Line { path, width, pen: Pen::default() }).collect(),
            parts: Vec::new(),
        })
    }

    /// Another figure, seen from the shape's own frame.
    fn figure(&self, name: &Spanned<String>, sink: &mut Sink) -> Option<Drawing> {
        if name.value == SHEET_NAME {
            let sheet = self.figures.sheet().to_path(0.1);
            let ink = Region::from_path(&sheet, FillRule::NonZero)
                .map_err(|error| sink.push(geometry_failure(error, name.span)))
                .ok()?;
            return Some(Drawing::of_region(ink.transform(Affine::translate(-self.home))));
        }
        let placed = self.figures.get(&name.value)?;
        Some(placed.drawing.transform(Affine::translate(-self.home)))
    }

    fn made(&self, how: Combine, items: &[Item], span: Span, sink: &mut Sink) -> Option<Drawing> {
        let areas: Vec<Region> = items
            .iter()
            .map(|i| Some(covered(&self.item(i, sink)?, i.span(), sink)))
            .collect::<Option<Vec<_>>>()?;
        let (first, others) = areas.split_first()?;
        let ink = match how {
            Combine::Weld => welded(&areas, span, sink)?,
            Combine::Subtract => first.subtract(&welded(others, span, sink)?),
            Combine::Overlap => others.iter().fold(first.clone(), |all, one| all.overlap(one)),
            Combine::Exclude => others.iter().fold(first.clone(), |all, one| all.exclude(one)),
        };
        if ink.is_empty() {
            sink.push(
                Diagnostic::new(&NOTHING_LEFT, format!("nothing is left of this `{}`", how.word()))
                    .at(span, "comes out empty")
                    .because("there would be nothing to burn")
                    .repair("move the parts so that they meet, or take less away"),
            );
            return None;
        }
        Some(Drawing::of_region(ink))
    }
}

/// What a thing covers; a line without a width covers nothing.
fn covered(drawing: &Drawing, span: Span, sink: &mut Sink) -> Region {
    area_of(drawing).unwrap_or_else(|error| {
        sink.push(geometry_failure(error, span));
        Region::empty()
    })
}

/// What a drawing covers: its ink, and its lines at their drawn width.
///
/// # Errors
/// Refuses lines that reach farther than any bed.
pub fn area_of(drawing: &Drawing) -> Result<Region, GeometryError> {
    if drawing.lines.iter().all(|l| l.width.is_none()) {
        return Ok(drawing.ink.clone());
    }
    let drawn = Region::from_strokes(&drawing.lines)?;
    Ok(Region::union(&[&drawing.ink, &drawn]))
}

fn board_is_whole(drawing: &Drawing, span: Span, sink: &mut Sink) -> Option<()> {
    let outlines = drawing.ink.parts().len();
    if outlines == 1 && drawing.lines.is_empty() {
        return Some(());
    }
    let found = match (outlines, drawing.lines.len()) {
        (0, _) => "it has no inside".to_owned(),
        (1, lines) => format!("it has {lines} open line{}", if lines == 1 { "" } else { "s" }),
        (n, _) => format!("it falls into {n} parts"),
    };
    let smallest = drawing.ink.parts().iter().map(|p| p.area().get()).fold(f64::INFINITY, f64::min);
    let mut diagnostic =
        Diagnostic::new(&BOARD_NOT_WHOLE, format!("the board is not one closed outline: {found}"))
            .at(span, "expected one area")
            .because("it would not come off the sheet in one piece");
    if outlines > 1 {
        diagnostic = diagnostic
            .repair(format!("let its parts overlap; the smallest has {}", crate::units::Mm2::new(smallest)));
    }
    sink.push(diagnostic);
    None
}
