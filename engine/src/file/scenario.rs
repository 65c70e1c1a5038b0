//! Reads a scenario file, and checks a scenario against its vehicle.

use super::document;
use super::finding::{Code, Finding, Findings, did_you_mean, quoted};
use super::keys::{COMPLAINTS, GLASSES, WINDSCREENS, scenario_file, scenario_table};
use super::section::Section;
use super::value::Value;
use super::vehicle::format_is_known;
use crate::ident::Name;
use crate::quantity::Minutes;
use crate::scenario::{Glass, Scenario, Selector, Symptom};
use crate::vehicle::{Region, Vehicle};
use toml::de::DeTable;

/// Reads a scenario file.
///
/// A pool entry is a region word, a component's id, or `component.mode`. A region's word means the
/// region even if a component has the same id; such a component is selected mode by mode.
///
/// # Errors
/// All findings, in the order of the file, when the text is not a valid scenario.
pub fn read_scenario(text: &str) -> Result<Scenario, Vec<Finding>> {
    let findings = Findings::new(text);
    let scenario =
        document(text, &findings).and_then(|table| scenario_of(table.get_ref(), &findings));
    findings.conclude(scenario).map(|(scenario, _)| scenario)
}

/// Checks a scenario against its vehicle: whether it is the right one, whether every pool entry selects a fault of it, and
/// whether the minutes allowed hold at least the way to each fault that may be drawn, and its repair. `text` is the scenario's file, for the places of the findings.
#[must_use]
pub fn check_scenario(scenario: &Scenario, text: &str, vehicle: &Vehicle) -> Vec<Finding> {
    let findings = Findings::new(text);
    if let Some(table) = document(text, &Findings::new(text)) {
        let spans = Spans::of(table.get_ref(), &findings);
        spans.check(scenario, vehicle, &findings);
    }
    findings.into_list()
}

fn scenario_of<'t>(root: &'t DeTable<'t>, findings: &'t Findings<'t>) -> Option<Scenario> {
    let mut file = Section::new(
        findings,
        root,
        &scenario_file::TABLE,
        "the file".to_owned(),
        0..0,
    );
    if !format_is_known(&mut file) {
        return None;
    }
    let complaints = complaints(&mut file);
    let section = file.section(&scenario_file::SCENARIO);
    file.close();
    let mut section = section?;
    let id = section.name(&scenario_table::ID).map(|id| id.name);
    let vehicle = section.name(&scenario_table::VEHICLE).map(|id| id.name);
    let glass = section
        .need(&scenario_table::GLASS)
        .and_then(|value| value.one_of());
    let title = section.line(&scenario_table::TITLE);
    let objective = section.text(&scenario_table::OBJECTIVE);
    let skills = section
        .may(&scenario_table::SKILLS)
        .and_then(|value| value.list())
        .unwrap_or_default();
    let skills = skills.iter().filter_map(Value::line).collect();
    let unit = section.line(&scenario_table::UNIT);
    let history = section.text(&scenario_table::HISTORY);
    let weather = section.text(&scenario_table::WEATHER);
    let rain = rain(&mut section, glass.map(|glass| GLASSES[glass]));
    let windscreen = windscreen(&mut section);
    let pool = pool(&mut section);
    let faults = faults(&mut section);
    let helper = section
        .need(&scenario_table::HELPER)
        .and_then(|value| value.boolean())
        .unwrap_or_default();
    let allowance = section.minutes(&scenario_table::ALLOWANCE_MIN);
    let shop_rate = section.number(&scenario_table::SHOP_RATE);
    section.close();
    Some(Scenario {
        id: id?,
        title,
        objective,
        skills,
        vehicle: vehicle?,
        unit,
        history,
        weather,
        glass: GLASSES[glass?],
        rain,
        windscreen,
        complaints,
        pool,
        faults,
        helper,
        allowance,
        shop_rate,
    })
}

fn complaints(file: &mut Section<'_>) -> Vec<(Symptom, String)> {
    let Some(mut section) = file.section(&scenario_file::DRIVER) else {
        return Vec::new();
    };
    let mut complaints = Vec::new();
    for (symptom, key) in Symptom::ALL.into_iter().zip(&COMPLAINTS) {
        if let Some(text) = section.may(key) {
            complaints.extend(text.text().map(|text| (symptom, text)));
        }
    }
    if complaints.is_empty() {
        let help = Some(format!(
            "a line for at least one of {}",
            Symptom::ALL.map(Symptom::word).join(", ")
        ));
        section.error(Code::MissingKey, "has no complaint", help);
    }
    section.close();
    complaints
}

/// Whether it rains: no when left out. Rain leaves no glass dry.
fn rain(section: &mut Section<'_>, glass: Option<Glass>) -> bool {
    let Some(value) = section.may(&scenario_table::RAIN) else {
        return false;
    };
    let rain = value.boolean().unwrap_or_default();
    if rain && glass == Some(Glass::Dry) {
        let help = Some("`glass = \"wet\"` or `glass = \"streaming\"` in rain".to_owned());
        value.error(Code::OutOfRange, "is true, and `glass` is \"dry\"", help);
    }
    rain
}

fn windscreen(section: &mut Section<'_>) -> Vec<Name> {
    let values = section
        .may(&scenario_table::WINDSCREEN)
        .and_then(|value| value.list())
        .unwrap_or_default();
    let words = values
        .iter()
        .filter_map(|value| value.one_of())
        .map(|place| WINDSCREENS[place]);
    words.filter_map(|word| Name::new(word).ok()).collect()
}

/// How many faults a vehicle comes in with.
fn faults(section: &mut Section<'_>) -> u32 {
    let Some(value) = section.may(&scenario_table::FAULTS) else {
        return 1;
    };
    let count = value.count_or_none();
    if count == Some(0) {
        value.error(
            Code::OutOfRange,
            "is 0; a vehicle comes in with a fault",
            None,
        );
    }
    count.unwrap_or(1)
}

fn pool_entries<'t>(section: &mut Section<'t>) -> Vec<Value<'t>> {
    section
        .may(&scenario_table::POOL)
        .and_then(|value| value.list())
        .unwrap_or_default()
}

fn pool(section: &mut Section<'_>) -> Vec<Selector> {
    pool_entries(section).iter().filter_map(selector).collect()
}

fn selector(value: &Value<'_>) -> Option<Selector> {
    let text = value.line()?;
    if let Some(region) = Region::ALL.into_iter().find(|region| region.word() == text) {
        return Some(Selector::Region(region));
    }
    let parts: Result<Vec<Name>, _> = text.splitn(2, '.').map(Name::new).collect();
    match parts.as_deref() {
        Ok([component]) => Some(Selector::Component(component.clone())),
        Ok([component, mode]) => Some(Selector::Mode(component.clone(), mode.clone())),
        _ => {
            let help = "a region, a component, or component.mode".to_owned();
            value.error(
                Code::BadName,
                format_args!("is {} here", quoted(&text)),
                Some(help),
            );
            None
        }
    }
}

/// Where the parts of a scenario stand that can be wrong for a vehicle.
struct Spans<'t> {
    vehicle: Option<Value<'t>>,
    pool: Vec<Value<'t>>,
    allowance: Option<Value<'t>>,
}

impl<'t> Spans<'t> {
    fn of(root: &'t DeTable<'t>, findings: &'t Findings<'t>) -> Self {
        let mut file = Section::new(
            findings,
            root,
            &scenario_file::TABLE,
            "the file".to_owned(),
            0..0,
        );
        let Some(mut section) = file.section(&scenario_file::SCENARIO) else {
            return Self {
                vehicle: None,
                pool: Vec::new(),
                allowance: None,
            };
        };
        Self {
            vehicle: section.may(&scenario_table::VEHICLE),
            pool: pool_entries(&mut section),
            allowance: section.may(&scenario_table::ALLOWANCE_MIN),
        }
    }

    fn check(&self, scenario: &Scenario, vehicle: &Vehicle, findings: &Findings<'_>) {
        if scenario.vehicle != vehicle.id {
            let span = self.vehicle.as_ref().map_or(0..0, Value::span);
            let message = format!(
                "the scenario is for vehicle `{}`, not for `{}`",
                scenario.vehicle, vehicle.id
            );
            findings.error(Code::WrongVehicle, span, message, None);
            return;
        }
        for (index, selector) in scenario.pool.iter().enumerate() {
            if let Some((message, help)) = unmatched(selector, scenario, vehicle) {
                let span = self.pool.get(index).map_or(0..0, Value::span);
                findings.error(Code::NoSuchFault, span, message, help);
            }
        }
        if let Some((least, fault)) = most_minutes(scenario, vehicle)
            && least > scenario.allowance
        {
            let span = self.allowance.as_ref().map_or(0..0, Value::span);
            let message = format!(
                "`allowance_min` is {}, and the way to {fault} and its repair alone take {least} min",
                scenario.allowance
            );
            let help = "more minutes, for checks come on top of them, or a pool without it";
            findings.warning(Code::TooFewMinutes, span, message, Some(help.to_owned()));
        }
    }
}

/// The most minutes that any fault which may be drawn takes without a single check: walking to it from where an attempt
/// begins, what must come off, and its shortest cure. What par is made of besides, only marking can tell.
fn most_minutes(scenario: &Scenario, vehicle: &Vehicle) -> Option<(Minutes, String)> {
    let faults = vehicle.faults().into_iter();
    let drawn = faults.filter(|(component, _, mode)| {
        let part = vehicle.component(*component);
        let mut pool = scenario.pool.iter();
        let named = pool.any(|selector| selector.selects(part, mode));
        let lets_in = named || scenario.pool.is_empty();
        // What is no fault is explained to the driver on the spot.
        lets_in && !mode.is_condition() && scenario.can_bring(mode)
    });
    let minutes = drawn.filter_map(|(id, _, mode)| {
        let part = vehicle.component(id);
        let repairs = part.repairs.iter();
        let shortest = repairs
            .filter(|repair| mode.cures.contains(&repair.name))
            .map(|repair| repair.labour)
            .min()?;
        let name = format!("{}.{}", part.id, mode.name);
        Some((vehicle.way_to(id).plus(shortest), name))
    });
    minutes.reduce(|most, next| if next.0 > most.0 { next } else { most })
}

/// What is wrong with a selector that selects no fault of the vehicle, or none that the weather brings.
fn unmatched(
    selector: &Selector,
    scenario: &Scenario,
    vehicle: &Vehicle,
) -> Option<(String, Option<String>)> {
    let faults = vehicle.faults();
    let mut selected = faults
        .iter()
        .filter(|(component, _, mode)| selector.selects(vehicle.component(*component), mode))
        .peekable();
    if selected.peek().is_some() && !selected.any(|(_, _, mode)| scenario.can_bring(mode)) {
        let help = "a line `windscreen = [...]` in the scenario names what the weather brings";
        let message = "selects only what this weather does not bring".to_owned();
        return Some((message, Some(help.to_owned())));
    }
    let no_component = |id: &Name| {
        let ids = vehicle
            .components
            .iter()
            .map(|component| component.id.as_str());
        (
            format!("there is no component `{id}`"),
            did_you_mean(id.as_str(), ids),
        )
    };
    match selector {
        Selector::Region(region) => {
            let none = faults.iter().all(|(component, _, mode)| {
                vehicle.component(*component).region_of(mode) != *region
            });
            none.then(|| {
                (
                    format!("nothing in the region `{}` can fail", region.word()),
                    None,
                )
            })
        }
        Selector::Component(id) => match vehicle.find(id.as_str()) {
            None => Some(no_component(id)),
            Some(_) => {
                let none = faults
                    .iter()
                    .all(|(component, _, _)| vehicle.component(*component).id != *id);
                none.then(|| (format!("`{id}` is a component that does not fail"), None))
            }
        },
        Selector::Mode(id, mode) => match vehicle.find(id.as_str()) {
            None => Some(no_component(id)),
            Some(component) => {
                let modes = vehicle.component(component).modes();
                let names = || modes.iter().map(|mode| mode.name.as_str());
                let none = names().all(|name| name != mode.as_str());
                let help = did_you_mean(mode.as_str(), names());
                none.then(|| (format!("`{id}` has no failure mode `{mode}`"), help))
            }
        },
    }
}
