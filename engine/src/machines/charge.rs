//! A lead-acid battery's open-circuit voltage by its state of charge, at rest and warm.
//!
//! Follows the table of [TM 5-3805-262-20] p. 5-142 (12.6, 12.4, 12.2, 12.0 and 11.7 V for a full battery of
//! six cells down to an empty one), a straight line between its rows: it is the one table that was read
//! in its document, and it is what a workshop goes by. Others give up to 0.2 V more for a flat battery (11.89
//! V at 0 %, 12.30 V at half). Valid after some minutes without load or charge; temperature is left out.
//!
//! What a battery has just been charged with stands at the surface of its plates and raises its volts: [`SurfaceCharge`].

use crate::math;

use crate::quantity::Voltage;

/// State of charge and volts of one cell, rising.
const TABLE: [(f64, f64); 5] = [
    (0.0, 11.7 / 6.0),
    (0.25, 12.0 / 6.0),
    (0.5, 12.2 / 6.0),
    (0.75, 12.4 / 6.0),
    (1.0, 12.6 / 6.0),
];

/// A lead-acid battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeadAcid {
    /// Cells in series: 6 in a battery of 12 V.
    pub cells: u32,
}

impl LeadAcid {
    /// The battery that has this open-circuit voltage when full, or nearly so.
    #[must_use]
    pub fn of(full: Voltage) -> Self {
        let full_cell = TABLE[TABLE.len() - 1].1;
        let cells = (full.volts() / full_cell).round().clamp(1.0, 1000.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 1 to 1000"
        )]
        let cells = cells as u32;
        Self { cells }
    }

    /// Open-circuit voltage at a state of charge from 0 (empty) to 1 (full); beyond them that of the ends.
    #[must_use]
    pub fn open_circuit(self, charge: f64) -> Voltage {
        Voltage::from_volts(along(TABLE, charge) * f64::from(self.cells))
    }

    /// State of charge, from 0 to 1, of a rested battery with this open-circuit voltage.
    #[must_use]
    pub fn charge(self, rested: Voltage) -> f64 {
        let cell = rested.volts() / f64::from(self.cells);
        along(TABLE.map(|(charge, volts)| (volts, charge)), cell)
    }
}

/// SurfaceCharge charge: a voltage over the open circuit's that charging current brings up in a minute or two, that goes by
/// itself in some minutes, and that a load takes away in fewer. A capacitance with a leak, never below nothing.
///
/// 1500 F for six cells: headlamps of 10 A take 1.5 V off in under four minutes, which is how it is done in a workshop.
/// 0.25 ohm: a full battery goes on taking some 6 A at 14.2 V for a while. Both judgement. State of charge does not
/// change with what is taken and given: a visit to the workshop is short.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceCharge {
    farads: f64,
    leak_ohms: f64,
}

impl SurfaceCharge {
    /// That of a battery.
    #[must_use]
    pub fn of(battery: LeadAcid) -> Self {
        let sixes = f64::from(battery.cells) / 6.0;
        Self {
            farads: 1500.0 / sixes,
            leak_ohms: 0.25 * sixes,
        }
    }

    /// What is left after some seconds without current, as a share.
    #[must_use]
    pub fn kept(&self, seconds: f64) -> f64 {
        math::exp(-seconds / (self.farads * self.leak_ohms))
    }

    /// Volts after some seconds of a charging current in amperes, below zero when it discharges.
    #[must_use]
    pub fn after(&self, volts: f64, amperes: f64, seconds: f64) -> f64 {
        if volts == 0.0 && amperes <= 0.0 {
            // A load finds nothing to take off.
            return 0.0;
        }
        let goal = amperes * self.leak_ohms;
        (goal + (volts - goal) * self.kept(seconds)).max(0.0)
    }

    /// Seconds until the volts leave the range from `low` to `high` under a current; `None` when they never do.
    #[must_use]
    pub fn time_to_leave(&self, volts: f64, (low, high): (f64, f64), amperes: f64) -> Option<f64> {
        let goal = amperes * self.leak_ohms;
        let edge = if goal > volts { high } else { low };
        let ratio = (goal - volts) / (goal - edge);
        let comes = edge > 0.0 && ratio.is_finite() && ratio >= 1.0;
        comes.then(|| self.farads * self.leak_ohms * math::log(ratio))
    }
}

/// The straight lines through rising points, level beyond their ends.
fn along<const N: usize>(points: [(f64, f64); N], x: f64) -> f64 {
    let mut y = points[0].1;
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        y += (y1 - y0) * ((x - x0) / (x1 - x0)).clamp(0.0, 1.0);
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten amperes of lamps take it off in minutes; by itself it is gone in a quarter of an hour or so. [common practice,
    /// no published source]
    #[test]
    fn surface_charge_comes_with_charging_and_goes_with_load_or_time() {
        let surface = SurfaceCharge::of(LeadAcid { cells: 6 });
        let charged = surface.after(0.0, 50.0, 40.0);
        assert!((1.1..1.4).contains(&charged), "{charged} V");
        assert!(surface.after(charged, -10.0, 180.0) < 0.05);
        assert!(surface.after(charged, 0.0, 180.0) > 0.7);
        assert!(surface.after(charged, 0.0, 1500.0) < 0.05);
        assert!(surface.after(0.1, -10.0, 1e4) == 0.0);
        // Two batteries in series are twice the volts at the same current.
        let double = SurfaceCharge::of(LeadAcid { cells: 12 }).after(0.0, 50.0, 40.0);
        assert!((double - 2.0 * charged).abs() < 1e-12);
    }

    #[test]
    fn surface_charge_meets_a_voltage_when_it_says_so() {
        let surface = SurfaceCharge::of(LeadAcid { cells: 6 });
        for (volts, amperes, (low, high)) in [(0.2, 20.0, (0.1, 0.5)), (0.9, -5.0, (0.7, 1.0))] {
            let seconds = surface.time_to_leave(volts, (low, high), amperes).unwrap();
            let then = surface.after(volts, amperes, seconds);
            assert!(
                (then - low).abs().min((then - high).abs()) < 1e-12,
                "{then}"
            );
        }
        assert_eq!(surface.time_to_leave(0.2, (0.1, 0.5), 1.0), None);
    }

    #[test]
    fn voltage_and_charge_are_each_others_inverse_and_level_off_beyond_the_ends() {
        let battery = LeadAcid::of(Voltage::from_volts(25.2));
        assert_eq!(battery.cells, 12);
        let mut last = 0.0;
        for percent in 0..=100 {
            let charge = f64::from(percent) / 100.0;
            let volts = battery.open_circuit(charge);
            assert!(volts.volts() > last, "{percent} %");
            assert!(
                (battery.charge(volts) - charge).abs() < 1e-12,
                "{percent} %"
            );
            last = volts.volts();
        }
        let charge = |volts| battery.charge(Voltage::from_volts(volts));
        assert!(charge(20.0).abs() < 1e-12 && (charge(30.0) - 1.0).abs() < 1e-12);
    }
}
