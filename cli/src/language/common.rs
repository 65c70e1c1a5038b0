//! What components are called in a workshop besides their ids and titles.

use groundside_engine::vehicle::{Component, ComponentId, Kind};

use super::{Language, words};

/// Words of IEC 60757 codes for colours.
const COLOURS: [(&str, &str); 12] = [
    ("BK", "black"),
    ("BN", "brown"),
    ("RD", "red"),
    ("OG", "orange"),
    ("YE", "yellow"),
    ("GN", "green"),
    ("BU", "blue"),
    ("VT", "violet"),
    ("GY", "grey"),
    ("WH", "white"),
    ("PK", "pink"),
    ("TQ", "turquoise"),
];

/// Words in a title behind which other things are mentioned: `ground point behind the switch panel`.
const MENTIONING: [&str; 8] = [
    " of ", " at ", " in ", " behind ", " across ", " on ", " beside ", " for ",
];

/// Whether a title mentions what a component stands beside or belongs to.
pub(super) fn mentions(title: &str) -> bool {
    MENTIONING.iter().any(|word| title.contains(word))
}

/// Other names of a component that count only whole.
fn whole_names(component: &Component) -> Vec<String> {
    let id = component.id.as_str();
    let fixed: &[&str] = match &component.kind {
        Kind::ParkContact(_) => &[
            "park switch",
            "parking switch",
            "parking contact",
            "park contacts",
            "parking contacts",
            "cam contact",
        ],
        Kind::Gear(_) => &["gearbox", "gear wheel", "reduction gear", "worm", "gears"],
        Kind::Breaker(_) if component.part_of.is_some() => &[
            "cutout",
            "thermal cutout",
            "thermal cut out",
            "thermal switch",
        ],
        Kind::Breaker(_) => &["circuit breaker", "thermal breaker"],
        Kind::FusibleLink(_) => &["main link", "main fuse", "fuse link", "fuselink"],
        Kind::Pump(_) => &["washer motor", "wash pump", "screen wash pump"],
        Kind::Hose { .. } => &[
            "jet",
            "nozzles",
            "nozzle",
            "washer nozzles",
            "washer tube",
            "washer pipe",
            "tube",
            "pipe",
        ],
        Kind::Linkage(_) => &[
            "links",
            "rods",
            "mechanism",
            "wiper mechanism",
            "wiper linkage",
        ],
        Kind::ConnectingLink => &["connecting rod", "link rod"],
        Kind::CrankNut { .. } => &["motor nut", "nut of the crank"],
        Kind::Eccentric(_) => &["eccentric", "park eccentric"],
        Kind::Alternator(_) => &["generator"],
        Kind::IntervalUnit(_) => &[
            "interval relay",
            "interval module",
            "interval timer",
            "intermittent relay",
            "intermittent unit",
            "intermittent module",
            "wiper timer",
            "timer",
            "delay unit",
            "delay relay",
        ],
        Kind::Resistor => &["dropping resistor", "series resistor"],
        Kind::Switch { .. } => match component.control.as_ref().map(|word| word.as_str()) {
            Some("wiper") => &["stalk", "wiper stalk", "column stalk", "wiper lever"],
            Some("key") => &["ignition", "ignition lock", "key switch", "ignition key"],
            _ => &[],
        },
        Kind::Connector { .. } if id.starts_with("bulkhead") => &["bulkhead plug", "firewall plug"],
        Kind::Connector { .. } if id.starts_with("motor") => &[
            "motor plug",
            "motor connector",
            "wiper plug",
            "wiper motor plug",
            "wiper motor connector",
            "multiplug",
        ],
        _ => &[],
    };
    let mut names: Vec<String> = fixed.iter().map(|name| (*name).to_owned()).collect();
    match &component.kind {
        Kind::Arm { .. } => names.extend(
            ["wiper", "wiper arm", "wiper blade", "wiper rubber"]
                .map(|noun| id.replace("arm", noun)),
        ),
        Kind::Pivot { .. } => names.extend(
            ["spindle", "shaft", "bush", "wheelbox", "wiper spindle"]
                .map(|noun| id.replace("pivot", noun)),
        ),
        Kind::Relay(_) | Kind::Connector { .. } => {
            names.extend(switched_by(&component.title));
            for (noun, others) in [
                ("-relay", ["", "relay "].as_slice()),
                ("-socket", &["base ", "socket ", "relay base "]),
            ] {
                if let Some(base) = id.strip_suffix(noun) {
                    names.extend(others.iter().map(|other| format!("{other}{base}")));
                    if noun == "-socket" {
                        names.push(format!("{base} base"));
                        names.push(format!("{base} holder"));
                    }
                }
            }
        }
        Kind::Wire { colour, .. } => {
            names.extend(colours(colour));
            // `ground wire of the motor, 31`: the motor ground.
            let returns = component.title.strip_prefix("ground wire of the ");
            if let Some(of) = returns.and_then(|of| of.split(',').next()) {
                names.extend(["ground", "earth"].map(|noun| format!("{of} {noun}")));
            }
            // `the 53 wire`, `wire 53`; `motor 53 wire`.
            let own = id.rsplit('-').next().unwrap_or(id);
            for noun in ["wire", "cable", "loom", "harness"] {
                if super::names::has_digit(own) {
                    names.push(format!("{own} {noun}"));
                    names.push(format!("{noun} {own}"));
                }
                names.push(format!("{id} {noun}"));
                names.push(format!("{noun} {id}"));
            }
        }
        Kind::Strap(_) => {
            names.push(id.replace("strap", "braid"));
            // `battery ground` is said of its post as well.
            if !id.starts_with("battery") {
                names.extend(["ground", "earth"].map(|noun| id.replace("strap", noun)));
            }
        }
        // `dash ground` is the stud there, and no terminal of the dash ammeter.
        Kind::GroundPoint => {
            names.push(id.replace('-', " "));
            names.push(id.replace("ground", "earth"));
            names.push(format!("{} stud", id.replace("ground", "earth")));
            // `the earth at the cowl`, with or without its small words.
            for noun in ["ground", "earth"] {
                let where_it_is = component.title.replace("ground point", noun);
                names.push(where_it_is.replace("the ", ""));
                names.push(where_it_is);
            }
            // The point in the cab is said of the dash where the vehicle has none there.
            if id == "cab-ground" {
                names.extend(["dash ground", "dash earth", "panel ground"].map(str::to_owned));
            }
        }
        _ => {}
    }
    names
}

/// What a relay is called by what it switches, which its title tells: `high speed relay` of a `relay for low or high`. Low
/// goes by what wipes and by what chooses the speed, so nothing is called by that.
fn switched_by(title: &str) -> Vec<String> {
    let Some((_, tasks)) = title.split_once("relay for ") else {
        return Vec::new();
    };
    let tasks = tasks.split(" or ").filter(|task| *task != "low");
    tasks
        .flat_map(|task| match task {
            "high" => vec!["high relay", "high speed relay", "fast relay"],
            "parking" => vec!["parking relay", "park relay"],
            "wiping" => vec!["wiping relay"],
            _ => Vec::new(),
        })
        .map(str::to_owned)
        .collect()
}

/// `green wire`, `black green wire`, `GN wire`.
fn colours(code: &str) -> Vec<String> {
    let word = |code: &str| {
        let known = COLOURS.iter().find(|(known, _)| *known == code);
        known.map(|(_, word)| *word)
    };
    let parts: Option<Vec<&str>> = code
        .as_bytes()
        .chunks(2)
        .map(|two| std::str::from_utf8(two).ok().and_then(word))
        .collect();
    let Some(parts) = parts else {
        return Vec::new();
    };
    let said = parts.join(" ");
    let with = parts.join(" with ");
    [said, with, code.to_owned()]
        .iter()
        .flat_map(|name| ["wire", "cable", "lead"].map(|noun| format!("{name} {noun}")))
        .collect()
}

impl Language<'_> {
    /// Adds what components are called besides their ids and titles.
    pub(super) fn add_common_names(&mut self) {
        let vehicle = self.vehicle;
        for (id, component) in vehicle.ids().zip(&vehicle.components) {
            if let Kind::Windscreen(_) = component.kind {
                for glass in words::GLASS {
                    self.components.add_other(id, glass);
                }
            }
            if let Kind::Arm { .. } = component.kind {
                for noun in ["blade", "rubber"] {
                    let name = component.id.as_str().replace("arm", noun);
                    self.components.add_other(id, &name);
                }
            }
            let names = whole_names(component);
            for name in &names {
                self.components.add_whole(id, name);
            }
            let own = [component.id.as_str(), component.title.as_str()];
            self.add_earths(id, &own);
        }
    }

    /// Ground is earth as well.
    fn add_earths(&mut self, id: ComponentId, names: &[&str]) {
        for name in names.iter().filter(|name| name.contains("ground")) {
            self.components
                .add_mentioning(id, &name.replace("ground", "earth"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_told_in_words() {
        let told = colours("BKGN");
        for name in [
            "black green wire",
            "black with green wire",
            "BKGN wire",
            "black green lead",
        ] {
            assert!(told.iter().any(|told| told == name), "{name}: {told:?}");
        }
        assert!(colours("none").is_empty());
        assert!(colours("é!").is_empty());
    }

    #[test]
    fn titles_that_mention_others_are_known() {
        assert!(mentions("ground point behind the switch panel"));
        assert!(!mentions("wiper switch"));
    }
}
