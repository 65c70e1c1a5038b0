//! Repairs in time: what is put right runs like new, what is not goes on as before, and what was hot stays hot.
//!
//! Somebody lets a faulty vehicle run, repairs a part and lets it run again; a sound vehicle, or one where the same
//! time passed with nothing done, is what it is held against. The world itself is worked on: no reading errors.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Fault, Vehicle};
use groundside_engine::world::{Action, Conditions, Observable, Quantity, World};

use crate::fleet::{Variant, variants};
use crate::ledger::{Known, Ledger, Scope};
use crate::{component, faulty, past_dead_centre, vehicle};

crate::checks![
    what_is_repaired_runs_like_new,
    another_repair_changes_nothing,
    a_new_breaker_is_closed_and_cold,
    a_crank_nut_done_up_puts_the_crank_on_its_mark,
];

/// Cycles a minute that a minute's count may be off as it begins at another angle of the crank: the crank's
/// speed varies by less than two fifths over a wipe, for a quarter of a wipe.
const COUNT_BOUND: f64 = 0.1;
/// Share of the current's swing that a mean over four seconds may be off by: a quarter of a wipe of less than
/// two seconds, in either of two readings.
const UNFINISHED_WIPE: f64 = 2.0 * 0.25 * 2.0 / 4.0;
/// Degrees that the crank may rest apart: the motor is braked from speeds that the grip of the blades
/// varies.
const PARK_BOUND_DEG: f64 = 3.0;
/// Degrees that a wheel may rest apart that turned without its crank: as far as the window of a park contact
/// is wide (common practice: some ten to twenty degrees), or it would not have stopped there.
const COAST_BOUND_DEG: f64 = 15.0;
/// Seconds of a wait of one second, which is charged in whole hundredths of a minute.
const TICK_S: f64 = 1.2;

/// Somebody at a vehicle.
#[derive(Clone)]
struct Mechanic {
    world: World,
}

impl Mechanic {
    fn at(changed: &Arc<Vehicle>) -> Self {
        let conditions = Conditions {
            glass: Glass::Wet,
            rain: false,
            helper: true,
        };
        let mut world = World::new(Arc::clone(changed), vehicle(), conditions).unwrap();
        world.arrive().unwrap();
        Self { world }
    }

    fn acts(&mut self, action: &Action) -> Vec<Observable> {
        let permitted = self.world.permit(action).unwrap();
        self.world.carry_out(&permitted).unwrap().observables
    }

    /// Does things in strict words.
    fn does(&mut self, list: &[&str]) -> Vec<Observable> {
        let mut seen = Vec::new();
        for words in list {
            let action = Action::from_words(words, self.world.vehicle()).unwrap();
            seen = self.acts(&action);
        }
        seen
    }

    /// What is observed of a quantity when something is done.
    fn finds(&mut self, words: &str, quantity: Quantity) -> Observable {
        let mut seen = self.does(&[words]).into_iter();
        seen.find(|seen| seen.quantity == quantity)
            .unwrap_or_else(|| panic!("`{words}` tells no {quantity:?}"))
    }

    /// Repairs a part by the way of this name, its first where none is given; minutes of it without the way there.
    fn repairs(&mut self, part: ComponentId, name: Option<&str>) -> f64 {
        let repairs = self.world.vehicle().component(part).repairs.clone();
        let named = |name: &str| repairs.iter().position(|way| way.name.as_str() == name);
        let way = name.map_or(Some(0), named).unwrap();
        self.acts(&Action::Repair {
            component: part,
            way,
        });
        repairs[way].labour.as_minutes()
    }

    /// Volts across the breaker over a wait of a second, by the meter left there.
    fn tick(&mut self) -> Observable {
        self.finds("wait 1", Quantity::Voltage)
    }

    /// Degrees that the crank stands past its resting dead centre.
    fn past_dead_centre(&self) -> f64 {
        past_dead_centre(self.world.vehicle(), self.world.crank())
    }
}

/// Every how many variants one is tried.
const fn stride(scope: Scope) -> usize {
    match scope {
        Scope::Sample => 6,
        Scope::Sweep => 2,
        Scope::Full => 1,
    }
}

/// A sample of faults, with their vehicles.
fn faults(sound: &Arc<Vehicle>, scope: Scope) -> Vec<(Variant, Fault)> {
    let list = variants(sound)
        .into_iter()
        .filter_map(|variant| variant.fault.map(|fault| (variant, fault)));
    list.step_by(stride(scope)).collect()
}

/// Count, supply current and the angle of rest, after a run with the fault, its repair and a while to cool.
/// `None` for what is only explained.
fn after_repair(
    changed: &Arc<Vehicle>,
    fault: &Fault,
    sound: &Vehicle,
) -> Option<(f64, Observable, f64)> {
    let mut mechanic = Mechanic::at(changed);
    mechanic.does(&[
        "helper set ignition-switch on",
        "helper set wiper-switch low",
        "wait 60",
    ]);
    mechanic.does(&["helper set ignition-switch off"]);
    let cures = sound.mode(fault).cures;
    let cure = cures.iter().find(|cure| cure.as_str() != "explain")?;
    mechanic.repairs(fault.component, Some(cure.as_str()));
    // What else a fault destroyed is put right as well.
    if let Some(link) = mechanic.world.melted() {
        mechanic.repairs(link, None);
    }
    mechanic.does(&["wait 600", "helper set ignition-switch on", "wait 20"]);
    let count = mechanic.finds("count", Quantity::CyclesPerMinute).value;
    let amps = mechanic.finds("clamp breaker-switch", Quantity::Current);
    // At one place of the wipe: how far it coasts hangs on where the switch goes off.
    mechanic.does(&["helper set wiper-switch off at-mid-glass", "wait 10"]);
    Some((count, amps, mechanic.past_dead_centre()))
}

fn what_is_repaired_runs_like_new(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a sound vehicle that has run as long");
    let sound = vehicle();
    for (variant, fault) in faults(&sound, ledger.scope()) {
        let after = |changed| after_repair(changed, &fault, &sound);
        let (Some((count, amps, rest)), Some((sound_count, sound_amps, sound_rest))) =
            (after(&variant.vehicle), after(&sound))
        else {
            continue;
        };
        let what = |of: &str| format!("{of} after repair of {}", variant.name);
        ledger.holds(what("it wipes"), sound_count > 20.0);
        ledger.near(what("cycles a minute"), count, sound_count, COUNT_BOUND);
        let bound = UNFINISHED_WIPE * (sound_amps.max - sound_amps.min);
        ledger.near(what("supply amperes"), amps.value, sound_amps.value, bound);
        ledger.near(what("degrees of rest"), rest, sound_rest, PARK_BOUND_DEG);
    }
}

/// A mechanic at a vehicle that runs at high speed, the meter left across the breaker, and the other part
/// within reach: it has been mended once, which did nothing either.
fn under_way(changed: &Arc<Vehicle>, other: ComponentId) -> Mechanic {
    let mut mechanic = Mechanic::at(changed);
    mechanic.does(&["clip wiper-breaker.in wiper-breaker.out"]);
    mechanic.repairs(other, None);
    mechanic.does(&[
        "helper set ignition-switch on",
        "helper set wiper-switch high",
        "wait 7",
    ]);
    mechanic
}

fn wait_minutes(minutes: f64) -> String {
    format!("wait {:.0}", 60.0 * minutes)
}

/// The breaker goes on with its heat, and trips and closes at the same moments; a fault goes on with its harm.
fn another_repair_changes_nothing(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "the same vehicle where the time passes with nothing done",
    );
    let sound = vehicle();
    let others = [
        "battery-link",
        "ammeter-ignition",
        "motor-53",
        "wiper-breaker",
    ];
    let others: Vec<ComponentId> = others.iter().filter_map(|id| sound.find(id)).collect();
    for (number, (variant, fault)) in faults(&sound, ledger.scope()).into_iter().enumerate() {
        // The breaker itself would come new; it is for the check below.
        let other = others[number % (others.len() - 1)];
        if other == fault.component {
            continue;
        }
        let mut repaired = under_way(&variant.vehicle, other);
        let mut left = repaired.clone();
        let minutes = repaired.repairs(other, None);
        left.does(&[&wait_minutes(minutes)]);
        let what = |of: &str| format!("{of}, {} and another repair", variant.name);
        for _ in 0..12 {
            let (one, two) = (repaired.tick(), left.tick());
            ledger.near(what("mean volts"), one.value, two.value, 1e-9);
            ledger.near(what("most volts"), one.max, two.max, 1e-9);
        }
        let crank = repaired.past_dead_centre() - left.past_dead_centre();
        ledger.near(what("degrees of the crank"), crank, 0.0, 1e-6);
        let faulty_still = *repaired.world.vehicle() == *variant.vehicle;
        ledger.holds(what("the fault is there"), faulty_still);
    }
}

/// Volts across the breaker that tell that it is open.
const OPEN_V: f64 = 5.0;
/// The breaker as the vehicle's file has it: ohms, the largest current that never trips it, and its time
/// constant.
const BREAKER_OHM: f64 = 0.02;
const ULTIMATE_A: f64 = 8.5;
const TIME_CONSTANT_S: f64 = 27.0;

/// Put in while the old one has tripped on a motor that cannot turn, it conducts at once, and trips when a
/// cold one does: its rise nears the square of the current by a first order, and the current falls as the motor's
/// copper warms.
fn a_new_breaker_is_closed_and_cold(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the law of a bimetal, from cold");
    for fault in ["left-pivot.seized", "right-pivot.seized"] {
        let breaker = component(&vehicle(), "wiper-breaker");
        let mut mechanic = under_way(&faulty(fault), breaker);
        let mut found = false;
        for _ in 0..40 {
            let mut repaired = mechanic.clone();
            let minutes = repaired.repairs(breaker, None);
            let mut left = mechanic.clone();
            left.does(&[&wait_minutes(minutes)]);
            // The old one is open then, and stays open for the tick.
            if left.tick().min > OPEN_V {
                found = true;
                let first = repaired.tick();
                ledger.between(
                    format_args!("volts across it, {fault}"),
                    first.max,
                    0.0,
                    1.0,
                );
                let kept = (-TICK_S / TIME_CONSTANT_S).exp();
                let (mut seen, mut before, mut rise) = (first, 0.0, 0.0);
                let mut amps = 0.0;
                for _ in 0..50 {
                    before = rise;
                    let trips = seen.max > OPEN_V;
                    // In the tick in which it opens the current of the one before stands for the rest.
                    amps = if trips {
                        amps
                    } else {
                        seen.value / BREAKER_OHM
                    };
                    rise = kept * rise + (1.0 - kept) * (amps / ULTIMATE_A).powi(2);
                    if trips {
                        break;
                    }
                    seen = repaired.tick();
                }
                let what = format_args!("rise over the one it trips at, {fault}");
                ledger.between(format_args!("{what}, a tick before"), before, 0.8, 1.005);
                ledger.between(format_args!("{what}, a tick after"), rise, 0.995, 1.2);
                break;
            }
            mechanic.does(&["wait 1"]);
        }
        ledger.holds(format_args!("it was tripped once, {fault}"), found);
    }
}

fn a_crank_nut_done_up_puts_the_crank_on_its_mark(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "where a sound vehicle rests");
    let run = [
        "helper set ignition-switch on",
        "helper set wiper-switch low",
        "wait 31",
        "helper set wiper-switch off",
        "wait 10",
    ];
    let mut sound = Mechanic::at(&vehicle());
    sound.does(&run);
    let mut slipped = 0;
    let taken_off = ["loosen crank-nut", "tighten crank-nut"];
    let ways = [
        &taken_off[..],
        &taken_off[1..],
        &["repair crank-nut tighten"],
    ];
    for slip in ["0.1", "0.3", "0.5", "0.7", "0.9", "1.1", "1.3", "1.5"] {
        let mut came = Mechanic::at(&faulty(&format!("crank-nut.loose:{slip}")));
        came.does(&run);
        let rest = |mechanic: &Mechanic| mechanic.past_dead_centre() - sound.past_dead_centre();
        slipped += u32::from(rest(&came).abs() > 2.0 * PARK_BOUND_DEG);
        for way in ways {
            let mut mechanic = came.clone();
            mechanic.does(way);
            // The wheel had less to turn and coasted further; it rests a little on until the next run.
            let what = format_args!("degrees of rest after {way:?}, slip at {slip} N.m");
            ledger.near(what, rest(&mechanic), 0.0, COAST_BOUND_DEG);
            mechanic.does(&run[1..]);
            let what = format_args!("the same after another run, {way:?}, slip at {slip} N.m");
            ledger.near(what, rest(&mechanic), 0.0, PARK_BOUND_DEG);
        }
    }
    ledger.holds("some had slipped and rested elsewhere", slipped > 0);
}
