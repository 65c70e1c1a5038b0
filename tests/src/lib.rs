//! What the checks of Groundside share: the shipped vehicle, faults and changes put into it, and a rig
//! that runs it in time with readings free of error.
//!
//! Names are written as they are typed: a point as `motor 53`, a fault as `motor-strap.open`. A name that
//! the vehicle does not have is a mistake in the test, and panics.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::missing_panics_doc,
    reason = "a test fails by panicking"
)]

pub mod actions;
pub mod bare;
pub mod coverage;
pub mod determinism;
pub mod faults;
pub mod fleet;
pub mod laws;
pub mod ledger;
pub mod naive;
pub mod person;
pub mod predictions;
pub mod published;
pub mod repairs;
pub mod soak;
pub mod space;
pub mod spice;
pub mod truth;

use std::collections::BTreeMap;
use std::sync::Arc;

use groundside_engine::file::read_vehicle;
use groundside_engine::quantity::{Angle, AngularVelocity, Interval, Resistance, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    Component, ComponentId, DriveTrain, Emf, Field, Instrument, Kind, Node, Point, Response, Roles,
    Vehicle,
};
use groundside_engine::world::{
    Extent, Followed, OperatingPoint, PointQuery, Shaft, Stretch, Trial, VOLTMETER,
};

/// The shipped vehicle's file.
pub const VEHICLE: &str = include_str!("../../scenarios/van-case-ground.toml");

/// The shipped vehicle, sound.
#[must_use]
pub fn vehicle() -> Arc<Vehicle> {
    let (vehicle, _warnings) = read_vehicle(VEHICLE).expect("the shipped vehicle is valid");
    Arc::new(vehicle)
}

/// A shipped vehicle by its id, sound.
#[must_use]
pub fn shipped(id: &str) -> Arc<Vehicle> {
    let file = fleet::folder("scenarios").join(format!("{id}.toml"));
    let text = std::fs::read_to_string(file).unwrap();
    Arc::new(read_vehicle(&text).expect("a shipped vehicle is valid").0)
}

/// A vehicle with a fault, as `component.mode` or `component.mode:severity`.
#[must_use]
pub fn with_fault(sound: &Arc<Vehicle>, fault: &str) -> Arc<Vehicle> {
    Arc::new(sound.inject(&sound.parse_fault(fault).unwrap()))
}

/// The shipped vehicle with a fault, as `component.mode` or `component.mode:severity`.
#[must_use]
pub fn faulty(fault: &str) -> Arc<Vehicle> {
    with_fault(&vehicle(), fault)
}

/// The shipped vehicle with another resistance on one path, given as `component path`.
#[must_use]
pub fn with_added(path: &str, ohms: f64) -> Arc<Vehicle> {
    added(&vehicle(), path, ohms)
}

/// A vehicle with another resistance on one path, given as `component path`.
#[must_use]
pub fn added(sound: &Arc<Vehicle>, path: &str, ohms: f64) -> Arc<Vehicle> {
    let mut changed = Vehicle::clone(sound);
    let (component, place) = path_of(&changed, path);
    let path = &mut changed.components[component.index()].paths[place];
    path.resistance = path.resistance + Resistance::from_ohms(ohms);
    Arc::new(changed)
}

/// The shipped vehicle on a battery of another open-circuit voltage and internal resistance.
#[must_use]
pub fn with_battery(volts: f64, ohms: f64) -> Arc<Vehicle> {
    on_battery(&vehicle(), volts, ohms)
}

/// A vehicle on a battery of another open-circuit voltage and internal resistance.
#[must_use]
pub fn on_battery(sound: &Arc<Vehicle>, volts: f64, ohms: f64) -> Arc<Vehicle> {
    let mut changed = Vehicle::clone(sound);
    let battery = changed.find("battery").unwrap();
    let path = &mut changed.components[battery.index()].paths[0];
    path.emf = Emf::Constant(Voltage::from_volts(volts));
    path.resistance = Resistance::from_ohms(ohms);
    Arc::new(changed)
}

/// A component by its id.
#[must_use]
pub fn component(vehicle: &Vehicle, id: &str) -> ComponentId {
    vehicle
        .find(id)
        .unwrap_or_else(|| panic!("no component `{id}`"))
}

/// A point by its name: `motor 53`.
#[must_use]
pub fn point(vehicle: &Vehicle, name: &str) -> Point {
    let found = vehicle
        .points()
        .find(|&point| vehicle.point_name(point) == name);
    found.unwrap_or_else(|| panic!("no point `{name}`"))
}

/// The node of a point.
#[must_use]
pub fn node(vehicle: &Vehicle, name: &str) -> Node {
    vehicle.node(point(vehicle, name))
}

/// A path as `component path`, or `component` for its first.
#[must_use]
pub fn path_of(vehicle: &Vehicle, name: &str) -> (ComponentId, usize) {
    let (id, wanted) = name.split_once(' ').unwrap_or((name, ""));
    let id = component(vehicle, id);
    let paths = &vehicle.component(id).paths;
    let found = paths
        .iter()
        .position(|path| wanted.is_empty() || path.name.as_str() == wanted);
    (id, found.unwrap_or_else(|| panic!("no path `{name}`")))
}

/// Whether the motor of a vehicle makes its field by windings.
#[must_use]
pub fn has_wound_field(vehicle: &Vehicle) -> bool {
    let wound = |part: &Component| matches!(&part.kind, Kind::Motor(data) if matches!(data.field, Field::Wound(_)));
    vehicle.components.iter().any(wound)
}

/// The mechanics of a vehicle.
#[must_use]
pub fn drive_train(vehicle: &Vehicle) -> DriveTrain {
    vehicle.drive_train().unwrap().expect("it has a motor")
}

/// Degrees from the resting dead centre to a crank angle, in (-180, 180], the way the crank turns.
#[must_use]
pub fn past_dead_centre(vehicle: &Vehicle, crank: Angle) -> f64 {
    let home = drive_train(vehicle).park();
    let off = (crank - home).degrees().rem_euclid(360.0);
    if off > 180.0 { off - 360.0 } else { off }
}

/// Position of the wiper switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wiper {
    /// OFF.
    Off,
    /// LOW.
    Low,
    /// HIGH.
    High,
}

impl Wiper {
    /// Its place on a vehicle's switch: LOW is the first of the speeds, HIGH the last.
    #[must_use]
    pub fn on(self, roles: &Roles) -> usize {
        let speed = match self {
            Self::Off => Some(&roles.off),
            Self::Low => roles.speeds.first(),
            Self::High => roles.speeds.last(),
        };
        *speed.expect("a wiper switch has a speed")
    }
}

/// What a vehicle's controls are for.
#[must_use]
pub fn roles(vehicle: &Vehicle) -> Roles {
    vehicle.roles().expect("it has a key and a wiper switch")
}

/// Which operating point of a vehicle, key on.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Position of the wiper switch.
    pub wiper: Wiper,
    /// Crank angle in degrees; park when `None`.
    pub crank_deg: Option<f64>,
    /// What the shaft does.
    pub shaft: Shaft,
    /// Voltmeters, red lead and black lead.
    pub meters: Vec<(&'static str, &'static str)>,
}

/// Solves an operating point on wet glass.
#[must_use]
pub fn operating_point(vehicle: &Arc<Vehicle>, operation: &Operation) -> OperatingPoint {
    OperatingPoint::of(vehicle, &query_of(vehicle, operation)).unwrap()
}

/// What to ask for an operating point on wet glass.
#[must_use]
pub fn query_of(vehicle: &Vehicle, operation: &Operation) -> PointQuery {
    let roles = roles(vehicle);
    let meter = |(red, black): &(&str, &str)| Instrument {
        red: node(vehicle, red),
        black: node(vehicle, black),
        resistance: VOLTMETER,
        emf: Voltage::ZERO,
    };
    PointQuery {
        positions: vec![
            (roles.key, roles.key_on),
            (roles.wiper, operation.wiper.on(&roles)),
        ],
        unplugged: Vec::new(),
        tripped: Vec::new(),
        parted: Vec::new(),
        shaft_angle: None,
        crank: operation.crank_deg.map(Angle::from_degrees),
        shaft: operation.shaft,
        glass: Glass::Wet,
        instruments: operation.meters.iter().map(meter).collect(),
    }
}

/// The potentials of all nodes that an element stands on, in volts by the node's name, at a shaft speed.
#[must_use]
pub fn potentials(
    vehicle: &Vehicle,
    response: &Response,
    speed: AngularVelocity,
) -> BTreeMap<String, f64> {
    let nodes = response
        .elements()
        .iter()
        .flat_map(|element| [element.p, element.n]);
    nodes
        .map(|node| {
            let name = vehicle.node_names[node.index()].clone();
            (name, response.potential_at(node, speed).volts())
        })
        .collect()
}

/// A vehicle that is run in time.
#[derive(Clone, Debug)]
pub struct Rig {
    /// The vehicle.
    pub vehicle: Arc<Vehicle>,
    /// Its state in time.
    pub trial: Trial,
}

impl Rig {
    /// A vehicle with blades parked, the key on and the wipers off.
    #[must_use]
    pub fn new(vehicle: &Arc<Vehicle>, glass: Glass) -> Self {
        let mut trial = Trial::new(vehicle, glass).unwrap();
        // Figures by hand are of cold windings and a rested battery.
        trial.hold_values();
        let roles = roles(vehicle);
        trial.set(roles.key, roles.key_on);
        Self {
            vehicle: Arc::clone(vehicle),
            trial,
        }
    }

    /// Works the wiper switch.
    pub fn set(&mut self, wiper: Wiper) {
        let roles = roles(&self.vehicle);
        self.trial.set(roles.wiper, wiper.on(&roles));
    }

    /// Undoes the crank nut or a link.
    pub fn undo(&mut self, part: &str) {
        self.trial.undo(component(&self.vehicle, part));
    }

    /// Lets time pass.
    pub fn run(&mut self, seconds: f64) -> Stretch {
        self.watch(seconds, &[])
    }

    /// Lets time pass and follows voltages and currents.
    pub fn watch(&mut self, seconds: f64, follow: &[Followed]) -> Stretch {
        self.trial
            .run(Interval::from_seconds(seconds), follow)
            .unwrap()
    }

    /// A voltage to follow, by the names of two points.
    #[must_use]
    pub fn volts(&self, red: &str, black: &str) -> Followed {
        Followed::Voltage(node(&self.vehicle, red), node(&self.vehicle, black))
    }

    /// A current to follow, by the name of a path.
    #[must_use]
    pub fn amps(&self, path: &str) -> Followed {
        let (component, path) = path_of(&self.vehicle, path);
        Followed::Current(component, path)
    }

    /// Seconds until a breaker trips or closes, to a millisecond; `None` if it does not within `limit`.
    pub fn seconds_to_click(&mut self, limit: f64) -> Option<f64> {
        // Whole seconds first, then halves of the second in which it happens: runs are repeatable.
        let mut gone = 0.0;
        while gone < limit {
            let before = self.clone();
            if self.run(1.0).clicks > 0 {
                *self = before;
                let mut step = 0.5;
                while step > 5e-4 {
                    let before = self.clone();
                    if self.run(step).clicks > 0 {
                        *self = before;
                    } else {
                        gone += step;
                    }
                    step *= 0.5;
                }
                self.run(2.0 * step);
                return Some(gone + step);
            }
            gone += 1.0;
        }
        None
    }

    /// Degrees that the crank stands past its resting dead centre, in (-180, 180].
    #[must_use]
    pub fn past_dead_centre(&self) -> f64 {
        past_dead_centre(&self.vehicle, self.trial.crank())
    }
}

/// Cycles a minute, mean supply amperes and the voltages asked for, over a minute in a running position
/// after ten seconds; the supply is followed at the breaker.
#[must_use]
pub fn minute(
    vehicle: &Arc<Vehicle>,
    glass: Glass,
    wiper: Wiper,
    points: &[(&str, &str)],
) -> (f64, f64, Vec<Extent>) {
    let mut rig = Rig::new(vehicle, glass);
    rig.set(wiper);
    rig.run(10.0);
    let mut follow = vec![rig.amps("wiper-breaker")];
    follow.extend(points.iter().map(|(red, black)| rig.volts(red, black)));
    let mut stretch = rig.watch(60.0, &follow);
    let amps = stretch.followed.remove(0).mean;
    (stretch.crank_turns, amps, stretch.followed)
}

/// Fails unless `found` is within `tolerance` of `expected`; `what` is told.
#[track_caller]
pub fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} where {expected} +/- {tolerance} is expected"
    );
}
