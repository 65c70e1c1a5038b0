//! The filament of a lamp.

use groundside_engine::machines::Filament;
use groundside_engine::quantity::{Current, Voltage};

use super::printed;
use crate::ledger::{Known, Ledger};

crate::checks![
    current_and_power_of_a_lamp,
    a_small_bulb_cold_and_hot,
    a_car_bulb_cold
];

const HANDBOOK: &str =
    "Standard Handbook for Electrical Engineers, 11th ed., p. 22-8: lamp current as V^0.55";

/// A bulb of a voltage and a current.
pub(super) const fn bulb(volts: f64, amps: f64, cold_share: f64) -> Filament {
    Filament {
        rated_voltage: Voltage::from_volts(volts),
        rated_current: Current::from_amperes(amps),
        cold_share,
    }
}

fn current_and_power_of_a_lamp(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, HANDBOOK);
    ledger.source(Known::Computed, "recomputed from that law");
    let lamp = bulb(12.0, 0.25, 0.1);
    for (share, current, resistance) in [
        (0.50, 0.683, 0.732),
        (0.85, 0.914, 0.929),
        (0.90, 0.944, 0.954),
        (1.10, 1.054, 1.044),
    ] {
        let volts = Voltage::from_volts(12.0 * share);
        let amps = lamp.current(volts).amperes() / 0.25;
        ledger.near(
            format_args!("current at {share}"),
            amps,
            current,
            printed(3),
        );
        let ohms = lamp.resistance(volts).ohms() / 48.0;
        ledger.near(
            format_args!("resistance at {share}"),
            ohms,
            resistance,
            printed(3),
        );
        // The handbook prints V^1.6 for the power and V^0.55 for the current, of which V^1.55 follows: the current
        // is followed, which is 3.5 % apart at half voltage.
        let watts = lamp.power(volts).watts() / 3.0;
        ledger.near_share(
            format_args!("power at {share}"),
            watts,
            share.powf(1.6),
            0.036,
        );
    }
}

fn a_small_bulb_cold_and_hot(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "New Physics: Sae Mulli 73 (2023), p. 127: a bulb of 2.5 V and 0.3 A, 1.3 ohm cold",
    );
    let lamp = bulb(2.5, 0.3, 1.3 / 8.33);
    let ohms = |volts: f64| lamp.resistance(Voltage::from_volts(volts)).ohms();
    ledger.near("hot, ohm", ohms(2.5), 8.33, printed(2));
    // 1.3 is printed with one decimal; on a millivolt the filament is cold.
    ledger.near("cold, ohm", ohms(1e-3), 1.3, printed(1));
    ledger.near("hot to cold", ohms(2.5) / ohms(0.0), 6.4, printed(1));
}

fn a_car_bulb_cold(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "12 V bulbs: hot resistance 8 to 15 times the cold one",
    );
    // Between the two the law of the lit lamp must still hold at a tenth of rated voltage, or it would say
    // nothing of a dim lamp.
    for ratio in [8.0, 15.0] {
        let lamp = bulb(12.0, 1.75, 1.0 / ratio);
        let amps = lamp.current(Voltage::from_volts(1.2)).amperes();
        let what = format_args!("current at a tenth of rated voltage, ratio {ratio}");
        ledger.near(what, amps / 1.75, 0.1_f64.powf(0.55), 1e-9);
        let cold = lamp.resistance(Voltage::ZERO).ohms();
        ledger.between("cold, ohm", cold, 12.0 / 1.75 / 15.1, 12.0 / 1.75 / 7.9);
    }
}
