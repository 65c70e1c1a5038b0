//! What the listed checks take from one bench after another, each worked out once.

use std::sync::{Arc, OnceLock, PoisonError, RwLock, RwLockReadGuard};

use super::dictionary::{Candidate, reach_minutes};
use super::hypothesis::Cure;
use super::offers::LEAST_MIN;
use super::rollout::Ways;
use crate::quantity::SimTime;
use crate::vehicle::Vehicle;
use crate::world::{Bench, WARM_RUN_S};

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

    /// Minutes that a check is reckoned with at least from a bench.
    fn least(&self, index: usize, bench: &Bench) -> f64 {
        let least = self.candidates[index].least(self.sound, bench);
        least.as_minutes().max(LEAST_MIN)
    }
}

/// A check from a bench: hundredths of minutes, and the place of the bench after it; none where it cannot be made.
type Way = Option<(u32, usize)>;

/// A bench, as far as what checks take hangs on it.
#[derive(Debug)]
pub(super) struct Known {
    bench: Bench,
    /// Minutes of access to the repair of each class.
    pub(super) access: Vec<f64>,
    /// What each check takes from it, once somebody has asked.
    ways: Vec<OnceLock<Way>>,
}

/// The benches that were come to so far, each at a place of its own. They serve any number of decisions on one vehicle, and
/// whoever looks ahead at the same time.
#[derive(Debug, Default)]
pub(super) struct Benches(RwLock<Vec<Arc<Known>>>);

impl Benches {
    /// The place of a bench.
    pub(super) fn place(&self, listed: Listed<'_>, bench: &Bench) -> usize {
        let bench = as_far_as_it_matters(bench);
        let among = |known: &[Arc<Known>]| known.iter().position(|known| known.bench == bench);
        if let Some(place) = among(&self.read()) {
            return place;
        }
        let access = listed.access(&bench);
        let mut known = self.0.write().unwrap_or_else(PoisonError::into_inner);
        // Somebody else may have come to it meanwhile.
        among(&known).unwrap_or_else(|| {
            let ways = listed.candidates.iter().map(|_| OnceLock::new()).collect();
            known.push(Arc::new(Known {
                bench,
                access,
                ways,
            }));
            known.len() - 1
        })
    }

    /// The bench at a place.
    pub(super) fn at(&self, place: usize) -> Arc<Known> {
        Arc::clone(&self.read()[place])
    }

    /// What a check takes from a bench.
    pub(super) fn way(&self, listed: Listed<'_>, known: &Known, index: usize) -> Way {
        let work_out = || {
            let candidate = &listed.candidates[index];
            let (hundredths, after) = candidate.cost(listed.sound, &known.bench, listed.helper)?;
            Some((hundredths, self.place(listed, &after)))
        };
        *known.ways[index].get_or_init(work_out)
    }

    fn read(&self) -> RwLockReadGuard<'_, Vec<Arc<Known>>> {
        self.0.read().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A bench without what no check's minutes hang on: what was probed, what was repaired, and the time but for whether it is
/// soaked and whether it runs, or has for so long that it is warm.
fn as_far_as_it_matters(bench: &Bench) -> Bench {
    // Time enough for a run to have warmed it, and none that dries it while somebody looks ahead.
    let now = SimTime::from_micros(u64::from(WARM_RUN_S) * 1_000_000);
    let soaked_until = match bench.is_soaked() {
        true => SimTime::from_micros(u64::MAX),
        false => SimTime::START,
    };
    let since = |_| match bench.is_warm() {
        true => SimTime::START,
        false => now,
    };
    Bench {
        probed: Vec::new(),
        repairs: Vec::new(),
        wet_until: SimTime::START,
        soaked_until,
        runs_since: bench.runs_since.map(since),
        unprotected_since: None,
        now,
        ..bench.clone()
    }
}

/// Some of the listed checks, from the benches that are known.
pub(super) struct FromBenches<'a> {
    listed: Listed<'a>,
    /// Places of the checks in the list.
    checks: &'a [usize],
    benches: &'a Benches,
    /// Those that were come to so far, so that no lock is asked for them.
    seen: Vec<Arc<Known>>,
}

impl<'a> FromBenches<'a> {
    /// Some checks, by their places in the list.
    pub(super) const fn of(listed: Listed<'a>, checks: &'a [usize], benches: &'a Benches) -> Self {
        Self {
            listed,
            checks,
            benches,
            seen: Vec::new(),
        }
    }

    /// The place of a bench.
    pub(super) fn place(&mut self, bench: &Bench) -> usize {
        let place = self.benches.place(self.listed, bench);
        self.see(place);
        place
    }

    fn see(&mut self, place: usize) {
        if place >= self.seen.len() {
            let known = self.benches.read();
            self.seen.extend_from_slice(&known[self.seen.len()..]);
        }
    }
}

impl Ways for FromBenches<'_> {
    fn to(&mut self, check: usize, from: usize) -> Way {
        let way = self
            .benches
            .way(self.listed, &self.seen[from], self.checks[check])?;
        self.see(way.1);
        Some(way)
    }

    fn least(&self, check: usize, from: usize) -> f64 {
        self.listed
            .least(self.checks[check], &self.seen[from].bench)
    }

    fn access(&self, class: usize, from: usize) -> f64 {
        self.seen[from].access[class]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::attempt::Assignment;
    use crate::file::{read_scenario, read_vehicle};
    use crate::marking::dictionary::candidates;
    use crate::marking::hypothesis::hypotheses;
    use crate::marking::offers::own_minutes;
    use crate::marking::reference::bench_of;
    use crate::random::Seed;

    /// From where checks lead to, the way to no check is reckoned with less than the least that is said of it, wherever the
    /// needed repair is.
    #[test]
    fn no_check_takes_less_than_the_least_of_it() {
        let sound = read_vehicle(include_str!("../../../scenarios/van-case-ground.toml"));
        let scenario = read_scenario(include_str!("../../../scenarios/rain-on-the-quay.toml"));
        let assignment = Assignment {
            sound: Arc::new(sound.unwrap().0),
            scenario: Arc::new(scenario.unwrap()),
            seed: Seed(0),
            chosen: None,
        };
        let sound = &assignment.sound;
        let (_, cures) = hypotheses(sound, &assignment.scenario);
        let checks = candidates(sound);
        for helper in [true, false] {
            let listed = Listed {
                sound,
                helper,
                candidates: &checks,
                cures: &cures,
            };
            let start = bench_of(&assignment).unwrap();
            let led_to = checks.iter().step_by(9);
            let led_to = led_to.filter_map(|check| Some(check.cost(sound, &start, helper)?.1));
            let benches: Vec<Bench> = led_to.collect();
            assert!(benches.iter().any(|bench| bench.unplugged.contains(&true)));
            for bench in &benches {
                let before = listed.access(bench);
                for (index, check) in checks.iter().enumerate() {
                    let Some((hundredths, after)) = check.cost(sound, bench, helper) else {
                        continue;
                    };
                    let after = listed.access(&after);
                    let own = before.iter().zip(&after);
                    let own = own.map(|(before, after)| own_minutes(hundredths, before - after));
                    let own = own.fold(f64::INFINITY, f64::min);
                    let least = listed.least(index, bench);
                    assert!(least <= own + 1e-9, "{index} {least} {own}");
                }
            }
        }
    }
}
