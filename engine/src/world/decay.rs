//! What nears its goal exponentially, a speed above all, in closed form.

use super::motion::STEP_S;
use crate::math;

/// Whether a span is a whole step, for which exponentials are kept ready.
pub(super) const fn whole_step(seconds: f64) -> bool {
    seconds.to_bits() == STEP_S.to_bits()
}

/// What follows its goal with a time constant.
#[derive(Clone, Copy, Debug)]
pub(super) struct FirstOrder {
    time_constant_s: f64,
    /// What is left of the distance after a whole step.
    whole: f64,
}

impl FirstOrder {
    /// That with a time constant in seconds.
    pub(super) fn new(time_constant_s: f64) -> Self {
        Self {
            time_constant_s,
            whole: math::exp(-STEP_S / time_constant_s),
        }
    }

    /// What is left of the distance after some seconds.
    pub(super) fn kept(&self, seconds: f64) -> f64 {
        if whole_step(seconds) {
            self.whole
        } else {
            math::exp(-seconds / self.time_constant_s)
        }
    }
}

/// A speed that nears its goal exponentially.
pub(super) struct Decay {
    pub(super) from: f64,
    pub(super) goal: f64,
    /// Per second, positive.
    pub(super) rate: f64,
    /// What is left of the distance after a whole step, where that is known.
    pub(super) kept: Option<f64>,
}

impl Decay {
    /// With what is left after a whole step worked out once, where that is how long it will be asked for.
    pub(super) fn ready_for(mut self, seconds: f64) -> Self {
        if self.kept.is_none() && whole_step(seconds) {
            self.kept = Some(math::exp(-self.rate * seconds));
        }
        self
    }

    pub(super) fn speed(&self, seconds: f64) -> f64 {
        let kept = match self.kept {
            Some(kept) if whole_step(seconds) => kept,
            _ => math::exp(-self.rate * seconds),
        };
        self.goal + (self.from - self.goal) * kept
    }

    pub(super) fn travel(&self, seconds: f64) -> f64 {
        let gone = if whole_step(seconds) {
            1.0 - self.kept.unwrap_or_else(|| math::exp(-self.rate * seconds))
        } else {
            -libm::expm1(-self.rate * seconds)
        };
        self.goal * seconds + (self.from - self.goal) * gone / self.rate
    }

    /// Time at which a shaft that turns the way of `sign` comes to rest.
    pub(super) fn time_to_zero(&self, sign: f64) -> Option<f64> {
        if self.goal * sign >= 0.0 || self.from == 0.0 {
            return None;
        }
        let ratio = (self.from - self.goal) / -self.goal;
        (ratio > 0.0).then(|| math::log(ratio) / self.rate)
    }

    /// Time within `[0, longest]` at which the travel is `distance`, by the secant rule.
    pub(super) fn time_to_travel(&self, distance: f64, longest: f64) -> f64 {
        let (mut low, mut high) = (0.0, longest);
        for _ in 0..60 {
            let (at_low, at_high) = (self.travel(low) - distance, self.travel(high) - distance);
            let middle = if (at_high - at_low).abs() > 0.0 {
                low - at_low * (high - low) / (at_high - at_low)
            } else {
                high
            };
            let middle = middle.clamp(low, high);
            let miss = self.travel(middle) - distance;
            if miss.abs() <= 1e-13 * distance.abs().max(1e-6) {
                return middle;
            }
            if (miss < 0.0) == (at_low < 0.0) {
                low = middle
            } else {
                high = middle
            }
        }
        high
    }
}
