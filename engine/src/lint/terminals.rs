//! Terminals with more wires on them than they take.
//!
//! Studs, posts, clips and the screws of switches take several; so does a spade terminal, whose wires are crimped together.
//! What takes one is the end of a splice, which is that wire's, and the pin of a plug, which is crimped for one wire; that
//! of a relay's socket takes a second, which goes on to the next relay (judgement: that is how such feeds are looped).

use crate::file::{Code, Places};
use crate::vehicle::{Component, Kind, Node, Vehicle};

/// How many wires each terminal of a component takes; `None` where as many as there is room for.
fn takes(component: &Component, vehicle: &Vehicle) -> Option<usize> {
    match component.kind {
        Kind::Splice => Some(1),
        Kind::Connector { mates } => {
            let far = mates.map(|far| &vehicle.component(far).kind);
            let looped = matches!(far, Some(Kind::Relay(_) | Kind::IntervalUnit(_)));
            Some(if looped { 2 } else { 1 })
        }
        _ => None,
    }
}

/// Names of the wires and straps on a node.
fn wires_on(vehicle: &Vehicle, node: Node) -> Vec<&str> {
    let leads = vehicle.components.iter().filter(|part| {
        let is_lead = matches!(part.kind, Kind::Wire { .. } | Kind::Strap(_));
        is_lead
            && part
                .paths
                .iter()
                .any(|path| [path.p, path.n].contains(&node))
    });
    leads.map(|lead| lead.id.as_str()).collect()
}

/// Reports each terminal that has more wires than it takes, at the name of its component.
pub(super) fn check(vehicle: &Vehicle, places: &Places<'_>) {
    for component in &vehicle.components {
        let Some(most) = takes(component, vehicle) else {
            continue;
        };
        for terminal in &component.terminals {
            let wires = wires_on(vehicle, terminal.node);
            if wires.len() <= most {
                continue;
            }
            let (id, name) = (&component.id, &terminal.name);
            let of = match most {
                1 => "one wire".to_owned(),
                most => format!("{most} wires"),
            };
            let message = format!("{id} {name} takes {of} and has {}", wires.join(", "));
            let help = match component.kind {
                Kind::Splice => "give each wire an end of its own, as one more word in `ends`",
                _ => "join the wires at a splice, and lead one from there",
            };
            let span = places.component(id.as_str());
            let help = Some(help.to_owned());
            places
                .findings
                .warning(Code::SharedTerminal, span, message, help);
        }
    }
}
