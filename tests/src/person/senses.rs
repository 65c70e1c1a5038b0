//! Eyes, ears and hands: where blades stand, the note of the motor, hum and clicks of a stall, arms, warmth, other
//! consumers.

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_engine::world::{Quantity, Trial};

use super::{BATTERY_V, Person};
use crate::ledger::{Known, Ledger};
use crate::vehicle;

crate::checks![
    tips_off_their_rest,
    the_note_of_the_motor,
    hum_and_clicks_of_a_stall,
    arms_by_hand,
    warmth_of_a_bad_joint,
    warmth_of_a_bushing,
    other_consumers,
];

/// The linkage, metres: crank, coupler, rocker, frame.
const LINKS_M: [f64; 4] = [0.067, 0.30, 0.0816, 0.31];
/// Turns of the shaft for one of the crank.
const RATIO: f64 = 60.0;
/// Friction of a bushing that turns freely, newton metres.
const BUSHING_NM: f64 = 0.15;
/// Rounding of sums of a few terms.
const ROUNDING: f64 = 1e-9;
/// By how much hand sums may be off, as a share: opens of a teraohm carry picoamperes, and no more.
const LEAKS: f64 = 1e-6;

/// Angle opposite to side `c` of a triangle, radians.
fn opposite(a: f64, b: f64, c: f64) -> f64 {
    ((a * a + b * b - c * c) / (2.0 * a * b)).acos()
}

/// Angle of the rocker from the line pivot to crank centre, radians, at a crank angle from that line, both on the
/// rocker's side of it.
fn rocker(crank: f64) -> f64 {
    let [a, b, c, d] = LINKS_M;
    let (along, across) = (d - a * crank.cos(), a * crank.sin());
    let reach = along.hypot(across);
    across.atan2(along) + opposite(c, reach, b)
}

/// Angle of the rocker with crank and coupler stretched into one line.
fn at_rest() -> f64 {
    let [a, b, c, d] = LINKS_M;
    opposite(c, d, a + b)
}

/// Angle that the rocker swings through: from stretched to folded.
fn sweep() -> f64 {
    let [a, b, c, d] = LINKS_M;
    (at_rest() - opposite(c, d, b - a)).abs()
}

fn tips_off_their_rest(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "law of cosines in the two triangles of a crank-rocker; arc = angle times radius of the blade's tip",
    );
    const TIP_MM: f64 = 650.0;
    let [a, b, c, d] = LINKS_M;
    let stretched = opposite(d, a + b, c);
    let folded = std::f64::consts::PI + opposite(d, b - a, c);
    let mut trial = Trial::new(&vehicle(), Glass::Wet).unwrap();
    let mut off_rest = |crank: f64| {
        trial.set_crank(Angle::from_radians(crank));
        trial.off_rest_mm()
    };
    // Angles to 1e-9; near a dead centre the arc goes with their square root.
    ledger.near("tip at rest, mm", off_rest(stretched), 0.0, 1e-3);
    let whole = sweep() * TIP_MM;
    ledger.near("whole arc of the tip, mm", off_rest(folded), whole, 1e-3);
    for degrees in (15..360).step_by(15) {
        let crank = stretched + f64::from(degrees).to_radians();
        let expected = (rocker(crank) - at_rest()).abs() * TIP_MM;
        let what = format_args!("tip with the crank {degrees} degrees on, mm");
        ledger.near(what, off_rest(crank), expected, 1e-6);
    }
}

fn the_note_of_the_motor(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "the shaft turns 60 times for one cycle: rad/s = cycles a minute x 60 x 2 pi / 60",
    );
    for position in ["low", "high"] {
        let mut person = Person::new();
        person.does_all(&[
            "set ignition-switch on",
            &format!("set wiper-switch {position}"),
        ]);
        let heard = person.finds("listen", Quantity::Pitch);
        let counted = person.finds("count", Quantity::CyclesPerMinute);
        let rate = counted * RATIO * std::f64::consts::TAU / 60.0;
        // Ten seconds are not whole cycles, and the load changes within one: two in a hundred.
        let what = format_args!("note in {position}, rad/s");
        ledger.near_share(what, heard, rate, 0.02);
        // After half an hour the note is the same.
        person.does("wait 1800");
        let later = person.finds("listen", Quantity::Pitch);
        let what = format_args!("note in {position} half an hour later, rad/s");
        ledger.near_share(what, later, rate, 0.02);
    }
    let mut person = Person::new();
    let silent = person.finds("listen", Quantity::Pitch);
    ledger.near("note of a motor that is off", silent, 0.0, 0.0);
}

/// Mean amperes of a stall in LOW between two moments, and how often the breaker moves by then. Its loop goes to the
/// switch, from there to the motor and by ground; limiter, two brushes, two halves of the ring side by side, which warm:
/// copper of 29 J/K gives 1.45 W/K to iron of 80 J/K, that 1 W/K to the case, which hardly warms in this time.
fn heard_of_a_stall(from: f64, to: f64) -> (f64, u32) {
    const STEP_S: f64 = 1e-4;
    let (mut bimetal, mut open, mut moves) = (0.0, false, 0);
    let (mut copper, mut iron, mut sum) = (0.0, 0.0, 0.0);
    let mut now = 0.0;
    while now < to {
        let ring = 2.4 / 4.0 * (1.0 + 0.00393 * copper);
        let ohms = 0.015 + 0.060 + 0.045 + 0.004 + 0.2 + 2.0 * 0.03 + ring;
        let amps = if open { 0.0 } else { BATTERY_V / ohms };
        bimetal += STEP_S / 27.0 * ((amps / 8.5_f64).powi(2) - bimetal);
        if if open { bimetal < 0.6 } else { bimetal > 1.0 } {
            open = !open;
            moves += 1;
        }
        let inner = 1.45 * (copper - iron);
        copper += STEP_S / 29.0 * (amps * amps * ring - inner);
        iron += STEP_S / 80.0 * (inner - iron);
        sum += if now >= from { amps * STEP_S } else { 0.0 };
        now += STEP_S;
    }
    (sum / (to - from), moves)
}

/// A pivot that has seized holds the motor still in LOW. The breaker (8.5 A for ever, 27 s) trips, cools to 0.6 of
/// its rise, closes, trips.
fn hum_and_clicks_of_a_stall(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Ohm's law around the loop; rises of bodies heated by i squared, step by step",
    );
    // 6 s for the switch, 5.4 s of waiting, and the 24 s that are charged are listened to.
    let (mean, moves) = heard_of_a_stall(11.4, 35.4);
    ledger.holds("in that time it trips and closes", moves == 2);
    let mut person = Person::with("right-pivot.seized");
    person.does_all(&["set ignition-switch on", "set wiper-switch low", "wait 5"]);
    let heard = person.does("listen").observables;
    let of = |quantity| {
        let found = heard.iter().find(|seen| seen.quantity == quantity);
        found.map_or(f64::NAN, |seen| seen.value)
    };
    ledger.near("clicks", of(Quantity::Clicks), 2.0, 0.0);
    ledger.near("note", of(Quantity::Pitch), 0.0, 0.0);
    // The loop's budget is rounded to a milliohm, and the trip hangs on the square of its current.
    ledger.near_share("hum, mean amperes", of(Quantity::Hum), mean, 0.01);
    let mut person = Person::with("right-pivot.seized");
    person.does_all(&[
        "set ignition-switch on",
        "set wiper-switch low",
        "set wiper-switch off",
        "set ignition-switch off",
    ]);
    let silent = person.finds("listen", Quantity::Hum);
    ledger.near("hum with the key off", silent, 0.0, 1e-6);
}

/// Holds what both arms are felt as, newton metres.
fn arms(ledger: &mut Ledger, person: &mut Person, what: &str, left: f64, right: f64) {
    for (arm, expected) in [("left", left), ("right", right)] {
        let found = person.finds(&format!("move {arm}-arm"), Quantity::ArmTorque);
        let what = format_args!("{arm} arm, {what}, N.m");
        ledger.near(what, found, expected, ROUNDING);
    }
}

fn arms_by_hand(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "an arm is felt with the friction of every bushing that moves along",
    );
    // What the worm holds is felt as beyond any hand: 1000 N.m stands for that.
    let held = 1000.0;
    for stiff in [0.0, 5.0] {
        let mut person = if stiff == 0.0 {
            Person::new()
        } else {
            Person::with("right-pivot.stiff:5")
        };
        let own = [BUSHING_NM, BUSHING_NM + stiff];
        arms(ledger, &mut person, "all done up", held, held);
        person.does("loosen connecting-link");
        arms(ledger, &mut person, "link off", held, own[1]);
        person.does("loosen crank-nut");
        arms(ledger, &mut person, "link and nut off", own[0], own[1]);
        person.does("tighten connecting-link");
        let both = own[0] + own[1];
        arms(ledger, &mut person, "nut off", both, both);
    }
}

/// The horn's loop with the key off, ohms: battery, wire, link, wire, pin, wire, ammeter, the horn's two wires with
/// the second pin between them, horn, ground wire; its stud is the strap's own, so no ground point.
fn horn_loop() -> f64 {
    let copper = 58.0;
    let feed = 0.015 + 0.001 + 0.006 + 0.004 + 0.003 + 0.0025 + 0.003;
    let own = 0.8 / copper + 0.003 + 1.5 / copper + 3.0 + 0.6 / copper;
    feed + own + 0.0005
}

/// The blower's loop: as far as the ammeter as above, wire, contact 30-15, wire, blower, ground wire, cowl, front
/// ground, strap.
fn blower_loop() -> f64 {
    let thick = 58.0 * 2.5;
    let feed = 0.015 + 0.001 + 0.006 + 0.004 + 0.003 + 0.0025 + 0.003 + 0.0025 + 0.01;
    feed + 1.2 / thick + 1.8 + 0.4 / thick + 0.0015 + 0.0015 + 0.0005
}

/// The radio's loop: contact 30-75 instead, and the ground point behind the switch panel.
fn radio_loop() -> f64 {
    let copper = 58.0;
    let feed = 0.015 + 0.001 + 0.006 + 0.004 + 0.003 + 0.0025 + 0.003 + 0.0025 + 0.01;
    feed + 0.7 / copper + 8.0 + 0.3 / copper + 0.002 + 0.0015 + 0.0005
}

fn warmth_of_a_bad_joint(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Joule: heat is current squared times resistance",
    );
    let mut person = Person::with("horn-ground.high-resistance:0.5");
    person.does("set horn on");
    let amps = BATTERY_V / (horn_loop() + 0.5);
    for (part, ohms) in [
        ("horn-ground", 0.5 + 0.6 / 58.0),
        ("bulkhead-horn", 1.5 / 58.0),
        ("battery-strap", 0.0005),
    ] {
        let felt = person.finds(&format!("feel {part}"), Quantity::Warmth);
        let what = format_args!("warmth of {part} under {amps:.2} A, W");
        ledger.near_share(what, felt, amps * amps * ohms, LEAKS);
    }
    person.does("set horn off");
    let cold = person.finds("feel horn-ground", Quantity::Warmth);
    ledger.near("warmth without current, W", cold, 0.0, 1e-6);
}

fn warmth_of_a_bushing(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "friction torque over the sweep there and back, once a cycle; first order in 120 s",
    );
    let mut person = Person::with("right-pivot.stiff:3");
    person.does_all(&[
        "set ignition-switch on",
        "set wiper-switch low",
        "wait 1800",
    ]);
    let cycles = person.finds("count", Quantity::CyclesPerMinute) / 60.0;
    for (pivot, torque) in [
        ("left-pivot", BUSHING_NM),
        ("right-pivot", BUSHING_NM + 3.0),
    ] {
        let felt = person.finds(&format!("feel {pivot}"), Quantity::Warmth);
        let expected = torque * 2.0 * sweep() * cycles;
        // The pace within a cycle counts by the moment one comes: a hundredth.
        let what = format_args!("warmth of the {pivot}, W");
        ledger.near_share(what, felt, expected, 0.01);
    }
    // Off, it cools: from the switch on, through 0.1 minutes there, 2 of waiting, 0.5 of way and 0.4 with the hand on.
    let hot = (BUSHING_NM + 3.0) * 2.0 * sweep() * cycles;
    person.does_all(&["set wiper-switch off", "wait 120"]);
    let felt = person.finds("feel right-pivot", Quantity::Warmth);
    let seconds = 60.0 * (0.1 + 2.0 + 0.5 + 0.4);
    let expected = hot * (-seconds / 120.0_f64).exp();
    // It wipes on for up to a cycle until it parks: two seconds of 120.
    let what = "warmth of the right pivot on its way to cold, W";
    ledger.near_share(what, felt, expected, 0.02);
}

fn other_consumers(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "voltage divider: a consumer has its share of the loop's resistance; rated for 12 V",
    );
    let share = |load: f64, whole: f64| BATTERY_V / 12.0 * load / whole;
    let mut strength = |fault: &str, key: &str, consumer: &str, expected: f64, bound: f64| {
        let mut person = if fault.is_empty() {
            Person::new()
        } else {
            Person::with(fault)
        };
        person.does(&format!("set ignition-switch {key}"));
        let found = person.finds(&format!("try {consumer}"), Quantity::Strength);
        let what = format_args!("strength of the {consumer}, key at {key}, fault `{fault}`");
        ledger.near(what, found, expected, bound);
    };
    strength("", "off", "horn", share(3.0, horn_loop()), LEAKS);
    strength("", "on", "blower", share(1.8, blower_loop()), LEAKS);
    strength("", "acc", "radio", share(8.0, radio_loop()), LEAKS);
    // Terminal 15 has nothing before the key is at on.
    strength("", "acc", "blower", 0.0, LEAKS);
    strength("", "off", "radio", 0.0, LEAKS);
    // All share the battery's strap; the horn's ground wire goes to it past the ground point behind the battery, so
    // that point and the one at the cowl are the blower's alone.
    let strap = "battery-strap.high-resistance:0.5";
    strength(strap, "off", "horn", share(3.0, horn_loop() + 0.5), LEAKS);
    strength(
        strap,
        "on",
        "blower",
        share(1.8, blower_loop() + 0.5),
        LEAKS,
    );
    strength(strap, "acc", "radio", share(8.0, radio_loop() + 0.5), LEAKS);
    for ground in ["front-ground", "cowl-ground"] {
        let ground = &format!("{ground}.high-resistance:0.5");
        strength(ground, "off", "horn", share(3.0, horn_loop()), LEAKS);
        strength(
            ground,
            "on",
            "blower",
            share(1.8, blower_loop() + 0.5),
            LEAKS,
        );
    }
}
