//! Reads a vehicle file: header, places, covers, charges, book, and one table of tables for each kind
//! of component (`[wire.motor-53]`).
//!
//! Components are read twice. The first reading gives every component its id and its terminals with
//! their nodes; the second reads what is inside, and can then refer to any other.

use super::check;
use super::component::{Roster, read_component};
use super::finding::{Code, Finding, Findings};
use super::keys::{self, Key, vehicle_file};
use super::kind::KindWord;
use super::section::Section;
use super::switching;
use super::value::Named;
use super::{COMPONENTS_MAX, FORMAT, NODES_MAX, document};
use crate::ident::Name;
use crate::quantity::Temperature;
use crate::vehicle::{BookEntry, Charges, Component, Cover, Layout, Node, Place, PlaceId, Vehicle};
use toml::de::{DeTable, DeValue};

/// Reads a vehicle file: the vehicle with warnings, or every finding if any is an error.
///
/// ```
/// let findings = groundside_engine::file::read_vehicle("format = 1\nvehicel = 3").unwrap_err();
/// assert_eq!(findings[0].to_string(), "1:1: error [missing-key]: the file needs `vehicle`");
/// ```
///
/// # Errors
/// All findings, in the order of the file, when the text is not a valid vehicle.
pub fn read_vehicle(text: &str) -> Result<(Vehicle, Vec<Finding>), Vec<Finding>> {
    let findings = Findings::new(text);
    let vehicle =
        document(text, &findings).and_then(|table| vehicle_of(table.get_ref(), &findings));
    findings.conclude(vehicle)
}

/// Whether the file says that it has the format this engine reads.
pub(super) fn format_is_known(file: &mut Section<'_>) -> bool {
    let Some(value) = file.need(&vehicle_file::FORMAT) else {
        return false;
    };
    match value.version() {
        Some(FORMAT) => true,
        Some(_) => {
            let help = format!("this engine reads format {FORMAT}");
            value.error(
                Code::UnsupportedFormat,
                "is not a version that is read here",
                Some(help),
            );
            false
        }
        None => false,
    }
}

struct Header {
    id: Option<Name>,
    title: String,
    age_years: u32,
    ambient: Temperature,
}

fn vehicle_of<'t>(root: &'t DeTable<'t>, findings: &'t Findings<'t>) -> Option<Vehicle> {
    let mut file = Section::new(
        findings,
        root,
        &keys::VEHICLE_FILE,
        "the file".to_owned(),
        0..0,
    );
    if !format_is_known(&mut file) {
        return None;
    }
    let header_span = file.key_span(&vehicle_file::VEHICLE);
    let header = header(&mut file);
    let layout = layout(&mut file);
    let book = book(&mut file);
    let tables = component_tables(&mut file);
    file.close_as(|value| {
        if matches!(value, DeValue::Table(_)) {
            Code::UnknownKind
        } else {
            Code::UnknownKey
        }
    });

    let mut roster = Roster::new(findings, layout, header.ambient);
    let sections: Vec<Section<'_>> = tables
        .into_iter()
        .map(|(kind, id, section)| roster.enlist(kind, id, section))
        .collect();
    if roster.node_names.len() > NODES_MAX {
        let message = format!(
            "the circuit has {} nodes; at most {NODES_MAX} are read",
            roster.node_names.len()
        );
        findings.error(Code::TooLarge, header_span, message, None);
        return None;
    }
    let body = check::battery_and_body(&roster, &header_span);
    let mut components: Vec<Component> = sections
        .into_iter()
        .enumerate()
        .map(|(index, section)| read_component(&mut roster, index, section))
        .collect();
    switching::move_behind(&roster, &mut components);
    let vehicle = Vehicle {
        // Stand-ins after an error, so that the checks below still run.
        id: header.id.or_else(|| Name::new("unnamed").ok())?,
        title: header.title,
        age_years: header.age_years,
        ambient: header.ambient,
        components,
        node_names: roster.node_names.clone(),
        body: body.unwrap_or(Node::REFERENCE),
        layout: roster.layout.clone(),
        book,
    };
    check::whole(&vehicle, &roster, body.is_some());
    Some(vehicle)
}

fn header(file: &mut Section<'_>) -> Header {
    let mut read = Header {
        id: None,
        title: String::new(),
        age_years: 0,
        ambient: Temperature::from_degrees_celsius(20.0),
    };
    let Some(mut section) = file.section(&vehicle_file::VEHICLE) else {
        return read;
    };
    read.id = section.name(&keys::header::ID).map(|id| id.name);
    read.title = section.line(&keys::header::TITLE);
    read.age_years = section
        .need(&keys::header::AGE_YEARS)
        .and_then(|value| value.count())
        .unwrap_or_default();
    read.ambient = Temperature::from_degrees_celsius(section.number(&keys::header::AMBIENT_DEGC));
    section.close();
    read
}

fn layout(file: &mut Section<'_>) -> Layout {
    let mut places = Vec::new();
    for (id, mut section) in file.named_sections(&vehicle_file::PLACES) {
        places.push(Place {
            title: section.title(&keys::place::TITLE, &id),
            id,
        });
        section.close();
    }
    if places.is_empty() {
        file.error(
            Code::MissingKey,
            "needs at least one place",
            Some("for example [place.cab]".to_owned()),
        );
    }
    let mut covers = Vec::new();
    for (id, mut section) in file.named_sections(&vehicle_file::COVERS) {
        covers.push(Cover {
            title: section.title(&keys::cover::TITLE, &id),
            place: section
                .name(&keys::cover::PLACE)
                .and_then(|named| place(&section, &places, &named))
                .unwrap_or(PlaceId(0)),
            off: section.minutes(&keys::cover::OFF_MIN),
            on: section.minutes(&keys::cover::ON_MIN),
            takes_arms: section
                .may(&keys::cover::TAKES_ARMS)
                .and_then(|value| value.boolean())
                .unwrap_or_default(),
            id,
        });
        section.close();
    }
    Layout {
        places,
        covers,
        charges: charges(file),
    }
}

/// The place with a name.
pub(super) fn place(section: &Section<'_>, places: &[Place], named: &Named) -> Option<PlaceId> {
    let ids = places.iter().map(|place| place.id.as_str());
    section.position(named, "place", ids).map(PlaceId)
}

fn charges(file: &mut Section<'_>) -> Charges {
    // Without the table each charge would be reported as missing, so an empty one stands in.
    let mut section = file.section(&vehicle_file::CHARGES);
    let mut minutes = |key: &'static Key| {
        let value = section.as_mut().and_then(|section| section.need(key));
        value.and_then(|value| value.minutes()).unwrap_or_default()
    };
    let charges = Charges {
        walk: minutes(&keys::charges::WALK_MIN),
        control: minutes(&keys::charges::CONTROL_MIN),
        helper: minutes(&keys::charges::HELPER_MIN),
        sense: minutes(&keys::charges::SENSE_MIN),
        count: minutes(&keys::charges::COUNT_MIN),
        wet_glass: minutes(&keys::charges::WET_GLASS_MIN),
        meter_out: minutes(&keys::charges::METER_OUT_MIN),
        reading: minutes(&keys::charges::READING_MIN),
        plug: minutes(&keys::charges::PLUG_MIN),
        arm: minutes(&keys::charges::ARM_MIN),
        nut_off: minutes(&keys::charges::NUT_OFF_MIN),
        nut_on: minutes(&keys::charges::NUT_ON_MIN),
        jumper: minutes(&keys::charges::JUMPER_MIN),
        battery_test: minutes(&keys::charges::BATTERY_TEST_MIN),
    };
    if let Some(section) = section {
        section.close();
    }
    charges
}

fn book(file: &mut Section<'_>) -> Vec<BookEntry> {
    let mut entries = Vec::new();
    for mut section in file.repeated_sections(&vehicle_file::BOOK) {
        entries.push(BookEntry {
            topic: section.line(&keys::book::TOPIC),
            text: section.text(&keys::book::TEXT),
        });
        section.close();
    }
    entries
}

/// The tables of all components, in the order of the file.
fn component_tables<'t>(file: &mut Section<'t>) -> Vec<(KindWord, Name, Section<'t>)> {
    let mut tables = Vec::new();
    for (kind, key) in KindWord::ALL.into_iter().zip(&keys::KINDS) {
        let sections = file.named_sections_to(key, COMPONENTS_MAX);
        tables.extend(
            sections
                .into_iter()
                .map(|(id, section)| (kind, id, section)),
        );
    }
    tables.sort_by_key(|(_, _, section)| section.span.start);
    if tables.len() > COMPONENTS_MAX {
        let message = format!(
            "has {} components; at most {COMPONENTS_MAX} are read",
            tables.len()
        );
        file.error(Code::TooLarge, &message, None);
        tables.truncate(COMPONENTS_MAX);
    }
    tables
}
