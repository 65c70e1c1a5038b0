//! Machines that make their own flux, of textbooks: the sum of two fields, the curve that saturates, series motors.
//!
//! A machine is the shipped bus with battery, fields, armature and load changed and every other resistance on the
//! way made nothing; the engine finds flux, current and speed together.

use std::sync::Arc;

use groundside_engine::machines::WoundField;
use groundside_engine::quantity::{
    Current, EmfConstant, Force, Interval, Resistance, Torque, Voltage,
};
use groundside_engine::vehicle::{Emf, Field, Kind, Vehicle};
use groundside_engine::world::Shaft;

use super::machine::{in_rev_per_min, rev_per_min};
use crate::ledger::{Known, Ledger};
use crate::{Operation, Wiper, operating_point, path_of, shipped};

crate::checks![
    fields_add_up,
    a_curve_through_two_points_meets_a_third,
    torque_of_a_series_motor_goes_with_the_square_of_its_current,
    a_weaker_shunt_field_is_a_faster_motor,
];

/// Resistance of what a book leaves out, ohms.
const NOTHING_OHM: f64 = 1e-9;
/// An open circuit, ohms.
const OPEN_OHM: f64 = 1e12;

/// A machine with a series and a shunt field.
#[derive(Clone, Copy, Debug)]
struct Machine {
    volts: f64,
    /// Armature with series field and all else in its circuit, ohms.
    armature: f64,
    shunt: f64,
    /// Turns of series and shunt field, the first below zero where it opposes.
    turns: (f64, f64),
    half: f64,
    residual: f64,
    /// EMF constant of a saturated field, volt seconds.
    saturated: f64,
    load: f64,
}

impl Machine {
    fn vehicle(&self) -> Arc<Vehicle> {
        let mut changed = Vehicle::clone(&shipped("bus-compound"));
        for component in &mut changed.components {
            for path in &mut component.paths {
                path.resistance = Resistance::from_ohms(NOTHING_OHM);
            }
            match &mut component.kind {
                Kind::Breaker(data) | Kind::FusibleLink(data) => {
                    data.ultimate = Current::from_amperes(1e9);
                }
                Kind::Motor(data) => {
                    data.coulomb = Torque::from_newton_metres(self.load);
                    data.viscous_nms = 0.0;
                    data.field = Field::Wound(WoundField {
                        series_turns: self.turns.0,
                        shunt_turns: self.turns.1,
                        half: self.half,
                        residual: self.residual,
                        lag: Interval::from_seconds(0.02),
                    });
                }
                Kind::Pivot { friction } => *friction = Torque::ZERO,
                Kind::Arm { data, .. } => data.force = Force::ZERO,
                _ => {}
            }
        }
        let constant = Emf::PerSpeed(EmfConstant::from_volt_seconds(self.saturated));
        let volts = Emf::Constant(Voltage::from_volts(self.volts));
        for (name, ohms, emf) in [
            ("battery", 0.0, volts),
            ("motor shunt-field", self.shunt, Emf::None),
            ("motor arc-near", 2.0 * self.armature, constant),
            ("motor arc-far", 2.0 * self.armature, constant),
        ] {
            let (component, path) = path_of(&changed, name);
            let path = &mut changed.components[component.index()].paths[path];
            path.resistance = Resistance::from_ohms(ohms + NOTHING_OHM);
            path.emf = emf;
        }
        Arc::new(changed)
    }

    /// Speed, rad/s, and the armature's current, where it drives its load.
    fn run(&self) -> (f64, f64) {
        let vehicle = self.vehicle();
        let operation = Operation {
            wiper: Wiper::Low,
            crank_deg: None,
            shaft: Shaft::Running,
            meters: Vec::new(),
        };
        let point = operating_point(&vehicle, &operation);
        let (motor, series) = path_of(&vehicle, "motor series-field");
        let response = &point.response;
        let element = response.element_of(motor, series).unwrap();
        let amps = response.current_at(element, point.speed).amperes();
        (point.speed.radians_per_second(), amps)
    }
}

/// Volts at 1200 rev/min for amperes in the shunt field alone, read off the magnetisation curve of a textbook's 100 hp
/// machine. The curve through the first and the last of them is the engine's: a saturated EMF and the amperes at half
/// of it.
const CURVE: [(f64, f64); 3] = [(4.4, 236.0), (5.0, 250.0), (5.6, 262.0)];

/// The saturated EMF, volts at 1200 rev/min, and the amperes at half of it.
fn through_two_points() -> (f64, f64) {
    let [(low, below), _, (high, above)] = CURVE;
    // E = most i / (half + i) twice.
    let half = (above - below) / (below / low - above / high);
    (below * (half + low) / low, half)
}

const CHAPMAN: &str = "recomputed from E = V - I R and points of a magnetisation curve, 236, 250 and 262 V for 4.4, 5.0 and \
                       5.6 A; the example of a compounded motor, from memory, Chapman, Electric Machinery Fundamentals";

fn fields_add_up(ledger: &mut Ledger) {
    ledger.source(Known::Computed, CHAPMAN);
    let (most, half) = through_two_points();
    // 1000 turns of shunt field with 5 A at 250 V, 3 of series field, 0.04 ohm; core and mechanical losses are none.
    let machine = Machine {
        volts: 250.0,
        armature: 0.04,
        shunt: 50.0,
        turns: (3.0, 1000.0),
        half: 1000.0 * half,
        residual: 1e-6,
        saturated: most / rev_per_min(1200.0),
        load: 0.0,
    };
    let (idle, _) = Machine {
        load: 1e-6,
        ..machine
    }
    .run();
    ledger.near("no load, rev/min", in_rev_per_min(idle), 1200.0, 2.0);
    // 242 V and 200 A at 1108 rev/min; the curve is read to a volt, which is 5 rev/min.
    let loaded = Machine {
        load: 242.0 * 200.0 / rev_per_min(1108.0),
        ..machine
    };
    let (speed, amps) = loaded.run();
    ledger.near("loaded, rev/min", in_rev_per_min(speed), 1108.0, 3.0);
    ledger.near("loaded, A", amps, 200.0, 1.5);

    ledger.source(
        Known::Memory,
        "textbooks on differential compound motors: the starting current's series field overcomes the shunt's, and \
         the motor starts the wrong way round",
    );
    let (speed, _) = Machine {
        turns: (-3.0, 1000.0),
        ..loaded
    }
    .run();
    ledger.holds("opposing series field: backward", speed < 0.0);
}

fn a_curve_through_two_points_meets_a_third(ledger: &mut Ledger) {
    ledger.source(Known::Computed, CHAPMAN);
    let (most, half) = through_two_points();
    let field = WoundField {
        series_turns: 1.0,
        shunt_turns: 1.0,
        half,
        residual: 1e-6,
        lag: Interval::from_seconds(0.02),
    };
    for (amps, volts) in CURVE {
        let what = format_args!("V at {amps} A");
        ledger.near(what, most * field.flux(amps), volts, 1.0);
    }
}

fn torque_of_a_series_motor_goes_with_the_square_of_its_current(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "textbooks on series motors, from memory: unsaturated, torque goes with the square of the current, and the \
         speed at a light load with one over it",
    );
    let machine = Machine {
        volts: 200.0,
        armature: 1e-3,
        shunt: OPEN_OHM,
        turns: (1.0, 1.0),
        half: 1e5,
        residual: 1e-3,
        saturated: 1e3,
        load: 1.0,
    };
    let (speed, amps) = machine.run();
    // k = 1e3 i / 1e5, T = k i = i^2 / 100.
    ledger.near("A", amps, 10.0, 0.01);
    for times in [4.0, 9.0, 16.0] {
        let (slower, more) = Machine {
            load: times,
            ..machine
        }
        .run();
        let root: f64 = f64::sqrt(times);
        let what = format_args!("current at {times} of the torque");
        ledger.near(what, more / amps, root, 1e-3 * root);
        let what = format_args!("speed at {times} of the torque");
        ledger.near(what, speed / slower, root, 2e-3 * root);
    }
}

fn a_weaker_shunt_field_is_a_faster_motor(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "textbooks on shunt motors, from memory: with nothing to drive, the speed goes with one over the flux",
    );
    let machine = Machine {
        volts: 240.0,
        armature: 0.1,
        shunt: 100.0,
        turns: (1e-6, 1000.0),
        half: 3000.0,
        residual: 1e-6,
        saturated: 4.0,
        load: 1e-6,
    };
    let (speed, _) = machine.run();
    for shunt in [150.0, 200.0, 400.0] {
        let (faster, _) = Machine { shunt, ..machine }.run();
        let flux = |ohms: f64| {
            let turns = 1000.0 * 240.0 / ohms;
            turns / (3000.0 + turns)
        };
        let expected = flux(100.0) / flux(shunt);
        let what = format_args!("speed with a shunt of {shunt} ohm");
        ledger.near(what, faster / speed, expected, 1e-5 * expected);
    }
}
