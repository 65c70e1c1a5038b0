//! A hypothesis as a vehicle that is run along with what a learner does.

use super::MarkingError;
use super::bouts::{stand_anywhere, told_by_chance};
use super::entry::Met;
use crate::world::{Observable, Permitted, World};

/// Chance to meet a breaker that goes on opening and closing in another state than it is reckoned to be in, or as it moves
/// (judgement: it is open for about as long as it is closed).
const AT_A_BEAT: f64 = 0.5;

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

    /// Carries an action out; what is seen, and what would be in a bout.
    pub(super) fn act(&mut self, permitted: &Permitted) -> Result<ShownBy, MarkingError> {
        let turned = self.world.turns();
        let in_a_bout = self.share.map(|_| self.world.in_a_bout()).transpose()?;
        let before = (self.share.is_none() && self.world.beats()).then(|| self.world.clone());
        let mut outcome = self.world.carry_out(permitted)?;
        told_by_chance(&mut outcome.observables);
        self.stopped_anywhere = match (turned, self.world.turns()) {
            (_, true) => false,
            (true, false) => !self.world.parks(),
            (false, false) => self.stopped_anywhere,
        };
        if self.stopped_anywhere {
            stand_anywhere(&mut outcome.observables);
        }
        let met = match (in_a_bout, self.share, before) {
            (Some(mut world), Some(share), _) => {
                let mut seen = world.carry_out(permitted)?.observables;
                self.world.tell_of_faltering(&world, &mut seen);
                told_by_chance(&mut seen);
                let chance = self
                    .world
                    .chance_of_a_bout(share, permitted.action(), turned);
                Some(Met { chance, seen })
            }
            (_, _, Some(before)) if !outcome.observables.is_empty() => {
                self.at_a_beat(before, permitted)?
            }
            _ => None,
        };
        Ok((outcome.observables, met))
    }

    /// What is seen while a breaker that goes on opening and closing is in its other state: when it moves hangs on a little
    /// of the severity, far less than two hypotheses are apart, so a reading meets either by chance, or both.
    fn at_a_beat(&self, before: World, permitted: &Permitted) -> Result<Option<Met>, MarkingError> {
        let Some(seconds) = self.world.until_other_beat()? else {
            return Ok(None);
        };
        let mut later = before.later(seconds)?;
        let seen = later.carry_out(permitted)?.observables;
        let chance = AT_A_BEAT;
        Ok(Some(Met { chance, seen }))
    }
}

/// What one vehicle shows of a check: with loose contacts closed, and in a bout.
pub(super) type ShownBy = (Vec<Observable>, Option<Met>);
