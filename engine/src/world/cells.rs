//! The surface charge of batteries in time, and the volts that it adds to them in the circuit.
//!
//! An alternator that is put on a rested battery drives a large current into it, which tapers within a minute or two as
//! its surface charge comes up; from then on the posts stand near the regulator's volts. The circuit has the surface
//! charge on treads of a staircase, as it has the windings' warmth.

use crate::machines::{Staircase, SurfaceCharge};
use crate::quantity::Voltage;
use crate::vehicle::{Affine, ComponentId, Kind, Response, Vehicle};

/// Height of a tread for six cells, volts: less of a current through cables of some hundredths of an ohm than a clamp
/// meter tells.
const TREAD_V: f64 = 0.01;

/// The surface charge of one battery.
#[derive(Clone, Debug, PartialEq)]
struct Cells {
    battery: ComponentId,
    law: SurfaceCharge,
    volts: f64,
    held: Staircase,
}

/// The surface charge of all batteries of a vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct AllCells(Vec<Cells>);

impl AllCells {
    /// Goes on with the batteries of a vehicle; those that were there keep their surface charge.
    pub(super) fn rebuild(&mut self, vehicle: &Vehicle) {
        let batteries = vehicle
            .ids()
            .filter_map(|id| match vehicle.component(id).kind {
                Kind::Battery(battery) => Some((id, battery)),
                _ => None,
            });
        let list = batteries.map(|(id, data)| {
            let same = self.0.iter().find(|cells| cells.battery == id);
            same.cloned().unwrap_or_else(|| Cells {
                battery: id,
                law: SurfaceCharge::of(data),
                volts: 0.0,
                held: Staircase::new(TREAD_V * f64::from(data.cells) / 6.0),
            })
        });
        self.0 = list.collect();
    }

    /// Lets all of it go, as over a night.
    pub(super) fn rest(&mut self) {
        for cells in &mut self.0 {
            cells.volts = 0.0;
            cells.held.follow(0.0, false);
        }
    }

    /// The charging current of each while a setting stands, amperes.
    pub(super) fn currents(&self, response: &Response) -> Vec<Affine> {
        let current = |cells: &Cells| {
            let element = response.element_of(cells.battery, 0);
            element.map_or_else(Affine::default, |element| response.current(element))
        };
        self.0.iter().map(current).collect()
    }

    /// Carries it over some seconds in which the circuit saw a speed.
    pub(super) fn charge(&mut self, currents: &[Affine], seen: f64, seconds: f64) {
        for (cells, current) in self.0.iter_mut().zip(currents) {
            cells.volts = cells.law.after(cells.volts, current.at(seen), seconds);
        }
    }

    /// Time until the circuit has to have other volts while the speed stays, at most `longest` seconds.
    pub(super) fn until_strayed(&self, currents: &[Affine], seen: f64, longest: f64) -> f64 {
        let mut seconds = longest;
        for (cells, current) in self.0.iter().zip(currents) {
            let edges = cells.held.edges(cells.volts);
            let time = cells
                .law
                .time_to_leave(cells.volts, edges, current.at(seen));
            seconds = time.map_or(seconds, |time| seconds.min(time));
        }
        seconds
    }

    /// Whether the circuit has to have other volts at the end of a cycle.
    pub(super) fn strayed(&self) -> bool {
        let mut all = self.0.iter();
        all.any(|cells| cells.held.strayed(cells.volts, false))
    }

    /// Gives the circuit the volts of now, where they have strayed; whether any have.
    pub(super) fn follow(&mut self, within_cycle: bool) -> bool {
        let mut moved = false;
        for cells in &mut self.0 {
            moved |= cells.held.follow(cells.volts, within_cycle);
        }
        moved
    }

    /// What the circuit has of it.
    pub(super) fn held(&self) -> Vec<(ComponentId, Voltage)> {
        let held = |cells: &Cells| (cells.battery, Voltage::from_volts(cells.held.at()));
        self.0.iter().map(held).collect()
    }

    /// One more cycle like the one since `earlier`, from which `first` came.
    pub(super) fn another_cycle(&mut self, earlier: &Self, first: &Self, period: f64) {
        let before = earlier.0.iter().zip(&first.0);
        for (cells, (before, after)) in self.0.iter_mut().zip(before) {
            let kept = cells.law.kept(period);
            let gained = after.volts - kept * before.volts;
            cells.volts = (kept * cells.volts + gained).max(0.0);
        }
    }
}
