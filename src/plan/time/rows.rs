//! Time for the rows of an area.

use super::braking;
use super::motion::{Motion, passing};
use crate::plan::rows::{Row, Rows};
use crate::units::{Mm, MmPerSecond, Seconds};
use kurbo::Point;

/// Time for the rows of an area, from the run before the first to that after the last.
///
/// Every second row is burned backwards. The head has its speed where the ink of a row begins and keeps it to where it
/// ends; before and after it runs over blank stock. From the end of one row it moves to where the next begins, over blank
/// rows too.
pub fn row_time(rows: &Rows, speed: MmPerSecond, motion: &Motion) -> Seconds {
    let along: f64 = rows.rows.iter().map(|row| along(row, speed, motion)).sum();
    let between: f64 =
        rows.rows.windows(2).enumerate().map(|(i, pair)| aside(&pair[0], &pair[1], i, motion)).sum();
    Seconds::new(along + between)
}

/// Where the head stands before the first row and after the last; `None` where there are none.
pub fn row_ends(rows: &Rows, speed: MmPerSecond, motion: &Motion) -> Option<(Point, Point)> {
    let run = run_up(speed, motion).get();
    let (first, last) = (rows.rows.first()?, rows.rows.last()?);
    let end = if rows.rows.len() % 2 == 1 { last.right + run } else { last.left - run };
    Some((Point::new(first.left - run, first.y), Point::new(end, last.y)))
}

/// The run beside each end of a row.
pub fn run_up(speed: MmPerSecond, motion: &Motion) -> Mm {
    motion.run_up.unwrap_or_else(|| braking(speed, motion.acceleration))
}

/// Time for one row with the runs beside it.
fn along(row: &Row, speed: MmPerSecond, motion: &Motion) -> f64 {
    let (v, a) = (speed.get(), motion.acceleration.get());
    let (run, needed) = (run_up(speed, motion).get(), braking(speed, motion.acceleration).get());
    let width = row.right - row.left;
    if run < needed {
        // The ink begins before the speed is reached.
        return passing(width + 2.0 * run, (0.0, 0.0), v, a);
    }
    let gained: f64 = if motion.skips_gaps { row.gaps.iter().map(|&g| gained(g, v, motion)).sum() } else { 0.0 };
    2.0 * (v / a + (run - needed) / v) + width / v - gained
}

/// What is gained where a gap is passed at the speed of travel, with the speed of burning at both its ends.
fn gained(gap: f64, speed: f64, motion: &Motion) -> f64 {
    let top = motion.travel.get().max(speed);
    gap / speed - passing(gap, (speed, speed), top, motion.acceleration.get())
}

/// Time from the end of a row to the start of the next; rows with an even number run to the right.
fn aside(row: &Row, next: &Row, number: usize, motion: &Motion) -> f64 {
    let across = if number.is_multiple_of(2) { next.right - row.right } else { next.left - row.left };
    let way = Point::new(across, next.y).distance(Point::new(0.0, row.y));
    passing(way, (0.0, 0.0), motion.travel.get(), motion.acceleration.get())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Cornering;
    use crate::units::MmPerSecond2;

    const MOTION: Motion = Motion {
        travel: MmPerSecond::new(400.0),
        acceleration: MmPerSecond2::new(3000.0),
        corners: Cornering::Stopping,
        run_up: None,
        skips_gaps: false,
    };

    fn rows(reaches: &[(f64, f64)], gaps: &[f64]) -> Rows {
        let row = |(i, &(left, right)): (usize, &(f64, f64))| Row {
            y: 0.1 * i as f64,
            left,
            right,
            gaps: gaps.to_vec(),
        };
        Rows { rows: reaches.iter().enumerate().map(row).collect(), burned: Mm::ZERO }
    }

    fn time(rows: &Rows, motion: &Motion) -> f64 {
        row_time(rows, MmPerSecond::new(300.0), motion).get()
    }

    #[test]
    fn rows_speed_up_and_brake_outside_the_ink() {
        // 100 mm rows at 300 mm/s and 3000 mm/s²: 100/300 + 2 * 300/3000 = 0.5333 s a row (kinematics), 500 steps of 0.1 mm
        // of 2 √(0.1 / 3000) s between 501 rows.
        let found = time(&rows(&[(0.0, 100.0); 501], &[]), &MOTION);
        let steps = 500.0 * 2.0 * (0.1_f64 / 3000.0).sqrt();
        assert!((found - 501.0 * 0.533_333_333 - steps).abs() < 1e-4, "{found}");
    }

    #[test]
    fn a_fixed_run_up_is_run_through_and_a_short_one_is_burned_in() {
        // 25 mm where 15 are needed: 10 mm more at 300 mm/s on both sides. With 5 mm, 110 mm from rest to rest: 110/300 + 0.1.
        let of = |run: f64| time(&rows(&[(0.0, 100.0)], &[]), &Motion { run_up: Some(Mm::new(run)), ..MOTION });
        assert!((of(25.0) - 0.533_333_333 - 20.0 / 300.0).abs() < 1e-6);
        assert!((of(5.0) - 110.0 / 300.0 - 0.1).abs() < 1e-6);
    }

    #[test]
    fn wide_gaps_are_passed_faster_where_the_machine_can() {
        // From 300 to 400 mm/s takes 1/30 s and 35/3 mm, twice; the rest of 60 mm at 400 mm/s (kinematics).
        let skipping = Motion { skips_gaps: true, ..MOTION };
        let of = |motion| time(&rows(&[(0.0, 100.0)], &[60.0]), motion);
        let expected = 60.0 / 300.0 - (2.0 / 30.0 + (60.0 - 70.0 / 3.0) / 400.0);
        assert!((of(&MOTION) - of(&skipping) - expected).abs() < 1e-9);
    }

    #[test]
    fn the_head_goes_on_to_where_the_next_row_begins() {
        // The second row, burned to the left, begins 30 mm farther out and 0.1 mm below.
        let (even, ragged) = (rows(&[(0.0, 50.0); 2], &[]), rows(&[(0.0, 50.0), (30.0, 80.0)], &[]));
        let way = |d: f64| passing(d, (0.0, 0.0), 400.0, 3000.0);
        let more = way(30.0_f64.hypot(0.1)) - way(0.1);
        assert!((time(&ragged, &MOTION) - time(&even, &MOTION) - more).abs() < 1e-9);
        let ends = row_ends(&ragged, MmPerSecond::new(300.0), &MOTION).unwrap();
        assert!(ends.0.distance((-15.0, 0.0).into()) < 1e-9 && ends.1.distance((15.0, 0.1).into()) < 1e-9);
    }
}
