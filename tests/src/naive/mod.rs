//! A second, naive implementation of a vehicle in time, and the engine held against it.
//!
//! It takes its data from the values of a [`Vehicle`](groundside_engine::vehicle::Vehicle), so that a new vehicle
//! is covered the day it is written, and computes everything else by itself and by definition:
//!
//! * which paths conduct, from their gates as they stand;
//! * the circuit by dense Gauss elimination with partial pivoting in numbers of 32 digits, since in ordinary ones
//!   a part that floats on ten gigohms beside milliohms would be lost; once for each combination of contacts, for a
//!   volt of each EMF by itself, and added up at every step (a check solves whole steps afresh, without adding up);
//! * the shaft by explicit Euler in fixed steps of a tenth of a millisecond, friction by its definition;
//! * the linkage by two triangles and the law of cosines, and numerical differences;
//! * breakers by the rate of their heat, and the winding's two masses by theirs (that it burns, no run here gets to).
//!
//! Nothing is eliminated without subtraction, no step is taken in closed form, no edge is met exactly, no cycle is
//! leapt over. A shaft that stands is looked at every millisecond, unless a breaker heats faster than that.
//!
//! What differs by a step at an edge differs for that reason alone, so edges are set apart as
//! [`trace`] says. Where a run agrees only with shorter steps it is held to these; where the naive run itself does
//! not settle with shorter steps, a hair decides and the run says nothing: such runs are counted and must be few.

pub mod attempts;
pub mod by_hand;
mod field;
pub(crate) mod gauss;
mod machine;
pub(crate) mod mechanics;
mod pair;
pub mod readings;
mod slow;
mod switches;
mod trace;
mod wiring;
pub mod wound;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Kind, Surface, Vehicle};
use groundside_engine::world::Followed;

/// The current of each battery.
pub(crate) fn supply(vehicle: &Vehicle) -> Vec<Followed> {
    let battery = |id: &ComponentId| matches!(vehicle.component(*id).kind, Kind::Battery(_));
    let batteries = vehicle.ids().filter(battery);
    batteries.map(|id| Followed::Current(id, 0)).collect()
}

/// What the friction of blades is on glass in this state, or on what a vehicle's windscreen is instead.
pub(crate) fn friction(vehicle: &Vehicle, glass: Glass) -> f64 {
    let own = vehicle.components.iter().find_map(|part| match part.kind {
        Kind::Windscreen(Surface::Iced { friction } | Surface::Dry { friction }) => Some(friction),
        _ => None,
    });
    own.unwrap_or(match glass {
        Glass::Dry => 1.0,
        Glass::Wet => 0.5,
        Glass::Streaming => 0.2,
    })
}
