//! What is so of a job and calls for reminders of its own.

use super::wording::total_time;
use crate::plan::{Burn, Laid, Operation, Plan, Run};
use crate::safety::{Circumstances, Fact};
use crate::shop::OperationKind;
use crate::units::Seconds;
use kurbo::{Rect, Shape};

/// What fits into a square of this side, in mm, counts as small: the openings of many supports are about half as wide
/// (common practice, no source).
const SMALL_PART: f64 = 20.0;
/// Longer than this nobody watches without a break (common practice, no source).
const LONG: Seconds = Seconds::new(1800.0);

/// The circumstances of a whole job.
pub fn of_job(plan: &Plan) -> Circumstances {
    let operations = || plan.runs.iter().flat_map(|run| &run.operations);
    let sheets = plan.runs.iter().filter_map(|run| run.lay.on.sheet()).max().unwrap_or(1);
    let of_job = [
        (Fact::SmallParts, operations().any(|o| cuts_small_parts(plan, o))),
        (Fact::SeveralRuns, 1 < plan.runs.len()),
        (Fact::SeveralSheets, 1 < sheets),
        (Fact::TurnedOver, plan.runs.iter().any(|run| run.lay.turned.is_some())),
        (Fact::Scrap, plan.runs.iter().any(|run| run.lay.on == Laid::Scrap)),
        (Fact::Long, LONG < total_time(plan).likely),
        (Fact::Accepted, !plan.accepted.is_empty()),
        (Fact::TestPiece, plan.test_piece.is_some()),
    ];
    circumstances(plan, operations(), holding(&of_job))
}

/// The circumstances of one run alone, of which something is left.
pub(super) fn of_run(plan: &Plan, run: &Run) -> Circumstances {
    circumstances(plan, run.operations.iter(), std::iter::empty())
}

fn circumstances<'a>(
    plan: &Plan,
    operations: impl Iterator<Item = &'a Operation>,
    of_job: impl Iterator<Item = Fact>,
) -> Circumstances {
    let of_sheet = [
        (Fact::Curled, plan.sheet.curl.is_some_and(|curl| 0.0 < curl.get())),
        (Fact::Tilted, plan.sheet.block.is_some()),
    ];
    let facts: Vec<Fact> = operations.flat_map(of_operation).chain(of_job).chain(holding(&of_sheet)).collect();
    Circumstances::new(&plan.machine, &plan.stock, facts)
}

fn holding(facts: &[(Fact, bool)]) -> impl Iterator<Item = Fact> + '_ {
    facts.iter().filter_map(|&(fact, holds)| holds.then_some(fact))
}

fn of_operation(operation: &Operation) -> Vec<Fact> {
    let cuts = operation.kind == OperationKind::Cut;
    let bridges = operation.manner.tabs.as_ref().is_some_and(|tabs| !tabs.places.is_empty());
    let setting = operation.setting.as_ref();
    let facts = [
        (Fact::Cuts, cuts),
        (Fact::Bridges, bridges),
        (Fact::Photo, matches!(operation.burn, Burn::Dots(_))),
        (Fact::AirOn, setting.is_some_and(|s| s.air == Some(true))),
        (Fact::SeveralPasses, cuts && setting.is_some_and(|s| 1 < s.passes)),
        (Fact::Trial, operation.is_trial()),
        (Fact::Changed, setting.is_some_and(|s| !s.overridden.is_empty())),
        (
            Fact::Unmeasured,
            setting.is_some_and(|s| s.measured.is_none() && s.how.as_deref().is_none_or(str::is_empty)),
        ),
    ];
    holding(&facts).collect()
}

/// Whether a part or its waste that the operation cuts out is small; of seams, a piece.
fn cuts_small_parts(plan: &Plan, operation: &Operation) -> bool {
    if operation.kind != OperationKind::Cut || plan.is_marks(operation) {
        return false;
    }
    let is_small = |bounds: Rect| bounds.size().max_side() < SMALL_PART;
    let pieces = plan.puzzle.iter().filter(|_| operation.seams.is_some()).flat_map(|p| &p.pieces);
    operation.clean_up.outlines.iter().any(|outline| is_small(outline.bounding_box()))
        || pieces.filter_map(|piece| piece.outline.bounds()).any(is_small)
}
