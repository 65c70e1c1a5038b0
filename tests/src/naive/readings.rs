//! Whole attempts, as a learner makes them: what meters and clamp show, what is counted against a watch, held
//! against the naive vehicle worked by a naive operator in the same minutes.
//!
//! A reading is off by the instrument's gain and by its own counts, each drawn normal with half of the accuracy
//! statement as its standard deviation: all readings must lie within twice the statement, nine in ten within it,
//! and over many attempts, each with an instrument of its own, they must not be off to one side.

use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::read_scenario;
use groundside_engine::quantity::{Minutes, Resistance, Voltage};
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::{Fault, Instrument, Kind, Point, Vehicle};
use groundside_engine::world::{
    Action, Cost, Followed, Measurement, Observation, Quantity, Sense, VOLTMETER,
};

use super::attempts::{Handles, choice_of};
use super::by_hand::NAIVE;
use super::friction;
use super::machine::{Naive, Seen};
use super::pair::HAND_NM;
use super::trace::DRIFT;
use crate::coverage::known;
use crate::fleet::{scenario_texts, variants};
use crate::ledger::{Known, Ledger, Scope};
use crate::space::Choice;

crate::checks![displayed_readings_are_those_of_the_naive_vehicle];

/// Seconds of a naive step: a reading is a mean over seconds.
const STEP_S: f64 = 2e-4;
/// Seconds of a piece in which the end of a turn of the crank is looked for.
const TURN_PIECE_S: f64 = 2e-3;
/// Seconds that a meter is watched, and blades are helped along or counted.
const METER_S: f64 = 4.0;
/// Seconds that the dash ammeter is read once its needle has come to rest.
const NEEDLE_S: f64 = 22.0;
const ASSIST_S: f64 = 10.0;
const COUNT_S: f64 = 60.0;
/// The ohmmeter: its EMF, its series resistance, its leads.
const OHMMETER: (f64, f64, f64) = (1.0, 1000.0, 0.2);
/// The diode range: EMF, series resistance, leads.
const DIODE: (f64, f64, f64) = (3.0, 2000.0, 0.2);
/// End of the dash ammeter's scale, amperes.
const DASH_END_A: f64 = 59.0;
/// How far a naive value may be off for its own reasons, as a share.
const NAIVE_SHARE: f64 = 0.005;

/// A naive reading, and how much of it hangs on the moment when a contact moved.
#[derive(Clone, Copy, Debug)]
struct Read {
    value: f64,
    moment: f64,
}

/// What was done, what it took, what was shown.
struct Played {
    action: Action,
    cost: Cost,
    /// Whether the wiper arms are off then: they come off with a cover that is on the way to a point.
    arms_off: bool,
    shown: Option<(Quantity, f64, f64)>,
}

/// Accuracy of an instrument: a share of the reading, and counts.
const fn statement(quantity: Quantity) -> Option<(f64, f64)> {
    match quantity {
        Quantity::Voltage => Some((0.005, 2.0)),
        Quantity::Resistance => Some((0.009, 2.0)),
        Quantity::Current => Some((0.02, 2.0)),
        // To about half a mark.
        Quantity::Discharge => Some((0.05, 0.5)),
        Quantity::CyclesPerMinute => Some((0.0, 1.0)),
        _ => None,
    }
}

/// The number on a display among what was observed.
fn shown(observations: &[Observation]) -> Option<(Quantity, f64, f64)> {
    observations.iter().find_map(|seen| match seen {
        Observation::Reading {
            quantity,
            shown: Some([mean, _, _]),
            resolution,
            ..
        } => Some((*quantity, mean.value(), *resolution)),
        _ => None,
    })
}

/// A random attempt on the engine.
struct Story {
    what: String,
    vehicle: Arc<Vehicle>,
    scenario: Arc<Scenario>,
    shaft: f64,
    played: Vec<Played>,
}

/// An action that the naive operator knows.
fn action(vehicle: &Vehicle, handles: &Handles, choice: &mut Choice) -> Option<Action> {
    let volts_or_ohms = |what, choice: &mut Choice| Action::Measure {
        what,
        red: choice.one_of(&handles.points),
        black: choice.one_of(&handles.points),
    };
    Some(match choice.index(18) {
        0..5 => {
            let wiper = handles.wiper.filter(|_| !choice.once_in(4));
            let (component, last) = wiper.or_else(|| choice_of(&handles.controls, choice))?;
            Action::Control {
                component,
                position: choice.index(last + 1),
                at_mid_glass: choice.once_in(4),
                by_helper: choice.once_in(3),
            }
        }
        5..9 => volts_or_ohms(Measurement::Volts, choice),
        9 | 10 => volts_or_ohms(Measurement::Ohms, choice),
        11 | 12 => {
            let wires: Vec<_> = vehicle
                .ids()
                .filter(|&id| vehicle.component(id).is_conductor())
                .collect();
            Action::Clamp(choice_of(&wires, choice)?)
        }
        13 => Action::Sense(Sense::Ammeter),
        14 => Action::Sense(Sense::Count),
        15 => Action::Assist(choice_of(&handles.arms, choice)?),
        16 => {
            let plug = choice_of(&handles.plugs, choice)?;
            if choice.once_in(2) {
                Action::Unplug(plug)
            } else {
                Action::Plug(plug)
            }
        }
        _ => {
            let nut = choice_of(&handles.undone, choice)?;
            if choice.once_in(2) {
                Action::Loosen(nut)
            } else {
                Action::Tighten(nut)
            }
        }
    })
}

impl Story {
    /// A random attempt of so many actions; `None` when the scenario has no words for what the fault brings.
    fn of(
        scenario: &Arc<Scenario>,
        (sound, fault): (&Arc<Vehicle>, Fault),
        number: u32,
        actions: usize,
    ) -> Option<Self> {
        let what = format!("attempt {number}, {}", sound.fault_name(&fault));
        let seed = Seed(u64::from(number));
        let mut attempt = Attempt::start(Assignment {
            sound: Arc::clone(sound),
            scenario: Arc::clone(scenario),
            seed,
            chosen: Some(fault.into()),
        })
        .ok()?;
        let mut choice = Choice::of(&what);
        let handles = Handles::of(sound);
        let mut played = Vec::new();
        let mut act = |action: Action| {
            // A contact that parts or closes under current burns, which the naive vehicle knows nothing of
            // (`suite/hazards/` holds it): plugs are worked with everything off.
            let plugs = matches!(action, Action::Unplug(_) | Action::Plug(_));
            if plugs
                && attempt
                    .bench()
                    .positions
                    .iter()
                    .any(|&position| position > 0)
            {
                return;
            }
            // What is refused costs nothing and changes nothing.
            let Ok(permitted) = attempt.permit(&action) else {
                return;
            };
            let event = attempt.carry_out(&permitted).unwrap();
            played.push(Played {
                shown: shown(&event.observations),
                cost: event.cost,
                arms_off: event.bench.arms_off(sound),
                action,
            });
        };
        for (component, last) in handles.key.into_iter().chain(handles.wiper) {
            act(Action::Control {
                component,
                position: last,
                at_mid_glass: false,
                by_helper: false,
            });
        }
        for _ in 0..actions {
            if let Some(action) = action(sound, &handles, &mut choice) {
                act(action);
            }
        }
        Some(Self {
            what,
            vehicle: Arc::new(sound.inject(&fault)),
            scenario: Arc::clone(scenario),
            shaft: TAU * Stream::new(seed, Purpose::InitialAngle).unit(),
            played,
        })
    }

    /// What a naive operator reads in the same attempt, free of error.
    fn on_naive(&self, step: f64) -> Vec<Option<Read>> {
        let mut naive =
            Naive::new(&self.vehicle, friction(&self.vehicle, self.scenario.glass)).unwrap();
        naive.step = step;
        naive.set_shaft(self.shaft);
        let mut operator = Operator {
            vehicle: &self.vehicle,
            naive,
            age: 0.0,
        };
        let on_glass = operator.naive.handled.friction;
        operator.arrive();
        let act = |played: &Played| {
            operator.naive.handled.friction = if played.arms_off { 0.0 } else { on_glass };
            operator.act(&played.action, played.cost)
        };
        self.played.iter().map(act).collect()
    }

    /// Holds the readings, and tells how far each is off, as a share of what the instrument's statement lets it be.
    fn hold(&self, naive: &[Option<Read>], ledger: &mut Ledger) -> Vec<(Quantity, f64)> {
        let mut errors = Vec::new();
        for (place, (played, expected)) in self.played.iter().zip(naive).enumerate() {
            let (Some((quantity, value, resolution)), Some(expected)) = (played.shown, expected)
            else {
                continue;
            };
            let Some((share, counts)) = statement(quantity) else {
                continue;
            };
            let Read {
                value: expected,
                moment,
            } = *expected;
            let stated = share * expected.abs() + (counts + 0.5) * resolution;
            let own = NAIVE_SHARE * expected.abs() + moment;
            let words = played.action.words(&self.vehicle);
            let what = format_args!("{}, {place}: {words}", self.what);
            ledger.near(what, value, expected, 2.0 * stated + own);
            errors.push((quantity, (value - expected) / (stated + own)));
        }
        errors
    }
}

/// A person who does by hand what the engine's does.
struct Operator<'v> {
    vehicle: &'v Vehicle,
    naive: Naive,
    /// Seconds since the first use.
    age: f64,
}

fn seconds(minutes: Minutes) -> f64 {
    60.0 * minutes.as_minutes()
}

impl Operator<'_> {
    /// The driver's last use: the first running position, off, key out, a night.
    fn arrive(&mut self) {
        let Some(roles) = self.vehicle.roles() else {
            return;
        };
        let (on, off) = (roles.key_on, roles.off);
        let first = roles.speeds.first().copied().unwrap_or(off);
        for (key_at, wiper_at, seconds) in [(on, first, 9.3), (on, off, 6.0), (0, off, 6.0)] {
            self.naive.set(roles.key.index(), key_at);
            self.naive.set(roles.wiper.index(), wiper_at);
            self.naive.run(seconds, &[]);
        }
        self.naive.cool();
    }

    /// Watches for the last seconds of an action.
    fn watch(&mut self, total: f64, window: f64, follow: &[Followed]) -> Vec<Seen> {
        let window = window.min(total);
        self.naive.run(total - window, &[]);
        self.naive.run(window, follow)
    }

    /// Follows one thing over a meter's window: its mean over as many whole turns of the crank as go into it by the pace of
    /// its first half, piece by piece until the last is through; over all of it where there is none.
    fn metered(&mut self, window: f64, follow: Followed) -> Seen {
        let half = 0.5 * window;
        let before = self.naive.turned;
        let first = self.naive.run(half, &[follow])[0];
        let turns = (self.naive.turned - before) / TAU;
        let whole = (2.0 * turns).floor();
        let whole = if whole >= 1.0 && whole >= turns {
            whole
        } else {
            f64::INFINITY
        };
        let (mut seen, mut summed, mut over, mut passed) = (first, first.mean * half, half, 0.0);
        while passed < half - 1e-9 {
            let piece = TURN_PIECE_S.min(half - passed);
            let more = self.naive.run(piece, &[follow])[0];
            passed += piece;
            (seen.min, seen.max) = (seen.min.min(more.min), seen.max.max(more.max));
            if (self.naive.turned - before) / TAU <= whole {
                summed += more.mean * piece;
                over += piece;
            }
        }
        seen.mean = summed / over;
        seen
    }

    /// Puts a meter on for the last seconds of an action.
    fn with_meter(&mut self, total: f64, meter: Instrument) -> Option<Seen> {
        if meter.red == meter.black {
            self.naive.run(total, &[]);
            return None;
        }
        let window = METER_S.min(total);
        self.naive.run(total - window, &[]);
        self.naive.connect(&[meter]);
        let seen = self.metered(window, Followed::Voltage(meter.red, meter.black));
        self.naive.connect(&[]);
        Some(seen)
    }

    /// A mean over a meter's window: what swings in it hangs on how far the two may be apart in time.
    fn read(&self, seen: Seen) -> Read {
        Read {
            value: seen.mean,
            moment: (seen.max - seen.min) * DRIFT * self.age / METER_S,
        }
    }

    /// Does what was done in the time it took, and reads what there is to read. Once a breaker cycles nothing is
    /// compared: whether it is open in a meter's seconds hangs on milliseconds at the first of its clicks.
    fn act(&mut self, action: &Action, cost: Cost) -> Option<Read> {
        let read = self.reads(action, cost);
        read.filter(|_| self.naive.clicks == 0)
    }

    fn reads(&mut self, action: &Action, cost: Cost) -> Option<Read> {
        self.naive.run(seconds(cost.access), &[]);
        let total = seconds(cost.work);
        self.age += seconds(cost.access) + total;
        match action {
            Action::Measure { what, red, black } => self.measure(*what, (*red, *black), total),
            Action::Clamp(wire) => {
                let window = METER_S.min(total);
                self.naive.run(total - window, &[]);
                let seen = self.metered(window, Followed::Current(*wire, 0));
                Some(self.read(seen))
            }
            Action::Sense(Sense::Ammeter) => {
                let is_one = |part: &Kind| matches!(part, Kind::Ammeter);
                let mut ids = self.vehicle.ids();
                let id = ids.find(|&id| is_one(&self.vehicle.component(id).kind))?;
                let window = NEEDLE_S.min(total);
                self.naive.run(total - window, &[]);
                let seen = self.metered(window, Followed::Current(id, 0));
                let read = self.read(seen);
                Some(Read {
                    value: read.value.clamp(-DASH_END_A, DASH_END_A),
                    ..read
                })
            }
            Action::Sense(Sense::Count) => {
                let window = COUNT_S.min(total);
                self.naive.run(total - window, &[]);
                let before = self.naive.turned;
                self.naive.run(window, &[]);
                Some(Read {
                    value: (self.naive.turned - before) / TAU * 60.0 / window,
                    moment: 0.0,
                })
            }
            other => {
                self.work(other, total);
                None
            }
        }
    }

    fn measure(&mut self, what: Measurement, leads: (Point, Point), total: f64) -> Option<Read> {
        let (emf, series, leads_ohm) = match what {
            Measurement::Volts => (0.0, VOLTMETER.ohms(), 0.0),
            Measurement::Ohms | Measurement::Continuity => OHMMETER,
            Measurement::Diode => DIODE,
            // What carries current is held by tests of its own.
            Measurement::Amps | Measurement::Lamp | Measurement::Load => {
                self.naive.run(total, &[]);
                return None;
            }
        };
        let meter = Instrument {
            red: self.vehicle.node(leads.0),
            black: self.vehicle.node(leads.1),
            resistance: Resistance::from_ohms(series + leads_ohm),
            emf: Voltage::from_volts(emf),
        };
        let seen = self.with_meter(total, meter)?;
        match what {
            Measurement::Volts | Measurement::Diode => Some(self.read(seen)),
            Measurement::Amps | Measurement::Lamp | Measurement::Load => None,
            Measurement::Ohms | Measurement::Continuity => {
                // On what moves an ohmmeter shows nonsense; only what stands still is compared.
                let amperes = (emf - seen.mean) / (series + leads_ohm);
                let steady = seen.max - seen.min < 1e-6 * amperes.abs() * series;
                let value = seen.mean / amperes + leads_ohm;
                steady.then_some(Read { value, moment: 0.0 })
            }
        }
    }

    /// What gives no reading.
    fn work(&mut self, action: &Action, total: f64) {
        match action {
            Action::Control {
                component,
                position,
                at_mid_glass,
                ..
            } => {
                let mut left = total;
                if *at_mid_glass {
                    let middle = self.naive.mechanics.wipe_begins() + 0.5 * PI;
                    let near = |naive: &Naive| naive.crank_near(middle, 0.05);
                    left -= self.naive.run_until(left - 1.0, &[], near).1;
                }
                self.naive.set(component.index(), *position);
                self.naive.run(left, &[]);
            }
            Action::Assist(arm) => {
                self.naive.handled.assist = Some((*arm, HAND_NM));
                self.watch(total, ASSIST_S, &[]);
                self.naive.handled.assist = None;
            }
            _ => {
                match action {
                    Action::Unplug(plug) => self.naive.unplug(plug.index(), true),
                    Action::Plug(plug) => self.naive.unplug(plug.index(), false),
                    Action::Tighten(part) => self.naive.do_up(&self.vehicle.component(*part).kind),
                    _ => {}
                }
                self.naive.run(total, &[]);
                // A nut holds until the work is done.
                if let Action::Loosen(part) = action {
                    self.naive.undo(&self.vehicle.component(*part).kind);
                }
            }
        }
    }
}

/// Scenarios with their vehicles, of those that the naive one can be.
fn scenarios(ledger: &mut Ledger) -> Vec<(Arc<Scenario>, Arc<Vehicle>)> {
    let vehicles = known(ledger);
    let of = |text: &String| {
        let scenario = Arc::new(read_scenario(text).unwrap());
        let vehicle = vehicles
            .iter()
            .find(|vehicle| vehicle.id == scenario.vehicle)?;
        Some((scenario, Arc::clone(vehicle)))
    };
    scenario_texts().iter().filter_map(of).collect()
}

fn displayed_readings_are_those_of_the_naive_vehicle(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    let (attempts, actions) = match ledger.scope() {
        Scope::Sample => (3, 12),
        Scope::Sweep => (40, 25),
        Scope::Full => (100, 25),
    };
    let scenarios = scenarios(ledger);
    let mut choice = Choice::of("attempts of a naive operator");
    let (mut number, mut unsettled) = (0, 0);
    let mut errors: Vec<Vec<(Quantity, f64)>> = Vec::new();
    while number < attempts {
        let (scenario, sound) = &scenarios[choice.index(scenarios.len())];
        let faults: Vec<Fault> = variants(sound).iter().filter_map(|v| v.fault).collect();
        let fault = choice.one_of(&faults);
        let Some(story) = Story::of(scenario, (sound, fault), number, actions) else {
            continue;
        };
        number += 1;
        let at_first = story.on_naive(STEP_S);
        let mut own = Ledger::of(ledger.scope());
        let mut held = story.hold(&at_first, &mut own);
        let mut hairy = 0;
        // Shorter steps cost as many times more, so the shortest come last.
        for finer in [2.0, 5.0] {
            if own.broken() == 0 {
                break;
            }
            let [short, shorter] = [finer, 3.0 * finer].map(|times| story.on_naive(STEP_S / times));
            let settled = settled(&short, &shorter);
            hairy = shorter.iter().flatten().count() - settled.iter().flatten().count();
            own = Ledger::of(ledger.scope());
            held = story.hold(&settled, &mut own);
        }
        unsettled += hairy;
        ledger.add(own);
        errors.push(held);
    }
    let all: Vec<f64> = errors.iter().flatten().map(|(_, error)| *error).collect();
    let (count, within) = (
        all.len(),
        all.iter().filter(|error| error.abs() <= 1.0).count(),
    );
    let told = format_args!("{unsettled} readings besides {count} hang on a hair");
    ledger.holds(told, unsettled * 100 <= 5 * count);
    let told = format_args!("{within} of {count} readings are within the statement");
    // Of a handful of readings one more may be off by chance.
    ledger.holds(told, 10 * (within + 1) >= 9 * count && 2 * count > actions);
    for (quantity, name) in [
        (Quantity::Voltage, "volts"),
        (Quantity::Resistance, "ohms"),
        (Quantity::Current, "clamp"),
        (Quantity::Discharge, "dash ammeter"),
        (Quantity::CyclesPerMinute, "count"),
    ] {
        not_to_one_side(ledger, name, &errors, quantity);
    }
}

/// Holds the mean error of a quantity, by attempts, within four and a half of its standard deviations: half a
/// statement, over the root of how many attempts there were.
fn not_to_one_side(
    ledger: &mut Ledger,
    name: &str,
    errors: &[Vec<(Quantity, f64)>],
    quantity: Quantity,
) {
    let (mut sum, mut attempts) = (0.0, 0_u32);
    for attempt in errors {
        let of = attempt.iter().filter(|(of, _)| *of == quantity);
        let (total, count) = of.fold((0.0, 0_u32), |(sum, n), (_, error)| (sum + error, n + 1));
        if count > 0 {
            sum += total / f64::from(count);
            attempts += 1;
        }
    }
    if attempts > 0 {
        let attempts = f64::from(attempts);
        let bound = 4.5 * 0.5 / attempts.sqrt();
        ledger.near(
            format_args!("{name}, mean error"),
            sum / attempts,
            0.0,
            bound,
        );
    }
}

/// The readings of the second list that agree with the first as far as a naive reading is held to.
fn settled(one: &[Option<Read>], other: &[Option<Read>]) -> Vec<Option<Read>> {
    let pairs = one.iter().zip(other);
    pairs
        .map(|pair| match pair {
            (Some(a), Some(b)) => {
                let bound = NAIVE_SHARE * b.value.abs() + b.moment + 1e-3;
                ((a.value - b.value).abs() <= bound).then_some(*b)
            }
            _ => None,
        })
        .collect()
}
