//! What is burned twice.

use super::Job;
use super::filled_and_stroked::is_edge;
use super::place::{counted, places};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Doubled, doubled_lines};
use crate::mending::FaultKind;
use crate::plan::{Burn, Operation, Run};
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, Point};
use std::collections::{BTreeMap, BTreeSet};

pub(super) static DOUBLED_LINES: Finding = Finding {
    rule: "burn/doubled-lines",
    severity: Severity::Warning,
    title: "lines are burned twice",
    explanation: "Lines of two operations that lie on each other are burned once for each: the cut gets wider and charred, a \
        score darker and deeper than its setting says. Within one operation they are burned once.",
    wrong: "run \"separate\" { cut \"board\"; cut \"board\" }",
    right: "run \"separate\" { cut \"board\" }",
};

pub(super) static BURNED_ONCE: Finding = Finding {
    rule: "burn/burned-once",
    severity: Severity::Advice,
    title: "lines that lie on each other are burned once",
    explanation: "Where lines of one operation lie on each other (within a quarter of the spot), the beam goes there once: the shared \
        side of two rectangles, an outline that was drawn twice. Nothing has to be done; it is told because the drawing \
        says something else.",
    wrong: "shape \"left\" { rectangle \"20 mm\" \"20 mm\" left=\"10 mm\" }\nshape \"right\" { rectangle \"20 mm\" \"20 mm\" right=\"10 mm\" }\nrun \"picture\" { score \"left\" \"right\" }",
    right: "shape \"both\" { rectangle \"40 mm\" \"20 mm\" }\nrun \"picture\" { score \"both\" }",
};

pub(super) static ENGRAVED_TWICE: Finding = Finding {
    rule: "burn/engraved-twice",
    severity: Severity::Warning,
    title: "a figure is engraved twice",
    explanation: "The second engraving burns over the first: darker and deeper than either setting says. Where that is meant, \
        `passes=2` says so and was measured.",
    wrong: "run \"picture\" { engrave \"heron\" setting=\"dark\"; engrave \"heron\" shade=\"35 %\" }",
    right: "run \"picture\" { engrave \"heron\" setting=\"dark\" passes=2 }",
};

/// Stretches shorter than this (mm) that lie on each other are not worth a word.
const LEAST: Mm = Mm::new(1.0);

/// Lines that touch like a circle and its tangent keep near each other for a way that halves when the distance is
/// quartered; where lines cross at a small angle it is quartered. Between these shares of the way, they only touch.
const TOUCHING: std::ops::Range<f64> = 0.2..0.7;

/// Lines that are near each other for longer than this (mm) do not merely touch: two arcs of half a metre's radius do
/// so for less.
const LONGEST_TOUCH: f64 = 12.0;

/// Looks for lines and figures that are burned twice.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    for (_, operation) in job.burning() {
        once(job, operation, sink);
    }
    for run in job.runs() {
        for kind in [OperationKind::Score, OperationKind::Cut] {
            in_run(job, run, kind, sink);
        }
    }
    again(job, OperationKind::Cut, sink);
    again(job, OperationKind::Engrave, sink);
}

/// What the clean-up burns once.
fn once(job: &Job, operation: &Operation, sink: &mut Sink) {
    let long = operation.clean_up.once.iter().filter(|o| o.length >= LEAST);
    let of_artwork = |at: Point| {
        let is_edge = || job.figure_at(&operation.figures, at).is_some_and(|figure| is_edge(job, figure, at));
        job.is_told(&operation.figures, FaultKind::Doubled, at) || is_edge()
    };
    let (at, lengths): (Vec<Point>, Vec<Mm>) =
        long.filter(|o| !of_artwork(o.at)).map(|o| (o.at, o.length)).unzip();
    if at.is_empty() {
        return;
    }
    let told = at.len() < operation.clean_up.once.iter().filter(|o| o.length >= LEAST).count();
    let saved = if told { lengths.into_iter().sum() } else { operation.clean_up.saved };
    let saved = fixed(saved.get(), 1);
    let label = format!("{}, {}", counted(at.len(), "stretch", "stretches"), places(&at));
    let mut diagnostic = Diagnostic::new(
        &BURNED_ONCE,
        format!("{saved} mm of this {} lie on other lines of it and are burned once", operation.kind),
    )
    .at(operation.span, label)
    .because("the line comes out as its setting says, and the run is shorter")
    .repair("nothing has to be done; where two lines are meant, draw them farther apart");
    let figure = job.figure_at(&operation.figures, at[0]);
    if let Some(part) = figure.and_then(|f| job.element_at(f, at[0])) {
        diagnostic = diagnostic.in_artwork(part);
    }
    sink.push(diagnostic);
}

fn in_run(job: &Job, run: &Run, kind: OperationKind, sink: &mut Sink) {
    let of_kind = run.operations.iter().filter(|o| o.kind == kind);
    let (owners, lines): (Vec<&Operation>, Vec<BezPath>) = of_kind
        .filter_map(|o| match &o.burn {
            Burn::Lines(lines) => Some(lines.iter().map(move |l| (o, l.clone()))),
            Burn::Area(_) | Burn::Dots(_) => None,
        })
        .flatten()
        .unzip();
    let mut by_later: BTreeMap<usize, Vec<(Doubled, &Operation)>> = BTreeMap::new();
    for found in doubled(&lines, job.plan.machine.spot) {
        let (earlier, later) = (owners[found.first.min(found.second)], owners[found.first.max(found.second)]);
        if earlier.number == later.number {
            continue; // Cleaned up; what is left of it only touches.
        }
        by_later.entry(later.number).or_default().push((found, earlier));
    }
    for (number, found) in by_later {
        if let Some(later) = run.operations.iter().find(|o| o.number == number) {
            sink.push(on_each_other(job, later, &found));
        }
    }
}

/// Stretches of lines that lie on each other: within half a spot, the lines cannot be told apart on the piece.
fn doubled(lines: &[BezPath], spot: Mm) -> Vec<Doubled> {
    let within = spot / 2.0;
    let mut found = doubled_lines(lines, within, LEAST);
    if !found.is_empty() {
        let nearer = doubled_lines(lines, within / 4.0, LEAST / 10.0);
        found.retain(|stretch| !only_touches(stretch, &nearer));
    }
    found
}

/// Whether two lines merely touch along a stretch, told by how much of it is left at a quarter of the distance.
fn only_touches(stretch: &Doubled, nearer: &[Doubled]) -> bool {
    let length = stretch.length.get();
    let same = |d: &&Doubled| {
        (d.first, d.second) == (stretch.first, stretch.second) && d.at.distance(stretch.at) <= 0.5 * length
    };
    let left: f64 = nearer.iter().filter(same).map(|d| d.length.get()).sum();
    length < LONGEST_TOUCH && TOUCHING.contains(&(left / length))
}

fn on_each_other(job: &Job, later: &Operation, found: &[(Doubled, &Operation)]) -> Diagnostic {
    let total: f64 = found.iter().map(|(d, _)| d.length.get()).sum();
    let at: Vec<Point> = found.iter().map(|(d, _)| d.at).collect();
    let message = format!("{} mm of this {} lie on lines that are burned before", fixed(total, 1), later.kind);
    let label = format!("{}, {}", counted(at.len(), "stretch", "stretches"), places(&at));
    let mut diagnostic = Diagnostic::new(&DOUBLED_LINES, message).at(later.span, label);
    let mut named = BTreeSet::from([later.number]);
    for (_, earlier) in found.iter().filter(|(_, e)| named.insert(e.number)) {
        diagnostic = diagnostic.also(earlier.span, "burned first here");
    }
    let figure = job.figure_at(&later.figures, at[0]);
    if let Some(part) = figure.and_then(|f| job.element_at(f, at[0])) {
        diagnostic = diagnostic.in_artwork(part);
    }
    let kerf = later.setting.as_ref().and_then(|s| s.kerf);
    let normal = kerf.map_or_else(String::new, |k| format!(" than the kerf of {k}"));
    diagnostic
        .because(if later.kind == OperationKind::Cut {
            format!("the beam goes there twice: the cut gets wider{normal}, and its edge chars")
        } else {
            "the beam goes there twice: the line gets darker and deeper than the setting says".to_owned()
        })
        .repair("keep one of the lines: drop the other in the drawing, weld the shapes, or name the figure once")
}

/// Figures that two operations burn, in one run or two. Cuts in one run are found by their lines.
fn again(job: &Job, kind: OperationKind, sink: &mut Sink) {
    let mut first: BTreeMap<&str, (&Run, &Operation)> = BTreeMap::new();
    for (run, operation) in job.burning().filter(|(_, o)| o.kind == kind) {
        let names: BTreeSet<&str> = operation.figures.iter().map(String::as_str).collect();
        for name in names {
            let Some(before) = first.get(name).copied() else {
                first.insert(name, (run, operation));
                continue;
            };
            // Engraved on both sides, nothing is burned twice.
            let is_one_side = before.0.lay.turned.is_some() == run.lay.turned.is_some();
            if kind == OperationKind::Engrave && is_one_side
                || kind == OperationKind::Cut && before.0.number != run.number
            {
                sink.push(second_time(job, name, before, (run, operation)));
            }
        }
    }
}

fn second_time(job: &Job, name: &str, before: (&Run, &Operation), now: (&Run, &Operation)) -> Diagnostic {
    let is_cut = now.1.kind == OperationKind::Cut;
    let (rule, verb) = if is_cut { (&DOUBLED_LINES, "cut") } else { (&ENGRAVED_TWICE, "engraved") };
    let message = if before.0.number == now.0.number {
        format!("`{name}` is {verb} twice in run `{}`", now.0.name)
    } else {
        format!("`{name}` is {verb} in run `{}` and again in run `{}`", before.0.name, now.0.name)
    };
    let (consequence, repair) = if is_cut {
        ("the head cuts air or, where the sheet has moved, beside the first cut", "cut it in one run only")
    } else {
        (
            "it comes out darker and deeper than either setting says",
            "engrave it once, with `passes=2` if twice is meant",
        )
    };
    Diagnostic::new(rule, message)
        .at(job.named_at(now.0, now.1, name), "second time")
        .also(job.named_at(before.0, before.1, name), "first time")
        .because(consequence)
        .repair(repair)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Rect, Shape};

    const SPOT: Mm = Mm::new(0.08);

    fn total(lines: &[BezPath]) -> f64 {
        doubled(lines, SPOT).iter().map(|d| d.length.get()).sum()
    }

    #[test]
    fn outlining_every_piece_of_a_grid_burns_the_inner_lines_twice() {
        // By counting: 300 x 200 in squares of 20. Outlined one by one 150 * 80 = 12000 mm, each line once 6500 mm; the
        // 275 inner sides of 20 mm are doubled. Round each corner a stretch reaches up to half a spot farther.
        let cell = |i: u32| {
            let (x, y) = (f64::from(i % 15) * 20.0, f64::from(i / 15) * 20.0);
            Rect::new(x, y, x + 20.0, y + 20.0).to_path(0.1)
        };
        let grid: Vec<BezPath> = (0..150).map(cell).collect();
        let found = total(&grid);
        assert!((5500.0..=5500.0 + 275.0 * 2.0 * 0.04 + 1.0).contains(&found), "{found}");
    }

    #[test]
    fn a_line_that_ends_on_another_or_crosses_it_is_burned_once() {
        let outline = Rect::new(0.0, 0.0, 100.0, 60.0).to_path(0.1);
        let line = |d: &str| BezPath::from_svg(d).unwrap();
        assert_eq!(total(&[outline.clone(), line("M 50 0 L 50 60")]), 0.0);
        assert_eq!(total(&[outline, line("M -10 -10 L 90 70")]), 0.0);
        // Two degrees: within 0.04 mm of each other for more than 2 mm.
        assert_eq!(total(&[line("M 0 0 L 100 0"), line("M 20 -1.047 L 80 1.047")]), 0.0);
    }

    #[test]
    fn circles_and_lines_that_touch_are_burned_once() {
        // A circle of radius R keeps within t of its tangent for 2 sqrt(2 R t): 4 mm for 50 mm and 0.04 mm.
        let circle = |x: f64, r: f64| Circle::new((x, 0.0), r).to_path(1e-4);
        let tangent = BezPath::from_svg("M 50 -40 L 50 40").unwrap();
        assert!(!doubled_lines(&[circle(0.0, 50.0), tangent.clone()], SPOT / 2.0, LEAST).is_empty());
        assert_eq!(total(&[circle(0.0, 50.0), tangent]), 0.0);
        assert_eq!(total(&[circle(0.0, 50.0), circle(100.0, 50.0)]), 0.0);
    }

    #[test]
    fn a_copy_that_lies_a_little_off_is_burned_twice() {
        // The whole circle, 2 pi R = 188.5 mm, moved by less than half a spot.
        let circle = |x: f64| Circle::new((x, 0.0), 30.0).to_path(1e-4);
        let found = total(&[circle(0.0), circle(0.03)]);
        assert!((found - 188.5).abs() < 0.5, "{found}");
        let bar = |y: f64| BezPath::from_svg(&format!("M 0 {y} L 5 {y}")).unwrap();
        assert!((total(&[bar(0.0), bar(0.03)]) - 5.0).abs() < 0.1);
    }
}
