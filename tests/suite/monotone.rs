//! What may never raise or lower a mark, held through whole attempts; the arithmetic by itself is held beside its code in
//! `engine/src/marking/arithmetic.rs`.

use groundside_engine::marking::{CheckLine, Debrief};
use proptest::prelude::*;

use crate::cheats::{again, checks};
use crate::marked::{Drawn, drawn, drawn_alone, total};

fn few(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// A check made again right then tells nothing and opens nothing.
fn a_repeat_never_raises(of: &Drawn, place: usize, times: usize) {
    let checks = checks(of);
    let place = checks[place % checks.len()];
    let (_, repeated) = of.play(&again(of, place, times));
    let (more, once) = (total(&repeated), total(&of.honest_debrief));
    assert!(more <= once, "{more} {once}: {} again", of.honest[place]);
    // And it is held against whoever makes it, once what was read stays as it was.
    let lines = &repeated.lines[place + 1..=place + times];
    for line in lines
        .iter()
        .filter(|line| line.repeats && line.efficiency.is_some())
    {
        assert_eq!(line.efficiency, Some(0.0), "{line:?}");
        assert!(line.lost.as_minutes() > 0.0, "{line:?}");
    }
}

#[test]
fn a_repeat_on_one_draw_never_raises_the_total() {
    drawn_alone(7, |of| a_repeat_never_raises(of, 0, 2));
}

/// What a repair is founded on after some of the honest one's checks: the belief in it, what ordering it lost, and the mark.
fn ordered_after(of: &Drawn, checks_made: usize) -> Option<[f64; 3]> {
    let made = checks(of);
    let begun = match checks_made {
        0 => &[],
        count => &of.honest[..=made[count - 1]],
    };
    let is_repair = |words: &&String| words.starts_with("repair");
    let repair = of.ending().iter().find(is_repair)?;
    let words = [
        begun,
        &["set ignition-switch off".to_owned(), repair.clone()],
    ]
    .concat();
    let (_, debrief) = of.play(&words);
    let line = debrief.lines.iter().find(|line| line.is_repair)?;
    Some([
        line.repair_chance?,
        line.lost.as_minutes(),
        debrief.score?.founded,
    ])
}

#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn the_same_repair_ordered_with_higher_belief_and_no_higher_loss_is_never_founded_less() {
    let mut compared = 0;
    for seed in [1, 3, 7] {
        drawn(seed, |of| {
            let after: Vec<[f64; 3]> = (0..=checks(of).len())
                .filter_map(|count| ordered_after(of, count))
                .collect();
            for one in &after {
                for other in after
                    .iter()
                    .filter(|other| other[0] > one[0] && other[1] <= one[1])
                {
                    compared += 1;
                    assert!(other[2] >= one[2] - 1e-9, "seed {seed}: {after:?}");
                }
            }
        });
    }
    assert!(compared >= 3, "{compared}");
}

/// What may be done before anything is known of a vehicle.
const DONE: [&str; 14] = [
    "set ignition-switch on",
    "set wiper-switch low",
    "set wiper-switch high",
    "look blades",
    "listen",
    "ammeter",
    "count",
    "ask",
    "try blower",
    "volts motor.53 battery.neg",
    "volts motor.31 battery.neg",
    "volts motor.53b battery.neg",
    "clamp motor-53",
    "wiggle motor-plug",
];

/// How lines are priced as long as everything read was alike, the first that read otherwise among them.
fn priced_alike(one: (&Debrief, &[String]), other: (&Debrief, &[String])) -> usize {
    let price = |line: &CheckLine| {
        (
            line.lost,
            line.efficiency,
            line.expected_bits.to_bits(),
            line.led_up,
        )
    };
    let mut compared = 0;
    for place in 0..one.1.len().min(other.1.len()) {
        let (a, b) = (&one.0.lines[place], &other.0.lines[place]);
        // Whether a check repeats itself hangs on what it read before and now.
        if a.repeats || b.repeats {
            continue;
        }
        assert_eq!(price(a), price(b), "{a:?}\n{b:?}");
        compared += usize::from(a.is_check);
        if one.1[place] != other.1[place] {
            break;
        }
    }
    compared
}

proptest! {
    #![proptest_config(few(24))]

    #[test]
    #[ignore = "takes minutes: .ci/slow runs it"]
    fn a_repeat_never_raises_the_total(
        seed in prop::sample::select(vec![1_u64, 3, 7, 8]), place in 0..9_usize, times in 1..4_usize,
    ) {
        drawn(seed, |of| a_repeat_never_raises(of, place, times));
    }

    /// Two vehicles of one complaint: by the same belief, the same action has the same price whatever came out.
    #[test]
    #[ignore = "takes minutes: .ci/slow runs it"]
    fn what_is_read_has_no_part_in_what_a_line_loses(
        words in prop::collection::vec(prop::sample::select(DONE.to_vec()), 3..9),
        pair in 0..3_usize,
    ) {
        let alike = alike();
        let (one, other) = alike[pair % alike.len()];
        let words = [&["set ignition-switch on"][..], &words, &["give-up"]].concat();
        let played = |seed: u64| drawn(seed, |of| {
            let (attempt, debrief) = of.play(&words);
            let events = attempt.events().iter();
            let read = events.map(|event| format!("{:?} {:?}", event.action, event.observations));
            (debrief, read.collect::<Vec<String>>())
        });
        let (a, b) = (played(one), played(other));
        priced_alike((&a.0, &a.1[..]), (&b.0, &b.1[..]));
    }
}

/// Pairs of draws with one complaint and something else wrong each.
fn alike() -> Vec<(u64, u64)> {
    let told: Vec<(u64, String, String)> = [1, 3, 7, 8, 9, 10, 11, 12]
        .into_iter()
        .map(|seed| {
            drawn(seed, |of| {
                let debrief = &of.honest_debrief;
                (
                    seed,
                    debrief.symptom.word().to_owned(),
                    debrief.fault_name.clone(),
                )
            })
        })
        .collect();
    let mut pairs = Vec::new();
    for (place, one) in told.iter().enumerate() {
        let others = told[place + 1..].iter();
        let alike = others.filter(|other| other.1 == one.1 && other.2 != one.2);
        pairs.extend(alike.map(|other| (one.0, other.0)));
    }
    assert!(!pairs.is_empty(), "{told:?}");
    pairs
}
