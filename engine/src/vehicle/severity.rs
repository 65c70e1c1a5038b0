//! How bad a fault can be, and how its severities are spread.

use crate::math;
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
    /// A share of the sound value, or of a turn.
    Share,
}

impl SeverityUnit {
    /// The unit's symbol; empty for a share.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Ohm => "ohm",
            Self::Ampere => "A",
            Self::NewtonMetre => "N.m",
            Self::Share => "",
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

    /// Draws a severity.
    pub fn draw(&self, stream: &mut Stream) -> f64 {
        self.quantile(stream.unit())
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
pub(super) const SHORT_OHMS: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ohm,
    spread: Spread::LogNormal {
        median: 0.05,
        sigma: 0.5,
    },
    min: 0.01,
    max: 0.3,
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
    unit: SeverityUnit::Share,
    spread: Spread::Uniform,
    min: 0.1,
    max: 0.5,
};
pub(super) const MAGNET_SHARE: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Share,
    spread: Spread::Uniform,
    min: 0.55,
    max: 0.9,
};
pub(super) const WEAK_AMPERES: SeverityLaw = SeverityLaw {
    unit: SeverityUnit::Ampere,
    spread: Spread::Uniform,
    min: 1.2,
    max: 6.0,
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
