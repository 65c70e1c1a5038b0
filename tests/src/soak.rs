//! Any command after any other, on any vehicle with any fault: nothing breaks, nothing that is read is not a
//! number, currents add up at every node, time never goes back, and whatever is wrong, the same things are
//! refused, cautioned against and charged for. The one thing that may set two vehicles apart is told in so many words
//! as it happens: whether the engine answered its starter.

use std::sync::Arc;

use groundside_engine::quantity::{Angle, SimTime};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Fault, Vehicle};
use groundside_engine::world::{Conditions, Outcome, Quantity, World};

use crate::actions::action;
use crate::fleet::vehicles;
use crate::ledger::{Known, Ledger, Scope};
use crate::space::Choice;

crate::checks![any_command_after_any_other];

/// Commands of one person at one vehicle.
const COMMANDS: u32 = 100;
/// Amperes that the currents at a node may be off zero.
const RESIDUAL_A: f64 = 1e-9;

/// Two vehicles that differ in what is wrong with them, and a person who does the same to both.
struct Pair {
    /// Whether both were told the same of how their engines start; from then on they know different things.
    start_alike: bool,
    worlds: [World; 2],
    now: SimTime,
}

impl Pair {
    fn of(sound: &Arc<Vehicle>, choice: &mut Choice) -> Self {
        let faults = sound.faults();
        let conditions = Conditions {
            glass: choice.one_of(&[Glass::Dry, Glass::Wet, Glass::Streaming]),
            rain: false,
            helper: choice.once_in(2),
        };
        let shaft = Angle::from_radians(choice.unit() * std::f64::consts::TAU);
        let worlds = [(), ()].map(|()| {
            let (component, mode, data) = &faults[choice.index(faults.len())];
            let severity = data.severity.map(|law| law.at(choice.unit()));
            let fault = Fault {
                component: *component,
                mode: *mode,
                severity,
            };
            let mut world = World::new(
                Arc::new(sound.inject(&fault)),
                Arc::clone(sound),
                conditions,
            )
            .expect("a fault leaves the mechanics whole");
            world.set_shaft(shaft);
            world.arrive().expect("a vehicle with a fault can be run");
            world
        });
        Self {
            start_alike: true,
            worlds,
            now: SimTime::START,
        }
    }

    /// Does one thing to both; whether it was allowed.
    fn does(&mut self, sound: &Vehicle, numbers: (u32, u32), ledger: &mut Ledger) -> bool {
        let action = action(sound, numbers.0, numbers.1);
        let words = format!("{action:?}");
        let [one, other] = self.worlds.each_ref().map(|world| world.permit(&action));
        ledger.holds(format_args!("{words}: allowed alike"), one == other);
        let Ok(permitted) = one else { return false };
        let mut outcomes: Vec<Outcome> = Vec::new();
        for world in &mut self.worlds {
            match world.carry_out(&permitted) {
                Ok(outcome) => outcomes.push(outcome),
                Err(error) => ledger.fail(format_args!("{words}: {error}")),
            }
            residual(world, &words, ledger);
        }
        let [one, other] = outcomes.as_slice() else {
            return false;
        };
        let alike = one.cost == other.cost && one.hazards == other.hazards;
        ledger.holds(format_args!("{words}: charged alike"), alike);
        self.start_alike = started(one) == started(other);
        let benches = self.worlds[0].bench() == self.worlds[1].bench();
        ledger.holds(
            format_args!("{words}: left alike, or told apart by the starter"),
            benches == self.start_alike,
        );
        for seen in one.observables.iter().chain(&other.observables) {
            let finite = seen.value.is_finite() && seen.min.is_finite() && seen.max.is_finite();
            ledger.holds(format_args!("{words}: {seen:?} is a number"), finite);
        }
        let now = self.worlds[0].bench().now;
        ledger.holds(format_args!("{words}: time goes on"), now >= self.now);
        self.now = now;
        true
    }
}

/// Whether an engine that was tried started, which is the last word on the scale of its answers.
fn started(outcome: &Outcome) -> Option<bool> {
    let mut seen = outcome.observables.iter();
    let answer = seen.find(|seen| seen.quantity == Quantity::Starts)?;
    Some(answer.value >= 2.0)
}

/// Currents at every node but the reference, whose own add up when all others do.
fn residual(world: &mut World, words: &str, ledger: &mut Ledger) {
    let point = match world.operating_point() {
        Ok(point) => point,
        Err(error) => return ledger.fail(format_args!("{words}: {error}")),
    };
    let speed = point.speed.radians_per_second();
    let mut sums = vec![0.0; world.vehicle().node_names.len()];
    for (index, element) in point.response.elements().iter().enumerate() {
        let amperes = point.response.current(index).at(speed);
        sums[element.p.index()] += amperes;
        sums[element.n.index()] -= amperes;
    }
    let worst = sums.into_iter().map(f64::abs).fold(0.0, f64::max);
    ledger.near(
        format_args!("current law after {words}"),
        worst,
        0.0,
        RESIDUAL_A,
    );
}

fn number(choice: &mut Choice) -> u32 {
    u32::try_from(choice.index(1 << 24)).expect("below 2 to the 24th")
}

fn any_command_after_any_other(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Kirchhoff's current law; and what is wrong with a vehicle is no reason to refuse or to charge",
    );
    let wanted = match ledger.scope() {
        Scope::Sample | Scope::Sweep => 5_000,
        Scope::Full => 200_000,
    };
    let fleet = vehicles();
    let mut done = 0;
    let mut run = 0_u32;
    while done < wanted {
        let sound = &fleet[run as usize % fleet.len()];
        let mut choice = Choice::of(&format!("soak {run}"));
        let mut pair = Pair::of(sound, &mut choice);
        for _ in 0..COMMANDS {
            let numbers = (number(&mut choice), number(&mut choice));
            done += u32::from(pair.does(sound, numbers, ledger));
            if !pair.start_alike {
                break;
            }
        }
        run += 1;
    }
}
