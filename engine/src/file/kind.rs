//! The kinds of component as files write them, and the terminals that each kind has.

use super::COMPONENTS_MAX;
use super::finding::Code;
use super::keys::{self, Key, Table};
use super::section::Section;
use crate::ident::Name;
use crate::vehicle::Region;

/// A kind of component: the word its tables stand under.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum KindWord {
    Battery,
    Wire,
    Strap,
    Connector,
    FusibleLink,
    Ammeter,
    Switch,
    Resistor,
    Breaker,
    Fuse,
    Relay,
    IntervalUnit,
    Diode,
    Splice,
    Motor,
    ParkContact,
    Gear,
    CrankNut,
    Linkage,
    Eccentric,
    ConnectingLink,
    Pivot,
    Arm,
    Windscreen,
    Body,
    GroundPoint,
    Consumer,
    Alternator,
    Pump,
    Hose,
}

impl KindWord {
    pub(super) const ALL: [Self; 30] = [
        Self::Battery,
        Self::Wire,
        Self::Strap,
        Self::Connector,
        Self::FusibleLink,
        Self::Ammeter,
        Self::Switch,
        Self::Resistor,
        Self::Breaker,
        Self::Fuse,
        Self::Relay,
        Self::IntervalUnit,
        Self::Diode,
        Self::Splice,
        Self::Motor,
        Self::ParkContact,
        Self::Gear,
        Self::CrankNut,
        Self::Linkage,
        Self::Eccentric,
        Self::ConnectingLink,
        Self::Pivot,
        Self::Arm,
        Self::Windscreen,
        Self::Body,
        Self::GroundPoint,
        Self::Consumer,
        Self::Alternator,
        Self::Pump,
        Self::Hose,
    ];

    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Battery => "battery",
            Self::Wire => "wire",
            Self::Strap => "strap",
            Self::Connector => "connector",
            Self::FusibleLink => "fusible-link",
            Self::Ammeter => "ammeter",
            Self::Switch => "switch",
            Self::Resistor => "resistor",
            Self::Breaker => "breaker",
            Self::Fuse => "fuse",
            Self::Relay => "relay",
            Self::IntervalUnit => "interval-unit",
            Self::Diode => "diode",
            Self::Splice => "splice",
            Self::Motor => "motor",
            Self::ParkContact => "park-contact",
            Self::Gear => "gear",
            Self::CrankNut => "crank-nut",
            Self::Linkage => "linkage",
            Self::Eccentric => "eccentric",
            Self::ConnectingLink => "connecting-link",
            Self::Pivot => "pivot",
            Self::Arm => "arm",
            Self::Windscreen => "windscreen",
            Self::Body => "body",
            Self::GroundPoint => "ground-point",
            Self::Consumer => "consumer",
            Self::Alternator => "alternator",
            Self::Pump => "pump",
            Self::Hose => "hose",
        }
    }

    /// The region of a verdict; `None` where the file must say it.
    pub(super) const fn region(self) -> Option<Region> {
        match self {
            Self::Battery
            | Self::FusibleLink
            | Self::Ammeter
            | Self::Breaker
            | Self::Fuse
            | Self::Alternator => Some(Region::Supply),
            Self::Switch => None,
            Self::Resistor | Self::Relay | Self::IntervalUnit | Self::Diode => Some(Region::Switch),
            Self::Wire
            | Self::Strap
            | Self::Connector
            | Self::Body
            | Self::GroundPoint
            | Self::Splice
            | Self::Consumer
            | Self::Pump => Some(Region::Wiring),
            Self::Motor | Self::ParkContact | Self::Gear | Self::Eccentric => Some(Region::Motor),
            Self::CrankNut
            | Self::Linkage
            | Self::ConnectingLink
            | Self::Pivot
            | Self::Arm
            | Self::Hose => Some(Region::Linkage),
            Self::Windscreen => Some(Region::NoFault),
        }
    }

    /// Its table, or the tables that may stand in its place.
    pub(super) const fn tables(self) -> &'static [&'static Table] {
        match self {
            Self::Battery => const { &[&keys::battery::TABLE] },
            Self::Wire => const { &[&keys::wire::TABLE] },
            Self::Strap => const { &[&keys::strap::TABLE] },
            Self::Connector => {
                const {
                    &[
                        &keys::connector_on_component::TABLE,
                        &keys::connector_in_loom::TABLE,
                    ]
                }
            }
            Self::FusibleLink => const { &[&keys::fusible_link::TABLE] },
            Self::Ammeter => const { &[&keys::ammeter::TABLE] },
            Self::Switch => const { &[&keys::switch::TABLE] },
            Self::Resistor => const { &[&keys::resistor::TABLE] },
            Self::Breaker => const { &[&keys::built_in_breaker::TABLE, &keys::breaker::TABLE] },
            Self::Fuse => const { &[&keys::fuse::TABLE] },
            Self::Relay => const { &[&keys::relay::TABLE] },
            Self::IntervalUnit => const { &[&keys::interval_unit::TABLE] },
            Self::Diode => const { &[&keys::diode::TABLE] },
            Self::Splice => const { &[&keys::splice::TABLE] },
            Self::Motor => const { &[&keys::wound_motor::TABLE, &keys::motor::TABLE] },
            Self::ParkContact => const { &[&keys::park_contact::TABLE] },
            Self::Gear => const { &[&keys::gear::TABLE] },
            Self::CrankNut => const { &[&keys::crank_nut::TABLE] },
            Self::Linkage => const { &[&keys::linkage::TABLE] },
            Self::Eccentric => const { &[&keys::eccentric::TABLE] },
            Self::ConnectingLink => const { &[&keys::connecting_link::TABLE] },
            Self::Pivot => const { &[&keys::pivot::TABLE] },
            Self::Arm => const { &[&keys::arm::TABLE] },
            Self::Windscreen => const { &[&keys::windscreen::TABLE] },
            Self::Body => const { &[&keys::body::TABLE] },
            Self::GroundPoint => const { &[&keys::ground_point::TABLE] },
            Self::Consumer => const { &[&keys::consumer::TABLE] },
            Self::Alternator => const { &[&keys::alternator::TABLE] },
            Self::Pump => const { &[&keys::pump::TABLE] },
            Self::Hose => const { &[&keys::hose::TABLE] },
        }
    }

    /// The least and the most that a vehicle has of it.
    pub(super) const fn how_many(self) -> (usize, usize) {
        match self {
            Self::Battery | Self::Body => (1, 1),
            Self::Windscreen => (0, 1),
            _ => (0, COMPONENTS_MAX),
        }
    }

    /// Whether it belongs to what moves the blades.
    pub(super) const fn is_mechanical(self) -> bool {
        matches!(
            self.region(),
            Some(Region::Motor | Region::Linkage | Region::NoFault)
        )
    }

    /// Names of a component's terminals, and the pins of a connector.
    pub(super) fn terminals(self, section: &mut Section<'_>) -> (Vec<Name>, Vec<Name>) {
        let terminals = match self {
            // The cables' clamps first: what is said of the battery's ends is said of them.
            Self::Battery => names(&["pos", "neg", "pos-post", "neg-post"]),
            // One that is built into something sits behind a terminal of that.
            Self::Breaker if section.has(&keys::built_in_breaker::BEHIND) => Vec::new(),
            Self::FusibleLink | Self::Ammeter | Self::Breaker | Self::Fuse => names(&["in", "out"]),
            Self::Relay => names(&["30", "85", "86", "87", "87a"]),
            Self::IntervalUnit => names(&["15", "31", "i", "53c", "out"]),
            Self::Splice => parts(section, &keys::splice::ENDS),
            Self::Pump => names(&["53c", "31"]),
            Self::Body => names(&["metal"]),
            Self::GroundPoint => names(&["stud"]),
            Self::Consumer => names(&["feed", "ground"]),
            Self::Alternator => names(&["pos"]),
            Self::Motor => motor_terminals(section),
            Self::Switch => parts(section, &keys::switch::TERMINALS),
            Self::Resistor => parts(section, &keys::resistor::TERMINALS),
            Self::Connector => return connector_terminals(section),
            Self::Wire
            | Self::Strap
            | Self::Diode
            | Self::ParkContact
            | Self::Gear
            | Self::CrankNut
            | Self::Linkage
            | Self::Eccentric
            | Self::ConnectingLink
            | Self::Pivot
            | Self::Arm
            | Self::Windscreen
            | Self::Hose => Vec::new(),
        };
        (terminals, Vec::new())
    }
}

impl KindWord {
    /// Names of joints inside a component: of a motor with a wound field, A1 with D2.
    pub(super) fn inner_joints(self, section: &Section<'_>) -> Vec<Name> {
        if self == Self::Motor && section.has(&keys::wound_motor::FIELD) {
            names(&["a1"])
        } else {
            Vec::new()
        }
    }
}

fn names(words: &[&str]) -> Vec<Name> {
    words
        .iter()
        .filter_map(|word| Name::new(word).ok())
        .collect()
}

fn parts(section: &mut Section<'_>, key: &'static Key) -> Vec<Name> {
    section
        .need(key)
        .and_then(|value| value.names())
        .unwrap_or_default()
}

/// A motor with magnets has its two supply brushes and the common one, which is the case unless it is insulated
/// from it; one with a wound field the ends of its fields and its case. Leads of a park contact come on top.
fn motor_terminals(section: &mut Section<'_>) -> Vec<Name> {
    let insulated = section
        .may(&keys::motor::INSULATED)
        .and_then(|value| value.boolean())
        .unwrap_or(false);
    let mut terminals = if section.has(&keys::wound_motor::FIELD) {
        names(&["d1", "e1", "e2", "31"])
    } else if insulated {
        names(&["53", "53b", "31b", "31"])
    } else {
        names(&["53", "53b", "31"])
    };
    let Some(value) = section.may(&keys::motor::EXTRA_TERMINALS) else {
        return terminals;
    };
    for extra in value.names().unwrap_or_default() {
        if terminals.contains(&extra) {
            value.error(
                Code::DuplicateId,
                format_args!("names `{extra}`, which this motor has anyway"),
                None,
            );
        } else {
            terminals.push(extra);
        }
    }
    terminals
}

/// A connector on a component has its pins as terminals, the loom's side; one in the run of a loom has
/// them once for each face.
fn connector_terminals(section: &mut Section<'_>) -> (Vec<Name>, Vec<Name>) {
    let pins = parts(section, &keys::connector_in_loom::PINS);
    if section.has(&keys::connector_on_component::MATES) {
        return (pins.clone(), pins);
    }
    let faces = section
        .need(&keys::connector_in_loom::FACES)
        .and_then(|value| value.names())
        .unwrap_or_default();
    let terminal = |face: &Name, pin: &Name| Name::new(&format!("{pin}-{face}")).ok();
    let terminals = faces
        .iter()
        .flat_map(|face| pins.iter().filter_map(move |pin| terminal(face, pin)))
        .collect();
    (terminals, pins)
}
