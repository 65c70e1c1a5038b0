//! The battery: open-circuit voltage by state of charge, and its resistance.

use groundside_engine::machines::LeadAcid;
use groundside_engine::quantity::Voltage;
use groundside_engine::vehicle::{Emf, Kind};

use crate::fleet;
use crate::ledger::{Known, Ledger};

crate::checks![
    open_circuit_voltage_by_state_of_charge,
    other_tables_of_charge,
    specific_gravity_and_voltage,
    batteries_of_the_vehicles,
];

const BATTERY: LeadAcid = LeadAcid { cells: 6 };

fn open_circuit_voltage_by_state_of_charge(ledger: &mut Ledger) {
    ledger.source(Known::Read, "TM 5-3805-262-20, p. 5-142");
    // Printed as "12.6 or more" and "11.7 or less" at the ends.
    for (charge, volts) in [
        (1.0, 12.6),
        (0.75, 12.4),
        (0.5, 12.2),
        (0.25, 12.0),
        (0.0, 11.7),
    ] {
        let found = BATTERY.open_circuit(charge).volts();
        ledger.near(format_args!("V at {charge}"), found, volts, 1e-12);
        let found = BATTERY.charge(Voltage::from_volts(volts));
        ledger.near(format_args!("charge at {volts} V"), found, charge, 1e-12);
    }
    for (volts, charge) in [(12.9, 1.0), (11.2, 0.0)] {
        let found = BATTERY.charge(Voltage::from_volts(volts));
        ledger.near(format_args!("charge at {volts} V"), found, charge, 1e-12);
    }
}

fn other_tables_of_charge(ledger: &mut Ledger) {
    // They disagree with the table that is followed by up to 0.19 V, most for a flat battery: 0.2 V bounds them.
    ledger.source(
        Known::Quoted,
        "a general press table: 12.66, 12.45, 12.30, 12.15 V at 100, 75, 50, 25 %",
    );
    let quoted = [(1.0, 12.66), (0.75, 12.45), (0.5, 12.30), (0.25, 12.15)];
    ledger.source(
        Known::Memory,
        "BCI table: 12.65, 12.45, 12.24, 12.06, 11.89 V from 100 to 0 %",
    );
    let remembered = [
        (1.0, 12.65),
        (0.75, 12.45),
        (0.5, 12.24),
        (0.25, 12.06),
        (0.0, 11.89),
    ];
    for (charge, volts) in quoted.into_iter().chain(remembered) {
        let found = BATTERY.open_circuit(charge).volts();
        ledger.near(format_args!("V at {charge}"), found, volts, 0.2);
    }
}

fn specific_gravity_and_voltage(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "battery handbooks: volts of a cell = specific gravity + 0.84; gravities of TM 5-1185 table II and of TM \
         5-3820-256-24-4 table 2, which differ",
    );
    for (charge, gravities) in [
        (1.0, [1.280, 1.265]),
        (0.75, [1.250, 1.225]),
        (0.5, [1.220, 1.190]),
        (0.25, [1.190, 1.155]),
        (0.0, [1.130, 1.120]),
    ] {
        // The two tables are up to 0.21 V apart by the rule; the engine lies within that of either.
        for gravity in gravities {
            let found = BATTERY.open_circuit(charge).volts();
            let what = format_args!("V at {charge}, gravity {gravity}");
            ledger.near(what, found, 6.0 * (gravity + 0.84), 0.21);
        }
    }
}

fn batteries_of_the_vehicles(ledger: &mut Ledger) {
    ledger.source(Known::Read, "TM 5-3805-262-20, p. 5-142");
    ledger.source(
        Known::Memory,
        "a healthy 12 V battery has 4 to 12 milliohms, an old or cold one more; held to half and twice",
    );
    for vehicle in fleet::vehicles() {
        let batteries = vehicle
            .components
            .iter()
            .filter(|c| matches!(c.kind, Kind::Battery(_)));
        for battery in batteries {
            let path = &battery.paths[0];
            let Emf::Constant(volts) = path.emf else {
                ledger.fail("a battery has an EMF");
                continue;
            };
            let dozens = (volts.volts() / 12.0).round();
            let volts_each = volts.volts() / dozens;
            ledger.between(
                format_args!("{}: V, sound", vehicle.id),
                volts_each,
                12.4,
                12.8,
            );
            let milliohms = path.resistance.ohms() * 1e3 / dozens;
            ledger.between(format_args!("{}: mohm", vehicle.id), milliohms, 2.0, 24.0);
        }
    }
}
