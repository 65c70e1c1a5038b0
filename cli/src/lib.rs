//! x
pub mod language;
