//! `offset` and `register` figures: made from figures that already lie on the sheet.

use super::bench::{Bench, geometry_failure, positive};
use super::body::area_of;
use super::offset_parts;
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Caps, Drawing, GeometryError, Line, Pen, Region};
use crate::layout::Frames;
use crate::recipe::{Figure, OffsetOf, RegisterMarks};
use crate::units::Mm;
use kurbo::{BezPath, Point};

pub(super) static VANISHED: Finding = Finding {
    rule: "offset/vanished",
    severity: Severity::Error,
    title: "an inside offset leaves nothing",
    explanation: "Everything of the figure is narrower than twice the distance, so nothing of it lies that far inside.",
    wrong: "offset \"inline\" of=\"date\" by=\"6 mm\" side=\"inside\"",
    right: "offset \"inline\" of=\"date\" by=\"0.3 mm\" side=\"inside\"",
};

/// The outline beside another figure.
pub(super) fn offset(
    offset: &OffsetOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let by = positive(&offset.by, figures, sink)?;
    let source = &figures.get(&offset.of.value)?.drawing;
    let line = |key: MadeFrom, line: &Line| key.path(&line.path).shown(&(line.width, line.pen));
    let key = source.lines.iter().fold(MadeFrom::kind("offset").paths(source.ink.contours()), line);
    let key = key.shown(&(by, offset.inside, offset.corners, offset.holes));
    let region = bench.cache.keep(key.clone(), || offset_region(source, by, offset));
    let region = match region.as_ref() {
        Ok(region) => region,
        Err(error) => {
            sink.push(geometry_failure(*error, figure.head));
            return None;
        }
    };
    if region.is_empty() {
        sink.push(
            Diagnostic::new(&VANISHED, format!("nothing of `{}` lies {by} inside", offset.of.value))
                .at(offset.by.span, "leaves nothing")
                .because("there would be nothing to burn")
                .repair("make the distance smaller"),
        );
        return None;
    }
    // Findings point at the recipe's text, so where that stands counts too.
    let is_of_lettering = offset_parts::is_of_lettering(offset, bench.recipe);
    let told_of = key.text("parts").shown(&(&offset.of, offset.by.span, is_of_lettering));
    bench.cache.keep_with(told_of, figure.head, sink, |sink| {
        offset_parts::tell(offset, by, region, bench.recipe, figures, sink);
    });
    Some(Made::of(Drawing::of_region(region.clone())))
}

/// The area that an offset follows.
pub(super) fn source_area(source: &Drawing, offset: &OffsetOf) -> Result<Region, GeometryError> {
    let area = area_of(source)?;
    Ok(if offset.holes { area } else { area.without_holes() })
}

fn offset_region(source: &Drawing, by: Mm, offset: &OffsetOf) -> Result<Region, GeometryError> {
    let area = source_area(source, offset)?;
    if offset.inside {
        return Ok(area.offset(-by, offset.corners));
    }
    // A line without a drawn width has an outside too: everything within the distance of it.
    let bare: Vec<Line> = source.lines.iter().filter(|l| l.width.is_none()).cloned().collect();
    let pen = Pen { caps: Caps::Round, corners: offset.corners };
    let about = |l: &Line| Line { width: Some(by * 2.0), pen, ..l.clone() };
    let beside = Region::from_strokes(&bare.iter().map(about).collect::<Vec<_>>())?;
    Ok(Region::union(&[&area.offset(by, offset.corners), &beside]))
}

/// Four corner marks round the box of a figure.
pub(super) fn register(marks: &RegisterMarks, figures: &Figures, sink: &mut Sink) -> Option<Drawing> {
    let frame = figures.frame(&marks.around.value)?;
    let (gap, arm) = (positive(&marks.gap, figures, sink), positive(&marks.arm, figures, sink));
    let (gap, arm) = (gap?.get(), arm?.get());
    let outer = frame.inflate(gap, gap);
    let corner = |x: f64, y: f64, right: f64, down: f64| {
        let mut path = BezPath::new();
        path.move_to(Point::new(x + right * arm, y));
        path.line_to(Point::new(x, y));
        path.line_to(Point::new(x, y + down * arm));
        path
    };
    Some(Drawing::of_bare_lines(vec![
        corner(outer.x0, outer.y0, 1.0, 1.0),
        corner(outer.x1, outer.y0, -1.0, 1.0),
        corner(outer.x1, outer.y1, -1.0, -1.0),
        corner(outer.x0, outer.y1, 1.0, -1.0),
    ]))
}
