//! How long things take.
//!
//! The convention, which the sheet and the report state too:
//! - the head speeds up, runs and brakes with one acceleration, along its way and, in curves, towards their middle (a
//!   trapezoid of speed over time; Lynch and Park, *Modern Robotics*, section 9.2.2, cited from memory);
//! - it looks ahead: it passes each bend and corner as fast as they allow, and has braked in time for them ([`stroke`]);
//! - it stands still where a stroke begins and ends, and between them moves straight with the beam off;
//! - an area is burned in rows in both directions, with room for speeding up and braking beside the ink ([`rows`]);
//! - what is burned in several passes is burned whole, then whole again.
//!
//! Not in it is what a machine and its program do before, between and after, and how far its acceleration and its way
//! round corners are from what the shop file says; how much that may come to is told with it ([`Estimate`]).

mod motion;
mod stroke;
mod rows;
mod estimate;

pub use estimate::Estimate;
pub use motion::{Cornering, Motion};
pub use rows::{row_ends, row_time, run_up};
pub use stroke::line_time;

use crate::units::{Mm, MmPerSecond, MmPerSecond2, Seconds};

/// Time to go `distance` from rest to rest.
pub fn move_time(distance: Mm, top: MmPerSecond, acceleration: MmPerSecond2) -> Seconds {
    Seconds::new(motion::passing(distance.get(), (0.0, 0.0), top.get(), acceleration.get()))
}

/// The way from rest to a speed, and back: `v² / 2a`.
pub fn braking(speed: MmPerSecond, acceleration: MmPerSecond2) -> Mm {
    Mm::new(speed.get() * speed.get() / (2.0 * acceleration.get()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moves_from_rest_to_rest() {
        // Lynch and Park, Modern Robotics, 9.2.2 (from memory); the same values by stepwise integration.
        for (d, v, a, expected) in [
            (100.0, 50.0, 500.0, 2.1),
            (100.0, 100.0, 1000.0, 1.1),
            (2.0, 100.0, 1000.0, 0.089_442_7),
            (10.0, 100.0, 1000.0, 0.2),
            (300.0, 400.0, 3000.0, 0.883_333_3),
            (50.0, 400.0, 3000.0, 0.258_198_9),
        ] {
            let time = move_time(Mm::new(d), MmPerSecond::new(v), MmPerSecond2::new(a));
            assert!((time.get() - expected).abs() < 1e-6, "{d} {v} {a}");
        }
    }

    #[test]
    fn the_way_up_to_speed() {
        // v² / 2a, kinematics: 300 mm/s at 3000 mm/s² needs 15 mm.
        let way = braking(MmPerSecond::new(300.0), MmPerSecond2::new(3000.0));
        assert!((way.get() - 15.0).abs() < 1e-12);
    }
}
