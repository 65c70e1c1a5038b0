//! The naive vehicle in time: explicit Euler in small fixed steps.

use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::sync::Arc;

use groundside_engine::vehicle::{Instrument, Kind, TripData, Vehicle};
use groundside_engine::world::Followed;

use super::field::WoundField;
use super::mechanics::{At, Handled, Mechanics, Pin};
use super::slow::Slow;
use super::switches::Switches;
use super::wiring::{Solved, Source, Stand, Wiring};

/// Seconds of a step where nothing else is said.
pub(super) const STEP_S: f64 = 1e-4;
/// How many steps are taken as one while the shaft stands.
const STANDING: f64 = 10.0;
/// Share of a trip's heat that a step may bring before such steps are no longer taken as one.
const SLOWLY: f64 = 1e-4;

/// What opens by its own heat.
#[derive(Clone, Debug)]
struct Protection {
    component: usize,
    branch: usize,
    data: TripData,
    heat: f64,
}

/// Mean, smallest and largest value of what was followed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    pub(super) mean: f64,
    pub(super) min: f64,
    pub(super) max: f64,
}

/// A vehicle in time.
#[derive(Clone, Debug)]
pub(super) struct Naive {
    vehicle: Arc<Vehicle>,
    pub(super) mechanics: Mechanics,
    pub(super) handled: Handled,
    wiring: Wiring,
    protections: Vec<Protection>,
    switches: Switches,
    arcs: Vec<usize>,
    field: Option<WoundField>,
    lifting: Vec<usize>,
    stand: Stand,
    closed: Vec<bool>,
    solved: Arc<Solved>,
    known: BTreeMap<Vec<bool>, Arc<Solved>>,
    /// Seconds of a step.
    pub(super) step: f64,
    /// Shaft speed, rad/s.
    pub(super) speed: f64,
    /// Angles since the line crank centre to pivot, radians, never wrapped.
    pub(super) wheel: f64,
    pub(super) crank: f64,
    pub(super) shaft: f64,
    /// How far the motor has turned the crank, whichever way, radians.
    pub(super) turned: f64,
    /// How the crank's pin stands.
    pub(super) pin: Pin,
    /// Whether the wheel stands in the window of the cam.
    in_window: bool,
    /// What drifts slowly.
    slow: Slow,
    /// Branch of each battery.
    batteries: Vec<usize>,
    /// Whether a wipe has ended, or nothing turns.
    at_an_end: bool,
    /// Braking torque of shorted turns for each rad/s.
    shorted: f64,
    /// Times a breaker opened or closed.
    pub(super) clicks: u32,
    /// Times any contact moved by itself.
    pub(super) edges: u32,
}

/// What shorted turns of the motor brake with, newton metre seconds per radian.
fn shorted(vehicle: &Vehicle) -> f64 {
    let kinds = vehicle.components.iter().map(|part| &part.kind);
    let brakes = kinds.filter_map(|kind| match kind {
        Kind::Motor(data) => Some(data.shorted_nms),
        _ => None,
    });
    brakes.sum()
}

impl Naive {
    /// A vehicle with blades parked, controls at rest, breakers cold; `None` where nothing turns.
    pub(super) fn new(vehicle: &Arc<Vehicle>, friction: f64) -> Option<Self> {
        let mechanics = Mechanics::of(vehicle)?;
        let count = vehicle.components.len();
        let park = mechanics.parked();
        let astray = mechanics.astray;
        let pin = mechanics.put(true);
        let in_window = mechanics.inside_window(park);
        let stand = Stand {
            positions: vec![0; count],
            unplugged: vec![false; count],
            tripped: vec![false; count],
            pulled: vec![false; count],
            cam_inside: in_window && mechanics.cam_works(pin),
            shaft: 0.0,
        };
        let wiring = Wiring::of(vehicle, &[]);
        let closed: Vec<bool> = wiring.branches.iter().map(|b| b.conducts(&stand)).collect();
        let solved = Arc::new(wiring.solve(&closed));
        let protections = vehicle
            .components
            .iter()
            .enumerate()
            .filter_map(|(component, part)| {
                let (Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data)) = &part.kind
                else {
                    return None;
                };
                Some(Protection {
                    component,
                    branch: wiring.branch(component, 0),
                    data: *data,
                    heat: 0.0,
                })
            });
        let slow = Slow::of(vehicle);
        let plates = slow.plates.iter();
        let batteries = plates.map(|on| wiring.branch(on.component, 0)).collect();
        let all = || 0..wiring.branches.len();
        let turning = |&k: &usize| matches!(wiring.branches[k].source, Source::PerSpeed(_));
        Some(Self {
            vehicle: Arc::clone(vehicle),
            handled: Handled {
                friction,
                assist: None,
                crank_off: false,
                link_off: false,
            },
            protections: protections.collect(),
            switches: Switches::of(vehicle, &wiring),
            arcs: all().filter(turning).collect(),
            field: WoundField::of(vehicle, &wiring),
            lifting: all().filter(|&k| wiring.branches[k].lifts()).collect(),
            mechanics,
            wiring,
            stand,
            closed,
            solved,
            known: BTreeMap::new(),
            step: STEP_S,
            speed: 0.0,
            wheel: park,
            crank: park + astray,
            shaft: 0.0,
            turned: 0.0,
            pin,
            in_window,
            batteries,
            slow,
            at_an_end: true,
            shorted: shorted(vehicle),
            clicks: 0,
            edges: 0,
        })
    }

    /// Puts a control in a position.
    pub(super) fn set(&mut self, control: usize, position: usize) {
        self.stand.positions[control] = position;
        self.look();
    }

    /// Takes a connector apart, or joins it.
    pub(super) fn unplug(&mut self, connector: usize, off: bool) {
        self.stand.unplugged[connector] = off;
        self.look();
    }

    /// Turns the shaft by hand, crank and wheel apart.
    pub(super) fn set_shaft(&mut self, angle: f64) {
        self.shaft = angle;
        self.turn();
    }

    /// Turns wheel and crank to an angle.
    pub(super) fn set_crank(&mut self, angle: f64) {
        (self.crank, self.wheel) = (angle, angle);
        let inside = self.mechanics.inside_window(angle);
        self.pin = self.mechanics.put(inside);
        self.in_window = inside;
        self.stand.cam_inside = inside && self.mechanics.cam_works(self.pin);
        self.look();
        self.turn();
    }

    /// Puts meters on, in place of those that were on.
    pub(super) fn connect(&mut self, meters: &[Instrument]) {
        self.wiring = Wiring::of(&self.vehicle, meters);
        self.renew();
    }

    /// Lets all heat go, as over a night.
    pub(super) fn cool(&mut self) {
        for protection in &mut self.protections {
            protection.heat = 0.0;
            if protection.data.reclose.is_some() {
                self.stand.tripped[protection.component] = false;
            }
        }
        self.slow.rest();
        self.renew();
    }

    /// Whether the crank stands within so many radians of an angle.
    pub(super) fn crank_near(&self, angle: f64, within: f64) -> bool {
        let off = (self.crank - angle).rem_euclid(TAU);
        off.min(TAU - off) < within
    }

    /// Undoes the crank nut or a link.
    pub(super) fn undo(&mut self, part: &Kind) {
        match part {
            Kind::CrankNut { .. } => self.handled.crank_off = true,
            Kind::ConnectingLink => self.handled.link_off = true,
            _ => {}
        }
    }

    /// Does it up again: the nut tight, and the crank on its mark.
    pub(super) fn do_up(&mut self, part: &Kind) {
        match part {
            Kind::CrankNut { .. } => {
                self.handled.crank_off = false;
                self.mechanics.slip = None;
                // By its mark at park; elsewhere with the blades put to where they rest.
                self.crank = if self.stand.cam_inside {
                    self.wheel
                } else {
                    self.mechanics.parked()
                };
            }
            Kind::ConnectingLink => self.handled.link_off = false,
            _ => {}
        }
    }

    /// Solves the circuit anew, as what drifts has made it.
    fn renew(&mut self) {
        self.wiring.take_on(&self.slow);
        self.known.clear();
        self.closed.clear();
        self.look();
    }

    /// How much hotter than the air copper and iron of the motor are, kelvins.
    pub(super) fn rises(&self) -> [f64; 2] {
        let [copper, iron, _] = self.slow.rises;
        [copper, iron]
    }

    /// Finds out which branches conduct, and solves the circuit where it has not stood so before.
    fn look(&mut self) {
        let branches = self.wiring.branches.iter();
        let closed: Vec<bool> = branches.map(|b| b.conducts(&self.stand)).collect();
        if closed == self.closed {
            return;
        }
        let wiring = &self.wiring;
        let solve = || Arc::new(wiring.solve(&closed));
        self.solved = Arc::clone(self.known.entry(closed.clone()).or_insert_with(solve));
        self.closed = closed;
    }

    /// Lets cam and brushes follow wheel and shaft.
    fn turn(&mut self) {
        let in_window = self.mechanics.inside_window(self.wheel);
        // Whether the cam takes effect is settled as its window is entered.
        let inside = if in_window && !self.in_window {
            self.mechanics.cam_works(self.pin)
        } else {
            in_window && self.stand.cam_inside
        };
        self.in_window = in_window;
        self.stand.shaft = self.shaft.rem_euclid(TAU);
        let moved = self
            .lifting
            .iter()
            .any(|&k| self.wiring.branches[k].conducts(&self.stand) != self.closed[k]);
        if inside != self.stand.cam_inside || moved {
            self.stand.cam_inside = inside;
            self.edges += 1;
            self.look();
        }
    }

    /// Share of its flux that the motor has.
    fn flux(&self) -> f64 {
        self.field.as_ref().map_or(1.0, WoundField::flux)
    }

    /// The speed at which all of the flux would make the EMF that there is.
    fn seen(&self) -> f64 {
        self.flux() * self.speed
    }

    /// Lets a wound field follow its currents for a step.
    fn magnetise(&mut self, volts: &[f64], step: f64) {
        let seen = self.seen();
        if let Some(field) = &mut self.field {
            let current = |k| self.wiring.current(&self.solved, k, volts, seen);
            field.follow(field.branches.map(current), step);
        }
    }

    /// Torque of the winding with these potentials.
    fn torque(&self, volts: &[f64]) -> f64 {
        let of = |&k: &usize| match self.wiring.branches[k].source {
            Source::PerSpeed(constant) => {
                constant * self.wiring.current(&self.solved, k, volts, self.seen())
            }
            _ => 0.0,
        };
        let torque: f64 = self.arcs.iter().map(of).sum();
        self.flux() * torque
    }

    /// One step at most as long as asked for; how long it was.
    fn advance(&mut self, volts: &[f64], longest: f64) -> f64 {
        let torque = self.torque(volts);
        let at = At {
            crank: self.crank,
            pin: self.pin,
            way: if self.speed == 0.0 {
                torque.signum()
            } else {
                self.speed.signum()
            },
        };
        let (opposing, follows) = self.mechanics.opposing(at, &self.handled);
        let stands = self.speed == 0.0 && torque.abs() <= opposing;
        let rate = |protection: &Protection| {
            let current = self
                .wiring
                .current(&self.solved, protection.branch, volts, self.seen());
            let share = current / protection.data.ultimate.amperes();
            (share * share - protection.heat) / protection.data.time_constant.seconds()
        };
        let rates: Vec<f64> = self.protections.iter().map(rate).collect();
        let slowly = rates.iter().all(|rate| rate.abs() * self.step < SLOWLY);
        let settled = self.field.as_ref().is_none_or(|field| field.settled);
        let step = if stands && slowly && settled {
            STANDING * self.step
        } else {
            self.step
        };
        let currents = self.switch_currents(volts);
        self.switches.look(&currents, &self.stand.pulled);
        let step = step.min(longest).min(self.switches.left());
        self.warm(volts, step);
        self.magnetise(volts, step);
        let turns = (self.wheel / TAU).floor();
        if !stands {
            self.turn_shaft(torque, at, (opposing, follows), step);
        }
        self.at_an_end = stands || (self.wheel / TAU).floor().total_cmp(&turns).is_ne();
        self.heat(&rates, step);
        step
    }

    fn turn_shaft(&mut self, torque: f64, at: At, (opposing, follows): (f64, bool), step: f64) {
        let way = at.way;
        let flux = self.flux();
        let viscous = self.mechanics.viscous - self.shorted * (1.0 - flux * flux);
        let net = torque - way * opposing - viscous * self.speed;
        let next = self.speed + step * net / self.mechanics.inertia;
        // Friction stops a shaft, it never turns it back.
        let next = if next * way < 0.0 { 0.0 } else { next };
        let turned = 0.5 * (self.speed + next) * step;
        self.speed = next;
        self.shaft += turned;
        let wheel = turned * self.mechanics.wheel_per_shaft();
        self.wheel += wheel;
        let next = At {
            crank: self.crank + wheel,
            pin: self.mechanics.turned(at, wheel),
            way,
        };
        // A loose crank stays where its joint still carries the load: back from there it goes along.
        if follows && self.mechanics.at_wheel(next, &self.handled).1 {
            (self.crank, self.pin) = (next.crank, next.pin);
            self.turned += wheel.abs();
        }
        self.turn();
    }

    /// Lets the winding's own power warm it, and charging currents the batteries' plates.
    fn warm(&mut self, volts: &[f64], step: f64) {
        let mut power = self.shorted * self.seen() * self.seen();
        let field = self.field.iter().flat_map(|field| field.branches);
        for arc in self.arcs.iter().copied().chain(field) {
            let current = self.wiring.current(&self.solved, arc, volts, self.seen());
            power += self.solved.ohms(arc) * current * current;
        }
        self.slow.warm(power, step);
        let charging = self.batteries.iter();
        let charging: Vec<f64> = charging
            .map(|&k| self.wiring.current(&self.solved, k, volts, self.seen()))
            .collect();
        self.slow.charge(&charging, step);
    }

    fn heat(&mut self, rates: &[f64], step: f64) {
        let mut moved = false;
        for (protection, rate) in self.protections.iter_mut().zip(rates) {
            protection.heat += step * rate;
            let tripped = &mut self.stand.tripped[protection.component];
            let moves = match (*tripped, protection.data.reclose) {
                (false, _) => protection.heat >= 1.0,
                (true, Some(reclose)) => protection.heat <= reclose,
                (true, None) => false,
            };
            if moves {
                *tripped = !*tripped;
                moved = true;
                // What melts does so without a sound.
                self.clicks += u32::from(protection.data.reclose.is_some());
            }
        }
        if moved {
            self.edges += 1;
            self.look();
        }
    }

    /// What relays and units go by, with these potentials.
    fn switch_currents(&self, volts: &[f64]) -> Vec<f64> {
        let branches = self.switches.watched.iter();
        let current = |&k: &usize| self.wiring.current(&self.solved, k, volts, self.seen());
        branches.map(current).collect()
    }

    /// Lets relays, units and diodes do what they do over a step that began with these potentials.
    fn switch(&mut self, volts: &[f64], step: f64) {
        let currents = self.switch_currents(volts);
        if self.switches.pass(step, &currents, &mut self.stand.pulled) {
            self.edges += 1;
            self.look();
        }
        // A diode that stands wrong is turned over, one after the other.
        for _ in 0..20 {
            let volts = self.solved.potentials(self.seen());
            let wrong = (0..self.wiring.branches.len()).find(|&k| {
                let branch = &self.wiring.branches[k];
                let across = volts[branch.p] - volts[branch.n];
                branch.is_diode() && (across > branch.source.at(0.0)) != self.closed[k]
            });
            let Some(wrong) = wrong else { break };
            let component = self.wiring.branches[wrong].component;
            self.stand.pulled[component] = !self.stand.pulled[component];
            self.look();
        }
    }

    /// Lets time pass, and follows voltages and currents.
    pub(super) fn run(&mut self, seconds: f64, follow: &[Followed]) -> Vec<Seen> {
        self.run_until(seconds, follow, |_| false).0
    }

    /// Lets time pass until something is so; what was seen, and how long it took.
    pub(super) fn run_until(
        &mut self,
        seconds: f64,
        follow: &[Followed],
        stop: impl Fn(&Self) -> bool,
    ) -> (Vec<Seen>, f64) {
        let nothing = Seen {
            mean: 0.0,
            min: f64::INFINITY,
            max: f64::NEG_INFINITY,
        };
        let mut seen = vec![nothing; follow.len()];
        let mut left = seconds;
        while left > 0.01 * self.step && !stop(self) {
            let volts = self.solved.potentials(self.seen());
            let values: Vec<f64> = follow
                .iter()
                .map(|what| self.value(*what, &volts))
                .collect();
            let step = self.advance(&volts, left);
            left -= step;
            self.switch(&volts, step);
            if self.slow.moves(self.at_an_end) {
                self.renew();
            }
            for (seen, value) in seen.iter_mut().zip(values) {
                seen.mean += value * step;
                seen.min = seen.min.min(value);
                seen.max = seen.max.max(value);
            }
        }
        let gone = seconds - left;
        for seen in &mut seen {
            seen.mean /= gone;
        }
        (seen, gone)
    }

    /// What a probe shows with these potentials.
    fn value(&self, what: Followed, volts: &[f64]) -> f64 {
        match what {
            Followed::Voltage(red, black) => volts[red.index()] - volts[black.index()],
            Followed::Current(component, path) => {
                let branch = self.wiring.branch(component.index(), path);
                self.wiring
                    .current(&self.solved, branch, volts, self.seen())
            }
        }
    }

    /// The largest difference, volts, between potentials added up from single EMFs and those solved for as a
    /// whole.
    pub(super) fn adding_up_is_off_by(&self) -> f64 {
        let added = self.solved.potentials(self.seen());
        let whole = self.wiring.solve_at(&self.solved, self.seen());
        let off = added.iter().zip(whole).map(|(a, b)| (a - b).abs());
        off.fold(0.0, f64::max)
    }
}
