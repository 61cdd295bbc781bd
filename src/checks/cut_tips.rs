//! Tips that a cut burns away.

use super::Job;
use super::cutting::{CutFigure, by_figure, cut_figures, cut_width, kept};
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Tip, sharp_tips};
use crate::units::number::fixed;
use crate::units::{Degrees, Mm};
use kurbo::Point;

pub(super) static TIP_BURNS_AWAY: Finding = Finding {
    rule: "cut/tip-burns-away",
    severity: Severity::Advice,
    title: "a sharp tip is cut short",
    explanation: "Where two cuts run together at a sharp angle they lie within the kerf of each other before they meet, and what \
        is left between them burns away: the sharper the tip, the more of it is lost.",
    wrong: "board { polygon { point; point right=\"80 mm\" up=\"3 mm\"; point right=\"80 mm\" down=\"3 mm\" } }\nrun \"separate\" { cut \"board\" }",
    right: "board { polygon { point; point right=\"80 mm\" up=\"16 mm\"; point right=\"80 mm\" down=\"16 mm\" } }\nrun \"separate\" { cut \"board\" }",
};

/// So much of a tip (mm) is lost before it is worth a word: it can be seen at arm's length.
const LEAST_LOSS: f64 = 1.0;

/// Looks at the tips of everything that closed cuts leave.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let figures = cut_figures(job);
    let kerf = cut_width(job);
    // Flanks at this angle are a kerf apart just where the least loss ends.
    let below = 2.0 * libm::asin((0.5 * kerf.get() / LEAST_LOSS).min(1.0));
    let tips = sharp_tips(&kept(job, &figures).pieces, kerf, Degrees::new(below.to_degrees()));
    for (index, tips) in by_figure(job, &figures, tips, |t| t.at) {
        sink.push(report(job, &figures[index], kerf, &tips));
    }
}

fn report(job: &Job, figure: &CutFigure, kerf: Mm, tips: &[Tip]) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let (sharpest, count) = (&tips[0], counted(tips.len(), "tip of", "tips of"));
    let verb = if tips.len() == 1 { "is" } else { "are" };
    let loss = fixed(sharpest.length.get(), 1);
    let message = format!("{count} `{name}` {verb} cut short, the sharpest by {loss} mm");
    let at: Vec<Point> = tips.iter().map(|t| t.at).collect();
    let label = format!("the sharpest has {} degrees: {}", fixed(sharpest.angle.get(), 1), places(&at));
    let mut diagnostic = Diagnostic::new(&TIP_BURNS_AWAY, message).at(job.named_at(run, operation, name), label);
    for place in at.iter().take(MOST_NAMED) {
        if let Some(part) = job.element_at(name, *place) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    diagnostic
        .because(format!(
            "its flanks lie within the cut's width of {kerf} over that length, so that nothing is left of it"
        ))
        .repair("make the tip blunter or round it, or draw it longer by what is lost")
}
