//! What lies in the workshop's case, as data that a page can tell and a check can hold the readings to.

use super::VOLTMETER;
use super::leads::{AMPS_OHM, JUMPER_FUSE, JUMPER_OHM, METER_FUSE};
use super::meters::{
    DIODE_EMF, DIODE_OHM, LEADS_OHM, LOAD_LAMP_W, OHMMETER_EMF, OHMMETER_OHM, TEST_LAMP_W,
    TEST_LOAD, TEST_LOAD_S,
};
use crate::quantity::{Current, Interval, Power, Resistance, Voltage};
use crate::vehicle::{Emf, Kind, Vehicle};

/// The meter, its leads, the lamps and the battery tester. How each display reads comes with what is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kit {
    /// Input of the volts ranges.
    pub voltmeter: Resistance,
    /// Both test leads together.
    pub leads: Resistance,
    /// Volts of the ohms ranges with the probes apart.
    pub ohms_open: Voltage,
    /// Resistance behind them, without the leads.
    pub ohms_behind: Resistance,
    /// Volts of the diode range with the probes apart.
    pub diode_open: Voltage,
    /// Resistance behind them, without the leads.
    pub diode_behind: Resistance,
    /// Shunt, fuse and leads of the amps range.
    pub shunt: Resistance,
    /// Rating of its fuse.
    pub shunt_fuse: Current,
    /// A jumper lead.
    pub jumper: Resistance,
    /// Rating of its fuse.
    pub jumper_fuse: Current,
    /// The test lamp.
    pub test_lamp: Power,
    /// The load lamp.
    pub load_lamp: Power,
    /// Load of the battery tester.
    pub battery_load: Resistance,
    /// How long it is on.
    pub battery_load_on: Interval,
}

impl Kit {
    /// Volts that the lamps in the case of a vehicle's workshop are made for: 12 V or 24 V, by its battery.
    #[must_use]
    pub fn lamp_volts(vehicle: &Vehicle) -> Voltage {
        let twice = vehicle.components.iter().any(|component| {
            matches!(component.kind, Kind::Battery { .. })
                && component.paths.iter().any(|path| match path.emf {
                    Emf::Constant(emf) => emf.volts() > 18.0,
                    Emf::None | Emf::PerSpeed(_) => false,
                })
        });
        Voltage::from_volts(if twice { 24.0 } else { 12.0 })
    }
}

/// The case.
pub const KIT: Kit = Kit {
    voltmeter: VOLTMETER,
    leads: Resistance::from_ohms(LEADS_OHM),
    ohms_open: OHMMETER_EMF,
    ohms_behind: Resistance::from_ohms(OHMMETER_OHM),
    diode_open: DIODE_EMF,
    diode_behind: Resistance::from_ohms(DIODE_OHM),
    shunt: AMPS_OHM,
    shunt_fuse: METER_FUSE,
    jumper: JUMPER_OHM,
    jumper_fuse: JUMPER_FUSE,
    test_lamp: Power::from_watts(TEST_LAMP_W),
    load_lamp: Power::from_watts(LOAD_LAMP_W),
    battery_load: TEST_LOAD,
    battery_load_on: Interval::from_seconds(TEST_LOAD_S),
};
