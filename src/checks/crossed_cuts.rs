//! Cuts that cross, so that pieces fall out that nobody planned.

use super::Job;
use super::cutting::{CutFigure, cut_figures, cut_seams, cut_width};
use super::place::{MOST_NAMED, counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Crossing, crossings, doubled_lines, is_closed};
use crate::recipe::BOARD_NAME;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, Point};
use std::collections::BTreeSet;

pub(super) static LINES_CROSS: Finding = Finding {
    rule: "cut/lines-cross",
    severity: Severity::Warning,
    title: "cuts cross, and pieces fall out",
    explanation: "A line that crosses itself closes a loop, and two outlines that cross share a part: cut through, each of them \
        is a piece of its own. Weld the outlines, or take one from the other, where one piece is wanted. The seams of two \
        puzzles that lie on each other leave splinters.",
    wrong: "shape \"leaf\" { circle \"30 mm\" }\nshape \"bud\" { circle \"30 mm\"; place right=\"20 mm\" }\nrun \"separate\" { cut \"leaf\" \"bud\" }",
    right: "shape \"leaf\" { circle \"30 mm\" }\nshape \"bud\" { circle \"30 mm\"; place right=\"20 mm\" }\nshape \"both\" { weld { figure \"leaf\"; figure \"bud\" } }\nrun \"separate\" { cut \"both\" }",
};

/// Loops shorter than this many kerfs burn away and leave no piece.
const LEAST_LOOP: f64 = 6.0;

/// Lines that lie on each other for less than this only touch.
const LEAST_STRETCH: Mm = Mm::new(1.0);

/// A line and the figure it belongs to.
struct Owned<'a> {
    figure: &'a CutFigure<'a>,
    is_closed: bool,
}

/// The lines of all figures, and of each the figure it belongs to.
fn owned<'a>(figures: &'a [CutFigure<'a>]) -> (Vec<Owned<'a>>, Vec<BezPath>) {
    let all = figures.iter().flat_map(|figure| figure.lines.iter().map(move |line| (figure, line)));
    all.map(|(figure, line)| (Owned { figure, is_closed: is_closed(line) }, line.clone())).unzip()
}

/// Looks where the lines of cuts cross themselves and each other.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    seams_over_each_other(job, sink);
    let figures = cut_figures(job);
    let least = cut_width(job).get() * LEAST_LOOP;
    let (owners, lines) = owned(&figures);
    let found = crossings(&lines);
    if !found.places.iter().any(|c| c.passes) {
        return;
    }
    let on_each_other = pairs_on_each_other(job, &lines);
    let parts_pieces = |c: &&Crossing| {
        let (a, b) = (&owners[c.first], &owners[c.second]);
        c.passes
            && match c.loop_length {
                Some(way) => way.get() >= least,
                None => {
                    a.is_closed && b.is_closed && !is_board(a, b) && !on_each_other.contains(&(c.first, c.second))
                }
            }
    };
    for figure in &figures {
        let later = |c: &&Crossing| owners[c.first.max(c.second)].figure.name == figure.name;
        let crossed: Vec<&Crossing> = found.places.iter().filter(parts_pieces).filter(later).collect();
        if !crossed.is_empty() {
            sink.push(report(job, figure, &owners, &crossed, found.complete));
        }
    }
}

/// The seams of one puzzle are proved where they are laid out; those of two must not meet.
fn seams_over_each_other(job: &Job, sink: &mut Sink) {
    let figures = cut_seams(job);
    if figures.len() < 2 {
        return;
    }
    let (owners, lines) = owned(&figures);
    let found = crossings(&lines);
    for figure in &figures {
        let of_two = |c: &&Crossing| {
            let (earlier, later) = (owners[c.first.min(c.second)].figure, owners[c.first.max(c.second)].figure);
            c.passes && earlier.name != figure.name && later.name == figure.name
        };
        let crossed: Vec<&Crossing> = found.places.iter().filter(of_two).collect();
        if !crossed.is_empty() {
            sink.push(report(job, figure, &owners, &crossed, found.complete));
        }
    }
}

/// Pairs of lines that run on top of each other for a way, which is another finding: such lines cross all along it.
fn pairs_on_each_other(job: &Job, lines: &[BezPath]) -> BTreeSet<(usize, usize)> {
    let found = doubled_lines(lines, job.plan.machine.spot / 2.0, LEAST_STRETCH);
    found.iter().flat_map(|d| [(d.first, d.second), (d.second, d.first)]).collect()
}

/// Whether a figure crosses the board's outline: then it lies outside the board, which is another finding.
fn is_board(a: &Owned, b: &Owned) -> bool {
    [a, b].iter().any(|o| o.figure.name == BOARD_NAME)
}

fn report(job: &Job, figure: &CutFigure, owners: &[Owned], found: &[&Crossing], complete: bool) -> Diagnostic {
    let CutFigure { name, run, operation, .. } = *figure;
    let at_least = if complete { "" } else { "at least " };
    let times = counted(found.len(), "place", "places");
    let other = found.iter().map(|c| owners[c.first.min(c.second)].figure).find(|f| f.name != name);
    let own = if found.iter().all(|c| c.loop_length.is_some()) { "themselves" } else { "each other" };
    let whom = other.map_or_else(|| own.to_owned(), |o| format!("those of `{}`", o.name));
    let message = format!("cuts of `{name}` cross {whom} in {at_least}{times}");
    let at: Vec<Point> = found.iter().map(|c| c.at).collect();
    let longest = found.iter().filter_map(|c| Some(c.loop_length?.get())).fold(0.0, f64::max);
    let a_loop =
        if longest > 0.0 { format!("the longest loop is {} mm: ", fixed(longest, 1)) } else { String::new() };
    let label = format!("{a_loop}{}", places(&at));
    let mut diagnostic = Diagnostic::new(&LINES_CROSS, message).at(job.named_at(run, operation, name), label);
    if let Some(other) = other {
        diagnostic = diagnostic.also(job.named_at(other.run, other.operation, other.name), "crossed here");
    }
    for place in at.iter().take(MOST_NAMED) {
        if let Some(part) = job.element_at(name, *place) {
            diagnostic = diagnostic.in_artwork(part);
        }
    }
    diagnostic
        .because("what the crossing lines enclose between them falls out as pieces of their own")
        .repair("weld the outlines or subtract one from the other; draw a line that is to be cut so that it does not cross itself")
}
