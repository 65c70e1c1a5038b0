//! The chapter on the instruments: how far each can be off, what it puts on a circuit, where it ends. From the
//! displays that readings come on and from what lies in the case.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{
    Action, Conditions, Display, KIT, Kit, Measurement, Scale, Sense, Words, World,
};

use super::healthy::{battery_neg, motor_of, point_of};
use crate::style::{Page, Tone};

/// Turns a minute in a radian a second.
const PER_MINUTE: f64 = 30.0 / std::f64::consts::PI;

/// The chapter.
pub(super) fn instruments(vehicle: &Arc<Vehicle>) -> Page {
    let Some((motor, ground)) = motor_of(vehicle).zip(battery_neg(vehicle)) else {
        return Page::of(Tone::Plain, "  No motor.");
    };
    let measured = |what| {
        let action = Action::Measure {
            what,
            red: point_of(motor, 0),
            black: ground,
        };
        scales(vehicle, &action)
    };
    let wire = vehicle
        .ids()
        .find(|&id| vehicle.component(id).is_conductor());
    let on_wire = |action: fn(_) -> Action| wire.map(|wire| scales(vehicle, &action(wire)));
    let shown = |scales: &[Scale]| {
        scales.iter().find_map(|scale| match scale {
            Scale::Display(display) => Some(accuracy(display)),
            Scale::Words(_) => None,
        })
    };
    let lamp = words(&measured(Measurement::Lamp));
    let rows = [
        ("volts", shown(&measured(Measurement::Volts)), volts()),
        ("ohms", shown(&measured(Measurement::Ohms)), ohms()),
        (
            "continuity",
            words(&measured(Measurement::Continuity)).map(beep),
            String::new(),
        ),
        ("diode", shown(&measured(Measurement::Diode)), diode()),
        ("amps", shown(&measured(Measurement::Amps)), amps()),
        (
            "clamp",
            on_wire(Action::Clamp).and_then(|scales| shown(&scales)),
            "loads nothing; its arrow points at the end that `data wires` names last, below zero the current \
             goes the other way, and on a battery's cable it is told as charge or discharge"
                .to_owned(),
        ),
        (
            "trace",
            on_wire(Action::Trace).and_then(|scales| shown(&scales)),
            "loads nothing".to_owned(),
        ),
        (
            "dash ammeter",
            shown(&scales(vehicle, &Action::Sense(Sense::Ammeter))),
            "read to the nearest mark".to_owned(),
        ),
        (
            "count",
            count(&scales(vehicle, &Action::Sense(Sense::Count))),
            "against a watch".to_owned(),
        ),
        (
            "test lamp",
            lamp.map(|words| bulb(KIT.test_lamp.watts(), vehicle, &words)),
            String::new(),
        ),
        (
            "load lamp",
            lamp.map(|words| bulb(KIT.load_lamp.watts(), vehicle, &words)),
            "its volts as above".to_owned(),
        ),
        (
            "battery tester",
            Some(tester()),
            "its volts as above".to_owned(),
        ),
        ("jumper lead", Some(lead()), String::new()),
        (
            "pace by eye",
            words(&scales(vehicle, &Action::Sense(Sense::LookBlades)))
                .map(|words| borders(&words, 1.0, "cycles a minute")),
            String::new(),
        ),
        (
            "motor by ear",
            words(&scales(vehicle, &Action::Sense(Sense::Listen)))
                .map(|words| borders(&words, PER_MINUTE, "turns a minute")),
            String::new(),
        ),
    ];
    let mut page = Page::default();
    for (name, statement, more) in rows {
        if let Some(statement) = statement {
            let more = if more.is_empty() {
                more
            } else {
                format!("; {more}")
            };
            page.hanging(Tone::Plain, format!("  {name}: {statement}{more}"), "    ");
        }
    }
    page.hanging(
        Tone::Quiet,
        "  19 readings of 20 are within the error stated, a lamp's by eye. Where a range \
         ends, the display jumps to the next one and shows a digit less. The share in % is the instrument's own, \
         alike in all its readings; a check repeated with nothing changed shows the same again, so it cannot be \
         averaged away.",
        "  ",
    );
    page
}

fn volts() -> String {
    format!("{} Mohm", rounded(KIT.voltmeter.ohms() / 1e6))
}

fn ohms() -> String {
    let (open, behind) = (KIT.ohms_open.volts(), KIT.ohms_behind.ohms());
    format!(
        "{} V at most, {} mA at most; the leads' {} ohm are in it until `zero`",
        rounded(open),
        rounded(1e3 * open / behind),
        rounded(KIT.leads.ohms())
    )
}

fn beep(words: Words) -> String {
    let cuts: Vec<String> = words
        .cuts
        .iter()
        .map(|&cut| format!("{} +/- {}", rounded(cut), rounded(2.0 * words.spread(cut))))
        .collect();
    format!("ohms, with a beep below {} ohm", cuts.join(", "))
}

fn diode() -> String {
    let (open, behind) = (KIT.diode_open.volts(), KIT.diode_behind.ohms());
    format!(
        "{} V with its probes apart, {} mA into a drop of 1 V",
        rounded(open),
        rounded(1e3 * (open - 1.0) / behind)
    )
}

fn amps() -> String {
    format!(
        "{} ohm in series with its leads, behind a fuse of {} A",
        rounded(KIT.shunt.ohms()),
        rounded(KIT.shunt_fuse.amperes())
    )
}

fn count(scales: &[Scale]) -> Option<String> {
    scales.iter().find_map(|scale| match scale {
        Scale::Display(display) => Some(format!(
            "+/- {} {}; whole cycles",
            rounded(display.counts),
            display.unit
        )),
        Scale::Words(_) => None,
    })
}

/// `3 W at 12 V; glows faintly from 1.5 +/- 0.5 V, ...`.
fn bulb(watts: f64, vehicle: &Vehicle, words: &Words) -> String {
    let rated = Kit::lamp_volts(vehicle).volts();
    let steps: Vec<String> = words
        .cuts
        .iter()
        .zip(&words.words[1..])
        .map(|(&cut, word)| {
            let error = 2.0 * words.spread(cut) * rated;
            format!("{word} from {} +/- {error:.1} V", rounded(cut * rated))
        })
        .collect();
    format!(
        "{} W at {} V; {}",
        rounded(watts),
        rounded(rated),
        steps.join(", ")
    )
}

/// `slow from 12, at an unhurried pace from 33, ... cycles a minute, each +/- 10 %`: what lies near one of them may be told
/// by either word. A border that is near nothing is none that anything is mistaken at.
fn borders(words: &Words, times: f64, unit: &str) -> String {
    let steps = words.cuts.iter().zip(&words.words[1..]);
    let steps: Vec<String> = steps
        .map(|(&cut, word)| format!("{word} from {}", three_digits(cut * times)))
        .collect();
    let share = rounded(200.0 * words.share);
    format!("{} {unit}, each +/- {share} %", steps.join(", "))
}

/// To three digits, as nobody tells a pace any better.
fn three_digits(value: f64) -> String {
    if value < 1000.0 {
        rounded(value)
    } else {
        format!("{:.0}", (value / 10.0).round() * 10.0)
    }
}

fn tester() -> String {
    format!(
        "{} ohm for {} s",
        rounded(KIT.battery_load.ohms()),
        rounded(KIT.battery_load_on.seconds())
    )
}

fn lead() -> String {
    format!(
        "{} ohm, a fuse of {} A",
        rounded(KIT.jumper.ohms()),
        rounded(KIT.jumper_fuse.amperes())
    )
}

fn words(scales: &[Scale]) -> Option<Words> {
    scales.iter().find_map(|scale| match scale {
        Scale::Words(words) => Some(*words),
        Scale::Display(_) => None,
    })
}

/// The scales that an action is read on, what it is about first.
fn scales(vehicle: &Arc<Vehicle>, action: &Action) -> Vec<Scale> {
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    let seen = || {
        let mut world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions).ok()?;
        let permitted = world.permit(action).ok()?;
        Some(world.carry_out(&permitted).ok()?.observables)
    };
    let observables = seen().unwrap_or_default().into_iter();
    observables.map(|seen| seen.scale).collect()
}

fn accuracy(display: &Display) -> String {
    let share = format!("{} %", rounded(display.share * 100.0));
    if display.step > 1 {
        let step = if display.step == 2 {
            "marked in twos".to_owned()
        } else {
            format!("marked in steps of {}", display.step)
        };
        let marks = rounded(display.counts);
        return format!(
            "+/- ({share} + {marks} of a mark); {step}, {}",
            display.unit
        );
    }
    let error = format!("+/- ({share} + {} counts)", rounded(display.counts));
    let count = |exponent: i8| large(10_f64.powi(i32::from(exponent)));
    let mut ranges = Vec::new();
    for (n, (limit, exponent)) in display.ranges.iter().enumerate() {
        let unit = if n == 0 {
            format!(" {}", display.unit)
        } else {
            String::new()
        };
        let below = format!(" below {}", large(*limit));
        ranges.push(format!("{}{unit}{below}", count(*exponent)));
    }
    format!("{error}; one count is {}", ranges.join(", "))
}

/// At most four decimals, none that are not needed.
fn rounded(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A number with k or M for thousands and millions.
fn large(value: f64) -> String {
    if value >= 1e6 {
        format!("{} M", rounded(value / 1e6))
    } else if value >= 1e3 {
        format!("{} k", rounded(value / 1e3))
    } else {
        rounded(value)
    }
}
