//! What the listed checks take from one bench after another, each worked out once.

use std::sync::{Mutex, PoisonError};

use super::dictionary::{Candidate, reach_minutes};
use super::hypothesis::Cure;
use super::rollout::Ways;
use crate::quantity::SimTime;
use crate::vehicle::Vehicle;
use crate::world::Bench;

/// A vehicle with its listed checks and repairs, as far as what they take hangs on it.
#[derive(Clone, Copy)]
pub(super) struct Listed<'a> {
    pub(super) sound: &'a Vehicle,
    pub(super) helper: bool,
    pub(super) candidates: &'a [Candidate],
    pub(super) cures: &'a [Cure],
}

impl Listed<'_> {
    /// Minutes of going to what is repaired and taking its cover off, by class; none for the last two.
    pub(super) fn access(&self, bench: &Bench) -> Vec<f64> {
        let of = |cure: &Cure| match self.sound.explains(cure.component, cure.way) {
            true => 0.0,
            false => reach_minutes(cure.component, self.sound, bench),
        };
        self.cures.iter().map(of).chain([0.0, 0.0]).collect()
    }
}

/// A check from a bench: hundredths of minutes, and the place of the bench after it; none where it cannot be made.
type Way = Option<(u32, usize)>;

/// A bench, as far as what checks take hangs on it.
#[derive(Clone, Debug)]
struct Known {
    bench: Bench,
    /// Minutes of access to the repair of each class.
    access: Vec<f64>,
    /// What each check takes from it, as far as it was asked for.
    ways: Vec<Option<Way>>,
}

/// The benches that were come to so far. They serve any number of decisions on one vehicle.
#[derive(Clone, Debug, Default)]
pub(super) struct Benches {
    known: Vec<Known>,
    /// How many ways were worked out.
    ways: usize,
}

/// Benches that many look ahead from.
#[derive(Debug, Default)]
pub(super) struct SharedBenches(Mutex<Benches>);

impl SharedBenches {
    /// Looks ahead from a copy, so that nobody waits for anybody; the copy in which more was worked out is kept.
    pub(super) fn with<T>(&self, look: impl FnOnce(&mut Benches) -> T) -> T {
        let lock = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut benches = lock().clone();
        let found = look(&mut benches);
        let mut shared = lock();
        if shared.ways < benches.ways {
            *shared = benches;
        }
        found
    }
}

impl Benches {
    /// The place of a bench among those that are known.
    pub(super) fn place(&mut self, listed: Listed<'_>, bench: &Bench) -> usize {
        let bench = as_far_as_it_matters(bench);
        let known = self.known.iter().position(|known| known.bench == bench);
        known.unwrap_or_else(|| {
            self.known.push(Known {
                access: listed.access(&bench),
                ways: vec![None; listed.candidates.len()],
                bench,
            });
            self.known.len() - 1
        })
    }
}

/// A bench without what no check's minutes hang on: the time, what was probed and what was repaired.
fn as_far_as_it_matters(bench: &Bench) -> Bench {
    Bench {
        probed: Vec::new(),
        repairs: Vec::new(),
        wet_until: SimTime::START,
        soaked_until: SimTime::START,
        now: SimTime::START,
        ..bench.clone()
    }
}

/// Some of the listed checks, from the benches that are known.
pub(super) struct FromBenches<'a> {
    pub(super) listed: Listed<'a>,
    /// Places of the checks in the list.
    pub(super) checks: &'a [usize],
    pub(super) benches: &'a mut Benches,
}

impl FromBenches<'_> {
    /// The place of a bench among those that are known.
    pub(super) fn place(&mut self, bench: &Bench) -> usize {
        self.benches.place(self.listed, bench)
    }
}

impl Ways for FromBenches<'_> {
    fn to(&mut self, check: usize, from: usize) -> Way {
        let index = self.checks[check];
        if let Some(known) = self.benches.known[from].ways[index] {
            return known;
        }
        let Listed { sound, helper, .. } = self.listed;
        let candidate = &self.listed.candidates[index];
        let made = candidate.cost(sound, &self.benches.known[from].bench, helper);
        let way =
            made.map(|(hundredths, after)| (hundredths, self.benches.place(self.listed, &after)));
        self.benches.known[from].ways[index] = Some(way);
        self.benches.ways += 1;
        way
    }

    fn access(&self, class: usize, from: usize) -> f64 {
        self.benches.known[from].access[class]
    }
}
