//! What is left of a run that stopped, or has to be burned again where it did not go through.
//!
//! In: a [`Plan`], the name of a run and what is [`Asked`] for. Out: a [`Remainder`]: a run that burns only that, on the same
//! page, with the same colours, numbers and settings, and the point that it has to be started from so that it falls into
//! register with what is burned already.
//!
//! Invariant: what is left and what is done make up the run; a remainder burns nothing that the run does not burn in the same
//! place.

mod error;
mod keep;
mod pieces;
mod origin;

pub use error::ResumeError;
pub use origin::BackTo;

use super::measure::{Ends, measure, run_time};
use super::model::{CleanUp, Operation, Plan, Run};
use super::time::Estimate;
use crate::geometry::Region;
use crate::shop::OperationKind;
use crate::units::Mm;
use keep::Keep;

/// Which part of a run is to be burned.
#[derive(Clone, Debug)]
pub enum Part {
    /// All that comes after a stroke.
    After(usize),
    /// The rows of an engraving below a level line, and all that comes after it.
    AfterRow {
        /// The line, from the top edge of the page.
        from_top: Mm,
    },
    /// All that comes after the stroke with which a piece of the puzzle has come free.
    AfterPiece(usize),
    /// The lines that hold some pieces of the puzzle.
    Pieces(Vec<usize>),
    /// What lies in an area of the page.
    Within(Region),
}

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The part of the run.
    pub part: Part,
    /// The operation that is meant, where it is not all of them: of rows, the engraving; of an area, what is burned there.
    pub operation: Option<usize>,
    /// How far a line that is cut off goes on beyond the area.
    pub overlap: Mm,
    /// Whether lines are burned whole that reach into the area.
    pub whole: bool,
    /// How many times everything is burned, where that is not what the setting says.
    pub passes: Option<u32>,
}

/// A run that burns what is left.
#[derive(Clone, Debug)]
pub struct Remainder {
    /// The run. Operations keep their numbers, strokes theirs.
    pub run: Run,
    /// How it is started in register.
    pub back_to: BackTo,
    /// The number of the operation whose corner marks are burned once more, so that the run has its box; it comes first.
    pub marks_again: Option<usize>,
    /// The last stroke that is burned already; nothing where a place is burned once more.
    pub after: Option<usize>,
    /// Where the first row that is left begins, from the top edge of the page; only of an engraving that stopped.
    pub rows_below: Option<Mm>,
    /// Whether lines are burned that the run has burned before.
    pub again: bool,
    /// How many strokes the whole run has.
    pub strokes: usize,
    /// How long the whole run takes.
    pub whole_time: Estimate,
}

/// Works out what is left of a run.
///
/// # Errors
/// Says what of what is asked for there is not.
pub fn remainder(plan: &Plan, run: &str, asked: &Asked) -> Result<Remainder, ResumeError> {
    let run = plan.runs.iter().find(|r| r.name == run).ok_or_else(|| ResumeError::no_run(run, plan))?;
    let (keep, after) = what(plan, run, asked)?;
    let mut left: Vec<Operation> = run.operations.iter().filter_map(|o| keep.of(run, o)).collect();
    if left.is_empty() {
        return Err(ResumeError::Nothing { run: run.name.clone() });
    }
    for operation in &mut left {
        if let (Some(setting), Some(passes)) = (&mut operation.setting, asked.passes) {
            setting.passes = passes;
        }
        measured_again(operation, plan);
    }
    let (back_to, marks) = origin::back_to(plan, run, &left);
    let marks_again = marks.as_ref().map(|m| m.number);
    // Of marks that are burned once more, what was left of them is in it.
    left.retain(|o| marks_again != Some(o.number));
    let mut operations: Vec<Operation> = marks.into_iter().chain(left).collect();
    let ends: Vec<Ends> = operations.iter_mut().filter_map(|o| measure(o, &plan.machine)).collect();
    let left = Run {
        burned: operations.iter().filter_map(|o| o.bounds).reduce(|a, b| a.union(b)),
        time: run_time(&operations, &ends, &plan.machine),
        operations,
        ..run.clone()
    };
    Ok(Remainder {
        run: left,
        back_to,
        marks_again,
        after,
        rows_below: if let Keep::Rows { line, .. } = keep { Some(line) } else { None },
        again: after.is_none(),
        strokes: last_stroke(run),
        whole_time: run.time,
    })
}

/// Measures an operation of which only a part is left.
fn measured_again(operation: &mut Operation, plan: &Plan) {
    // What was joined and left out is told of the whole run.
    operation.clean_up = CleanUp::default();
    operation.finished = None;
    measure(operation, &plan.machine);
}

/// What is kept of each operation, and the last stroke that is done.
fn what(plan: &Plan, run: &Run, asked: &Asked) -> Result<(Keep, Option<usize>), ResumeError> {
    let last = last_stroke(run);
    let after = |number: usize| match number {
        0 => Err(ResumeError::NoStroke { run: run.name.clone(), number, last }),
        n if n > last => Err(ResumeError::NoStroke { run: run.name.clone(), number, last }),
        n if n == last => Err(ResumeError::AllBurned { run: run.name.clone(), last }),
        n => Ok((Keep::After(n), Some(n))),
    };
    match &asked.part {
        Part::After(number) => after(*number),
        Part::AfterPiece(number) => match pieces::freed_after(plan, run, pieces::piece(plan, *number)?)? {
            freed if freed == last => Err(ResumeError::FreedLast { run: run.name.clone(), piece: *number, last }),
            freed => after(freed),
        },
        Part::AfterRow { from_top } => rows(run, asked.operation, *from_top),
        Part::Pieces(numbers) => {
            let found: Result<Vec<_>, _> = numbers.iter().map(|n| pieces::piece(plan, *n)).collect();
            let bands: Vec<(Region, Mm)> = found?.into_iter().map(|p| pieces::band(plan, run, p)).collect();
            let area = Region::union(&bands.iter().map(|b| &b.0).collect::<Vec<_>>());
            // A seam that only ends on the outline of a piece leaves stubs in the band.
            let least = bands.iter().map(|b| b.1 * 3.0).fold(Mm::ZERO, Mm::max);
            Ok((within(run, asked, area, least)?, None))
        }
        Part::Within(area) => Ok((within(run, asked, area.transform(run.movement()), Mm::ZERO)?, None)),
    }
}

fn within(run: &Run, asked: &Asked, area: Region, least: Mm) -> Result<Keep, ResumeError> {
    if let Some(number) = asked.operation {
        burned(run, number)?;
    }
    let ends = crate::geometry::Ends { overlap: asked.overlap, least };
    Ok(Keep::Within { area, ends, whole: asked.whole, operation: asked.operation })
}

/// An operation of a run that is burned.
fn burned(run: &Run, number: usize) -> Result<&Operation, ResumeError> {
    let burning = || run.operations.iter().filter(|o| o.kind != OperationKind::Guide);
    burning().find(|o| o.number == number).ok_or_else(|| ResumeError::NoOperation {
        run: run.name.clone(),
        number,
        burned: burning().map(|o| o.number).collect(),
    })
}

/// The rows of an engraving below a line, and what comes after it.
fn rows(run: &Run, operation: Option<usize>, from_top: Mm) -> Result<(Keep, Option<usize>), ResumeError> {
    let engravings: Vec<usize> =
        run.operations.iter().filter(|o| o.burn.area().is_some()).map(|o| o.number).collect();
    let which = || ResumeError::WhichEngraving { run: run.name.clone(), engravings: engravings.clone() };
    let number = match (operation, engravings.as_slice()) {
        (Some(number), _) if engravings.contains(&number) => number,
        (Some(number), _) => {
            burned(run, number)?;
            return Err(which());
        }
        (None, [only]) => *only,
        (None, _) => return Err(which()),
    };
    let engraving = burned(run, number)?;
    let bounds = engraving.bounds.map(|b| run.movement().transform_rect_bbox(b));
    let (first, last) = bounds.map_or((0.0, 0.0), |b| (b.y0, b.y1));
    let (Some(interval), Some(stroke)) = (keep::interval(engraving), engraving.numbers.first()) else {
        return Err(which());
    };
    if !(first < from_top.get() && from_top.get() < last) {
        return Err(ResumeError::NoRow { from_top, first: Mm::new(first), last: Mm::new(last) });
    }
    // Rows that are burned whole stay whole: the first that is left begins where the one before ends.
    let done = ((from_top.get() - first) / interval.get()).floor();
    let line = Mm::new(first + done * interval.get());
    Ok((Keep::Rows { operation: number, done: done as usize, line }, Some(stroke - 1)))
}

fn last_stroke(run: &Run) -> usize {
    run.operations.iter().filter_map(|o| o.numbers.last()).copied().max().unwrap_or(0)
}
