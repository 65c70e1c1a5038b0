//! A lamp's filament: its current at a voltage, once it has the temperature that goes with it.
//!
//! Lit: `I = I_rated (V / V_rated)^0.55` [Fink 1978], so its resistance goes as `V^0.45`. (The handbook
//! prints `V^1.6` for the power, which is `V^1.55` rounded; the law of the current is followed.) Near 0 V
//! that law would let the resistance vanish, so the cold filament's resistance bounds it from below: current
//! rises with voltage without a jump, and a lamp on a millivolt is its cold resistance. Valid from 0 V to a
//! few tenths above rated voltage, in a steady state; the rush of current into a cold filament is left out.

use crate::math;
use crate::quantity::{Current, Power, Resistance, Voltage};

/// Exponent of the current. [Fink 1978]
const EXPONENT: f64 = 0.55;

/// A filament's law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filament {
    /// Voltage that it is made for.
    pub rated_voltage: Voltage,
    /// Current at that voltage.
    pub rated_current: Current,
    /// Its resistance when cold, as a share of that at rated voltage, above 0 and at most 1 (12 V bulbs: 1/8
    /// to 1/15; from memory).
    pub cold_share: f64,
}

impl Filament {
    /// Its resistance with this voltage across it.
    #[must_use]
    pub fn resistance(&self, voltage: Voltage) -> Resistance {
        let share = math::pow((voltage / self.rated_voltage).abs(), 1.0 - EXPONENT);
        let rated = self.rated_voltage.volts() / self.rated_current.amperes();
        Resistance::from_ohms(rated * share.max(self.cold_share))
    }

    /// Its current with this voltage across it.
    #[must_use]
    pub fn current(&self, voltage: Voltage) -> Current {
        voltage / self.resistance(voltage)
    }

    /// The power it takes with this voltage across it.
    #[must_use]
    pub fn power(&self, voltage: Voltage) -> Power {
        voltage * self.current(voltage)
    }

    /// The voltage across it when a source feeds it through a resistance.
    #[must_use]
    pub fn behind(&self, source: Voltage, series: Resistance) -> Voltage {
        let needed = |volts: f64| {
            let across = Voltage::from_volts(volts);
            (across + self.current(across) * series).volts()
        };
        let size = source.abs().volts();
        let across = math::bisect_rising(0.0, size, size, needed);
        Voltage::from_volts(across.copysign(source.volts()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAMP: Filament = Filament {
        rated_voltage: Voltage::from_volts(12.0),
        rated_current: Current::from_amperes(0.25),
        cold_share: 0.1,
    };

    #[test]
    fn current_rises_without_a_jump_from_a_cold_filament_to_a_bright_one() {
        let at = |millivolts: i32| {
            LAMP.current(Voltage::from_volts(f64::from(millivolts) * 1e-3))
                .amperes()
        };
        for millivolts in -200..15_000 {
            // Never faster than a cold filament, and always rising.
            let rise = at(millivolts + 1) - at(millivolts);
            assert!(rise > 0.0 && rise < 1.000_001e-3 / 4.8, "{millivolts} mV");
        }
        assert!(at(0).abs() < 1e-15 && (at(1) - 1e-3 / 4.8).abs() < 1e-15);
    }

    #[test]
    fn behind_a_resistance_the_two_voltages_add_up_either_way_round() {
        for (volts, ohms) in [(12.6, 5.0), (-12.6, 5.0), (12.6, 1e7), (12.6, 0.0)] {
            let (source, series) = (Voltage::from_volts(volts), Resistance::from_ohms(ohms));
            let across = LAMP.behind(source, series);
            let sum = (across + LAMP.current(across) * series).volts();
            assert!((sum - volts).abs() < 1e-9, "{volts} V, {ohms} ohm: {sum}");
        }
    }
}
