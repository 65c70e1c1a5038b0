//! A vehicle run in time with its controls set at will: no person, no minutes, no reading errors. For
//! checks from outside, which hold traces and events against other calculations.

use std::sync::Arc;

use super::hold::Hand;
use super::leads::Glow;
use super::motion::Probe;
use super::{Conditions, World, WorldError};
use crate::network::SolveError;
use crate::quantity::{Angle, AngularVelocity, Interval, Power};
use crate::scenario::Glass;
use crate::vehicle::{ComponentId, Instrument, Node, Vehicle};

/// A vehicle on trial: blades parked, everything off, breakers cold, until told otherwise.
#[derive(Clone, Debug)]
pub struct Trial {
    world: World,
    /// The hand that helps an arm along.
    hand: Option<Hand>,
}

/// What a trial follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Followed {
    /// Voltage of one node over another, volts.
    Voltage(Node, Node),
    /// Current into the positive end of a path, by component and position in its paths, amperes.
    Current(ComponentId, usize),
}

/// Mean, smallest and largest value of what was followed, in volts or amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Mean over time.
    pub mean: f64,
    /// Smallest.
    pub min: f64,
    /// Largest.
    pub max: f64,
}

/// What happened over a stretch of a trial.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// What was followed, in the order asked for.
    pub followed: Vec<Extent>,
    /// Turns of the crank.
    pub crank_turns: f64,
    /// Times a breaker opened or closed.
    pub clicks: u32,
    /// Times a relay's armature moved.
    pub relay_clicks: u32,
}

impl Trial {
    /// Puts a vehicle on trial.
    ///
    /// # Errors
    /// [`WorldError`] when its mechanics cannot move.
    pub fn new(vehicle: &Arc<Vehicle>, glass: Glass) -> Result<Self, WorldError> {
        let conditions = Conditions {
            glass,
            rain: false,
            helper: false,
        };
        let world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions)?;
        Ok(Self { world, hand: None })
    }

    /// Puts a control in a position, in no time.
    ///
    /// # Panics
    /// When the component belongs to another vehicle.
    pub fn set(&mut self, control: ComponentId, position: usize) {
        self.world.motion.setting.positions[control.index()] = position;
    }

    /// Undoes the crank nut or a link.
    ///
    /// # Panics
    /// When the component belongs to another vehicle.
    pub fn undo(&mut self, part: ComponentId) {
        self.world.bench.undone[part.index()] = true;
    }

    /// Takes a connector apart or a strap off its stud, or puts it back.
    ///
    /// # Panics
    /// When the component belongs to another vehicle.
    pub fn unplug(&mut self, connector: ComponentId, off: bool) {
        self.world.motion.setting.unplugged[connector.index()] = off;
    }

    /// Puts instruments on the circuit, in place of those that were on it.
    pub fn connect(&mut self, instruments: Vec<Instrument>) {
        self.world.motion.connect(instruments);
    }

    /// Holds a cold lamp of some power, made for the vehicle's battery, on two nodes, or takes it off.
    pub fn hold_lamp(&mut self, at: Option<(Node, Node, Power)>) {
        let lamp =
            at.map(|(red, black, power)| Glow::cold(red, black, self.world.lamp(power.watts())));
        self.world.motion.connect_lamp(lamp);
    }

    /// Leaves windings their cold resistance and batteries their rested volts from now on, whatever becomes of them: for
    /// calculations that know of neither.
    pub fn hold_values(&mut self) {
        self.world.hold_values();
    }

    /// Helps an arm along by hand from now on, or lets go.
    pub fn assist(&mut self, arm: Option<ComponentId>) {
        self.hand = arm.map(Hand::helping);
    }

    /// Turns the shaft by itself to an angle, in no time: where its last use left it.
    pub fn set_shaft(&mut self, angle: Angle) {
        self.world.set_shaft(angle);
    }

    /// Turns wheel and crank to an angle from the line crank centre to pivot, in no time.
    pub fn set_crank(&mut self, angle: Angle) {
        self.world.motion.set_crank(angle);
    }

    /// Lets time pass.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn run(&mut self, span: Interval, follow: &[Followed]) -> Result<Stretch, SolveError> {
        let probes: Vec<Probe> = follow
            .iter()
            .map(|followed| match *followed {
                Followed::Voltage(red, black) => Probe::Voltage(red, black),
                Followed::Current(component, path) => Probe::Current(component, path),
            })
            .collect();
        let handling = self.world.handling(self.hand);
        let span = self.world.motion.run(span.seconds(), &probes, &handling)?;
        self.world.take_over_burnt();
        let extent = |trace: &super::Trace| Extent {
            mean: trace.mean,
            min: trace.min,
            max: trace.max,
        };
        Ok(Stretch {
            followed: span.traces.iter().map(extent).collect(),
            crank_turns: span.crank_turns,
            clicks: span.clicks,
            relay_clicks: span.relay_clicks,
        })
    }

    /// Angle of the crank from the line crank centre to pivot, within one turn.
    #[must_use]
    pub const fn crank(&self) -> Angle {
        self.world.motion.crank()
    }

    /// How far the eccentric of the crank has turned out; zero where there is none.
    #[must_use]
    pub const fn eccentric_out(&self) -> Angle {
        self.world.motion.release().out()
    }

    /// Speed of the motor's shaft.
    #[must_use]
    pub const fn shaft_speed(&self) -> AngularVelocity {
        AngularVelocity::from_radians_per_second(self.world.motion.speed())
    }

    /// Temperatures of the copper and the iron of a motor, degrees Celsius; `None` for what is none.
    #[must_use]
    pub fn winding_temperature(&self, motor: ComponentId) -> Option<(f64, f64)> {
        self.world.winding_temperature(motor)
    }

    /// The vehicle's values as they are now: a winding that has burnt has changed them.
    #[must_use]
    pub fn vehicle(&self) -> &Vehicle {
        self.world.vehicle()
    }

    /// Whether the park cam stands inside its window.
    #[must_use]
    pub const fn cam_inside(&self) -> bool {
        self.world.motion.setting.cam_inside
    }

    /// Whether a breaker has tripped or a link has melted.
    ///
    /// # Panics
    /// When the component belongs to another vehicle.
    #[must_use]
    pub fn is_tripped(&self, breaker: ComponentId) -> bool {
        self.world.motion.setting.tripped[breaker.index()]
    }

    /// How far the first blade's tip is from its resting place, along the arc, millimetres.
    #[must_use]
    pub fn off_rest_mm(&self) -> f64 {
        self.world.off_rest_mm()
    }
}
