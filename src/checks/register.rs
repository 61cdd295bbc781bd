//! Runs that start from different points of the sheet.

use super::Job;
use super::place::way;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::plan::Run;
use crate::recipe::FigureKind;
use crate::shop::StartPoint;
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

/// Less than this (mm) apart is rounding.
const SAME: f64 = 0.01;

/// Compares the start point of each run with that of the first.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let start = job.plan.machine.start;
    let mut starts = job.runs().filter_map(|run| Some((run, start.of(run.burned_on_page()?)?)));
    let Some((first, origin)) = starts.next() else { return };
    for (run, at) in starts {
        if (at - origin).hypot() > SAME {
            sink.push(differs(job, (first, origin), (run, at)));
        }
    }
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

fn differs(job: &Job, first: (&Run, Point), second: (&Run, Point)) -> Diagnostic {
    let ((first, origin), (run, at)) = (first, second);
    let (machine, apart) = (&job.plan.machine, at - origin);
    let what = name(machine.start);
    let message = format!("runs `{}` and `{}` do not have the same {what}", first.name, run.name);
    Diagnostic::new(&CENTRES_DIFFER, message)
        .at(run.span, format!("the {what} of what it burns lies {}", way(apart)))
        .also(first.span, format!("of the {what} of this run"))
        .also(machine.span, format!("started from the {what} of each run"))
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
    let Some(marks) = job.recipe.figures.iter().map(|f| &f.name.value).find(|n| is_register(n)) else {
        let board = "add `register \"marks\" around=\"board\"`, and `score \"marks\"` to every run";
        return board.to_owned();
    };
    let lacks = |run: &&Run| !run.operations.iter().any(|o| o.figures.contains(marks));
    let lacking: Vec<&str> = [first, second].into_iter().filter(lacks).map(|r| r.name.as_str()).collect();
    if lacking.is_empty() {
        format!("something is burned beyond `{marks}`: give it a wider `gap`, so that all runs have its box")
    } else {
        format!("add `score \"{marks}\"` to {}", quoted_list(lacking, "and"))
    }
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
