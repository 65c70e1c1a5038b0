//! What hands do to a vehicle on purpose and by mistake: good parts put in and taken out, pins burnt, contacts
//! spread, a hand caught.

use super::hazard::takes_battery_off;
use super::motion::Motion;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{BLOWN, CAUGHT, MOTOR_CHANGE, REST};
use super::senses::relay_clicks;
use super::tally::Span;
use super::{Action, World, seconds};
use crate::math;
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{Component, ComponentId, Kind, Point, Region, Vehicle};

/// Current from which a contact that parts or closes draws an arc, amperes (judgement).
const ARC_A: f64 = 0.5;

/// Charging current from which an alternator that loses its battery spoils itself, amperes (judgement): the volts
/// that it shoots up to grow with the current that it loses [ISO 16750-2].
const LOAD_DUMP_A: f64 = 6.0;

/// Shaft speed above which a motor is heard to turn, radians a second (judgement).
const TURNS: f64 = 1.0;

/// Turns of the crank that anybody sees (judgement).
const MOVED: f64 = 0.05;

/// Times that a probe goes into an open contact until it is spread (judgement).
const SPREADS_AFTER: u32 = 3;

/// How long a new fuse is watched once it is in, and a new link, which takes its time to melt: 5 s and 20 s (judgement).
const NEW_FUSE: Minutes = Minutes::from_hundredths(8);
const NEW_LINK: Minutes = Minutes::from_hundredths(33);

/// An old part that a known good one stands in for.
#[derive(Clone, Debug)]
pub(super) struct SetAside {
    pub(super) id: ComponentId,
    pub(super) part: Component,
    pub(super) protection: (f64, bool),
}

impl World {
    /// A contact that is parted or made while it carries current draws an arc, which leaves it burnt. The lug or clamp
    /// of a strap is too stout for that.
    pub(super) fn burn_pins(&mut self, connector: ComponentId) -> Result<(), SolveError> {
        if matches!(self.vehicle.component(connector).kind, Kind::Strap(_)) {
            return Ok(());
        }
        let response = self.motion.response()?;
        let mut vehicle = None;
        for path in 0..self.vehicle.component(connector).paths.len() {
            let index = response.element_of(connector, path);
            let current = index.map(|index| response.current(index).at(self.motion.speed_seen()));
            if current.is_some_and(|amperes| amperes.abs() > ARC_A) {
                vehicle
                    .get_or_insert_with(|| Vehicle::clone(&self.vehicle))
                    .burn(connector, path);
            }
        }
        if let Some(vehicle) = vehicle {
            self.take_on(vehicle);
        }
        Ok(())
    }

    /// What becomes of the vehicle as a repair takes its battery off.
    pub(super) fn take_battery_off(&mut self, repair: &Action) -> Result<(), SolveError> {
        match takes_battery_off(repair, &self.bench, &self.sound) {
            Some(strap) => self.dump_load(strap),
            None => Ok(()),
        }
    }

    /// A battery that comes off while the engine charges it leaves the alternator's diodes spoilt.
    pub(super) fn dump_load(&mut self, strap: ComponentId) -> Result<(), SolveError> {
        if self.sound.battery_strap() != Some(strap) || !self.bench.engine_runs(&self.sound) {
            return Ok(());
        }
        let response = self.motion.response()?;
        let speed = self.motion.speed_seen();
        let charged = |id: &ComponentId| {
            let battery = matches!(self.vehicle.component(*id).kind, Kind::Battery(_));
            let element = response.element_of(*id, 0).filter(|_| battery);
            element.is_some_and(|element| response.current(element).at(speed) > LOAD_DUMP_A)
        };
        if self.vehicle.ids().any(|id| charged(&id)) {
            let mut vehicle = Vehicle::clone(&self.vehicle);
            vehicle.spoil_alternators();
            self.take_on(vehicle);
        }
        Ok(())
    }

    /// A contact that a probe has gone into once too often is spread: it does not hold its pin any more.
    pub(super) fn spread(&mut self, leads: [Point; 2]) {
        for at in leads {
            if self.bench.times_probed(at) == SPREADS_AFTER {
                let mut vehicle = Vehicle::clone(&self.vehicle);
                vehicle.spread(at);
                self.take_on(vehicle);
            }
        }
    }

    /// Whether the linkage moved while hands were in it.
    pub(super) fn caught(&self, turns: f64) -> Observable {
        let subject = self
            .vehicle
            .components
            .iter()
            .find(|part| matches!(part.kind, Kind::Linkage(_)))
            .map_or_else(String::new, |part| part.id.to_string());
        let moved = f64::from(u8::from(turns > 0.0));
        Observable::steady(Quantity::Caught, subject, moved, Scale::Words(CAUGHT))
    }

    /// Puts a known good part in a component's place and lays the old one aside.
    pub(super) fn substitute(&mut self, id: ComponentId) {
        self.set_aside.push(SetAside {
            id,
            part: self.vehicle.component(id).clone(),
            protection: self.motion.protection(id),
        });
        self.repair(id, "replace");
    }

    /// Lets the time go by that it takes until a repair is done; what is left of it, for which somebody who has put a new
    /// fuse in watches it.
    pub(super) fn until_it_is_in(
        &mut self,
        id: ComponentId,
        repair: &str,
        minutes: Minutes,
    ) -> Result<Minutes, SolveError> {
        let watched = match self.vehicle.component(id).kind {
            Kind::Fuse(_) if repair == "replace" => NEW_FUSE,
            Kind::FusibleLink(_) if repair == "replace" => NEW_LINK,
            _ => Minutes::ZERO,
        };
        let left = watched.min(minutes);
        self.spend(minutes.less(left), None)?;
        Ok(left)
    }

    /// What is seen of a repair while the last of its minutes go by: a new fuse holds, or blows as it goes in.
    pub(super) fn fitted(
        &mut self,
        id: ComponentId,
        left: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        if left == Minutes::ZERO {
            return Ok(Vec::new());
        }
        self.spend(left, None)?;
        let blown = f64::from(u8::from(self.has_melted(id)));
        let subject = self.vehicle.component(id).id.to_string();
        Ok(vec![Observable::steady(
            Quantity::NewFuse,
            subject,
            blown,
            Scale::Words(BLOWN),
        )])
    }

    /// The workshop's own parts stay in the workshop.
    pub(super) fn keep_what_is_the_workshops(&mut self) {
        let parts: Vec<ComponentId> = self.set_aside.iter().map(|old| old.id).collect();
        parts.into_iter().for_each(|part| self.put_back(part));
    }

    /// Puts an old part back as it was.
    pub(super) fn put_back(&mut self, id: ComponentId) {
        let Some(place) = self.set_aside.iter().position(|old| old.id == id) else {
            return;
        };
        let old = self.set_aside.remove(place);
        let mut vehicle = Vehicle::clone(&self.vehicle);
        vehicle.components[id.index()] = old.part;
        self.take_on(vehicle);
        self.motion.put_protection(id, old.protection);
    }

    /// Runs until the blades are at mid-glass, if that is wanted, for at most all but a second of the minutes;
    /// the seconds that went by.
    pub(super) fn mid_glass(&mut self, wanted: bool, minutes: Minutes) -> Result<f64, SolveError> {
        let Some(drive) = self.drive.clone().filter(|_| wanted) else {
            return Ok(0.0);
        };
        let handling = self.handling(None);
        let middle = drive.linkage.extended_dead_centre().radians() + 0.5 * std::f64::consts::PI;
        let near =
            |motion: &Motion| math::wrap_half_turn(motion.crank().radians() - middle).abs() < 0.05;
        let most = seconds(minutes) - 1.0;
        Ok(self.motion.run_until(most, &[], &handling, &near)?.seconds)
    }

    /// Whether the motor turns.
    pub(super) fn motor_runs(&self) -> bool {
        self.motion.speed().abs() > TURNS
    }

    /// What the motor made of a lead that was put on or taken off, its crank having gone some turns with it: a park
    /// contact takes the blades home and stops there long before anybody has walked round to look.
    pub(super) fn responds(&self, ran: bool, turned: f64) -> Observable {
        let runs = self.motor_runs();
        let drives = !self.handling(None).crank_off;
        let change = if !ran && !runs && turned > MOVED {
            if drives && self.off_rest_mm() < REST.cuts[0] {
                2.0
            } else {
                3.0
            }
        } else {
            f64::from(u8::from(runs)) - f64::from(u8::from(ran))
        };
        Observable::steady(
            Quantity::MotorChange,
            "motor".to_owned(),
            change,
            Scale::Words(MOTOR_CHANGE),
        )
    }

    /// Relays that were heard to move, by somebody who is where they are or in the cab, where an attempt begins.
    fn relays_heard(&self, control: ComponentId, span: &Span) -> Option<Observable> {
        // What is worked has to have to do with them: the wipers are, or are left, on.
        let roles = self.sound.roles()?;
        let wiper = self.bench.positions[roles.wiper.index()];
        let of_wipers = self.sound.component(control).region == Region::Switch;
        if !of_wipers && (control != roles.key || wiper == roles.off) {
            return None;
        }
        let is_relay = |part: &&Component| matches!(part.kind, Kind::Relay(_));
        let place = self.sound.components.iter().find(is_relay)?.place;
        let hears = self.bench.place == place || self.bench.place.index() == 0;
        hears.then(|| relay_clicks(span))
    }

    /// Works a control, waiting for the blades to be at mid-glass if that is wanted; how the engine answers its own.
    pub(super) fn control(
        &mut self,
        control: ComponentId,
        position: usize,
        at_mid_glass: bool,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let left = seconds(minutes) - self.mid_glass(at_mid_glass, minutes)?;
        let ran = self.bench.engine_runs(&self.sound);
        self.bench.set(control, position, &self.sound);
        let answered = self.work_engine(control, position, ran)?;
        let handling = self.handling(None);
        let span = self.run(left, &[], &handling)?;
        self.has_taken(minutes);
        self.wash()?;
        let relays = self.relays_heard(control, &span);
        Ok(answered.into_iter().chain(relays).collect())
    }
}
