//! What a driver notices: the vehicle run through its positions, and that compared with a sound one.

use super::World;
use super::scales::{KNOCK, REST, STREAK};
use super::tally::Span;
use crate::network::SolveError;
use crate::scenario::{Glass, Symptom};
use crate::vehicle::Roles;

/// Cycles a minute below which blades are said not to wipe.
const STILL_PER_MIN: f64 = 3.0;
/// Share of the sound pace below which wiping is called slow (judgement).
pub(super) const SLOW_SHARE: f64 = 0.85;
/// And the multiple of it above which it is called too fast (judgement).
pub(super) const FAST_TIMES: f64 = 1.15;
/// Shaft turns in ten seconds from which a motor is heard to run; a stalled one may creep a few.
const HEARD_TURNS: f64 = 60.0;
/// Seconds a driver wipes in one position.
const DRIVE_S: f64 = 150.0;
/// Seconds at the slowest speed before OFF, and moments of a wipe at which that is tried, seconds from there.
const BEFORE_OFF_S: f64 = 9.0;
const MOMENTS_S: [f64; 3] = [0.0, 0.4, 0.8];
/// Rounds of a long drive, and seconds at each speed.
const ROUNDS: u32 = 6;
const ROUND_S: f64 = 50.0;
/// Blades that stand, or go, for so many seconds on end are noticed (judgement).
const NOTICED_S: f64 = 2.5;
/// Seconds for which a driver lets be, with the key off, what tripped: a protection that closes by itself is closed and
/// cold by then (judgement).
const LETS_BE_S: f64 = 600.0;
/// Seconds until wiping at intervals has settled, and for which it is watched.
const SETTLES_S: f64 = 10.0;
const INTERVALS_S: f64 = 60.0;
/// Share of the sound pace by which wiping at intervals is too seldom or too often, and share of the water from the
/// jets that is too little (judgement).
const INTERVAL_SHARE: f64 = 0.3;
pub(super) const LITTLE_WATER: f64 = 0.5;
/// Shaking by engine and road, in terms of the motor's own (judgement).
const ROAD_SHAKING: f64 = 1.0;

/// How a vehicle wipes in one running position of its switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wipe {
    /// Cycles a minute at first.
    pub pace: f64,
    /// Cycles a minute when it is tried again later, the least and the most: none where blades that should go
    /// stand for long enough to be noticed.
    pub again: [f64; 2],
    /// Whether the protection opened while the blades wiped. What opens where they do not, or once they are switched
    /// off, a driver has no eye for: that they stand there, they have.
    pub cut_out: bool,
}

impl Wipe {
    /// Whether it goes at one try and not at another.
    pub(super) fn comes_and_goes(self) -> bool {
        self.again.map(wipes) != [wipes(self.pace); 2]
    }
}

/// How a vehicle wipes and parks.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// Each running position of the wiper switch, in its order: LOW first, HIGH last.
    pub speeds: Vec<Wipe>,
    /// Whether the motor turned in any position.
    pub motor_turned: bool,
    /// Whether the blades went on after OFF, by themselves and for good.
    pub runs_on: bool,
    /// Farthest from rest that the blades stopped after OFF, millimetres at the tip.
    pub off_rest_mm: f64,
    /// Cycles a minute at intervals, where the switch has a position for them.
    pub at_intervals: Option<f64>,
    /// What comes out of the washer's jets beside what should, where there is a washer.
    pub water: Option<f64>,
    /// Whether one arm stays while the pivots turn.
    pub arm_stays: bool,
    /// What the blade that wipes worst leaves wet, as a share of its length.
    pub streak: f64,
    /// Play that is heard as the blades turn round, degrees at an arm.
    pub knock_deg: f64,
}

impl Signature {
    /// Whether the protection opened while the blades wiped, at any speed.
    #[must_use]
    pub fn cuts_out(&self) -> bool {
        self.speeds.iter().any(|speed| speed.cut_out)
    }

    /// Runs a vehicle that has just come in through each speed and OFF, and OFF at three moments of the
    /// wipe. The world is consumed: what a driver does is not part of an attempt.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn of(world: World) -> Result<Self, SolveError> {
        let (mut signature, world) = Self::wiping(world, |_| false)?;
        signature.try_the_rest(world)?;
        Ok(signature)
    }

    /// What a vehicle shows of wiping and parking, and where it stands when the rest is tried; it is run until
    /// `enough` is known.
    pub(super) fn wiping(
        mut world: World,
        enough: impl Fn(&Self) -> bool,
    ) -> Result<(Self, World), SolveError> {
        let mut signature = Self::standing(&world);
        let Some(roles) = world.vehicle.roles() else {
            return Ok((signature, world));
        };
        world.motion.setting.positions[roles.key.index()] = roles.key_on;
        for &position in &roles.speeds {
            let first = world.drive(&roles, position, 10.0)?;
            let rest = world.drive(&roles, position, DRIVE_S)?;
            let pace = per_minute(&first);
            let clicks = first.clicks + rest.clicks;
            signature.speeds.push(Wipe {
                pace,
                again: [pace; 2],
                cut_out: wipes(pace) && clicks > 0,
            });
            signature.motor_turned |= first.shaft_turns.abs() > HEARD_TURNS;
            let off = world.drive(&roles, roles.off, 10.0)?;
            if clicks + off.clicks > 0 {
                world.let_be(&roles)?;
            }
        }
        if enough(&signature) {
            return Ok((signature, world));
        }
        signature.try_again(&mut world, &roles, 0, BEFORE_OFF_S)?;
        for later_s in MOMENTS_S {
            let mut one = world.clone();
            signature.stop(&mut one, &roles, later_s)?;
        }
        // A vehicle with nothing that gives way shows no more on a longer drive.
        if world.vehicle.loose_paths().next().is_some() && !enough(&signature) {
            signature.long_drive(&mut world.clone(), &roles, enough)?;
        }
        Ok((signature, world))
    }

    /// What a vehicle shows before it is run.
    fn standing(world: &World) -> Self {
        Self {
            speeds: Vec::new(),
            motor_turned: false,
            runs_on: false,
            off_rest_mm: 0.0,
            at_intervals: None,
            water: None,
            arm_stays: world.arms_that_stay() > 0,
            streak: world.streak_share(),
            knock_deg: world.knock_deg(),
        }
    }

    /// Wiping at intervals, and washing.
    fn try_the_rest(&mut self, mut world: World) -> Result<(), SolveError> {
        let Some(roles) = world.vehicle.roles() else {
            return Ok(());
        };
        if let Some(interval) = roles.interval {
            world.drive(&roles, interval, SETTLES_S)?;
            self.at_intervals = Some(per_minute(&world.drive(&roles, interval, INTERVALS_S)?));
            world.drive(&roles, roles.off, SETTLES_S)?;
        }
        if let Some(washer) = world.vehicle.control("washer") {
            world.motion.setting.positions[washer.index()] = 1;
            self.water = world.water_at_jets()?;
        }
        Ok(())
    }

    /// One of the speeds tried again.
    fn try_again(
        &mut self,
        world: &mut World,
        roles: &Roles,
        place: usize,
        seconds: f64,
    ) -> Result<(), SolveError> {
        if let Some(&position) = roles.speeds.get(place) {
            let span = world.drive(roles, position, seconds)?;
            self.speeds[place].again = widened(self.speeds[place].again, &span);
        }
        Ok(())
    }

    /// The slowest speed for some seconds, then OFF.
    fn stop(&mut self, world: &mut World, roles: &Roles, seconds: f64) -> Result<(), SolveError> {
        if let Some(&position) = roles.speeds.first() {
            world.drive(roles, position, seconds)?;
        }
        let stopping = world.drive(roles, roles.off, 8.0)?;
        let after = world.drive(roles, roles.off, 4.0)?;
        self.runs_on |= after.crank_turns > 0.01;
        self.off_rest_mm = self.off_rest_mm.max(world.off_rest_mm());
        if stopping.clicks + after.clicks > 0 {
            world.let_be(roles)?;
        }
        Ok(())
    }

    /// Minutes of wiping at each speed in rounds, at some moments OFF, and a minute or so more of each in the rain.
    fn long_drive(
        &mut self,
        world: &mut World,
        roles: &Roles,
        enough: impl Fn(&Self) -> bool,
    ) -> Result<(), SolveError> {
        for round in 0..ROUNDS {
            if enough(self) {
                return Ok(());
            }
            for place in 0..roles.speeds.len() {
                self.try_again(world, roles, place, ROUND_S)?;
            }
            self.stop(world, roles, BEFORE_OFF_S + 0.2 * f64::from(round))?;
        }
        world.conditions.glass = Glass::Streaming;
        for (&position, speed) in roles.speeds.iter().zip(&mut self.speeds) {
            let rain = world.drive(roles, position, 0.5 * DRIVE_S)?;
            speed.cut_out |= wipes(per_minute(&rain)) && rain.clicks > 0;
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
    fn drive(&mut self, roles: &Roles, position: usize, seconds: f64) -> Result<Span, SolveError> {
        self.motion.setting.positions[roles.wiper.index()] = position;
        let mut handling = self.handling(None);
        handling.shaking = ROAD_SHAKING;
        self.run(seconds, &[], &handling)
    }

    /// Leaves the vehicle with the key off until what tripped has closed again.
    fn let_be(&mut self, roles: &Roles) -> Result<(), SolveError> {
        self.motion.setting.positions[roles.key.index()] = 0;
        self.drive(roles, roles.off, LETS_BE_S)?;
        self.motion.setting.positions[roles.key.index()] = roles.key_on;
        Ok(())
    }
}

/// Whether wiping at intervals is too seldom or too often.
fn at_intervals_off(of: &Signature, sound: &Signature) -> bool {
    let pair = of.at_intervals.zip(sound.at_intervals);
    pair.is_some_and(|(pace, sound)| (pace - sound).abs() > INTERVAL_SHARE * sound)
}

/// The most striking symptom of a vehicle that has just come in beside a sound one, as [`symptom`] tells it by its
/// whole signature. It is run no longer than until that is sure.
///
/// # Errors
/// [`SolveError`] when the circuit has no solution.
pub fn noticed(world: World, sound: &Signature) -> Result<Option<Symptom>, SolveError> {
    // Nothing strikes more than the protection at work, and the rest strikes less than most.
    let (mut signature, world) = Signature::wiping(world, Signature::cuts_out)?;
    let so_far = symptom(&signature, sound);
    if !matches!(so_far, None | Some(Symptom::Streaks | Symptom::Knocks)) {
        return Ok(so_far);
    }
    signature.try_the_rest(world)?;
    Ok(symptom(&signature, sound))
}

/// The most striking symptom of a vehicle beside a sound one; `None` when a driver would not come.
#[must_use]
pub fn symptom(of: &Signature, sound: &Signature) -> Option<Symptom> {
    let goes: Vec<bool> = of.speeds.iter().map(|speed| wipes(speed.pace)).collect();
    let any = goes.contains(&true);
    let beside_sound = |wrong: fn(f64, f64) -> bool| {
        let mut pairs = of.speeds.iter().zip(&sound.speeds);
        pairs.any(|(speed, sound)| wrong(speed.pace, sound.pace))
    };
    // With the protection at work, what stands still and what goes on is a matter of moments.
    if of.cuts_out() {
        return Some(Symptom::CutsOut);
    }
    if of.speeds.iter().any(|speed| speed.comes_and_goes()) {
        return Some(Symptom::NowAndThen);
    }
    if any && of.arm_stays {
        return Some(Symptom::OneBladeStill);
    }
    let last = goes.len().saturating_sub(1);
    Some(match goes.iter().position(|goes| !goes) {
        Some(_) if !any && of.motor_turned => Symptom::BladesStill,
        Some(_) if !any => Symptom::Dead,
        Some(0) => Symptom::NoLow,
        Some(dead) if dead == last => Symptom::NoHigh,
        Some(_) => Symptom::NoMedium,
        None if of.runs_on => Symptom::RunsOn,
        None if of.off_rest_mm > REST.cuts[0] => Symptom::DoesNotPark,
        None if beside_sound(|pace, sound| pace < SLOW_SHARE * sound) => Symptom::Slow,
        None if beside_sound(|pace, sound| pace > FAST_TIMES * sound) => Symptom::TooFast,
        None if at_intervals_off(of, sound) => Symptom::NoInterval,
        None if of.water.is_some_and(|water| water < LITTLE_WATER) => Symptom::NoWash,
        None if of.streak > STREAK.cuts[0] => Symptom::Streaks,
        None if of.knock_deg > KNOCK.cuts[0] => Symptom::Knocks,
        None => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::testing::standing;

    fn signature(text: &str, fault: Option<&str>) -> Signature {
        Signature::of(standing(text, fault)).unwrap()
    }

    /// A breaker that opens once the wipers are off, or in a position in which they do not go, cuts nothing out of their
    /// wiping, and what it leaves standing for a while is not laid to the positions that are tried next.
    #[test]
    fn what_trips_at_rest_is_told_by_what_the_blades_do() {
        let bus = include_str!("../../../scenarios/bus-compound.toml");
        let sedan = include_str!("../../../scenarios/sedan-reversing.toml");
        for (text, fault, told) in [
            (bus, "motor.shunt-field-open", Symptom::DoesNotPark),
            (bus, "wiper-switch.tie-open", Symptom::DoesNotPark),
            (bus, "loom-e1.short-to-ground", Symptom::NoLow),
            (bus, "resistor-h.short-to-ground", Symptom::NoHigh),
            (sedan, "motor-53a.short-to-ground", Symptom::DoesNotPark),
            (sedan, "motor-53.chafed", Symptom::CutsOut),
        ] {
            let (shown, sound) = (signature(text, Some(fault)), signature(text, None));
            assert_eq!(symptom(&shown, &sound), Some(told), "{fault}: {shown:?}");
        }
    }

    #[test]
    fn a_bus_without_its_shunt_field_is_fast_in_every_position() {
        let bus = include_str!("../../../scenarios/bus-compound.toml");
        let shown = signature(bus, Some("motor.shunt-field-open"));
        for speed in shown.speeds {
            let paces = [speed.pace, speed.again[0], speed.again[1]];
            assert!(
                paces.iter().all(|pace| (70.0..80.0).contains(pace)),
                "{speed:?}"
            );
        }
    }
}
