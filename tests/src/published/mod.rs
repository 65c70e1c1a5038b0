//! Values that others published, and common practice of the trade, as checks: wire tables, worked circuits and
//! machines, mechanisms, heat, batteries, lamps, rules of the road.
//!
//! A value that was read, or read in a text that quotes it, is met to its printed digits; one from memory or
//! from practice only bounds, widely or on one side. An example remembered with its data alone is worked out
//! anew from the formula that it teaches, and its source says so.
//!
//! What was gathered and does not touch the model:
//!
//! - wires: general temperature coefficients (0.004 at 0 or 20 degrees, 0.0039 at 18), since copper is the only
//!   conductor; plated stranded aircraft wire beyond its worked drops; the older automotive row of metric maxima,
//!   which lies between the two rows that are checked; temperature of a loaded wire, which is not modelled;
//! - protection: blade and glass fuses, since no vehicle has one; manual and modified-reset breakers, ambient and
//!   battery of breaker tests; how long a stalled system must last;
//! - batteries: hydrometer and its correction, cranking power, cells that differ; supply ranges of components, since
//!   no vehicle is declared for one; the cranking circuit's 0.2 V in 100 A, since there is no starter;
//! - motors: field lag and a brush drop with a knee; brush lengths and springs; a
//!   winding's temperature rise; vacuum and air motors; delayed wiping; return lines switched to supply at park;
//! - meters: sums of errors in a calculation from two readings (the meter shows readings, the person calculates); test
//!   current and voltage of ohms, which no reading shows; overvoltage categories; lamp life and colour;
//! - linkages: the crossed assembly, which a wiper is not; synthesis from wanted positions; preferred transmission
//!   angles of 40 degrees, which no linkage with a sweep of 110 degrees can keep (the engine asks for 20);
//! - worms: lead angles, tables by lead angle and friction, tooth numbers; the engine takes an efficiency;
//! - bimetal: its curvature and deflection, since it is modelled by heat alone;
//! - terminal numbers of what no vehicle has (relays, flashers, washers), and rules of
//!   safety, which are words and not figures.

mod bench;
pub mod circuits;
pub mod codes;
pub mod coils;
pub mod compound;
pub mod copper;
pub mod frequencies;
pub mod heat;
pub mod lamp;
pub mod linkage;
mod machine;
pub mod magnitudes;
pub mod meters;
pub mod permanent_magnet;
pub mod practice;
pub mod supply;
pub mod worm;
pub mod wound_field;

use crate::ledger::Check;

/// The checks of all subjects.
pub const CHECKS: &[&[Check]] = &[
    circuits::CHECKS,
    meters::CHECKS,
    permanent_magnet::CHECKS,
    coils::CHECKS,
    wound_field::CHECKS,
    compound::CHECKS,
    copper::CHECKS,
    linkage::CHECKS,
    worm::CHECKS,
    heat::CHECKS,
    supply::CHECKS,
    frequencies::CHECKS,
    lamp::CHECKS,
    codes::CHECKS,
    practice::CHECKS,
    magnitudes::CHECKS,
];

/// Half a unit of the last of `decimals` printed, and a hair for the printed number's own binary form.
fn printed(decimals: i32) -> f64 {
    0.5 * 10_f64.powi(-decimals) * (1.0 + 1e-9)
}
