//! Cuts that end just short of what they should meet.

use super::Job;
use super::cutting::{CutFigure, cut_figures, cut_width};
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{EndNear, OpenEnd, open_ends};
use crate::recipe::FigureKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, Point};

pub(super) static OPEN_ENDS: Finding = Finding {
    rule: "cut/open-ends",
    severity: Severity::Warning,
    title: "cuts end just short of each other",
    explanation: "Where the ends of cut lines lie farther apart than the kerf, a bridge stays between them and the piece does not \
        come free. Ends nearer than that burn through to each other. Where bridges are wanted to hold a piece down, make them \
        longer than half a millimetre, or accept them with `allow`.",
    wrong: "shape \"window\" { line { point; point right=\"30 mm\"; point right=\"30 mm\" down=\"20 mm\"; point down=\"20 mm\"; point down=\"0.4 mm\" } }\nrun \"separate\" { cut \"window\" }",
    right: "shape \"window\" { rectangle \"30 mm\" \"20 mm\" }\nrun \"separate\" { cut \"window\" }",
};

/// Ends farther apart than this, besides the kerf, are hardly meant to meet.
const NEAR: Mm = Mm::new(0.5);

/// Looks at the ends of all lines that are cut.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let figures = cut_figures(job);
    let kerf = cut_width(job);
    let owned = figures.iter().flat_map(|figure| figure.lines.iter().map(move |line| (figure, line)));
    let (owners, lines): (Vec<&CutFigure>, Vec<BezPath>) = owned.map(|(f, line)| (f, line.clone())).unzip();
    let mut found = open_ends(&lines, kerf + NEAR);
    found.retain(|end| end.near != EndNear::Past && kerf < end.gap);
    for figure in &figures {
        let mut ends: Vec<&OpenEnd> = found.iter().filter(|e| owners[e.line].name == figure.name).collect();
        ends.sort_by(|a, b| b.gap.get().total_cmp(&a.gap.get()));
        if !ends.is_empty() {
            sink.push(report(job, figure, kerf, &ends));
        }
    }
}

fn report(job: &Job, figure: &CutFigure, kerf: Mm, ends: &[&OpenEnd]) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let (count, gap) = (counted(ends.len(), "gap", "gaps"), fixed(ends[0].gap.get(), 2));
    let up_to = if ends.len() == 1 { "" } else { "up to " };
    let message = format!("the cut of `{name}` has {count} of {up_to}{gap} mm between ends that nearly meet");
    let at: Vec<Point> = ends.iter().map(|e| e.at).collect();
    let label = format!("the widest first: {}", places(&at));
    let label = if ends.len() == 1 { places(&at) } else { label };
    let mut diagnostic = Diagnostic::new(&OPEN_ENDS, message).at(job.named_at(run, operation, name), label);
    for place in at.iter().take(MOST_NAMED) {
        if let Some(part) = job.element_at(name, *place) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    diagnostic
        .because(format!(
            "a gap wider than the kerf of {kerf} leaves a bridge there, and the piece does not come free"
        ))
        .repair(format!(
            "{}; if they are to hold the piece down, accept them with `allow`",
            join(job, name, ends[0].gap)
        ))
}

/// How ends are joined: by a word of the recipe where the figure is an artwork.
fn join(job: &Job, name: &str, widest: Mm) -> String {
    match job.recipe.figure(name).map(|f| &f.kind) {
        Some(FigureKind::Artwork(_)) => {
            let up_to = fixed((widest.get() * 100.0).ceil() / 100.0, 2);
            format!("write `mend gaps=\"{up_to} mm\"` in the artwork, or join the ends in the drawing")
        }
        _ => "join the ends in the drawing".to_owned(),
    }
}
