//! Many learners on many draws of one vehicle, played together: as long as they do the same, what the hypotheses' vehicles
//! do is worked out once for all of them.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;

use super::{Learner, LearnerError, Play, UnderWay};
use crate::marking::{FaultDictionary, Marker, parallel};
use crate::random::Seed;

/// Lets learners play draws of a dictionary's vehicle and scenario, and hands on each play as it ends, in no order that
/// can be relied on. What each play comes to does not depend on the others, nor on how many processors there are.
///
/// # Errors
/// [`LearnerError`] when the scenario has nothing to draw, or a vehicle cannot be run, and those of `take`.
pub fn plays<E: From<LearnerError>>(
    dictionary: &FaultDictionary,
    asked: &[(Seed, Learner)],
    mut take: impl FnMut(Play) -> Result<(), E>,
) -> Result<(), E> {
    let first = Group::of(dictionary, asked)?;
    let floor = Floor {
        shared: Mutex::new(Shared {
            groups: vec![first],
            at_work: 0,
            stopped: false,
        }),
        changed: Condvar::new(),
    };
    let (tell, told) = mpsc::channel();
    let threads = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    thread::scope(|scope| {
        for _ in 0..threads {
            let tell = tell.clone();
            scope.spawn(|| floor.work(tell));
        }
        drop(tell);
        let mut result = Ok(());
        for play in told {
            // What comes after an error is of no use any more.
            if result.is_ok() {
                result = play.map_err(E::from).and_then(&mut take);
            }
            if result.is_err() {
                floor.stop();
            }
        }
        result
    })
}

/// Plays in which the same was done so far.
struct Group {
    plays: Vec<(Seed, UnderWay)>,
}

impl Group {
    /// All of them, before the first action.
    fn of(dictionary: &FaultDictionary, asked: &[(Seed, Learner)]) -> Result<Self, LearnerError> {
        let moment = dictionary.moment_in_common();
        let mut begun = BTreeMap::new();
        let mut plays = Vec::new();
        for (seed, learner) in asked {
            if !begun.contains_key(seed) {
                let attempt = dictionary.start(*seed)?;
                let follower = Marker::by(dictionary, &attempt)?.follower()?;
                begun.insert(*seed, (attempt, follower.at(&moment)));
            }
            let (attempt, follower) = &begun[seed];
            let play = UnderWay::begin(*learner, follower.clone(), attempt.clone(), *seed);
            plays.push((*seed, play));
        }
        Ok(Self { plays })
    }

    /// Lets everybody make one more check or repair. Those that did the same stay together; those that are over are told.
    fn round(self, tell: &mpsc::Sender<Result<Play, LearnerError>>) -> Vec<Self> {
        // What comes of this moment is kept for the next play of the group as long as the moment itself is.
        let moment = self.plays.first().map(|(_, play)| play.follower.moment());
        let gone_on = parallel::each(self.plays, |(seed, play)| goes_on(seed, play));
        let mut groups: Vec<Self> = Vec::new();
        for (seed, went) in gone_on.unwrap_or_default() {
            let play = match went {
                Went::On(play) => play,
                Went::Out(told) => {
                    // Nobody listens any more once something has gone wrong.
                    let _ = tell.send(told);
                    continue;
                }
            };
            let now = play.follower.moment();
            let same = groups.iter_mut().find(|group| {
                let other = group.plays.first();
                other.is_some_and(|(_, other)| Arc::ptr_eq(&now, &other.follower.moment()))
            });
            match same {
                Some(group) => group.plays.push((seed, *play)),
                None => groups.push(Self {
                    plays: vec![(seed, *play)],
                }),
            }
        }
        drop(moment);
        groups
    }
}

/// What has become of a play.
enum Went {
    On(Box<UnderWay>),
    /// It is over, or could not go on.
    Out(Result<Play, LearnerError>),
}

/// One more check or repair; an error is what became of the play, and none of the group's.
fn goes_on(seed: Seed, mut play: UnderWay) -> Result<(Seed, Went), Infallible> {
    let went = match play.goes_on() {
        Ok(true) => Went::On(Box::new(play)),
        Ok(false) => {
            let learner = play.learner;
            let ended = play.end();
            Went::Out(ended.and_then(|(_, debrief)| Play::of(learner, seed, &debrief)))
        }
        Err(error) => Went::Out(Err(error)),
    };
    Ok((seed, went))
}

/// The groups that wait for somebody to go on with them.
struct Floor {
    shared: Mutex<Shared>,
    changed: Condvar,
}

struct Shared {
    /// The last is gone on with first: so that there are few at a time.
    groups: Vec<Group>,
    /// How many are at work, of whom more groups may come.
    at_work: usize,
    stopped: bool,
}

impl Floor {
    fn lock(&self) -> MutexGuard<'_, Shared> {
        self.shared.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn next(&self) -> Option<Group> {
        let mut shared = self.lock();
        loop {
            if shared.stopped {
                return None;
            }
            if let Some(group) = shared.groups.pop() {
                shared.at_work += 1;
                return Some(group);
            }
            if shared.at_work == 0 {
                return None;
            }
            let woken = self.changed.wait(shared);
            shared = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn work(&self, tell: mpsc::Sender<Result<Play, LearnerError>>) {
        while let Some(group) = self.next() {
            let at_work = AtWork(self);
            let groups = group.round(&tell);
            self.lock().groups.extend(groups);
            drop(at_work);
        }
    }

    fn stop(&self) {
        self.lock().stopped = true;
        self.changed.notify_all();
    }
}

/// Somebody who is at work; nobody waits for more groups of theirs once they are gone.
struct AtWork<'a>(&'a Floor);

impl Drop for AtWork<'_> {
    fn drop(&mut self) {
        self.0.lock().at_work -= 1;
        self.0.changed.notify_all();
    }
}
