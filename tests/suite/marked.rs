//! Attempts marked: those on one draw share what the marking of it begins with, and those on one vehicle in one scenario
//! its drivers.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::learners::{Habit, Learner};
use groundside_engine::marking::{Debrief, Drivers, FaultDictionary, Follower, Marker};
use groundside_engine::random::Seed;
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, WriteUp};

use crate::marking::begin;

/// What has been worked out, by what it was worked out for.
type Known<K, V> = Mutex<Vec<(K, Arc<OnceLock<V>>)>>;

static MARKERS: Known<Assignment, Marker> = Mutex::new(Vec::new());
static DRIVERS: Known<(Arc<Vehicle>, Arc<Scenario>), Drivers> = Mutex::new(Vec::new());

/// Marks an attempt that is over.
pub(crate) fn marked(attempt: &Attempt) -> Debrief {
    with_marker(attempt, |marker| marker.debrief(attempt).unwrap())
}

/// What follows an attempt, before its first action.
pub(crate) fn follower(attempt: &Attempt) -> Follower {
    with_marker(attempt, |marker| marker.follower().unwrap())
}

pub(crate) fn with_marker<T>(attempt: &Attempt, work: impl FnOnce(&Marker) -> T) -> T {
    let of = attempt.assignment();
    let marker = place(&MARKERS, of.clone());
    work(marker.get_or_init(|| {
        let drivers = place(&DRIVERS, (Arc::clone(&of.sound), Arc::clone(&of.scenario)));
        let drivers = drivers.get_or_init(|| Drivers::of(&of.sound, &of.scenario).unwrap());
        Marker::with(drivers, attempt).unwrap()
    }))
}

/// A draw of the van in the rain with its marker, to be played many times, and how one who checks by most bits a minute
/// played it.
pub(crate) struct Drawn {
    pub(crate) start: Attempt,
    pub(crate) marker: Marker,
    /// What that one did, in strict words.
    pub(crate) honest: Vec<String>,
    pub(crate) honest_debrief: Debrief,
}

static DICTIONARY: OnceLock<FaultDictionary> = OnceLock::new();
static DRAWN: Known<(u64, bool), Drawn> = Mutex::new(Vec::new());

/// The fault dictionary of the van in the rain, made once.
pub(crate) fn dictionary() -> &'static FaultDictionary {
    DICTIONARY.get_or_init(|| {
        let of = begin(0).assignment().clone();
        FaultDictionary::of(Drivers::of(&of.sound, &of.scenario).unwrap()).unwrap()
    })
}

/// A draw by the fault dictionary, for work on many of them.
pub(crate) fn drawn<T>(seed: u64, work: impl FnOnce(&Drawn) -> T) -> T {
    let drawn = place(&DRAWN, (seed, true));
    work(drawn.get_or_init(|| {
        let dictionary = dictionary();
        let start = dictionary.start(Seed(seed)).unwrap();
        let marker = Marker::by(dictionary, &start).unwrap();
        Drawn::played(start, marker)
    }))
}

/// A draw as everybody gets it; it shares its marker with the rest of the suite.
pub(crate) fn drawn_alone<T>(seed: u64, work: impl FnOnce(&Drawn) -> T) -> T {
    let drawn = place(&DRAWN, (seed, false));
    work(drawn.get_or_init(|| {
        let start = begin(seed);
        let marker = with_marker(&start, Marker::clone);
        Drawn::played(start, marker)
    }))
}

impl Drawn {
    fn played(start: Attempt, marker: Marker) -> Self {
        let learner = Learner {
            habit: Habit::OneStep,
            slips: 0.0,
        };
        let (attempt, honest_debrief) = learner
            .play(&marker, start.clone(), start.assignment().seed)
            .unwrap();
        let sound = &start.assignment().sound;
        let events = attempt.events().iter();
        Self {
            honest: events.map(|event| event.action.words(sound)).collect(),
            honest_debrief,
            marker,
            start,
        }
    }

    /// Does what is told in strict words, leaves out what is refused, and hands over if that was not told.
    pub(crate) fn play<W: AsRef<str>>(&self, words: &[W]) -> (Attempt, Debrief) {
        let mut attempt = self.start.clone();
        for words in words {
            let sound = &attempt.assignment().sound;
            let action = Action::from_words(words.as_ref(), sound).unwrap();
            let permitted = attempt.permit(&action);
            if let Ok(permitted) = permitted {
                attempt.carry_out(&permitted).unwrap();
            }
        }
        if !attempt.is_over() {
            let nothing = Action::HandOver(WriteUp::default());
            attempt.act(&nothing).unwrap();
        }
        let debrief = self.marker.debrief(&attempt).unwrap();
        (attempt, debrief)
    }

    /// What the honest one did from the last verdict on: the repair, seeing to it and handing over.
    pub(crate) fn ending(&self) -> &[String] {
        let honest = &self.honest;
        let last = |verb: &str| honest.iter().rposition(|words| words.starts_with(verb));
        &honest[last("conclude").or_else(|| last("repair")).unwrap()..]
    }
}

pub(crate) fn total(debrief: &Debrief) -> f64 {
    debrief.score.unwrap().total
}

/// Where something is or will be kept; whoever comes first works it out, and others wait for it.
fn place<K: PartialEq, V>(known: &Known<K, V>, of: K) -> Arc<OnceLock<V>> {
    let mut all = known.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, kept)) = all.iter().find(|(other, _)| *other == of) {
        return Arc::clone(kept);
    }
    let new = Arc::new(OnceLock::new());
    all.push((of, Arc::clone(&new)));
    new
}
