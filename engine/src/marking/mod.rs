//! x
mod debrief;
pub use debrief::{Better, CheckLine, Debrief, RouteStep, Score, Suspect, VerdictLevel};
