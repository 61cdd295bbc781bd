//! Areas with a drawn edge whose outlines are cut or scored.

use super::Job;
use super::place::{MOST_NAMED, counted, place};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, Element, Line};
use crate::plan::{Operation, Run};
use crate::recipe::FigureKind;
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, PathEl, Point};
use std::collections::BTreeMap;

pub(super) static FILLED_AND_STROKED: Finding = Finding {
    rule: "artwork/filled-and-stroked",
    severity: Severity::Warning,
    title: "an area with a drawn edge is cut or scored along the middle of that edge",
    explanation: "A shape that is filled and has a wide stroke is seen as large as the outer edge of its stroke. The outline of \
        its area and the middle of its stroke are one line, half a stroke farther in, and the beam runs there. With \
        `strokes=\"areas\"` the stroke counts as ink, and the beam runs along what is seen.",
    wrong: "artwork \"tag\" file=\"art/tag-with-wide-edge.svg\"\nrun \"separate\" { cut \"tag\" }",
    right: "artwork \"tag\" file=\"art/tag-with-wide-edge.svg\" strokes=\"areas\"\nrun \"separate\" { cut \"tag\" }",
};

/// Starts of a stroke and of a line within this (mm) are one.
const SAME_START: f64 = 1e-3;

/// An element that is filled and stroked, and how wide.
pub(super) struct Edged<'a> {
    element: &'a Element,
    width: Mm,
    at: Point,
}

/// Looks at each artwork that is cut or scored.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let follows = |o: &Operation| matches!(o.kind, OperationKind::Cut | OperationKind::Score);
    for (run, operation) in job.burning().filter(|(_, o)| follows(o)) {
        for name in &operation.figures {
            let edged = edged(job, name);
            if !edged.is_empty() {
                sink.push(report(job, (run, operation), name, &edged));
            }
        }
    }
}

/// Whether the element of an artwork that lies nearest to a place is such an area: then its outline and its stroke are
/// known to lie on each other.
pub(super) fn is_edge(job: &Job, figure: &str, at: Point) -> bool {
    let position = job.element_at(figure, at).and_then(|place| place.position);
    edged(job, figure).iter().any(|e| Some((e.element.line, e.element.column)) == position)
}

/// The elements of an artwork that are filled and have a stroke wider than the spot, the widest first.
fn edged<'a>(job: &Job<'a>, name: &str) -> Vec<Edged<'a>> {
    let Some(FigureKind::Artwork(artwork)) = job.recipe.figure(name).map(|f| &f.kind) else { return Vec::new() };
    let Some(placed) = job.figures.get(name).filter(|_| !artwork.strokes_as_areas) else { return Vec::new() };
    let drawing: &Drawing = &placed.drawing;
    let mut parts: BTreeMap<&Element, (bool, Option<&BezPath>)> = BTreeMap::new();
    for (part, element) in drawing.parts.iter().filter_map(|p| Some((p, p.element.as_ref()?))) {
        let known = parts.entry(element).or_default();
        if part.filled {
            known.0 = true;
        } else {
            known.1 = Some(&part.path);
        }
    }
    let both = parts
        .into_iter()
        .filter_map(|(element, (is_filled, stroke))| Some((element, stroke.filter(|_| is_filled)?)));
    let found = both.filter_map(|(element, stroke)| {
        let (width, at) = widest(stroke, &drawing.lines)?;
        (width > job.plan.machine.spot).then_some(Edged { element, width, at })
    });
    let mut edged: Vec<Edged> = found.collect();
    edged.sort_by(|a, b| b.width.get().total_cmp(&a.width.get()));
    edged
}

/// The width of the lines that a stroke has become, and a place on it.
fn widest(stroke: &BezPath, lines: &[Line]) -> Option<(Mm, Point)> {
    let starts: Vec<Point> = stroke.elements().iter().filter_map(start).collect();
    let own = lines.iter().filter_map(|line| {
        let at = line.path.elements().first().and_then(start)?;
        starts.iter().any(|s| s.distance(at) < SAME_START).then_some((line.width?, at))
    });
    own.max_by(|a, b| a.0.get().total_cmp(&b.0.get()))
}

const fn start(element: &PathEl) -> Option<Point> {
    if let PathEl::MoveTo(at) = element { Some(*at) } else { None }
}

fn report(job: &Job, burned: (&Run, &Operation), name: &str, edged: &[Edged]) -> Diagnostic {
    let (width, half) = (fixed(edged[0].width.get(), 2), fixed(edged[0].width.get() / 2.0, 2));
    let is_cut = burned.1.kind == OperationKind::Cut;
    let (verb, becomes) = if is_cut { ("cut", "comes out") } else { ("scored", "is drawn") };
    let areas = counted(edged.len(), "area", "areas");
    let message =
        format!("`{name}` has {areas} with a drawn edge, up to {width} mm wide, {verb} along its middle");
    let named = job.named_at(burned.0, burned.1, name);
    let head = job.recipe.figure(name).map_or(named, |figure| figure.head);
    let mut diagnostic = Diagnostic::new(&FILLED_AND_STROKED, message)
        .at(head, place(edged[0].at))
        .also(named, format!("{verb} here"));
    for edge in edged.iter().take(MOST_NAMED) {
        diagnostic = job.element_at(name, edge.at).into_iter().fold(diagnostic, Diagnostic::in_artwork);
    }
    diagnostic.because(format!("it {becomes} up to {half} mm smaller on every side than it looks")).repair(
        format!(
            "write `strokes=\"areas\"` in `{name}` to go by what is seen; or `allow` it where the middle is meant"
        ),
    )
}
