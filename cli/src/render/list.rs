//! Lists of vehicles, scenarios and faults.

use groundside_engine::scenario::{Scenario, Symptom};
use groundside_engine::vehicle::{Mode, Vehicle};
use serde_json::{Value, json};

use crate::style::{Page, Tone, columns};

fn table(head: &[&str], rows: Vec<Vec<String>>) -> Page {
    let mut all = vec![head.iter().map(|&word| word.to_owned()).collect()];
    all.extend(rows);
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
    table(&["scenario", "vehicle", "allowed", "title"], rows.collect())
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

/// The faults of a vehicle by component, each with what a driver complains of at its median severity.
pub(crate) fn faults(vehicle: &Vehicle, complaints: &[Option<Symptom>]) -> Page {
    let faults = vehicle.faults();
    let rows: Vec<Vec<String>> = faults
        .iter()
        .zip(complaints)
        .map(|((id, _, mode), complaint)| {
            vec![
                format!("{}.{}", vehicle.component(*id).id, mode.name),
                mode.cures
                    .first()
                    .map_or_else(String::new, ToString::to_string),
                complaint.map_or("latent", Symptom::word).to_owned(),
                severity(mode),
            ]
        })
        .collect();
    let mut page = table(&["fault", "repair", "complaint", "severity"], rows);
    let rows = page.0.split_off(1);
    let mut before = None;
    for ((id, _, mode), row) in faults.iter().zip(rows) {
        let component = vehicle.component(*id);
        if before != Some(*id) {
            page.add(
                Tone::Quiet,
                format!(
                    "{}, region {}",
                    component.title,
                    component.region_of(mode).word()
                ),
            );
        }
        before = Some(*id);
        page.0.push(row);
    }
    page.add(
        Tone::Quiet,
        "Complaint: what a driver would come with at the median severity, on wet glass. Latent: none.",
    );
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
