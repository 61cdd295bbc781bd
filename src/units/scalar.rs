//! Typed scalars: what a quantity becomes once it has been read.

use super::number::fixed;
use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Defines a scalar with a unit: arithmetic within the unit, scaling by plain factors, a display form.
macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident, $unit:literal, $decimals:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// The unit's symbol, as it is printed.
            pub const UNIT: &'static str = $unit;

            /// Wraps a number that is already in this unit.
            pub const fn new(value: f64) -> Self {
                Self(value)
            }
            /// The bare number in this unit.
            pub const fn get(self) -> f64 {
                self.0
            }
            /// The value without its sign.
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
                values.fold(Self::ZERO, Add::add)
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", fixed(self.0, $decimals), $unit)
            }
        }
    };
}

scalar!(
    /// A length in millimetres.
    Mm, "mm", 3
);
scalar!(
    /// An area in square millimetres.
    Mm2, "mm²", 2
);
scalar!(
    /// A speed in millimetres a second.
    MmPerSecond, "mm/s", 3
);
scalar!(
    /// An acceleration in millimetres a second, each second.
    MmPerSecond2, "mm/s²", 1
);
scalar!(
    /// A time in seconds.
    Seconds, "s", 2
);
scalar!(
    /// A power in watts.
    Watts, "W", 2
);
scalar!(
    /// An angle in degrees; each use says which way it turns.
    Degrees, "deg", 3
);
scalar!(
    /// A share in hundredths. Each field that takes one says of what.
    Percent, "%", 2
);

impl Mul for Mm {
    type Output = Mm2;
    fn mul(self, other: Self) -> Mm2 {
        Mm2::new(self.0 * other.0)
    }
}
impl Div<MmPerSecond> for Mm {
    type Output = Seconds;
    fn div(self, speed: MmPerSecond) -> Seconds {
        Seconds::new(self.0 / speed.get())
    }
}
impl Mm {
    /// The same length in inches, for people who think in them (1 in = 25.4 mm exactly).
    pub fn inches(self) -> f64 {
        self.0 / 25.4
    }
}
impl Percent {
    /// The share as a plain factor: 35 % is 0.35.
    pub fn factor(self) -> f64 {
        self.0 / 100.0
    }
}
impl Degrees {
    /// The angle in radians.
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }
}
