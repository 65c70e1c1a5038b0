//! Groundside's engine: a vehicle whose electrics and mechanics answer every measurement truthfully, a
//! hidden fault in it, and the marking of how it was found.
//!
//! # The way through
//!
//! 1. [`file`] reads a vehicle and a scenario from text, with every finding at once.
//! 2. [`vehicle`] holds them as values: components of known kinds, made of resistive paths. A fault is a
//!    change to these values.
//! 3. [`world`] runs a vehicle in time ([`network`] for the circuit, [`machines`] for the laws of motor,
//!    gear, linkage and bimetal) and lets a person act on it: *permit*, *carry out*, *observe*.
//! 4. [`attempt`] is one learner on one draw: a fold of actions, with seeded reading errors, minutes, and
//!    a record that replays to the byte.
//! 5. [`marking`] folds the same actions over a world for every hypothesis, and prices each by what was
//!    known when it was chosen.
//!
//! 6. [`learners`] are habits of searching, each played through whole attempts and marked as a person is.
//! 7. [`lint`] tells the author of a file what only a run of what it describes can show.
//!
//! Beside the way, with no vehicle in them: [`decisions`] has the mathematics of diagnosis (candidates, order of tests,
//! regret and luck, scores of a suspicion), [`statistics`] that of training records (abilities, ratings, items, spacing).
//!
//! The engine never prints, reads a clock or touches files, and the same seed gives the same readings,
//! bit for bit, in debug and release.
//!
//! # Example
//!
//! ```
//! use std::sync::Arc;
//! use groundside_engine::attempt::{Assignment, Attempt};
//! use groundside_engine::file::{read_scenario, read_vehicle};
//! use groundside_engine::random::Seed;
//! use groundside_engine::world::Action;
//!
//! let (vehicle, _warnings) = read_vehicle(include_str!("../../scenarios/van-case-ground.toml"))
//!     .expect("the shipped vehicle is valid");
//! let scenario = read_scenario(include_str!("../../scenarios/rain-on-the-quay.toml"))
//!     .expect("the shipped scenario is valid");
//! let sound = Arc::new(vehicle);
//! let assignment =
//!     Assignment { sound: Arc::clone(&sound), scenario: Arc::new(scenario), seed: Seed(7), chosen: None };
//! let mut attempt = Attempt::start(assignment).expect("the scenario has faults to draw");
//! for words in ["set ignition-switch on", "set wiper-switch low", "look blades"] {
//!     let action = Action::from_words(words, &sound).expect("these are actions of this vehicle");
//!     let event = attempt.act(&action).expect("nothing stands in the way");
//!     assert!(event.clock.as_minutes() > 0.0);
//! }
//! ```

pub mod attempt;
pub mod decisions;
pub mod file;
pub mod ident;
pub mod learners;
pub mod lint;
pub mod machines;
pub mod marking;
pub mod math;
pub mod network;
pub mod quantity;
pub mod random;
pub mod scenario;
pub mod statistics;
pub mod vehicle;
pub mod world;
