//! How a span of time is cut up must not matter: run in one call, in which the engine leaps over what repeats, or in
//! many short ones, in which it cannot; in its own steps, or in steps that the calls cut shorter.

use std::sync::Arc;

use groundside_engine::quantity::{Current, Interval};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Gate, Kind, Vehicle};
use groundside_engine::world::{Shaft, Trial};

use super::drawn::{Drawn, drawn, fleet};
use crate::fleet::{Variant, vehicles};
use crate::has_wound_field;
use crate::ledger::{Known, Ledger};
use crate::naive::supply;

crate::checks![
    leaping_comes_to_what_going_comes_to,
    leaps_end_before_a_trip,
    short_steps_come_to_what_long_ones_come_to,
];

/// How far two runs may be apart once a breaker has tripped, as a share.
const TRIPPED_SHARE: f64 = 0.02;

/// And what has flowed into a battery: the difference of two voltages that are near each other, so a tread of its surface
/// charge that moves a cycle later shows tenfold.
const CHARGED_SHARE: f64 = 2e-4;

/// Where a wound field follows its ampere turns: of second order as well, with a longer way to go than the speed.
const FLUX_SHARE: f64 = 3e-4;
/// Where relays move once or twice in each cycle: it begins where the last one happened to stop.
const RELAYS_SHARE: f64 = 1e-3;

/// What protections may carry for good so that they trip while a sound motor runs, amperes, and for how many seconds they
/// are watched.
const TOO_WEAK_A: [f64; 5] = [1.2, 1.6, 2.0, 2.5, 3.5];
const WATCHED_S: f64 = 40.0;

/// Moves of relays a second from which one buzzes.
const BUZZES_PER_S: f64 = 5.0;

/// Turns of the crank by which a stop differs that hangs on the moment: a shaft turns a few degrees of the crank in a
/// thousandth of a second.
const HANGS_TURNS: f64 = 0.05;
const LATER_S: [f64; 3] = [1e-3, 4e-3, 1e-2];
/// Turns of the crank by which one differs that hardly turns or is being stopped, and speed by which a shaft does.
const HALF_A_DEGREE: f64 = 1.4e-3;
const SPEED_RAD_S: f64 = 1.0;

/// By what share two runs may be apart that differ in their steps.
fn flux_share(vehicle: &Vehicle, with_magnets: f64) -> f64 {
    if has_wound_field(vehicle) {
        FLUX_SHARE
    } else {
        with_magnets
    }
}

/// What a span comes to.
#[derive(Clone, Debug, Default)]
struct Outcome {
    turns: f64,
    clicks: u32,
    relay_clicks: u32,
    /// Coulombs out of all batteries.
    charge: f64,
    /// Shaft speed at its end, rad/s.
    speed: f64,
}

/// A vehicle put into the positions of a draw.
fn started(vehicle: &Arc<Vehicle>, drawn: &Drawn) -> Trial {
    let query = drawn.query(vehicle, Shaft::Held);
    let mut trial = Trial::new(vehicle, query.glass).unwrap();
    for (control, position) in query.positions {
        trial.set(control, position);
    }
    for connector in query.unplugged {
        trial.unplug(connector, true);
    }
    trial
}

/// A span in so many calls.
fn run(trial: &mut Trial, vehicle: &Vehicle, seconds: f64, calls: u32) -> Outcome {
    let mut sum = Outcome::default();
    let span = seconds / f64::from(calls);
    for _ in 0..calls {
        let stretch = trial
            .run(Interval::from_seconds(span), &supply(vehicle))
            .unwrap();
        sum.turns += stretch.crank_turns;
        sum.clicks += stretch.clicks;
        sum.relay_clicks += stretch.relay_clicks;
        sum.charge -= stretch
            .followed
            .iter()
            .map(|seen| seen.mean * span)
            .sum::<f64>();
    }
    sum.speed = trial.shaft_speed().radians_per_second();
    sum
}

/// Variants without a brush that lifts or a broken coil: there a stop hangs on the last turn of sixty to a turn of the wheel.
fn steady_fleet() -> Vec<Variant> {
    let lifts = |variant: &Variant| {
        let mut paths = variant
            .vehicle
            .components
            .iter()
            .flat_map(|part| &part.paths);
        paths.any(|path| matches!(path.gate, Gate::ShaftOutside(_)))
    };
    let all = fleet().into_iter();
    all.filter(|variant| !lifts(variant)).collect()
}

/// Whether a span comes to something else when it is cut once in its first moments: what hunts about an edge of its cam, over
/// crossed pins or as it brakes over a bad ground, goes over it some times more or less, however it is reckoned. Of what does
/// not, both parts leap as the whole does, so a leap that is wrong shows none the less.
fn hangs_on_the_moment(
    (vehicle, drawn): (&Arc<Vehicle>, &Drawn),
    seconds: f64,
    whole: &Outcome,
    share: f64,
) -> bool {
    LATER_S.iter().any(|&later| {
        let mut trial = started(vehicle, drawn);
        let first = run(&mut trial, vehicle, later, 1);
        let rest = run(&mut trial, vehicle, seconds - later, 1);
        let turns = first.turns + rest.turns - whole.turns;
        let charge = first.charge + rest.charge - whole.charge;
        turns.abs() > 1e-3 + (1e-5 + 0.5 * share) * whole.turns.abs()
            || charge.abs() > 5e-3 + (3e-5 + 0.5 * share) * whole.charge.abs()
            || first.clicks + rest.clicks != whole.clicks
    })
}

fn leaping_comes_to_what_going_comes_to(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a cycle that repeats is the next one too");
    let fleet = steady_fleet();
    ledger.for_all(
        24,
        &(drawn(), 20.0..300.0_f64),
        |(drawn, seconds), ledger| {
            let variant = drawn.of(&fleet);
            let vehicle = &variant.vehicle;
            let seconds = seconds.round();
            let whole = run(&mut started(vehicle, drawn), vehicle, seconds, 1);
            // Calls of half a second: shorter than a turn of the wheel, over which alone there is something to leap.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "at most 600"
            )]
            let calls = (2.0 * seconds) as u32;
            let parts = run(&mut started(vehicle, drawn), vehicle, seconds, calls);
            // A relay that interrupts itself buzzes, and where a call ends makes its next beat another one.
            if f64::from(parts.relay_clicks) > BUZZES_PER_S * seconds {
                return;
            }
            let what = |name: &str| format!("{}: {name} in {seconds} s", variant.name);
            // Calls cut some steps short: paces change in the sixth digit. With a breaker that trips each cycle
            // begins where the last one happened to stop.
            let share = if parts.clicks > 0 {
                TRIPPED_SHARE
            } else if f64::from(parts.relay_clicks) > 0.5 * parts.turns.abs() {
                RELAYS_SHARE
            } else {
                0.0
            };
            if hangs_on_the_moment((vehicle, drawn), seconds, &whole, share) {
                return;
            }
            let turns = (flux_share(vehicle, 2e-5) + share) * parts.turns.abs() + 2e-3;
            ledger.near(what("turns"), whole.turns, parts.turns, turns);
            let drawn_share = if parts.charge < 0.0 {
                CHARGED_SHARE
            } else {
                5e-5
            };
            let charge = (drawn_share + share) * parts.charge.abs() + 1e-2;
            ledger.near(what("charge"), whole.charge, parts.charge, charge);
            ledger.near(
                what("clicks"),
                f64::from(whole.clicks),
                f64::from(parts.clicks),
                0.5,
            );
        },
    );
}

/// The fastest speed on wet glass until a protection that is too weak for it trips: the cycles before are alike but for
/// its heat, and not one more of them may be leapt over than there are.
fn leaps_end_before_a_trip(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a cycle that repeats is the next one too");
    for sound in vehicles() {
        let Some(roles) = sound.roles() else { continue };
        let of = |vehicle: &Arc<Vehicle>, calls: u32| {
            let mut trial = Trial::new(vehicle, Glass::Wet).unwrap();
            trial.set(roles.key, roles.key_on);
            let fastest = roles.speeds.last().copied();
            trial.set(roles.wiper, fastest.unwrap_or(roles.off));
            run(&mut trial, vehicle, WATCHED_S, calls)
        };
        // Some turns, and not all that there are where nothing trips.
        let tripped = 2.0..0.9 * of(&sound, 1).turns;
        let mut trips = 0;
        for carried in TOO_WEAK_A {
            let mut weak = Vehicle::clone(&sound);
            for part in &mut weak.components {
                if let Kind::Breaker(data) | Kind::FusibleLink(data) | Kind::Fuse(data) =
                    &mut part.kind
                {
                    data.ultimate = Current::from_amperes(carried);
                }
            }
            let weak = Arc::new(weak);
            // Calls of half a second leap over nothing.
            let (whole, parts) = (of(&weak, 1), of(&weak, 80));
            trips += u32::from(tripped.contains(&parts.turns));
            let what = |name: &str| format!("{}, {carried} A: {name}", sound.id);
            let turns = TRIPPED_SHARE * parts.turns + 2e-3;
            ledger.near(what("turns"), whole.turns, parts.turns, turns);
            let clicks = [whole.clicks, parts.clicks].map(f64::from);
            ledger.near(what("clicks"), clicks[0], clicks[1], 0.5);
        }
        let told = format_args!("{}: one of them trips after some turns", sound.id);
        ledger.holds(told, trips > 0);
    }
}

fn short_steps_come_to_what_long_ones_come_to(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "steps of second order, a sixteenth as long",
    );
    let fleet = steady_fleet();
    let cases = (drawn(), 1.0..4.0_f64);
    ledger.for_all(24, &cases, |(drawn, seconds), ledger| {
        let variant = drawn.of(&fleet);
        let vehicle = &variant.vehicle;
        let of = |rows: f64, seconds: f64| {
            let mut trial = started(vehicle, drawn);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "at most 16000"
            )]
            let calls = |seconds: f64| (rows * seconds).ceil().max(1.0) as u32;
            let running = run(&mut trial, vehicle, seconds, calls(seconds));
            if let Some(roles) = vehicle.roles() {
                trial.set(roles.wiper, roles.off);
            }
            let stopping = run(&mut trial, vehicle, 3.0, calls(3.0));
            [running, stopping]
        };
        let names = ["running", "and then off"];
        let long = of(0.0, *seconds);
        // Switched off some thousandths of a second later it stops elsewhere: where is chance, however it is reckoned.
        let later = LATER_S.map(|later| of(0.0, *seconds + later));
        let stops = |[_, off]: &[Outcome; 2]| off.turns;
        let hangs = later
            .iter()
            .any(|later| (stops(later) - stops(&long)).abs() > HANGS_TURNS);
        // The part of a step of 4 ms in which the crank goes half a degree, by which two runs may be apart anyway.
        let [_, step, _] = &later;
        let moved = (step[0].turns - long[0].turns).abs();
        let part = (HALF_A_DEGREE / moved).min(1.0);
        let hunts = hangs_on_the_moment((vehicle, drawn), *seconds, &long[0], 0.0);
        for (place, short) in of(4000.0, *seconds).into_iter().enumerate() {
            let (long, step, name) = (&long[place], &step[place], names[place]);
            let by_half_a_degree = |of: fn(&Outcome) -> f64| part * (of(step) - of(long)).abs();
            if hunts || hangs && name == names[1] {
                continue;
            }
            let what = |quantity: &str| format!("{}, {name}: {quantity}", variant.name);
            // Half a degree of the crank, by which one differs that hardly turns or is being stopped, and a share
            // of the way. What a fuse ends in its first steps ends in another of these.
            let brief = if short.turns.abs() < 0.02 { 2.0 } else { 1.0 } * HALF_A_DEGREE;
            let stops = if place == 1 {
                by_half_a_degree(|of| of.turns)
            } else {
                0.0
            };
            let turns = brief + stops + flux_share(vehicle, 3e-5) * short.turns.abs();
            ledger.near(what("turns"), long.turns, short.turns, turns);
            // Over a stiff pivot a speed changes much within that.
            let speed = SPEED_RAD_S + by_half_a_degree(|of| of.speed);
            ledger.near(what("speed"), long.speed, short.speed, speed);
            let charge = 5e-4 * short.charge.abs() + 1e-3;
            ledger.near(what("charge"), long.charge, short.charge, charge);
            ledger.near(
                what("clicks"),
                f64::from(long.clicks),
                f64::from(short.clicks),
                0.5,
            );
        }
    });
}
