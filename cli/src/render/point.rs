//! An operating point: every node voltage and branch current.

use groundside_engine::quantity::Voltage;
use groundside_engine::vehicle::{Element, Emf, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery};
use serde_json::{Value, json};

use crate::style::{Page, Tone, columns};

/// Nine significant digits, no exponent in the range a vehicle has.
pub(crate) fn digits(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 {
        "0".to_owned()
    } else if (1e-4..1e6).contains(&size) {
        let mut decimals: usize = 8;
        let mut scaled = size;
        while scaled >= 10.0 {
            scaled /= 10.0;
            decimals = decimals.saturating_sub(1);
        }
        while scaled < 1.0 {
            scaled *= 10.0;
            decimals += 1;
        }
        format!("{value:.decimals$}")
    } else {
        format!("{value:.8e}")
    }
}

/// What an element is called: component and path, or the meter.
pub(crate) fn element_name(element: &Element, vehicle: &Vehicle) -> String {
    match element.origin {
        None if element.emf == Emf::Constant(Voltage::ZERO) => "voltmeter".to_owned(),
        None => "ohmmeter".to_owned(),
        Some((id, path)) => {
            let component = vehicle.component(id);
            let leak = if element.leak { " to body" } else { "" };
            format!("{} {}{leak}", component.id, component.paths[path].name)
        }
    }
}

/// The node of every element of a kind the nodes of which are few: all that any element touches.
pub(crate) fn node_count(vehicle: &Vehicle) -> usize {
    vehicle.node_names.len()
}

fn potential(vehicle: &Vehicle, solved: &OperatingPoint, index: usize) -> Option<f64> {
    // A node is named through an element or a terminal that stands on it.
    let of_elements = solved
        .response
        .elements()
        .iter()
        .flat_map(|element| [element.p, element.n]);
    let of_points = vehicle.points().map(|point| vehicle.node(point));
    let node = of_elements
        .chain(of_points)
        .find(|node| node.index() == index)?;
    Some(solved.response.potential_at(node, solved.speed).volts())
}

/// The potentials of all nodes with their names, in the order of the circuit.
pub(crate) fn potentials(vehicle: &Vehicle, solved: &OperatingPoint) -> Vec<(String, f64)> {
    (0..node_count(vehicle))
        .filter_map(|index| {
            let name = &vehicle.node_names[index];
            potential(vehicle, solved, index).map(|volts| (name.clone(), volts))
        })
        .collect()
}

/// What was asked for, in one line.
pub(crate) fn setting(vehicle: &Vehicle, query: &PointQuery, solved: &OperatingPoint) -> String {
    let controls: Vec<String> = vehicle
        .controls()
        .map(|(id, component)| {
            let word = component.control.as_ref().map_or("", |word| word.as_str());
            format!(
                "{word} {}",
                component.positions()[solved.setting.positions[id.index()]]
            )
        })
        .collect();
    let unplugged = query
        .unplugged
        .iter()
        .map(|&id| format!(", {} unplugged", vehicle.component(id).id));
    let tripped = query
        .tripped
        .iter()
        .map(|&id| format!(", {} open", vehicle.component(id).id));
    format!(
        "{}{}, {} glass, park cam {}",
        controls.join(", "),
        unplugged.chain(tripped).collect::<String>(),
        query.glass.word(),
        if solved.setting.cam_inside {
            "at park"
        } else {
            "away from park"
        }
    )
}

/// The operating point on a page.
pub(crate) fn page(vehicle: &Vehicle, query: &PointQuery, solved: &OperatingPoint) -> Page {
    let mut page = Page::of(
        Tone::Strong,
        format!("{}: {}", vehicle.id, setting(vehicle, query, solved)),
    );
    page.add(
        Tone::Plain,
        format!(
            "shaft {} rad/s, torque of the winding {} N m",
            digits(solved.speed.radians_per_second()),
            digits(solved.response.torque_at(solved.speed).newton_metres())
        ),
    );
    page.add(Tone::Plain, "");
    page.add(Tone::Strong, "Volts over battery neg");
    let mut rows = Vec::new();
    for (name, volts) in potentials(vehicle, solved) {
        rows.push(vec![name, digits(volts)]);
    }
    columns(&rows).into_iter().for_each(|row| page.row(row));
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "Amperes into the first node of each branch, and its ohms",
    );
    let mut rows = Vec::new();
    for (index, element) in solved.response.elements().iter().enumerate() {
        rows.push(vec![
            element_name(element, vehicle),
            digits(solved.response.current_at(index, solved.speed).amperes()),
            digits(element.resistance.ohms()),
        ]);
    }
    columns(&rows).into_iter().for_each(|row| page.row(row));
    meters(&mut page, vehicle, solved);
    page
}

fn meters(page: &mut Page, vehicle: &Vehicle, solved: &OperatingPoint) {
    for element in solved
        .response
        .elements()
        .iter()
        .filter(|element| element.origin.is_none())
    {
        let volts = solved
            .response
            .voltage(element.p, element.n)
            .at(solved.speed.radians_per_second());
        page.add(
            Tone::Strong,
            format!(
                "voltmeter, {} to {}: {} V",
                vehicle.node_names[element.p.index()],
                vehicle.node_names[element.n.index()],
                digits(volts)
            ),
        );
    }
}

/// The operating point, as JSON.
pub(crate) fn document(vehicle: &Vehicle, query: &PointQuery, solved: &OperatingPoint) -> Value {
    let nodes: Vec<Value> = potentials(vehicle, solved)
        .into_iter()
        .map(|(name, volts)| json!({"node": name, "volts": volts}))
        .collect();
    let branches: Vec<Value> = solved
        .response
        .elements()
        .iter()
        .enumerate()
        .map(|(index, element)| {
            json!({
                "branch": element_name(element, vehicle),
                "p": vehicle.node_names[element.p.index()], "n": vehicle.node_names[element.n.index()],
                "resistance_ohm": element.resistance.ohms(),
                "amperes": solved.response.current_at(index, solved.speed).amperes(),
            })
        })
        .collect();
    let meters: Vec<Value> = solved
        .response
        .elements()
        .iter()
        .filter(|element| element.origin.is_none())
        .map(|element| {
            let volts = solved
                .response
                .voltage(element.p, element.n)
                .at(solved.speed.radians_per_second());
            json!({
                "red": vehicle.node_names[element.p.index()],
                "black": vehicle.node_names[element.n.index()], "volts": volts,
            })
        })
        .collect();
    json!({
        "vehicle": vehicle.id.as_str(), "setting": setting(vehicle, query, solved),
        "shaft_rad_s": solved.speed.radians_per_second(),
        "torque_nm": solved.response.torque_at(solved.speed).newton_metres(),
        "nodes": nodes, "branches": branches, "meters": meters,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nine_significant_digits() {
        for (value, text) in [
            (12.5, "12.5000000"),
            (0.0015, "0.00150000000"),
            (1e-9, "1.00000000e-9"),
            (0.0, "0"),
            (-2.5, "-2.50000000"),
        ] {
            assert_eq!(digits(value), text);
        }
    }
}
