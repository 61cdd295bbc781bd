//! Cuts that leave walls too thin to hold.

use super::Job;
use super::cutting::{CutFigure, by_figure, cut_figures, cut_width, kept};
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{MOST_PLACES, Thin, thin_places};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;

pub(super) static THIN_WALL: Finding = Finding {
    rule: "cut/thin-wall",
    severity: Severity::Advice,
    title: "cuts leave a wall too thin to hold",
    explanation: "A cut takes half the kerf from either side of its line. What is left between two cuts burns away when they \
        lie within a kerf of each other, and chars through or breaks in the hand when it is much thinner than the stock is \
        thick. Half the thickness is a common bound, without a published source; plywood holds less across the grain of its \
        outer plies.",
    wrong: "shape \"hole\" { circle \"20 mm\"; place left=\"board\" right=\"0.4 mm\" }\nrun \"all\" { cut \"hole\"; cut \"board\" }",
    right: "shape \"hole\" { circle \"20 mm\"; place left=\"board\" right=\"4 mm\" }\nrun \"all\" { cut \"hole\"; cut \"board\" }",
};

/// Walls hold when they are at least this share of the thickness: common practice, no source.
const LEAST_OF_THICKNESS: f64 = 0.5;

/// Looks at the walls of everything that closed cuts leave.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let figures = cut_figures(job);
    let (kerf, holds) = (cut_width(job), job.plan.stock.thickness * LEAST_OF_THICKNESS);
    // Lines within half a spot are one line drawn twice, which is another finding.
    let doubled = job.plan.machine.spot / 2.0;
    let mut thin = thin_places(&kept(job, &figures).pieces, kerf + holds);
    thin.retain(|wall| doubled < wall.width);
    for (index, thin) in by_figure(job, &figures, thin, |t| t.at) {
        sink.push(report(job, &figures[index], (kerf, holds), &thin));
    }
}

fn report(job: &Job, figure: &CutFigure, (kerf, holds): (Mm, Mm), thin: &[Thin]) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let left = Mm::new((thin[0].width - kerf).get().max(0.0));
    let burns_away = fixed(left.get(), 2) == "0";
    let at_least = if thin.len() < MOST_PLACES { "" } else { "at least " };
    let walls = counted(thin.len(), "wall", "walls");
    let drawn = fixed(thin[0].width.get(), 2);
    let message = if burns_away {
        format!("cutting `{name}` leaves {at_least}{walls} too thin to hold, and the thinnest burns away")
    } else {
        format!(
            "cutting `{name}` leaves {at_least}{walls} too thin to hold, the thinnest {} mm",
            fixed(left.get(), 2)
        )
    };
    let at: Vec<Point> = thin.iter().map(|t| t.at).collect();
    let label = format!("the thinnest is {drawn} mm from cut to cut: {}", places(&at));
    let mut diagnostic = Diagnostic::new(&THIN_WALL, message).at(job.named_at(run, operation, name), label);
    if burns_away {
        diagnostic.severity = Severity::Warning;
    }
    for place in at.iter().take(MOST_NAMED) {
        if let Some(part) = job.element_at(name, *place) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    let thickness = job.plan.stock.thickness;
    diagnostic
        .because(format!(
            "the cuts take {kerf} of it, and what is thinner than {holds} in stock of {thickness} chars or breaks"
        ))
        .repair(format!(
            "leave {} between cuts, or accept it with `allow` where nothing hangs on it",
            kerf + holds
        ))
}
