//! Corner marks that do not lie in the waste, or so near to the edge of the sheet that they are easily lost.

use super::Job;
use super::place::place;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{FillRule, Region, nearest};
use crate::plan::{Burn, Operation, Run};
use crate::recipe::{BOARD_NAME, FigureKind};
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, PathEl, Point, Shape};

pub(super) static NOT_IN_WASTE: Finding = Finding {
    rule: "register/marks-not-in-waste",
    severity: Severity::Warning,
    title: "a corner mark lies on what is kept, or on a cut",
    explanation: "Corner marks show whether the sheet has moved, and are thrown away with the waste. On the piece they stay to be \
        seen; where a cut runs through them nothing is left to go by.",
    wrong: "register \"marks\" around=\"sun\"\nrun \"separate\" { score \"marks\"; cut \"board\" }",
    right: "register \"marks\" around=\"board\"\nrun \"separate\" { score \"marks\"; cut \"board\" }",
};

pub(super) static AT_THE_EDGE: Finding = Finding {
    rule: "register/marks-at-edge",
    severity: Severity::Advice,
    title: "a corner mark lies at the very edge of the sheet",
    explanation: "Clamps, weights and stops lie at the edges, and a sheet is seldom laid in truer than a millimetre: a mark nearer to \
        the edge than that may miss the sheet, or the head may run into what holds it.",
    wrong: "sheet \"100 mm\" \"100 mm\"\nboard { circle \"90 mm\" }\nregister \"marks\" around=\"board\" gap=\"4 mm\"\nrun \"separate\" { score \"marks\"; cut \"board\" }",
    right: "sheet \"110 mm\" \"110 mm\"\nboard { circle \"90 mm\" }\nregister \"marks\" around=\"board\" gap=\"4 mm\"\nrun \"separate\" { score \"marks\"; cut \"board\" }",
};

/// A mark keeps this far from the edges of the sheet (common practice, no source).
const FROM_EDGE: Mm = Mm::new(2.0);

/// Looks at the marks that are burned on a sheet, each figure once.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut seen: Vec<&str> = Vec::new();
    let mut kept: Option<Kept> = None;
    for (run, operation) in job.burning() {
        for name in &operation.figures {
            let is_marks = matches!(job.recipe.figure(name).map(|f| &f.kind), Some(FigureKind::Register(_)));
            let Some(placed) = job.figures.get(name).filter(|_| is_marks && !seen.contains(&name.as_str())) else {
                continue;
            };
            seen.push(name);
            let marks: Vec<BezPath> = placed.drawing.lines.iter().map(|l| l.path.clone()).collect();
            let kept = kept.get_or_insert_with(|| Kept::of(job));
            if let Some(told) = in_the_way(job, (run, operation), name, &marks, kept) {
                sink.push(told);
            } else if let Some((by, at)) = at_the_edge(job, &marks) {
                sink.push(edge(job, (run, operation), name, by, at));
            }
        }
    }
}

/// What is no waste on a sheet.
struct Kept {
    /// What lies in the outlines that are cut, and the board.
    parts: Region,
    /// The lines that are cut, but for marks.
    cuts: Vec<BezPath>,
}

impl Kept {
    fn of(job: &Job) -> Self {
        let cuts: Vec<&Operation> =
            job.burning().map(|(_, o)| o).filter(|o| o.kind == OperationKind::Cut && !job.is_marks(o)).collect();
        let outlines = cuts.iter().flat_map(|o| &o.clean_up.outlines).flat_map(|l| l.elements().iter().copied());
        let all = BezPath::from_vec(outlines.collect());
        let parts = Region::from_path(&all, FillRule::EvenOdd).unwrap_or_else(|_| Region::empty());
        let board = job.figures.get(BOARD_NAME).map(|b| b.drawing.ink.clone()).filter(|_| job.holds_board());
        let parts = board.map_or_else(|| parts.clone(), |board| Region::union(&[&parts, &board]));
        let lines = cuts.iter().filter_map(|o| if let Burn::Lines(lines) = &o.burn { Some(lines) } else { None });
        Self { parts, cuts: lines.flatten().cloned().collect() }
    }
}

fn ends(path: &BezPath) -> impl Iterator<Item = Point> + '_ {
    path.elements().iter().filter_map(PathEl::end_point)
}

fn in_the_way(
    job: &Job,
    burned: (&Run, &Operation),
    name: &str,
    marks: &[BezPath],
    kept: &Kept,
) -> Option<Diagnostic> {
    let on_part = marks.iter().flat_map(ends).find(|p| kept.parts.contains(*p));
    // The charred edge of the mark and that of the cut would touch.
    let width = job.plan.stock.kerf.unwrap_or(job.plan.machine.spot) / 2.0 + job.plan.machine.spot / 2.0;
    let on_cut = || nearest(marks, &kept.cuts).filter(|n| n.distance < width).map(|n| n.on_a);
    let (at, what, follows) = match (on_part, on_cut()) {
        (Some(at), _) => (at, "on what is kept", "it stays on the piece to be seen"),
        (None, Some(at)) => (at, "on a cut", "it is cut away, and nothing is left to go by"),
        (None, None) => return None,
    };
    let figure = job.recipe.figure(name)?;
    Some(
        Diagnostic::new(&NOT_IN_WASTE, format!("a mark of `{name}` lies {what}"))
            .at(job.named_at(burned.0, burned.1, name), place(at))
            .also(figure.head, "the marks")
            .because(follows)
            .repair("put them round the outermost figure, or give them another `gap`"),
    )
}

/// The mark that lies nearest to an edge of the sheet, where that is too near; one outside is another finding.
fn at_the_edge(job: &Job, marks: &[BezPath]) -> Option<(f64, Point)> {
    let sheet = job.figures.sheet();
    let inside = |p: &Point| {
        [p.x - sheet.x0, sheet.x1 - p.x, p.y - sheet.y0, sheet.y1 - p.y].into_iter().fold(f64::INFINITY, f64::min)
    };
    let is_whole = marks.iter().all(|m| m.bounding_box().intersect(sheet) == m.bounding_box());
    let nearest = marks.iter().flat_map(ends).map(|p| (inside(&p), p)).min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.filter(|(by, _)| is_whole && *by < FROM_EDGE.get())
}

fn edge(job: &Job, burned: (&Run, &Operation), name: &str, by: f64, at: Point) -> Diagnostic {
    let message = format!("a mark of `{name}` lies {} mm from the edge of the sheet", fixed(by, 2));
    Diagnostic::new(&AT_THE_EDGE, message)
        .at(job.named_at(burned.0, burned.1, name), place(at))
        .also(job.plan.sheet.span, "the sheet")
        .because("where the sheet lies a little off, or something holds it there, the mark is lost")
        .repair("give the marks a smaller `gap`, or take a larger sheet")
}
