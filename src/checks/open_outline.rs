//! Filled outlines whose ends lie apart.

use super::Job;
use super::place::counted;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Element, OpenEnds, Part};
use crate::plan::{Operation, Run};
use crate::recipe::FigureKind;
use crate::units::number::fixed;
use std::collections::BTreeSet;

pub(super) static OPEN_OUTLINE: Finding = Finding {
    rule: "burn/open-outline",
    severity: Severity::Warning,
    title: "a filled outline does not close",
    explanation: "Where an outline is filled although its ends lie apart, a straight line between the ends closes it (SVG 2, \
        chapter 13). That line was not drawn by anyone: ink ends along it, and a cut follows it.",
    wrong: "<path fill=\"black\" d=\"M 0 0 L 30 0 L 30 20\"/>",
    right: "<path fill=\"black\" d=\"M 0 0 L 30 0 L 30 20 L 0 20 Z\"/>",
};

/// Looks at the artwork of every figure that is burned, each figure once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut done: BTreeSet<&str> = BTreeSet::new();
    for (run, operation) in job.burning() {
        for name in operation.figures.iter().filter(|n| done.insert(n)) {
            let Some(placed) = job.figures.get(name) else { continue };
            let mut open = open_ends(&placed.drawing.parts);
            open.sort_by(|a, b| b.1.gap().get().total_cmp(&a.1.gap().get()));
            if !open.is_empty() {
                sink.push(report(job, (run, operation), name, &open));
            }
        }
    }
}

fn open_ends(parts: &[Part]) -> Vec<(&Element, OpenEnds)> {
    let of_part = |p: &'_ Part| -> Vec<OpenEnds> { if p.filled { p.open.clone() } else { Vec::new() } };
    parts
        .iter()
        .filter_map(|p| Some((p.element.as_ref()?, of_part(p))))
        .flat_map(|(element, open)| open.into_iter().map(move |o| (element, o)))
        .collect()
}

fn report(job: &Job, burned: (&Run, &Operation), name: &str, open: &[(&Element, OpenEnds)]) -> Diagnostic {
    let (run, operation) = burned;
    let widest = fixed(open[0].1.gap().get(), 2);
    let outlines = counted(open.len(), "filled outline whose ends lie", "filled outlines whose ends lie up to");
    let figure = job.recipe.figure(name);
    let mut diagnostic = Diagnostic::new(&OPEN_OUTLINE, format!("`{name}` has {outlines} {widest} mm apart"))
        .at(figure.map_or(operation.span, |f| f.head), "closed by straight lines that nobody drew")
        .also(job.named_at(run, operation, name), format!("to {} it", operation.kind));
    if let Some(FigureKind::Artwork(artwork)) = figure.map(|f| &f.kind) {
        for (element, ends) in open.iter().take(super::place::MOST_NAMED) {
            diagnostic = diagnostic.in_artwork(ArtworkPlace {
                file: artwork.file.text.clone(),
                figure: Some(name.to_owned()),
                element: Some(element.name.clone()),
                position: Some((element.line, element.column)),
                at: Some(ends.from),
            });
        }
    }
    diagnostic
        .because(format!("a straight line of {widest} mm closes the widest, and it is burned that way"))
        .repair(format!(
            "join the ends in the drawing, or leave the outline out with `drop`; if a straight line is meant, say so in the \
             artwork: `mend gaps=\"{} mm\"`",
            fixed((open[0].1.gap().get() * 100.0).ceil() / 100.0, 2)
        ))
}
