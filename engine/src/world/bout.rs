//! A contact that shaking parts, as marking looks at it: how likely an action meets it parted, and the
//! vehicle with it held closed or parted.

use super::contacts::{Chance, chance_to_show};
use super::handle::TOUCHED;
use super::{
    Action, COUNT_WINDOW_S, LOOK_WINDOW_S, METER_WINDOW_S, Observable, Quantity, SENSE_WINDOW_S,
    Sense, World,
};
use crate::network::SolveError;
use crate::vehicle::Loose;

/// Chance to meet a bout where nothing shakes the contact: one that began before goes on (judgement).
const UNSHAKEN: f64 = 0.02;

/// How long before a check a bout that it meets began, seconds (judgement): what it stops has come to rest.
const BEGAN_S: f64 = 2.0;

/// For how long the next move of a breaker is waited for, in steps of so many seconds: one with a time constant of half a
/// minute stays open for a quarter of a minute. On a short it is closed for less than a step: the window of a reading
/// that ends with the step sees that too.
const BEAT_STEPS: u32 = 20;
const BEAT_STEP_S: f64 = 3.0;

/// A motor that stops and starts as hands part and close its feed, as [`super::scales::FALTERS`] counts it.
pub(super) const FALTERS_BY_HAND: f64 = 1.0;

impl World {
    /// Lets loose contacts part at other moments.
    pub(crate) fn set_chance(&mut self, chance: Chance) {
        self.motion.set_chance(chance);
    }

    /// The share of the time for which running parts a contact of this vehicle, if it does.
    pub(crate) fn parted_share(&self) -> Option<f64> {
        self.vehicle
            .loose_paths()
            .find_map(|(.., loose)| match loose {
                Loose::Shaken { share, .. } => Some(share),
                _ => None,
            })
    }

    /// This vehicle with such contacts held closed or parted from now on.
    pub(crate) fn held(mut self, parted: bool) -> Self {
        self.motion.hold_contacts(Some(parted));
        self
    }

    /// This vehicle in a bout that began some seconds ago.
    pub(crate) fn in_a_bout(&self) -> Result<Self, SolveError> {
        let mut world = self.clone().held(true).later(BEGAN_S)?;
        // A clipped meter was read before: what it saw of the motor running down is no part of what comes.
        world.motion.take_record();
        Ok(world)
    }

    /// Whether the motor turns.
    pub(crate) const fn turns(&self) -> bool {
        self.motion.speed() != 0.0
    }

    /// What is seen of an action on this vehicle, with its contacts held closed, where hands have parted and
    /// closed one again and again: a motor that runs with it closed and stands with it parted falters.
    pub(crate) fn tell_of_faltering(&self, parted: &Self, seen: &mut [Observable]) {
        if self.touched && self.turns() && !parted.turns() {
            for of in seen.iter_mut() {
                if of.quantity == Quantity::Falters {
                    (of.value, of.min, of.max) =
                        (FALTERS_BY_HAND, FALTERS_BY_HAND, FALTERS_BY_HAND);
                }
            }
        }
    }

    /// Whether a breaker is as hot as one that goes on opening and closing.
    pub(crate) fn beats(&self) -> bool {
        self.motion.beats()
    }

    /// This vehicle with a contact that goes on opening and closing for warmth in its other state; `None` where `after` what
    /// is done to it none does.
    pub(crate) fn at_other_beat(&self, after: &Self) -> Option<Self> {
        let beats = self.motion.contact_beats() && after.motion.contact_beats();
        beats.then(|| {
            let mut other = self.clone();
            other.motion.move_to_other_beat();
            other
        })
    }

    /// How many seconds later a breaker that goes on opening and closing is half-way through the state that it is not in
    /// now; `None` when none does.
    pub(crate) fn until_other_beat(&self) -> Result<Option<f64>, SolveError> {
        if !self.beats() {
            return Ok(None);
        }
        let mut later = self.clone();
        let handling = later.handling(None);
        let mut moved: Option<u32> = None;
        for steps in 1..=BEAT_STEPS {
            if later.run(BEAT_STEP_S, &[], &handling)?.clicks == 0 {
                continue;
            }
            let Some(first) = moved else {
                moved = Some(steps);
                continue;
            };
            return Ok(Some(0.5 * f64::from(first + steps) * BEAT_STEP_S));
        }
        // One that stays as it is for longer than that after it has moved.
        Ok(moved.map(|first| 0.5 * f64::from(first + BEAT_STEPS) * BEAT_STEP_S))
    }

    /// This vehicle as it is some seconds later.
    pub(crate) fn later(mut self, seconds: f64) -> Result<Self, SolveError> {
        let handling = self.handling(None);
        self.run(seconds, &[], &handling)?;
        Ok(self)
    }

    /// Chance that an action just carried out met such a contact parted, had it not been held closed; `turned` says
    /// whether the motor turned before.
    pub(crate) fn chance_of_a_bout(&self, share: f64, action: &Action, turned: bool) -> f64 {
        if self.touched {
            TOUCHED
        } else if !turned && !self.turns() {
            UNSHAKEN
        } else {
            met_running(share, action)
        }
    }
}

/// Chance that a check of a running motor meets a contact parted.
pub(crate) fn met_running(share: f64, check: &Action) -> f64 {
    let window_s = match check {
        Action::Sense(Sense::Count) => COUNT_WINDOW_S,
        Action::Sense(Sense::LookBlades | Sense::LookLinkage | Sense::Listen | Sense::Ammeter) => {
            LOOK_WINDOW_S
        }
        Action::Measure { .. } | Action::Clamp(_) | Action::Trace(_) => METER_WINDOW_S,
        // A meter that was left clipped is watched all the while.
        Action::Wait { seconds } => f64::from(*seconds),
        _ => SENSE_WINDOW_S,
    };
    chance_to_show(share, window_s)
}
