//! What a vehicle is made of: components with their values, places, covers.

use groundside_engine::vehicle::{Component, Emf, Field, Gate, Kind, Path, Surface, Vehicle};
use serde_json::{Value, json};

use crate::style::{Page, Tone, columns};

/// The word for a component's kind, as tables of vehicle files are named.
pub(crate) const fn kind_word(kind: &Kind) -> &'static str {
    match kind {
        Kind::Battery(_) => "battery",
        Kind::Wire { .. } => "wire",
        Kind::Strap(_) => "strap",
        Kind::Connector { .. } => "connector",
        Kind::FusibleLink(_) => "fusible-link",
        Kind::Ammeter => "ammeter",
        Kind::Switch { .. } => "switch",
        Kind::Resistor => "resistor",
        Kind::Breaker(_) => "breaker",
        Kind::Fuse(_) => "fuse",
        Kind::Relay(_) => "relay",
        Kind::IntervalUnit(_) => "interval-unit",
        Kind::Diode => "diode",
        Kind::Splice => "splice",
        Kind::Motor(_) => "motor",
        Kind::ParkContact(_) => "park-contact",
        Kind::Gear(_) => "gear",
        Kind::CrankNut { .. } => "crank-nut",
        Kind::Linkage(_) => "linkage",
        Kind::Eccentric(_) => "eccentric",
        Kind::ConnectingLink => "connecting-link",
        Kind::Pivot { .. } => "pivot",
        Kind::Arm { .. } => "arm",
        Kind::Windscreen(_) => "windscreen",
        Kind::Body => "body",
        Kind::GroundPoint => "ground-point",
        Kind::Consumer(_) => "consumer",
        Kind::Alternator(_) => "alternator",
        Kind::Pump(_) => "pump",
        Kind::Hose { .. } => "hose",
    }
}

/// The kinds a vehicle has, each once.
pub(crate) fn kinds(vehicle: &Vehicle) -> Vec<&'static str> {
    let mut kinds: Vec<&'static str> = Vec::new();
    for component in &vehicle.components {
        let word = kind_word(&component.kind);
        if !kinds.contains(&word) {
            kinds.push(word);
        }
    }
    kinds
}

/// A number with up to four significant digits.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let mut decimals = 3;
    let mut size = value.abs();
    while size < 1.0 && decimals < 12 {
        size *= 10.0;
        decimals += 1;
    }
    while size >= 10.0 && decimals > 0 {
        size /= 10.0;
        decimals -= 1;
    }
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// What makes a motor's flux, where it is not magnets.
fn field(field: Field) -> String {
    match field {
        Field::Magnets => String::new(),
        Field::Wound(field) => format!(
            "series field {} turns, shunt field {}, half saturated at {} ampere turns, {} of them stay, lag {} s, ",
            short(field.series_turns),
            short(field.shunt_turns),
            short(field.half),
            short(field.residual),
            short(field.lag.seconds()),
        ),
    }
}

/// Values of a kind, with units.
fn values(kind: &Kind, vehicle: &Vehicle) -> String {
    match kind {
        Kind::Ammeter
        | Kind::Resistor
        | Kind::ConnectingLink
        | Kind::Body
        | Kind::GroundPoint
        | Kind::Diode
        | Kind::Splice => String::new(),
        Kind::Fuse(data) => format!("{} A", short(data.blade_rating().amperes())),
        Kind::Relay(data) => format!(
            "pulls in at {} A and drops out at {} A in its coil, in {} s",
            short(data.pull_in.amperes()),
            short(data.drop_out.amperes()),
            short(data.operate.seconds())
        ),
        Kind::IntervalUnit(data) => format!(
            "pulses of {} s, pauses of {} s, {} s of wiping after washing",
            short(data.pulse.seconds()),
            short(data.pause.seconds()),
            short(data.after_wash.seconds())
        ),
        Kind::Hose { flow } => format!("lets {} of its water through", short(*flow)),
        Kind::Battery(battery) => format!("lead-acid, {} cells", battery.cells),
        Kind::Windscreen(surface) => match surface {
            Surface::AsWeather => String::new(),
            Surface::Iced { friction } => format!("iced, friction {}", short(*friction)),
            Surface::Dry { friction } => format!("dry, friction {}", short(*friction)),
        },
        Kind::Wire { data, colour, .. } => format!(
            "{colour}, {} m, {} mm2",
            short(data.length.metres()),
            short(data.section.square_millimetres())
        ),
        Kind::Strap(data) => format!(
            "{} m, {} mm2",
            short(data.length.metres()),
            short(data.section.square_millimetres())
        ),
        Kind::Connector { mates } => mates.map_or_else(
            || "in the run of a loom".to_owned(),
            |id| format!("mates {}", vehicle.component(id).id),
        ),
        Kind::Switch { positions } => {
            let names: Vec<&str> = positions.iter().map(|name| name.as_str()).collect();
            format!("positions {}", names.join(", "))
        }
        Kind::Breaker(data) | Kind::FusibleLink(data) => format!(
            "carries {} A for ever, time constant {} s, {}",
            short(data.ultimate.amperes()),
            short(data.time_constant.seconds()),
            data.reclose.map_or_else(
                || "opens for good".to_owned(),
                |share| format!("closes again at {} of its trip rise", short(share)),
            )
        ),
        Kind::Motor(data) => format!(
            "{}{} coils, inertia {} kg m2, friction {} N m and {} N m s{}",
            field(data.field),
            data.coils,
            short(data.inertia.kilogram_square_metres()),
            short(data.coulomb.newton_metres()),
            short(data.viscous_nms),
            if data.shorted > 0.0 {
                format!(
                    ", {} of a coil's turns shorted, which brakes with {} N m s",
                    short(data.shorted),
                    short(data.shorted_nms)
                )
            } else {
                String::new()
            }
        ),
        Kind::ParkContact(data) => format!(
            "window {} deg wide about {} deg",
            short(2.0 * data.half_width.degrees()),
            short(data.centre.degrees())
        ),
        Kind::Gear(data) => format!(
            "{} to 1, efficiency {}",
            short(data.ratio),
            short(data.efficiency)
        ),
        Kind::CrankNut { slip } => slip.map_or_else(
            || "tight".to_owned(),
            |slip| format!("slips at {} N m", short(slip.newton_metres())),
        ),
        Kind::Linkage(data) => format!(
            "crank {} m, drive link {} m, rocker {} m, frame {} m; sweeps {} deg",
            short(data.four_bar.crank.metres()),
            short(data.four_bar.coupler.metres()),
            short(data.four_bar.rocker.metres()),
            short(data.four_bar.frame.metres()),
            short(data.four_bar.sweep().degrees())
        ),
        Kind::Pivot { friction } => format!("friction {} N m", short(friction.newton_metres())),
        Kind::Eccentric(data) => format!(
            "offset {} mm{}",
            short(data.offset.metres() * 1000.0),
            if data.stuck.is_some() { ", stuck" } else { "" }
        ),
        Kind::Arm { data, pivot, guide } => format!(
            "on {}{}; {} N at {} m, tip at {} m",
            vehicle.component(*pivot).id,
            guide.map_or_else(String::new, |by| format!(
                ", guided by {}",
                vehicle.component(by).id
            )),
            short(data.force.newtons()),
            short(data.radius.metres()),
            short(data.tip.metres())
        ),
        Kind::Consumer(data) => format!("for {} V", short(data.rated.volts())),
        Kind::Pump(data) => format!("for {} V", short(data.rated.volts())),
        Kind::Alternator(data) => format!("regulated to {} V", short(data.regulated.volts())),
    }
}

/// What decides whether a path conducts, in words.
pub(crate) fn gate(path: &Path, component: &Component) -> String {
    match &path.gate {
        Gate::Always => String::new(),
        Gate::Position(closed) => {
            let positions = component.positions();
            let names: Vec<&str> = closed
                .iter()
                .filter_map(|&at| positions.get(at).copied())
                .collect();
            format!("in {}", names.join(", "))
        }
        Gate::Untripped => "until it trips".to_owned(),
        Gate::Relay { pulled: true } => "when pulled in".to_owned(),
        Gate::Relay { pulled: false } => "when at rest".to_owned(),
        Gate::Forward => "forward only".to_owned(),
        Gate::Mated => "when mated".to_owned(),
        Gate::Cam { inside: true } => "at park".to_owned(),
        Gate::Cam { inside: false } => "away from park".to_owned(),
        Gate::ShaftOutside(arc) => format!(
            "but from {} to {} deg of each turn of the shaft",
            short(arc.from.degrees()),
            short(arc.to.degrees())
        ),
    }
}

fn emf(path: &Path) -> String {
    match path.emf {
        Emf::None => String::new(),
        Emf::Constant(emf) => format!(", EMF {} V", short(emf.volts())),
        Emf::PerSpeed(constant) => format!(", EMF {} V s/rad", short(constant.volt_seconds())),
    }
}

fn chosen<'v>(vehicle: &'v Vehicle, kind: Option<&str>) -> Vec<&'v Component> {
    let wanted =
        |component: &&Component| kind.is_none_or(|kind| kind_word(&component.kind) == kind);
    vehicle.components.iter().filter(wanted).collect()
}

/// The vehicle on a page.
pub(crate) fn page(vehicle: &Vehicle, kind: Option<&str>) -> Page {
    let mut page = Page::of(
        Tone::Strong,
        format!(
            "{}: {}, {} years old, {} degC, {} components",
            vehicle.id,
            vehicle.title,
            vehicle.age_years,
            short(vehicle.ambient.degrees_celsius()),
            vehicle.components.len()
        ),
    );
    if kind.is_none() {
        layout(&mut page, vehicle);
    }
    page.add(Tone::Plain, "");
    for component in chosen(vehicle, kind) {
        let values = values(&component.kind, vehicle);
        let control = component
            .control
            .as_ref()
            .map_or_else(String::new, |word| format!(", worked by `{word}`"));
        let parent = component.part_of.map_or_else(String::new, |id| {
            format!(", part of {}", vehicle.component(id).id)
        });
        let place = vehicle.layout.places[component.place.index()].id.as_str();
        page.hanging(
            Tone::Strong,
            format!(
                "{} ({}, {place}): {}{control}{parent}",
                component.id,
                kind_word(&component.kind),
                component.title
            ),
            "    ",
        );
        if !values.is_empty() {
            page.hanging(Tone::Plain, format!("    {values}"), "    ");
        }
        for path in &component.paths {
            let gate = gate(path, component);
            let gate = if gate.is_empty() {
                gate
            } else {
                format!(", {gate}")
            };
            page.hanging(
                Tone::Plain,
                format!(
                    "    {}: {} to {}, {} ohm{}{gate}",
                    path.name,
                    vehicle.node_names[path.p.index()],
                    vehicle.node_names[path.n.index()],
                    short(path.resistance.ohms()),
                    emf(path)
                ),
                "        ",
            );
        }
        let repairs: Vec<String> = component
            .repairs
            .iter()
            .map(|repair| {
                format!(
                    "{} {} min, parts {}",
                    repair.name, repair.labour, repair.price
                )
            })
            .collect();
        if !repairs.is_empty() {
            page.hanging(
                Tone::Quiet,
                format!("    repair: {}", repairs.join("; ")),
                "    ",
            );
        }
    }
    page
}

fn layout(page: &mut Page, vehicle: &Vehicle) {
    let places = vehicle
        .layout
        .places
        .iter()
        .map(|place| format!("{} ({})", place.id, place.title));
    page.hanging(
        Tone::Plain,
        format!("Places: {}", places.collect::<Vec<_>>().join(", ")),
        "  ",
    );
    let rows: Vec<Vec<String>> = vehicle
        .layout
        .covers
        .iter()
        .map(|cover| {
            vec![
                format!("Cover {}", cover.id),
                vehicle.layout.places[cover.place.index()].id.to_string(),
                format!("off {} min", cover.off),
                format!("on {} min", cover.on),
            ]
        })
        .collect();
    for row in columns(&rows) {
        page.row(row);
    }
}

/// The vehicle, as JSON.
pub(crate) fn document(vehicle: &Vehicle, kind: Option<&str>) -> Value {
    let layout = &vehicle.layout;
    let place = |index: usize| layout.places[index].id.as_str();
    let components: Vec<Value> = chosen(vehicle, kind)
        .into_iter()
        .map(|component| {
            let paths: Vec<Value> = component.paths.iter().map(|path| path_json(path, component, vehicle)).collect();
            let repairs: Vec<Value> = component
                .repairs
                .iter()
                .map(|repair| json!({"repair": repair.name.as_str(), "minutes": repair.labour.as_minutes(), "price": repair.price}))
                .collect();
            let terminals: Vec<Value> = component
                .terminals
                .iter()
                .map(|terminal| json!({"terminal": terminal.name.as_str(), "node": vehicle.node_names[terminal.node.index()]}))
                .collect();
            json!({
                "component": component.id.as_str(), "kind": kind_word(&component.kind),
                "title": component.title, "place": place(component.place.index()),
                "cover": component.cover.map(|cover| layout.covers[cover.index()].id.as_str()),
                "part_of": component.part_of.map(|id| vehicle.component(id).id.as_str()),
                "region": component.region.word(),
                "control": component.control.as_ref().map(|word| word.as_str()),
                "values": values(&component.kind, vehicle),
                "terminals": terminals, "paths": paths, "repairs": repairs,
            })
        })
        .collect();
    let covers: Vec<Value> = layout
        .covers
        .iter()
        .map(|cover| {
            json!({
                "cover": cover.id.as_str(), "title": cover.title, "place": place(cover.place.index()),
                "off_min": cover.off.as_minutes(), "on_min": cover.on.as_minutes(),
            })
        })
        .collect();
    let places: Vec<Value> = layout
        .places
        .iter()
        .map(|place| json!({"place": place.id.as_str(), "title": place.title}))
        .collect();
    json!({
        "vehicle": vehicle.id.as_str(), "title": vehicle.title, "age_years": vehicle.age_years,
        "ambient_degc": vehicle.ambient.degrees_celsius(), "places": places, "covers": covers,
        "components": components,
    })
}

fn path_json(path: &Path, component: &Component, vehicle: &Vehicle) -> Value {
    let (emf_v, emf_vs) = match path.emf {
        Emf::None => (None, None),
        Emf::Constant(emf) => (Some(emf.volts()), None),
        Emf::PerSpeed(constant) => (None, Some(constant.volt_seconds())),
    };
    json!({
        "path": path.name.as_str(), "p": vehicle.node_names[path.p.index()],
        "n": vehicle.node_names[path.n.index()], "resistance_ohm": path.resistance.ohms(),
        "emf_v": emf_v, "emf_constant_vs": emf_vs, "conducts": gate(path, component),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        for (value, text) in [
            (0.0355, "0.0355"),
            (12.6, "12.6"),
            (1e10, "10000000000"),
            (2.4, "2.4"),
            (0.0, "0"),
        ] {
            assert_eq!(short(value), text);
        }
    }
}
