//! What an operation comes to: lengths, areas and times.

use super::model::{Burn, Operation};
use super::rows::{self, Rows};
use super::time::{self, Estimate, Motion, line_time, move_time, row_time};
use super::travel;
use crate::geometry::length;
use crate::shop::{Machine, OperationKind};
use crate::units::{Mm, Mm2, MmPerSecond, Seconds};
use kurbo::{BezPath, Point, Rect, Shape};

/// Where the head begins something and where it ends.
pub(super) type Ends = (Point, Point);

/// Fills in what an operation comes to, and gives back where the head begins and ends it; `None` where nothing is burned.
pub(super) fn measure(operation: &mut Operation, machine: &Machine) -> Option<Ends> {
    match &operation.burn {
        Burn::Area(region) => {
            operation.area = region.area();
            operation.bounds = region.bounds();
        }
        Burn::Dots(dots) => operation.bounds = Some(dots.bounds),
        Burn::Lines(lines) => {
            operation.strokes = lines.len();
            operation.length = lines.iter().map(length).sum();
            operation.travel = travel::travel(lines);
            operation.bounds = lines.iter().map(Shape::bounding_box).reduce(|a: Rect, b| a.union(b));
        }
    }
    let setting = operation.setting.as_ref()?;
    let (speed, passes) = (setting.speed, setting.passes);
    let motion = Motion::of(machine);
    let (once, ends) = match &operation.burn {
        Burn::Area(region) => {
            let found = rows::rows(region, setting.interval.unwrap_or(machine.spot));
            operation.length = found.burned;
            of_rows(&found, speed, motion)
        }
        Burn::Dots(dots) => {
            let found = dots.rows();
            operation.length = found.burned;
            operation.area = Mm2::new(found.burned.get() * dots.interval.get());
            of_rows(&found, speed, motion)
        }
        Burn::Lines(lines) => {
            let once = Estimate::of(motion, |motion| strokes_time(lines, speed, motion));
            (once, travel::ends(lines))
        }
    };
    // Between two passes the head goes back to the start.
    let back = ends.map_or_else(Estimate::default, |(start, end)| moved(end, start, motion));
    operation.time = once * f64::from(passes) + back * f64::from(passes.saturating_sub(1));
    ends
}

fn of_rows(rows: &Rows, speed: MmPerSecond, motion: Motion) -> (Estimate, Option<Ends>) {
    (Estimate::of(motion, |motion| row_time(rows, speed, motion)), time::row_ends(rows, speed, &motion))
}

fn strokes_time(lines: &[BezPath], speed: MmPerSecond, motion: &Motion) -> Seconds {
    let burning: Seconds = lines.iter().map(|l| line_time(l, speed, motion)).sum();
    let moves = travel::moves(lines).map(|d| move_time(Mm::new(d), motion.travel, motion.acceleration));
    burning + moves.sum()
}

fn moved(from: Point, to: Point, motion: Motion) -> Estimate {
    Estimate::of(motion, |motion| move_time(Mm::new(from.distance(to)), motion.travel, motion.acceleration))
}

/// Counts what is burned through the run.
pub(super) fn count_strokes(operations: &mut [Operation]) {
    let mut last = 0;
    for operation in operations.iter_mut().filter(|o| o.kind != OperationKind::Guide) {
        let count = if operation.burn.area().is_some() { 1 } else { operation.strokes };
        operation.numbers = (last + 1..=last + count).collect();
        last += count;
    }
}

/// Time for the operations of a run and the moves between them.
pub(super) fn run_time(operations: &[Operation], ends: &[Ends], machine: &Machine) -> Estimate {
    operations.iter().map(|o| o.time).sum::<Estimate>() + between(ends, machine)
}

/// Time for the moves from the end of each operation to the start of the next.
fn between(ends: &[Ends], machine: &Machine) -> Estimate {
    ends.windows(2).map(|pair| moved(pair[0].1, pair[1].0, Motion::of(machine))).sum()
}
