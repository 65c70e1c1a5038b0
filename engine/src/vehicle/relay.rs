//! What switches by itself: relays, interval units and diodes, and how they stand on a circuit at rest.

use super::{Circuit, Component, ComponentId, Gate, Instrument, Kind, Response, Setting, Vehicle};
use crate::network::SolveError;
use crate::quantity::{Current, Interval};

/// Data of a relay. Its armature goes by the ampere-turns of its coil, so by the current that the coil carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RelayData {
    /// Coil current from which the armature pulls in.
    pub pull_in: Current,
    /// Coil current below which it drops out.
    pub drop_out: Current,
    /// Time from then until its contact has changed over.
    pub operate: Interval,
}

impl RelayData {
    /// Position of the coil among a relay's paths.
    pub const COIL: usize = 0;

    /// Whether an armature that is pulled or not is on its way to the other side.
    #[must_use]
    pub fn leaves(&self, pulled: bool, coil: Current) -> bool {
        if pulled {
            coil.abs() <= self.drop_out
        } else {
            coil.abs() >= self.pull_in
        }
    }
}

/// Data of an interval unit. It takes what its inputs carry for what is on them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntervalData {
    /// How long it pulses its relay.
    pub pulse: Interval,
    /// How long it waits until the next pulse.
    pub pause: Interval,
    /// How long it goes on wiping after washing.
    pub after_wash: Interval,
    /// Supply current from which it works.
    pub works_from: Current,
    /// Current of an input from which that is on.
    pub on_from: Current,
}

impl IntervalData {
    /// Positions among its paths: what it is fed by, its inputs for intervals and for washing, its output.
    pub const SUPPLY: usize = 0;
    /// See [`IntervalData::SUPPLY`].
    pub const INTERVAL: usize = 1;
    /// See [`IntervalData::SUPPLY`].
    pub const WASH: usize = 2;
    /// See [`IntervalData::SUPPLY`].
    pub const OUTPUT: usize = 3;
    /// Its paths that it knows something by.
    pub const INPUTS: [usize; 3] = [Self::SUPPLY, Self::INTERVAL, Self::WASH];

    /// What it takes from the currents of [`IntervalData::INPUTS`].
    #[must_use]
    pub fn told(&self, inputs: [Current; 3]) -> Told {
        let [supply, interval, wash] = inputs;
        Told {
            fed: supply >= self.works_from,
            interval: interval >= self.on_from,
            wash: wash >= self.on_from,
        }
    }
}

/// What an interval unit is told by its terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Told {
    /// Whether it has supply to work on.
    pub fed: bool,
    /// Whether wiping at intervals is wanted.
    pub interval: bool,
    /// Whether there is washing.
    pub wash: bool,
}

/// Most moves until a circuit at rest is taken to buzz rather than to settle.
const MOVES_MAX: usize = 32;

impl Component {
    /// Whether something in it moves or switches by itself: a welded relay's armature does not.
    #[must_use]
    pub fn switches(&self) -> bool {
        let moves = |gate: &Gate| matches!(gate, Gate::Relay { .. });
        self.paths.iter().any(|path| moves(&path.gate))
    }
}

impl Vehicle {
    /// A diode that does not stand as its current or voltage at a shaft speed in rad/s wants it.
    #[must_use]
    pub fn diode_astray(
        &self,
        response: &Response,
        setting: &Setting,
        speed: f64,
    ) -> Option<ComponentId> {
        self.ids().find(|&id| {
            let component = self.component(id);
            let paths = component.paths.iter().enumerate();
            let mut diodes = paths.filter(|(_, path)| path.gate == Gate::Forward);
            diodes.any(|(place, path)| {
                if setting.pulled[id.index()] {
                    let current = response.element_of(id, place);
                    current.is_some_and(|index| response.current(index).at(speed) < 0.0)
                } else {
                    let drop = path.emf.constant().volts();
                    response.voltage(path.p, path.n).at(speed) > drop
                }
            })
        })
    }

    /// A relay or an interval unit's output that moves sooner or later while everything else and the shaft stand.
    fn switch_astray(&self, response: &Response, setting: &Setting) -> Option<ComponentId> {
        let current = |id, path| {
            let index = response.element_of(id, path);
            Current::from_amperes(index.map_or(0.0, |index| response.current(index).at_rest))
        };
        self.ids().find(|&id| {
            let component = self.component(id);
            let pulled = setting.pulled[id.index()];
            match component.kind {
                Kind::Relay(data) => {
                    component.switches() && data.leaves(pulled, current(id, RelayData::COIL))
                }
                Kind::IntervalUnit(data) => {
                    let told = data.told(IntervalData::INPUTS.map(|input| current(id, input)));
                    pulled != (told.fed && (told.interval || told.wash))
                }
                _ => false,
            }
        })
    }
}

impl Setting {
    /// Lets relays, interval units and diodes come to where they stand while the shaft does, an interval unit in its
    /// pulse. What buzzes is left wherever it is.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn settle(
        &mut self,
        vehicle: &Vehicle,
        instruments: &[Instrument],
    ) -> Result<(), SolveError> {
        let switches = |part: &Component| {
            let gated = |gate: &Gate| matches!(gate, Gate::Relay { .. } | Gate::Forward);
            part.paths.iter().any(|path| gated(&path.gate))
        };
        if !vehicle.components.iter().any(switches) {
            return Ok(());
        }
        for _ in 0..MOVES_MAX {
            let response = Circuit::new(vehicle, self, instruments).response()?;
            let diode = vehicle.diode_astray(&response, self, 0.0);
            let astray = diode.or_else(|| vehicle.switch_astray(&response, self));
            let Some(astray) = astray else { break };
            self.pulled[astray.index()] = !self.pulled[astray.index()];
        }
        Ok(())
    }
}
