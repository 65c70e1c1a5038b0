//! Names are no physics: a vehicle whose parts stand in another order in its file and go by other names does the
//! same. The text of the file is shuffled and renamed, and read again.
//!
//! One order means something and is kept: the drive link moves the first pivot, a connecting link the others.

use std::collections::BTreeMap;
use std::sync::Arc;

use groundside_engine::file::read_vehicle;
use groundside_engine::quantity::{AngularVelocity, Interval};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Fault, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft, Trial};
use proptest::prelude::*;

use super::drawn::drawn;
use crate::fleet::vehicle_texts;
use crate::ledger::{Known, Ledger};
use crate::naive::supply;
use crate::potentials;

crate::checks![names_and_order_of_components_do_not_matter];

/// Random orders of a sample.
const ORDERS: u32 = 24;
/// Tables that are no components, and stay where they are.
const FIXED: [&str; 2] = ["place", "cover"];
/// Keys whose values are not names of components, though they may be spelt alike.
const OTHER_KEYS: [&str; 8] = [
    "title", "region", "place", "cover", "control", "colour", "topic", "text",
];

/// A component's part of a file: its kind, its id, its lines.
struct Block<'t> {
    kind: &'t str,
    id: &'t str,
    lines: Vec<&'t str>,
}

/// The kind and the id of a line that begins a component: `[kind.id]`.
fn heading(line: &str) -> Option<(&str, &str)> {
    let (inside, _) = line.strip_prefix('[')?.split_once(']')?;
    let (kind, id) = inside.split_once('.')?;
    (!id.contains('.') && !FIXED.contains(&kind)).then_some((kind, id))
}

/// Whether a line begins a table that is neither a component nor within one.
fn begins_other(line: &str) -> bool {
    let within = |rest: &str| {
        let heading = rest.split(']').next().unwrap_or_default();
        heading.matches('.').count() == 2
    };
    line.starts_with('[') && heading(line).is_none() && !within(line)
}

/// A file taken apart: what is no component, and the components.
fn apart(text: &str) -> (Vec<&str>, Vec<Block<'_>>) {
    let (mut others, mut blocks): (Vec<&str>, Vec<Block<'_>>) = (Vec::new(), Vec::new());
    let mut in_component = false;
    for line in text.lines() {
        if let Some((kind, id)) = heading(line) {
            in_component = true;
            blocks.push(Block {
                kind,
                id,
                lines: Vec::new(),
            });
        } else if begins_other(line) {
            in_component = false;
        }
        match blocks.last_mut().filter(|_| in_component) {
            Some(block) => block.lines.push(line),
            None => others.push(line),
        }
    }
    (others, blocks)
}

/// A line with the ids in it replaced.
fn renamed(line: &str, names: &BTreeMap<&str, String>) -> String {
    if let Some(rest) = line.strip_prefix('[') {
        // `[kind.id]` or `[kind.id.table]`.
        let mut words: Vec<&str> = rest.split(['.', ']']).collect();
        if let Some(name) = words.get(1).and_then(|id| names.get(id)) {
            words[1] = name;
        }
        let count = words.len() - 1;
        return format!("[{}]", words[..count].join("."));
    }
    let Some((key, value)) = line.split_once(" = ") else {
        return line.to_owned();
    };
    let quoted = value
        .strip_prefix('"')
        .filter(|_| !OTHER_KEYS.contains(&key));
    let Some(quoted) = quoted else {
        return line.to_owned();
    };
    let end = quoted.find([' ', '"']).unwrap_or(quoted.len());
    match names.get(&quoted[..end]) {
        Some(name) => format!("{key} = \"{name}{}", &quoted[end..]),
        None => line.to_owned(),
    }
}

/// The same vehicle in another order and by other names, which are told by the old ones.
fn shuffled(text: &str, keys: &[u32]) -> (Vehicle, BTreeMap<String, String>) {
    let (others, mut blocks) = apart(text);
    let key = |place: usize| {
        keys[place % keys.len()].rotate_left(u32::try_from(place / keys.len()).unwrap())
    };
    let mut names = BTreeMap::new();
    for (place, block) in blocks.iter().enumerate() {
        names.insert(block.id, format!("n{}-{place}", key(place) % 9973));
    }
    let mut order: Vec<usize> = (0..blocks.len()).collect();
    order.sort_by_key(|&place| key(place));
    // Pivots take the places of pivots, in the order they had.
    let is_pivot = |&place: &usize| blocks[place].kind == "pivot";
    let mut pivots: Vec<usize> = order.iter().copied().filter(is_pivot).collect();
    pivots.sort_unstable();
    let mut pivots = pivots.into_iter();
    for place in &mut order {
        if is_pivot(place) {
            *place = pivots.next().unwrap();
        }
    }
    let mut file = others.join("\n");
    for place in order {
        for line in std::mem::take(&mut blocks[place].lines) {
            file.push('\n');
            file.push_str(&renamed(line, &names));
        }
    }
    let read = read_vehicle(&file);
    let (vehicle, _) = read.unwrap_or_else(|findings| panic!("{findings:?}\n{file}"));
    let owned = names.into_iter().map(|(id, name)| (id.to_owned(), name));
    (vehicle, owned.collect())
}

/// A text that begins with an id, with that replaced.
fn translated(text: &str, names: &BTreeMap<String, String>) -> String {
    let end = text.find([' ', '.']).unwrap_or(text.len());
    names
        .get(&text[..end])
        .map_or_else(|| text.to_owned(), |name| format!("{name}{}", &text[end..]))
}

/// The component of the other vehicle that one of the first is.
fn counterpart(
    id: ComponentId,
    (one, other): (&Vehicle, &Vehicle),
    names: &BTreeMap<String, String>,
) -> ComponentId {
    let name = translated(one.component(id).id.as_str(), names);
    other.find(&name).unwrap()
}

/// Potentials in volts by the node's name, the shaft held.
fn held_volts(vehicle: &Vehicle, point: &OperatingPoint) -> BTreeMap<String, f64> {
    potentials(vehicle, &point.response, AngularVelocity::ZERO)
}

/// What a run comes to: the first running position for some seconds, then off until it stands.
fn run(vehicle: &Arc<Vehicle>, glass: Glass) -> Vec<(String, f64)> {
    let mut trial = Trial::new(vehicle, glass).unwrap();
    let mut seen = Vec::new();
    let roles = crate::roles(vehicle);
    let first = roles.speeds[0];
    for (word, control, position, seconds) in [
        ("key", roles.key, roles.key_on, 0.1),
        ("wiper", roles.wiper, first, 2.9),
        ("wiper", roles.wiper, roles.off, 3.0),
    ] {
        trial.set(control, position);
        let span = Interval::from_seconds(seconds);
        let stretch = trial.run(span, &supply(vehicle)).unwrap();
        for (name, value) in [
            ("turns", stretch.crank_turns),
            ("clicks", f64::from(stretch.clicks)),
            ("speed", trial.shaft_speed().radians_per_second()),
            ("crank", trial.crank().radians()),
        ] {
            seen.push((format!("{name} with {word} at {position}"), value));
        }
        let means = stretch.followed.iter().map(|extent| extent.mean);
        seen.extend(means.map(|mean| (format!("supply with {word} at {position}"), mean)));
    }
    seen
}

fn names_and_order_of_components_do_not_matter(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "names are no physics");
    let fleet: Vec<(String, Arc<Vehicle>)> = vehicle_texts()
        .into_iter()
        .map(|text| {
            let (vehicle, _) = read_vehicle(&text).unwrap();
            (text, Arc::new(vehicle))
        })
        .collect();
    let keys = prop::collection::vec(any::<u32>(), 16..48);
    let cases = (
        any::<prop::sample::Index>(),
        keys,
        any::<prop::sample::Index>(),
        drawn(),
    );
    ledger.for_all(ORDERS, &cases, |(vehicle, keys, fault, drawn), ledger| {
        let (text, sound) = vehicle.get(&fleet);
        let (changed, names) = shuffled(text, keys);
        let (component, mode, _) = fault.get(&sound.faults()).clone();
        let stem = sound.fault_name(&Fault {
            component,
            mode,
            severity: None,
        });
        let inject = |vehicle: &Vehicle, name: &str| {
            let fault = vehicle.parse_fault(name).unwrap();
            Arc::new(vehicle.inject(&fault))
        };
        let one = inject(sound, &stem);
        let other = inject(&changed, &translated(&stem, &names));
        let pair = (&*one, &*other);
        let same = |id: &ComponentId| counterpart(*id, pair, &names);
        let asked = |shaft| {
            let query = drawn.query(&one, shaft);
            let translated = PointQuery {
                positions: query
                    .positions
                    .iter()
                    .map(|(id, at)| (same(id), *at))
                    .collect(),
                unplugged: query.unplugged.iter().map(same).collect(),
                tripped: query.tripped.iter().map(same).collect(),
                parted: query.parted.iter().map(same).collect(),
                ..query.clone()
            };
            let solve = |vehicle, query| OperatingPoint::of(vehicle, query).unwrap();
            (solve(&one, &query), solve(&other, &translated))
        };
        let (here, there) = asked(Shaft::Held);
        let volts = held_volts(&other, &there);
        for (node, expected) in held_volts(&one, &here) {
            let found = volts[&translated(&node, &names)];
            ledger.near(format_args!("{stem}: {node}"), found, expected, 1e-10);
        }
        let (here, there) = asked(Shaft::Running);
        let speed = |point: &OperatingPoint| point.speed.radians_per_second();
        let what = format_args!("{stem}: running speed");
        ledger.near(
            what,
            speed(&there),
            speed(&here),
            1e-9 * speed(&here).abs() + 1e-9,
        );
        if one.loose_paths().next().is_some() {
            // When a contact gives way by chance hangs on which one it is.
            return;
        }
        let glass = drawn.query(&one, Shaft::Held).glass;
        for ((name, expected), (_, found)) in run(&one, glass).iter().zip(run(&other, glass)) {
            // Rounding, and what a run makes of it.
            let bound = 1e-8 * expected.abs() + 1e-9;
            ledger.near(format_args!("{stem}: {name}"), found, *expected, bound);
        }
    });
}
