//! The book's statement of each instrument, held to what the instruments then show: how far readings of many
//! learners are off, where ranges end, what an instrument puts on a circuit; and a lamp beside a meter behind a bad
//! joint, through the world that a person acts on.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io::Cursor;
use std::sync::Arc;

use groundside::{Exit, Host, Io, run};
use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::read_scenario;
use groundside_engine::quantity::Interval;
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::scenario::Glass;
use groundside_engine::world::{
    Action, Errors, Followed, KIT, Observable, Observation, Quantity, Scale, Trial,
};
use groundside_tests::actions::SCENARIO;
use groundside_tests::bare::bare;
use groundside_tests::person::Person;
use groundside_tests::{near, node, path_of, vehicle};

/// Open-circuit volts of the bare vehicle's battery.
const BATTERY_V: f64 = 12.6;

/// The book's chapter, by the name of the instrument.
fn book() -> BTreeMap<String, String> {
    let mut output = Vec::new();
    let exit = run(
        ["groundside", "practice", "--seed", "7"].map(OsString::from),
        &mut Io {
            input: Box::new(Cursor::new(b"data meter\npause\n".to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(std::io::sink()),
            host: Host::default(),
        },
    );
    assert_eq!(exit, Exit::Done);
    let text = String::from_utf8(output).unwrap();
    let (_, chapter) = text.split_once("> data meter\n").unwrap();
    let joined = chapter.replace("\n    ", " ");
    let rows = joined.lines().filter_map(|line| {
        let (name, statement) = line.strip_prefix("  ")?.split_once(": ")?;
        Some((name.to_owned(), statement.to_owned()))
    });
    rows.collect()
}

/// A statement as a buyer reads it.
#[derive(Debug)]
struct Stated {
    /// Error as a share of the reading.
    share: f64,
    /// Error in counts.
    counts: f64,
    /// Where each range ends, and its count.
    ranges: Vec<(f64, f64)>,
    /// Whether it is read to the nearest whole count, by a person.
    by_eye: bool,
}

/// `10 k` as a number; what is not one is left off.
fn number(text: &str) -> f64 {
    let mut words = text.split_whitespace();
    let value: f64 = words.next().unwrap().parse().unwrap();
    match words.next() {
        Some("k") => value * 1e3,
        Some("M") => value * 1e6,
        _ => value,
    }
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let (_, rest) = text
        .split_once(from)
        .unwrap_or_else(|| panic!("no `{from}` in `{text}`"));
    rest.split_once(to).map_or(rest, |(found, _)| found)
}

/// The last part of a statement.
fn last(statement: &str) -> &str {
    statement.rsplit("; ").next().unwrap()
}

impl Stated {
    fn read(statement: &str) -> Self {
        if statement.contains("whole cycles") {
            let counts = number(between(statement, "+/- ", ";"));
            return Self {
                share: 0.0,
                counts,
                ranges: vec![(f64::INFINITY, 1.0)],
                by_eye: true,
            };
        }
        let share = 0.01 * number(between(statement, "(", " %"));
        if statement.contains("marked in twos") {
            let marks = number(between(statement, "% + ", " of a mark"));
            return Self {
                share,
                counts: marks,
                ranges: vec![(f64::INFINITY, 2.0)],
                by_eye: true,
            };
        }
        let counts = number(between(statement, "% + ", " counts)"));
        let ranges = between(statement, "one count is ", ";").split(", ");
        let range = |text: &str| {
            let (count, limit) = text.split_once(" below ").unwrap();
            (number(limit), number(count))
        };
        Self {
            share,
            counts,
            ranges: ranges.map(range).collect(),
            by_eye: false,
        }
    }

    fn count(&self, value: f64) -> f64 {
        let range = self.ranges.iter().find(|(limit, _)| value.abs() < *limit);
        range.unwrap_or(self.ranges.last().unwrap()).1
    }

    fn error(&self, value: f64) -> f64 {
        self.share * value.abs() + self.counts * self.count(value)
    }
}

/// One observable of each instrument with numbers, and values that it may meet.
fn displays() -> Vec<(&'static str, Observable, Vec<f64>)> {
    let mut running = Person::new();
    running.does_all(&["set ignition-switch on", "set wiper-switch low"]);
    let mut apart = Person::new();
    apart.does_all(&["unplug motor-plug", "set ignition-switch on"]);
    apart.does("set wiper-switch low");
    let ohms = vec![
        0.37, 5.9, 48.3, 371.2, 1234.5, 34_567.0, 345_678.0, 3.46e6, 3.4e7,
    ];
    vec![
        (
            "volts",
            running.observes("volts battery.pos battery.neg", Quantity::Voltage),
            vec![
                0.0123, 0.3456, 1.234, 3.977, 7.123, 12.6, 14.23, 38.7, 123.4,
            ],
        ),
        (
            "ohms",
            Person::new().observes("ohms motor.53 motor.31", Quantity::Resistance),
            ohms,
        ),
        (
            "diode",
            Person::new().observes("diode motor.53 motor.31", Quantity::DiodeVoltage),
            vec![0.001, 0.0123, 0.6543, 1.2345, 1.9],
        ),
        (
            "amps",
            apart.observes("amps motor-plug.53 motor.53", Quantity::SeriesCurrent),
            vec![0.0123, 0.5, 2.345, 3.9, 7.89, 9.99],
        ),
        (
            "clamp",
            running.observes("clamp motor-strap", Quantity::Current),
            vec![0.234, 2.345, 6.789, 13.9, 93.3],
        ),
        (
            "trace",
            running
                .does("trace motor-strap")
                .observables
                .into_iter()
                .find(|seen| matches!(seen.scale, Scale::Display(_)))
                .unwrap(),
            vec![0.234, 2.345, 6.789, 13.9, 39.0],
        ),
        (
            "dash ammeter",
            running.observes("ammeter", Quantity::Discharge),
            vec![0.9, 2.3, 6.7, 13.9, 33.3, -8.8],
        ),
        (
            "count",
            running.observes("count", Quantity::CyclesPerMinute),
            vec![12.3, 44.6, 45.0, 67.89],
        ),
    ]
}

/// What a learner of this seed is shown of a value, as an attempt draws the errors.
fn shown(seen: &Observable, value: f64, seed: u64) -> Option<(f64, f64)> {
    let draw = |key: &str| Stream::keyed(Seed(seed), Purpose::ReadingError, key).normal();
    let errors = Errors {
        instrument: draw(&format!("instrument|{:?}", seen.quantity)),
        own: draw(&format!("{value}")),
    };
    let seen = Observable {
        value,
        min: value,
        max: value,
        ..seen.clone()
    };
    match seen.observe(errors) {
        Observation::Reading {
            shown, resolution, ..
        } => shown.map(|[mean, ..]| (mean.value(), resolution)),
        Observation::Perception { .. } => None,
    }
}

#[test]
fn readings_are_within_what_the_book_states() {
    let book = book();
    for (name, seen, values) in displays() {
        let stated = Stated::read(&book[name]);
        let (mut all, mut within, mut beyond) = (0_u32, 0_u32, 0_u32);
        for &value in &values {
            for seed in 0..400 {
                let Some((reading, _)) = shown(&seen, value, seed) else {
                    panic!("{name}: {value} is overrange");
                };
                // Who reads a mark or counts whole cycles is off by half of one before any error.
                let half = 0.5 * stated.count(value);
                let error = (reading - value).abs();
                let allowed = stated.error(value);
                let eye = if stated.by_eye { half } else { 0.0 };
                all += 1;
                within += u32::from(error <= allowed + eye + 1e-9);
                beyond += u32::from(error > 1.5 * allowed + half);
                assert!(
                    error <= 2.5 * allowed + half + 1e-9,
                    "{name}: {reading} shown of {value}"
                );
            }
        }
        let share = |count: u32| f64::from(count) / f64::from(all);
        assert!(share(within) >= 0.95, "{name}: {} within", share(within));
        assert!(share(beyond) <= 0.005, "{name}: {} beyond", share(beyond));
        // A statement that allowed twice as much would be as wrong as one that allowed too little.
        let sharp = values.iter().flat_map(|&value| {
            let (seen, stated) = (&seen, &stated);
            (0..400).map(move |seed| {
                let (reading, _) = shown(seen, value, seed).unwrap();
                u32::from((reading - value).abs() <= 0.5 * stated.error(value))
            })
        });
        let sharp: u32 = sharp.sum();
        assert!(share(sharp) < 0.9, "{name}: {} within half", share(sharp));
    }
}

#[test]
fn ranges_and_counts_are_those_of_the_book() {
    let book = book();
    for (name, seen, values) in displays() {
        let stated = Stated::read(&book[name]);
        let plain = |value: f64| {
            let seen = Observable {
                value,
                min: value,
                max: value,
                ..seen.clone()
            };
            let Observation::Reading {
                shown, resolution, ..
            } = seen.observe(Errors::NONE)
            else {
                panic!("{name} shows words");
            };
            shown.map(|[mean, ..]| (mean.value(), resolution))
        };
        for &value in &values {
            let (reading, resolution) = plain(value).unwrap();
            near(name, resolution, stated.count(value), 1e-12);
            near(name, reading, value, 0.5 * resolution + 1e-9);
        }
        for &(limit, count) in stated.ranges.iter().filter(|(limit, _)| limit.is_finite()) {
            near(name, plain(limit * 0.999).unwrap().1, count, 1e-12);
        }
        let end = stated.ranges.last().unwrap().0;
        assert!(end.is_infinite() || plain(end * 1.001).is_none(), "{name}");
    }
}

/// Errors drawn here are those that an attempt draws.
#[test]
fn an_attempt_reads_with_these_errors() {
    let sound = vehicle();
    let scenario = Arc::new(read_scenario(SCENARIO).unwrap());
    for seed in 0..4 {
        let mut attempt = Attempt::start(Assignment {
            sound: Arc::clone(&sound),
            scenario: Arc::clone(&scenario),
            seed: Seed(seed),
            chosen: Some(sound.parse_fault("left-pivot.stiff:6").unwrap().into()),
        })
        .unwrap();
        let action = Action::from_words("volts battery.pos battery.neg", &sound).unwrap();
        let event = attempt.act(&action).unwrap();
        let Observation::Reading {
            shown: Some([mean, ..]),
            ..
        } = &event.observations[0]
        else {
            panic!("{event:?}");
        };
        let draw = |key: &str| Stream::keyed(Seed(seed), Purpose::ReadingError, key).normal();
        let (gain, own) = (draw("instrument|Voltage"), draw(&event.keys[0]));
        let expected = 12.6 * (1.0 + 0.5 * 0.005 * gain) + 0.5 * 0.02 * own;
        near("volts", mean.value(), expected, 0.005 + 1e-6);
    }
}

/// How often a word of at least some level is chosen at a value.
fn chosen(seen: &Observable, value: f64, level: usize) -> f64 {
    let says = |seed: u64| {
        let key = format!("{value}");
        let own = Stream::keyed(Seed(seed), Purpose::ReadingError, &key).normal();
        let seen = Observable {
            value,
            min: value,
            max: value,
            ..seen.clone()
        };
        let errors = Errors {
            instrument: 0.0,
            own,
        };
        match seen.observe(errors) {
            Observation::Perception { level: found, .. } => u32::from(found >= level),
            Observation::Reading { .. } => panic!("a number"),
        }
    };
    f64::from((0..1000).map(says).sum::<u32>()) / 1000.0
}

#[test]
fn the_beep_ends_where_the_book_says() {
    let statement = &book()["continuity"];
    let limit = number(between(statement, "below ", " +/-"));
    let error = number(between(statement, "+/- ", " ohm"));
    near("limit", limit, 30.0, 0.0);
    let seen = Person::new().observes("continuity motor.53 motor.31", Quantity::Continuity);
    // Silence is the higher level.
    near("at the limit", chosen(&seen, limit, 1), 0.5, 0.05);
    assert!(chosen(&seen, limit - error, 1) < 0.04);
    assert!(chosen(&seen, limit + error, 1) > 0.96);
    // The leads' own resistance is in it: a joint of 29.9 ohm is on the other side.
    for (ohms, beeps) in [(28.0, true), (29.9, false), (40.0, false)] {
        let mut person = at(ohms);
        person.does("unplug battery-strap");
        let found = person.finds("continuity battery.pos load.feed", Quantity::Continuity);
        assert_eq!(found < limit, beeps, "{ohms} ohm: {found}");
    }
}

#[test]
fn lamps_are_as_bright_as_the_book_says() {
    let book = book();
    for (name, watts) in [("test lamp", 3.0), ("load lamp", 55.0)] {
        let statement = &book[name];
        near(name, number(statement), watts, 0.0);
        let words = if name == "test lamp" { "lamp" } else { "load" };
        let act = format!("{words} battery.pos battery.neg");
        let seen = Person::new().observes(&act, Quantity::Brightness);
        let (_, steps) = statement.split_once("; ").unwrap();
        let steps = steps.split("; ").next().unwrap().split(", ");
        for (level, step) in steps.enumerate() {
            let volts = number(between(step, "from ", " +/-"));
            let error = number(between(step, "+/- ", " V"));
            let rightly = |volts: f64| chosen(&seen, volts / 12.0, level + 1);
            near(step, rightly(volts), 0.5, 0.05);
            assert!(rightly(volts - error) < 0.05, "{step}");
            assert!(rightly(volts + error) > 0.95, "{step}");
        }
    }
}

/// A person at the bare vehicle with this resistance before the load.
fn at(ohms: f64) -> Person {
    Person::of(bare(ohms), bare(ohms))
}

#[test]
fn instruments_load_a_circuit_as_the_book_says() {
    let book = book();
    // Behind 1 Mohm the volts ranges are a part of a divider.
    let input = 1e6 * number(last(&book["volts"]));
    let volts = at(1e6).finds("volts load.feed battery.neg", Quantity::Voltage);
    // The load, when off, leaks as much as 1 Tohm lets by.
    let parallel = input * 1e12 / (input + 1e12);
    near(
        "volts",
        volts,
        BATTERY_V * parallel / (parallel + 1e6),
        2e-3,
    );
    let leads = number(between(&book["ohms"], "the leads' ", " ohm"));
    let mut person = at(100.0);
    person.does("unplug battery-strap");
    let pair = "battery.pos load.feed";
    let ohms = person.finds(&format!("ohms {pair}"), Quantity::Resistance);
    near("ohms with leads", ohms, 100.0 - 0.001 + leads, 1e-4);
    let milliamps = number(between(&book["diode"], "apart, ", " mA"));
    let diode = person.finds(&format!("diode {pair}"), Quantity::DiodeVoltage);
    let open = number(last(&book["diode"]));
    let behind = (open - 1.0) / (1e-3 * milliamps) + leads;
    near("diode", diode, open * 99.999 / (99.999 + behind), 1e-4);
    person.does("zero");
    let ohms = person.finds(&format!("ohms {pair}"), Quantity::Resistance);
    near("ohms without leads", ohms, 100.0 - 0.001, 1e-4);

    // In series: what the circuit lets through with the shunt in it.
    let shunt_words = &book["amps"];
    let shunt = number(last(shunt_words));
    let fuse = number(between(shunt_words, "fuse of ", " A"));
    for ohms in [10.0, 2.0] {
        let amps = at(ohms).finds("amps load.feed battery.neg", Quantity::SeriesCurrent);
        near("amps", amps, BATTERY_V / (ohms + shunt), 1e-3);
    }
    let meter = |amps: f64| {
        let mut person = at(BATTERY_V / amps - shunt);
        person.finds("amps load.feed battery.neg", Quantity::MeterFuse)
    };
    near("its fuse at its rating", meter(fuse), 0.0, 0.0);
    near(
        "its fuse at half as much again",
        meter(1.5 * fuse),
        1.0,
        0.0,
    );

    let lead = &book["jumper lead"];
    let (lead_ohms, lead_fuse) = (number(lead), number(between(lead, "fuse of ", " A")));
    let leading = |ohms: f64| {
        let mut person = at(ohms);
        person.does("jumper battery.neg load.feed");
        person.finds("clamp feed", Quantity::Current)
    };
    let amps = leading(2.0);
    near("jumper", amps, BATTERY_V / (2.0 + lead_ohms), 1e-3);
    let at_rating = leading(BATTERY_V / lead_fuse - lead_ohms);
    near("its fuse at its rating", at_rating, lead_fuse, 0.01);
    near(
        "its fuse at twice that",
        leading(0.5 * BATTERY_V / lead_fuse),
        0.0,
        1e-6,
    );

    let tester = number(&book["battery tester"]);
    let found = at(1.0).does("battery-test").observables;
    near("battery", found[0].value, BATTERY_V, 1e-3);
    near(
        "under load",
        found[1].value,
        BATTERY_V * tester / (tester + 0.0008),
        0.02,
    );
}

/// Volts and amperes of a source of 12.6 V behind a resistance, on a meter and on a lamp of 3 W that is lit: rows of a
/// published law, `I = 0.25 A (V / 12 V)^0.55`, solved by hand. In the last row that law would have the filament colder
/// than cold, at 4.15 ohm; a cold one has a tenth of its 48 ohm, so there 12.6 x 4.8 / 1004.8 = 0.06019 V and
/// 12.540 mA. (The law alone: 0.0521 V, 12.55 mA.)
const GHOSTS: [(f64, f64, f64, f64); 4] = [
    (0.5, 12.600, 12.472, 0.2554),
    (5.0, 12.600, 11.386, 0.2429),
    (100.0, 12.5999, 2.366, 0.1023),
    (1000.0, 12.5987, 0.060_19, 0.012_540),
];

#[test]
fn a_lamp_and_a_meter_behind_a_bad_joint() {
    for (ohms, alone, across, amps) in GHOSTS {
        let what = |what: &str| format!("{what} behind {ohms} ohm");
        let mut person = at(ohms);
        let meter = person.finds("volts load.feed battery.neg", Quantity::Voltage);
        near(&what("meter alone"), meter, alone, 1e-4);
        // The lamp in a person's hand: its filament follows, and ends at the most it comes to.
        let lamp = person.observes("lamp load.feed battery.neg", Quantity::Brightness);
        near(&what("lamp by eye"), 12.0 * lamp.max, across, 1e-3);
        // The lamp and its current, once it has settled.
        let vehicle = bare(ohms);
        let mut trial = Trial::new(&vehicle, Glass::Wet).unwrap();
        let (red, black) = (node(&vehicle, "load feed"), node(&vehicle, "battery neg"));
        trial.hold_lamp(Some((red, black, KIT.test_lamp)));
        let (wire, path) = path_of(&vehicle, "feed");
        let follow = [Followed::Voltage(red, black), Followed::Current(wire, path)];
        trial.run(Interval::from_seconds(5.0), &[]).unwrap();
        let seen = trial.run(Interval::from_seconds(1.0), &follow).unwrap();
        near(&what("across lamp"), seen.followed[0].mean, across, 6e-4);
        near(&what("lamp"), seen.followed[1].mean, amps, 6e-5);
        // Off again, the meter reads what it read before.
        trial.hold_lamp(None);
        let seen = trial.run(Interval::from_seconds(1.0), &follow).unwrap();
        near(&what("off again"), seen.followed[0].mean, 12.6, 1e-4);
    }
}

#[test]
fn a_load_lamp_shows_what_a_joint_holds() {
    // 55 W at 12 V are 4.583 A, 2.618 ohm hot and 0.2618 cold. Behind half an ohm the volts across it follow of
    // 12.6 = V + 0.5 x 4.583 (V / 12)^0.55, V = 10.474 by hand; behind 5 ohm the law gives 2.638; behind 100 ohm the
    // filament is cold: 12.6 x 0.2618 / 100.2618 = 0.0329 V. A meter alone has 12.6 V behind all of them.
    for (ohms, across) in [(0.5, 10.4736), (5.0, 2.6383), (100.0, 0.0329)] {
        let law = |volts: f64| {
            let hot: f64 = 55.0 / 12.0 * (volts / 12.0).powf(0.55);
            let cold = volts / (0.1 * 144.0 / 55.0);
            volts + ohms * hot.min(cold)
        };
        near("by hand", law(across), 12.6, 2e-3);
        let seen = at(ohms).observes("load load.feed battery.neg", Quantity::Voltage);
        near(&format!("behind {ohms} ohm"), seen.max, across, 5e-3);
    }
}

/// What an apprentice is to take home: on an open plug the meter passes a wire that carries nothing.
#[test]
fn a_meter_passes_a_wire_that_a_lamp_finds() {
    let sound = vehicle();
    let read = |fault: &str, words: &[&str]| {
        let mut attempt = Attempt::start(Assignment {
            sound: Arc::clone(&sound),
            scenario: Arc::new(read_scenario(SCENARIO).unwrap()),
            seed: Seed(5),
            chosen: Some(sound.parse_fault(fault).unwrap().into()),
        })
        .unwrap();
        let mut last = Vec::new();
        for words in words {
            let action = Action::from_words(words, &sound).unwrap();
            last.clone_from(&attempt.act(&action).unwrap().observations);
        }
        last
    };
    let set = [
        "unplug motor-plug",
        "set ignition-switch on",
        "set wiper-switch low",
    ];
    let with = |fault: &str, check: &str| {
        let mut words = set.to_vec();
        words.push(check);
        read(fault, &words)
    };
    let volts = |seen: &[Observation]| {
        let numbers = seen.iter().find_map(|seen| match seen {
            Observation::Reading {
                quantity: Quantity::Voltage,
                shown: Some([mean, ..]),
                ..
            } => Some(mean.value()),
            _ => None,
        });
        numbers.unwrap()
    };
    let word = |seen: &[Observation]| {
        let words = seen.iter().find_map(|seen| match seen {
            Observation::Perception {
                quantity: Quantity::Brightness,
                word,
                ..
            } => Some(*word),
            _ => None,
        });
        words.unwrap()
    };
    // A pivot that is stiff leaves the wire sound.
    let (sound_wire, bad_wire) = ("left-pivot.stiff:6", "motor-53.high-resistance:50");
    for fault in [sound_wire, bad_wire] {
        let meter = volts(&with(fault, "volts motor-plug.53 battery.neg"));
        near("meter alone", meter, 12.6, 2.0 * (0.005 * 12.6 + 0.02));
    }
    let load = "load motor-plug.53 battery.neg";
    assert_eq!(word(&with(sound_wire, load)), "is bright");
    let dark = with(bad_wire, load);
    assert_eq!(word(&dark), "stays dark");
    assert!(volts(&dark) < 0.2, "{dark:?}");
    // 50 ohm leave the small lamp 4.4 V, by its law: a glow, where it should be bright.
    assert_eq!(
        word(&with(sound_wire, "lamp motor-plug.53 battery.neg")),
        "is bright"
    );
    let dim = with(bad_wire, "lamp motor-plug.53 battery.neg");
    assert!(["glows faintly", "is dim"].contains(&word(&dim)), "{dim:?}");
}
