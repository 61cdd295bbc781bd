//! How the sheet is laid in for a run: a fresh one, or turned over.

use super::text::kept;
use super::wording::size;
use crate::plan::{Fixture, Laid, MirrorAxis, Operation, Plan, Run, SAME_PLACE, SheetCorner, Turned};
use crate::shop::{OperationKind, StartPoint};
use crate::units::Mm;
use crate::units::number::fixed;

/// Whether the sheet stays as it lies from one run to the next.
pub(super) fn stays(done: &Run, next: &Run) -> bool {
    done.lay == next.lay
}

/// Sheet and side of a run in a few words; nothing for the face of the only sheet.
pub(super) fn words(plan: &Plan, run: &Run) -> String {
    let sheets = plan.runs.iter().any(|r| r.lay.on.sheet().is_some_and(|number| 1 < number));
    let sheet = match run.lay.on {
        Laid::Scrap => "on scrap".to_owned(),
        Laid::Sheet(number) if sheets => format!("sheet {number}"),
        Laid::Sheet(_) => String::new(),
    };
    let side = match run.lay.turned {
        Some(turned) => format!("back up, turned {}", turned.over.word()),
        None if plan.runs.iter().any(|r| r.lay.on == run.lay.on && r.lay.turned.is_some()) => "face up".to_owned(),
        None => String::new(),
    };
    [sheet, side].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ")
}

/// What is to be done with the sheet between two runs; nothing where it stays as it lies.
pub(super) fn steps(plan: &Plan, done: &Run, next: &Run) -> Vec<String> {
    if done.lay.on != next.lay.on {
        return other_piece(plan, done, next);
    }
    let change = match (done.lay.turned, next.lay.turned) {
        (None, Some(turned)) => turned_over(plan, next, turned, "Sheet turned over, its back up"),
        (Some(turned), None) => turned_over(plan, next, turned, "Sheet turned back, its face up"),
        (Some(from), Some(to)) if from.over != to.over => {
            vec!["Sheet turned round by half a turn, its back still up".to_owned()]
        }
        _ => return Vec::new(),
    };
    let register = std::iter::once(register(plan, done, next));
    change.into_iter().chain(register).collect()
}

/// What is done where another piece of stock is laid in.
fn other_piece(plan: &Plan, done: &Run, next: &Run) -> Vec<String> {
    let face = if next.lay.turned.is_some() { "its face down" } else { "its face up" };
    let sheet = format!("sheet of {}, {}", plan.stock.name, size(plan.sheet.width, plan.sheet.height));
    match (done.lay.on, next.lay.on) {
        (Laid::Scrap, _) => {
            let corners = fixtures(plan, done);
            let left = corners.iter().map(|f| {
                format!("The corner that was cut out taken away; the rest of `{}` stays where it lies and is held down", f.name)
            });
            let pushed = corners.iter().map(|f| {
                let corner = corner_words(f.corner);
                format!(
                    "The {sheet}, laid in, {face}: burr off its {corner} corner, then pushed into `{}` until both edges touch",
                    f.name
                )
            });
            let steps: Vec<String> = left.chain(pushed).collect();
            if steps.is_empty() { vec![format!("Scrap taken out; a {sheet}, laid in, {face}")] } else { steps }
        }
        (Laid::Sheet(number), Laid::Scrap) => {
            let scrap = fixtures(plan, next).first().map(|f| scrap_words(plan, f));
            vec![format!("Sheet {number} taken out; laid in: {}", scrap.as_deref().unwrap_or("scrap"))]
        }
        (Laid::Sheet(number), Laid::Sheet(_)) => {
            let place = match plan.fixtures.first().filter(|_| is_laid_into_corner(plan)) {
                Some(fixture) => format!("pushed into `{}` until both edges touch", fixture.name),
                None => "laid in where it lay".to_owned(),
            };
            vec![format!("Sheet {number} taken out; a fresh {sheet}, {place}, {face}")]
        }
    }
}

/// The corners that a run cuts.
pub(super) fn fixtures<'a>(plan: &'a Plan, run: &Run) -> Vec<&'a Fixture> {
    let burned = |f: &&Fixture| run.operations.iter().any(|o| o.figures.contains(&f.name));
    if run.lay.on == Laid::Scrap { plan.fixtures.iter().filter(burned).collect() } else { Vec::new() }
}

/// Whether the sheets are laid into a corner that was cut before.
pub(super) fn is_laid_into_corner(plan: &Plan) -> bool {
    plan.runs.iter().any(|run| !fixtures(plan, run).is_empty())
}

/// `left top`.
pub(super) fn corner_words(corner: SheetCorner) -> String {
    corner.word().replace('-', " ")
}

/// How scrap is laid in so that the cut parts it.
pub(super) fn scrap_words(plan: &Plan, fixture: &Fixture) -> String {
    let side = fixture.arm + fixture.width;
    let (beyond, least) = (corner_words(fixture.corner), fixture.arm - SHORT_OF_END);
    format!(
        "flat scrap of about {} × {}, no thicker than the sheet, over the {beyond} corner of the page: {} of it beyond both edges \
         of the page there, and no more than {} within them, so that the cut runs out at its edges. Hold it down where the \
         head does not pass; it stays for all runs. The page is {}.",
        fixed(side.get(), 0),
        kept(&format!("{} mm", fixed(side.get(), 0))),
        kept(&fixture.width.to_string()),
        kept(&Mm::new(least.get().max(0.0)).to_string()),
        size(plan.sheet.width, plan.sheet.height),
    )
}

/// Scrap ends this far before the cut does, so that the cut parts it.
const SHORT_OF_END: Mm = Mm::new(5.0);

/// How a sheet is turned, and which of its edges goes where.
fn turned_over(plan: &Plan, next: &Run, turned: Turned, what: &str) -> Vec<String> {
    let (like, from, to, kept_edge) = match turned.over {
        MirrorAxis::LeftRight => ("like the page of a book", "right", "left", "top"),
        MirrorAxis::TopBottom => ("like the page of a calendar", "bottom", "top", "left"),
    };
    let shift = turned.shift((plan.sheet.width, plan.sheet.height));
    // Without the page to go by, the sheet lies against the same stops, and the start point goes along with the board.
    let shift = if plan.start_of(next) == StartPoint::Page { shift } else { Mm::ZERO };
    let stop = match shift.get() {
        by if by.abs() <= SAME_PLACE.get() => format!("comes to the {to} stop"),
        by if by > 0.0 => format!("comes to lie {} from the {to} stop: put a spacer there", millimetres(shift)),
        _ => format!("comes to lie {} beyond the {to} stop: move the stop", millimetres(shift)),
    };
    vec![format!("{what}: {like}. Its {from} edge {stop}; its {kept_edge} edge stays at the {kept_edge} stop")]
}

fn millimetres(length: Mm) -> String {
    kept(&format!("{} mm", fixed(length.get().abs(), 2)))
}

/// How it is seen that the sheet lies in register again.
fn register(plan: &Plan, done: &Run, next: &Run) -> String {
    let through =
        |o: &Operation| o.kind == OperationKind::Cut && next.operations.iter().any(|n| n.figures == o.figures);
    let start = match plan.start_of(next) {
        StartPoint::Page => "from the same corner of the page",
        _ => "from its start point in the table of the set-up",
    };
    let seen = if done.operations.iter().any(through) {
        "it has to run along what was cut through before, which shows on this side too"
    } else {
        "it has to lie as far from the edges of the sheet as the drawing says, on both sides alike"
    };
    format!("Register: the outer box traced {start} with the beam off or at its weakest; {seen}")
}
