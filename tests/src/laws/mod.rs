//! Laws that hold whatever the numbers, tried on random networks, random vehicles and random proportions of
//! machines: what the engine gives must obey them although nobody wrote down what it should be.

mod drawn;
pub mod energy;
pub mod machines;
pub mod networks;
pub mod renaming;
mod sketch;
pub mod splitting;
pub mod vehicles;

/// Random cases of a law of networks in a sample.
const CASES: u32 = 256;
/// Some hundred rounding errors.
const ROUNDING: f64 = 5e-14;
