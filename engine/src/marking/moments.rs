//! The vehicles of all hypotheses at one moment of an attempt. What a vehicle does is worked out when somebody first asks
//! for it, so one that nothing but the floor is left of costs nothing; and attempts in which the same was done can have
//! their moments in common, so that it is worked out once for all of them.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::MarkingError;
use super::running::{Run, ShownBy};
use crate::world::Permitted;

/// A vehicle at a moment, and what the last action showed on it.
pub(super) struct Arrived {
    pub(super) run: Run,
    pub(super) shown: ShownBy,
}

/// A vehicle that is worked out when it is asked for.
struct Later(Mutex<State>);

enum State {
    Known(Arc<Arrived>),
    /// An action after another state.
    After(Arc<Later>, Arc<Permitted>),
}

impl Later {
    fn known(run: Run) -> Self {
        let shown = (Vec::new(), None);
        Self(Mutex::new(State::Known(Arc::new(Arrived { run, shown }))))
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The vehicle, with all that is still to be done on it carried out.
    fn arrived(self: &Arc<Self>) -> Result<Arc<Arrived>, MarkingError> {
        // Not by recursion: an attempt can be long.
        let mut behind: Vec<Arc<Self>> = Vec::new();
        let mut at = Arc::clone(self);
        let mut arrived = loop {
            let before = match &*at.lock() {
                State::Known(arrived) => break Arc::clone(arrived),
                State::After(before, _) => Arc::clone(before),
            };
            behind.push(std::mem::replace(&mut at, before));
        };
        while let Some(later) = behind.pop() {
            arrived = later.carry_out(&arrived)?;
        }
        Ok(arrived)
    }

    /// Carries its action out after what came before; whoever asks for the same meanwhile waits for it.
    fn carry_out(&self, before: &Arrived) -> Result<Arc<Arrived>, MarkingError> {
        let mut state = self.lock();
        let permitted = match &*state {
            State::Known(arrived) => return Ok(Arc::clone(arrived)),
            State::After(_, permitted) => Arc::clone(permitted),
        };
        let (run, shown) = before.run.after(&permitted)?;
        let arrived = Arc::new(Arrived { run, shown });
        // What came before goes with it, unless another moment wants it still.
        *state = State::Known(Arc::clone(&arrived));
        Ok(arrived)
    }
}

/// The vehicles of all hypotheses at one moment.
pub(crate) struct Moment {
    /// None of a hypothesis that is not run.
    vehicles: Vec<Option<Arc<Later>>>,
    /// Where it is had in common: the moments after it, by what was done.
    then: Option<Mutex<Vec<Then>>>,
}

type Then = (Arc<Permitted>, Arc<Moment>);

impl Moment {
    /// The first, of vehicles that have just come in.
    pub(super) fn first(runs: Vec<Option<Run>>) -> Arc<Self> {
        let later = |run: Run| Arc::new(Later::known(run));
        Arc::new(Self {
            vehicles: runs.into_iter().map(|run| run.map(later)).collect(),
            then: None,
        })
    }

    /// The same, to be had in common: it keeps the moments after it as long as it is there itself.
    pub(super) fn in_common(&self) -> Arc<Self> {
        Arc::new(Self {
            vehicles: self.vehicles.clone(),
            then: Some(Mutex::default()),
        })
    }

    /// The moment after an action.
    pub(super) fn then(&self, permitted: &Permitted) -> Arc<Self> {
        let Some(then) = &self.then else {
            return Arc::new(self.after(&Arc::new(permitted.clone())));
        };
        let mut then = then.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, moment)) = then.iter().find(|(known, _)| **known == *permitted) {
            return Arc::clone(moment);
        }
        let permitted = Arc::new(permitted.clone());
        let moment = Arc::new(self.after(&permitted));
        then.push((permitted, Arc::clone(&moment)));
        moment
    }

    fn after(&self, permitted: &Arc<Permitted>) -> Self {
        let later = |before: &Arc<Later>| {
            let state = State::After(Arc::clone(before), Arc::clone(permitted));
            Arc::new(Later(Mutex::new(state)))
        };
        let vehicles = self.vehicles.iter();
        Self {
            vehicles: vehicles.map(|before| before.as_ref().map(later)).collect(),
            then: self.then.as_ref().map(|_| Mutex::default()),
        }
    }

    /// The vehicle of a hypothesis, worked out; none where it is not run.
    pub(super) fn vehicle(&self, index: usize) -> Result<Option<Arc<Arrived>>, MarkingError> {
        let later = self.vehicles.get(index).and_then(Option::as_ref);
        later.map(Later::arrived).transpose()
    }
}
