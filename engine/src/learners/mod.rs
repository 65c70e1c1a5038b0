//! Simulated learners: habits of searching, each played through whole attempts and marked as a person is.
//!
//! A learner thinks by the same belief as the marking, from its own readings; what sets one apart from another is what it
//! does next. What is proven of the mark with them is therefore proven of choices, not of how well people reckon.

mod calibration;
mod separation;
mod together;

use crate::attempt::{Attempt, AttemptError, DrawError};
use crate::marking::{Debrief, Follower, Marker, MarkingError, Promising, Remedy, Telling};
use crate::math;
use crate::random::{Purpose, Seed, Stream};
use crate::vehicle::ComponentId;
use crate::world::{Action, Hazard, Permitted, Verdict, WriteUp};

pub use calibration::{ByStage, Drawing, STAGES, believed};
pub use separation::{Play, Row, Separation};
pub use together::plays;

/// Checks and repairs after which a learner gives the vehicle back as it is.
const ROUNDS_MAX: usize = 40;
/// Belief from which a repair counts as sure, and from which it is guessed.
const SURE: f64 = 0.95;
const AS_LIKELY_AS_NOT: f64 = 0.5;
/// Bits from which one who is quick finds a check worth making.
const WORTH_A_LOOK: f64 = 0.1;

/// A habit of searching.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Habit {
    /// The check or the repair that is expected to take least if the rule 'most bits a minute' went on after it.
    RollOut,
    /// The check with the most bits a minute, while one is worth its minutes; then repairs by chance over cost.
    OneStep,
    /// The check with the most bits a minute, until a repair is sure.
    UntilSure,
    /// The shortest check that tells something worth a look, until a repair is sure.
    QuickFirst,
    /// The check with the most bits, whatever its minutes, until a repair is sure.
    HalfSplit,
    /// Any check that tells something, until a repair is sure.
    Random,
    /// All checks in the order of the vehicle's list as long as they tell something, until a repair is sure.
    Checklist,
    /// As one step, but a repair is ordered as soon as it is as likely as not.
    Guesser,
    /// No checks: parts in the order of chance over cost.
    Swapper,
}

impl Habit {
    /// All of them, best expected first.
    pub const ALL: [Self; 9] = [
        Self::RollOut,
        Self::OneStep,
        Self::UntilSure,
        Self::QuickFirst,
        Self::HalfSplit,
        Self::Guesser,
        Self::Checklist,
        Self::Random,
        Self::Swapper,
    ];

    /// Its name.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::RollOut => "roll-out",
            Self::OneStep => "one-step",
            Self::UntilSure => "until-sure",
            Self::QuickFirst => "quick-first",
            Self::HalfSplit => "half-split",
            Self::Random => "random",
            Self::Checklist => "checklist",
            Self::Guesser => "guesser",
            Self::Swapper => "swapper",
        }
    }
}

/// A simulated learner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learner {
    /// What it does next.
    pub habit: Habit,
    /// Share of its choices at which it makes any check that tells something instead, 0 to 1.
    pub slips: f64,
}

/// Why a learner could not play.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LearnerError {
    /// The attempt cannot be marked.
    #[error(transparent)]
    Marking(#[from] MarkingError),
    /// There is nothing to play.
    #[error(transparent)]
    Draw(#[from] DrawError),
    /// The attempt has no mark.
    #[error("the attempt was not marked")]
    Unmarked,
    /// Something that it did was refused.
    #[error("`{action}`: {error}")]
    Attempt {
        /// What it did.
        action: String,
        /// Why not.
        error: AttemptError,
    },
}

/// What a learner does next.
enum Next {
    Check(usize),
    Repair(Remedy),
    Stop,
}

impl Learner {
    /// Plays an attempt that has not begun to its end. The same seed makes the same choices.
    ///
    /// # Errors
    /// [`LearnerError`] when the attempt is on another draw than the marker's, or a vehicle cannot be run.
    pub fn play(
        &self,
        marker: &Marker,
        attempt: Attempt,
        seed: Seed,
    ) -> Result<(Attempt, Debrief), LearnerError> {
        let mut play = UnderWay::begin(*self, marker.follower()?, attempt, seed);
        while play.goes_on()? {}
        play.end()
    }

    fn next(&self, play: &mut UnderWay) -> Result<Next, LearnerError> {
        let remedies = play.follower.remedies();
        let likeliest = remedies.first();
        let sure = |least: f64| likeliest.is_some_and(|remedy| remedy.belief >= least);
        let enough = match self.habit {
            Habit::Swapper => return Ok(by_chance_over_cost(&remedies)),
            Habit::Guesser => sure(AS_LIKELY_AS_NOT),
            // Whether it is sure enough comes of what a repair costs.
            Habit::RollOut => false,
            _ => sure(SURE),
        };
        if enough {
            return Ok(likeliest.cloned().map_or(Next::Stop, Next::Repair));
        }
        let slips = play.choices.unit() < self.slips;
        if self.habit == Habit::RollOut && !slips {
            return Ok(match play.follower.expected_least(&play.refused) {
                Some(Promising::Check(index)) => Next::Check(index),
                Some(Promising::Repair(remedy)) => Next::Repair(remedy),
                None => by_chance_over_cost(&remedies),
            });
        }
        let mut telling = play.follower.telling()?;
        telling.retain(|check| !play.refused.contains(&check.index));
        let chosen = if slips {
            any(&telling, &mut play.choices)
        } else {
            self.habit.choose(&telling, &mut play.choices)
        };
        Ok(match chosen {
            Some(check) => Next::Check(check.index),
            None => by_chance_over_cost(&remedies),
        })
    }
}

impl Habit {
    /// The check it makes next of those that tell something; none where it would rather order repairs.
    fn choose(self, telling: &[Telling], choices: &mut Stream) -> Option<Telling> {
        let most = |by: fn(&Telling) -> f64| math::first_of_most(telling.iter().copied(), by);
        match self {
            Self::OneStep if !telling.iter().any(|check| check.net > 0.0) => None,
            Self::OneStep | Self::UntilSure | Self::Guesser => {
                most(|check| check.bits / check.minutes)
            }
            Self::QuickFirst => {
                let worth = |check: &Telling| check.bits >= WORTH_A_LOOK;
                let quick = telling.iter().copied().filter(worth);
                let shortest = math::first_of_most(quick, |check| -check.minutes);
                shortest.or_else(|| most(|check| check.bits))
            }
            Self::HalfSplit => most(|check| check.bits),
            Self::Random => any(telling, choices),
            Self::Checklist => telling.first().copied(),
            // It does not choose by what tells; see `Follower::expected_least`.
            Self::RollOut | Self::Swapper => None,
        }
    }
}

fn any(telling: &[Telling], choices: &mut Stream) -> Option<Telling> {
    let weights = vec![1.0; telling.len()];
    choices.pick(&weights).map(|place| telling[place])
}

/// The repair that is the likeliest for its minutes.
fn by_chance_over_cost(remedies: &[Remedy]) -> Next {
    let best = math::first_of_most(remedies, |remedy| remedy.belief / remedy.minutes);
    best.cloned().map_or(Next::Stop, Next::Repair)
}

/// An attempt that a learner has under way.
struct UnderWay {
    learner: Learner,
    follower: Follower,
    /// Checks and repairs so far.
    rounds: usize,
    attempt: Attempt,
    choices: Stream,
    /// Checks that could not be made.
    refused: Vec<usize>,
    concluded: Option<Verdict>,
}

impl UnderWay {
    fn begin(learner: Learner, follower: Follower, attempt: Attempt, seed: Seed) -> Self {
        Self {
            choices: Stream::keyed(seed, Purpose::Learner, learner.habit.word()),
            learner,
            follower,
            attempt,
            rounds: 0,
            refused: Vec::new(),
            concluded: None,
        }
    }

    /// Makes the next check or repair; whether there may be another after it.
    fn goes_on(&mut self) -> Result<bool, LearnerError> {
        if self.rounds >= ROUNDS_MAX {
            return Ok(false);
        }
        self.rounds += 1;
        let learner = self.learner;
        match learner.next(self)? {
            Next::Check(index) => self.make(index).map(|()| true),
            Next::Repair(remedy) => Ok(!self.put_right(&remedy)?),
            Next::Stop => Ok(false),
        }
    }

    /// Gives the vehicle back, and has the attempt marked.
    fn end(mut self) -> Result<(Attempt, Debrief), LearnerError> {
        self.hand_over()?;
        let debrief = self.follower.debrief(&self.attempt)?;
        Ok((self.attempt, debrief))
    }

    fn act(&mut self, action: &Action) -> Result<(), LearnerError> {
        let done = self.attempt.act(action).map(|_| ());
        done.map_err(|error| LearnerError::Attempt {
            action: action.words(&self.attempt.assignment().sound),
            error,
        })
    }

    fn think(&mut self) -> Result<(), LearnerError> {
        Ok(self.follower.follow(&self.attempt, &mut |_| {})?)
    }

    /// Sets a control, by the helper where there is one and it is out of reach.
    fn set(&mut self, component: ComponentId, position: usize) -> Result<(), LearnerError> {
        let helper = self.attempt.assignment().scenario.helper;
        self.act(&Action::Control {
            component,
            position,
            at_mid_glass: false,
            by_helper: helper && self.attempt.bench().place.index() != 0,
        })
    }

    /// Does something as one who heeds the caution that a crank is not to be done up out of park: the motor is let run there
    /// first.
    fn act_in_park(&mut self, action: &Action) -> Result<(), LearnerError> {
        let permitted = self.attempt.permit(action);
        let out_of_park =
            |permitted: Permitted| permitted.hazards().contains(&Hazard::RefitOutOfPark);
        let roles = self.attempt.assignment().sound.roles();
        if let Some(roles) = roles.filter(|_| permitted.is_ok_and(out_of_park)) {
            self.set(roles.wiper, roles.off)?;
            self.set(roles.key, roles.key_on)?;
            self.set(roles.key, 0)?;
        }
        self.act(action)
    }

    /// Makes a check of the vehicle's list; what is refused on the way there is not tried again.
    fn make(&mut self, index: usize) -> Result<(), LearnerError> {
        for step in self.follower.steps(index) {
            match self.act_in_park(&step) {
                Err(LearnerError::Attempt {
                    error: AttemptError::Refused(_),
                    ..
                }) => {
                    self.refused.push(index);
                    break;
                }
                done => done?,
            }
        }
        self.think()
    }

    /// Concludes, repairs with the key off, and sees to it; whether it holds the vehicle to be put right.
    fn put_right(&mut self, remedy: &Remedy) -> Result<bool, LearnerError> {
        let verdict = Verdict {
            component: remedy.fault.component,
            mode: remedy.fault.mode,
        };
        if self.concluded != Some(verdict) {
            self.act(&Action::Conclude(verdict))?;
            self.concluded = Some(verdict);
        }
        let (sound, bench) = (&self.attempt.assignment().sound, self.attempt.bench());
        let key = sound.roles().map(|roles| roles.key);
        if let Some(key) = key.filter(|key| bench.positions[key.index()] != 0) {
            self.set(key, 0)?;
        }
        self.act(&remedy.action)?;
        self.think()?;
        for look in self.follower.looks() {
            self.make(look)?;
        }
        Ok(self.follower.cured() >= AS_LIKELY_AS_NOT)
    }

    fn hand_over(&mut self) -> Result<(), LearnerError> {
        let repaired = self.attempt.events().iter().rev();
        let correction = repaired
            .filter_map(|event| match event.action {
                Action::Repair { component, .. } => Some(component),
                _ => None,
            })
            .next();
        self.act(&Action::HandOver(WriteUp {
            complaint: Some(self.attempt.truth().symptom),
            cause: self.concluded,
            correction,
            text: String::new(),
        }))
    }
}
