//! Reads the insides of what conducts: battery, conductors, connectors, switches, breaker, grounds,
//! consumers.

use super::component::{Inside, Roster, path};
use super::finding::{Code, quoted};
use super::keys::{self, COLOURS, Key, PART_CHARS_MAX};
use super::kind::KindWord;
use super::section::Section;
use super::switching;
use super::value::Value;
use crate::ident::Name;
use crate::machines::{LeadAcid, copper};
use crate::quantity::{Area, Current, Interval, Length, Voltage};
use crate::vehicle::{
    AlternatorData, ComponentId, ConsumerData, Emf, Gate, Kind, Node, Path, PumpData, SLIDER,
    TRACK, TRACK_AT, Terminal, TripData, WireData,
};

/// Resistance of one pin of a connector where the file does not say it, ohms (judgement: a clean pin).
pub(super) const PIN_OHM: f64 = 0.005;

/// Resistance of a cable's clamp on a battery's post, ohms (judgement: a clean one drops some hundredths of a volt while
/// a starter turns).
pub(super) const CLAMP_OHM: f64 = 1e-4;

/// Reads what the electrical component at `index` is made of.
pub(super) fn inside(
    roster: &mut Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<Inside> {
    match roster.entries[index].kind {
        KindWord::Breaker if section.has(&keys::built_in_breaker::BEHIND) => {
            return switching::built_in(roster, index, section);
        }
        KindWord::Switch => return switch(roster, index, section),
        KindWord::Fuse => return switching::fuse(roster, index, section),
        KindWord::Splice => return switching::splice(roster, index, section),
        _ => {}
    }
    let roster = &*roster;
    let entry = &roster.entries[index];
    match entry.kind {
        KindWord::Battery => battery(&entry.terminals, section),
        KindWord::Wire => wire(roster, section),
        KindWord::Strap => strap(roster, section),
        KindWord::Connector => connector(roster, index, section),
        KindWord::FusibleLink => fusible_link(&entry.terminals, section),
        KindWord::Ammeter => {
            let ohms = section.number(&keys::ammeter::RESISTANCE_OHM);
            two_ended(&entry.terminals, ohms, "shunt", Kind::Ammeter)
        }
        KindWord::Resistor => resistor(&entry.terminals, section),
        KindWord::Breaker => switching::breaker(&entry.terminals, section),
        KindWord::Relay => switching::relay(&entry.terminals, section),
        KindWord::IntervalUnit => switching::interval_unit(&entry.terminals, section),
        KindWord::Diode => switching::diode(roster, section),
        KindWord::Body => Some(Inside {
            kind: Kind::Body,
            paths: Vec::new(),
        }),
        KindWord::GroundPoint => ground_point(roster, &entry.terminals, section),
        KindWord::Consumer => consumer(&entry.terminals, section),
        KindWord::Alternator => alternator(roster, &entry.terminals, section),
        KindWord::Pump => pump(&entry.terminals, section),
        // Mechanical kinds go the other way.
        _ => None,
    }
}

/// Nodes of a component's first two terminals.
pub(super) fn ends(terminals: &[Terminal]) -> Option<(Node, Node)> {
    match terminals {
        [first, second, ..] => Some((first.node, second.node)),
        _ => None,
    }
}

fn battery(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    let volts = section.number(&keys::battery::OPEN_CIRCUIT_V);
    let ohms = section.number(&keys::battery::INTERNAL_RESISTANCE_OHM);
    let [pos, neg, pos_post, neg_post] = terminals else {
        return None;
    };
    let mut cells = path("cells", pos_post.node, neg_post.node, ohms)?;
    cells.emf = Emf::Constant(Voltage::from_volts(volts));
    Some(Inside {
        kind: Kind::Battery(LeadAcid::of(Voltage::from_volts(volts))),
        paths: vec![
            cells,
            // The way a battery's current goes while it gives any.
            path("pos", pos_post.node, pos.node, CLAMP_OHM)?,
            path("neg", neg.node, neg_post.node, CLAMP_OHM)?,
        ],
    })
}

pub(super) fn two_ended(
    terminals: &[Terminal],
    ohms: f64,
    name: &str,
    kind: Kind,
) -> Option<Inside> {
    let (p, n) = ends(terminals)?;
    Some(Inside {
        kind,
        paths: vec![path(name, p, n, ohms)?],
    })
}

fn wire(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<Inside> {
    let colour = section
        .need(&keys::wire::COLOUR)
        .and_then(|value| colour(&value));
    let supply_side = section
        .may(&keys::wire::SUPPLY_SIDE)
        .map_or(Some(true), |value| value.boolean());
    let (data, paths) = conductor(roster, section)?;
    Some(Inside {
        kind: Kind::Wire {
            data,
            colour: colour?,
            supply_side: supply_side?,
        },
        paths,
    })
}

fn strap(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<Inside> {
    let (data, mut paths) = conductor(roster, section)?;
    // A strap's ring comes off its stud: that is how a battery is disconnected.
    for path in &mut paths {
        path.gate = Gate::Mated;
    }
    Some(Inside {
        kind: Kind::Strap(data),
        paths,
    })
}

fn conductor(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<(WireData, Vec<Path>)> {
    let length = Length::from_metres(section.number(&keys::wire::LENGTH_M));
    let section_mm2 = section.number(&keys::wire::SECTION_MM2);
    let data = WireData {
        length,
        section: Area::from_square_millimetres(section_mm2),
    };
    let codes = (Code::DanglingWire, Code::DanglingWire);
    let from = section
        .need(&keys::wire::FROM)
        .and_then(|value| roster.point(&value, codes));
    let end = section.need(&keys::wire::TO);
    let to = end.as_ref().and_then(|value| roster.point(value, codes));
    let (from, to) = (from?, to?);
    if from == to {
        end?.error(
            Code::DanglingWire,
            "is the terminal that it comes from",
            None,
        );
        return None;
    }
    let ohms = copper(data.length, data.section, roster.ambient).ohms();
    Some((data, vec![path("conductor", from, to, ohms)?]))
}

/// A colour: codes of IEC 60757 joined in its order. Green and yellow go together as `GNYE` only, the
/// protective conductor's, which is the one exception from the order.
fn colour(value: &Value<'_>) -> Option<String> {
    let text = value.line()?;
    let mut places = text
        .as_bytes()
        .chunks(2)
        .map(|code| COLOURS.iter().position(|known| known.as_bytes() == code));
    let mut last = None;
    let in_order = places.all(|place| {
        let rises = place.is_some() && place > last;
        last = place;
        rises
    });
    let green_and_yellow = text.contains("YE") && text.contains("GN");
    if (in_order && !green_and_yellow) || text == "GNYE" {
        return Some(text);
    }
    let help = format!(
        "IEC 60757 codes, joined in this order: {}; or GNYE",
        COLOURS.join(" ")
    );
    value.error(
        Code::BadColour,
        format_args!("is {} here", quoted(&text)),
        Some(help),
    );
    None
}

fn connector(roster: &Roster<'_>, index: usize, section: &mut Section<'_>) -> Option<Inside> {
    let ohms = match section.may(&keys::connector_in_loom::PIN_RESISTANCE_OHM) {
        Some(value) => value.number(),
        None => Some(PIN_OHM),
    };
    let entry = &roster.entries[index];
    let mate = section
        .has(&keys::connector_on_component::MATES)
        .then(|| section.need(&keys::connector_on_component::MATES));
    let (mates, far_side): (_, Vec<Option<Node>>) = match mate.flatten() {
        Some(value) => {
            let mate = roster.component(&value)?;
            let far = |pin| terminal_of_mate(roster, mate, &value, pin);
            (
                Some(ComponentId(mate)),
                entry.pins.iter().map(far).collect(),
            )
        }
        None => {
            let far_face = entry.terminals.iter().skip(entry.pins.len());
            (None, far_face.map(|terminal| Some(terminal.node)).collect())
        }
    };
    let mut paths = Vec::new();
    for ((pin, near), far) in entry.pins.iter().zip(&entry.terminals).zip(far_side) {
        let mut pin = path(pin.as_str(), near.node, far?, ohms?)?;
        pin.gate = Gate::Mated;
        paths.push(pin);
    }
    Some(Inside {
        kind: Kind::Connector { mates },
        paths,
    })
}

fn terminal_of_mate(
    roster: &Roster<'_>,
    mate: usize,
    value: &Value<'_>,
    pin: &Name,
) -> Option<Node> {
    let mate = &roster.entries[mate];
    let found = mate.terminals.iter().find(|terminal| terminal.name == *pin);
    if found.is_none() {
        value.error(
            Code::UnknownTerminal,
            format_args!("is `{}`, which has no terminal for pin `{pin}`", mate.id),
            None,
        );
    }
    found.map(|terminal| terminal.node)
}

/// A resistor with taps: its steps, each between two terminals.
fn resistor(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    let steps = section.named_sections(&keys::resistor::STEPS);
    if steps.is_empty() {
        section.error(Code::MissingKey, "needs `steps`", None);
    }
    let step = |(name, mut section): (Name, Section<'_>)| {
        part_name(&name, &section);
        let ohms = section.number(&keys::step::RESISTANCE_OHM);
        let between = places(
            section.need(&keys::step::BETWEEN),
            &terminal_names(terminals),
        );
        section.close();
        let [p, n] = between?.try_into().ok()?;
        path(name.as_str(), terminals[p].node, terminals[n].node, ohms)
    };
    // Every step is read before the first bad one drops the resistor.
    let paths: Vec<Option<Path>> = steps.into_iter().map(step).collect();
    Some(Inside {
        kind: Kind::Resistor,
        paths: paths.into_iter().collect::<Option<_>>()?,
    })
}

fn terminal_names(terminals: &[Terminal]) -> Vec<&Name> {
    terminals.iter().map(|terminal| &terminal.name).collect()
}

/// Which of some words each entry of a list is.
fn places(value: Option<Value<'_>>, words: &[&Name]) -> Option<Vec<usize>> {
    let words: Vec<&str> = words.iter().map(|name| name.as_str()).collect();
    let places: Vec<_> = value?
        .list()?
        .iter()
        .map(|entry| entry.one_of_own(&words))
        .collect();
    places.into_iter().collect()
}

/// Reports a name too long for failure modes to be named after it.
fn part_name(name: &Name, section: &Section<'_>) {
    if name.as_str().len() > PART_CHARS_MAX {
        section.error(
            Code::BadName,
            &format!("has a name longer than {PART_CHARS_MAX} characters"),
            None,
        );
    }
}

fn switch(roster: &mut Roster<'_>, index: usize, section: &mut Section<'_>) -> Option<Inside> {
    let terminals = roster.entries[index].terminals.clone();
    let terminals = terminals.as_slice();
    let positions = section
        .need(&keys::switch::POSITIONS)
        .and_then(|value| value.names());
    let contacts = section.named_sections(&keys::switch::CONTACTS);
    if contacts.is_empty() {
        section.error(Code::MissingKey, "needs `contacts`", None);
    }
    let rheostat_span = section.key_span(&keys::switch::RHEOSTAT);
    let on_shaft = section.may(&keys::switch::RHEOSTAT);
    let positions = positions?;
    let rheostat = match on_shaft {
        Some(value) => {
            let section = value.section("rheostat".to_owned(), rheostat_span)?;
            rheostat(roster, index, section, &positions)
        }
        None => Some(Vec::new()),
    };
    let paths: Option<Vec<Path>> = contacts
        .into_iter()
        .map(|(name, section)| contact(&name, section, terminals, &positions))
        // Every contact is read before the first bad one drops the switch.
        .collect::<Vec<_>>()
        .into_iter()
        .collect();
    let mut paths = paths?;
    paths.extend(rheostat?);
    Some(Inside {
        kind: Kind::Switch { positions },
        paths,
    })
}

/// A rheostat on the switch's shaft: the slider, from the first terminal, stands on the track at a stop in each of
/// some positions; the track begins at the second terminal, with nothing before the first stop, and has all of its
/// resistance before the last.
fn rheostat(
    roster: &mut Roster<'_>,
    index: usize,
    mut section: Section<'_>,
    positions: &[Name],
) -> Option<Vec<Path>> {
    let entry = &roster.entries[index];
    let (id, terminals) = (entry.id.clone(), entry.terminals.clone());
    let between = places(
        section.need(&keys::rheostat::BETWEEN),
        &terminal_names(&terminals),
    );
    let stops = places(
        section.need(&keys::rheostat::STOPS),
        &positions.iter().collect::<Vec<_>>(),
    );
    let whole = section.number(&keys::rheostat::TRACK_OHM);
    let touch = section.number(&keys::rheostat::SLIDER_OHM);
    section.close();
    let [from, to] = between?.try_into().ok()?;
    let stops = stops?;
    let slider = roster.add_node(format!("{id} slider"));
    let mut paths = vec![path(SLIDER, terminals[from].node, slider, touch)?];
    let mut at = terminals[to].node;
    for (place, stop) in stops.iter().enumerate() {
        if place > 0 {
            let next = roster.add_node(format!("{id} track {place}"));
            #[expect(clippy::cast_precision_loss, reason = "sixty at most")]
            let part = whole / (stops.len() - 1) as f64;
            paths.push(path(&format!("{TRACK}{place}"), next, at, part)?);
            at = next;
        }
        let mut contact = path(
            &format!("{TRACK_AT}{}", positions[*stop]),
            slider,
            at,
            touch,
        )?;
        contact.gate = Gate::Position(vec![*stop]);
        paths.push(contact);
    }
    Some(paths)
}

fn contact(
    name: &Name,
    mut section: Section<'_>,
    terminals: &[Terminal],
    positions: &[Name],
) -> Option<Path> {
    part_name(name, &section);
    let ohms = section.number(&keys::contact::RESISTANCE_OHM);
    let between = places(
        section.need(&keys::contact::BETWEEN),
        &terminal_names(terminals),
    );
    let closed = places(
        section.need(&keys::contact::CLOSED_IN),
        &positions.iter().collect::<Vec<_>>(),
    );
    section.close();
    let [p, n] = between?.try_into().ok()?;
    let mut closed = closed?;
    closed.sort_unstable();
    closed.dedup();
    let mut path = path(name.as_str(), terminals[p].node, terminals[n].node, ohms)?;
    path.gate = if closed.len() == positions.len() {
        Gate::Always
    } else {
        Gate::Position(closed)
    };
    Some(path)
}

fn fusible_link(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    use keys::fusible_link::{RESISTANCE_OHM, TIME_CONSTANT_S, ULTIMATE_A};
    let kind = Kind::FusibleLink(trip(section, &ULTIMATE_A, &TIME_CONSTANT_S));
    let ohms = section.number(&RESISTANCE_OHM);
    tripping(two_ended(terminals, ohms, "link", kind)?)
}

/// What opens by its own heat, and stays open.
pub(super) fn trip(
    section: &mut Section<'_>,
    ultimate: &'static Key,
    time_constant: &'static Key,
) -> TripData {
    TripData {
        ultimate: Current::from_amperes(section.number(ultimate)),
        time_constant: Interval::from_seconds(section.number(time_constant)),
        reclose: None,
    }
}

pub(super) fn tripping(mut inside: Inside) -> Option<Inside> {
    for path in &mut inside.paths {
        path.gate = Gate::Untripped;
    }
    Some(inside)
}

fn ground_point(
    roster: &Roster<'_>,
    terminals: &[Terminal],
    section: &mut Section<'_>,
) -> Option<Inside> {
    let ohms = section.number(&keys::ground_point::RESISTANCE_OHM);
    let metal = metal(roster)?;
    let stud = terminals.first()?.node;
    Some(Inside {
        kind: Kind::GroundPoint,
        paths: vec![path("joint", stud, metal, ohms)?],
    })
}

/// An alternator on an engine that is bolted to the body.
fn alternator(
    roster: &Roster<'_>,
    terminals: &[Terminal],
    section: &mut Section<'_>,
) -> Option<Inside> {
    let regulated = Voltage::from_volts(section.number(&keys::alternator::REGULATED_V));
    let ohms = section.number(&keys::alternator::RESISTANCE_OHM);
    let metal = metal(roster)?;
    let mut stator = path("stator", terminals.first()?.node, metal, ohms)?;
    stator.emf = Emf::Constant(regulated);
    stator.gate = Gate::Position(vec![1]);
    Some(Inside {
        kind: Kind::Alternator(AlternatorData { regulated }),
        paths: vec![stator],
    })
}

/// The body's node. A vehicle without a body has been reported already.
fn metal(roster: &Roster<'_>) -> Option<Node> {
    let mut bodies = roster.of_kind(KindWord::Body);
    Some(bodies.next()?.terminals.first()?.node)
}

/// A washer pump runs whenever it is fed.
fn pump(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    let rated = Voltage::from_volts(section.number(&keys::pump::RATED_V));
    let ohms = section.number(&keys::pump::RESISTANCE_OHM);
    two_ended(
        terminals,
        ohms,
        "motor",
        Kind::Pump(PumpData {
            rated,
            seized: false,
        }),
    )
}

fn consumer(terminals: &[Terminal], section: &mut Section<'_>) -> Option<Inside> {
    let rated = Voltage::from_volts(section.number(&keys::consumer::RATED_V));
    let ohms = section.number(&keys::consumer::RESISTANCE_OHM);
    let mut inside = two_ended(
        terminals,
        ohms,
        "load",
        Kind::Consumer(ConsumerData { rated }),
    )?;
    for path in &mut inside.paths {
        path.gate = Gate::Position(vec![1]);
    }
    Some(inside)
}
