//! Marking beside an attempt that is under way: each action is priced as soon as it is done, so that what the readings
//! so far say is known at any time, and the debrief is there when the attempt ends.

use std::fmt;

use super::beside::named;
use super::case::Case;
use super::debrief::{Better, CheckLine, Debrief, Trial};
use super::lines::Walk;
use super::reference::{Reference, in_order, next_check};
use super::suspicion::by_region;
use super::weights::PROVEN;
use super::why::{Said, said};
use super::{Marker, MarkingError, Progress, score};
use crate::attempt::{Assignment, Attempt};
use crate::vehicle::Region;
use crate::world::Hint;

/// Most repairs that are told of as still possible.
const TOLD_MAX: usize = 5;
/// Belief below which a repair is not told of.
const WORTH_TELLING: f64 = 0.01;

/// The marking of one attempt, as far as it has come.
#[derive(Clone)]
pub struct Follower {
    pub(super) case: Case,
    reference: Reference,
    pub(super) walk: Walk,
}

/// What a hint tells. It comes of what was read, and never of what is wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// Regions with the belief in each, the likeliest first.
    Where(Vec<(Region, f64)>),
    /// What kind of check tells most a minute, and its setting.
    What(String),
    /// Which check that is.
    Which(Better),
    /// What the last check told, and of which repairs; nothing where there was none.
    Why(Option<Box<Because>>),
    /// A repair is proven: nothing more needs checking.
    Proven(Trial),
    /// No listed check tells any more; what remains is to try repairs, the likeliest first.
    NothingTells(Vec<Trial>),
}

/// What the last check told, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Because {
    /// Its line.
    pub line: CheckLine,
    /// What was read, in words.
    pub read: String,
    /// What it said of repairs: those that are still possible, the likeliest first, then those it spoke against. How likely
    /// each is, is not told: that is for the learner to weigh.
    pub said: Vec<Said>,
}

impl fmt::Debug for Follower {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // It knows what is wrong.
        f.debug_struct("Follower").finish_non_exhaustive()
    }
}

impl Follower {
    /// That of an attempt, before its first action.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn of(attempt: &Attempt) -> Result<Self, MarkingError> {
        Self::from(Marker::of(attempt)?)
    }

    pub(super) fn from(marker: Marker) -> Result<Self, MarkingError> {
        let Marker { case, reference } = marker;
        let walk = Walk::begin(&case, &reference.first)?;
        Ok(Self {
            case,
            reference,
            walk,
        })
    }

    /// Takes in what was done since it was last asked, telling how many of the attempt's actions are priced: after each.
    ///
    /// # Errors
    /// [`MarkingError::OtherDraw`], and [`MarkingError::World`] when a vehicle cannot be run.
    pub fn follow(
        &mut self,
        attempt: &Attempt,
        tell: &mut dyn FnMut(Progress),
    ) -> Result<(), MarkingError> {
        if *attempt.assignment() != self.case.assignment {
            return Err(MarkingError::OtherDraw);
        }
        let events = attempt.events();
        for event in events.iter().skip(self.walk.lines.len()) {
            self.walk.take(&mut self.case, event)?;
            tell(Progress {
                done: self.walk.lines.len(),
                of: events.len(),
            });
        }
        Ok(())
    }

    /// The debrief of the attempt, once it is over; what was done since it was last asked is taken in.
    ///
    /// # Errors
    /// [`MarkingError`] when it is not over, is on another draw, or a vehicle cannot be run.
    pub fn debrief(mut self, attempt: &Attempt) -> Result<Debrief, MarkingError> {
        if !attempt.is_over() {
            return Err(MarkingError::NotOver);
        }
        self.follow(attempt, &mut |_| {})?;
        let lines = self.walk.close(&self.case)?;
        score::score(&self.case, attempt, lines, self.reference)
    }

    /// How many hypotheses there are, 'none of these' left out.
    #[must_use]
    pub const fn hypotheses(&self) -> usize {
        self.case.list.len()
    }

    /// How many of them would be run along with the next action: the others were too unlikely by the complaint, or wait
    /// because nothing but the floor is left of them.
    #[must_use]
    pub fn run_along(&self) -> usize {
        self.case.run_along(&self.walk.belief)
    }

    /// What a hint tells by what has been taken in so far.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn hint(&self, hint: Hint) -> Result<Told, MarkingError> {
        match hint {
            Hint::Where => Ok(Told::Where(self.regions())),
            Hint::Why => {
                let mut checks = self.walk.lines.iter().rev();
                let last = checks
                    .find(|line| line.is_check)
                    .zip(self.walk.read.as_deref());
                let because = last.map(|(line, read)| {
                    let (read, said) = said(&self.case, read, &self.walk.belief);
                    Box::new(Because {
                        line: line.clone(),
                        read,
                        said,
                    })
                });
                Ok(Told::Why(because))
            }
            Hint::What | Hint::Which => self.next(hint == Hint::Which),
        }
    }

    fn regions(&self) -> Vec<(Region, f64)> {
        let beliefs = by_region(&self.case, &self.walk.belief);
        let mut regions: Vec<(Region, f64)> = Region::ALL.into_iter().zip(beliefs).collect();
        regions.retain(|(_, belief)| *belief >= WORTH_TELLING);
        regions.sort_by(|a, b| b.1.total_cmp(&a.1));
        regions
    }

    fn repairs(&self) -> Vec<Trial> {
        let mut repairs = in_order(&self.case, &self.walk.belief, &self.walk.bench);
        repairs.retain(|repair| repair.belief >= WORTH_TELLING);
        repairs.truncate(TOLD_MAX);
        repairs
    }

    /// The check that the rule 'most bits a minute' makes next.
    fn next(&self, exactly: bool) -> Result<Told, MarkingError> {
        let Walk {
            belief,
            bench,
            made,
            ..
        } = &self.walk;
        let repairs = self.repairs();
        if let Some(proven) = repairs.first().filter(|first| first.belief >= PROVEN) {
            return Ok(Told::Proven(proven.clone()));
        }
        let Some(next) = next_check(&self.case, belief, bench, made, None)? else {
            return Ok(Told::NothingTells(repairs));
        };
        let Assignment {
            sound, scenario, ..
        } = &self.case.assignment;
        let candidate = &self.case.candidates[next.offer.index];
        Ok(if exactly {
            let named = named(&self.case, &next.offer, [bench, bench]);
            // What is to be done now takes what the clock will say, putting together what is apart included.
            let minutes = candidate.on_the_clock(sound, bench, scenario.helper);
            Told::Which(Better {
                minutes: minutes.unwrap_or(named.minutes),
                ..named
            })
        } else {
            Told::What(candidate.kind_in_words(sound))
        })
    }
}
