//! What is kept of an operation.

use crate::geometry::{Ends, FillRule, Region, clipped};
use crate::plan::dots::Dots;
use crate::plan::model::{Burn, Operation, Run};
use crate::raster::Bitmap;
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect, Shape};
use std::sync::Arc;

/// What is kept of each operation of a run; areas count as seen from the front.
#[derive(Clone, Debug)]
pub(super) enum Keep {
    /// The strokes after one.
    After(usize),
    /// The rows of an engraving after so many, which are those below a line of the page; and what comes after it.
    Rows {
        /// The number of the engraving.
        operation: usize,
        /// How many rows are done.
        done: usize,
        /// Where the first one left begins, from the top edge of the page.
        line: Mm,
    },
    /// What lies in an area.
    Within {
        /// The area.
        area: Region,
        /// How lines are cut off at its border.
        ends: Ends,
        /// Whether lines that reach into it are kept whole.
        whole: bool,
        /// The only operation that is meant; all cuts where none is named.
        operation: Option<usize>,
    },
}

/// The distance of the rows of an engraving.
pub(super) fn interval(engraving: &Operation) -> Option<Mm> {
    match &engraving.burn {
        Burn::Dots(dots) => Some(dots.interval),
        Burn::Area(_) => engraving.setting.as_ref()?.interval,
        Burn::Lines(_) => None,
    }
}

impl Keep {
    /// What is kept of an operation; `None` where that is nothing.
    pub(super) fn of(&self, run: &Run, operation: &Operation) -> Option<Operation> {
        if operation.kind == OperationKind::Guide {
            return None;
        }
        match self {
            Self::After(done) => after(operation, *done),
            Self::Rows { operation: number, done, line } if operation.number == *number => {
                below(run, operation, *done, *line)
            }
            Self::Rows { operation: number, .. } => (operation.number > *number).then(|| operation.clone()),
            Self::Within { area, ends, whole, operation: only } => {
                let is_meant = only.map_or(operation.kind == OperationKind::Cut, |n| n == operation.number);
                is_meant.then(|| within(operation, area, *ends, *whole)).flatten()
            }
        }
    }
}

fn after(operation: &Operation, done: usize) -> Option<Operation> {
    let Burn::Lines(lines) = &operation.burn else {
        return operation.numbers.first().is_some_and(|n| *n > done).then(|| operation.clone());
    };
    let left = operation.numbers.iter().copied().zip(lines).filter(|(n, _)| *n > done);
    with_lines(operation, left.map(|(n, line)| (n, line.clone())).collect())
}

fn with_lines(operation: &Operation, left: Vec<(usize, BezPath)>) -> Option<Operation> {
    let (numbers, lines): (Vec<usize>, Vec<BezPath>) = left.into_iter().unzip();
    (!lines.is_empty()).then(|| Operation { burn: Burn::Lines(lines), numbers, ..operation.clone() })
}

/// The rows below a line of the page.
fn below(run: &Run, operation: &Operation, done: usize, line: Mm) -> Option<Operation> {
    let movement = run.movement();
    let burn = match &operation.burn {
        Burn::Area(region) => {
            let bounds = movement.transform_rect_bbox(region.bounds()?).inflate(1.0, 1.0);
            let left = Rect { y0: line.get(), ..bounds };
            Burn::Area(region.overlap(&rectangle(movement.transform_rect_bbox(left))))
        }
        Burn::Dots(dots) => {
            // Rows count from the top of the page, which lies below where the sheet is turned over top to bottom.
            let is_upright = movement.as_coeffs()[3] > 0.0;
            let height = dots.bitmap.height;
            let row = move |y: usize| if is_upright { y } else { height - 1 - y };
            Burn::Dots(Box::new(masked(dots, |_, y| row(y) >= done)))
        }
        Burn::Lines(_) => return None,
    };
    not_empty(operation, burn)
}

fn within(operation: &Operation, area: &Region, ends: Ends, whole: bool) -> Option<Operation> {
    match &operation.burn {
        Burn::Lines(lines) => {
            let numbered = operation.numbers.iter().copied().zip(lines);
            let left = numbered.flat_map(|(number, line)| {
                let parts = clipped(line, area, ends);
                let kept = if whole && !parts.is_empty() { vec![line.clone()] } else { parts };
                kept.into_iter().map(move |part| (number, part))
            });
            with_lines(operation, left.collect())
        }
        Burn::Area(region) => not_empty(operation, Burn::Area(region.overlap(area))),
        Burn::Dots(dots) => {
            let at = |x: usize, y: usize| {
                let across = dots.bounds.x0 + (x as f64 + 0.5) * dots.pitch.get();
                area.contains(Point::new(across, dots.bounds.y0 + (y as f64 + 0.5) * dots.interval.get()))
            };
            not_empty(operation, Burn::Dots(Box::new(masked(dots, at))))
        }
    }
}

/// The same grid of dots, of which only some are burned.
fn masked(dots: &Dots, is_kept: impl Fn(usize, usize) -> bool) -> Dots {
    let bitmap = &dots.bitmap;
    let kept = Bitmap::filled(bitmap.width, bitmap.height, |x, y| bitmap.get(x, y) && is_kept(x, y));
    let share = kept.count() as f64 / bitmap.count().max(1) as f64;
    Dots { bitmap: Arc::new(kept), coverage: dots.coverage * share, ..dots.clone() }
}

fn not_empty(operation: &Operation, burn: Burn) -> Option<Operation> {
    let is_empty = match &burn {
        Burn::Area(region) => region.is_empty(),
        Burn::Dots(dots) => dots.bitmap.count() == 0,
        Burn::Lines(lines) => lines.is_empty(),
    };
    (!is_empty).then(|| Operation { burn, ..operation.clone() })
}

fn rectangle(rect: Rect) -> Region {
    Region::from_path(&rect.to_path(0.1), FillRule::NonZero).unwrap_or_else(|_| Region::empty())
}
