//! The heat of motors' windings in time, the resistance it gives them, and what it burns.
//!
//! What heats is the copper of the winding, a wound field's along with the armature's, and the current in turns that are
//! shorted; brushes and a limiting resistor give theirs to the brush plate, which is left out, as is friction. The
//! circuit has the copper's resistance at a temperature that stands until the copper is well off it, and then goes to the
//! nearest of a row of them ([`Staircase`], [`TREAD_K`] apart): so what the circuit does between stays in closed form,
//! cycles can be leapt over, and nothing hangs on how a run is parted. Of current in shorted turns the braking stays what
//! it is when cold. At [`BURNS_DEGC`] the varnish between the turns of a coil is gone: the motor has another value from
//! then on.

use super::decay::whole_step;
use super::motion::STEP_S;
use super::tally::Step;
use crate::machines::{Kept, Rises, Staircase};
use crate::quantity::{Interval, Power, Temperature};
use crate::vehicle::{ComponentId, Kind, Response, Vehicle};

/// Temperature of the copper at which a coil's turns short (judgement: enamel for 155 to 180 degrees for good, some minutes
/// beyond).
const BURNS_DEGC: f64 = 200.0;
/// How far apart the temperatures of the copper are that the circuit knows, kelvins: 0.8 % of the winding's resistance.
const TREAD_K: f64 = 2.0;
/// Temperature of the copper from which that is met exactly rather than at the end of a step.
const NEARLY_DEGC: f64 = 185.0;
/// How long a smell hangs about, seconds (judgement).
const SMELL_S: f64 = 600.0;
/// For how long one highest temperature is kept, seconds.
const PEAK_S: f64 = 30.0;

/// Power in a motor's windings while a setting stands, watts: a square in the speed that the circuit sees.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Loss {
    at_rest: f64,
    per_speed: f64,
    per_square: f64,
}

impl Loss {
    /// The power in a motor's winding.
    fn of(vehicle: &Vehicle, motor: ComponentId, response: &Response) -> Self {
        let component = vehicle.component(motor);
        let mut loss = Self::default();
        for (path, winding) in component.paths.iter().enumerate() {
            let Some(index) = response.element_of(motor, path) else {
                continue;
            };
            if !winding.is_winding() {
                continue;
            }
            let current = response.current(index);
            let ohms = response.elements()[index].resistance.ohms();
            loss.at_rest += ohms * current.at_rest * current.at_rest;
            loss.per_speed += 2.0 * ohms * current.at_rest * current.per_speed;
            loss.per_square += ohms * current.per_speed * current.per_speed;
        }
        if let Kind::Motor(data) = component.kind {
            loss.per_square += data.shorted_nms;
        }
        loss
    }

    /// At a speed, rad/s.
    fn at(self, speed: f64) -> f64 {
        self.at_rest + speed * (self.per_speed + self.per_square * speed)
    }

    /// The mean over a step that ends at a speed: its square by Simpson's rule.
    fn over(self, step: &Step, last: f64) -> Power {
        let sum = self.at(step.seen_before) + 4.0 * self.at(step.mean_seen) + self.at(last);
        Power::from_watts(sum / 6.0)
    }
}

/// The winding of one motor.
#[derive(Clone, Debug, PartialEq)]
struct Winding {
    motor: ComponentId,
    rises: Rises,
    /// Rise of the copper that the circuit knows of.
    held: Staircase,
    /// Whether it has burnt since it was put in.
    burnt: bool,
    /// Highest rises of the copper, each with the time from which on it is the highest.
    peaks: Vec<(f64, f64)>,
}

/// The windings of all motors of a vehicle.
#[derive(Clone, Debug)]
pub(super) struct Windings {
    list: Vec<Winding>,
    ambient_degc: f64,
    /// What is kept over a whole step, and over the last other one with its length in seconds: a field that
    /// swings takes many alike.
    whole: Kept,
    other: (f64, Kept),
    now_s: f64,
}

/// How warm windings were at one passing of the wheel's zero, and the highest since.
#[derive(Clone, Debug)]
pub(super) struct Warmths(Vec<(Rises, f64)>);

impl Windings {
    pub(super) fn new() -> Self {
        let whole = Kept::after(Interval::from_seconds(STEP_S));
        Self {
            list: Vec::new(),
            ambient_degc: 0.0,
            whole,
            other: (STEP_S, whole),
            now_s: 0.0,
        }
    }

    /// Goes on with the motors of a vehicle; those that were there stay as warm as they are.
    pub(super) fn rebuild(&mut self, vehicle: &Vehicle) {
        self.ambient_degc = vehicle.ambient.degrees_celsius();
        let motors = vehicle
            .ids()
            .filter(|&id| matches!(vehicle.component(id).kind, Kind::Motor(_)));
        self.list = motors
            .map(|motor| {
                let same = self.list.iter().find(|winding| winding.motor == motor);
                same.cloned().unwrap_or_else(|| Winding {
                    motor,
                    rises: Rises::default(),
                    held: Staircase::new(TREAD_K),
                    burnt: false,
                    peaks: Vec::new(),
                })
            })
            .collect();
    }

    /// Lets all cool right down, as over a night; what has burnt goes on smelling.
    pub(super) fn cool(&mut self) {
        for winding in &mut self.list {
            winding.rises = Rises::default();
            winding.held = Staircase::new(TREAD_K);
            winding.peaks.clear();
        }
    }

    /// Puts a new motor in.
    pub(super) fn renew(&mut self, motor: ComponentId) {
        for winding in self
            .list
            .iter_mut()
            .filter(|winding| winding.motor == motor)
        {
            winding.rises = Rises::default();
            winding.held = Staircase::new(TREAD_K);
            winding.burnt = false;
            winding.peaks.clear();
        }
    }

    /// The power in each of them while a setting stands.
    pub(super) fn losses(&self, vehicle: &Vehicle, response: &Response) -> Vec<Loss> {
        let motors = self.list.iter().map(|winding| winding.motor);
        motors
            .map(|motor| Loss::of(vehicle, motor, response))
            .collect()
    }

    /// Time until one burns at this speed, at most `longest` seconds.
    pub(super) fn until_burnt(&self, losses: &[Loss], speed: f64, longest: f64) -> f64 {
        let level = BURNS_DEGC - self.ambient_degc;
        let mut seconds = longest;
        for (winding, loss) in self.list.iter().zip(losses) {
            if !winding.burnt {
                let power = Power::from_watts(loss.at(speed));
                let longest = Interval::from_seconds(seconds);
                let time = winding.rises.time_to(level, power, longest);
                seconds = time.map_or(seconds, |time| time.seconds().min(seconds));
            }
        }
        seconds
    }

    /// Time until the circuit has to know of another temperature while the speed stays, at most `longest` seconds.
    pub(super) fn until_strayed(&self, losses: &[Loss], speed: f64, longest: f64) -> f64 {
        let mut seconds = longest;
        for (winding, loss) in self.list.iter().zip(losses) {
            let edges = winding.held.edges(winding.rises.copper);
            let power = Power::from_watts(loss.at(speed));
            let longest = Interval::from_seconds(seconds);
            let time = winding.rises.time_to_leave(edges, power, longest);
            seconds = time.map_or(seconds, |time| time.seconds().min(seconds));
        }
        seconds
    }

    /// Whether the circuit has to know of another temperature at the end of a cycle.
    pub(super) fn strayed(&self) -> bool {
        let mut all = self.list.iter();
        all.any(|winding| winding.held.strayed(winding.rises.copper, false))
    }

    /// Lets the circuit know of the temperatures of now, where they have strayed; whether any have.
    pub(super) fn follow(&mut self, within_cycle: bool) -> bool {
        let mut moved = false;
        for winding in &mut self.list {
            moved |= winding.held.follow(winding.rises.copper, within_cycle);
        }
        moved
    }

    /// Resistance of the copper of each, as the circuit knows it, in terms of a cold one's.
    pub(super) fn factors(&self) -> Vec<(ComponentId, f64)> {
        let air = Temperature::from_degrees_celsius(self.ambient_degc);
        let factor =
            |winding: &Winding| (winding.motor, Rises::copper_factor(winding.held.at(), air));
        self.list.iter().map(factor).collect()
    }

    /// Whether one is so hot that burning has to be met.
    pub(super) fn nearly_burnt(&self) -> bool {
        let level = NEARLY_DEGC - self.ambient_degc;
        let mut all = self.list.iter();
        all.any(|winding| !winding.burnt && winding.rises.copper > level)
    }

    /// Carries the heat over a step that ended at a speed; a motor that burns at its end.
    pub(super) fn warm(&mut self, losses: &[Loss], step: &Step, last: f64) -> Option<ComponentId> {
        let kept = self.kept(step.seconds);
        self.now_s += step.seconds;
        // The margin lets a step that ends exactly there count.
        let level = BURNS_DEGC - self.ambient_degc - 1e-9;
        let mut burns = None;
        for (winding, loss) in self.list.iter_mut().zip(losses) {
            winding.rises = winding.rises.after(loss.over(step, last), &kept);
            winding.note(self.now_s, winding.rises.copper);
            if !winding.burnt && winding.rises.copper >= level {
                winding.burnt = true;
                burns = Some(winding.motor);
            }
        }
        burns
    }

    /// What is kept over a step.
    fn kept(&mut self, seconds: f64) -> Kept {
        if whole_step(seconds) {
            return self.whole;
        }
        if self.other.0.to_bits() != seconds.to_bits() {
            self.other = (seconds, Kept::after(Interval::from_seconds(seconds)));
        }
        self.other.1
    }

    /// How warm they are, to know what a turn of the wheel adds.
    pub(super) fn mark(&self) -> Warmths {
        let list = self.list.iter();
        Warmths(
            list.map(|winding| (winding.rises, winding.rises.copper))
                .collect(),
        )
    }

    /// One more turn like the one since `earlier`, from which these came; `None` when one might burn in it, or the
    /// circuit has to know of another temperature on the way.
    pub(super) fn another_turn(
        &self,
        earlier: &Warmths,
        first: &Self,
        kept: &Kept,
        period: f64,
    ) -> Option<Self> {
        let level = BURNS_DEGC - self.ambient_degc;
        let mut next = self.clone();
        next.now_s += period;
        let before = earlier.0.iter().zip(&first.list);
        for (winding, ((rises, peak), after)) in next.list.iter_mut().zip(before) {
            let gained = after.rises.less(kept.of(*rises));
            let swing = peak - rises.copper.min(after.rises.copper);
            let hottest = winding.rises.copper + swing.max(0.0);
            winding.rises = kept.of(winding.rises).plus(gained);
            let coldest = winding.rises.copper - swing;
            if winding.held.strayed(hottest, true) || winding.held.strayed(coldest, true) {
                return None;
            }
            if !winding.burnt && hottest.max(winding.rises.copper + swing) >= level {
                return None;
            }
            winding.note(next.now_s, winding.rises.copper);
        }
        Some(next)
    }

    /// Temperatures of a motor's copper and iron, degrees Celsius.
    pub(super) fn temperatures(&self, motor: ComponentId) -> Option<(f64, f64)> {
        let winding = self.list.iter().find(|winding| winding.motor == motor)?;
        let rises = winding.rises;
        Some((
            self.ambient_degc + rises.copper,
            self.ambient_degc + rises.iron,
        ))
    }

    /// Temperature of a motor's case, degrees Celsius.
    pub(super) fn case_temperature(&self, motor: ComponentId) -> Option<f64> {
        let winding = self.list.iter().find(|winding| winding.motor == motor)?;
        Some(self.ambient_degc + winding.rises.case)
    }

    /// The hottest that a motor's copper was while the smell of it hangs about, degrees Celsius; what has burnt
    /// smells until it is replaced.
    pub(super) fn smells_of(&self, motor: ComponentId) -> Option<f64> {
        let winding = self.list.iter().find(|winding| winding.motor == motor)?;
        let since = self.now_s - SMELL_S;
        let recent = winding
            .peaks
            .iter()
            .filter(|(from, _)| from + PEAK_S >= since);
        let highest = recent.fold(winding.rises.copper, |high, (_, rise)| high.max(*rise));
        let highest = self.ambient_degc + highest;
        Some(if winding.burnt {
            highest.max(BURNS_DEGC)
        } else {
            highest
        })
    }
}

impl Warmths {
    /// Takes in how warm windings are now.
    pub(super) fn follow(&mut self, windings: &Windings) {
        for ((_, peak), winding) in self.0.iter_mut().zip(&windings.list) {
            *peak = peak.max(winding.rises.copper);
        }
    }
}

impl Winding {
    /// Keeps the highest rise of the copper of each half minute.
    fn note(&mut self, now_s: f64, rise: f64) {
        match self.peaks.last_mut() {
            Some((from, peak)) if now_s < *from + PEAK_S => *peak = peak.max(rise),
            _ => {
                self.peaks
                    .retain(|(from, _)| from + PEAK_S + SMELL_S >= now_s);
                self.peaks.push((now_s, rise));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::file::read_vehicle;
    use crate::quantity::Minutes;
    use crate::scenario::Glass;
    use crate::vehicle::Gate;
    use crate::world::observation::{Observation, Quantity};
    use crate::world::{Conditions, Errors, Observable, World};

    /// The van with a fault, its breaker bridged if so wanted, wipers on in a position.
    fn world(fault: Option<&str>, bridged: bool, position: usize) -> World {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let sound = Arc::new(read_vehicle(text).unwrap().0);
        let mut vehicle = fault.map_or_else(
            || Vehicle::clone(&sound),
            |name| sound.inject(&sound.parse_fault(name).unwrap()),
        );
        if bridged {
            let breaker =
                |part: &&mut crate::vehicle::Component| matches!(part.kind, Kind::Breaker(_));
            let breaker = vehicle.components.iter_mut().find(breaker).unwrap();
            breaker.paths[0].gate = Gate::Always;
        }
        let conditions = Conditions {
            glass: Glass::Wet,
            rain: false,
            helper: false,
        };
        let mut world = World::new(Arc::new(vehicle), sound, conditions).unwrap();
        let roles = world.vehicle().roles().unwrap();
        world.motion.setting.positions[roles.key.index()] = roles.key_on;
        world.motion.setting.positions[roles.wiper.index()] = position;
        world
    }

    fn run(world: &mut World, seconds: f64, calls: u32) -> (f64, f64) {
        let handling = world.handling(None);
        for _ in 0..calls {
            world
                .run(seconds / f64::from(calls), &[], &handling)
                .unwrap();
        }
        world.winding_temperature(world.motor().unwrap()).unwrap()
    }

    fn word(seen: &Observable) -> &'static str {
        match seen.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        }
    }

    fn smell(world: &mut World) -> &'static str {
        let motor = world.motor().unwrap();
        let seen = world.smell(motor, Minutes::from_hundredths(40)).unwrap();
        assert_eq!(seen[0].quantity, Quantity::Smell);
        word(&seen[0])
    }

    /// 12.6 V over 0.124 ohm of circuit, 0.26 of brushes and limiter and 0.6 of ring that rises as it warms.
    #[test]
    fn a_stalled_motor_warms_by_the_square_of_its_current() {
        let mut stalled = world(Some("left-pivot.seized"), true, 1);
        run(&mut stalled, 2.0, 1);
        let before = run(&mut stalled, 1e-3, 1);
        let (copper, iron) = run(&mut stalled, 40.0, 1);
        let kept = Kept::after(Interval::from_seconds(0.01));
        let mut expected = Rises {
            copper: before.0 - 20.0,
            iron: before.1 - 20.0,
            case: 0.0,
        };
        for _ in 0..4000 {
            let ring = 0.6 * (1.0 + 0.00393 * expected.copper);
            let amperes = 12.6 / (0.124 + 0.26 + ring);
            expected = expected.after(Power::from_watts(amperes * amperes * ring), &kept);
        }
        // The circuit's ohms are off by half a percent at most, half of it up and half of it down.
        assert!((copper - 20.0 - expected.copper).abs() < 0.2, "{copper}");
        assert!((iron - 20.0 - expected.iron).abs() < 0.2, "{iron}");
    }

    #[test]
    fn it_burns_at_the_moment_its_copper_is_at_200_degrees_and_a_new_one_is_sound() {
        let mut stalled = world(Some("left-pivot.seized"), true, 2);
        let motor = stalled.motor().unwrap();
        let burnt = |world: &World| match world.vehicle().component(motor).kind {
            Kind::Motor(data) => data.shorted,
            _ => f64::NAN,
        };
        let mut seconds = 0.0;
        let mut last = 0.0;
        while burnt(&stalled) == 0.0 {
            seconds += 1.0;
            assert!(seconds < 600.0 && last < 200.0, "{last} degrees");
            last = run(&mut stalled, 1.0, 1).0;
        }
        assert!((100.0..300.0).contains(&seconds), "{seconds} s");
        // In one run it burns at the same moment.
        let mut again = world(Some("left-pivot.seized"), true, 2);
        let before = run(&mut again, seconds - 1.0, 1);
        assert!(
            burnt(&again) == 0.0 && before.0 < 200.0 && before.0 > 198.0,
            "{before:?}"
        );
        run(&mut again, 1.0, 1);
        assert!((burnt(&again) - 1.0).abs() < 1e-15);
        assert_eq!(smell(&mut stalled), "burnt varnish");
        stalled.repair(motor, "brushes");
        assert!((burnt(&stalled) - 1.0).abs() < 1e-15);
        stalled.repair(motor, "replace");
        assert!(burnt(&stalled) == 0.0);
        let (copper, _) = stalled.winding_temperature(motor).unwrap();
        assert!((copper - 20.0).abs() < 1e-9);
    }

    #[test]
    fn a_smell_hangs_about_for_ten_minutes() {
        let mut stalled = world(Some("left-pivot.seized"), true, 1);
        assert_eq!(smell(&mut stalled), "nothing unusual");
        let mut hottest = 0.0;
        while hottest < 125.0 {
            hottest = run(&mut stalled, 5.0, 1).0;
        }
        assert_eq!(smell(&mut stalled), "warm varnish");
        stalled.motion.setting.positions.fill(0);
        run(&mut stalled, 500.0, 1);
        assert_eq!(smell(&mut stalled), "warm varnish");
        run(&mut stalled, 200.0, 1);
        assert_eq!(smell(&mut stalled), "nothing unusual");
    }

    /// With the breaker at work a stalled motor gets hot and no more.
    #[test]
    fn the_breaker_keeps_a_stalled_motor_from_burning() {
        for position in [1, 2] {
            let mut stalled = world(Some("left-pivot.seized"), false, position);
            let (copper, iron) = run(&mut stalled, 3600.0, 1);
            assert!(copper < 190.0 && iron > 40.0, "{copper}, {iron}");
            let motor = stalled.motor().unwrap();
            let felt = stalled.feel_motor(motor, Minutes::from_hundredths(40));
            assert_ne!(word(&felt.unwrap()), "cool");
        }
    }

    #[test]
    fn turns_that_are_leapt_over_warm_as_turns_that_are_gone_through() {
        for fault in [None, Some("motor.coil-shorted"), Some("motor.coil-open")] {
            for position in [1, 2] {
                let whole = run(&mut world(fault, false, position), 300.0, 1);
                let parts = run(&mut world(fault, false, position), 300.0, 600);
                assert!(
                    (whole.0 - parts.0).abs() < 5e-3,
                    "{fault:?}: {whole:?}, {parts:?}"
                );
                assert!(
                    (whole.1 - parts.1).abs() < 5e-3,
                    "{fault:?}: {whole:?}, {parts:?}"
                );
            }
        }
    }
}
