//! One binary for all checks that need more than one crate or one file: attempts as a learner sees them,
//! laws, and figures from outside the project.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod attempts;
mod authors;
mod cheats;
mod compound;
mod conditions;
mod debriefs;
mod fairness;
mod families;
mod figures;
mod hazards;
mod hints;
mod in_place;
mod instruments;
mod learners;
mod loose;
mod marked;
mod marking;
mod modes;
mod monotone;
mod observability;
mod optimising;
mod parking;
mod plausible;
mod refusals;
mod relays;
mod reversing;
mod searchers;
mod severities;
mod silence;
mod studies;
mod tidy;
mod traces;
mod two_faults;
