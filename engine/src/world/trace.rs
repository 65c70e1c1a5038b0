//! A low-amps clamp with a memory: the current of a wire over two turns of the shaft.
//!
//! The motion runs on the mean of the winding; here the ripple of its coils ([`Ripple`]) is put on, arc by arc and
//! through the network, at the angles the shaft goes through. What a broken coil opens and what shorted turns miss
//! shows at its own angle, because the motor's values say so. The ripple is a share of the EMF between the brushes that
//! are fed, and the winding's inductance lets the current follow it with a lag.

use std::collections::BTreeMap;

use super::motion::{Handling, Motion, Probe};
use super::observation::{Observable, Quantity, Scale};
use super::scales::{DIPS, RIPPLE, TRACE};
use super::shape::{Record, TURNS, mean};
use super::{METER_WINDOW_S, World};
use crate::machines::Ripple;
use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, Minutes};
use crate::vehicle::{ComponentId, Emf, Kind, Setting, Vehicle};

/// Seconds that are recorded of a shaft that stands.
const STANDING_S: f64 = 0.05;
/// Longest record, seconds: a shaft that creeps does not come round.
const LONGEST_S: f64 = 1.0;
/// Currents in a record of a shaft that keeps its speed: ten to each ripple of the most coils.
const POINTS: usize = 720;
/// Currents in a record at most, of a shaft that slows down.
const POINTS_MAX: usize = 3 * POINTS;
/// How long the current lags behind the ripple of the EMF, seconds: half a millihenry, an engineering estimate for a
/// small armature, over the ohm of a winding and its leads. It leaves a half of the ripple in LOW, at 520 Hz, and
/// under a third in HIGH, at 870. Another ohm in the loop would halve it, which is left out.
const LAG_S: f64 = 5e-4;
/// How many times that the clamp watches before it records.
const LAGS: f64 = 5.0;

/// Coils of the motor whose current ripples, and what of it reaches a wire.
struct Rippling {
    motor: ComponentId,
    ripple: Ripple,
    coils: u32,
    /// EMF constant of half the winding with all its turns, volt seconds.
    constant: f64,
    /// For each setting met: path and brushes of each arc, and what a volt of its EMF drives in the wire, amperes.
    arcs: BTreeMap<Setting, Vec<(Angle, Angle, f64)>>,
}

/// A current that follows another with a lag, from one moment of a record to the next.
struct Lagging {
    /// Share of its distance that is left after a step.
    kept: f64,
    last: f64,
    now: f64,
}

impl Lagging {
    fn follow(&mut self, to: f64) -> f64 {
        let goal = 0.5 * (self.last + to);
        self.now = goal + (self.now - goal) * self.kept;
        self.last = to;
        self.now
    }
}

impl World {
    /// Watches a wire with the low-amps clamp, and records its current over two turns of the shaft from the end of
    /// the window on; the vehicle does not run on for these.
    pub(super) fn trace(
        &mut self,
        wire: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.watch(minutes, METER_WINDOW_S, &[Probe::Current(wire, 0)], None)?;
        // Mean, limits and ripple are all of the record: one window, as the screen shows it.
        let mut seen = self.recorded(wire)?;
        seen.push(self.blades(&span));
        Ok(seen)
    }

    /// Current with its limits, ripple peak to peak and dips, all of one record that begins now.
    pub(super) fn recorded(&self, wire: ComponentId) -> Result<Vec<Observable>, SolveError> {
        let name = self.vehicle.component(wire).id.to_string();
        let record = self.record_of(wire)?;
        let samples = record.samples();
        let limits = |values: &[f64]| {
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            (low, high)
        };
        let (min, max) = limits(&record.amperes);
        let current = Observable {
            min,
            max,
            samples,
            ..Observable::steady(
                Quantity::Current,
                name.clone(),
                mean(&record.amperes),
                Scale::Display(TRACE),
            )
        };
        let even = record.without_drift();
        let (low, high) = limits(&even);
        let ripple = if record.turns == 0.0 { 0.0 } else { high - low };
        let dips = record.dips(&even);
        Ok(vec![
            current,
            Observable::steady(
                Quantity::Ripple,
                name.clone(),
                ripple,
                Scale::Display(RIPPLE),
            ),
            Observable::steady(Quantity::Dips, name, dips, Scale::Words(DIPS)),
        ])
    }

    fn record_of(&self, wire: ComponentId) -> Result<Record, SolveError> {
        let mut motion = self.motion.clone();
        let handling = self.handling(None);
        let mut rippling = self.motor().and_then(|id| Rippling::of(&self.vehicle, id));
        let speed = motion.speed().abs();
        let longest = if speed > 0.0 {
            (TURNS * std::f64::consts::TAU / speed).min(LONGEST_S)
        } else {
            STANDING_S
        };
        #[expect(clippy::cast_precision_loss, reason = "hundreds")]
        let step = longest / POINTS as f64;
        let mut record = Record {
            amperes: Vec::with_capacity(POINTS),
            turned: Vec::with_capacity(POINTS),
            turns: 0.0,
            coils: rippling.as_ref().map_or(1, |rippling| rippling.coils),
        };
        let kept = math::exp(-step / LAG_S);
        let mut lagging = Lagging {
            kept,
            last: 0.0,
            now: 0.0,
        };
        if speed > 0.0 {
            let mut watched = 0.0;
            while watched < LAGS * LAG_S {
                current(&mut motion, rippling.as_mut(), wire, &mut lagging)?;
                forward(&mut motion, step, &handling)?;
                watched += step;
            }
        }
        while record.amperes.len() < POINTS_MAX {
            let enough = record.amperes.len() >= POINTS;
            if enough && (record.turns >= TURNS - 1e-6 || motion.speed() == 0.0) {
                break;
            }
            record
                .amperes
                .push(current(&mut motion, rippling.as_mut(), wire, &mut lagging)?);
            record.turned.push(record.turns);
            let turned = forward(&mut motion, step, &handling)?;
            record.turns += turned.abs();
        }
        Ok(record)
    }
}

/// Lets the vehicle run on; turns of the shaft.
fn forward(motion: &mut Motion, seconds: f64, handling: &Handling) -> Result<f64, SolveError> {
    Ok(motion.run(seconds, &[], handling)?.shaft_turns)
}

/// The current of a wire at this moment, ripple and all.
fn current(
    motion: &mut Motion,
    rippling: Option<&mut Rippling>,
    wire: ComponentId,
    lagging: &mut Lagging,
) -> Result<f64, SolveError> {
    let response = motion.response()?;
    let Some(element) = response.element_of(wire, 0) else {
        return Ok(0.0);
    };
    let mean = response.current(element).at(motion.speed_seen());
    let Some(rippling) = rippling.filter(|_| motion.speed() != 0.0) else {
        return Ok(mean);
    };
    Ok(mean + lagging.follow(rippling.put_on(motion, element)?))
}

impl Rippling {
    fn of(vehicle: &Vehicle, motor: ComponentId) -> Option<Self> {
        let component = vehicle.component(motor);
        let Kind::Motor(data) = component.kind else {
            return None;
        };
        let mut both_halves = 0.0;
        for path in &component.paths {
            if let Emf::PerSpeed(constant) = path.emf {
                both_halves += constant.volt_seconds();
            }
        }
        Some(Self {
            motor,
            ripple: Ripple::new(data.winding(), data.shorted),
            coils: data.coils,
            constant: 0.5 * both_halves / data.winding().left(data.shorted),
            arcs: BTreeMap::new(),
        })
    }

    /// Amperes that the ripple adds in an element of the circuit.
    fn put_on(&mut self, motion: &Motion, element: usize) -> Result<f64, SolveError> {
        if !self.arcs.contains_key(&motion.setting) {
            let arcs = self.arcs_in(motion, element)?;
            self.arcs.insert(motion.setting.clone(), arcs);
        }
        let mut amperes = 0.0;
        for &(from, to, per_volt) in &self.arcs[&motion.setting] {
            let off = self.ripple.off_mean(motion.shaft(), from, to);
            amperes += per_volt * self.constant * motion.speed_seen() * off;
        }
        Ok(amperes)
    }

    fn arcs_in(
        &self,
        motion: &Motion,
        element: usize,
    ) -> Result<Vec<(Angle, Angle, f64)>, SolveError> {
        let circuit = motion.circuit();
        let driven = circuit.amperes_per_volt(element)?;
        let component = motion.vehicle().component(self.motor);
        let Kind::Motor(data) = component.kind else {
            return Ok(Vec::new());
        };
        let of_motor = driven.into_iter().filter_map(|(index, amperes)| {
            let (id, path) = circuit.elements()[index].origin?;
            let name = component.paths.get(path).filter(|_| id == self.motor)?;
            let (from, to) = data.between_brushes(name.name.as_str())?;
            Some((from, to, amperes))
        });
        let mut arcs: Vec<(Angle, Angle, f64)> = of_motor.collect();
        // A brush off the neutral axis has another share of a sine than of the uniform field of the winding: what
        // counts is the share of the EMF that the fed brushes have.
        let (mut uniform, mut sine) = (0.0, 0.0);
        for &(from, to, amperes) in &arcs {
            uniform += amperes * (to - from).radians() / std::f64::consts::PI;
            sine += amperes * Ripple::mean_share(from, to);
        }
        if sine != 0.0 {
            for (.., amperes) in &mut arcs {
                *amperes *= uniform / sine;
            }
        }
        Ok(arcs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::van;
    use crate::world::{Errors, Observation};

    /// The van with a fault, on wet glass, some seconds after its wipers were switched to a position.
    fn wiping(fault: Option<&str>, position: usize, seconds: f64) -> World {
        let mut world = van(fault);
        let roles = world.vehicle().roles().unwrap();
        world.motion.setting.positions[roles.key.index()] = roles.key_on;
        world.motion.setting.positions[roles.wiper.index()] = position;
        let handling = world.handling(None);
        world.run(seconds, &[], &handling).unwrap();
        world
    }

    fn seen(world: &World, wire: &str) -> Vec<Observable> {
        world.recorded(world.vehicle.find(wire).unwrap()).unwrap()
    }

    /// Moments of a wipe, seconds from the start.
    const MOMENTS: [f64; 4] = [5.0, 5.23, 5.46, 5.69];

    fn words(fault: Option<&str>, position: usize, wire: &str) -> Vec<&'static str> {
        let word = |seconds| {
            let dips = &seen(&wiping(fault, position, seconds), wire)[2];
            match dips.observe(Errors::NONE) {
                Observation::Perception { word, .. } => word,
                Observation::Reading { .. } => "",
            }
        };
        MOMENTS.into_iter().map(word).collect()
    }

    #[test]
    fn a_sound_motor_ripples_evenly_by_the_textbooks_share_of_its_emf() {
        for (position, wire) in [(1, "motor-53"), (2, "motor-53b")] {
            assert_eq!(words(None, position, wire), ["an even ripple"; 4]);
        }
        // 0.0355 V s, of which 1 - cos 15 deg of the peak, which is 12/pi tan(pi/12) / ... of the mean: the swing is
        // pi/12 (1 - cos 15 deg) / sin 15 deg = 0.03447 of the mean; over 2.4/4 + 0.26 + 0.124 = 0.984 ohm. Twelve
        // times a turn, and nearly a sine: 0.5 ms leave 1 / sqrt(1 + (12 omega 0.5 ms)^2) of it.
        let world = wiping(None, 1, 5.0);
        let seen = seen(&world, "motor-53");
        let lagging = |speed: f64| 1.0 / math::sqrt(1.0 + math::square(12.0 * speed * 5e-4));
        let speed = world.motion.speed();
        let expected = 0.0355 * speed * 0.034_47 / 0.984 * lagging(speed);
        assert!(
            (seen[1].value / expected - 1.0).abs() < 0.1,
            "{} and {expected}",
            seen[1].value
        );
        // The drawing loses nothing of it, and lies within what the window saw.
        let limits = |values: &[f64]| {
            let high = values.iter().copied().fold(f64::MIN, f64::max);
            (values.iter().copied().fold(f64::MAX, f64::min), high)
        };
        assert_eq!(limits(&seen[0].samples), (seen[0].min, seen[0].max));
        assert_eq!(seen[0].samples.len(), 64);
    }

    /// Between the third brush and the common one the EMF is two thirds of k omega. The four coils there swing by 0.039 of
    /// the half's mean, where a sine has three quarters of it: by 5.2 % of theirs, over 2.4 (1/3)(2/3) + 0.06 + 0.124
    /// = 0.717 ohm.
    #[test]
    fn the_ripple_in_high_is_that_of_the_brushes_that_are_fed() {
        let world = wiping(None, 2, 5.0);
        let (seen, speed) = (seen(&world, "motor-53b"), world.motion.speed());
        let whole = 0.0355 * speed * 2.0 / 3.0 * 0.0392 / 0.75 / 0.717;
        let share = 1.0 / math::sqrt(1.0 + math::square(12.0 * speed * 5e-4));
        assert!(
            (seen[1].value / (whole * share) - 1.0).abs() < 0.25,
            "{} of {whole}, {share}",
            seen[1].value
        );
    }

    #[test]
    fn a_motor_that_stands_has_no_swing_below_nothing() {
        let world = wiping(None, 0, 5.0);
        let seen = seen(&world, "motor-53");
        let errors = Errors {
            instrument: -2.0,
            own: -2.0,
        };
        let Observation::Reading {
            shown: Some([swing, ..]),
            ..
        } = seen[1].observe(errors)
        else {
            panic!("{seen:?}")
        };
        assert_eq!(swing.counts, 0);
    }

    #[test]
    fn what_has_no_current_of_the_motor_has_no_ripple() {
        assert_eq!(words(None, 1, "motor-53b"), ["no ripple"; 4]);
        assert_eq!(words(None, 0, "motor-53"), ["no ripple"; 4]);
    }

    /// In LOW both halves feed the motor, so one coil is missed in each of them; in HIGH the short way from the
    /// third brush to the common one carries more than the long one. A broken coil lets all through while it
    /// passes under each of the three brushes.
    #[test]
    fn a_coil_that_is_dead_or_shorted_shows_each_turn() {
        for share in ["0.3", "1"] {
            let fault = format!("motor.coil-shorted:{share}");
            let at = |position, wire| words(Some(&fault), position, wire);
            assert_eq!(at(1, "motor-53"), ["two dips each turn"; 4]);
            assert_eq!(at(2, "motor-53b"), ["one dip each turn"; 4]);
        }
        let at = |position, wire| words(Some("motor.coil-open"), position, wire);
        assert_eq!(at(1, "motor-53"), ["several peaks each turn"; 4]);
        assert_eq!(at(2, "motor-53b"), ["one dip each turn"; 4]);
    }

    #[test]
    fn a_weak_motor_or_a_stiff_pivot_leaves_the_ripple_even() {
        for fault in ["motor.magnets-weak", "left-pivot.stiff"] {
            assert_eq!(words(Some(fault), 1, "motor-53"), ["an even ripple"; 4]);
        }
    }
}
