//! Relays and interval units in time.
//!
//! An armature whose coil carries more than it pulls in at, or less than it drops out at, changes its contact over
//! when that has lasted for its operate time. An interval unit is a machine of a few phases that answers its inputs
//! after a moment. So nothing switches in no time: a relay that cuts its own coil off buzzes, as it does in life,
//! and the circuit has one solution at every instant. What is on its way arrives at its moment exactly; that a
//! current has passed its threshold because the shaft changed its speed is noticed at the end of a step, milliseconds
//! late at most, which is less than operate times differ by.

use super::regime::Regime;
use super::{Motion, Response};
use crate::network::SolveError;
use crate::quantity::Current;
use crate::vehicle::{
    Affine, ComponentId, Gate, IntervalData, Kind, RelayData, Setting, Told, Vehicle,
};

/// After which time an interval unit answers its inputs, seconds (judgement: it debounces them).
const ANSWERS_S: f64 = 0.01;
/// Seconds that count as having arrived.
const ARRIVED: f64 = 1e-12;
/// Most tries to find how diodes stand.
const DIODE_TRIES: usize = 64;

/// Phase of an interval unit, with the seconds left of it where it ends by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase {
    Idle,
    Pulse(f64),
    Pause(f64),
    Washing,
    AfterWash(f64),
}

impl Phase {
    const fn wipes(self) -> bool {
        matches!(self, Self::Pulse(_) | Self::Washing | Self::AfterWash(_))
    }

    const fn left(self) -> f64 {
        match self {
            Self::Pulse(left) | Self::Pause(left) | Self::AfterWash(left) => left,
            Self::Idle | Self::Washing => f64::INFINITY,
        }
    }

    const fn advanced(self, seconds: f64) -> Self {
        match self {
            Self::Pulse(left) => Self::Pulse(left - seconds),
            Self::Pause(left) => Self::Pause(left - seconds),
            Self::AfterWash(left) => Self::AfterWash(left - seconds),
            Self::Idle | Self::Washing => self,
        }
    }

    /// The phase that inputs lead to, if it is another one.
    fn answer(self, told: Told, data: &IntervalData) -> Option<Self> {
        let next = match self {
            Self::Idle if !told.fed => self,
            _ if !told.fed => Self::Idle,
            Self::Washing if told.wash => self,
            _ if told.wash => Self::Washing,
            Self::Washing => Self::AfterWash(data.after_wash.seconds()),
            Self::Idle if told.interval => Self::Pulse(data.pulse.seconds()),
            Self::Pulse(_) | Self::Pause(_) if !told.interval => Self::Idle,
            _ => self,
        };
        (next != self).then_some(next)
    }

    /// The phase that follows when this one has ended by itself.
    fn next(self, data: &IntervalData) -> Self {
        match self {
            Self::Pulse(_) => Self::Pause(data.pause.seconds()),
            Self::Pause(_) => Self::Pulse(data.pulse.seconds()),
            _ => Self::Idle,
        }
    }
}

/// What the coil of a relay carries, or the inputs of a unit.
pub(super) type Carried = [Current; 3];

/// What a thing is that switches.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Mechanism {
    /// A relay, with its data; whether its armature is free to move.
    Relay(RelayData, bool),
    /// An interval unit, with its phase.
    Unit(IntervalData, Phase),
}

/// One relay or unit.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Switch {
    component: ComponentId,
    mechanism: Mechanism,
    /// Seconds until it moves, while what makes it move lasts.
    moves_in: Option<f64>,
}

impl Switch {
    /// Looks at what its coil or its inputs carry.
    fn look(&mut self, currents: Carried, pulled: bool) {
        let (moves, after) = match &self.mechanism {
            Mechanism::Relay(data, free) => (
                *free && data.leaves(pulled, currents[0]),
                data.operate.seconds(),
            ),
            Mechanism::Unit(data, phase) => {
                let moves = phase.answer(data.told(currents), data).is_some();
                (moves, ANSWERS_S)
            }
        };
        self.moves_in = moves.then(|| self.moves_in.unwrap_or(after));
    }

    fn until_move(&self) -> f64 {
        let by_itself = match self.mechanism {
            Mechanism::Relay(..) => f64::INFINITY,
            Mechanism::Unit(_, phase) => phase.left(),
        };
        self.moves_in.map_or(by_itself, |left| left.min(by_itself))
    }

    /// Lets time pass; where it then stands.
    fn pass(&mut self, seconds: f64, currents: Carried, pulled: bool) -> bool {
        let arrives = match &mut self.moves_in {
            Some(left) => {
                *left -= seconds;
                *left <= ARRIVED
            }
            None => false,
        };
        if arrives {
            self.moves_in = None;
        }
        match &mut self.mechanism {
            Mechanism::Relay(..) => pulled != arrives,
            Mechanism::Unit(data, phase) => {
                *phase = phase.advanced(seconds);
                let answer = phase.answer(data.told(currents), data);
                if let Some(answer) = answer.filter(|_| arrives) {
                    *phase = answer;
                } else if phase.left() <= ARRIVED {
                    *phase = phase.next(data);
                }
                phase.wipes()
            }
        }
    }
}

/// All relays and interval units of a vehicle.
#[derive(Clone, Debug, Default)]
pub(super) struct Relays {
    list: Vec<Switch>,
    diodes: bool,
}

impl Relays {
    /// Takes over a vehicle's relays and units: those that are as they were go on as they do.
    pub(super) fn rebuild(&mut self, vehicle: &Vehicle, setting: &mut Setting) {
        let old = std::mem::take(&mut self.list);
        for component in vehicle.ids() {
            let part = vehicle.component(component);
            let mechanism = match part.kind {
                Kind::Relay(data) => Mechanism::Relay(data, part.switches()),
                Kind::IntervalUnit(data) => Mechanism::Unit(data, Phase::Idle),
                _ => continue,
            };
            let same = |old: &&Switch| match (&old.mechanism, &mechanism) {
                (Mechanism::Relay(..), Mechanism::Relay(..)) => old.mechanism == mechanism,
                (Mechanism::Unit(old, _), Mechanism::Unit(new, _)) => old == new,
                _ => false,
            };
            let mut known = old.iter().filter(|old| old.component == component);
            let kept = known.find(same);
            setting.pulled[component.index()] &= kept.is_some();
            self.list.push(kept.copied().unwrap_or(Switch {
                component,
                mechanism,
                moves_in: None,
            }));
        }
        let diode = |id: &ComponentId| matches!(vehicle.component(*id).kind, Kind::Diode);
        self.diodes = vehicle.ids().any(|id| diode(&id));
    }

    /// The paths that each goes by.
    pub(super) fn watched(&self) -> impl Iterator<Item = (ComponentId, &'static [usize])> {
        self.list.iter().map(|switch| {
            let paths: &[usize] = match switch.mechanism {
                Mechanism::Relay(..) => &[RelayData::COIL],
                Mechanism::Unit(..) => &IntervalData::INPUTS,
            };
            (switch.component, paths)
        })
    }

    /// Looks at what all carry at a shaft speed.
    pub(super) fn look(&mut self, regime: &Regime, speed: f64, setting: &Setting) {
        for (switch, currents) in self.list.iter_mut().zip(regime.switch_currents(speed)) {
            switch.look(currents, setting.pulled[switch.component.index()]);
        }
    }

    /// Seconds until something moves while currents stay as they are.
    pub(super) fn until_move(&self) -> f64 {
        let each = self.list.iter().map(Switch::until_move);
        each.fold(f64::INFINITY, f64::min)
    }

    /// Lets time pass in which nothing moves.
    pub(super) fn leap(&mut self, seconds: f64) {
        for switch in &mut self.list {
            if let Mechanism::Unit(_, phase) = &mut switch.mechanism {
                *phase = phase.advanced(seconds);
            }
            if let Some(left) = &mut switch.moves_in {
                *left -= seconds;
            }
        }
    }

    /// Lets time pass, at most [`Relays::until_move`]: how many armatures moved, and whether anything did.
    pub(super) fn pass(
        &mut self,
        seconds: f64,
        regime: &Regime,
        speed: f64,
        setting: &mut Setting,
    ) -> (u32, bool) {
        let (mut clicks, mut moved) = (0, false);
        for (switch, currents) in self.list.iter_mut().zip(regime.switch_currents(speed)) {
            let pulled = &mut setting.pulled[switch.component.index()];
            let now = switch.pass(seconds, currents, *pulled);
            if now != *pulled {
                moved = true;
                clicks += u32::from(matches!(switch.mechanism, Mechanism::Relay(..)));
            }
            *pulled = now;
        }
        (clicks, moved)
    }
}

impl Motion {
    /// The circuit's answer in the present setting, with diodes as they stand in it.
    pub(crate) fn response(&mut self) -> Result<std::sync::Arc<Response>, SolveError> {
        for _ in 0..DIODE_TRIES {
            let response = self.answer()?;
            match self.diode_astray(&response) {
                None => return Ok(response),
                Some(diode) => {
                    let pulled = &mut self.setting.pulled[diode.index()];
                    *pulled = !*pulled;
                }
            }
        }
        Err(SolveError::Undecided)
    }

    /// A diode that does not stand as it should at the present speed.
    pub(super) fn diode_astray(&self, response: &Response) -> Option<ComponentId> {
        let diodes = self.relays.diodes;
        diodes
            .then(|| {
                self.vehicle
                    .diode_astray(response, &self.setting, self.speed_seen())
            })
            .flatten()
    }

    /// Each diode as [`Regime`] keeps it.
    pub(super) fn diodes_in(&self, response: &Response) -> Vec<(bool, Affine)> {
        if !self.relays.diodes {
            return Vec::new();
        }
        let vehicle = &self.vehicle;
        let of = |id: ComponentId| {
            let path = vehicle.component(id).paths.first()?;
            if path.gate != Gate::Forward {
                return None;
            }
            let conducts = self.setting.pulled[id.index()];
            let margin = if conducts {
                response.current(response.element_of(id, 0)?)
            } else {
                let across = response.voltage(path.p, path.n);
                Affine {
                    at_rest: across.at_rest - path.emf.constant().volts(),
                    per_speed: across.per_speed,
                }
            };
            Some((conducts, margin))
        };
        vehicle.ids().filter_map(of).collect()
    }

    /// Lets relays and units come to where they stand on a shaft at rest, for an operating point.
    pub(crate) fn settle(&mut self) -> Result<(), SolveError> {
        let instruments = self.instruments.clone();
        self.setting.settle(&self.vehicle, &instruments)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Interval;

    const UNIT: IntervalData = IntervalData {
        pulse: Interval::from_seconds(0.5),
        pause: Interval::from_seconds(6.0),
        after_wash: Interval::from_seconds(4.0),
        works_from: Current::from_amperes(5e-3),
        on_from: Current::from_amperes(1e-3),
    };

    fn told(fed: bool, interval: bool, wash: bool) -> Told {
        Told {
            fed,
            interval,
            wash,
        }
    }

    #[test]
    fn a_unit_pulses_pauses_and_wipes_after_washing() {
        let answer = |phase: Phase, told| phase.answer(told, &UNIT).unwrap_or(phase);
        let pulse = answer(Phase::Idle, told(true, true, false));
        assert_eq!(pulse, Phase::Pulse(0.5));
        assert_eq!(pulse.next(&UNIT), Phase::Pause(6.0));
        assert_eq!(pulse.next(&UNIT).next(&UNIT), pulse);
        let washing = answer(Phase::Pause(3.0), told(true, true, true));
        assert_eq!(washing, Phase::Washing);
        let after = answer(washing, told(true, false, false));
        assert_eq!(
            (after, after.next(&UNIT)),
            (Phase::AfterWash(4.0), Phase::Idle)
        );
        assert_eq!(
            answer(Phase::Pulse(0.2), told(true, false, false)),
            Phase::Idle
        );
        assert_eq!(answer(washing, told(false, false, true)), Phase::Idle);
        assert_eq!(answer(Phase::Idle, told(false, true, true)), Phase::Idle);
    }

    #[test]
    fn a_relay_pulls_in_when_its_coil_has_carried_enough_for_its_time() {
        let data = RelayData {
            pull_in: Current::from_amperes(0.08),
            drop_out: Current::from_amperes(0.03),
            operate: Interval::from_seconds(5e-3),
        };
        let mut relay = Switch {
            component: ComponentId(0),
            mechanism: Mechanism::Relay(data, true),
            moves_in: None,
        };
        let mut pulled = false;
        // Coil current, seconds for which it lasts, whether the armature is pulled after that.
        for (amperes, seconds, expected) in [
            (0.14, 4e-3, false),
            (0.05, 4e-3, false),
            (-0.14, 4e-3, false),
            (-0.14, 1e-3, true),
            (0.05, 1.0, true),
            (0.02, 5e-3, false),
        ] {
            let coil = [Current::from_amperes(amperes), Current::ZERO, Current::ZERO];
            relay.look(coil, pulled);
            pulled = relay.pass(seconds, coil, pulled);
            assert_eq!(pulled, expected, "{amperes} A for {seconds} s");
        }
    }
}
