//! Physical quantities as types: SI base units inside, unit-named constructors and getters outside.
//!
//! The list of operators below is the physics that may be written without naming a unit. Anything
//! else (`Voltage * Resistance`) does not compile. Inside one private function plain `f64` in SI
//! units is allowed; at a module's boundary it is not.

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $get:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Zero of this quantity.
            pub const ZERO: Self = Self(0.0);

            #[doc = concat!("Makes the quantity from a number of ", $unit, ".")]
            #[must_use]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The number of ", $unit, ".")]
            #[must_use]
            pub const fn $get(self) -> f64 {
                self.0
            }

            /// Whether the number is neither infinite nor NaN.
            #[must_use]
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// The magnitude.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
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
    };
}

quantity!(
    /// Electromotive force or the difference of two potentials.
    Voltage, from_volts, volts, "volts"
);
quantity!(
    /// Electric current; positive into terminal `p` of a branch.
    Current, from_amperes, amperes, "amperes"
);
quantity!(
    /// Electrical resistance.
    Resistance, from_ohms, ohms, "ohms"
);
quantity!(
    /// Electrical conductance.
    Conductance, from_siemens, siemens, "siemens"
);
quantity!(
    /// Power.
    Power, from_watts, watts, "watts"
);
quantity!(
    /// Torque about an axis.
    Torque, from_newton_metres, newton_metres, "newton metres"
);
quantity!(
    /// Rate of rotation.
    AngularVelocity, from_radians_per_second, radians_per_second, "radians per second"
);
quantity!(
    /// Plane angle.
    Angle, from_radians, radians, "radians"
);
quantity!(
    /// Length.
    Length, from_metres, metres, "metres"
);
quantity!(
    /// Force.
    Force, from_newtons, newtons, "newtons"
);
quantity!(
    /// Cross-section of a conductor.
    Area, from_square_metres, square_metres, "square metres"
);
quantity!(
    /// Moment of inertia about an axis.
    Inertia, from_kilogram_square_metres, kilogram_square_metres, "kilogram square metres"
);
quantity!(
    /// EMF per speed and torque per current of one winding arc: the two are the same number in SI.
    EmfConstant, from_volt_seconds, volt_seconds, "volt seconds per radian"
);
quantity!(
    /// A span of time inside the model. Logged time is [`SimTime`].
    Interval, from_seconds, seconds, "seconds"
);

impl Div<Resistance> for Voltage {
    type Output = Current;
    fn div(self, resistance: Resistance) -> Current {
        Current(self.0 / resistance.0)
    }
}

impl Mul<Resistance> for Current {
    type Output = Voltage;
    fn mul(self, resistance: Resistance) -> Voltage {
        Voltage(self.0 * resistance.0)
    }
}

impl Mul<Current> for Voltage {
    type Output = Power;
    fn mul(self, current: Current) -> Power {
        Power(self.0 * current.0)
    }
}

impl Mul<AngularVelocity> for EmfConstant {
    type Output = Voltage;
    fn mul(self, speed: AngularVelocity) -> Voltage {
        Voltage(self.0 * speed.0)
    }
}

impl Mul<Current> for EmfConstant {
    type Output = Torque;
    fn mul(self, current: Current) -> Torque {
        Torque(self.0 * current.0)
    }
}

impl Mul<AngularVelocity> for Torque {
    type Output = Power;
    fn mul(self, speed: AngularVelocity) -> Power {
        Power(self.0 * speed.0)
    }
}

impl Mul<Length> for Force {
    type Output = Torque;
    fn mul(self, arm: Length) -> Torque {
        Torque(self.0 * arm.0)
    }
}

impl Resistance {
    /// The conductance of the same conductor.
    #[must_use]
    pub const fn to_conductance(self) -> Conductance {
        Conductance(1.0 / self.0)
    }
}

impl Angle {
    /// Makes an angle from degrees.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        Self(degrees * (std::f64::consts::PI / 180.0))
    }

    /// The number of degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0 * (180.0 / std::f64::consts::PI)
    }
}

impl AngularVelocity {
    /// Revolutions a minute, which on the crank are wiping cycles a minute
    /// (78/318/EEC Annex I 5.1.3.1: a cycle is one forward and return stroke).
    #[must_use]
    pub fn revolutions_per_minute(self) -> f64 {
        self.0 * 60.0 / std::f64::consts::TAU
    }
}

impl Area {
    /// Makes a cross-section from square millimetres, the unit wires are sold in.
    #[must_use]
    pub fn from_square_millimetres(value: f64) -> Self {
        Self(value * 1e-6)
    }

    /// The number of square millimetres.
    #[must_use]
    pub fn square_millimetres(self) -> f64 {
        self.0 * 1e6
    }
}

/// An absolute temperature. The difference of two is a plain number of kelvin.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// Makes a temperature from degrees Celsius, used only at the edges.
    #[must_use]
    pub const fn from_degrees_celsius(value: f64) -> Self {
        Self(value + 273.15)
    }

    /// Degrees Celsius, used only at the edges.
    #[must_use]
    pub const fn degrees_celsius(self) -> f64 {
        self.0 - 273.15
    }

    /// Kelvin.
    #[must_use]
    pub const fn kelvin(self) -> f64 {
        self.0
    }
}

/// Simulated time since the attempt began, in whole microseconds, so that the order of events is exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct SimTime(u64);

impl SimTime {
    /// The start of the attempt.
    pub const START: Self = Self(0);

    /// Makes a time from whole microseconds.
    #[must_use]
    pub const fn from_micros(micros: u64) -> Self {
        Self(micros)
    }

    /// Whole microseconds.
    #[must_use]
    pub const fn micros(self) -> u64 {
        self.0
    }

    /// This time and `micros` more; stays at the largest value rather than wrapping.
    #[must_use]
    pub const fn plus_micros(self, micros: u64) -> Self {
        Self(self.0.saturating_add(micros))
    }
}

/// Working time that is charged to the learner, in whole hundredths of a minute, so that sums are exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Minutes(u32);

impl Minutes {
    /// No time.
    pub const ZERO: Self = Self(0);

    /// Makes a charge from hundredths of a minute.
    #[must_use]
    pub const fn from_hundredths(hundredths: u32) -> Self {
        Self(hundredths)
    }

    /// The charge nearest to a number of minutes; none for a number below zero.
    #[must_use]
    pub fn nearest(minutes: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a cast to an integer stops at its ends, and what is below zero is cut off"
        )]
        let hundredths = (minutes.max(0.0) * 100.0).round() as u32;
        Self(hundredths)
    }

    /// Hundredths of a minute.
    #[must_use]
    pub const fn hundredths(self) -> u32 {
        self.0
    }

    /// Minutes as a number, for rates and display.
    #[must_use]
    pub fn as_minutes(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// The same span in simulated microseconds.
    #[must_use]
    pub const fn micros(self) -> u64 {
        self.0 as u64 * 600_000
    }

    /// The sum; stays at the largest value rather than wrapping.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// The difference, never below zero.
    #[must_use]
    pub const fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl fmt::Display for Minutes {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, hundredths) = (self.0 / 100, self.0 % 100);
        if hundredths % 10 == 0 {
            write!(out, "{whole}.{}", hundredths / 10)
        } else {
            write!(out, "{whole}.{hundredths:02}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_law_and_power_keep_their_units() {
        let current = Voltage::from_volts(12.0) / Resistance::from_ohms(4.0);
        assert!((current.amperes() - 3.0).abs() < 1e-15);
        assert!(((Voltage::from_volts(12.0) * current).watts() - 36.0).abs() < 1e-12);
    }

    #[test]
    fn minutes_print_without_needless_digits_and_never_go_negative() {
        assert_eq!(Minutes::from_hundredths(50).to_string(), "0.5");
        assert_eq!(Minutes::from_hundredths(1225).to_string(), "12.25");
        assert_eq!(
            Minutes::ZERO.less(Minutes::from_hundredths(5)),
            Minutes::ZERO
        );
    }
}
