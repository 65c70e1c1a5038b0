//! x
pub mod attempt;
pub mod file;
pub mod ident;
pub mod machines;
pub mod marking;
pub mod math;
pub mod network;
pub mod quantity;
pub mod random;
pub mod scenario;
pub mod vehicle;
pub mod world;
