//! The vehicle in time: shaft speed and angles, breaker heat, edges of the cam and of arcs of the shaft.
//!
//! While the setting of the circuit stands, torque and currents are affine in the shaft speed ([`Response`]),
//! so a step of the speed under a constant load is an exponential in closed form and needs no network
//! solution. The load depends on the crank angle and is taken at the middle of the step: second order, with
//! edges met exactly. Inertia is the armature's alone (the linkage's, seen through the worm, is under a
//! hundredth of it); winding inductance is left out (its time constant is milliseconds against 35 for the
//! speed). What warms or is charged is held still for the circuit ([`drift`]). Friction is Coulomb, with the same level at
//! rest. Steps are 4 ms and depend on the state alone; what repeats (a parked motor, a steady cycle) is leapt
//! over, with the heat carried by its own exponential. The flux of a wound field is a state beside the speed
//! ([`flux`]).

mod drift;
mod flux;
mod mechanics;
mod protection;
mod regime;
mod relays;
mod running;

use std::collections::BTreeMap;
use std::sync::Arc;

use self::mechanics::Passed;
use self::protection::{BreakerState, Protects};
use self::relays::Relays;
use self::running::Unfinished;
use super::cells::AllCells;
use super::contacts::{Chance, Contacts};
use super::leads::{Glow, Lead};
use super::tally::Trace;
use super::windings::Windings;
use crate::machines::{AtShaft, Magnetised, Release, Worm};
use crate::math;
use crate::quantity::{Angle, Torque};
use crate::vehicle::{
    ComponentId, DriveTrain, Instrument, Kind, Node, Response, Setting, ShaftArc, Vehicle,
};

/// Length of a whole step, seconds: a tenth of the speed's time constant. Four times shorter ones
/// change paces and stops in the sixth digit.
pub(super) const STEP_S: f64 = 4e-3;

/// What stands in for a gear where there is no drive.
const NO_GEAR: Worm = Worm {
    ratio: 1.0,
    efficiency: 0.5,
};

/// What a probe follows while the vehicle runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Probe {
    /// Voltage of one node over another.
    Voltage(Node, Node),
    /// Current into the positive end of a path.
    Current(ComponentId, usize),
    /// Current into the positive end of a component's first path, as a damped needle follows it.
    Needle(ComponentId),
    /// Current in a fused lead, from its first end to its second, by its place among them.
    Lead(usize),
}

/// Loads that hands and water add to or take from the mechanics.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Handling {
    /// Coefficient of friction of the blades.
    pub(crate) blade_friction: f64,
    /// Torque a hand adds at each pivot, the way it moves.
    pub(crate) assist: Vec<Torque>,
    /// Whether the crank nut is off, so that the linkage does not move.
    pub(crate) crank_off: bool,
    /// Whether the connecting link is off, so that only the first pivot moves.
    pub(crate) link_off: bool,
    /// Shaking besides the motor's own, in terms of it: a running engine, a road.
    pub(crate) shaking: f64,
    /// Whether water runs over everything.
    pub(crate) water: bool,
}

/// The moving state of one vehicle.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    vehicle: Arc<Vehicle>,
    drive: Option<DriveTrain>,
    worm: AtShaft,
    breakers: Vec<BreakerState>,
    arcs: Vec<ShaftArc>,
    contacts: Contacts,
    relays: Relays,
    windings: Windings,
    cells: AllCells,
    /// Whether warmth and charge are kept from the circuit, for checks from outside.
    held: bool,
    /// Which paths conduct.
    pub(crate) setting: Setting,
    /// Shaft speed, rad/s.
    speed: f64,
    /// What a wound field's windings have done to its iron; nothing where there are magnets.
    magnetised: Option<Magnetised>,
    /// Angle of the wheel with the cam on it, radians in one turn.
    wheel: f64,
    /// Angle of the crank, radians in one turn.
    crank: f64,
    /// Which edge of its cam the wheel passed last, and which way.
    cam_passed: Option<Passed>,
    /// How the eccentric of the crank stands; in where there is none.
    release: Release,
    /// Angle of the shaft, radians in one turn.
    shaft: f64,
    instruments: Vec<Instrument>,
    /// Fused leads on the circuit.
    leads: Vec<Lead>,
    /// A lamp on the circuit.
    lamp: Option<Glow>,
    /// A probe that stays on over several spans, and what it saw since it was last asked.
    recorder: Option<(Probe, Option<Trace>)>,
    /// Where the dash ammeter's needle stood at the end of the last span, if it was watched.
    needle: Option<f64>,
    /// The turn that the last run ended in.
    unfinished: Option<Arc<Unfinished>>,
    responses: BTreeMap<Arc<Setting>, Arc<Response>>,
}

impl Motion {
    /// A vehicle at rest with blades parked, controls at rest and breakers cold.
    pub(crate) fn new(vehicle: Arc<Vehicle>, drive: Option<DriveTrain>) -> Self {
        let setting = Setting::at_rest(&vehicle);
        let park = drive.as_ref().map_or(0.0, |drive| drive.park().radians());
        let release = drive.as_ref().map_or(Release::IN, DriveTrain::parked);
        let astray = drive
            .as_ref()
            .map_or(0.0, |drive| drive.crank_astray.radians());
        let mut motion = Self {
            worm: NO_GEAR.at_shaft(),
            breakers: Vec::new(),
            arcs: Vec::new(),
            contacts: Contacts::new(),
            relays: Relays::default(),
            windings: Windings::new(),
            cells: AllCells::default(),
            held: false,
            vehicle: Arc::clone(&vehicle),
            drive: None,
            setting,
            speed: 0.0,
            magnetised: None,
            wheel: park,
            crank: math::wrap_turn(park + astray),
            cam_passed: None,
            release,
            shaft: 0.0,
            instruments: Vec::new(),
            leads: Vec::new(),
            lamp: None,
            recorder: None,
            needle: None,
            unfinished: None,
            responses: BTreeMap::new(),
        };
        motion.rebuild(vehicle, drive);
        motion
    }

    /// Goes on with other values of the same vehicle, as after a repair: angles, and the heat of
    /// breakers that were not replaced, stay.
    pub(crate) fn rebuild(&mut self, vehicle: Arc<Vehicle>, drive: Option<DriveTrain>) {
        let mut breakers = Vec::new();
        for component in vehicle.ids() {
            if let Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data) =
                vehicle.component(component).kind
            {
                let of = Protects::Component(component);
                let mut same = self.breakers.iter();
                let kept = same.find(|old| old.of == of && old.data == data);
                self.setting.tripped[component.index()] &= kept.is_some();
                breakers.push(BreakerState::new(
                    of,
                    data,
                    kept.map_or(0.0, |old| old.heat),
                ));
            }
        }
        let of_leads = self.breakers.iter();
        breakers.extend(of_leads.filter(|old| matches!(old.of, Protects::Lead(_))));
        self.breakers = breakers;
        if let Some(drive) = &drive {
            self.worm = Worm {
                ratio: drive.gear.ratio,
                efficiency: drive.gear.efficiency,
            }
            .at_shaft();
        }
        if let Some(stuck) = drive.as_ref().and_then(DriveTrain::stuck) {
            self.release = stuck;
        }
        self.arcs = vehicle.shaft_arcs();
        self.setting.parted = self.contacts.rebuild(&vehicle, &self.setting.parted);
        self.relays.rebuild(&vehicle, &mut self.setting);
        self.windings.rebuild(&vehicle);
        self.cells.rebuild(&vehicle);
        self.magnetise(drive.as_ref());
        self.drive = drive;
        self.vehicle = vehicle;
        self.responses.clear();
        self.place_edges();
    }

    /// Turns the shaft by hand to an angle, as the last use left it.
    pub(crate) fn set_shaft(&mut self, angle: Angle) {
        self.shaft = math::wrap_turn(angle.radians());
        self.place_edges();
    }

    /// Puts instruments on the circuit, in place of those that were on it.
    pub(crate) fn connect(&mut self, instruments: Vec<Instrument>) {
        if self.instruments != instruments {
            self.instruments = instruments;
            self.responses.clear();
        }
    }

    /// Puts a cold lamp on the circuit, or takes it off.
    pub(crate) fn connect_lamp(&mut self, lamp: Option<Glow>) {
        self.lamp = lamp;
        self.responses.clear();
    }

    /// Leaves a probe on over all spans to come, or takes it off; one that is on already stays as it is.
    pub(crate) fn record(&mut self, probe: Option<Probe>) {
        if self.recorder.as_ref().map(|(on, _)| *on) != probe {
            self.recorder = probe.map(|probe| (probe, None));
        }
    }

    /// What the probe that stays on has seen since it was last asked: the mean of the last span, and
    /// the limits of all.
    pub(crate) fn take_record(&mut self) -> Option<Trace> {
        self.recorder.as_mut().and_then(|(_, trace)| trace.take())
    }

    /// How far the crank stands off its mark on the wheel's shaft.
    pub(crate) fn off_mark(&self) -> Angle {
        Angle::from_radians(self.astray()).abs()
    }

    /// Angle of the crank from its mark on the wheel's shaft, radians, the way that they turn.
    fn astray(&self) -> f64 {
        math::wrap_half_turn(self.crank - self.wheel)
    }

    /// Puts the crank on its mark on the wheel's shaft.
    pub(crate) const fn align_crank(&mut self) {
        self.crank = self.wheel;
    }

    /// Takes the blades to where the crank has turned with the wheel while the drive link was off its pin.
    pub(crate) fn hook_link_on(&mut self) {
        let drive = self.drive.as_ref();
        let astray = drive.map_or(0.0, |drive| drive.crank_astray.radians());
        self.crank = math::wrap_turn(self.wheel + astray);
    }

    /// Where the crank belongs when it is done up now: on its mark when the wheel has run to park, else, with
    /// the blades put to where they rest, at whatever angle of the wheel that happens to be.
    pub(crate) fn parked_crank(&self) -> f64 {
        match &self.drive {
            Some(drive) if !self.setting.cam_inside => drive.park().radians(),
            _ => self.wheel,
        }
    }

    /// Puts the crank at an angle, radians, while the wheel stays.
    pub(crate) const fn refit_crank(&mut self, angle: f64) {
        self.crank = angle;
    }

    /// Lets loose contacts part at other moments, from now on.
    pub(crate) fn set_chance(&mut self, chance: Chance) {
        self.contacts.set_chance(chance);
    }

    /// Opens contacts that warmth opens, for as long as a vehicle is looked at.
    pub(crate) fn open_warm_contacts(&mut self) {
        self.contacts.open_warm(&mut self.setting.parted);
    }

    /// Whether a contact that warmth opens is as warm as one that goes on opening and closing.
    pub(crate) fn contact_beats(&self) -> bool {
        self.contacts.beats()
    }

    /// Puts such a contact in its other state, as warm as it is when it has just come to that.
    pub(crate) fn move_to_other_beat(&mut self) {
        self.contacts.move_to_other_beat(&mut self.setting.parted);
    }

    /// Holds contacts that shaking parts closed or parted, or leaves them to chance.
    pub(crate) fn hold_contacts(&mut self, held: Option<bool>) {
        self.contacts.hold(held, &mut self.setting.parted);
    }

    /// Hands move some paths: what is loose among them parts for a good part of the window that begins.
    pub(crate) fn touch(&mut self, touched: impl Fn(ComponentId, usize) -> bool, window_s: f64) {
        self.contacts
            .touch(touched, window_s, &mut self.setting.parted);
    }

    /// Lets breakers cool right down, as over a night; what has melted stays melted.
    pub(crate) fn cool(&mut self) {
        self.contacts.settle(&mut self.setting.parted);
        self.windings.cool();
        self.cells.rest();
        self.responses.clear();
        for breaker in &mut self.breakers {
            breaker.heat = 0.0;
            if let Protects::Component(component) = breaker.of
                && breaker.data.reclose.is_some()
            {
                self.setting.tripped[component.index()] = false;
            }
        }
    }

    /// Puts a new protection, or a motor that was replaced, in place of the old one.
    pub(crate) fn renew(&mut self, component: ComponentId, repair: &str) {
        if repair == "replace" {
            self.put_protection(component, (0.0, false));
            self.windings.renew(component);
            self.responses.clear();
            if matches!(self.vehicle.component(component).kind, Kind::Motor(_)) {
                self.magnetised = None;
                self.magnetise(self.drive.clone().as_ref());
            }
        }
    }

    /// The heat of the motors' windings.
    pub(crate) const fn windings(&self) -> &Windings {
        &self.windings
    }

    /// The mechanics.
    pub(crate) const fn drive(&self) -> Option<&DriveTrain> {
        self.drive.as_ref()
    }

    /// A winding has burnt: the vehicle goes on with other values.
    fn burn(&mut self, motor: ComponentId) {
        let mut vehicle = Vehicle::clone(&self.vehicle);
        vehicle.components[motor.index()].short_coil(1.0);
        // What is done to a winding cannot break a linkage that turned before.
        let drive = vehicle.drive_train().unwrap_or_else(|_| self.drive.clone());
        self.rebuild(Arc::new(vehicle), drive);
    }

    /// Shaft speed, rad/s.
    pub(crate) const fn speed(&self) -> f64 {
        self.speed
    }

    /// Angle of the shaft within its turn.
    pub(crate) const fn shaft(&self) -> Angle {
        Angle::from_radians(self.shaft)
    }

    /// The vehicle that moves.
    pub(crate) const fn vehicle(&self) -> &Arc<Vehicle> {
        &self.vehicle
    }

    /// Angle of the crank.
    pub(crate) const fn crank(&self) -> Angle {
        Angle::from_radians(self.crank)
    }

    /// How the eccentric of the crank stands.
    pub(crate) const fn release(&self) -> Release {
        self.release
    }

    /// Puts an eccentric that is free right in, as it is wherever a motor runs forward that has done so for half a turn;
    /// whether it was not.
    pub(crate) fn put_eccentric_in(&mut self) -> bool {
        let free = self.drive.as_ref().is_some_and(Self::is_free);
        let out = free && self.release != Release::IN;
        if out {
            self.release = Release::IN;
            self.place_edges();
        }
        out
    }

    /// Puts wheel and crank at an angle together, for an operating point; an eccentric is out where the blades
    /// park, else in.
    pub(crate) fn set_crank(&mut self, angle: Angle) {
        self.crank = math::wrap_turn(angle.radians());
        self.wheel = self.crank;
        self.release = match &self.drive {
            Some(drive) => match drive.stuck() {
                Some(stuck) => stuck,
                None if self.in_window(drive) => drive.parked(),
                None => Release::IN,
            },
            None => Release::IN,
        };
        self.place_edges();
    }
}
