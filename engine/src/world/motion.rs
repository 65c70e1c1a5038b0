//! The vehicle in time: shaft speed and angles, breaker heat, edges of the cam and of arcs of the shaft.
//!
//! While the setting of the circuit stands, torque and currents are affine in the shaft speed ([`Response`]),
//! so a step of the speed under a constant load is an exponential in closed form and needs no network
//! solution. The load depends on the crank angle and is taken at the middle of the step: second order, with
//! edges met exactly. Inertia is the armature's alone (the linkage's, seen through the worm, is under a
//! hundredth of it); winding inductance is left out (its time constant is milliseconds against 35 for the
//! speed). A winding's warmth does not change its resistance. Friction is Coulomb, with the same level at
//! rest. Steps are 4 ms and depend on the state alone; what repeats (a parked motor, a steady cycle) is leapt
//! over, with the heat carried by its own exponential.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::contacts::{Chance, Contacts, Surroundings};
use super::decay::{Decay, whole_step};
use super::leads::{Fused, Glow, Lead};
use super::tally::{Mark, Span, Step, Tally, Trace};
use super::windings::{Loss, Windings};
use crate::machines::{Bimetal, Kept, Worm};
use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, Current, Interval, Torque};
use crate::vehicle::{
    Affine, Circuit, ComponentId, DriveTrain, Instrument, Kind, Node, Response, Setting, ShaftArc,
    SourceResistance, TripData, Vehicle,
};

/// Length of a whole step, seconds: a tenth of the speed's time constant. Four times shorter ones
/// change paces and stops in the sixth digit.
pub(super) const STEP_S: f64 = 4e-3;
/// Heat from which a trip is met exactly rather than at the end of a step.
const NEARLY_TRIPPED: f64 = 0.8;
/// Relative change of speed from one turn to the next below which a cycle is taken as periodic.
const PERIODIC: f64 = 1e-10;
/// Angle, radians, below which an edge counts as just passed.
const EDGE: f64 = 1e-9;
/// Halvings of a step in search of where a loose crank begins to slip: to a millionth of a step.
const SLIP_HALVINGS: u32 = 20;
/// The last angle before a whole turn.
const TURN_END: f64 = std::f64::consts::TAU - EDGE * 0.5;

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

/// What a protection protects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Protects {
    /// A component's only path.
    Component(ComponentId),
    /// A fused lead, by its place among them.
    Lead(usize),
}

/// Heat and state of a breaker, a link or a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
struct BreakerState {
    of: Protects,
    data: TripData,
    law: Bimetal,
    /// Share of its distance to the final heat that is left after a whole step.
    kept: f64,
    heat: f64,
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
    worm: Worm,
    breakers: Vec<BreakerState>,
    arcs: Vec<ShaftArc>,
    contacts: Contacts,
    windings: Windings,
    /// Which paths conduct.
    pub(crate) setting: Setting,
    /// Shaft speed, rad/s.
    speed: f64,
    /// Angle of the wheel with the cam on it, radians in one turn.
    wheel: f64,
    /// Angle of the crank, radians in one turn.
    crank: f64,
    /// Angle of the shaft, radians in one turn.
    shaft: f64,
    instruments: Vec<Instrument>,
    /// Fused leads on the circuit.
    leads: Vec<Lead>,
    /// A lamp on the circuit.
    lamp: Option<Glow>,
    /// A probe that stays on over several spans, and what it saw since it was last asked.
    recorder: Option<(Probe, Option<Trace>)>,
    responses: BTreeMap<Setting, Arc<Response>>,
}

/// What the circuit does while a setting stands.
struct Regime {
    torque: Affine,
    /// Rate at which the speed nears its goal, per second.
    rate: f64,
    /// Share of its distance to the goal that is left after a whole step.
    kept: f64,
    breakers: Vec<Affine>,
    /// Power in each motor's winding.
    losses: Vec<Loss>,
    probes: Vec<Affine>,
    /// Voltage across the lamp.
    lamp: Affine,
}

impl Motion {
    /// A vehicle at rest with blades parked, controls at rest and breakers cold.
    pub(crate) fn new(vehicle: Arc<Vehicle>, drive: Option<DriveTrain>) -> Self {
        let setting = Setting::at_rest(&vehicle);
        let park = drive
            .as_ref()
            .map_or(0.0, |drive| drive.linkage.extended_dead_centre().radians());
        let mut motion = Self {
            worm: Worm {
                ratio: 1.0,
                efficiency: 0.5,
            },
            breakers: Vec::new(),
            arcs: Vec::new(),
            contacts: Contacts::new(),
            windings: Windings::new(),
            vehicle: Arc::clone(&vehicle),
            drive: None,
            setting,
            speed: 0.0,
            wheel: park,
            crank: park,
            shaft: 0.0,
            instruments: Vec::new(),
            leads: Vec::new(),
            lamp: None,
            recorder: None,
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
            if let Kind::Breaker(data) | Kind::FusibleLink(data) = vehicle.component(component).kind
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
            };
        }
        self.arcs = vehicle.shaft_arcs();
        self.setting.parted = self.contacts.rebuild(&vehicle, &self.setting.parted);
        self.windings.rebuild(&vehicle);
        self.drive = drive;
        self.vehicle = vehicle;
        self.responses.clear();
        self.place_edges();
    }

    /// Sets cam and arcs by the angles that wheel and shaft stand at.
    fn place_edges(&mut self) {
        if let Some(drive) = &self.drive {
            let off_centre = math::wrap_half_turn(self.wheel - drive.cam.centre.radians());
            self.setting.cam_inside = off_centre.abs() < drive.cam.half_width.radians();
        }
        let shaft = Angle::from_radians(self.shaft);
        self.setting.on_arcs = self.arcs.iter().map(|arc| arc.holds(shaft)).collect();
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

    /// Puts fused leads on the circuit, in place of those that were on it. One that stays in its place keeps
    /// the heat of its fuse, and a fuse that has blown stays blown.
    pub(crate) fn connect_leads(&mut self, leads: &[Fused]) {
        let stays = |(place, fused): &(usize, &Fused)| {
            self.leads
                .get(*place)
                .is_some_and(|lead| lead.fused == **fused)
        };
        let kept = leads.iter().enumerate().take_while(stays).count();
        if kept == leads.len() && kept == self.leads.len() {
            return;
        }
        self.leads.truncate(kept);
        self.breakers
            .retain(|breaker| !matches!(breaker.of, Protects::Lead(place) if place >= kept));
        for (place, fused) in leads.iter().enumerate().skip(kept) {
            self.leads.push(Lead {
                fused: *fused,
                blown: false,
            });
            self.breakers
                .push(BreakerState::new(Protects::Lead(place), fused.fuse, 0.0));
        }
        self.responses.clear();
    }

    /// Whether the fuse of each lead has blown.
    pub(crate) fn blown(&self) -> Vec<bool> {
        self.leads.iter().map(|lead| lead.blown).collect()
    }

    /// Blows the fuse of a lead, or puts new ones in all of them.
    pub(crate) fn blow(&mut self, place: usize) {
        self.leads[place].blown = true;
        self.responses.clear();
    }

    /// Puts new fuses in all leads.
    pub(crate) fn renew_fuses(&mut self) {
        for lead in &mut self.leads {
            lead.blown = false;
        }
        for breaker in &mut self.breakers {
            if matches!(breaker.of, Protects::Lead(_)) {
                breaker.heat = 0.0;
            }
        }
        self.responses.clear();
    }

    /// Puts a cold lamp on the circuit, or takes it off.
    pub(crate) fn connect_lamp(&mut self, lamp: Option<Glow>) {
        self.lamp = lamp;
        self.responses.clear();
    }

    /// Heat of a component's protection and whether it has opened.
    pub(crate) fn protection(&self, component: ComponentId) -> (f64, bool) {
        let of = Protects::Component(component);
        let heat = self.breakers.iter().find(|breaker| breaker.of == of);
        (
            heat.map_or(0.0, |breaker| breaker.heat),
            self.setting.tripped[component.index()],
        )
    }

    /// Gives a component's protection this heat, opened or not, as when an old part is put back.
    pub(crate) fn put_protection(&mut self, component: ComponentId, (heat, tripped): (f64, bool)) {
        let of = Protects::Component(component);
        for breaker in self.breakers.iter_mut().filter(|breaker| breaker.of == of) {
            breaker.heat = heat;
            self.setting.tripped[component.index()] = tripped;
        }
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

    /// Puts the crank on its mark on the wheel's shaft.
    pub(crate) const fn align_crank(&mut self) {
        self.crank = self.wheel;
    }

    /// Where the crank belongs when it is done up now: on its mark when the wheel has run to park, else, with
    /// the blades put to where they rest, at whatever angle of the wheel that happens to be.
    pub(crate) fn parked_crank(&self) -> f64 {
        match &self.drive {
            Some(drive) if !self.setting.cam_inside => {
                drive.linkage.extended_dead_centre().radians()
            }
            _ => self.wheel,
        }
    }

    /// Puts the crank at an angle, radians, while the wheel stays.
    pub(crate) const fn refit_crank(&mut self, angle: f64) {
        self.crank = angle;
    }

    /// The speed, rad/s, at which the winding's torque meets friction and load at this crank angle.
    pub(crate) fn balance_speed(&mut self, handling: &Handling) -> Result<f64, SolveError> {
        let regime = self.regime(&[])?;
        let Some(drive) = self
            .drive
            .clone()
            .filter(|drive| !self.stays_at_rest(drive, &regime, handling))
        else {
            return Ok(0.0);
        };
        let (load, _) = self.crank_load(&drive, self.crank, handling);
        Ok(self
            .decay(&drive, &regime, regime.torque.at_rest.signum(), load)
            .goal)
    }

    /// Lets loose contacts part at other moments, from now on.
    pub(crate) fn set_chance(&mut self, chance: Chance) {
        self.contacts.set_chance(chance);
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
        self.put_protection(component, (0.0, false));
        if repair == "replace" {
            self.windings.renew(component);
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

    /// Puts wheel and crank at an angle together, for an operating point.
    pub(crate) fn set_crank(&mut self, angle: Angle) {
        self.crank = math::wrap_turn(angle.radians());
        self.wheel = self.crank;
        self.place_edges();
    }

    /// The circuit's answer in the present setting.
    pub(crate) fn response(&mut self) -> Result<Arc<Response>, SolveError> {
        let at = self.lamp.as_ref().map(Glow::nodes);
        let response = match self.responses.get(&self.setting) {
            Some(response) => Arc::clone(response),
            None => {
                let response = Arc::new(self.circuit().response_to_load(at)?);
                self.responses
                    .insert(self.setting.clone(), Arc::clone(&response));
                response
            }
        };
        Ok(match &self.lamp {
            Some(lamp) => Arc::new(response.loaded(lamp.nodes(), lamp.resistance())),
            None => response,
        })
    }

    /// The circuit in the present setting, with instruments and leads on it, the leads last; a lamp is not
    /// a part of it.
    pub(crate) fn circuit(&self) -> Circuit {
        let leads = self.leads.iter().map(Lead::instrument);
        let all: Vec<Instrument> = self.instruments.iter().copied().chain(leads).collect();
        Circuit::new(&self.vehicle, &self.setting, &all)
    }

    /// What a meter sees of the circuit in the present setting.
    pub(crate) fn seen_by_meter(&self) -> Result<SourceResistance, SolveError> {
        self.circuit().seen_by_meter()
    }

    fn regime(&mut self, probes: &[Probe]) -> Result<Regime, SolveError> {
        let response = self.response()?;
        let current = |component, path| {
            response
                .element_of(component, path)
                .map_or_else(Affine::default, |index| response.current(index))
        };
        let first_lead = response.elements().len() - self.leads.len();
        let voltage = |(red, black)| response.voltage(red, black);
        let torque = response.torque();
        let rate = self.drive.as_ref().map_or(1.0, |drive| {
            (drive.motor.damping_nms() - torque.per_speed)
                / drive.motor.inertia.kilogram_square_metres()
        });
        Ok(Regime {
            torque,
            rate,
            kept: math::exp(-rate * STEP_S),
            losses: self.windings.losses(&self.vehicle, &response),
            breakers: self
                .breakers
                .iter()
                .map(|breaker| match breaker.of {
                    Protects::Component(component) => current(component, 0),
                    Protects::Lead(place) => response.current(first_lead + place),
                })
                .collect(),
            probes: probes
                .iter()
                .map(|probe| match *probe {
                    Probe::Voltage(red, black) => response.voltage(red, black),
                    Probe::Current(component, path) => current(component, path),
                    Probe::Needle(component) => current(component, 0),
                    Probe::Lead(place) => response.current(first_lead + place),
                })
                .collect(),
            lamp: self
                .lamp
                .as_ref()
                .map_or_else(Affine::default, |lamp| voltage(lamp.nodes())),
        })
    }

    /// Runs the vehicle for `seconds`, with probes on it.
    pub(crate) fn run(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
    ) -> Result<Span, SolveError> {
        self.run_until(seconds, probes, handling, |_| false)
    }

    /// Runs the vehicle for at most `seconds`, until `stop` says so.
    pub(crate) fn run_until(
        &mut self,
        seconds: f64,
        probes: &[Probe],
        handling: &Handling,
        stop: impl Fn(&Self) -> bool,
    ) -> Result<Span, SolveError> {
        if seconds <= 0.0 {
            return Ok(Span {
                traces: vec![Trace::NOTHING; probes.len()],
                ..Span::default()
            });
        }
        let recorder = self.recorder.map(|(probe, _)| probe);
        let probes: Vec<Probe> = probes.iter().copied().chain(recorder).collect();
        let probes = probes.as_slice();
        self.contacts.soak(handling.water, &mut self.setting.parted);
        let damped = |probe: &Probe| matches!(probe, Probe::Needle(_));
        let damped: Vec<bool> = probes.iter().map(damped).collect();
        let mut tally = Tally::new(&damped);
        let mut left = seconds;
        let mut mark: Option<Mark> = None;
        let mut regime = self.regime(probes)?;
        let mut drive = self.drive.clone();
        while left > 0.0 && !stop(self) {
            let moving = drive
                .as_ref()
                .filter(|drive| !self.stays_at_rest(drive, &regime, handling));
            let around = Surroundings {
                shaking: handling.shaking,
                turning: moving.is_some(),
            };
            let free = left.min(self.contacts.until_change(around, &self.setting.parted));
            let step = match moving {
                Some(drive) => {
                    self.step(drive, &regime, self.longest(drive, &regime, free), handling)
                }
                None => self.rest(&regime, free),
            };
            tally.add(&step, self.speed, &regime.probes);
            left -= step.seconds;
            let moved = self.heat(&regime, &step, &mut tally);
            let glows = self.glow(&regime, &step);
            let parted = self
                .contacts
                .advance(step.seconds, around, &mut self.setting.parted);
            let burns = self.windings.warm(&regime.losses, &step, self.speed);
            if let Some(motor) = burns {
                self.burn(motor);
                drive.clone_from(&self.drive);
            }
            if moved || glows || parted || burns.is_some() || step.passed_edge {
                tally.close(&regime.probes);
                regime = self.regime(probes)?;
            }
            if parted || burns.is_some() {
                mark = None;
            }
            if let Some(mark) = &mut mark {
                for (peak, breaker) in mark.peaks.iter_mut().zip(&self.breakers) {
                    *peak = peak.max(breaker.heat);
                }
                mark.warmths.follow(&self.windings);
            }
            if step.turned {
                tally.close(&regime.probes);
                if let Some(earlier) = mark {
                    self.leap(&earlier, &mut left, around, &mut tally);
                }
                mark = Some(self.mark(left, &tally));
            }
        }
        tally.close(&regime.probes);
        let mut span = tally.finish(seconds - left.max(0.0));
        if let Some((_, seen)) = &mut self.recorder
            && let Some(latest) = span.traces.pop()
        {
            *seen = Some(seen.map_or(latest, |earlier| earlier.then(latest)));
        }
        Ok(span)
    }

    fn stays_at_rest(&self, drive: &DriveTrain, regime: &Regime, handling: &Handling) -> bool {
        if self.speed != 0.0 {
            return false;
        }
        let load = Torque::from_newton_metres(self.crank_load(drive, self.crank, handling).0);
        let friction = drive.motor.coulomb + self.worm.shaft_load(load);
        regime.torque.at_rest.abs() <= friction.newton_metres()
    }

    /// Torque that opposes the wheel, newton metres, and whether the crank turns with it.
    fn crank_load(&self, drive: &DriveTrain, crank: f64, handling: &Handling) -> (f64, bool) {
        if drive.gear.stripped || handling.crank_off {
            return (0.0, false);
        }
        let ratio = drive.linkage.pose(Angle::from_radians(crank)).ratio.abs();
        let moved = if handling.link_off {
            1
        } else {
            drive.pivots.len()
        };
        let mut at_pivots = 0.0;
        for (pivot, assist) in drive.pivots.iter().zip(&handling.assist).take(moved) {
            let blade =
                (pivot.data.force * pivot.data.radius).newton_metres() * handling.blade_friction;
            at_pivots += blade + pivot.friction.newton_metres() - assist.newton_metres();
        }
        let load = at_pivots * ratio;
        match drive.crank_slip {
            Some(slip) if load > slip.newton_metres() => (slip.newton_metres(), false),
            _ => (load, true),
        }
    }

    /// How far the crank goes along with the wheel, radians: until its load is what a loose joint carries.
    fn crank_travel(&self, drive: &DriveTrain, wheel: f64, handling: &Handling) -> f64 {
        if drive.gear.stripped || handling.crank_off {
            return 0.0;
        }
        if drive.crank_slip.is_none() {
            return wheel;
        }
        let follows = |travel: f64| self.crank_load(drive, self.crank + travel, handling).1;
        if !follows(0.0) {
            return 0.0;
        }
        if follows(wheel) {
            return wheel;
        }
        // Between where it follows and where it does not lies where it begins to slip.
        let (mut along, mut beyond) = (0.0, wheel);
        for _ in 0..SLIP_HALVINGS {
            let middle = 0.5 * (along + beyond);
            if follows(middle) {
                along = middle;
            } else {
                beyond = middle;
            }
        }
        along
    }

    /// Time at rest until something happens: a breaker moves, or the span ends.
    fn rest(&self, regime: &Regime, left: f64) -> Step {
        let glows = self
            .lamp
            .is_some_and(|lamp| !lamp.settled(regime.lamp.at(self.speed)));
        let longest = if glows { left.min(STEP_S) } else { left };
        Step {
            seconds: self.until_event(regime, longest),
            ..Step::default()
        }
    }

    /// Time until a breaker opens or closes or a winding burns while the speed stays as it is, at most `left`.
    fn until_event(&self, regime: &Regime, left: f64) -> f64 {
        let mut seconds = left;
        for (breaker, current) in self.breakers.iter().zip(&regime.breakers) {
            let tripped = self.is_open(breaker.of);
            let level = if tripped {
                breaker.data.reclose
            } else {
                Some(1.0)
            };
            let current = Current::from_amperes(current.at(self.speed));
            let time = level.and_then(|level| breaker.law.time_to(level, breaker.heat, current));
            if let Some(time) = time {
                seconds = seconds.min(time.seconds());
            }
        }
        self.windings
            .until_burnt(&regime.losses, self.speed, seconds)
    }

    fn is_open(&self, of: Protects) -> bool {
        match of {
            Protects::Component(component) => self.setting.tripped[component.index()],
            Protects::Lead(place) => self.leads[place].blown,
        }
    }

    /// Lets the lamp's filament follow its voltage over a step; whether its resistance has changed.
    fn glow(&mut self, regime: &Regime, step: &Step) -> bool {
        let volts = regime.lamp.at(self.speed);
        self.lamp
            .as_mut()
            .is_some_and(|lamp| lamp.follow(volts, step.seconds))
    }

    /// How long a step may be: a motor that drives nothing and has reached its speed goes on as it is.
    fn longest(&self, drive: &DriveTrain, regime: &Regime, left: f64) -> f64 {
        if drive.gear.stripped && self.arcs.is_empty() && self.lamp.is_none() {
            let goal = self.decay(drive, regime, self.speed.signum(), 0.0).goal;
            if (self.speed - goal).abs() <= PERIODIC * goal.abs() {
                return self.until_event(regime, left);
            }
        }
        let nearly = self
            .breakers
            .iter()
            .any(|breaker| breaker.heat > NEARLY_TRIPPED && !self.is_open(breaker.of))
            || self.windings.nearly_burnt();
        let step = left.min(STEP_S);
        if nearly {
            self.until_event(regime, step)
        } else {
            step
        }
    }

    /// One step of a shaft that turns or is about to.
    fn step(
        &mut self,
        drive: &DriveTrain,
        regime: &Regime,
        longest: f64,
        handling: &Handling,
    ) -> Step {
        let sign = if self.speed == 0.0 {
            regime.torque.at_rest.signum()
        } else {
            self.speed.signum()
        };
        let per_wheel = if drive.gear.stripped {
            0.0
        } else {
            1.0 / self.worm.ratio
        };
        let middle = self.crank + 0.5 * longest * self.speed * per_wheel;
        let (load, _) = self.crank_load(drive, middle, handling);
        let law = self.decay(drive, regime, sign, load);

        let mut seconds = longest;
        let mut stops = false;
        if let Some(zero) = law.time_to_zero(sign).filter(|&zero| zero <= longest) {
            (seconds, stops) = (zero, true);
        }
        let mut edge = None;
        let mut travel = law.travel(seconds);
        if let Some((distance, which)) = self
            .next_edge(sign, per_wheel)
            .filter(|(d, _)| *d <= travel.abs())
        {
            seconds = law.time_to_travel(sign * distance, seconds);
            travel = sign * distance;
            (edge, stops) = (Some(which), false);
        }

        let speed_before = self.speed;
        let speed = law.speed(seconds);
        // A shaft that stops on an edge may come out a rounding error the wrong way round.
        self.speed = if stops || speed * sign < 0.0 {
            0.0
        } else {
            speed
        };
        let wheel = travel * per_wheel;
        let crank = self.crank_travel(drive, wheel, handling);
        self.shaft = math::wrap_turn(self.shaft + travel);
        self.wheel = math::wrap_turn(self.wheel + wheel);
        self.crank = math::wrap_turn(self.crank + crank);
        let turned = matches!(edge, Some(Edge::Turn));
        match edge {
            Some(Edge::Cam) => self.setting.cam_inside = !self.setting.cam_inside,
            Some(Edge::Arc(arc)) => self.setting.on_arcs[arc] = !self.setting.on_arcs[arc],
            Some(Edge::Turn) => self.wheel = if sign > 0.0 { 0.0 } else { TURN_END },
            None => {}
        }
        let turn = std::f64::consts::TAU;
        Step {
            seconds,
            travel,
            speed_before,
            crank_turns: crank / turn,
            wheel_turns: wheel / turn,
            passed_edge: edge.is_some() && !turned,
            turned,
        }
    }

    /// The law of the speed while the load, in newton metres at the crank, stands.
    fn decay(&self, drive: &DriveTrain, regime: &Regime, sign: f64, load: f64) -> Decay {
        let through_worm = self
            .worm
            .shaft_load(Torque::from_newton_metres(load))
            .newton_metres();
        let friction = through_worm + drive.motor.coulomb.newton_metres();
        let damping = drive.motor.damping_nms() - regime.torque.per_speed;
        let goal = (regime.torque.at_rest - sign * friction) / damping;
        Decay {
            from: self.speed,
            goal,
            rate: regime.rate,
            kept: regime.kept,
        }
    }

    /// The next edge of the cam or of an arc the way the shaft turns, and how far the shaft has to turn to it.
    fn next_edge(&self, sign: f64, per_wheel: f64) -> Option<(f64, Edge)> {
        let ahead = |edge: f64, from: f64| {
            let distance = math::wrap_turn(sign * (edge - from));
            if distance < EDGE {
                std::f64::consts::TAU
            } else {
                distance
            }
        };
        let mut nearest: Option<(f64, Edge)> = None;
        let mut offer = |distance: f64, edge: Edge| {
            if nearest.is_none_or(|(best, _)| distance < best) {
                nearest = Some((distance, edge));
            }
        };
        if let Some(drive) = self.drive.as_ref().filter(|_| per_wheel > 0.0) {
            let (centre, half) = (drive.cam.centre.radians(), drive.cam.half_width.radians());
            // Inside, the way out is the far edge; outside, the way in is the near one.
            let out = if self.setting.cam_inside { 1.0 } else { -1.0 };
            offer(
                ahead(centre + sign * out * half, self.wheel) / per_wheel,
                Edge::Cam,
            );
            offer(ahead(0.0, self.wheel) / per_wheel, Edge::Turn);
        }
        for (place, arc) in self.arcs.iter().enumerate() {
            // On it, the way forward ends where it ends; off it, it ends where the arc begins.
            let at_end = self.setting.on_arcs[place] == (sign > 0.0);
            let edge = if at_end { arc.to } else { arc.from };
            offer(ahead(edge.radians(), self.shaft), Edge::Arc(place));
        }
        nearest
    }

    /// Carries the breakers' heat over a step and lets them open or close; whether one did.
    fn heat(&mut self, regime: &Regime, step: &Step, tally: &mut Tally) -> bool {
        let speed = if step.seconds > 0.0 {
            step.travel / step.seconds
        } else {
            self.speed
        };
        let span = Interval::from_seconds(step.seconds);
        let whole = whole_step(step.seconds);
        let mut moved = false;
        for (breaker, current) in self.breakers.iter_mut().zip(&regime.breakers) {
            let current = Current::from_amperes(current.at(speed));
            breaker.heat = if whole {
                let goal = breaker.law.final_heat(current);
                goal + (breaker.heat - goal) * breaker.kept
            } else {
                breaker.law.after(breaker.heat, current, span)
            };
            let tripped = match breaker.of {
                Protects::Component(component) => &mut self.setting.tripped[component.index()],
                Protects::Lead(place) => &mut self.leads[place].blown,
            };
            // The margin lets a leap that ends exactly on the level count as having reached it.
            let moves = match breaker.data.reclose {
                Some(reclose) if *tripped => breaker.heat <= reclose + 1e-12,
                None if *tripped => false,
                _ => breaker.heat >= 1.0 - 1e-12,
            };
            if moves {
                *tripped = !*tripped;
                moved = true;
                if matches!(breaker.of, Protects::Lead(_)) {
                    self.responses.clear();
                }
                // A bimetal clicks; a link melts without a sound.
                tally.span.clicks += u32::from(breaker.data.reclose.is_some());
            }
        }
        moved
    }

    fn mark(&self, left_s: f64, tally: &Tally) -> Mark {
        let heats: Vec<f64> = self.breakers.iter().map(|breaker| breaker.heat).collect();
        Mark {
            speed: self.speed,
            left_s,
            peaks: heats.clone(),
            warmths: self.windings.mark(),
            heats,
            clicks: tally.span.clicks,
            glow: self.lamp.map_or(0.0, |lamp| lamp.level_v),
            integrals: tally.integrals.clone(),
            crank_turns: tally.span.crank_turns,
            shaft_turns: tally.span.shaft_turns,
        }
    }

    /// Leaps over as many whole cycles as are sure to be like the one since `earlier`.
    fn leap(&mut self, earlier: &Mark, left: &mut f64, around: Surroundings, tally: &mut Tally) {
        let period = earlier.left_s - *left;
        let alike = (self.speed - earlier.speed).abs() <= PERIODIC * self.speed.abs();
        let free = left.min(self.contacts.until_change(around, &self.setting.parted));
        let whole = (free / period).floor();
        let glow = self.lamp.map_or(0.0, |lamp| lamp.level_v);
        let alike = alike && (glow - earlier.glow).abs() <= PERIODIC * glow;
        if !alike || earlier.clicks != tally.span.clicks || whole < 1.0 {
            return;
        }
        let mut cycles = 0.0;
        let mut heats: Vec<f64> = self.breakers.iter().map(|breaker| breaker.heat).collect();
        let mut windings = self.windings.clone();
        let kept_turn = Kept::after(Interval::from_seconds(period));
        while cycles < whole {
            let mut next = Vec::with_capacity(heats.len());
            let mut safe = true;
            for (index, breaker) in self.breakers.iter().enumerate() {
                let kept = math::exp(-period / breaker.data.time_constant.seconds());
                let gained = breaker.heat - kept * earlier.heats[index];
                let after = kept * heats[index] + gained;
                let swing = earlier.peaks[index] - earlier.heats[index].min(breaker.heat);
                let tripped = self.is_open(breaker.of);
                safe &= if tripped {
                    let recloses = |reclose: f64| after.min(heats[index]) - swing.abs() <= reclose;
                    !breaker.data.reclose.is_some_and(recloses)
                } else {
                    after.max(heats[index]) + swing < 1.0
                };
                next.push(after);
            }
            let warmer =
                windings.another_turn(&earlier.warmths, &self.windings, &kept_turn, period);
            let Some(warmer) = warmer.filter(|_| safe) else {
                break;
            };
            windings = warmer;
            heats = next;
            cycles += 1.0;
        }
        // Heats of the last turn must stay untouched until the count is known: `gained` comes from them.
        for (breaker, heat) in self.breakers.iter_mut().zip(heats) {
            breaker.heat = heat;
        }
        self.windings = windings;
        *left -= cycles * period;
        self.contacts
            .advance(cycles * period, around, &mut self.setting.parted);
        tally.repeat(earlier, cycles, period);
    }
}

impl BreakerState {
    fn new(of: Protects, data: TripData, heat: f64) -> Self {
        Self {
            of,
            data,
            law: Bimetal {
                ultimate: data.ultimate,
                time_constant: data.time_constant,
            },
            kept: math::exp(-STEP_S / data.time_constant.seconds()),
            heat,
        }
    }
}

/// What the shaft or the wheel turns past.
#[derive(Clone, Copy, Debug)]
enum Edge {
    Cam,
    /// The wheel's zero, met exactly so that one turn can be held against the next.
    Turn,
    /// Where an arc of the shaft begins or ends.
    Arc(usize),
}
