//! Cuts that lie within a kerf of each other.

use super::Job;
use super::cutting::{CutFigure, by_figure, cut_figures, cut_width, kept};
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{MOST_PLACES, Thin, thin_gaps};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;

pub(super) static NEARER_THAN_KERF: Finding = Finding {
    rule: "cut/nearer-than-kerf",
    severity: Severity::Advice,
    title: "two cuts lie within a kerf of each other",
    explanation: "The strip of waste between two cuts that lie nearer than the kerf burns away, in the heat of both: edges char, \
        and thin stock may catch fire. Between two pieces one cut is enough. On both sides of a thin line, as when a line was \
        turned into an outline, the opening comes out as wide as the kerf at least.",
    wrong: "shape \"slit\" { rectangle \"40 mm\" \"0.1 mm\" }\nrun \"separate\" { cut \"slit\"; cut \"board\" }",
    right: "shape \"slit\" { line { point; point right=\"40 mm\" } }\nrun \"separate\" { cut \"slit\"; cut \"board\" }",
};

/// Looks at the gaps between everything that closed cuts leave.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let figures = cut_figures(job);
    let kerf = cut_width(job);
    // Lines within half a spot are one line drawn twice, which is another finding.
    let doubled = job.plan.machine.spot / 2.0;
    let mut gaps = thin_gaps(&kept(job, &figures).pieces, kerf);
    gaps.retain(|gap| doubled < gap.width);
    for (index, gaps) in by_figure(job, &figures, gaps, |g| g.at) {
        sink.push(report(job, &figures[index], kerf, &gaps));
    }
}

fn report(job: &Job, figure: &CutFigure, kerf: Mm, gaps: &[Thin]) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let at_least = if gaps.len() < MOST_PLACES { "" } else { "at least " };
    let found = counted(gaps.len(), "place", "places");
    let message = format!("in {at_least}{found} two cuts at `{name}` lie within the kerf of {kerf}");
    let at: Vec<Point> = gaps.iter().map(|g| g.at).collect();
    let label = format!("the nearest are {} mm apart: {}", fixed(gaps[0].width.get(), 2), places(&at));
    let mut diagnostic = Diagnostic::new(&NEARER_THAN_KERF, message).at(job.named_at(run, operation, name), label);
    for place in at.iter().take(MOST_NAMED) {
        if let Some(part) = job.element_at(name, *place) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    diagnostic
        .because("the strip between them burns away in the heat of both cuts, and the edges char")
        .repair("put the figures farther apart, or let one cut part them; of a line drawn as a thin outline cut only the middle")
}
