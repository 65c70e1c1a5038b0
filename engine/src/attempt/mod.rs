//! One learner on one draw: a fold of actions over a world, with readings, minutes and a record.

mod draw;
mod record;
mod replay;

use std::sync::Arc;

pub(crate) use draw::Driver;
pub use draw::{
    Draw, DrawError, Hidden, conditions, draw, draw_chosen, in_pool, sound_signature, world_of,
};
pub use record::{
    Header, Line, MARKING_VERSION, Parsed, READINGS_VERSION, RecordError, digest, event_line,
    header_line, parse, readings_json, record_lines,
};
pub use replay::{Difference, ReplayError, Replayed, replay};

use crate::network::SolveError;
use crate::quantity::{Angle, Minutes};
use crate::random::{Purpose, Seed, Stream};
use crate::scenario::Scenario;
use crate::vehicle::{Faults, PlaceId, Vehicle};
use crate::world::{
    Action, Bench, Chance, Cost, Errors, Hazard, Observable, Observation, Permitted, Quantity,
    Refusal, World,
};

/// Most events in an attempt: files from others are bounded.
pub const EVENTS_MAX: usize = 2000;

/// Most minutes in an attempt.
pub const MINUTES_MAX: Minutes = Minutes::from_hundredths(24 * 60 * 100);

/// What an attempt starts from, and how it is had again.
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment {
    /// The sound vehicle.
    pub sound: Arc<Vehicle>,
    /// The scenario.
    pub scenario: Arc<Scenario>,
    /// The seed.
    pub seed: Seed,
    /// Faults chosen by an author; such an attempt is not marked.
    pub chosen: Option<Faults>,
}

impl Assignment {
    /// What is wrong: as chosen, or as drawn.
    fn draw(&self) -> Result<Draw, DrawError> {
        match self.chosen {
            Some(faults) => draw_chosen(&self.sound, &self.scenario, self.seed, faults),
            None => draw(&self.sound, &self.scenario, self.seed),
        }
    }
}

/// Something done, and what it gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Counted from 1.
    pub n: usize,
    /// What was done.
    pub action: Action,
    /// What it cost.
    pub cost: Cost,
    /// Minutes charged so far, this event among them.
    pub clock: Minutes,
    /// Where the person was afterwards.
    pub place: PlaceId,
    /// What was set, unplugged and undone while it was observed.
    pub bench: Bench,
    /// What was observed.
    pub observations: Vec<Observation>,
    /// What could have hurt and was done all the same.
    pub hazards: Vec<Hazard>,
    /// What tells a repeated check in the same state from a new one.
    pub keys: Vec<String>,
}

/// Why an action gave no event.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AttemptError {
    /// It was refused.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The numbers failed; the attempt stays as it was.
    #[error("this could not be computed: {0}; the attempt is as it was before")]
    Solve(#[from] SolveError),
    /// The attempt has as many events or minutes as it can hold.
    #[error("an attempt holds at most 2000 actions and 24 hours; hand over or give up")]
    Full,
}

/// An attempt under way or ended.
#[derive(Clone, Debug)]
pub struct Attempt {
    assignment: Assignment,
    draw: Hidden<Draw>,
    world: World,
    events: Vec<Event>,
    clock: Minutes,
}

impl Attempt {
    /// Draws what is wrong and lets the vehicle come in.
    ///
    /// # Errors
    /// [`DrawError`] when nothing can be drawn.
    pub fn start(assignment: Assignment) -> Result<Self, DrawError> {
        let draw = assignment.draw()?;
        Self::on(assignment, draw)
    }

    /// The same with the shaft somewhere that the seed has no say in, for studies in which all draws share that.
    pub(crate) fn start_standing(assignment: Assignment, shaft: Angle) -> Result<Self, DrawError> {
        let drawn = assignment.draw()?;
        Self::on(assignment, Draw { shaft, ..drawn })
    }

    fn on(assignment: Assignment, draw: Draw) -> Result<Self, DrawError> {
        let world = world_of(
            &assignment.sound,
            draw.faults,
            draw.shaft,
            &assignment.scenario,
            Chance::of_the_truth(assignment.seed),
        )?;
        Ok(Self {
            assignment,
            draw: Hidden::new(draw),
            world,
            events: Vec::new(),
            clock: Minutes::ZERO,
        })
    }

    /// What it started from.
    #[must_use]
    pub const fn assignment(&self) -> &Assignment {
        &self.assignment
    }

    /// The driver's words.
    #[must_use]
    pub fn complaint(&self) -> &str {
        self.assignment
            .scenario
            .complaint(self.draw.reveal().symptom)
            .unwrap_or_default()
    }

    /// What happened so far.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// Minutes charged so far.
    #[must_use]
    pub const fn clock(&self) -> Minutes {
        self.clock
    }

    /// What the person has set, opened and undone.
    #[must_use]
    pub const fn bench(&self) -> &Bench {
        self.world.bench()
    }

    /// Whether it was handed over or given up.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.events.last().is_some_and(|event| event.action.ends())
    }

    /// What was wrong, once the attempt is over.
    #[must_use]
    pub fn revealed(&self) -> Option<&Draw> {
        self.is_over().then(|| self.draw.reveal())
    }

    /// What was wrong, for the marking alone.
    pub(crate) const fn truth(&self) -> &Draw {
        self.draw.reveal()
    }

    /// The world as it stands, for the marking alone.
    pub(crate) const fn world(&self) -> &World {
        &self.world
    }

    /// Whether an action can be done, and at what cost.
    ///
    /// # Errors
    /// [`Refusal`] when it cannot.
    pub fn permit(&self, action: &Action) -> Result<Permitted, Refusal> {
        if self.is_over() {
            Err(Refusal::Ended)
        } else {
            self.world.permit(action)
        }
    }

    /// Does what was permitted.
    ///
    /// # Errors
    /// [`AttemptError`]; the attempt is then as it was before.
    pub fn carry_out(&mut self, permitted: &Permitted) -> Result<&Event, AttemptError> {
        if self.is_over() {
            return Err(Refusal::Ended.into());
        }
        let clock = self.clock.plus(permitted.cost().total());
        // The last event is kept for the end.
        let full = self.events.len() >= EVENTS_MAX - 1 || clock > MINUTES_MAX;
        if full && !permitted.action().ends() {
            return Err(AttemptError::Full);
        }
        let outcome = self.world.carry_out(permitted)?;
        let bench = self.world.bench().clone();
        let keys: Vec<String> = outcome
            .observables
            .iter()
            .map(|seen| check_key(seen, permitted.action(), &bench))
            .collect();
        let observations = outcome
            .observables
            .iter()
            .zip(&keys)
            .map(|(seen, key)| self.observe(seen, key))
            .collect();
        self.clock = clock;
        self.events.push(Event {
            n: self.events.len() + 1,
            action: permitted.action().clone(),
            cost: outcome.cost,
            clock,
            place: bench.place,
            bench,
            observations,
            hazards: outcome.hazards,
            keys,
        });
        Ok(&self.events[self.events.len() - 1])
    }

    /// Permits and carries out in one.
    ///
    /// # Errors
    /// [`AttemptError`].
    pub fn act(&mut self, action: &Action) -> Result<&Event, AttemptError> {
        let permitted = self.permit(action)?;
        self.carry_out(&permitted)
    }

    /// The reading a person gets: its error hangs on what is read and in which state, so that the same
    /// check in the same state repeats itself and tells nothing new; and on the instrument, whose gain is
    /// off alike in all its readings.
    fn observe(&self, seen: &Observable, key: &str) -> Observation {
        read(self.assignment.seed, seen, key)
    }
}

fn read(seed: Seed, seen: &Observable, key: &str) -> Observation {
    let draw = |key: &str| Stream::keyed(seed, Purpose::ReadingError, key).normal();
    let instrument = draw(&format!("instrument|{:?}", seen.quantity));
    seen.observe(Errors {
        instrument,
        own: draw(key),
    })
}

/// What a person of an attempt with this seed reads of a check, made with an action from which this bench is left.
pub(crate) fn read_in(
    seed: Seed,
    seen: &Observable,
    action: &Action,
    bench: &Bench,
) -> Observation {
    read(seed, seen, &check_key(seen, action, bench))
}

/// Quantity, subject and state of a check, as one text.
fn check_key(seen: &Observable, action: &Action, bench: &Bench) -> String {
    if seen.quantity.is_lasting() {
        return format!("{:?}|{}", seen.quantity, seen.subject);
    }
    let set = |flags: &[bool]| {
        flags
            .iter()
            .map(|&on| if on { '1' } else { '0' })
            .collect::<String>()
    };
    let positions: Vec<String> = bench.positions.iter().map(usize::to_string).collect();
    // Water stays in plugs and joints for longer than on the glass, and a leak reads otherwise meanwhile.
    let soaked = match bench.now >= bench.wet_until && bench.is_soaked() {
        true => "|soaked",
        false => "",
    };
    // After minutes of running what was read before is no mere repeat: something may have given way to warmth.
    let warm = match bench.is_warm() {
        true => "|warm",
        false => "",
    };
    // Nor is where blades rest once they have run what it was before.
    let rests = matches!(seen.quantity, Quantity::Rest | Quantity::Blades);
    let run = match rests && bench.has_run {
        true => "|run",
        false => "",
    };
    format!(
        "{:?}|{}|{}|{}|{}|{}|{}|{}|{:?}|{}|{}{soaked}{warm}{run}",
        seen.quantity,
        seen.subject,
        matches!(action, Action::Assist(_) | Action::Hold(_)),
        positions.join(","),
        set(&bench.unplugged),
        set(&bench.undone),
        bench.repairs.len(),
        bench.now < bench.wet_until,
        bench.jumpers,
        set(&bench.substituted),
        bench.zeroed,
    )
}
