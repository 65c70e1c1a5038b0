//! Reads the insides of what protects and switches by itself: breakers, fuses, relays, interval units, diodes.

use super::component::{Inside, Roster, path};
use super::electrical::{ends, trip, tripping, two_ended};
use super::finding::Code;
use super::keys::{self, built_in_breaker};
use super::section::Section;
use crate::quantity::{Current, Interval, Resistance, Voltage};
use crate::vehicle::{Emf, Gate, IntervalData, Kind, Node, Path, RelayData, Terminal, TripData};

/// Time that a relay takes to change over, seconds (data sheets of small vehicle relays: 5 to 10 ms in, 2 to 5 out;
/// from memory).
const OPERATE_S: f64 = 5e-3;
/// A silicon diode that conducts: its drop, and what comes on top (textbook figures).
pub(super) const FORWARD_V: f64 = 0.7;
pub(super) const FORWARD_OHM: f64 = 0.05;
/// What an interval unit draws from its supply and from an input (judgement: a few milliamperes).
const UNIT_OHM: f64 = 1200.0;
const INPUT_OHM: f64 = 4700.0;

pub(super) fn breaker(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    let kind = Kind::Breaker(resetting(section));
    let ohms = section.number(&keys::breaker::RESISTANCE_OHM);
    tripping(two_ended(terminals, ohms, "contact", kind)?)
}

fn resetting(section: &mut Section<'_>) -> TripData {
    use keys::breaker::{RECLOSE, TIME_CONSTANT_S, ULTIMATE_A};
    let mut data = trip(section, &ULTIMATE_A, &TIME_CONSTANT_S);
    data.reclose = Some(section.number(&RECLOSE));
    data
}

/// A cut-out that is built in behind a terminal: from what ended on that inside to the terminal itself. What ends
/// there inside is moved over when all components are read, by [`move_behind`].
pub(super) fn built_in(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<Inside> {
    let kind = Kind::Breaker(resetting(section));
    let ohms = section.number(&built_in_breaker::RESISTANCE_OHM);
    let value = section.need(&built_in_breaker::BEHIND)?;
    let codes = (Code::UnknownComponent, Code::UnknownTerminal);
    let terminal = roster.point(&value, codes)?;
    let inside = roster.add_node(format!("{} inside", roster.entries[index].id));
    roster.behind.push((index, inside, terminal));
    tripping(Inside {
        kind,
        paths: vec![path("contact", inside, terminal, ohms)?],
    })
}

/// Moves what a component has on a terminal to the node inside of the cut-out behind it.
pub(super) fn move_behind(roster: &Roster<'_>, components: &mut [crate::vehicle::Component]) {
    for &(cut_out, inside, terminal) in &roster.behind {
        let Some(whole) = components[cut_out].part_of else {
            roster.findings.error(
                Code::MissingKey,
                roster.entries[cut_out].span.clone(),
                format!(
                    "{} needs `part_of`: what it is built into",
                    roster.entries[cut_out].id
                ),
                None,
            );
            continue;
        };
        let part = &mut components[whole.index()];
        if !part.terminals.iter().any(|own| own.node == terminal) {
            let message = format!(
                "{} is behind a terminal that {} does not have",
                roster.entries[cut_out].id, part.id
            );
            let span = roster.entries[cut_out].span.clone();
            roster
                .findings
                .error(Code::UnknownTerminal, span, message, None);
            continue;
        }
        let moved = |node: &mut Node| {
            if *node == terminal {
                *node = inside;
            }
        };
        for path in &mut part.paths {
            moved(&mut path.p);
            moved(&mut path.n);
        }
    }
}

/// A blade fuse and the clips that hold it: [`crate::vehicle::failure`] counts on the blade first.
pub(super) fn fuse(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<Inside> {
    let rating = Current::from_amperes(section.number(&keys::fuse::RATING_A));
    let [blade, clips] =
        [&keys::fuse::RESISTANCE_OHM, &keys::fuse::CLIPS_OHM].map(|key| section.number(key));
    let id = roster.entries[index].id.clone();
    let (from, to) = ends(&roster.entries[index].terminals)?;
    let middle = roster.add_node(format!("{id} blade"));
    let blade = path("blade", middle, to, blade)?;
    Some(Inside {
        kind: Kind::Fuse(TripData::blade_fuse(rating)),
        paths: vec![
            gated(blade, Gate::Untripped),
            path("clips", from, middle, clips)?,
        ],
    })
}

fn gated(mut path: Path, gate: Gate) -> Path {
    path.gate = gate;
    path
}

/// [`crate::vehicle::failure`] counts on coil, 87, 87a.
pub(super) fn relay(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    use keys::relay::{COIL_OHM, CONTACT_OHM, DROP_OUT_V, PULL_IN_V};
    let coil = section.number(&COIL_OHM);
    let [pull_in, drop_out] = [&PULL_IN_V, &DROP_OUT_V].map(|key| section.number(key));
    let contact = section.number(&CONTACT_OHM);
    if drop_out >= pull_in {
        let message = "drops out at no less than it pulls in at";
        section.error(Code::OutOfRange, message, None);
    }
    let [t30, t85, t86, t87, t87a] = terminals else {
        return None;
    };
    let amperes = |volts: f64| Voltage::from_volts(volts) / Resistance::from_ohms(coil);
    let contact = |name, to: &Terminal, pulled| {
        let path = path(name, t30.node, to.node, contact)?;
        Some(gated(path, Gate::Relay { pulled }))
    };
    Some(Inside {
        kind: Kind::Relay(RelayData {
            pull_in: amperes(pull_in),
            drop_out: amperes(drop_out),
            operate: Interval::from_seconds(OPERATE_S),
        }),
        paths: vec![
            path("coil", t86.node, t85.node, coil)?,
            contact("87", t87, true)?,
            contact("87a", t87a, false)?,
        ],
    })
}

/// Its paths stand in the order of [`IntervalData::SUPPLY`] and the rest.
pub(super) fn interval_unit(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    use keys::interval_unit::{AFTER_WASH_S, OUTPUT_OHM, PAUSE_S, PULSE_S, WORKS_FROM_V};
    let [pulse, pause, after_wash] =
        [&PULSE_S, &PAUSE_S, &AFTER_WASH_S].map(|key| Interval::from_seconds(section.number(key)));
    let volts = Voltage::from_volts(section.number(&WORKS_FROM_V));
    let ohms = section.number(&OUTPUT_OHM);
    let [t15, t31, interval, wash, out] = terminals else {
        return None;
    };
    let output = path("output", t15.node, out.node, ohms)?;
    Some(Inside {
        kind: Kind::IntervalUnit(IntervalData {
            pulse,
            pause,
            after_wash,
            works_from: volts / Resistance::from_ohms(UNIT_OHM),
            on_from: volts / Resistance::from_ohms(INPUT_OHM),
        }),
        paths: vec![
            path("supply", t15.node, t31.node, UNIT_OHM)?,
            path("i", interval.node, t31.node, INPUT_OHM)?,
            path("53c", wash.node, t31.node, INPUT_OHM)?,
            gated(output, Gate::Relay { pulled: true }),
        ],
    })
}

/// A diode that hangs on two points of other components.
pub(super) fn diode(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<Inside> {
    let codes = (Code::UnknownComponent, Code::UnknownTerminal);
    let [anode, cathode] = [&keys::diode::ANODE, &keys::diode::CATHODE].map(|key| {
        let value = section.need(key);
        value.and_then(|value| roster.point(&value, codes))
    });
    let mut junction = path("junction", anode?, cathode?, FORWARD_OHM)?;
    junction.emf = Emf::Constant(Voltage::from_volts(FORWARD_V));
    junction.gate = Gate::Forward;
    Some(Inside {
        kind: Kind::Diode,
        paths: vec![junction],
    })
}

/// Wire ends that meet in one node, each through its own part of the crimp.
pub(super) fn splice(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<Inside> {
    let ohms = section.number(&keys::splice::RESISTANCE_OHM);
    let id = roster.entries[index].id.clone();
    let middle = roster.add_node(format!("{id} middle"));
    let ends = roster.entries[index].terminals.iter();
    let paths = ends.map(|end| path(end.name.as_str(), end.node, middle, ohms));
    Some(Inside {
        kind: Kind::Splice,
        paths: paths.collect::<Option<_>>()?,
    })
}
