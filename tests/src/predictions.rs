//! What the marking reckons that a check would show, against what a person reads who makes it.
//!
//! The debrief names a better check by [`Snapshot::predict`], from one run in each position of the switch,
//! without going to the vehicle. Here somebody does go: the same settings in the same order, a minute or two of
//! walking and taking covers off, then the check itself. Ohms at rest are compared beside the ohmmeter.
//!
//! By design the two differ where a value goes on changing: what a person meets minutes later may be another
//! state of a breaker or a link, or other moments of a wipe. A check whose reading is another one half a minute
//! or two minutes later is left out, and so is where blades rest that stop anywhere. The meter's load is reckoned
//! with what it sees of the circuit at the last moment of the run: on a point that floats for a part of the wipe
//! only (53e where the park contact does not feed it, what crossed pins leave without a feed) the prediction is volts
//! off; and where blades stand in a running position is predicted as one place, though it is chance, as is what goes on
//! after OFF where a breaker went on opening and closing before it. These are shortcomings, left out here. All are
//! counted, and bounded. Volts are predicted as a mean without its swing, so the mean alone is compared.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Component, ComponentId, Fault, Kind, Node, Vehicle};
use groundside_engine::world::{
    Action, Conditions, Display, FEEL_RUN_S, Measurement, Observable, Quantity, Scale, Sense,
    Snapshot, Words, World,
};

use crate::fleet::{variants, vehicles};
use crate::ledger::{Known, Ledger, Scope};

crate::checks![
    marking_predicts_what_a_person_reads,
    marking_predicts_how_pivots_feel,
];

/// Seconds that each position is on before the next, as in the runs that the predictions come from.
const POSITION_S: u32 = 36;
/// Seconds that they are on for before they are looked at there.
const SETTLE_S: u32 = 12;
/// Seconds of looking: the meter's window, and the window that the predictions come from.
const WINDOWS_S: [f64; 2] = [4.0, 10.0];
/// How much later a check is made again, to see whether its value goes on changing, seconds: two moments, as
/// one alone may meet a breaker in the same state.
const LATER_S: [u32; 2] = [31, 120];
/// How often somebody listens for a breaker that opens and closes.
const LISTENED: usize = 8;
/// Most checks in a hundred that may be left out because the vehicle goes on changing: breakers and links
/// that trip, and brushes that lift.
const LEFT_OUT_MAX: f64 = 10.0;
/// And most because the prediction hangs on its moment: it is a node or two, with a few faults of very many.
const MOMENTARY_MAX: f64 = 1.0;
/// Millimetres of blade tip from where it rests that a sound vehicle never stands at.
const OFF_REST_MM: f64 = 90.0;

/// A vehicle that has come in.
fn come_in(vehicle: &Arc<Vehicle>, sound: &Arc<Vehicle>) -> World {
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: true,
    };
    let mut world = World::new(Arc::clone(vehicle), Arc::clone(sound), conditions).unwrap();
    world.arrive().unwrap();
    // A prediction is of one moment, a check of another, and by then a winding may have warmed. What is held here is
    // all else; in a marked attempt each hypothesis warms along with the vehicle itself.
    world.hold_values();
    world
}

/// What a person observes by an action.
fn does(world: &mut World, action: &Action) -> Vec<Observable> {
    let permitted = world.permit(action).unwrap();
    world.carry_out(&permitted).unwrap().observables
}

fn set(component: ComponentId, position: usize) -> Action {
    Action::Control {
        component,
        position,
        at_mid_glass: false,
        by_helper: true,
    }
}

/// The vehicle in each position of the wiper switch, by position, set in the order of the predictions' runs.
fn in_positions(mut world: World, key: ComponentId, wiper: ComponentId) -> Vec<World> {
    let last = world.vehicle().component(key).positions().len() - 1;
    let count = world.vehicle().component(wiper).positions().len();
    does(&mut world, &set(key, last));
    let mut list = Vec::new();
    for position in (0..count).rev() {
        does(&mut world, &set(wiper, position));
        does(&mut world, &Action::Wait { seconds: SETTLE_S });
        list.push(world.clone());
        does(
            &mut world,
            &Action::Wait {
                seconds: POSITION_S - SETTLE_S,
            },
        );
    }
    list.reverse();
    list
}

/// Every check that is worth making in a position with the key on.
fn checks(vehicle: &Vehicle, position: usize) -> Vec<Action> {
    let negative = vehicle.point_at(Node::REFERENCE).unwrap();
    let mut ends: Vec<_> = vehicle.points().map(|point| (point, negative)).collect();
    let paths = vehicle.components.iter().flat_map(|part| &part.paths);
    ends.extend(
        paths.filter_map(|path| Some((vehicle.point_at(path.p)?, vehicle.point_at(path.n)?))),
    );
    ends.retain(|(red, black)| vehicle.node(*red) != vehicle.node(*black));
    let volts = |(red, black)| Action::Measure {
        what: Measurement::Volts,
        red,
        black,
    };
    let mut list: Vec<Action> = ends.into_iter().map(volts).collect();
    let mut senses = vec![Sense::LookBlades, Sense::Listen];
    let is_ammeter = |part: &Component| matches!(part.kind, Kind::Ammeter);
    senses.extend(
        vehicle
            .components
            .iter()
            .any(is_ammeter)
            .then_some(Sense::Ammeter),
    );
    if position > 0 {
        senses.extend([Sense::Count, Sense::LookLinkage]);
    }
    for id in vehicle.ids() {
        let part = vehicle.component(id);
        if part.is_conductor() {
            list.push(Action::Clamp(id));
        }
        if position == 0 && matches!(part.kind, Kind::Consumer(_)) {
            senses.push(Sense::Try(id));
        }
        // With the motor on too: a fuse that goes in a position is blown from then on.
        if matches!(part.kind, Kind::Fuse(_)) || position == 0 && part.crusts() {
            senses.push(Sense::LookAt(id));
        }
    }
    list.extend(senses.into_iter().map(Action::Sense));
    list
}

/// How far the means of a value that swings may lie apart, as it is looked at for two spans that hold no whole
/// number of wipes: over `n` wipes and a rest of `r` seconds, the mean is off by at most `r (1 - r / p) / t` of
/// the swing, which is a quarter of a wipe over the span at most.
fn unfinished_wipe(swing: f64, wipe_s: f64) -> f64 {
    let share: f64 = WINDOWS_S.iter().map(|window| 0.25 * wipe_s / window).sum();
    swing * share.min(1.0)
}

/// A wipe, seconds, that creeps over its heaviest part: two minutes that begin at other moments of it differ by up
/// to a wipe, as most of its time goes by in a small part of it.
const CREEPING_S: f64 = 4.0;

/// The error that the scale states, in the unit: at two standard deviations, for either of two values.
fn stated(display: &Display, values: [f64; 2]) -> f64 {
    let [one, other] = values.map(|value| 2.0 * display.sd(value));
    one.max(other)
}

/// The word for a value, by its place.
fn level(words: &Words, value: f64) -> usize {
    words.cuts.iter().filter(|cut| value >= **cut).count()
}

/// How far an observable is from what is predicted, as a share of what it may be; beyond 1 it is another one.
fn share(found: &Observable, predicted: &Observable, wipe_s: f64) -> f64 {
    match &found.scale {
        Scale::Display(display) => {
            let swing = (found.max - found.min).max(predicted.max - predicted.min);
            let values = [found.readable(), predicted.readable()];
            let apart = (values[0] - values[1]).abs();
            let other_minute = if found.quantity == Quantity::CyclesPerMinute && wipe_s > CREEPING_S
            {
                1.0
            } else {
                0.0
            };
            apart / (stated(display, values) + unfinished_wipe(swing, wipe_s) + other_minute)
        }
        Scale::Words(words) => {
            let low = level(words, predicted.min - words.spread(predicted.min));
            let high = level(words, predicted.max + words.spread(predicted.max));
            let same = (low..=high).contains(&level(words, found.value));
            if same { 0.0 } else { 2.0 }
        }
    }
}

/// What is observed, as it can be paired: that the blades are seen from wherever one is, and whether a hand
/// was caught as the arms came off, tells nothing that another check does not, and is not predicted.
fn paired(found: &[Observable]) -> Vec<(Quantity, &str)> {
    let told = found
        .iter()
        .filter(|seen| !matches!(seen.quantity, Quantity::Blades | Quantity::Caught));
    let mut list: Vec<_> = told
        .map(|seen| (seen.quantity, seen.subject.as_str()))
        .collect();
    list.sort_unstable();
    list
}

/// The largest share by which what is observed is off; none when other things are observed.
fn worst(found: &[Observable], predicted: &[Observable], wipe_s: f64) -> Option<f64> {
    if paired(found) != paired(predicted) {
        return None;
    }
    let of = |one: &Observable| {
        let same =
            |other: &&Observable| (other.quantity, &other.subject) == (one.quantity, &one.subject);
        found
            .iter()
            .find(same)
            .map_or(f64::NAN, |found| share(found, one, wipe_s))
    };
    Some(predicted.iter().map(of).fold(0.0, f64::max))
}

/// Whether a breaker is heard.
fn clicks(heard: &[Observable]) -> bool {
    heard
        .iter()
        .any(|seen| seen.quantity == Quantity::Clicks && seen.value > 0.0)
}

/// Whether a breaker is heard that goes on opening and closing.
fn beats(world: &World) -> bool {
    let listen = Action::Sense(Sense::Listen);
    let mut heard = world.clone();
    (0..LISTENED).any(|_| clicks(&does(&mut heard, &listen)))
}

/// Whether a breaker goes on opening and closing, or a check made again later gives something else.
fn goes_on_changing(world: &World, check: &Action, found: &[Observable], wipe_s: f64) -> bool {
    beats(world)
        || LATER_S.iter().any(|&seconds| {
            let mut later = world.clone();
            does(&mut later, &Action::Wait { seconds });
            let again = does(&mut later, check);
            worst(&again, found, wipe_s).is_none_or(|share| share > 1.0)
        })
}

/// Whether a motor turns with blades that stand: the cam goes on opening and closing its park feed.
fn turns_in_vain(snapshot: &Snapshot) -> bool {
    let listened = snapshot.predict(&Action::Sense(Sense::Listen));
    let turns = |seen: &Observable| match &seen.scale {
        Scale::Words(words) => seen.quantity == Quantity::Pitch && seen.value > words.cuts[0],
        Scale::Display(_) => false,
    };
    !snapshot.moved() && listened.iter().any(turns)
}

/// Whether blades stand off their rest, in a position that does not drive them any longer, which they may do
/// anywhere; or a path is open all or some of the time and blades move, or a motor turns without them, when a point may
/// float for a part of the wipe only.
fn hangs_on_the_moment(world: &World, snapshot: &Snapshot, fault: Option<&Fault>) -> bool {
    // A crank that slips may take the blades along for a part of the way.
    let slips = fault.is_some_and(|fault| {
        let part = world.vehicle().component(fault.component);
        matches!(part.kind, Kind::CrankNut { .. })
    });
    if slips || turns_in_vain(snapshot) {
        return true;
    }
    if !snapshot.moved() {
        let looked = snapshot.predict(&Action::Sense(Sense::LookBlades));
        return looked
            .iter()
            .any(|seen| seen.quantity == Quantity::Rest && seen.max > OFF_REST_MM);
    }
    fault.is_some_and(|fault| {
        let mode = world.vehicle().mode(fault);
        let name = mode.name.as_str();
        let floats = ["open", "intermittent", "crossed", "stuck-out"];
        floats.iter().any(|end| name.ends_with(end))
    })
}

/// Whether the blades rest wherever they were as the switch went off: then which place it is is chance.
fn rests_anywhere(predicted: &[Observable]) -> bool {
    let far = |seen: &Observable| match &seen.scale {
        Scale::Words(words) => seen.max - seen.min > words.spread(seen.max),
        Scale::Display(_) => false,
    };
    predicted
        .iter()
        .any(|seen| seen.quantity == Quantity::Rest && far(seen))
}

/// Seconds of a wipe; without end where the blades stand.
fn wipe_s(snapshot: &Snapshot) -> f64 {
    let counted = snapshot.predict(&Action::Sense(Sense::Count));
    60.0 / counted.first().map_or(0.0, |seen| seen.value)
}

/// What was compared and what was left out.
#[derive(Default)]
struct Tally {
    compared: u32,
    changing: u32,
    anywhere: u32,
    momentary: u32,
}

impl Tally {
    /// Holds one check; `what` is told. `on` are the positions that were on before the switch went off, where it did.
    fn hold(
        &mut self,
        ledger: &mut Ledger,
        what: &str,
        fault: Option<&Fault>,
        (world, snapshot): (&World, &Snapshot),
        on: &[World],
        check: &Action,
    ) {
        let predicted = snapshot.predict(check);
        if rests_anywhere(&predicted) {
            self.anywhere += 1;
            return;
        }
        let mut after = world.clone();
        let found = does(&mut after, check);
        let wipe_s = wipe_s(snapshot);
        let share = worst(&found, &predicted, wipe_s);
        let agrees = share.is_some_and(|share| share <= 1.0);
        // A link takes its time to melt: it may have held as long as the prediction looks.
        let looks = matches!(check, Action::Sense(Sense::LookAt(_)));
        let melts = after.melted().is_some() && !looks;
        if !agrees && (melts || goes_on_changing(world, check, &found, wipe_s)) {
            self.changing += 1;
            return;
        }
        if !agrees && (hangs_on_the_moment(world, snapshot, fault) || on.iter().any(beats)) {
            self.momentary += 1;
            return;
        }
        self.compared += 1;
        let what = format!("{what}, {}", check.words(world.vehicle()));
        match share {
            Some(share) if agrees => ledger.near(
                format_args!("{what}: share of what may be off"),
                share,
                0.0,
                1.0,
            ),
            _ => ledger.fail(format_args!("{what}: {found:?} where {predicted:?}")),
        }
    }

    /// Holds the share that was left out.
    fn bound(&self, ledger: &mut Ledger) {
        let left_out = f64::from(self.changing + self.anywhere + self.momentary);
        let all = f64::from(self.compared) + left_out;
        ledger.between(
            format_args!(
                "checks in a hundred left out, {} changing, {} resting anywhere, {} hanging on the moment, of {all}",
                self.changing, self.anywhere, self.momentary
            ),
            100.0 * left_out / all,
            0.0,
            LEFT_OUT_MAX,
        );
        ledger.between(
            "checks in a hundred left out as they hang on the moment",
            100.0 * f64::from(self.momentary) / all,
            0.0,
            MOMENTARY_MAX,
        );
    }
}

/// How many variants are gone past for one that is looked at, and how many checks.
const fn strides(scope: Scope) -> (usize, usize) {
    match scope {
        Scope::Sample => (5, 23),
        Scope::Sweep => (1, 23),
        Scope::Full => (1, 1),
    }
}

fn marking_predicts_what_a_person_reads(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "the same check made on the vehicle, within the instrument's stated error",
    );
    let (past, between) = strides(ledger.scope());
    let mut tally = Tally::default();
    for sound in vehicles() {
        // Its flux may still be dying away, or the shaft creep, when the one looks and not when the other does.
        if crate::has_wound_field(&sound) {
            continue;
        }
        let (Some(key), Some(wiper)) = (sound.control("key"), sound.control("wiper")) else {
            continue;
        };
        for (number, variant) in variants(&sound).into_iter().enumerate().step_by(past) {
            let world = come_in(&variant.vehicle, &sound);
            let snapshots = world.clone().snapshots().unwrap();
            let worlds = in_positions(world, key, wiper);
            for (position, both) in worlds.iter().zip(&snapshots).enumerate() {
                // At intervals all hangs on the moment.
                if sound
                    .roles()
                    .is_some_and(|roles| roles.interval == Some(position))
                {
                    continue;
                }
                let what = format!("{}, wiper at {position}", variant.name);
                let first = (5 * number + 3 * position) % between;
                let on = if position == 0 { &worlds[1..] } else { &[] };
                for check in checks(&sound, position).iter().skip(first).step_by(between) {
                    tally.hold(ledger, &what, variant.fault.as_ref(), both, on, check);
                }
            }
        }
    }
    tally.bound(ledger);
}

/// The bushing of each pivot, its cover off first, after a minute in a position and the key off again.
fn marking_predicts_how_pivots_feel(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a hand on the same pivot");
    let (past, _) = strides(ledger.scope());
    for sound in vehicles() {
        let (Some(key), Some(wiper)) = (sound.control("key"), sound.control("wiper")) else {
            continue;
        };
        let last = sound.component(key).positions().len() - 1;
        let is_pivot = |id: &ComponentId| matches!(sound.component(*id).kind, Kind::Pivot { .. });
        let pivots: Vec<ComponentId> = sound.ids().filter(is_pivot).collect();
        for (number, variant) in variants(&sound).into_iter().enumerate().step_by(past) {
            let mut world = come_in(&variant.vehicle, &sound);
            let snapshots = world.clone().snapshots().unwrap();
            let pivot = pivots[number % pivots.len()];
            let position = 1 + number % (snapshots.len() - 1);
            let part = sound.component(pivot);
            let opened = part.cover.map_or(Action::Go(part.place), Action::Remove);
            for step in [
                opened,
                set(key, last),
                set(wiper, position),
                Action::Wait {
                    seconds: FEEL_RUN_S,
                },
                set(key, 0),
            ] {
                does(&mut world, &step);
            }
            let check = Action::Sense(Sense::Feel(pivot));
            let found = does(&mut world, &check);
            let predicted = snapshots[position].predict(&check);
            let what = format_args!("{}, {} after {position}", variant.name, part.id);
            match worst(&found, &predicted, 0.0) {
                Some(share) => ledger.near(what, share, 0.0, 1.0),
                None => ledger.fail(what),
            }
        }
    }
}
