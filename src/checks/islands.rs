//! Islands: what drops out together with an opening that is cut round it.

use super::Job;
use super::cutting::{CutFigure, by_figure, cut_figures, cut_width, kept};
use super::place::{counted, place};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Island, smallest_part};
use crate::units::number::fixed;

pub(super) static ISLAND_FALLS_OUT: Finding = Finding {
    rule: "cut/island-falls-out",
    severity: Severity::Advice,
    title: "an island inside an opening drops out",
    explanation: "Where closed cuts lie in each other, the ring between them is an opening and what lies inside it is held by \
        nothing: the middle of an `o`, the eye of a cut-out bird. As loose parts that is as it should be. In a stencil or a \
        window the middle is lost unless bridges hold it, which are bars taken out of the figure with `subtract`.",
    wrong: "lettering \"word\" \"pond\" font=\"fonts/a.ttf\" height=\"20 mm\"\nrun \"all\" { cut \"word\"; cut \"board\" }",
    right: "shape \"stencil\" { subtract { figure \"word\"; rectangle \"80 mm\" \"1.5 mm\" } }\nrun \"all\" { cut \"stencil\"; cut \"board\" }",
};

/// Looks for parts that lie loose in the openings of others.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let figures = cut_figures(job);
    let kept = kept(job, &figures);
    let mut islands: Vec<Island> = kept.islands.iter().filter_map(smallest_part).collect();
    // What is narrower than the kerf burns away.
    islands.retain(|island| cut_width(job) < island.across);
    for (index, islands) in by_figure(job, &figures, islands, |i| i.at) {
        sink.push(report(job, &figures[index], &islands));
    }
}

fn report(job: &Job, figure: &CutFigure, islands: &[Island]) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let smallest = islands.iter().min_by(|a, b| a.across.get().total_cmp(&b.across.get())).unwrap_or(&islands[0]);
    let count = counted(islands.len(), "island", "islands");
    let drops = if islands.len() == 1 { "drops" } else { "drop" };
    let label = format!("the smallest is {} mm across, {}", fixed(smallest.across.get(), 1), place(smallest.at));
    let mut diagnostic =
        Diagnostic::new(&ISLAND_FALLS_OUT, format!("{count} in what `{name}` cuts out {drops} out too"))
            .at(job.named_at(run, operation, name), label);
    if let Some(part) = job.element_at(name, smallest.at) {
        diagnostic = diagnostic.in_artwork(part);
    }
    diagnostic
        .because("nothing holds what lies inside an opening: it falls through the bed, or tips up into the way of the head")
        .repair("take a bar out of the figure with `subtract` to leave bridges, or accept it with `allow` where loose parts are wanted")
}
