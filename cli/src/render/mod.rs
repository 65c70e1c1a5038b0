//! What things look like on screen. Everything here words what the engine gives; nothing here sees the
//! world, and what is on paper (diagram, data, list, show) is made from the sound vehicle alone.

mod amps;
mod aside;
mod beside;
pub(crate) mod calibration;
pub(crate) mod cautions;
mod costly;
pub(crate) mod data;
pub(crate) mod debrief;
pub(crate) mod diagram;
mod done;
pub(crate) mod event;
pub(crate) mod failures;
mod healthy;
pub(crate) mod help;
pub(crate) mod hint;
mod in_place;
mod instruments;
pub(crate) mod lint;
pub(crate) mod list;
mod marked;
mod marks;
mod minutes;
pub mod netlist;
pub(crate) mod observability;
pub(crate) mod point;
pub(crate) mod question;
mod route;
pub(crate) mod screen;
pub(crate) mod separation;
pub(crate) mod show;
pub(crate) mod state;
mod swaps;
mod trace;
mod worth;
