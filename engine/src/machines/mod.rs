//! Laws of single machines, without names and without a vehicle: copper, ring winding, bimetal, worm
//! gear, four-bar linkage.

mod bimetal;
mod four_bar;
mod winding;
mod worm;

pub use bimetal::Bimetal;
pub use four_bar::{FourBar, FourBarError, Pose};
pub use winding::{Arc, RingWinding};
pub use worm::Worm;

use crate::quantity::{Area, Length, Resistance, Temperature};

/// Resistivity of annealed copper at 20 °C, ohm metres: 1/58 ohm mm²/m.
/// [NBS 1966] (IACS; the value from memory, as in every wire table).
pub const COPPER_RESISTIVITY: f64 = 1e-6 / 58.0;

/// Temperature coefficient of copper at 20 °C, per kelvin. [NBS 1966]
pub const COPPER_COEFFICIENT: f64 = 0.00393;

/// Resistance of a copper conductor.
#[must_use]
pub fn copper(length: Length, section: Area, at: Temperature) -> Resistance {
    let cold = COPPER_RESISTIVITY * length.metres() / section.square_metres();
    Resistance::from_ohms(cold * (1.0 + COPPER_COEFFICIENT * (at.degrees_celsius() - 20.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copper_follows_the_wire_table_and_the_temperature_law() {
        let metre = |mm2: f64, degc: f64| {
            let section = Area::from_square_millimetres(mm2);
            copper(
                Length::from_metres(1.0),
                section,
                Temperature::from_degrees_celsius(degc),
            )
            .ohms()
        };
        // IEC 60228 class 2 maxima at 20 degC, ohm/km (read in a secondary text): copper is at most that.
        for (mm2, class_2) in [
            (0.5, 36.0),
            (0.75, 24.5),
            (1.0, 18.1),
            (1.5, 12.1),
            (2.5, 7.41),
            (4.0, 4.61),
        ] {
            let ohm_per_km = metre(mm2, 20.0) * 1000.0;
            assert!(
                ohm_per_km <= class_2 && ohm_per_km > 0.92 * class_2,
                "{mm2}: {ohm_per_km}"
            );
        }
        // FAA AC 43.13-1B para 11-66: at 80 degC the resistance is 1.2358 times that at 20 degC.
        assert!((metre(1.0, 80.0) / metre(1.0, 20.0) - 1.2358).abs() < 5e-5);
    }
}
