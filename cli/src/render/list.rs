//! Lists of vehicles, scenarios and faults.

use groundside_engine::scenario::{Scenario, Symptom};
use groundside_engine::vehicle::{Mode, Vehicle};
use serde_json::{Value, json};

use super::minutes::ALLOWED;
use crate::style::{Page, Tone, WIDTH, columns, fitted};

/// A table whose last column goes on below itself where it would be too wide.
fn table(head: &[&str], rows: Vec<Vec<String>>) -> Page {
    let head = head.iter().map(|&word| word.to_owned()).collect();
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    let all = fitted(&rows, WIDTH);
    let mut page = Page::default();
    for (index, row) in columns(&all).into_iter().enumerate() {
        page.row(row);
        if index == 0
            && let Some(line) = page.0.last_mut()
        {
            line.tone = Tone::Strong;
        }
    }
    page
}

/// Vehicles.
pub(crate) fn vehicles(vehicles: &[&Vehicle]) -> Page {
    let rows = vehicles
        .iter()
        .map(|vehicle| vec![vehicle.id.to_string(), vehicle.title.clone()]);
    table(&["vehicle", "what it is"], rows.collect())
}

/// Vehicles, as JSON.
pub(crate) fn vehicles_json(vehicles: &[&Vehicle]) -> Value {
    let rows = vehicles.iter().map(|vehicle| {
        json!({
            "vehicle": vehicle.id.as_str(), "title": vehicle.title, "age_years": vehicle.age_years,
            "components": vehicle.components.len(), "faults": vehicle.faults().len(),
        })
    });
    rows.collect()
}

/// Scenarios.
pub(crate) fn scenarios(scenarios: &[&Scenario]) -> Page {
    let rows = scenarios.iter().map(|scenario| {
        vec![
            scenario.id.to_string(),
            scenario.vehicle.to_string(),
            format!("{} min", scenario.allowance),
            scenario.title.clone(),
        ]
    });
    let mut page = table(&["scenario", "vehicle", "allowed", "title"], rows.collect());
    page.add(Tone::Quiet, format!("Allowed: {ALLOWED}."));
    page
}

/// Scenarios, as JSON.
pub(crate) fn scenarios_json(scenarios: &[&Scenario]) -> Value {
    let rows = scenarios.iter().map(|scenario| {
        json!({
            "scenario": scenario.id.as_str(), "vehicle": scenario.vehicle.as_str(),
            "title": scenario.title, "objective": scenario.objective.trim(), "skills": scenario.skills,
            "allowance_min": scenario.allowance.as_minutes(), "helper": scenario.helper,
            "glass": scenario.glass.word(),
        })
    });
    rows.collect()
}

/// Severity limits as text: `0.1 to 50 ohm`.
fn severity(mode: &Mode) -> String {
    mode.severity.map_or_else(String::new, |law| {
        format!("{} to {} {}", law.min, law.max, law.unit.told())
    })
}

/// The faults of a vehicle by component and region, each with what a driver complains of at its median severity.
pub(crate) fn faults(vehicle: &Vehicle, complaints: &[Option<Symptom>]) -> Page {
    let faults = vehicle.faults();
    let rows: Vec<Vec<String>> = faults
        .iter()
        .zip(complaints)
        .map(|((_, _, mode), complaint)| {
            vec![
                format!("  {}", mode.name),
                mode.cures
                    .first()
                    .map_or_else(String::new, ToString::to_string),
                complaint.map_or("latent", Symptom::word).to_owned(),
                severity(mode),
            ]
        })
        .collect();
    let mut page = table(&["  mode", "repair", "complaint", "severity"], rows);
    let mut rows = page.0.split_off(1).into_iter().peekable();
    let mut before = None;
    for (id, _, mode) in &faults {
        let component = vehicle.component(*id);
        let region = component.region_of(mode);
        if before.replace((*id, region)) != Some((*id, region)) {
            page.hanging(
                Tone::Strong,
                format!(
                    "{}: {}, region {}",
                    component.id,
                    component.title,
                    region.word()
                ),
                "  ",
            );
        }
        page.0.extend(rows.next());
        // What the severity goes on with below.
        while let Some(more) = rows.next_if(|row| row.text.starts_with("    ")) {
            page.0.push(more);
        }
    }
    if let Some((id, _, mode)) = faults.last() {
        let fault = format!("{}.{}", vehicle.component(*id).id, mode.name);
        page.add(
            Tone::Quiet,
            format!(
                "A fault is its component and its mode, as `--fault {fault}` has it. Complaint: what a driver would \
                 come with at the median severity, on wet glass. Latent: none."
            ),
        );
    }
    page
}

/// The faults of a vehicle, as JSON.
pub(crate) fn faults_json(vehicle: &Vehicle, complaints: &[Option<Symptom>]) -> Value {
    let rows = vehicle
        .faults()
        .into_iter()
        .zip(complaints)
        .map(|((id, _, mode), complaint)| {
            let component = vehicle.component(id);
            let severity = mode
                .severity
                .map(|law| json!({"min": law.min, "max": law.max, "unit": law.unit.symbol()}));
            json!({
                "component": component.id.as_str(), "mode": mode.name.as_str(),
                "region": component.region_of(&mode).word(),
                "repair": mode.cures.first().map(|cure| cure.as_str()),
                "repairs": mode.cures.iter().map(|cure| cure.as_str()).collect::<Vec<_>>(),
                "latent": complaint.is_none(), "complaint": complaint.map(Symptom::word),
                "severity": severity,
            })
        });
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{SCENARIOS, VEHICLES, scenario, vehicle};

    #[test]
    fn lists_fit_a_screen() {
        let loaded = VEHICLES.map(|(id, _)| vehicle(id).unwrap().vehicle);
        let all: Vec<&Vehicle> = loaded.iter().map(AsRef::as_ref).collect();
        let open = SCENARIOS.map(|(id, _)| scenario(id, None).unwrap().scenario);
        let open: Vec<&Scenario> = open.iter().map(AsRef::as_ref).collect();
        let mut pages = vec![vehicles(&all), scenarios(&open)];
        for vehicle in all {
            let longest = vec![Some(Symptom::OneBladeStill); vehicle.faults().len()];
            pages.push(faults(vehicle, &longest));
        }
        for page in pages {
            for line in &page.0 {
                assert!(line.text.chars().count() <= WIDTH, "{}", line.text);
            }
        }
    }

    /// A row below its component's heading, which gives the region that it is sought in.
    #[test]
    fn every_fault_stands_below_its_component_and_region() {
        for (id, _) in VEHICLES {
            let vehicle = vehicle(id).unwrap().vehicle;
            let page = faults(&vehicle, &vec![None; vehicle.faults().len()]);
            let mut rows = page.0.iter();
            let mut heading = String::new();
            for (id, _, mode) in vehicle.faults() {
                let component = vehicle.component(id);
                let wanted = format!("  {} ", mode.name);
                let row = rows.find(|row| {
                    match (row.tone, row.text.strip_prefix(' ')) {
                        (Tone::Strong, None) => heading.clone_from(&row.text),
                        (Tone::Strong, Some(more)) => heading.push_str(more),
                        _ => {}
                    }
                    row.tone == Tone::Plain && format!("{} ", row.text).starts_with(&wanted)
                });
                assert!(row.is_some(), "{}.{}", component.id, mode.name);
                let region = format!(", region {}", component.region_of(&mode).word());
                let fits = heading.starts_with(&format!("{}: ", component.id));
                assert!(fits && heading.ends_with(&region), "{heading}: {wanted}");
            }
        }
    }
}
