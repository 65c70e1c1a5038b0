//! A hypothesis as a vehicle that is run along with what a learner does.

use super::MarkingError;
use super::bouts::{stand_anywhere, told_by_chance};
use super::entry::Met;
use crate::world::{Observable, Permitted, World};

/// Chance to meet a breaker, or a contact that warmth opens, that goes on opening and closing in another state than it is
/// reckoned to be in, or as it moves (judgement: it is open for about as long as it is closed).
pub(super) const AT_A_BEAT: f64 = 0.5;

/// A hypothesis that is run along.
#[derive(Clone)]
pub(super) struct Run {
    /// With what parts in bouts held closed.
    pub(super) world: World,
    /// The share of running time for which something is parted, if anything is.
    pub(super) share: Option<f64>,
    /// Whether something other than its park contact stopped the motor last.
    stopped_anywhere: bool,
}

impl Run {
    /// A vehicle that has come in.
    pub(super) fn of(world: World) -> Self {
        Self {
            share: world.parted_share(),
            world: world.held(false),
            stopped_anywhere: false,
        }
    }

    /// What it has come to after an action; what is seen, and what would be in a bout.
    pub(super) fn after(&self, permitted: &Permitted) -> Result<(Self, ShownBy), MarkingError> {
        let turned = self.world.turns();
        let (world, mut outcome) = self.world.clone().after(permitted)?;
        told_by_chance(&mut outcome.observables);
        let stopped_anywhere = match (turned, world.turns()) {
            (_, true) => false,
            (true, false) => !world.parks(),
            (false, false) => self.stopped_anywhere,
        };
        if stopped_anywhere {
            stand_anywhere(&mut outcome.observables);
        }
        let after = Self {
            world,
            share: self.share,
            stopped_anywhere,
        };
        let met = match self.share {
            Some(share) => {
                let (parted, outcome) = self.world.in_a_bout()?.after(permitted)?;
                let mut seen = outcome.observables;
                after.world.tell_of_faltering(&parted, &mut seen);
                told_by_chance(&mut seen);
                let action = permitted.action();
                let chance = after.world.chance_of_a_bout(share, action, turned);
                Some(Met { chance, seen })
            }
            None if outcome.observables.is_empty() => None,
            None => self.at_a_beat(&after.world, permitted)?,
        };
        Ok((after, (outcome.observables, met)))
    }

    /// What is seen while a breaker or a contact that goes on opening and closing is in its other state: when it moves hangs on a little
    /// of the severity, far less than two hypotheses are apart, so a reading meets either by chance, or both.
    fn at_a_beat(&self, after: &World, permitted: &Permitted) -> Result<Option<Met>, MarkingError> {
        let other = match (self.world.at_other_beat(after), after.until_other_beat()?) {
            (Some(other), _) => other,
            (None, Some(seconds)) => self.world.clone().later(seconds)?,
            (None, None) => return Ok(None),
        };
        let (_, outcome) = other.after(permitted)?;
        let seen = outcome.observables;
        let chance = AT_A_BEAT;
        Ok(Some(Met { chance, seen }))
    }
}

/// What one vehicle shows of a check: with loose contacts closed, and in a bout.
pub(super) type ShownBy = (Vec<Observable>, Option<Met>);
