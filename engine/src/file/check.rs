//! What must hold of a vehicle as a whole: a battery and a body, a circuit without loose parts, repairs
//! for everything that can fail, a drive that moves blades.
//!
//! A check whose ground is itself unsound is left out, so that one mistake gives one finding.

use std::ops::Range;

use super::component::Roster;
use super::finding::{Code, did_you_mean};
use super::kind::KindWord;
use crate::vehicle::{Component, DriveTrainError, Kind, Node, Vehicle};

/// The body's node, if there are a battery and a body; reports if there is not one of each.
pub(super) fn battery_and_body(roster: &Roster<'_>, vehicle: &Range<usize>) -> Option<Node> {
    for (kind, example) in [
        (KindWord::Battery, "[battery.battery]"),
        (KindWord::Body, "[body.body]"),
    ] {
        let mut found = roster.of_kind(kind);
        if found.next().is_none() {
            let message = format!("the vehicle has no {}", kind.word());
            let help = Some(format!("add one, for example {example}"));
            roster
                .findings
                .error(Code::MissingGround, vehicle.clone(), message, help);
        }
        for more in found {
            let message = format!("{} is a second {}; a vehicle has one", more.id, kind.word());
            roster
                .findings
                .error(Code::DuplicateId, more.span.clone(), message, None);
        }
    }
    roster.of_kind(KindWord::Battery).next()?;
    roster
        .of_kind(KindWord::Body)
        .next()?
        .terminals
        .first()
        .map(|terminal| terminal.node)
}

/// Checks a vehicle whose components have been read; `grounded` if there are a battery and a body.
pub(super) fn whole(vehicle: &Vehicle, roster: &Roster<'_>, grounded: bool) {
    controls(vehicle, roster);
    one_windscreen(roster);
    repairs(vehicle, roster);
    if grounded && roster.entries.iter().all(|entry| entry.sound) {
        connections(vehicle, roster);
        grounds(vehicle, roster);
    }
    let matters = |kind: KindWord| kind.is_mechanical() || kind == KindWord::Switch;
    if roster
        .entries
        .iter()
        .all(|entry| entry.sound || !matters(entry.kind))
    {
        drive(vehicle, roster);
    }
}

/// Blades wipe one windscreen.
fn one_windscreen(roster: &Roster<'_>) {
    for more in roster.of_kind(KindWord::Windscreen).skip(1) {
        let message = format!("{} is a second windscreen; a vehicle has one", more.id);
        roster
            .findings
            .error(Code::DuplicateId, more.span.clone(), message, None);
    }
}

/// Two controls with one word could not be told apart by a learner.
fn controls(vehicle: &Vehicle, roster: &Roster<'_>) {
    for (id, component) in vehicle.controls() {
        let Some(word) = &component.control else {
            continue;
        };
        if vehicle.control(word.as_str()) != Some(id) {
            let message = format!(
                "{} is worked by `{word}`, as an earlier component is",
                component.id
            );
            roster.findings.error(
                Code::DuplicateId,
                roster.entries[id.index()].span.clone(),
                message,
                None,
            );
        }
    }
}

/// Every failure needs the repairs that cure it.
fn repairs(vehicle: &Vehicle, roster: &Roster<'_>) {
    for (component, entry) in vehicle.components.iter().zip(&roster.entries) {
        let has = |name: &str| {
            component
                .repairs
                .iter()
                .any(|repair| repair.name.as_str() == name)
        };
        let mut wanted: Vec<String> = Vec::new();
        for cure in component.modes().iter().flat_map(|mode| &mode.cures) {
            if !has(cure.as_str()) && !wanted.iter().any(|known| known == cure.as_str()) {
                wanted.push(cure.to_string());
            }
        }
        for cure in wanted {
            let message = format!(
                "{} {} can fail and needs `repairs.{cure}`",
                entry.kind.word(),
                entry.id
            );
            let near = did_you_mean(
                &cure,
                component.repairs.iter().map(|repair| repair.name.as_str()),
            );
            let help = near
                .is_none()
                .then(|| format!("repairs.{cure} = {{ minutes = 15, price = 0 }}"));
            let help = help.or_else(|| Some(format!("a repair here is nearly called `{cure}`")));
            roster
                .findings
                .error(Code::MissingKey, entry.span.clone(), message, help);
        }
    }
}

/// Warns of terminals that nothing but their own component's inside leads to.
fn connections(vehicle: &Vehicle, roster: &Roster<'_>) {
    let mut touched: Vec<Vec<usize>> = vec![Vec::new(); vehicle.node_names.len()];
    for (index, component) in vehicle.components.iter().enumerate() {
        for node in component.paths.iter().flat_map(|path| [path.p, path.n]) {
            touched[node.index()].push(index);
        }
    }
    for (index, component) in vehicle.components.iter().enumerate() {
        // Of a battery's clamps and posts, cables need only lead to the clamps.
        let wanted = match component.kind {
            Kind::Battery(_) => component.terminals.len().min(2),
            _ => component.terminals.len(),
        };
        for terminal in &component.terminals[..wanted] {
            if touched[terminal.node.index()]
                .iter()
                .all(|&toucher| toucher == index)
            {
                let message = format!("nothing leads to {} {}", component.id, terminal.name);
                let span = roster.entries[index].span.clone();
                roster
                    .findings
                    .warning(Code::UnconnectedTerminal, span, message, None);
            }
        }
    }
}

/// Every node needs a path to the battery, and the body one to its negative post that does not lead
/// through the battery.
fn grounds(vehicle: &Vehicle, roster: &Roster<'_>) {
    let outside_battery = reached(vehicle, |component| {
        !matches!(component.kind, Kind::Battery(_))
    });
    if let Some(body) = roster.of_kind(KindWord::Body).next()
        && !outside_battery[vehicle.body.index()]
    {
        let help = Some("a strap from a ground point to the battery is missing".to_owned());
        let message = "the body has no path to the battery's negative post";
        roster
            .findings
            .error(Code::MissingGround, body.span.clone(), message, help);
        return;
    }
    let reached = reached(vehicle, |_| true);
    let help =
        "a wire from it, or from what it is joined to, to the rest of the circuit is missing";
    let help = Some(help.to_owned());
    for (component, entry) in vehicle.components.iter().zip(&roster.entries) {
        for terminal in component
            .terminals
            .iter()
            .filter(|terminal| !reached[terminal.node.index()])
        {
            let message = format!(
                "{} {} has no path to the battery in any position",
                component.id, terminal.name
            );
            roster.findings.error(
                Code::FloatingNode,
                entry.span.clone(),
                message,
                help.clone(),
            );
        }
    }
}

/// Which nodes are joined to the reference by the paths of some components, all gates taken as closed.
fn reached(vehicle: &Vehicle, counts: impl Fn(&Component) -> bool) -> Vec<bool> {
    let mut neighbours: Vec<Vec<usize>> = vec![Vec::new(); vehicle.node_names.len()];
    for path in vehicle
        .components
        .iter()
        .filter(|component| counts(component))
        .flat_map(|component| &component.paths)
    {
        neighbours[path.p.index()].push(path.n.index());
        neighbours[path.n.index()].push(path.p.index());
    }
    let mut reached = vec![false; neighbours.len()];
    let mut open = vec![Node::REFERENCE.index()];
    while let Some(node) = open.pop() {
        if !std::mem::replace(&mut reached[node], true) {
            open.extend(&neighbours[node]);
        }
    }
    reached
}

/// A motor needs what it moves, and the two controls that the engine works it by.
fn drive(vehicle: &Vehicle, roster: &Roster<'_>) {
    if let Some(motor) = roster.of_kind(KindWord::Motor).next() {
        let wiper = vehicle.control("wiper").map(|id| vehicle.component(id));
        let speeds = vehicle.roles().map_or(0, |roles| roles.speeds.len());
        let wiper_ok = wiper.is_some_and(|wiper| wiper.positions().contains(&"off") && speeds > 0);
        let key = vehicle.control("key").map(|id| vehicle.component(id));
        let key_ok = key.is_some_and(|key| matches!(key.kind, Kind::Switch { .. }));
        let wanted = [
            (
                wiper_ok,
                "a switch worked by `wiper` with a position off and one for each speed, the slowest first",
            ),
            (key_ok, "a switch worked by `key`, on in its last position"),
        ];
        for (_, what) in wanted.iter().filter(|(ok, _)| !ok) {
            let message = format!("a motor needs {what}");
            roster
                .findings
                .error(Code::BadDrive, motor.span.clone(), message, None);
        }
    }
    let Err(error) = vehicle.drive_train() else {
        return;
    };
    // A linkage that does not turn was reported when it was read.
    if matches!(error, DriveTrainError::Linkage(_)) {
        return;
    }
    let place = roster
        .of_kind(KindWord::Linkage)
        .chain(roster.of_kind(KindWord::Motor))
        .next();
    let span = place.map_or(0..0, |entry| entry.span.clone());
    roster.findings.error(
        Code::BadDrive,
        span,
        format!("the blades cannot be moved: {error}"),
        None,
    );
}
