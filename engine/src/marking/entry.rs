//! What one vehicle, or that of a hypothesis, shows in every check worth making, from when it has just come in.

use std::sync::Arc;

use super::MarkingError;
use super::before::Before;
use super::dictionary::Candidate;
use super::running::AT_A_BEAT;
use crate::attempt::{Assignment, world_of};
use crate::quantity::Angle;
use crate::vehicle::{ComponentId, Faults};
use crate::world::{
    Action, AtRest, Chance, Measurement, Observable, Sense, Snapshot, World, is_moved_with,
    met_running, touched_show,
};

/// What one vehicle shows in every setting.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    snapshots: Vec<Snapshot>,
    /// The same with water in joints and plugs, and after minutes of running; nothing where that changes nothing.
    soaked: Vec<Snapshot>,
    warm: Vec<Snapshot>,
    at_rest: World,
}

/// What a hypothesis's vehicle shows in every setting.
#[derive(Clone, Debug)]
pub(super) struct HypothesisEntry {
    closed: Entry,
    /// With its loose contact parted, and the share of running time for which it is so.
    parted: Option<(f64, Entry)>,
}

impl HypothesisEntry {
    /// Runs a vehicle that has just come in through the settings.
    pub(super) fn of(world: &World) -> Result<Self, MarkingError> {
        let held = |parted: bool| Entry::of_world(world.clone().held(parted));
        let parted = match world.parted_share() {
            Some(share) => Some((share, held(true)?)),
            None => None,
        };
        Ok(Self {
            closed: held(false)?,
            parted,
        })
    }

    /// What a check shows that meets a loose contact as it is met more often than not: parted by hands, and in what is watched
    /// for long enough.
    pub(super) fn typically(&self, candidate: &Candidate) -> Vec<Observable> {
        if let Some(by_hand) = self.by_hand(candidate) {
            return by_hand;
        }
        let running = candidate.wiper.is_some_and(|at| self.closed.moved(at));
        let touched = is_moved_with(self.closed.at_rest.vehicle(), &candidate.check);
        let met = |share: f64| met_running(share, &candidate.check) > 0.5;
        match &self.parted {
            Some((share, entry)) if running && !touched && met(*share) => entry.predict(candidate),
            _ => self.closed.predict(candidate),
        }
    }

    /// What hands show that part a contact which the motor runs by in a check's setting; `None` where a check parts none.
    fn by_hand(&self, candidate: &Candidate) -> Option<Vec<Observable>> {
        let (_, parted) = self.parted.as_ref()?;
        let stops = |position| self.closed.moved(position) && !parted.moved(position);
        candidate.wiper.filter(|&position| stops(position))?;
        is_moved_with(parted.at_rest.vehicle(), &candidate.check)
            .then(|| touched_show(&self.closed.predict(candidate)).1)
    }

    /// What each check shows with loose contacts closed, and in a bout with the chance that it is met.
    pub(super) fn predict_all(
        &self,
        candidates: &[Candidate],
    ) -> Vec<(Vec<Observable>, Option<Met>)> {
        let (mut closed, mut parted) = (Apart::default(), Apart::default());
        candidates
            .iter()
            .map(|candidate| self.predict(candidate, &mut closed, &mut parted))
            .collect()
    }

    fn predict(
        &self,
        candidate: &Candidate,
        closed: &mut Apart,
        parted: &mut Apart,
    ) -> (Vec<Observable>, Option<Met>) {
        let running = |position| self.closed.moved(position);
        let met = self
            .parted
            .as_ref()
            .filter(|_| candidate.wiper.is_some_and(running));
        let seen = self.closed.predict_with(candidate, closed);
        if candidate.before == Some(Before::Run) && self.closed.stops_warm() {
            // Having stopped the motor it cools and closes, again and again.
            let usual = Candidate {
                before: None,
                ..candidate.clone()
            };
            let met = Met {
                chance: AT_A_BEAT,
                seen: self.closed.predict_with(&usual, closed),
            };
            return (seen, Some(met));
        }
        let met = met.map(|(share, entry)| {
            if is_moved_with(entry.at_rest.vehicle(), &candidate.check) {
                let (chance, seen) = touched_show(&seen);
                return Met { chance, seen };
            }
            Met {
                chance: met_running(*share, &candidate.check),
                seen: entry.predict_with(candidate, parted),
            }
        });
        (seen, met)
    }
}

/// The circuit with what was last undone on it: checks with the same undone stand side by side in the list.
#[derive(Debug, Default)]
struct Apart(Option<(Vec<ComponentId>, Option<AtRest>)>);

impl Apart {
    fn of(&mut self, world: &World, undone: &[ComponentId]) -> Option<&AtRest> {
        if self.0.as_ref().is_none_or(|(parts, _)| parts != undone) {
            self.0 = Some((undone.to_vec(), world.standing(undone)));
        }
        self.0.as_ref()?.1.as_ref()
    }
}

/// What is seen when a check meets a contact parted, and the chance of that.
#[derive(Clone, Debug)]
pub(super) struct Met {
    pub(super) chance: f64,
    pub(super) seen: Vec<Observable>,
}

impl Entry {
    /// Runs a vehicle with a fault through the settings, loose contacts as they fall.
    pub(super) fn of(
        assignment: &Assignment,
        faults: Option<Faults>,
        shaft: Angle,
    ) -> Result<Self, MarkingError> {
        let Assignment {
            sound, scenario, ..
        } = assignment;
        let world = match faults {
            Some(faults) => {
                let chance = Chance::supposed(assignment.seed);
                world_of(sound, faults, shaft, scenario, chance)?
            }
            None => {
                let mut world = World::new(
                    Arc::clone(sound),
                    Arc::clone(sound),
                    crate::attempt::conditions(scenario),
                )?;
                world.set_shaft(shaft);
                world.arrive()?;
                world
            }
        };
        Self::of_world(world)
    }

    fn of_world(world: World) -> Result<Self, MarkingError> {
        Ok(Self {
            snapshots: world.clone().snapshots()?,
            soaked: world.snapshots_soaked()?,
            warm: world.snapshots_warm()?,
            at_rest: world,
        })
    }

    /// What it shows in every position of the wiper switch with something done before.
    fn snapshots(&self, before: Option<Before>) -> &[Snapshot] {
        let other = match before {
            None => &self.snapshots,
            Some(Before::Water) => &self.soaked,
            Some(Before::Run) => &self.warm,
        };
        if other.is_empty() {
            &self.snapshots
        } else {
            other
        }
    }

    /// Whether what opens for warmth stops the motor at its slowest, which it was warmed by.
    fn stops_warm(&self) -> bool {
        let roles = self.at_rest.vehicle().roles();
        let slowest = roles.and_then(|roles| roles.speeds.first().copied());
        slowest.is_some_and(|slowest| {
            let warm = self.warm.get(slowest);
            self.moved(slowest) && warm.is_some_and(|warm| !warm.moved())
        })
    }

    /// Whether the blades move in a position of the wiper switch.
    fn moved(&self, position: usize) -> bool {
        self.snapshots.get(position).is_some_and(Snapshot::moved)
    }

    /// What a check shows on this vehicle.
    pub(super) fn predict(&self, candidate: &Candidate) -> Vec<Observable> {
        self.predict_with(candidate, &mut Apart::default())
    }

    fn predict_with(&self, candidate: &Candidate, apart: &mut Apart) -> Vec<Observable> {
        match (candidate.wiper, &candidate.check) {
            (Some(position), check) => self
                .snapshots(candidate.before)
                .get(position)
                .map_or_else(Vec::new, |snapshot| snapshot.predict(check)),
            (None, Action::Sense(Sense::Feel(part) | Sense::LookAt(part))) => {
                self.at_rest.touched(*part).into_iter().collect()
            }
            (None, Action::MoveArm(arm)) => self.at_rest.arm_felt_with(*arm, &candidate.undone),
            (
                None,
                Action::Measure {
                    what: Measurement::Ohms,
                    red,
                    black,
                },
            ) => apart
                .of(&self.at_rest, &candidate.undone)
                .map(|standing| self.at_rest.ohms_at_rest(*red, *black, standing))
                .into_iter()
                .collect(),
            _ => Vec::new(),
        }
    }
}
