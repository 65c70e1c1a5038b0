//! First-order heat of a bimetal, as a fraction of the rise at which it trips.
//!
//! `τ dx/dt = (i / i_ultimate)² - x`: the thermal replica of [IEC 60255-8], with heat in place of
//! temperature. Valid while the element's resistance is constant and the ambient is that of its rating.

use crate::math;
use crate::quantity::{Current, Interval};

/// A bimetal's law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bimetal {
    /// Largest current that never trips it.
    pub ultimate: Current,
    /// Thermal time constant.
    pub time_constant: Interval,
}

impl Bimetal {
    /// The heat that a constant current leads to.
    #[must_use]
    pub fn final_heat(&self, current: Current) -> f64 {
        math::square(current / self.ultimate)
    }

    /// Heat after `span` of a constant current, from `heat`.
    #[must_use]
    pub fn after(&self, heat: f64, current: Current, span: Interval) -> f64 {
        let goal = self.final_heat(current);
        goal + (heat - goal) * math::exp(-(span / self.time_constant))
    }

    /// Time until the heat reaches `level` under a constant current; `None` when it never does.
    #[must_use]
    pub fn time_to(&self, level: f64, heat: f64, current: Current) -> Option<Interval> {
        let goal = self.final_heat(current);
        let ratio = (goal - heat) / (goal - level);
        (ratio.is_finite() && ratio >= 1.0).then(|| self.time_constant * math::log(ratio))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: Bimetal = Bimetal {
        ultimate: Current::from_amperes(1.0),
        time_constant: Interval::from_seconds(1.0),
    };

    #[test]
    fn what_it_carries_for_ever_never_trips_it() {
        let almost = Current::from_amperes(0.99);
        assert_eq!(LAW.time_to(1.0, 0.0, almost), None);
        assert!(LAW.after(0.0, almost, Interval::from_seconds(1e9)) < 1.0);
    }

    #[test]
    fn after_and_time_to_agree() {
        let current = Current::from_amperes(1.7);
        let time = LAW.time_to(1.0, 0.2, current).unwrap();
        assert!((LAW.after(0.2, current, time) - 1.0).abs() < 1e-12);
    }
}
