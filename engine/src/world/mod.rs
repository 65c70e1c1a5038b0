//! The vehicle and its surroundings in time, and what a person at it can do.
//!
//! An action goes through *permit* (it may be refused, and costs nothing then) and *carry out* (the
//! vehicle runs for its minutes and is observed). What is permitted and what it costs depends on what
//! the person did, never on what is wrong with the vehicle: the law of silence. The world is handed a
//! vehicle's values and a sound vehicle's for repairs; it knows of no faults.

mod action;
mod ask;
mod bench;
mod bout;
mod cells;
mod contacts;
mod cranking;
mod decay;
mod deeds;
mod dials;
mod evenness;
mod explained;
mod foreseen;
mod handle;
mod hazard;
mod hold;
mod in_place;
mod kit;
mod leads;
mod mend;
mod meters;
mod motion;
mod nose;
mod observation;
mod observed;
mod permit;
mod play;
mod point;
mod refusal;
mod scales;
mod senses;
mod shape;
mod signs;
mod snapshot;
mod strict;
mod supply;
mod symptom;
mod tally;
#[cfg(test)]
mod testing;
mod trace;
mod trial;
mod washing;
mod windings;

use std::sync::Arc;

pub use action::{
    Action, Cost, Hint, Measurement, Sense, Suspicion, TEXT_MAX, Verdict, WAIT_MAX_S, WriteUp,
};
pub use bench::Bench;
pub(crate) use bench::WARM_RUN_S;
pub(crate) use bout::met_running;
pub use contacts::Chance;
pub(crate) use handle::{is_moved_with, touched_show};
pub use hazard::{Advice, Gravity, Hazard};
pub use in_place::{InPlace, InPlaceHeld, InPlaceStall, InPlaceTest};
pub use kit::{KIT, Kit};
pub(crate) use meters::AtRest;
pub use observation::{Display, Errors, Observable, Observation, Quantity, Scale, Shown, Words};
pub use permit::Permitted;
pub(crate) use permit::{takes_arms_off, with_arms};
pub use point::{OperatingPoint, PointQuery, Shaft};
pub use refusal::Refusal;
pub(crate) use signs::shows_signs;
pub use snapshot::{FEEL_RUN_S, Snapshot};
pub use strict::BadWords;
pub(crate) use supply::has_supply;
pub use symptom::{Signature, Wipe, noticed, symptom};
pub use trial::{Extent, Followed, Stretch, Trial};

use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, AngularVelocity, Minutes, Resistance, SimTime, Torque};
use crate::scenario::Glass;
use crate::vehicle::{ComponentId, DriveTrain, DriveTrainError, Kind, PivotLoad, Vehicle};
use deeds::SetAside;
use hold::Hand;
use motion::{Handling, Motion, Probe};
use tally::{Span, Trace};

/// Input resistance of the voltmeter. (Data sheets of handheld meters: 10 Mohm.)
pub const VOLTMETER: Resistance = Resistance::from_ohms(10e6);
/// Shaking by the running engine, in terms of the motor's own (judgement).
const ENGINE_SHAKING: f64 = 0.5;
/// Time constant of a pivot's bushing in its bracket, seconds (judgement).
const BUSHING_TIME_S: f64 = 120.0;
/// Windows of observation at the end of an action, seconds.
const METER_WINDOW_S: f64 = 4.0;
const SENSE_WINDOW_S: f64 = 10.0;
/// That of looking at blades and dash and of listening: the whole of the minutes that are charged for it, so that the
/// cycle of a breaker falls into it.
const LOOK_WINDOW_S: f64 = 24.0;
const TRY_WINDOW_S: f64 = 2.0;
const COUNT_WINDOW_S: f64 = 60.0;

/// Why a vehicle cannot be run.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WorldError {
    /// Its mechanics cannot move.
    #[error(transparent)]
    DriveTrain(#[from] DriveTrainError),
    /// Its circuit has no solution.
    #[error(transparent)]
    Solve(#[from] SolveError),
}

/// What a vehicle is put in: weather and help.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conditions {
    /// The state of the glass.
    pub glass: Glass,
    /// Whether it rains all the time: on the glass, and on plugs and joints.
    pub rain: bool,
    /// Whether a helper is at hand.
    pub helper: bool,
}

/// The vehicle and the person at it.
#[derive(Clone, Debug)]
pub struct World {
    vehicle: Arc<Vehicle>,
    sound: Arc<Vehicle>,
    conditions: Conditions,
    motion: Motion,
    drive: Option<DriveTrain>,
    /// Heat of each pivot's bushing, as the watts that would hold it, in the order of the drive's pivots.
    bushings: Vec<f64>,
    /// Turns that the crank has made so far.
    crank_turned: f64,
    /// Whether the fuse of the meter's amps range has blown.
    meter_blown: bool,
    /// Old parts, and the state of their protection, that known good ones stand in for.
    set_aside: Vec<SetAside>,
    /// The vehicle as it came in, for what its driver has to tell.
    arrived: Option<Arc<Self>>,
    /// Which leads' fuses were told to have blown, by the leads that are on.
    fuses_told: Vec<bool>,
    /// Whether the last action moved something loose.
    touched: bool,
    /// Until when the glass is wet from the washer's jets.
    washed_until: SimTime,
    bench: Bench,
}

/// What carrying out an action gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Minutes charged.
    pub cost: Cost,
    /// What was there to be observed.
    pub observables: Vec<Observable>,
    /// What could have hurt and was done all the same.
    pub hazards: Vec<Hazard>,
}

impl World {
    /// The vehicle as it stands: blades parked, everything off, breakers cold.
    ///
    /// # Errors
    /// [`DriveTrainError`] when the vehicle's mechanics cannot move.
    pub fn new(
        vehicle: Arc<Vehicle>,
        sound: Arc<Vehicle>,
        conditions: Conditions,
    ) -> Result<Self, DriveTrainError> {
        let drive = vehicle.drive_train()?;
        let bench = Bench::untouched(&vehicle);
        let motion = Motion::new(Arc::clone(&vehicle), drive.clone());
        let bushings = vec![0.0; drive.as_ref().map_or(0, |drive| drive.pivots.len())];
        Ok(Self {
            vehicle,
            sound,
            conditions,
            motion,
            drive,
            bushings,
            crank_turned: 0.0,
            meter_blown: false,
            set_aside: Vec::new(),
            arrived: None,
            fuses_told: Vec::new(),
            touched: false,
            washed_until: SimTime::START,
            bench,
        })
    }

    /// The vehicle's values as they are now.
    #[must_use]
    pub fn vehicle(&self) -> &Vehicle {
        &self.vehicle
    }

    /// What the person has done so far.
    #[must_use]
    pub const fn bench(&self) -> &Bench {
        &self.bench
    }

    /// The conditions.
    #[must_use]
    pub const fn conditions(&self) -> Conditions {
        self.conditions
    }

    /// Angle of the crank from the line crank centre to pivot. Not an observation: for checks of the
    /// model from outside.
    #[must_use]
    pub const fn crank(&self) -> Angle {
        self.motion.crank()
    }

    /// Speed of the shaft. Not an observation: for checks of the model from outside.
    #[must_use]
    pub const fn shaft_speed(&self) -> AngularVelocity {
        AngularVelocity::from_radians_per_second(self.motion.speed())
    }

    /// Sets the shaft where the last use left it.
    pub fn set_shaft(&mut self, angle: Angle) {
        self.motion.set_shaft(angle);
    }

    /// Lets the driver use the wipers in the first running position for some seconds and switch off, then
    /// leaves the vehicle standing over night: it comes in as its last use left it.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn arrive(&mut self) -> Result<(), SolveError> {
        let Some(roles) = self.vehicle.roles() else {
            return Ok(());
        };
        let handling = self.handling(None);
        let first = roles.speeds.first().copied().unwrap_or(roles.off);
        self.motion.setting.positions[roles.key.index()] = roles.key_on;
        for (position, seconds) in [(first, 9.3), (roles.off, 6.0)] {
            self.motion.setting.positions[roles.wiper.index()] = position;
            self.run(seconds, &[], &handling)?;
        }
        self.motion.setting.positions = vec![0; self.vehicle.components.len()];
        self.run(6.0, &[], &handling)?;
        self.motion.cool();
        self.bushings.fill(0.0);
        if self.arrived.is_none() {
            self.arrived = Some(Arc::new(self.clone()));
        }
        Ok(())
    }

    fn handling(&self, hand: Option<Hand>) -> Handling {
        let undone = |wanted: fn(&Kind) -> bool| {
            self.vehicle
                .ids()
                .any(|id| self.bench.undone[id.index()] && wanted(&self.vehicle.component(id).kind))
        };
        let (drive_link_off, link_off) = self.links_off();
        let wetted = self.wetted();
        let glass = self.conditions.glass;
        // Pivots whose arms are off drag nothing over the glass.
        let blade_friction = if self.bench.arms_off(&self.vehicle) {
            0.0
        } else {
            glass.friction_on(self.vehicle.surface(), wetted)
        };
        let pivots = self.drive.iter().flat_map(|drive| &drive.pivots);
        let adds = |load: &PivotLoad| {
            let blade = DriveTrain::blade_torque(load, blade_friction);
            hand.map_or(Torque::ZERO, |hand| hand.adds(load, blade))
        };
        Handling {
            blade_friction,
            assist: pivots.map(adds).collect(),
            crank_off: undone(|kind| matches!(kind, Kind::CrankNut { .. })) || drive_link_off,
            link_off: undone(|kind| matches!(kind, Kind::ConnectingLink)) || link_off,
            shaking: if self.bench.engine_runs(&self.vehicle) {
                ENGINE_SHAKING
            } else {
                0.0
            },
            water: self.conditions.rain
                || self.conditions.glass == Glass::Streaming
                || self.bench.is_soaked(),
        }
    }

    /// A link or fuse that has melted, if one has.
    #[must_use]
    pub fn melted(&self) -> Option<ComponentId> {
        self.vehicle.ids().find(|id| self.has_melted(*id))
    }

    /// Whether a component is a link or a fuse that has melted.
    #[must_use]
    pub fn has_melted(&self, id: ComponentId) -> bool {
        let melts = matches!(
            self.vehicle.component(id).kind,
            Kind::FusibleLink(_) | Kind::Fuse(_)
        );
        melts && self.motion.setting.tripped[id.index()]
    }

    /// Carries out what was permitted: the vehicle runs for its minutes.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution; the world is then as it was before.
    pub fn carry_out(&mut self, permitted: &Permitted) -> Result<Outcome, SolveError> {
        let (next, outcome) = self.clone().after(permitted)?;
        *self = next;
        Ok(outcome)
    }

    /// What it is after what was permitted, which it is used up for.
    pub(crate) fn after(mut self, permitted: &Permitted) -> Result<(Self, Outcome), SolveError> {
        let outcome = self.try_carry_out(permitted)?;
        Ok((self, outcome))
    }

    fn try_carry_out(&mut self, permitted: &Permitted) -> Result<Outcome, SolveError> {
        let cost = permitted.cost();
        self.touched = false;
        self.bench.reach(permitted);
        let standing = self.crank_turned;
        self.spend(cost.access, None)?;
        let hazards = permitted.hazards().to_vec();
        // Hands are at the arms while these come off, and otherwise once the work begins.
        let before = if takes_arms_off(permitted.action(), &self.sound) {
            standing
        } else {
            self.crank_turned
        };
        let mut observables = self.work(permitted.action(), cost.work)?;
        if hazards.contains(&Hazard::HandsInLiveLinkage) {
            observables.push(self.caught(self.crank_turned - before));
        }
        self.tell_of_fuses(&mut observables);
        self.bench.note_unprotected(&self.sound);
        observables.extend(self.clipped());
        Ok(Outcome {
            cost,
            observables,
            hazards,
        })
    }

    /// Runs the vehicle, and carries the heat of the bushings along.
    fn run(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
    ) -> Result<Span, SolveError> {
        let span = self.motion.run(seconds, probes, handling)?;
        self.take_over_burnt();
        self.crank_turned += span.crank_turns.abs();
        let kept = math::exp(-span.seconds / BUSHING_TIME_S);
        for place in 0..self.bushings.len() {
            let watts = self.bushing_watts(place, &span);
            self.bushings[place] = watts + (self.bushings[place] - watts) * kept;
        }
        Ok(span)
    }

    /// Puts the clock on by what an action has taken.
    fn has_taken(&mut self, minutes: Minutes) {
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
    }

    /// Lets the vehicle run for some minutes without being watched.
    fn spend(&mut self, minutes: Minutes, hand: Option<Hand>) -> Result<(), SolveError> {
        self.pass(seconds(minutes), hand)?;
        self.has_taken(minutes);
        Ok(())
    }

    /// Runs the vehicle unwatched, from now on; glass that was wetted dries when its time has come, and what water ran
    /// into when its has. What is watched is short beside that, and begins with both as they are then.
    fn pass(&mut self, mut left: f64, hand: Option<Hand>) -> Result<(), SolveError> {
        let ends: [fn(&mut Bench) -> &mut SimTime; 2] = [
            |bench| &mut bench.wet_until,
            |bench| &mut bench.soaked_until,
        ];
        let mut gone = 0.0;
        for end in ends {
            let now = self.bench.now;
            let until = end(&mut self.bench).micros();
            let wet = seconds_of(until.saturating_sub(now.micros())) - gone;
            if wet > 0.0 && wet < left {
                let handling = self.handling(hand);
                self.run(wet, &[], &handling)?;
                left -= wet;
                gone += wet;
                *end(&mut self.bench) = now;
            }
        }
        let handling = self.handling(hand);
        self.run(left, &[], &handling)?;
        Ok(())
    }

    /// Lets the vehicle run for `minutes`, watched by probes for the last `window` seconds of them.
    fn watch(
        &mut self,
        minutes: Minutes,
        window: f64,
        probes: &[Probe],
        hand: Option<Hand>,
    ) -> Result<Span, SolveError> {
        let total = seconds(minutes);
        let window = window.min(total);
        self.pass(total - window, hand)?;
        let handling = self.handling(hand);
        let span = self.run(window, probes, &handling)?;
        self.has_taken(minutes);
        Ok(span)
    }

    fn work(&mut self, action: &Action, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        match action {
            Action::Measure { what, red, black } => {
                self.bench.note(action, &self.sound);
                self.spread([*red, *black]);
                self.measure(*what, *red, *black, minutes)
            }
            Action::Loosen(_) => {
                // Until the work is done the nut holds, and what moves goes on moving.
                self.spend(minutes, None)?;
                self.note_change(action);
                Ok(Vec::new())
            }
            Action::Tighten(nut) if !self.bench.undone[nut.index()] => {
                let turned = self.turned(*nut);
                self.note_change(action);
                self.spend(minutes, None)?;
                Ok(vec![turned])
            }
            Action::Unplug(connector) => {
                self.burn_pins(*connector)?;
                self.dump_load(*connector)?;
                self.note_change(action);
                self.spend(minutes, None)?;
                Ok(Vec::new())
            }
            Action::Plug(connector) => {
                self.note_change(action);
                self.burn_pins(*connector)?;
                self.spend(minutes, None)?;
                Ok(Vec::new())
            }
            Action::Jumper { first, .. } => {
                // A lead whose live end goes on first hangs about with its other end bare: in a vehicle
                // full of grounded metal it touches some, and its fuse goes.
                let arcs = self.is_live(*first);
                let (ran, turned) = (self.motor_runs(), self.crank_turned);
                self.note_change(action);
                if arcs {
                    self.motion.blow(self.bench.jumpers.len() - 1);
                }
                self.spend(minutes, None)?;
                let mut seen = self.lead_fuses(true);
                seen.push(self.responds(ran, self.crank_turned - turned));
                Ok(seen)
            }
            Action::RemoveJumper { at_mid_glass } => {
                let left = seconds(minutes) - self.mid_glass(*at_mid_glass, minutes)?;
                let ran = self.motor_runs();
                self.note_change(action);
                self.pass(left, None)?;
                self.has_taken(minutes);
                Ok(vec![self.responds(ran, 0.0)])
            }
            Action::BatteryTest => self.battery_test(minutes),
            Action::NewFuse => {
                self.meter_blown = false;
                self.motion.renew_fuses();
                self.bench.note(action, &self.sound);
                self.spend(minutes, None)?;
                Ok(self.lead_fuses(true))
            }
            Action::Substitute(part) => {
                let left = self.until_it_is_in(*part, "replace", minutes)?;
                self.substitute(*part);
                self.note_change(action);
                self.fitted(*part, left)
            }
            Action::PutBack(part) => {
                self.spend(minutes, None)?;
                self.put_back(*part);
                self.note_change(action);
                Ok(Vec::new())
            }
            Action::HandOver(_) => {
                self.keep_what_is_the_workshops();
                self.spend(minutes, None)?;
                self.note_change(action);
                Ok(Vec::new())
            }
            Action::Clamp(wire) => self.clamp(*wire, minutes),
            Action::Trace(wire) => self.trace(*wire, minutes),
            Action::Sense(sense) => self.sense(*sense, minutes),
            Action::MoveArm(arm) => self.move_arm(*arm, minutes),
            Action::WetGlass => {
                self.note_change(action);
                self.spend(minutes, None)?;
                Ok(self.glass().into_iter().collect())
            }
            Action::Ask => self.ask(minutes),
            Action::Tug(point) => self.tug(*point, minutes),
            Action::Wiggle(component) => self.wiggle(*component, minutes),
            Action::Assist(arm) => {
                let hand = Some(Hand::helping(*arm));
                let span = self.watch(minutes, SENSE_WINDOW_S, &[], hand)?;
                Ok(self.blades_watched(&span))
            }
            Action::Hold(arm) => self.hold(*arm, minutes),
            Action::Control {
                component,
                position,
                at_mid_glass,
                ..
            } => self.control(*component, *position, *at_mid_glass, minutes),
            Action::Repair { component, way } => {
                self.take_battery_off(action)?;
                let repair = self.sound.component(*component).repairs[*way].name.clone();
                let left = self.until_it_is_in(*component, repair.as_str(), minutes)?;
                self.set_aside.retain(|old| old.id != *component);
                self.repair(*component, repair.as_str());
                self.note_change(action);
                self.fitted(*component, left)
            }
            _ => {
                self.note_change(action);
                self.spend(minutes, None)?;
                Ok(Vec::new())
            }
        }
    }

    /// Writes down what an action changes about the bench, and works the circuit accordingly.
    fn note_change(&mut self, action: &Action) {
        let was_undone = matches!(action, Action::Tighten(part) if self.bench.undone[part.index()]);
        self.bench.note(action, &self.sound);
        self.motion
            .setting
            .unplugged
            .clone_from(&self.bench.unplugged);
        let parked = self.motion.parked_crank();
        self.connect();
        if let Action::Clip { red, black } = action {
            self.spread([*red, *black]);
        }
        if let Action::Tighten(part) = action
            && matches!(self.vehicle.component(*part).kind, Kind::CrankNut { .. })
        {
            // Done up it is tight. One that was undone is put on with the blades where they rest: out of park
            // they come to rest elsewhere from then on.
            let tight = self.vehicle.component(*part).kind == self.sound.component(*part).kind;
            if was_undone || !tight {
                self.repair(*part, "tighten");
            }
            if was_undone {
                self.motion.refit_crank(parked);
            }
        }
    }
}

fn observable(quantity: Quantity, subject: String, trace: Trace, scale: Scale) -> Observable {
    Observable {
        quantity,
        subject,
        value: trace.mean,
        min: trace.min,
        max: trace.max,
        scale,
        samples: Vec::new(),
    }
}

fn seconds(minutes: Minutes) -> f64 {
    minutes.as_minutes() * 60.0
}

#[expect(
    clippy::cast_precision_loss,
    reason = "an attempt is shorter than 2 to the 53rd microseconds"
)]
fn seconds_of(micros: u64) -> f64 {
    micros as f64 / 1e6
}
