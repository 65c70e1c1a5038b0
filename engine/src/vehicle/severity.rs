//! How bad a fault can be, and how its severities are spread.

use super::FaultError;
use crate::math;
use crate::quantity::Resistance;
use crate::random::Stream;

/// What a severity measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeverityUnit {
    /// Added or leaking resistance.
    Ohm,
    /// Ultimate current of a weak breaker.
    Ampere,
    /// Friction or slip torque.
    NewtonMetre,
    /// A share, and of what it is one: `of its volts at rest`.
    Share(&'static str),
    /// Running time.
    Minute,
    /// A coefficient of friction.
    Friction,
    /// How many times as much, and as what: `times the force of the right one`.
    Times(&'static str),
    /// How far something is turned out of its place.
    Degree,
}

impl SeverityUnit {
    /// The unit's symbol; empty for a plain number.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Ohm => "ohm",
            Self::Ampere => "A",
            Self::NewtonMetre => "N.m",
            Self::Share(_) | Self::Friction | Self::Times(_) => "",
            Self::Minute => "min",
            Self::Degree => "deg",
        }
    }

    /// The unit as told behind a number: its symbol, or what a plain number is a share of, times or measures.
    #[must_use]
    pub const fn told(self) -> &'static str {
        match self {
            Self::Share(of) | Self::Times(of) => of,
            Self::Friction => "as the coefficient of friction",
            Self::Ohm | Self::Ampere | Self::NewtonMetre | Self::Minute | Self::Degree => {
                self.symbol()
            }
        }
    }
}

/// How severities are spread. All figures here are judgement, no published source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Lognormal with this median and standard deviation of the logarithm, cut at the limits.
    LogNormal {
        /// The value half are below.
        median: f64,
        /// Standard deviation of the natural logarithm.
        sigma: f64,
    },
    /// Equally likely between the limits.
    Uniform,
}

/// The severities a mode can have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeverityLaw {
    /// What is measured.
    pub unit: SeverityUnit,
    /// How it is spread.
    pub spread: Spread,
    /// Smallest value accepted.
    pub min: f64,
    /// Largest value accepted.
    pub max: f64,
}

impl SeverityLaw {
    /// The severity below which a share `quantile` in `[0, 1]` of all cases lies.
    #[must_use]
    pub fn quantile(&self, quantile: f64) -> f64 {
        match self.spread {
            Spread::Uniform => self.min + quantile * (self.max - self.min),
            Spread::LogNormal { median, sigma } => {
                let z = |value: f64| math::log(value / median) / sigma;
                let (low, high) = (math::normal_cdf(z(self.min)), math::normal_cdf(z(self.max)));
                let within = low + quantile * (high - low);
                let z = math::bisect_rising(z(self.min), z(self.max), within, math::normal_cdf);
                median * math::exp(sigma * z)
            }
        }
    }

    /// The severity at a quantile in `[0, 1]`, written with three significant digits.
    #[must_use]
    pub fn at(&self, quantile: f64) -> f64 {
        three_digits(self.quantile(quantile))
    }

    /// Draws a severity, written with three significant digits.
    pub fn draw(&self, stream: &mut Stream) -> f64 {
        three_digits(self.quantile(stream.unit()))
    }

    /// The severity that half of all cases are below, written with three significant digits.
    #[must_use]
    pub fn median(&self) -> f64 {
        three_digits(self.quantile(0.5))
    }
}

/// A severity with three significant digits, so that it can be written down and given back.
fn three_digits(severity: f64) -> f64 {
    let mut unit = 1e-3;
    while severity >= unit * 1000.0 {
        unit *= 10.0;
    }
    let steps = (severity / unit).round();
    // Divided where the unit is a fraction, for the nearest double to the decimal.
    if unit < 1.0 {
        steps / (1.0 / unit).round()
    } else {
        steps * unit
    }
}

/// The severity that a text gives, within its law; the median when it gives none.
pub(super) fn severity_given(
    law: Option<SeverityLaw>,
    given: Option<&str>,
) -> Result<Option<f64>, FaultError> {
    match (law, given) {
        (None, None) => Ok(None),
        (Some(law), None) => Ok(Some(law.median())),
        (None, Some(given)) => Err(FaultError::Severity {
            given: given.to_owned(),
            expected: "this mode has none, leave it out".to_owned(),
        }),
        (Some(law), Some(given)) => match given.parse::<f64>() {
            Ok(value) if value >= law.min && value <= law.max => Ok(Some(value)),
            _ => Err(FaultError::Severity {
                given: given.to_owned(),
                expected: format!(
                    "a number from {} to {} {}",
                    law.min,
                    law.max,
                    law.unit.told()
                ),
            }),
        },
    }
}

pub(super) const OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 1.0,
        sigma: 1.0,
    },
    min: 0.1,
    max: 50.0,
};
/// A contact under oxide or verdigris that hardly lets anything through: a meter of 10 megohms reads full volts behind
/// it, and no lamp lights.
pub(super) const FILM_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 5e3,
        sigma: 1.0,
    },
    min: 500.0,
    max: 5e4,
};
pub(super) const SHORT_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 0.05,
        sigma: 0.5,
    },
    min: 0.01,
    max: 0.12,
};
pub(super) const BRUSH_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 2.0,
        sigma: 0.7,
    },
    min: 0.3,
    max: 20.0,
};
pub(super) const LIFT_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of each turn"),
    spread: Spread::Uniform,
    min: 0.1,
    max: 0.5,
};
pub(super) const PARTED_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of the time parted when shaken"),
    spread: Spread::Uniform,
    min: 0.1,
    max: 0.5,
};
pub(super) const WARM_MINUTES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Minute,
    spread: Spread::Uniform,
    min: 1.5,
    max: 6.0,
};
/// Water with salt and dirt in it across a terminal; a clean film would be kilohms, which nobody notices.
pub(super) const WET_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 1.0,
        sigma: 0.5,
    },
    min: 0.3,
    max: 5.0,
};
pub(super) const MAGNET_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of their strength"),
    spread: Spread::Uniform,
    min: 0.55,
    max: 0.9,
};
pub(super) const SHORTED_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of a coil's turns"),
    spread: Spread::Uniform,
    min: 0.3,
    max: 1.0,
};
/// Share of the turns of a field's winding.
pub(super) const FIELD_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of its turns"),
    spread: Spread::Uniform,
    min: 0.3,
    max: 0.9,
};
/// Friction that a dry bearing adds at the shaft: from a few times a sound motor's own to where LOW hardly goes.
pub(super) const BEARING_TORQUE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::NewtonMetre,
    spread: Spread::LogNormal {
        median: 0.06,
        sigma: 0.5,
    },
    min: 0.03,
    max: 0.2,
};
pub(super) const WEAK_AMPERES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ampere,
    spread: Spread::Uniform,
    min: 1.2,
    max: 6.0,
};
/// Added to a relay's coil of some 90 ohm: from where a low battery does not pull it in any more to a broken wire's.
pub(super) const COIL_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 150.0,
        sigma: 0.7,
    },
    min: 40.0,
    max: 2000.0,
};
/// Ratings that are fitted by mistake in place of the right one.
pub(super) const FUSE_SMALL: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ampere,
    spread: Spread::Uniform,
    min: 1.0,
    max: 5.0,
};
pub(super) const FUSE_LARGE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ampere,
    spread: Spread::Uniform,
    min: 20.0,
    max: 30.0,
};
/// Times of an interval unit, in terms of its own: capacitors age either way.
pub(super) const SLOW_TIMER: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Times("times its right pulse and pause"),
    spread: Spread::Uniform,
    min: 2.5,
    max: 5.0,
};
pub(super) const FAST_TIMER: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of its right pulse and pause"),
    spread: Spread::Uniform,
    min: 0.1,
    max: 0.4,
};
/// Worn brushes of a washer pump of some 3.5 ohm.
pub(super) const PUMP_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 8.0,
        sigma: 0.7,
    },
    min: 3.0,
    max: 60.0,
};
/// Water that a hose which leaks leaves to the jets.
pub(super) const FLOW_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of the water"),
    spread: Spread::Uniform,
    min: 0.05,
    max: 0.4,
};
pub(super) const SLIP_TORQUE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::NewtonMetre,
    spread: Spread::Uniform,
    min: 0.1,
    max: 1.5,
};
pub(super) const STIFF_TORQUE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::NewtonMetre,
    spread: Spread::LogNormal {
        median: 4.0,
        sigma: 0.5,
    },
    min: 1.0,
    max: 15.0,
};
/// What is left of a battery's open-circuit voltage. A share of it and no state of charge: tables end at
/// an empty battery's 11.7 of 12.6 V at rest, with which wipers still go well enough; the one that
/// somebody complains of is flatter than that under load. The largest is that empty one.
pub(super) const FLAT_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of its volts at rest"),
    spread: Spread::Uniform,
    min: 0.75,
    max: 0.93,
};
/// Friction on ice: blades that drag over rime, up to blades that are frozen in.
pub(super) const ICE_FRICTION: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Friction,
    spread: Spread::LogNormal {
        median: 2.0,
        sigma: 0.6,
    },
    min: 0.8,
    max: 20.0,
};
/// Rubber on dry glass: the range of the tribology literature (from memory).
pub(super) const DRY_FRICTION: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Friction,
    spread: Spread::Uniform,
    min: 0.8,
    max: 1.5,
};
/// Force of a blade that is too long or too stiff for its arm.
pub(super) const BLADE_TIMES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Times("times the right blade's force"),
    spread: Spread::Uniform,
    min: 1.5,
    max: 5.0,
};

/// Added inside a battery whose plates are sulphated: from where a starter turns slowly to where lamps go dim.
pub(super) const PLATE_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 0.12,
        sigma: 0.6,
    },
    min: 0.04,
    max: 0.6,
};
/// Share of the turns of a relay's coil that are shorted.
pub(super) const COIL_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of its turns"),
    spread: Spread::Uniform,
    min: 0.3,
    max: 0.9,
};
/// Turns of the armature of a motor that was fitted in place of the right one: up to one for twice the voltage.
pub(super) const WRONG_TURNS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Times("times the right motor's turns"),
    spread: Spread::Uniform,
    min: 1.25,
    max: 2.0,
};
/// How far a cam has turned on its wheel.
pub(super) const CAM_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 40.0,
    max: 150.0,
};
/// How far from its mark a crank was done up.
pub(super) const CRANK_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 40.0,
    max: 150.0,
};
/// How far from its mark an arm was pushed on: one to four teeth of a serration of 72.
pub(super) const ARM_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 10.0,
    max: 30.0,
};
/// By how much a bent link puts an arm out of its place.
pub(super) const BENT_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 5.0,
    max: 20.0,
};
/// What serrations that are stripped still carry: less than a blade takes on wet glass.
pub(super) const SPLINE_TORQUE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::NewtonMetre,
    spread: Spread::Uniform,
    min: 0.05,
    max: 1.0,
};
/// Play of worn bushings, at the arm.
pub(super) const BUSHING_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 1.0,
    max: 5.0,
};
/// Play of worn teeth, at the wheel.
pub(super) const TEETH_DEGREES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Degree,
    spread: Spread::Uniform,
    min: 3.0,
    max: 12.0,
};
/// What is left of a blade's force on the glass where the spring of its arm is tired.
pub(super) const SPRING_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of the blade's right force"),
    spread: Spread::Uniform,
    min: 0.05,
    max: 0.35,
};
/// How much of a blade's rubber is torn loose: from a hand's breadth to the better half.
pub(super) const TORN_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share("of the length of its rubber"),
    spread: Spread::Uniform,
    min: 0.15,
    max: 0.6,
};
/// From strands that are bare over a centimetre, through 0.3 mm of water to the metal that they lie against: some 2.5 ohm
/// with road salt in it (7 S/m, from memory; size and gap judgement). What clean rain leaves, hundreds of ohms, nobody
/// notices.
pub(super) const CHAFED_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 2.5,
        sigma: 0.6,
    },
    min: 0.6,
    max: 12.0,
};

/// Added to a resistor of so many ohms, by a joint that has come loose from its wire or wire that has burnt thin: what
/// is less than a fifth of it is within what new ones differ by. One of less than an ohm goes as any contact does.
pub(super) fn resistor_ohms(own: Resistance) -> SeverityLaw {
    let own = own.ohms();
    if own < 1.0 {
        return OHMS;
    }
    SeverityLaw {
        unit: SeverityUnit::Ohm,
        spread: Spread::LogNormal {
            median: three_digits(0.6 * own),
            sigma: 0.7,
        },
        min: three_digits(0.2 * own),
        max: three_digits(10.0 * own),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn severities_are_written_with_three_digits() {
        for (given, expected) in [
            (1.23456, 1.23),
            (0.123_456, 0.123),
            (12.3456, 12.3),
            (0.0123, 0.012),
        ] {
            assert!(
                (three_digits(given) - expected).abs() < 1e-15,
                "{given}: {}",
                three_digits(given)
            );
        }
    }

    #[test]
    fn quantiles_rise_within_the_limits_and_the_lognormal_median_is_near_its_own() {
        for law in [
            OHMS,
            SHORT_OHMS,
            BRUSH_OHMS,
            LIFT_SHARE,
            PARTED_SHARE,
            WARM_MINUTES,
            WET_OHMS,
            MAGNET_SHARE,
            FIELD_SHARE,
            BEARING_TORQUE,
            SHORTED_SHARE,
            WEAK_AMPERES,
            COIL_OHMS,
            FUSE_SMALL,
            FUSE_LARGE,
            SLOW_TIMER,
            FAST_TIMER,
            PUMP_OHMS,
            FLOW_SHARE,
            SLIP_TORQUE,
            STIFF_TORQUE,
            FLAT_SHARE,
            ICE_FRICTION,
            DRY_FRICTION,
            BLADE_TIMES,
            PLATE_OHMS,
            COIL_SHARE,
            WRONG_TURNS,
            CAM_DEGREES,
            CRANK_DEGREES,
            ARM_DEGREES,
            BENT_DEGREES,
            SPLINE_TORQUE,
            BUSHING_DEGREES,
            TEETH_DEGREES,
            SPRING_SHARE,
            TORN_SHARE,
            CHAFED_OHMS,
            resistor_ohms(Resistance::from_ohms(0.5)),
            resistor_ohms(Resistance::from_ohms(42.5)),
        ] {
            let values: Vec<f64> = (0..=10)
                .map(|step| law.quantile(f64::from(step) / 10.0))
                .collect();
            assert!(
                values.windows(2).all(|pair| pair[0] < pair[1]),
                "{values:?}"
            );
            assert!(
                values[0] >= law.min - 1e-9 && values[10] <= law.max + 1e-9,
                "{values:?}"
            );
        }
        assert!((STIFF_TORQUE.median() - 4.0).abs() < 0.01);
    }
}
