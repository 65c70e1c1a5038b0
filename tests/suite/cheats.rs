//! Ways to a mark without the work, each beside one who checks honestly on the same draws of the van. What each gets is
//! kept as a snapshot; that it stays below is held here.

use groundside_engine::attempt::{Attempt, Header, digest, parse, record_lines, replay};
use groundside_engine::learners::{Habit, Learner};
use groundside_engine::random::Seed;
use groundside_engine::vehicle::{ComponentId, Vehicle};
use groundside_engine::world::Action;

use crate::marked::{Drawn, drawn, drawn_alone, total};

/// Draws with one blade that stays (stripped splines), nothing that moves (a seized pivot) and slow blades (a stiff pivot).
pub(crate) const SEEDS: [u64; 3] = [1, 3, 7];

/// A way to cheat: the points that it stays below the honest mean by at least, and what is done.
struct Cheat {
    name: &'static str,
    margin: f64,
    words: fn(&Drawn) -> Vec<String>,
}

const fn cheat(name: &'static str, margin: f64, words: fn(&Drawn) -> Vec<String>) -> Cheat {
    Cheat {
        name,
        margin,
        words,
    }
}

/// What one who knows the answer does beforehand, to seem to look for it.
pub(crate) const LOOKS: [&str; 9] = [
    "ask",
    "look blades",
    "set ignition-switch on",
    "look blades",
    "set wiper-switch low",
    "look blades",
    "set wiper-switch high",
    "look blades",
    "set ignition-switch off",
];
const CHEAP: [&str; 10] = [
    "set ignition-switch on",
    "set wiper-switch low",
    "look blades",
    "listen",
    "ammeter",
    "set wiper-switch high",
    "look blades",
    "listen",
    "ammeter",
    "set ignition-switch off",
];

const CHEATS: [Cheat; 19] = [
    cheat("the right repair by a lucky guess at once", 35.0, |of| {
        of.ending().to_vec()
    }),
    cheat(
        "a copy practised before: looks, then the repair",
        20.0,
        |of| then(&LOOKS, of.ending()),
    ),
    cheat(
        "the same behind cheap checks, to raise the order",
        10.0,
        |of| then(&CHEAP, of.ending()),
    ),
    cheat("every repair, one after the other", 50.0, |of| {
        let every = repairs(&of.start.assignment().sound);
        [&every[..], &verified(of)].concat()
    }),
    cheat("every point measured first", 20.0, |of| {
        let points = volts(&of.start.assignment().sound);
        then(
            &["set ignition-switch on", "set wiper-switch low"],
            &[points, of.honest.clone()].concat(),
        )
    }),
    cheat("a good check ten times", 8.0, |of| repeated(of, 10)),
    cheat("the hint of the check each time, and obeyed", 8.0, |of| {
        before_checks(of, "hint which")
    }),
    cheat("every cause concluded, nothing repaired", 60.0, |of| {
        causes(&of.start)
    }),
    cheat("every cause concluded on the way", 0.0, |of| {
        [causes(&of.start), of.honest.clone()].concat()
    }),
    cheat("half an hour's wait", 15.0, |of| {
        then(&["wait 1800"], &of.honest)
    }),
    cheat("a wait before the first question", 15.0, |of| {
        then(&["wait 1800", "ask"], &of.honest)
    }),
    cheat("a wait before the repair", 15.0, |of| {
        before(of, "repair", &["wait 1800"])
    }),
    cheat("all covers off before the first question", 0.0, |of| {
        let covers = [
            "remove dash-panel",
            "remove bonnet-lid",
            "remove switch-panel",
        ];
        then(&[&covers[..], &["go cab", "ask"]].concat(), &of.honest)
    }),
    cheat("handed over as it came", 80.0, |_| Vec::new()),
    cheat("a fine write-up of the right cause, no work", 50.0, |of| {
        let last = of.honest.last().unwrap();
        vec![format!(
            "{last} measured, mended, tried in every position and found in order"
        )]
    }),
    cheat("the right cause concluded, no work", 50.0, |of| {
        vec![of.ending()[0].clone()]
    }),
    cheat("not tried after the repair", 8.0, unverified),
    cheat("thirty suspicions stated", 0.0, |of| {
        then(&["suspect wiring=30 motor=30"; 30], &of.honest)
    }),
    cheat(
        "the customer told of the battery, then checks for nothing",
        20.0,
        |of| then(&["repair battery explain"], &of.honest),
    ),
];

fn then(first: &[&str], rest: &[String]) -> Vec<String> {
    let first = first.iter().map(|words| (*words).to_owned());
    first.chain(rest.iter().cloned()).collect()
}

fn repairs(vehicle: &Vehicle) -> Vec<String> {
    let first = |component: ComponentId| {
        let way = Action::Repair { component, way: 0 };
        (!vehicle.component(component).repairs.is_empty()).then(|| way.words(vehicle))
    };
    vehicle.ids().filter_map(first).collect()
}

fn volts(vehicle: &Vehicle) -> Vec<String> {
    let name = |point| vehicle.point_name(point).replace(' ', ".");
    let points = vehicle.points().map(name);
    points
        .filter(|point| point != "battery.neg")
        .map(|point| format!("volts {point} battery.neg"))
        .collect()
}

fn causes(start: &Attempt) -> Vec<String> {
    let vehicle = &start.assignment().sound;
    let of = |id: ComponentId| {
        let component = vehicle.component(id);
        let modes = component.modes().into_iter();
        modes.map(move |mode| format!("conclude {}.{}", component.id, mode.name))
    };
    vehicle.ids().flat_map(of).collect()
}

/// What the honest one did after the last repair.
fn verified(of: &Drawn) -> Vec<String> {
    let repaired = |words: &String| words.starts_with("repair");
    let last = of.ending().iter().rposition(repaired).unwrap();
    of.ending()[last + 1..].to_vec()
}

fn unverified(of: &Drawn) -> Vec<String> {
    let kept = of.honest.len() - verified(of).len();
    let hand_over = of.honest.last().cloned();
    of.honest[..kept].iter().cloned().chain(hand_over).collect()
}

/// The places of the honest one's checks before the first verdict, in what was done.
pub(crate) fn checks(of: &Drawn) -> Vec<usize> {
    let lines = of.honest_debrief.lines.iter().enumerate();
    let before = lines.take_while(|(_, line)| !line.action.starts_with("conclude"));
    let checks = before.filter(|(_, line)| line.is_check);
    checks.map(|(place, _)| place).collect()
}

/// The honest attempt with the first check made again and again.
fn repeated(of: &Drawn, times: usize) -> Vec<String> {
    again(of, checks(of)[0], times)
}

/// The honest attempt with what was done at a place done again right then.
pub(crate) fn again(of: &Drawn, place: usize, times: usize) -> Vec<String> {
    let (begun, rest) = of.honest.split_at(place + 1);
    let more = vec![of.honest[place].clone(); times];
    [begun, &more, rest].concat()
}

fn before(of: &Drawn, verb: &str, words: &[&str]) -> Vec<String> {
    let place = of.honest.iter().position(|word| word.starts_with(verb));
    let (begun, rest) = of.honest.split_at(place.unwrap());
    [begun, &then(words, rest)].concat()
}

fn before_checks(of: &Drawn, words: &str) -> Vec<String> {
    let checks = checks(of);
    let with = |(place, done): (usize, &String)| {
        let hint = checks.contains(&place).then(|| words.to_owned());
        hint.into_iter().chain([done.clone()])
    };
    of.honest.iter().enumerate().flat_map(with).collect()
}

fn mean(of: &[f64]) -> f64 {
    of.iter().sum::<f64>() / f64::from(u32::try_from(of.len()).unwrap())
}

fn row(name: &str, totals: &[f64]) -> String {
    let each: String = totals
        .iter()
        .map(|total| format!(" {total:>4.0}"))
        .collect();
    format!("{name:<58}{each}  {:>5.1}\n", mean(totals))
}

#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn no_way_around_the_work_comes_near_to_it() {
    let honest = SEEDS.map(|seed| drawn(seed, |of| total(&of.honest_debrief)));
    let mut table = row("checked by most told a minute", &honest);
    let mut short = Vec::new();
    let mut told = |name: &str, margin: f64, totals: &[f64]| {
        table += &row(name, totals);
        if mean(totals) > mean(&honest) - margin {
            short.push(format!("{name}: {totals:?} beside {honest:?}"));
        }
    };
    let swapper = Learner {
        habit: Habit::Swapper,
        slips: 0.0,
    };
    let swaps = SEEDS.map(|seed| {
        drawn(seed, |of| {
            let played = swapper.play(&of.marker, of.start.clone(), Seed(seed));
            total(&played.unwrap().1)
        })
    });
    told(
        "parts swapped, the likeliest for its price first",
        40.0,
        &swaps,
    );
    for cheat in &CHEATS {
        let totals = SEEDS.map(|seed| drawn(seed, |of| total(&of.play(&(cheat.words)(of)).1)));
        told(cheat.name, cheat.margin, &totals);
    }
    insta::assert_snapshot!("ways_to_cheat", table);
    assert!(short.is_empty(), "{short:#?}\n{table}");
}

/// On one draw, with every change: a guess that hits, minutes that were hidden behind a question, hints obeyed.
#[test]
fn on_one_draw_a_lucky_guess_a_hidden_wait_and_hints_stay_below() {
    drawn_alone(7, |of| {
        let honest = total(&of.honest_debrief);
        for name in [
            "the right repair by a lucky guess at once",
            "a wait before the first question",
            "the hint of the check each time, and obeyed",
        ] {
            let cheat = CHEATS.iter().find(|cheat| cheat.name == name).unwrap();
            let got = total(&of.play(&(cheat.words)(of)).1);
            assert!(
                got <= honest - cheat.margin,
                "{name}: {got} beside {honest}"
            );
        }
    });
}

/// Lines with their chain made anew from `from` on, as one who knows how would.
fn chained_again(lines: &[String]) -> String {
    let mut before = String::new();
    let mut text = String::new();
    for line in lines {
        let body = format!("{}}}", line.rsplit_once(",\"chain\":").unwrap().0);
        before = digest(&format!("{before}{body}"));
        let open = body.strip_suffix('}').unwrap();
        text += &format!("{open},\"chain\":\"{before}\"}}\n");
    }
    text
}

/// A reading made better than it was is found by playing the record again, however well its chain was mended. What was left
/// out altogether is not: such a record is that of an attempt that could have been.
#[test]
fn an_edited_reading_is_found_and_an_attempt_that_could_have_been_is_one() {
    let words = [
        "set ignition-switch on",
        "set wiper-switch high",
        "ammeter",
        "hand-over slow left-pivot.stiff none",
    ];
    let recorded = |words: &[&str]| {
        let mut attempt = crate::marking::begin(7);
        for words in words {
            let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
            attempt.act(&action).unwrap();
        }
        let header = Header::of(attempt.assignment(), "van", "rain");
        (record_lines(&attempt, &header).unwrap(), header)
    };
    let (lines, header) = recorded(&words);
    let differs = |lines: &[String]| {
        let parsed = parse(&chained_again(lines)).unwrap();
        let assignment = crate::marking::begin(7).assignment().clone();
        let replayed = replay(&parsed, assignment, &header).unwrap();
        replayed.difference.map(|difference| difference.line)
    };
    assert_eq!(differs(&lines), None);
    let mut edited = lines.clone();
    let sign = match edited[3].contains("\"value\":-") {
        true => "\"value\":-",
        false => "\"value\":",
    };
    edited[3] = edited[3].replacen(sign, &format!("{sign}1"), 1);
    assert_ne!(edited[3], lines[3]);
    assert!(parse(&format!("{}\n", edited.join("\n"))).is_err());
    assert_eq!(differs(&edited), Some(4));
    let (shorter, _) = recorded(&[words[0], words[3]]);
    assert_eq!(differs(&shorter), None);
    assert_eq!(
        shorter[0], lines[0],
        "nothing tells a second try from a first"
    );
}
