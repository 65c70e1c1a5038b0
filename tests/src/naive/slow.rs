//! What drifts slowly: the warmth of the motor's winding, and the charge at the surface of a battery's plates.
//!
//! The circuit has either on treads: whole multiples of a height, left for the nearest once what they follow is three
//! quarters of one off, at the end of a wipe or while nothing turns; within a wipe once it is five quarters off.

use groundside_engine::vehicle::{Kind, Vehicle};

/// Kelvins from one tread to the next, and volts for a battery of six cells.
const TREAD_K: f64 = 2.0;
const TREAD_V: f64 = 0.01;

/// A value that follows another on treads.
#[derive(Clone, Copy, Debug)]
pub(super) struct Treads {
    height: f64,
    pub(super) at: f64,
}

impl Treads {
    fn moves(&mut self, to: f64, at_an_end: bool) -> bool {
        let off = (to - self.at).abs() / self.height;
        let moves = off > if at_an_end { 0.75 } else { 1.25 };
        if moves {
            self.at = self.height * (to / self.height).round();
        }
        moves
    }
}

/// A battery's surface charge: 1500 F with a leak of a quarter of an ohm for six cells.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plates {
    pub(super) component: usize,
    sixes: f64,
    volts: f64,
    pub(super) treads: Treads,
}

/// All that drifts.
#[derive(Clone, Debug)]
pub(super) struct Slow {
    /// How much hotter than the air copper, iron and case of the motor are, kelvins.
    pub(super) rises: [f64; 3],
    pub(super) copper: Treads,
    pub(super) plates: Vec<Plates>,
    air: f64,
}

impl Slow {
    pub(super) fn of(vehicle: &Vehicle) -> Self {
        let parts = vehicle.components.iter().enumerate();
        let plates = parts.filter_map(|(component, part)| match part.kind {
            Kind::Battery(data) => {
                let sixes = f64::from(data.cells) / 6.0;
                Some(Plates {
                    component,
                    sixes,
                    volts: 0.0,
                    treads: Treads {
                        height: TREAD_V * sixes,
                        at: 0.0,
                    },
                })
            }
            _ => None,
        });
        Self {
            rises: [0.0; 3],
            copper: Treads {
                height: TREAD_K,
                at: 0.0,
            },
            plates: plates.collect(),
            air: vehicle.ambient.degrees_celsius(),
        }
    }

    /// Lets all of it go.
    pub(super) fn rest(&mut self) {
        self.rises = [0.0; 3];
        self.copper.at = 0.0;
        for plates in &mut self.plates {
            plates.volts = 0.0;
            plates.treads.at = 0.0;
        }
    }

    /// Lets a power in the winding warm its copper, that the iron, that the case, and that the air: 29, 80 and 400 J/K,
    /// 1.45, 1 and 1.1 W/K.
    pub(super) fn warm(&mut self, power: f64, step: f64) {
        let [copper, iron, case] = self.rises;
        let (inner, across) = (1.45 * (copper - iron), iron - case);
        self.rises = [
            copper + step * (power - inner) / 29.0,
            iron + step * (inner - across) / 80.0,
            case + step * (across - 1.1 * case) / 400.0,
        ];
    }

    /// Lets charging currents, in amperes, charge the plates.
    pub(super) fn charge(&mut self, amperes: &[f64], step: f64) {
        for (plates, amperes) in self.plates.iter_mut().zip(amperes) {
            let leak = plates.volts / (0.25 * plates.sixes);
            let next = plates.volts + step * (amperes - leak) * plates.sixes / 1500.0;
            plates.volts = next.max(0.0);
        }
    }

    /// Moves the treads; whether any moved.
    pub(super) fn moves(&mut self, at_an_end: bool) -> bool {
        let mut moved = self.copper.moves(self.rises[0], at_an_end);
        for plates in &mut self.plates {
            moved |= plates.treads.moves(plates.volts, at_an_end);
        }
        moved
    }

    /// Resistance of the copper as the circuit has it, in terms of what it is cold: it goes with the distance from
    /// -234.45 degrees, where 0.393 % for each kelvin from 20 degrees leaves nothing.
    pub(super) fn copper_factor(&self) -> f64 {
        let nothing = 20.0 - 1.0 / 0.00393;
        (self.air + self.copper.at - nothing) / (self.air - nothing)
    }
}
