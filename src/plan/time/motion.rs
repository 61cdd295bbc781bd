//! How a head moves.

use crate::shop::Machine;
use crate::units::{Mm, MmPerSecond, MmPerSecond2};

/// What times rest on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Speed of moves with the beam off.
    pub travel: MmPerSecond,
    /// How quickly the head speeds up, brakes and is turned aside.
    pub acceleration: MmPerSecond2,
    /// How corners are passed.
    pub corners: Cornering,
    /// The run beside each end of an engraved row; as long as it has to be where the machine has no fixed one.
    pub run_up: Option<Mm>,
    /// Whether gaps in engraved rows are passed at the speed of travel.
    pub skips_gaps: bool,
}

/// How corners are passed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cornering {
    /// With a stop at each that turns by more than [`STOP_AT`](Cornering::STOP_AT).
    Stopping,
    /// On an arc that leaves the corner by no more than this.
    Within(Mm),
    /// Without braking, as no head really can: the least that anybody could do with.
    Unbraked,
}

impl Cornering {
    /// A corner that turns by more than this many degrees is taken as a stop where nothing better is known.
    pub const STOP_AT: f64 = 30.0;

    /// The highest speed at which a corner is passed that turns by so many radians; mm/s.
    pub fn speed(self, turn: f64, acceleration: MmPerSecond2) -> f64 {
        match self {
            Self::Stopping if Self::STOP_AT < turn.to_degrees() => 0.0,
            Self::Stopping | Self::Unbraked => f64::INFINITY,
            Self::Within(deviation) => {
                // An arc that touches both sides and passes the corner at the deviation has the radius d s / (1 - s), with s
                // the sine of half the angle between the sides (plane geometry).
                let s = libm::cos(turn / 2.0);
                (acceleration.get() * deviation.get() * s / (1.0 - s).max(1e-12)).max(0.0).sqrt()
            }
        }
    }
}

/// The acceleration of a machine is taken to be known to this share: a judgement of this project, no source.
const KNOWN_TO: f64 = 0.25;

impl Motion {
    /// As a machine is described.
    pub fn of(machine: &Machine) -> Self {
        Self {
            travel: machine.travel_speed,
            acceleration: machine.acceleration,
            corners: machine.corner.map_or(Cornering::Stopping, Cornering::Within),
            run_up: machine.run_up,
            skips_gaps: machine.skips_gaps,
        }
    }

    /// The same where everything that is not known speaks for less time.
    #[must_use]
    pub fn brisker(self) -> Self {
        let corners = if self.corners == Cornering::Stopping { Cornering::Unbraked } else { self.corners };
        Self { acceleration: self.acceleration * (1.0 + KNOWN_TO), corners, ..self }
    }

    /// The same where everything that is not known speaks for more.
    #[must_use]
    pub fn slower(self) -> Self {
        Self { acceleration: self.acceleration * (1.0 - KNOWN_TO), ..self }
    }
}

/// Time in s to pass `length` mm with given speeds at both ends, at no more than `top`.
///
/// The speeds at the ends have to be reachable from each other within the length, and not above `top`.
pub(super) fn passing(length: f64, (entry, exit): (f64, f64), top: f64, acceleration: f64) -> f64 {
    if length <= 0.0 || top <= 0.0 || acceleration <= 0.0 {
        return 0.0;
    }
    let peak = ((2.0 * acceleration * length + entry * entry + exit * exit) / 2.0).sqrt();
    if peak <= top {
        return (2.0 * peak - entry - exit).max(0.0) / acceleration;
    }
    let ramps = (2.0 * top * top - entry * entry - exit * exit) / (2.0 * acceleration);
    (2.0 * top - entry - exit) / acceleration + (length - ramps) / top
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_passed_between_two_speeds() {
        // 50 mm from 10 to 20 mm/s, top 100, 1000 mm/s²: 0.09 + 0.08 s of ramps over 4.95 + 4.8 mm, then 40.25 mm at 100 mm/s
        // (kinematics): 0.5725 s.
        assert!((passing(50.0, (10.0, 20.0), 100.0, 1000.0) - 0.5725).abs() < 1e-9);
    }

    #[test]
    fn corners_are_passed_on_an_arc_within_the_deviation() {
        // Speeds for 0.02 mm and 1000 mm/s² by the angle between the sides: r = d s / (1 - s), v = √(a r), plane geometry.
        let within = Cornering::Within(Mm::new(0.02));
        for (angle, expected) in [
            (45.0, 3.521_12),
            (60.0, 4.472_14),
            (90.0, 6.948_69),
            (120.0, 11.370_23),
            (135.0, 15.580_16),
            (150.0, 23.810_81),
            (0.0, 0.0),
        ] {
            let turn = (180.0_f64 - angle).to_radians();
            let speed = within.speed(turn, MmPerSecond2::new(1000.0));
            assert!((speed - expected).abs() < 1e-4, "{angle}: {speed}");
        }
        assert!(1e4 < within.speed(0.0, MmPerSecond2::new(1000.0)), "straight on, nothing holds it back");
    }
}
