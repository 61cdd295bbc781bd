//! Runs that start from different points of the sheet.

use super::Job;
use super::place::way;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::plan::{Run, SAME_PLACE};
use crate::recipe::FigureKind;
use crate::shop::StartPoint;
use crate::source::Span;
use kurbo::Point;

pub(super) static CENTRES_DIFFER: Finding = Finding {
    rule: "register/centres-differ",
    severity: Severity::Warning,
    title: "two runs start from different points of the sheet",
    explanation: "Many machines are started from the middle, or a corner, of the box around everything that a run burns. Where \
        the boxes of two runs differ, starting both from the same point of the sheet shifts the second. Corner marks \
        scored in every run give all runs the same box, and show whether the sheet has moved.",
    wrong: "shape \"sun\" { circle \"18 mm\"; place left=\"board\" right=\"15 mm\" }\nrun \"picture\" { engrave \"sun\" }\nrun \"separate\" { cut \"board\" }",
    right: "shape \"sun\" { circle \"18 mm\"; place left=\"board\" right=\"15 mm\" }\nregister \"marks\" around=\"board\"\nrun \"picture\" { engrave \"sun\"; score \"marks\" }\n\
        run \"separate\" { score \"marks\"; cut \"board\" }",
};

pub(super) static STARTS_DIFFER: Finding = Finding {
    rule: "register/starts-differ",
    severity: Severity::Warning,
    title: "two runs on one sheet are started from different kinds of points",
    explanation: "One run is started from the middle of what it burns, say, and another from a corner: the head has to be put over \
        another place of the sheet in between, and the least mistake there shifts everything. Started from the same kind of \
        point, runs with the same box start from the same place.",
    wrong: "register \"marks\" around=\"board\"\nrun \"picture\" start=\"centre\" { engrave \"sun\"; score \"marks\" }\nrun \"separate\" start=\"left-top\" { score \"marks\"; cut \"board\" }",
    right: "register \"marks\" around=\"board\"\nrun \"picture\" start=\"left-top\" { engrave \"sun\"; score \"marks\" }\nrun \"separate\" start=\"left-top\" { score \"marks\"; cut \"board\" }",
};

/// Compares the start point of each run with that of the first on the same sheet.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut starts = job.runs().filter_map(|run| Some((run, job.plan.start_on_page(run)?)));
    let Some((first, origin)) = starts.next() else { return };
    let word = job.plan.start_of(first);
    for (run, at) in starts {
        let other = job.plan.start_of(run);
        if other != word {
            sink.push(starts_differ(job, first, run));
        } else if (at - origin).hypot() > SAME_PLACE.get() {
            sink.push(differs(job, (first, origin), (run, at)));
        }
    }
}

/// Where it is written from which point a run is started: in the recipe, or in the shop file.
fn written_start(job: &Job, run: &Run) -> Span {
    let node = run.number.checked_sub(1).and_then(|i| job.recipe.runs.get(i));
    node.and_then(|node| node.start.as_ref()).map_or(job.plan.machine.span, |start| start.span)
}

fn starts_differ(job: &Job, first: &Run, run: &Run) -> Diagnostic {
    let [one, other] = [first, run].map(|r| job.plan.start_of(r));
    let message = format!("runs `{}` and `{}` are started from different kinds of points", first.name, run.name);
    let apart = match (job.plan.start_on_page(first), job.plan.start_on_page(run)) {
        (Some(a), Some(b)) if (b - a).hypot() > SAME_PLACE.get() => way(b - a),
        _ => "no way".to_owned(),
    };
    Diagnostic::new(&STARTS_DIFFER, message)
        .at(written_start(job, run), format!("`{}` starts from {}, {apart} of the other", run.name, from(other)))
        .also(written_start(job, first), format!("`{}` starts from {}", first.name, from(one)))
        .because("a head that is put over the same place for both burns the second run beside the first")
        .repair(format!("write `start=\"{}\"` on both runs, or leave it out", one.word()))
}

const fn name(start: StartPoint) -> &'static str {
    match start {
        StartPoint::Centre => "centre",
        StartPoint::LeftTop => "left top corner",
        StartPoint::RightTop => "right top corner",
        StartPoint::LeftBottom => "left bottom corner",
        StartPoint::RightBottom => "right bottom corner",
        StartPoint::Page => "page",
    }
}

/// A start point as a place that something is started from.
fn from(start: StartPoint) -> String {
    match start {
        StartPoint::Page => "the corner of the page".to_owned(),
        _ => format!("the {} of what it burns", name(start)),
    }
}

fn differs(job: &Job, first: (&Run, Point), second: (&Run, Point)) -> Diagnostic {
    let ((first, origin), (run, at)) = (first, second);
    let apart = at - origin;
    let what = name(job.plan.start_of(run));
    let message = format!("runs `{}` and `{}` do not have the same {what}", first.name, run.name);
    Diagnostic::new(&CENTRES_DIFFER, message)
        .at(run.span, format!("the {what} of what it burns lies {}", way(apart)))
        .also(first.span, format!("of the {what} of this run"))
        .also(written_start(job, run), format!("started from the {what} of each run"))
        .because(format!(
            "started from the same point of the sheet, everything in `{}` lands {} of where it belongs",
            run.name,
            way(-apart)
        ))
        .repair(repair(job, first, run))
}

fn repair(job: &Job, first: &Run, second: &Run) -> String {
    let is_register =
        |name: &str| matches!(job.recipe.figure(name).map(|f| &f.kind), Some(FigureKind::Register(_)));
    let marks = job.recipe.figures.iter().map(|f| f.name.value.as_str()).find(|n| is_register(n));
    let (name, add) = match marks {
        Some(name) => (name, String::new()),
        None => ("marks", "add `register \"marks\" around=\"board\"`, and ".to_owned()),
    };
    let lacks = |run: &&Run| !run.operations.iter().any(|o| o.figures.iter().any(|f| f == name));
    let lacking: Vec<&Run> = [first, second].into_iter().filter(lacks).collect();
    if lacking.is_empty() {
        return format!(
            "something is burned beyond `{name}`: give it a wider `gap`, so that all runs have its box"
        );
    }
    // What is only scored does not show once the sheet is turned over.
    let is_turned = job.runs().any(|run| run.lay.turned != first.lay.turned);
    let (cut, scored): (Vec<&Run>, Vec<&Run>) =
        lacking.into_iter().partition(|run| is_turned && run.number == first.number);
    let to = |word: &str, runs: &[&Run]| {
        let names = quoted_list(runs.iter().map(|r| r.name.as_str()), "and");
        (!runs.is_empty()).then(|| format!("`{word} \"{name}\"` to {names}"))
    };
    let parts: Vec<String> = [to("cut", &cut), to("score", &scored)].into_iter().flatten().collect();
    let add = if add.is_empty() { "add ".to_owned() } else { add };
    let through = if cut.is_empty() { "" } else { ": marks that are cut through show on both sides" };
    format!("{add}{}{through}", parts.join(" and "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Rect;

    #[test]
    fn a_later_run_shifts_against_the_way_its_start_lies() {
        // Put over one point P of the sheet, run 1 lies at P - c1 and run 2 at P - c2: run 2 is off by c1 - c2 (own
        // arithmetic). Boxes of 100 x 60 and 110 x 60 from the same corner have centres 5 mm apart.
        let centre = |w| StartPoint::Centre.of(Rect::new(0.0, 0.0, w, 60.0)).unwrap();
        assert_eq!(way(centre(110.0) - centre(100.0)), "5 mm to the right");
        assert_eq!(way(-(centre(110.0) - centre(100.0))), "5 mm to the left");
    }

    #[test]
    fn each_start_is_its_own_corner_and_the_page_never_moves() {
        let burned = Rect::new(1.0, 2.0, 3.0, 5.0);
        let corner = |s: StartPoint| s.of(burned).map(|p| (p.x, p.y));
        assert_eq!(corner(StartPoint::LeftTop), Some((1.0, 2.0)));
        assert_eq!(corner(StartPoint::RightTop), Some((3.0, 2.0)));
        assert_eq!(corner(StartPoint::LeftBottom), Some((1.0, 5.0)));
        assert_eq!(corner(StartPoint::RightBottom), Some((3.0, 5.0)));
        assert_eq!(corner(StartPoint::Page), None);
    }
}
