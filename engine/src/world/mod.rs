//! The vehicle and its surroundings in time, and what a person at it can do.
//!
//! An action goes through *permit* (it may be refused, and costs nothing then) and *carry out* (the
//! vehicle runs for its minutes and is observed). What is permitted and what it costs depends on what
//! the person did, never on what is wrong with the vehicle: the law of silence. The world is handed a
//! vehicle's values and a sound vehicle's for repairs; it knows of no faults.

mod action;
mod hazard;
mod motion;
mod observation;
mod permit;
mod point;
mod snapshot;
mod symptom;

use std::sync::Arc;

pub use action::{
    Action, BadWords, Cost, Measurement, Sense, TEXT_MAX, Verdict, WAIT_MAX_S, WriteUp,
};
pub use hazard::{Gravity, Hazard};
pub use observation::{Display, Observable, Observation, Quantity, Scale, Shown, Words};
pub use permit::{Permitted, Refusal};
pub use point::{OperatingPoint, PointQuery, Shaft};
pub use snapshot::Snapshot;
pub use symptom::{Signature, symptom};

use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, AngularVelocity, Minutes, Resistance, SimTime, Torque, Voltage};
use crate::scenario::Glass;
use crate::vehicle::{
    ComponentId, DriveTrain, DriveTrainError, Emf, Instrument, Kind, PlaceId, Point, Vehicle,
};
use motion::{Handling, Motion, Probe, Span, Trace};
use observation::{
    ARM_TORQUE, BLADES, CLAMP, CLICKS, COUNT, DASH, FOLLOWS, HELD_NM, HUM, OHMS, PACE, PITCH, REST,
    STRENGTH, VOLTS, WARMTH,
};

/// Input resistance of the voltmeter. (Data sheets of handheld meters: 10 Mohm.)
pub const VOLTMETER: Resistance = Resistance::from_ohms(10e6);
/// The ohmmeter's source: open-circuit EMF (meter manuals: at most 1.5 V).
const OHMMETER_EMF: Voltage = Voltage::from_volts(1.0);
/// The ohmmeter's own series resistance, leads apart (1 mA into a short; judgement).
const OHMMETER_OHM: f64 = 1000.0;
/// Both test leads together (meter manuals: 0.1 to 0.2 ohm).
const LEADS_OHM: f64 = 0.2;
/// Torque that a hand adds to an arm, newton metres (judgement).
const ASSIST_NM: f64 = 6.0;
/// How long water stays on dry glass, seconds (judgement).
const WET_S: u64 = 180;
/// Windows of observation at the end of an action, seconds.
const METER_WINDOW_S: f64 = 4.0;
const SENSE_WINDOW_S: f64 = 10.0;
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
    bench: Bench,
}

/// What the person has done to the vehicle's surroundings: all that permission may depend on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bench {
    /// Where the person is.
    pub place: PlaceId,
    /// Which covers are off, by cover index.
    pub covers_off: Vec<bool>,
    /// Position of each control, by component index.
    pub positions: Vec<usize>,
    /// Which connectors are unplugged, by component index.
    pub unplugged: Vec<bool>,
    /// Which nuts and links are undone, by component index.
    pub undone: Vec<bool>,
    /// Whether the meter is out.
    pub meter_out: bool,
    /// Where the voltmeter is left connected.
    pub clip: Option<(Point, Point)>,
    /// What has been repaired, in order.
    pub repairs: Vec<(ComponentId, usize)>,
    /// Until when the glass is wet from the can.
    pub wet_until: SimTime,
    /// Simulated time.
    pub now: SimTime,
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
        let count = vehicle.components.len();
        let bench = Bench {
            place: PlaceId(0),
            covers_off: vec![false; vehicle.layout.covers.len()],
            positions: vec![0; count],
            unplugged: vec![false; count],
            undone: vec![false; count],
            meter_out: false,
            clip: None,
            repairs: Vec::new(),
            wet_until: SimTime::START,
            now: SimTime::START,
        };
        let motion = Motion::new(Arc::clone(&vehicle), drive.clone());
        Ok(Self {
            vehicle,
            sound,
            conditions,
            motion,
            drive,
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

    /// Lets the driver use the wipers in each running position for some seconds and switch off, then
    /// leaves the vehicle standing over night: it comes in as its last use left it.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn arrive(&mut self) -> Result<(), SolveError> {
        let Some((key, wiper)) = self.key_and_wiper() else {
            return Ok(());
        };
        let handling = self.handling(None);
        for (key_position, wiper_position, seconds) in [
            (self.last_position(key), 1, 9.3),
            (self.last_position(key), 0, 6.0),
        ] {
            self.motion.setting.positions[key.index()] = key_position;
            self.motion.setting.positions[wiper.index()] = wiper_position;
            self.motion.run(seconds, &[], &handling)?;
        }
        self.motion.setting.positions = vec![0; self.vehicle.components.len()];
        self.motion.run(6.0, &[], &handling)?;
        self.motion.cool();
        Ok(())
    }

    /// The ignition switch and the wiper switch: the controls named `key` and `wiper`.
    fn key_and_wiper(&self) -> Option<(ComponentId, ComponentId)> {
        Some((self.vehicle.control("key")?, self.vehicle.control("wiper")?))
    }

    fn last_position(&self, control: ComponentId) -> usize {
        self.vehicle
            .component(control)
            .positions()
            .len()
            .saturating_sub(1)
    }

    fn handling(&self, assisted: Option<ComponentId>) -> Handling {
        let undone = |wanted: fn(&Kind) -> bool| {
            self.vehicle
                .ids()
                .any(|id| self.bench.undone[id.index()] && wanted(&self.vehicle.component(id).kind))
        };
        let dry_but_wetted =
            self.conditions.glass == Glass::Dry && self.bench.now < self.bench.wet_until;
        let glass = if dry_but_wetted {
            Glass::Wet
        } else {
            self.conditions.glass
        };
        let assist = |arm: ComponentId| {
            if assisted == Some(arm) {
                Torque::from_newton_metres(ASSIST_NM)
            } else {
                Torque::ZERO
            }
        };
        Handling {
            blade_friction: glass.friction(),
            assist: self
                .drive
                .iter()
                .flat_map(|drive| &drive.pivots)
                .map(|pivot| assist(pivot.arm))
                .collect(),
            crank_off: undone(|kind| matches!(kind, Kind::CrankNut { .. })),
            link_off: undone(|kind| matches!(kind, Kind::ConnectingLink)),
        }
    }

    /// A link that has melted, if one has.
    #[must_use]
    pub fn melted(&self) -> Option<ComponentId> {
        let melted = |id: &ComponentId| {
            matches!(self.vehicle.component(*id).kind, Kind::FusibleLink(_)) && self.motion.setting.tripped[id.index()]
        };
        self.vehicle.ids().find(melted)
    }

    /// Carries out what was permitted: the vehicle runs for its minutes.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution; the world is then as it was before.
    pub fn carry_out(&mut self, permitted: &Permitted) -> Result<Outcome, SolveError> {
        let mut next = self.clone();
        let outcome = next.try_carry_out(permitted)?;
        *self = next;
        Ok(outcome)
    }

    fn try_carry_out(&mut self, permitted: &Permitted) -> Result<Outcome, SolveError> {
        let cost = permitted.cost();
        self.bench.reach(permitted);
        self.spend(cost.access, None)?;
        let hazards = permitted.hazards().to_vec();
        let mut observables = self.work(permitted.action(), cost.work)?;
        observables.extend(self.clipped());
        Ok(Outcome {
            cost,
            observables,
            hazards,
        })
    }

    /// Lets the vehicle run for some minutes without being watched.
    fn spend(&mut self, minutes: Minutes, assisted: Option<ComponentId>) -> Result<(), SolveError> {
        let handling = self.handling(assisted);
        self.motion.run(seconds(minutes), &[], &handling)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(())
    }

    /// Lets the vehicle run for `minutes`, watched by probes for the last `window` seconds of them.
    fn watch(
        &mut self,
        minutes: Minutes,
        window: f64,
        probes: &[Probe],
        assisted: Option<ComponentId>,
    ) -> Result<Span, SolveError> {
        let handling = self.handling(assisted);
        let total = seconds(minutes);
        let window = window.min(total);
        self.motion.run(total - window, &[], &handling)?;
        let span = self.motion.run(window, probes, &handling)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(span)
    }

    fn work(&mut self, action: &Action, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        match action {
            Action::Measure {
                what: Measurement::Volts,
                red,
                black,
            } => self.volts(*red, *black, minutes),
            Action::Measure {
                what: Measurement::Ohms,
                red,
                black,
            } => self.ohms(*red, *black, minutes),
            Action::Clamp(wire) => self.clamp(*wire, minutes),
            Action::Sense(sense) => self.sense(*sense, minutes),
            Action::MoveArm(arm) => {
                self.spend(minutes, None)?;
                Ok(vec![self.arm_torque(*arm)])
            }
            Action::Assist(arm) => {
                let span = self.watch(minutes, SENSE_WINDOW_S, &[], Some(*arm))?;
                Ok(self.blades_watched(&span))
            }
            Action::Control {
                component,
                position,
                at_mid_glass,
                ..
            } => {
                self.control(*component, *position, *at_mid_glass, minutes)?;
                Ok(Vec::new())
            }
            Action::Repair { component, way } => {
                self.spend(minutes, None)?;
                let repair = self.sound.component(*component).repairs[*way].name.clone();
                self.repair(*component, repair.as_str());
                self.note_change(action);
                Ok(Vec::new())
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
        self.bench.note(action);
        self.motion
            .setting
            .unplugged
            .clone_from(&self.bench.unplugged);
        let clip = self
            .bench
            .clip
            .map(|(red, black)| self.voltmeter(red, black));
        self.motion
            .record(clip.map(|meter| Probe::Voltage(meter.red, meter.black)));
        self.motion.connect(clip.into_iter().collect());
        if let Action::Tighten(part) = action
            && matches!(self.vehicle.component(*part).kind, Kind::CrankNut { .. })
        {
            // Done up again it is tight, and the crank goes on by its mark.
            self.repair(*part, "tighten");
        }
    }

    fn control(
        &mut self,
        control: ComponentId,
        position: usize,
        at_mid_glass: bool,
        minutes: Minutes,
    ) -> Result<(), SolveError> {
        let mut left = seconds(minutes);
        if at_mid_glass && let Some(drive) = self.drive.clone() {
            let handling = self.handling(None);
            let middle =
                drive.linkage.extended_dead_centre().radians() + 0.5 * std::f64::consts::PI;
            let near = |motion: &Motion| {
                math::wrap_half_turn(motion.crank().radians() - middle).abs() < 0.05
            };
            left -= self
                .motion
                .run_until(left - 1.0, &[], &handling, near)?
                .seconds;
        }
        self.bench.positions[control.index()] = position;
        self.motion
            .setting
            .positions
            .clone_from(&self.bench.positions);
        let handling = self.handling(None);
        self.motion.run(left, &[], &handling)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(())
    }

    fn repair(&mut self, component: ComponentId, repair: &str) {
        let mut vehicle = Vehicle::clone(&self.vehicle);
        vehicle.restore(component, repair, &self.sound);
        self.vehicle = Arc::new(vehicle);
        // The sound values of one component cannot break a linkage that turned before.
        if let Ok(drive) = self.vehicle.drive_train() {
            self.drive = drive;
        }
        self.motion.rebuild(Arc::clone(&self.vehicle), self.drive.clone());
        self.motion.renew(component);
        if matches!(
            self.vehicle.component(component).kind,
            Kind::CrankNut { .. }
        ) {
            self.motion.align_crank();
        }
    }

    fn voltmeter(&self, red: Point, black: Point) -> Instrument {
        Instrument {
            red: self.vehicle.node(red),
            black: self.vehicle.node(black),
            resistance: VOLTMETER,
            emf: Voltage::ZERO,
        }
    }

    /// Runs the vehicle with one more instrument on it, then takes it off again.
    fn with_instrument(
        &mut self,
        instrument: Instrument,
        minutes: Minutes,
    ) -> Result<Span, SolveError> {
        let clip = self
            .bench
            .clip
            .map(|(red, black)| self.voltmeter(red, black));
        let without: Vec<Instrument> = clip.into_iter().collect();
        let mut with = without.clone();
        with.push(instrument);
        // The leads are on for the window only; before it the person gets there.
        let handling = self.handling(None);
        let total = seconds(minutes);
        let window = METER_WINDOW_S.min(total);
        self.motion.run(total - window, &[], &handling)?;
        self.motion.connect(with);
        let span = self.motion.run(
            window,
            &[Probe::Voltage(instrument.red, instrument.black)],
            &handling,
        )?;
        self.motion.connect(without);
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(span)
    }

    fn between(&self, red: Point, black: Point) -> String {
        format!(
            "{} to {}",
            self.vehicle.point_name(red),
            self.vehicle.point_name(black)
        )
    }

    fn volts(
        &mut self,
        red: Point,
        black: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.with_instrument(self.voltmeter(red, black), minutes)?;
        let volts = observable(
            Quantity::Voltage,
            self.between(red, black),
            span.traces[0],
            Scale::Display(VOLTS),
        );
        Ok(vec![volts, self.blades(&span)])
    }

    fn ohms(
        &mut self,
        red: Point,
        black: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let series = OHMMETER_OHM + LEADS_OHM;
        let instrument = Instrument {
            red: self.vehicle.node(red),
            black: self.vehicle.node(black),
            resistance: Resistance::from_ohms(series),
            emf: OHMMETER_EMF,
        };
        let span = self.with_instrument(instrument, minutes)?;
        // The meter divides the voltage at its sockets by the current of its own source, and believes
        // that nothing else drives any: on a live circuit it shows nonsense, as in life.
        let ohms = |volts: f64| {
            let current = (OHMMETER_EMF.volts() - volts) / series;
            (volts + current * LEADS_OHM) / current
        };
        let Trace { mean, min, max } = span.traces[0];
        let trace = Trace {
            mean: ohms(mean),
            min: ohms(min),
            max: ohms(max),
        };
        let ohms = observable(
            Quantity::Resistance,
            self.between(red, black),
            trace,
            Scale::Display(OHMS),
        );
        Ok(vec![ohms, self.blades(&span)])
    }

    fn clamp(
        &mut self,
        wire: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.watch(minutes, METER_WINDOW_S, &[Probe::Current(wire, 0)], None)?;
        let name = self.vehicle.component(wire).id.to_string();
        let current = observable(
            Quantity::Current,
            name,
            span.traces[0],
            Scale::Display(CLAMP),
        );
        Ok(vec![current, self.blades(&span)])
    }

    fn sense(&mut self, sense: Sense, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let name = |world: &Self, id: ComponentId| world.vehicle.component(id).id.to_string();
        match sense {
            Sense::LookBlades => {
                let span = self.watch(minutes, SENSE_WINDOW_S, &[], None)?;
                Ok(self.blades_watched(&span))
            }
            Sense::LookLinkage => {
                let span = self.watch(minutes, SENSE_WINDOW_S, &[], None)?;
                Ok(vec![follows(&span)])
            }
            Sense::Listen => self.listen(minutes),
            Sense::Feel(component) => {
                let watts = self.warmth(component, minutes)?;
                let subject = name(self, component);
                Ok(vec![Observable::steady(
                    Quantity::Warmth,
                    subject,
                    watts,
                    Scale::Words(WARMTH),
                )])
            }
            Sense::Ammeter => {
                let Some(ammeter) = self.ammeter() else { return Ok(Vec::new()) };
                let span = self.watch(minutes, METER_WINDOW_S, &[Probe::Current(ammeter, 0)], None)?;
                Ok(vec![self.discharge(ammeter, span.traces[0])])
            }
            Sense::Count => {
                let span = self.watch(minutes, COUNT_WINDOW_S, &[], None)?;
                Ok(vec![count(&span)])
            }
            Sense::Try(consumer) => self.try_consumer(consumer, minutes),
        }
    }

    /// The dash ammeter, if the vehicle has one.
    fn ammeter(&self) -> Option<ComponentId> {
        self.vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Ammeter))
    }

    fn blades_watched(&self, span: &Span) -> Vec<Observable> {
        let pace = span.crank_turns * 60.0 / span.seconds;
        let mut seen = vec![Observable::steady(
            Quantity::Pace,
            "blades".to_owned(),
            pace,
            Scale::Words(PACE),
        )];
        if span.crank_turns == 0.0 {
            let millimetres = self.off_rest_mm();
            seen.push(Observable::steady(
                Quantity::Rest,
                "blades".to_owned(),
                millimetres,
                Scale::Words(REST),
            ));
        }
        seen
    }

    /// How far the first blade's tip is from its resting place, along the arc, millimetres.
    fn off_rest_mm(&self) -> f64 {
        let Some(drive) = &self.drive else { return 0.0 };
        let rest = drive
            .linkage
            .pose(drive.linkage.extended_dead_centre())
            .rocker_angle();
        let now = drive.linkage.pose(self.motion.crank()).rocker_angle();
        let tip = drive
            .pivots
            .first()
            .map_or(0.0, |pivot| pivot.data.tip.metres());
        (now - rest).radians().abs() * tip * 1000.0
    }

    fn blades(&self, span: &Span) -> Observable {
        let state = if span.crank_turns > 0.0 {
            2.0
        } else if self.off_rest_mm() > REST.cuts[0] {
            1.0
        } else {
            0.0
        };
        Observable::steady(
            Quantity::Blades,
            "blades".to_owned(),
            state,
            Scale::Words(BLADES),
        )
    }

    /// Probes on the resistive paths of the motor: what its brushes carry.
    fn brush_probes(&self) -> Vec<Probe> {
        let motor = self.motor();
        let paths = motor.map_or(&[][..], |motor| &self.vehicle.component(motor).paths);
        (0..paths.len())
            .filter(|&path| paths[path].emf == Emf::None)
            .filter_map(|path| motor.map(|motor| Probe::Current(motor, path)))
            .collect()
    }

    fn motor(&self) -> Option<ComponentId> {
        self.vehicle.ids().find(|&id| matches!(self.vehicle.component(id).kind, Kind::Motor(_)))
    }

    fn listen(&mut self, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let brushes = self.brush_probes();
        let span = self.watch(minutes, SENSE_WINDOW_S, &brushes, None)?;
        Ok(self.heard(&span, &span.traces))
    }

    /// Pitch, hum and clicks of a span in which the brushes carried what their traces say.
    fn heard(&self, span: &Span, brushes: &[Trace]) -> Vec<Observable> {
        let turning = span.turning_s > 0.0;
        let pitch = if turning { span.shaft_turns * std::f64::consts::TAU / span.turning_s } else { 0.0 };
        let largest = |trace: &Trace| trace.max.abs().max(trace.min.abs());
        let current = brushes.iter().map(largest).fold(0.0, f64::max);
        let standing = span.seconds - span.turning_s > 0.5 * span.seconds;
        let hum = if standing { current } else { 0.0 };
        let motor = self.motor().map_or_else(String::new, |id| self.vehicle.component(id).id.to_string());
        let clicks = f64::from(span.clicks);
        vec![
            Observable::steady(Quantity::Pitch, motor.clone(), pitch.abs(), Scale::Words(PITCH)),
            Observable::steady(Quantity::Hum, motor, hum, Scale::Words(HUM)),
            Observable::steady(Quantity::Clicks, "breaker".to_owned(), clicks, Scale::Words(CLICKS)),
        ]
    }

    /// What the dash ammeter shows: the needle is damped, so the mean.
    fn discharge(&self, ammeter: ComponentId, trace: Trace) -> Observable {
        let subject = self.vehicle.component(ammeter).id.to_string();
        Observable::steady(Quantity::Discharge, subject, trace.mean, Scale::Display(DASH))
    }

    /// Watts lost in a component's resistances, EMFs apart.
    fn warmth(&mut self, component: ComponentId, minutes: Minutes) -> Result<f64, SolveError> {
        let paths = self.vehicle.component(component).paths.len();
        let probes: Vec<Probe> = (0..paths)
            .map(|path| Probe::Current(component, path))
            .collect();
        let span = self.watch(minutes, SENSE_WINDOW_S, &probes, None)?;
        let paths = &self.vehicle.component(component).paths;
        let lost = span
            .traces
            .iter()
            .zip(paths)
            .map(|(trace, path)| math::square(trace.mean) * path.resistance.ohms());
        Ok(lost.sum())
    }

    fn arm_torque(&self, arm: ComponentId) -> Observable {
        self.arm_torque_under(arm, &self.handling(None))
    }

    /// What an arm would feel like with only these parts undone.
    pub(crate) fn arm_torque_with(&self, arm: ComponentId, undone: &[ComponentId]) -> Observable {
        let mut world = self.clone();
        for id in world.vehicle.ids() {
            world.bench.undone[id.index()] = undone.contains(&id);
        }
        world.arm_torque(arm)
    }

    fn arm_torque_under(&self, arm: ComponentId, handling: &Handling) -> Observable {
        let subject = self.vehicle.component(arm).id.to_string();
        let torque = self.drive.as_ref().map_or(0.0, |drive| {
            let place = drive.pivots.iter().position(|pivot| pivot.arm == arm).unwrap_or(0);
            let held = !handling.crank_off && !drive.gear.stripped;
            if held && (place == 0 || !handling.link_off) {
                // A loose nut lets the crank slip under the hand.
                return drive.crank_slip.map_or(HELD_NM, |slip| slip.newton_metres() + felt(drive, place, handling));
            }
            felt(drive, place, handling)
        });
        Observable::steady(Quantity::ArmTorque, subject, torque, Scale::Words(ARM_TORQUE))
    }

    fn try_consumer(&mut self, consumer: ComponentId, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let handling = self.handling(None);
        self.motion.run(seconds(minutes) - TRY_WINDOW_S, &[], &handling)?;
        let strength = self.consumer_strength(consumer)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(strength.into_iter().collect())
    }

    /// How well a consumer works when it is switched on for a moment; `None` for what is none.
    fn consumer_strength(&mut self, consumer: ComponentId) -> Result<Option<Observable>, SolveError> {
        let component = self.vehicle.component(consumer).clone();
        let (Kind::Consumer(data), Some(path)) = (&component.kind, component.paths.first()) else {
            return Ok(None);
        };
        let before = std::mem::replace(&mut self.motion.setting.positions[consumer.index()], 1);
        let handling = self.handling(None);
        let span = self.motion.run(TRY_WINDOW_S, &[Probe::Voltage(path.p, path.n)], &handling);
        self.motion.setting.positions[consumer.index()] = before;
        let strength = span?.traces[0].mean / data.rated.volts();
        let subject = component.id.to_string();
        Ok(Some(Observable::steady(Quantity::Strength, subject, strength, Scale::Words(STRENGTH))))
    }

    /// What the voltmeter that was left connected saw during the action: nothing when no time passed.
    fn clipped(&mut self) -> Option<Observable> {
        let (red, black) = self.bench.clip?;
        let trace = self.motion.take_record()?;
        Some(observable(
            Quantity::Voltage,
            self.between(red, black),
            trace,
            Scale::Display(VOLTS),
        ))
    }
}

/// Torque of the pivots that move along with an arm, newton metres.
fn felt(drive: &DriveTrain, place: usize, handling: &Handling) -> f64 {
    let along = drive.pivots.iter().enumerate().filter(|(other, _)| *other == place || !handling.link_off);
    along.map(|(_, pivot)| pivot.friction.newton_metres()).sum()
}

fn count(span: &Span) -> Observable {
    let rate = span.crank_turns * 60.0 / span.seconds;
    Observable::steady(Quantity::CyclesPerMinute, "blades".to_owned(), rate, Scale::Display(COUNT))
}

fn follows(span: &Span) -> Observable {
    let turns = if span.crank_turns > 1e-3 {
        2.0
    } else if span.wheel_turns > 1e-3 {
        1.0
    } else {
        0.0
    };
    Observable::steady(
        Quantity::Follows,
        "linkage".to_owned(),
        turns,
        Scale::Words(FOLLOWS),
    )
}

fn observable(quantity: Quantity, subject: String, trace: Trace, scale: Scale) -> Observable {
    Observable {
        quantity,
        subject,
        value: trace.mean,
        min: trace.min,
        max: trace.max,
        scale,
    }
}

fn seconds(minutes: Minutes) -> f64 {
    minutes.as_minutes() * 60.0
}
