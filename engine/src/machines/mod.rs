//! Laws of single machines, without names and without a vehicle: copper, ring winding, its coils and its heat, wound field,
//! bimetal, worm gear, four-bar linkage, eccentric, filament, lead-acid battery; and the law of the land on wiping
//! frequencies.

mod bimetal;
mod charge;
mod coils;
mod eccentric;
mod filament;
mod four_bar;
mod heat;
mod ripple;
mod staircase;
mod winding;
mod wiping;
mod worm;
mod wound_field;

pub use bimetal::Bimetal;
pub use charge::{LeadAcid, SurfaceCharge};
pub use coils::{BRIDGED, Coils};
pub use eccentric::{Eccentric, Release, Stuck};
pub use filament::Filament;
pub use four_bar::{FourBar, FourBarError, Pose};
pub use heat::{Kept, Rises};
pub use ripple::Ripple;
pub use staircase::Staircase;
pub use winding::{Arc, HalvedWinding, RingWinding};
pub use wiping::{meets_eu_rule, meets_us_rule};
pub use worm::{AtShaft, Worm};
pub use wound_field::{Magnetised, WoundField};

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
    fn resistance_goes_with_length_section_and_temperature() {
        let wire = |metres: f64, mm2: f64, degc: f64| {
            let (length, section) = (
                Length::from_metres(metres),
                Area::from_square_millimetres(mm2),
            );
            copper(length, section, Temperature::from_degrees_celsius(degc)).ohms()
        };
        assert!((wire(58.0, 1.0, 20.0) - 1.0).abs() < 1e-12);
        assert!((wire(29.0, 2.5, 20.0) - 0.2).abs() < 1e-12);
        assert!((wire(58.0, 1.0, 30.0) - 1.0393).abs() < 1e-12);
    }
}
