//! A second, naive implementation of the vehicle, which shares no computation with the engine.

pub(crate) mod gauss;
