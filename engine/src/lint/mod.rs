//! Findings that no reader of one file can make: what a sound vehicle does when it is run, and what the faults of a
//! scenario's pool bring.
//!
//! They come on top of those of [`file`](crate::file), with codes and places like them. Nothing here is needed to play a
//! file: it is for its author. What takes time with the size of a file is bounded, and what is left out for that is a
//! finding too ([`Code::NotChecked`]).

mod pool;
mod running;
mod terminals;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use crate::file::{Code, Finding, Places, Severity, check_scenario, read_vehicle};
use crate::scenario::Scenario;
use crate::vehicle::Vehicle;

/// Everything to be said of a vehicle file, in its order, and the vehicle if it can be used.
#[must_use]
pub fn lint_vehicle(text: &str) -> (Option<Arc<Vehicle>>, Vec<Finding>) {
    let (vehicle, mut findings) = match read_vehicle(text) {
        Ok((vehicle, findings)) => (Arc::new(vehicle), findings),
        Err(findings) => return (None, findings),
    };
    let places = Places::of(text);
    terminals::check(&vehicle, &places);
    running::check(&vehicle, &places);
    findings.extend(places.findings.into_list());
    (Some(vehicle), in_order(findings))
}

/// Everything to be said of a scenario that was read from `text`, in its order, beside its vehicle.
#[must_use]
pub fn lint_scenario(scenario: &Scenario, text: &str, vehicle: &Arc<Vehicle>) -> Vec<Finding> {
    let mut findings = check_scenario(scenario, text, vehicle);
    if findings.iter().all(|it| it.severity != Severity::Error) {
        let places = Places::of(text);
        pool::check(scenario, vehicle, &places);
        findings.extend(places.findings.into_list());
    }
    in_order(findings)
}

/// An error about a key of a table, for what only the files beside one another show: that a scenario's vehicle is not
/// there, or that two vehicles have one id. `text` was read without an error.
#[must_use]
pub fn error_at(
    text: &str,
    (table, key): (&str, &str),
    code: Code,
    message: &str,
    help: &str,
) -> Vec<Finding> {
    let places = Places::of(text);
    let span = places.key(table, key);
    let help = Some(help.to_owned());
    places.findings.error(code, span, message, help);
    places.findings.into_list()
}

fn in_order(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|finding| (finding.span.start, finding.code));
    findings
}
