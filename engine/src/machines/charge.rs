//! A lead-acid battery's open-circuit voltage by its state of charge, at rest and warm.
//!
//! Follows the table of [TM 5-3805-262-20] p. 5-142 (12.6, 12.4, 12.2, 12.0 and 11.7 V for a full battery of
//! six cells down to an empty one), a straight line between its rows: it is the one table that was read
//! in its document, and it is what a workshop goes by. Others give up to 0.2 V more for a flat battery (11.89
//! V at 0 %, 12.30 V at half). Valid after some minutes without load or charge; surface charge and
//! temperature are left out.

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
