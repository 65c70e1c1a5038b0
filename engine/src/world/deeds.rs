//! What hands do to a vehicle on purpose and by mistake: good parts put in and taken out, pins burnt, contacts
//! spread, a hand caught.

use super::motion::Motion;
use super::observation::{Observable, Quantity, Scale};
use super::scales::CAUGHT;
use super::{World, seconds};
use crate::math;
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{Component, ComponentId, Kind, Point, Vehicle};

/// Current from which a contact that parts or closes draws an arc, amperes (judgement).
const ARC_A: f64 = 0.5;

/// Times that a probe goes into an open contact until it is spread (judgement).
const SPREADS_AFTER: u32 = 3;

/// An old part that a known good one stands in for.
#[derive(Clone, Debug)]
pub(super) struct SetAside {
    pub(super) id: ComponentId,
    pub(super) part: Component,
    pub(super) protection: (f64, bool),
}

impl World {
    /// A contact that is parted or made while it carries current draws an arc, which leaves it burnt.
    pub(super) fn burn_pins(&mut self, connector: ComponentId) -> Result<(), SolveError> {
        let response = self.motion.response()?;
        let mut vehicle = None;
        for path in 0..self.vehicle.component(connector).paths.len() {
            let index = response.element_of(connector, path);
            let current = index.map(|index| response.current(index).at(self.motion.speed()));
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

    /// Works a control, waiting for the blades to be at mid-glass if that is wanted; how the engine answers its own.
    pub(super) fn control(
        &mut self,
        control: ComponentId,
        position: usize,
        at_mid_glass: bool,
        minutes: Minutes,
    ) -> Result<Option<Observable>, SolveError> {
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
        let ran = self.engine_runs();
        self.bench.set(control, position, &self.sound);
        let answered = self.work_engine(control, position, ran)?;
        let handling = self.handling(None);
        self.run(left, &[], &handling)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(answered)
    }
}
