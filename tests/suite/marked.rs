//! Attempts marked: those on one draw share what the marking of it begins with.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::marking::{Debrief, Follower, Marker};

/// A draw, and what its marking begins with.
type Prepared = (Assignment, Arc<OnceLock<Marker>>);

static PREPARED: Mutex<Vec<Prepared>> = Mutex::new(Vec::new());

/// Marks an attempt that is over.
pub(crate) fn marked(attempt: &Attempt) -> Debrief {
    let prepared = prepared(attempt);
    let marker = prepared.get_or_init(|| Marker::of(attempt).unwrap());
    marker.debrief(attempt).unwrap()
}

/// What follows an attempt, before its first action.
pub(crate) fn follower(attempt: &Attempt) -> Follower {
    let prepared = prepared(attempt);
    let marker = prepared.get_or_init(|| Marker::of(attempt).unwrap());
    marker.follower().unwrap()
}

fn prepared(attempt: &Attempt) -> Arc<OnceLock<Marker>> {
    let mut all = PREPARED.lock().unwrap_or_else(PoisonError::into_inner);
    let same = |(of, _): &&Prepared| of == attempt.assignment();
    let known = all.iter().find(same).map(|(_, marker)| Arc::clone(marker));
    known.unwrap_or_else(|| {
        let new = Arc::new(OnceLock::new());
        all.push((attempt.assignment().clone(), Arc::clone(&new)));
        new
    })
}
