//! Fused leads and lamps on the circuit: what carries more than a meter does.

use super::decay::whole_step;
use super::motion::STEP_S;
use super::observation::{Observable, Quantity, Scale};
use super::scales::FUSE;
use super::supply::touch_blows;
use super::{Bench, World};
use crate::machines::Filament;
use crate::math;
use crate::quantity::{Current, Resistance, Voltage};
use crate::vehicle::{Instrument, Node, OPEN, Point, TripData, Vehicle};

/// Time constant with which a small filament follows its voltage, seconds (tenths of a second for 12 V bulbs;
/// from memory).
const GLOW_S: f64 = 0.06;
/// Relative distance from its voltage at which a filament counts as settled.
const SETTLED: f64 = 1e-12;

/// Shunt, fuse and heavy leads of the amps range together (data sheets: a shunt of 0.01 ohm; the rest
/// judgement).
pub(super) const AMPS_OHM: Resistance = Resistance::from_ohms(0.05);
/// Rating of the fuse in the amps range (data sheets: 10 to 12 A).
pub(super) const METER_FUSE: Current = Current::from_amperes(10.0);
/// A jumper lead with its clips and fuse (judgement).
pub(super) const JUMPER_OHM: Resistance = Resistance::from_ohms(0.02);
/// Rating of the fuse in a jumper lead: no larger than the circuit's own protection, or 15 A (shop practice).
pub(super) const JUMPER_FUSE: Current = Current::from_amperes(15.0);

/// The meter's shunt between two points.
pub(super) fn shunt(vehicle: &Vehicle, red: Point, black: Point) -> Instrument {
    Instrument {
        red: vehicle.node(red),
        black: vehicle.node(black),
        resistance: AMPS_OHM,
        emf: Voltage::ZERO,
    }
}

/// A jumper lead from its first end to its second.
pub(super) fn jumper(vehicle: &Vehicle, first: Point, second: Point) -> Fused {
    Fused {
        instrument: Instrument {
            resistance: JUMPER_OHM,
            ..shunt(vehicle, first, second)
        },
        fuse: TripData::blade_fuse(JUMPER_FUSE),
    }
}

/// The jumper leads that are on.
pub(super) fn jumpers(bench: &Bench, vehicle: &Vehicle) -> Vec<Fused> {
    let on = bench.jumpers.iter();
    on.map(|&(first, second)| jumper(vehicle, first, second))
        .collect()
}

impl World {
    /// What is seen of the fuses in the jumper leads, first lead first: of all, or only of those that have blown since
    /// they were told of last.
    pub(super) fn lead_fuses(&self, all: bool) -> Vec<Observable> {
        let blown = self.motion.blown();
        let known = self.fuses_told.iter().copied();
        let known = known.chain(std::iter::repeat(false));
        let seen = self.bench.jumpers.iter().zip(blown).zip(known);
        let seen = seen.filter(|((_, blown), known)| all || *blown && !known);
        seen.map(|((&(first, second), blown), _)| {
            Observable::steady(
                Quantity::LeadFuse,
                format!("jumper {}", self.between(first, second)),
                f64::from(u8::from(blown)),
                Scale::Words(FUSE),
            )
        })
        .collect()
    }

    /// Adds the leads whose fuses have blown and were not told of yet, where what was done tells of none itself.
    pub(super) fn tell_of_fuses(&mut self, seen: &mut Vec<Observable>) {
        if seen.iter().all(|of| of.quantity != Quantity::LeadFuse) {
            seen.extend(self.lead_fuses(false));
        }
        self.fuses_told = self.motion.blown();
    }

    /// Whether a lead whose other end touches metal loses its fuse at a point, by way of the leads too whose fuses are whole:
    /// what comes through a winding or a bad joint blows none.
    pub(super) fn is_live(&self, at: Point) -> bool {
        let leads = jumpers(&self.bench, &self.vehicle).into_iter();
        let whole = leads.zip(self.motion.blown()).filter(|(_, blown)| !blown);
        let whole: Vec<Instrument> = whole.map(|(lead, _)| lead.instrument).collect();
        touch_blows(
            &self.vehicle,
            &self.motion.setting,
            &whole,
            self.vehicle.node(at),
        )
    }
}

/// A lead with a fuse in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Fused {
    /// The lead, from its first end (red) to its second (black).
    pub(crate) instrument: Instrument,
    /// Its fuse.
    pub(crate) fuse: TripData,
}

/// A fused lead on the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lead {
    pub(super) fused: Fused,
    pub(super) blown: bool,
}

impl Lead {
    /// What it is to the circuit.
    pub(super) const fn instrument(&self) -> Instrument {
        if self.blown {
            Instrument {
                resistance: OPEN,
                ..self.fused.instrument
            }
        } else {
            self.fused.instrument
        }
    }
}

/// A lamp that is held on two points. Its filament follows the voltage across it with a lag, and its
/// resistance is that of a steady lamp at the voltage it has followed to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Glow {
    red: Node,
    black: Node,
    filament: Filament,
    /// The steady voltage that would leave the filament as it is, volts.
    pub(super) level_v: f64,
}

impl Glow {
    /// A cold lamp between two nodes.
    pub(crate) const fn cold(red: Node, black: Node, filament: Filament) -> Self {
        Self {
            red,
            black,
            filament,
            level_v: 0.0,
        }
    }

    pub(super) const fn nodes(&self) -> (Node, Node) {
        (self.red, self.black)
    }

    pub(super) fn resistance(&self) -> Resistance {
        self.filament.resistance(Voltage::from_volts(self.level_v))
    }

    /// Whether the filament has come to what a voltage makes of it.
    pub(super) const fn settled(&self, volts: f64) -> bool {
        (volts.abs() - self.level_v).abs() <= SETTLED * (1.0 + volts.abs())
    }

    /// Follows a voltage for some seconds; whether that changed the filament.
    pub(super) fn follow(&mut self, volts: f64, seconds: f64) -> bool {
        if self.settled(volts) {
            return false;
        }
        let seconds = if whole_step(seconds) { STEP_S } else { seconds };
        let kept = math::exp(-seconds / GLOW_S);
        self.level_v = volts.abs() + (self.level_v - volts.abs()) * kept;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machines::Bimetal;
    use crate::quantity::Interval;

    /// [ISO 8820-3] blade fuses: at least 0.75 s at 135 %, 0.15 to 5 s at 200 %, 0.08 to 0.5 s at 350 %, at most
    /// 0.1 s at 600 %; 110 % never.
    #[test]
    fn a_fuse_blows_within_its_limits() {
        for rating in [10.0, 15.0, 20.0] {
            let data = TripData::blade_fuse(Current::from_amperes(rating));
            let law = Bimetal {
                ultimate: data.ultimate,
                time_constant: data.time_constant,
            };
            let opens = |share: f64| {
                let time = law.time_to(1.0, 0.0, Current::from_amperes(rating * share));
                time.map(Interval::seconds)
            };
            assert_eq!(opens(1.1), None);
            for (share, least, most) in [
                (1.35, 0.75, 600.0),
                (2.0, 0.15, 5.0),
                (3.5, 0.08, 0.5),
                (6.0, 0.03, 0.1),
            ] {
                let seconds = opens(share).unwrap();
                assert!((least..=most).contains(&seconds), "{share}: {seconds} s");
            }
        }
    }

    #[test]
    fn a_filament_comes_to_rest_at_its_voltage_whichever_way_round() {
        let filament = Filament {
            rated_voltage: Voltage::from_volts(12.0),
            rated_current: Current::from_amperes(0.25),
            cold_share: 0.1,
        };
        let mut lamp = Glow::cold(Node(1), Node(0), filament);
        assert!((lamp.resistance().ohms() - 4.8).abs() < 1e-12);
        assert!(lamp.follow(-12.0, 10.0) && !lamp.follow(-12.0, 1.0));
        assert!((lamp.resistance().ohms() - 48.0).abs() < 1e-9);
    }
}
