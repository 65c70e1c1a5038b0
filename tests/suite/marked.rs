//! Attempts marked: those on one draw share what the marking of it begins with, and those on one vehicle in one scenario
//! its drivers.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::marking::{Debrief, Drivers, Follower, Marker};
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;

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
