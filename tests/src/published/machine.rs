//! A direct-current machine of a textbook as a vehicle: the shipped one with its battery, winding and loads
//! changed and every other resistance on the way made nothing, so that the engine finds currents, torque and
//! speed. The two arcs of the ring between the low and the common brush are the armature.
//!
//! A shunt field is a resistance across the battery, a series field a resistance in the feed, with a diverter
//! across it if there is one. A field's flux is the EMF constant: the check sets it by the field current that
//! the engine gives. (`compound` has machines that make their own flux.)

use std::f64::consts::TAU;
use std::sync::Arc;

use groundside_engine::machines::RingWinding;
use groundside_engine::math::bisect_rising;
use groundside_engine::quantity::{
    Angle, Current, EmfConstant, Force, Inertia, Resistance, Torque, Voltage,
};
use groundside_engine::vehicle::{Affine, Element, Emf, Instrument, Kind, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft};

use crate::{Operation, Wiper, node, path_of, query_of, vehicle};

/// Resistance of what a book leaves out, ohms: thirty of these in a row drop microvolts.
const NOTHING_OHM: f64 = 1e-9;

/// Radians a second for revolutions a minute.
pub(super) fn rev_per_min(revolutions: f64) -> f64 {
    revolutions * TAU / 60.0
}

/// Radians a second for revolutions a second.
pub(super) fn rev_per_s(revolutions: f64) -> f64 {
    revolutions * TAU
}

/// Revolutions a minute for radians a second.
pub(super) fn in_rev_per_min(radians_per_s: f64) -> f64 {
    radians_per_s * 60.0 / TAU
}

/// A machine and its supply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Machine {
    /// Supply, volts; below zero to plug, zero to brake on what is in the way.
    pub(super) volts: f64,
    /// Armature, ohms.
    pub(super) armature: f64,
    /// Whatever else is in series with the armature, ohms.
    pub(super) series: f64,
    /// EMF constant, volt seconds.
    pub(super) k: f64,
    /// Drop of the brushes, volts, against a current that drives.
    pub(super) brushes: f64,
    /// Shunt field across the supply, ohms.
    pub(super) shunt: Option<f64>,
    /// Series field and the diverter across it, ohms.
    pub(super) diverted: Option<(f64, f64)>,
    /// Torque of the load, newton metres.
    pub(super) load: f64,
    /// Moment of inertia.
    pub(super) inertia: f64,
}

impl Machine {
    /// A machine on a supply of `volts` with `armature` ohms; its EMF constant is any until it is known.
    pub(super) const fn new(volts: f64, armature: f64) -> Self {
        Self {
            volts,
            armature,
            series: 0.0,
            k: 1.0,
            brushes: 0.0,
            shunt: None,
            diverted: None,
            load: 0.0,
            inertia: 1.0,
        }
    }

    /// The same with this much more in series.
    pub(super) const fn with_series(self, series: f64) -> Self {
        Self { series, ..self }
    }

    /// The same with a shunt field.
    pub(super) const fn with_shunt(self, ohms: f64) -> Self {
        Self {
            shunt: Some(ohms),
            ..self
        }
    }

    /// The same with another EMF constant.
    pub(super) const fn with_k(self, k: f64) -> Self {
        Self { k, ..self }
    }

    /// The same with another load.
    pub(super) const fn with_load(self, load: f64) -> Self {
        Self { load, ..self }
    }

    /// The same with the EMF constant at which it takes `amps` in the armature at a speed.
    pub(super) fn taking(self, amps: f64, speed: f64) -> Self {
        self.where_amps(Running::armature, amps, speed)
    }

    /// The same with the EMF constant at which it takes `amps` from the supply at a speed.
    pub(super) fn taking_from_line(self, amps: f64, speed: f64) -> Self {
        self.where_amps(Running::line, amps, speed)
    }

    /// Currents are affine in the EMF constant, so two of them say where a current is met.
    fn where_amps(self, read: impl Fn(&Running) -> Affine, amps: f64, speed: f64) -> Self {
        let at = |k: f64| read(&self.with_k(k).solve()).at(speed);
        let (none, one) = (at(0.0), at(1.0));
        self.with_k((amps - none) / (one - none))
    }

    /// The vehicle that the machine is in.
    pub(super) fn vehicle(&self) -> Arc<Vehicle> {
        let mut changed = Vehicle::clone(&vehicle());
        for component in &mut changed.components {
            for path in &mut component.paths {
                path.resistance = Resistance::from_ohms(NOTHING_OHM);
            }
            match &mut component.kind {
                Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data) => {
                    data.ultimate = Current::from_amperes(1e9);
                }
                Kind::Motor(data) => {
                    data.inertia = Inertia::from_kilogram_square_metres(self.inertia);
                    data.coulomb = Torque::from_newton_metres(self.load);
                    data.viscous_nms = 0.0;
                }
                Kind::Pivot { friction } => *friction = Torque::ZERO,
                Kind::Arm { data, .. } => data.force = Force::ZERO,
                _ => {}
            }
        }
        let mut set = |name: &str, ohms: f64, emf: Emf| {
            let (component, path) = path_of(&changed, name);
            let path = &mut changed.components[component.index()].paths[path];
            path.resistance = Resistance::from_ohms(ohms + NOTHING_OHM);
            path.emf = emf;
        };
        set(
            "battery",
            0.0,
            Emf::Constant(Voltage::from_volts(self.volts)),
        );
        set("motor low-brush", self.series, Emf::None);
        let drop = Voltage::from_volts(self.brushes);
        set("motor common-brush", 0.0, Emf::Constant(drop));
        if let Some((field, _)) = self.diverted {
            set("wiper-breaker", field, Emf::None);
        }
        // Two halves of the ring side by side: a quarter of it all the way round.
        let winding = RingWinding {
            ring: Resistance::from_ohms(4.0 * self.armature),
            emf: EmfConstant::from_volt_seconds(self.k),
            third_brush: Angle::from_degrees(60.0),
        };
        let arcs = ["arc-low-high", "arc-high-common", "arc-low-common"];
        for (name, arc) in arcs.into_iter().zip(winding.arcs()) {
            let name = format!("motor {name}");
            set(&name, arc.resistance.ohms(), Emf::PerSpeed(arc.emf));
        }
        Arc::new(changed)
    }

    fn point(&self, shaft: Shaft) -> (Arc<Vehicle>, OperatingPoint) {
        let vehicle = self.vehicle();
        let across = |red: &str, black: &str, ohms: f64| Instrument {
            red: node(&vehicle, red),
            black: node(&vehicle, black),
            resistance: Resistance::from_ohms(ohms),
            emf: Voltage::ZERO,
        };
        let shunt = self
            .shunt
            .map(|ohms| across("battery pos", "battery neg", ohms));
        let diverter = self
            .diverted
            .map(|(_, ohms)| across("wiper-breaker in", "wiper-breaker out", ohms));
        let operation = Operation {
            wiper: Wiper::Low,
            crank_deg: None,
            shaft,
            meters: Vec::new(),
        };
        let query = PointQuery {
            instruments: shunt.into_iter().chain(diverter).collect(),
            ..query_of(&vehicle, &operation)
        };
        let point = OperatingPoint::of(&vehicle, &query).unwrap();
        (vehicle, point)
    }

    /// What it does at every speed.
    pub(super) fn solve(&self) -> Running {
        let (vehicle, point) = self.point(Shaft::Held);
        Running { vehicle, point }
    }

    /// The speed, radians a second, at which it drives its load.
    pub(super) fn speed(&self) -> f64 {
        self.point(Shaft::Running).1.speed.radians_per_second()
    }

    /// The armature's current at that speed.
    pub(super) fn amps(&self) -> f64 {
        self.solve().armature().at(self.speed())
    }
}

/// A machine's circuit, solved for every speed.
#[derive(Debug)]
pub(super) struct Running {
    vehicle: Arc<Vehicle>,
    point: OperatingPoint,
}

impl Running {
    fn current(&self, name: &str) -> Affine {
        let (component, path) = path_of(&self.vehicle, name);
        let response = &self.point.response;
        response.current(response.element_of(component, path).unwrap())
    }

    /// Current of the armature.
    pub(super) fn armature(&self) -> Affine {
        self.current("motor common-brush")
    }

    /// Current that the supply delivers.
    pub(super) fn line(&self) -> Affine {
        let taken = self.current("battery");
        Affine {
            at_rest: -taken.at_rest,
            per_speed: -taken.per_speed,
        }
    }

    /// Current of a shunt field; of what stands across the supply, the first that is no part of the vehicle.
    pub(super) fn shunt(&self) -> f64 {
        let response = &self.point.response;
        let shunt = response
            .elements()
            .iter()
            .position(|element| element.origin.is_none());
        response.current(shunt.unwrap()).at_rest
    }

    /// Current of a series field with a diverter across it.
    pub(super) fn series_field(&self) -> Affine {
        self.current("wiper-breaker")
    }

    /// The speed at which the armature takes a current.
    pub(super) fn speed_at(&self, amps: f64) -> f64 {
        let armature = self.armature();
        (amps - armature.at_rest) / armature.per_speed
    }

    /// The speed at which the supply delivers a current.
    pub(super) fn speed_at_line(&self, amps: f64) -> f64 {
        let line = self.line();
        (amps - line.at_rest) / line.per_speed
    }

    /// Torque at a speed.
    pub(super) fn torque(&self, speed: f64) -> f64 {
        self.point.response.torque().at(speed)
    }

    /// Power that becomes mechanical at a speed, watts.
    pub(super) fn shaft_power(&self, speed: f64) -> f64 {
        self.torque(speed) * speed
    }

    /// EMF at a speed: that power over the armature's current.
    pub(super) fn emf(&self, speed: f64) -> f64 {
        self.shaft_power(speed) / self.armature().at(speed)
    }

    /// Heat of every resistance at a speed, watts.
    pub(super) fn heat(&self, speed: f64) -> f64 {
        let response = &self.point.response;
        let heat = |(index, element): (usize, &Element)| {
            response.current(index).at(speed).powi(2) * element.resistance.ohms()
        };
        response.elements().iter().enumerate().map(heat).sum()
    }
}

/// The resistance, ohms, from nothing to `most`, at which `f`, which rises with it, comes to `target`.
pub(super) fn ohms_where(most: f64, target: f64, f: impl Fn(f64) -> f64) -> f64 {
    bisect_rising(0.0, most, target, f)
}
