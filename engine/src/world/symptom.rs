//! What a driver notices: the vehicle run through its positions, and that compared with a sound one.

use super::World;
use super::scales::REST;
use super::tally::Span;
use crate::network::SolveError;
use crate::scenario::{Glass, Symptom};

/// Cycles a minute below which blades are said not to wipe.
const STILL_PER_MIN: f64 = 3.0;
/// Share of the sound pace below which wiping is called slow (judgement).
pub(super) const SLOW_SHARE: f64 = 0.85;
/// Shaft turns in ten seconds from which a motor is heard to run; a stalled one may creep a few.
const HEARD_TURNS: f64 = 60.0;
/// Seconds a driver wipes in one position.
const DRIVE_S: f64 = 150.0;
/// Seconds in LOW before OFF, and moments of a wipe at which that is tried, seconds from there.
const BEFORE_OFF_S: f64 = 9.0;
const MOMENTS_S: [f64; 3] = [0.0, 0.4, 0.8];
/// Rounds of a long drive, and seconds in each of LOW and in HIGH.
const ROUNDS: u32 = 6;
const ROUND_S: f64 = 50.0;
/// Blades that stand, or go, for so many seconds on end are noticed (judgement).
const NOTICED_S: f64 = 2.5;
/// Shaking by engine and road, in terms of the motor's own (judgement).
const ROAD_SHAKING: f64 = 1.0;

/// How a vehicle wipes and parks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signature {
    /// Cycles a minute in each running position of the wiper switch, at first: LOW, HIGH.
    pub pace: [f64; 2],
    /// Cycles a minute in LOW when it is tried again later, the least and the most: none where blades that
    /// should go stand for long enough to be noticed.
    pub again: [f64; 2],
    /// The same of HIGH.
    pub again_high: [f64; 2],
    /// Whether the motor turned in any position.
    pub motor_turned: bool,
    /// Whether the protection opened in any position.
    pub cut_out: bool,
    /// Whether the blades went on after OFF, by themselves and for good.
    pub runs_on: bool,
    /// Farthest from rest that the blades stopped after OFF, millimetres at the tip.
    pub off_rest_mm: f64,
}

impl Signature {
    /// Runs a vehicle that has just come in through LOW, OFF and HIGH, and OFF at three moments of the
    /// wipe. The world is consumed: what a driver does is not part of an attempt.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn of(mut world: World) -> Result<Self, SolveError> {
        let mut signature = Self {
            pace: [0.0; 2],
            again: [f64::INFINITY, 0.0],
            again_high: [f64::INFINITY, 0.0],
            motor_turned: false,
            cut_out: false,
            runs_on: false,
            off_rest_mm: 0.0,
        };
        let Some((key, wiper)) = world.key_and_wiper() else {
            return Ok(signature);
        };
        world.motion.setting.positions[key.index()] = world.last_position(key);
        for position in [1, 2] {
            let first = world.drive(wiper.index(), position, 10.0)?;
            let rest = world.drive(wiper.index(), position, DRIVE_S)?;
            signature.pace[position - 1] = per_minute(&first);
            signature.cut_out |= first.clicks + rest.clicks > 0;
            signature.motor_turned |= first.shaft_turns.abs() > HEARD_TURNS;
            world.drive(wiper.index(), 0, 10.0)?;
        }
        signature.again_high = [signature.pace[1]; 2];
        signature.again = widened(
            signature.again,
            &world.drive(wiper.index(), 1, BEFORE_OFF_S)?,
        );
        for later_s in MOMENTS_S {
            let mut one = world.clone();
            signature.stop(&mut one, wiper.index(), later_s)?;
        }
        // A vehicle with nothing that gives way shows no more on a longer drive.
        if world.vehicle.loose_paths().next().is_some() {
            signature.long_drive(&mut world, wiper.index())?;
        }
        Ok(signature)
    }

    /// LOW for some seconds, then OFF.
    fn stop(&mut self, world: &mut World, wiper: usize, seconds: f64) -> Result<(), SolveError> {
        world.drive(wiper, 1, seconds)?;
        let stopping = world.drive(wiper, 0, 8.0)?;
        let after = world.drive(wiper, 0, 4.0)?;
        self.cut_out |= stopping.clicks + after.clicks > 0;
        self.runs_on |= after.crank_turns > 0.01;
        self.off_rest_mm = self.off_rest_mm.max(world.off_rest_mm());
        Ok(())
    }

    /// Ten minutes of wiping in LOW and HIGH, at some moments OFF, and three minutes in the rain.
    fn long_drive(&mut self, world: &mut World, wiper: usize) -> Result<(), SolveError> {
        for round in 0..ROUNDS {
            self.again = widened(self.again, &world.drive(wiper, 1, ROUND_S)?);
            self.again_high = widened(self.again_high, &world.drive(wiper, 2, ROUND_S)?);
            self.stop(world, wiper, BEFORE_OFF_S + 0.2 * f64::from(round))?;
        }
        world.conditions.glass = Glass::Streaming;
        for position in [1, 2] {
            let rain = world.drive(wiper, position, 0.5 * DRIVE_S)?;
            self.cut_out |= rain.clicks > 0;
        }
        Ok(())
    }
}

/// Limits of a pace, widened to that of a span, to none where blades were seen to stand, and to the pace at
/// which they went where they were seen to go.
fn widened([least, most]: [f64; 2], span: &Span) -> [f64; 2] {
    let going = span.crank_turns * 60.0 / span.turning_s.max(NOTICED_S);
    let least = match span.longest_standing_s >= NOTICED_S {
        true => 0.0,
        false => least.min(going),
    };
    let most = match span.longest_going_s >= NOTICED_S {
        true => most.max(going),
        false => most,
    };
    [least, most]
}

/// Whether a pace is called wiping.
pub(super) fn wipes(pace: f64) -> bool {
    pace >= STILL_PER_MIN
}

fn per_minute(span: &Span) -> f64 {
    span.crank_turns * 60.0 / span.seconds
}

impl World {
    fn drive(&mut self, control: usize, position: usize, seconds: f64) -> Result<Span, SolveError> {
        self.motion.setting.positions[control] = position;
        let mut handling = self.handling(None);
        handling.shaking = ROAD_SHAKING;
        self.run(seconds, &[], &handling)
    }
}

/// The most striking symptom of a vehicle beside a sound one; `None` when a driver would not come.
#[must_use]
pub fn symptom(of: &Signature, sound: &Signature) -> Option<Symptom> {
    let [low, high] = of.pace.map(wipes);
    let slow = of
        .pace
        .iter()
        .zip(sound.pace)
        .any(|(pace, sound)| *pace < SLOW_SHARE * sound);
    // With the protection at work, what stands still and what goes on is a matter of moments.
    if of.cut_out {
        return Some(if low || high {
            Symptom::CutsOut
        } else {
            Symptom::Dead
        });
    }
    // It goes at one try and not at another.
    let differs = |first: bool, again: [f64; 2]| again.map(wipes) != [first; 2];
    if differs(low, of.again) || differs(high, of.again_high) {
        return Some(Symptom::NowAndThen);
    }
    Some(match (low, high) {
        (false, false) if of.motor_turned => Symptom::BladesStill,
        (false, false) => Symptom::Dead,
        (false, true) => Symptom::NoLow,
        (true, false) => Symptom::NoHigh,
        (true, true) if of.runs_on => Symptom::RunsOn,
        (true, true) if of.off_rest_mm > REST.cuts[0] => Symptom::DoesNotPark,
        (true, true) if slow => Symptom::Slow,
        (true, true) => return None,
    })
}
