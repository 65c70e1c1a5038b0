//! What the circuit does while a setting stands: torque, currents and losses, affine in the shaft speed, or in
//! flux times speed where the field is wound.

use std::sync::Arc;

use super::super::leads::{Glow, Lead};
use super::super::windings::Loss;
use super::flux::Lag;
use super::protection::Protects;
use super::relays::Carried;
use super::{Motion, Probe, STEP_S};
use crate::math;
use crate::network::SolveError;
use crate::quantity::Current;
use crate::vehicle::{Affine, Circuit, Field, Instrument, Response, SourceResistance};

/// What the circuit does while a setting stands.
pub(super) struct Regime {
    /// Torque at all of the flux.
    pub(super) torque: Affine,
    /// Ampere turns of the windings of a wound field.
    pub(super) turns: Option<Affine>,
    /// What is left of a wound field's way to its goal after a step.
    pub(super) lag: Lag,
    /// Rate at which the speed nears its goal, per second.
    pub(super) rate: f64,
    /// Share of its distance to the goal that is left after a whole step.
    pub(super) kept: f64,
    pub(super) breakers: Vec<Affine>,
    /// Power in each motor's winding.
    pub(super) losses: Vec<Loss>,
    /// Charging current of each battery.
    pub(super) charging: Vec<Affine>,
    pub(super) probes: Vec<Affine>,
    /// Voltage across the lamp.
    pub(super) lamp: Affine,
    /// What each relay and interval unit goes by, in their order.
    switches: Vec<[Affine; 3]>,
    /// For each diode, whether it conducts, and its current if so, or else the volts that it lacks to its drop, below
    /// zero.
    diodes: Vec<(bool, Affine)>,
}

impl Regime {
    /// Whether a diode does not stand as it should at a shaft speed.
    pub(super) fn diode_astray(&self, speed: f64) -> bool {
        let astray = |(conducts, of): &(bool, Affine)| (of.at(speed) < 0.0) == *conducts;
        self.diodes.iter().any(astray)
    }

    /// What each relay and interval unit carries at a shaft speed.
    pub(super) fn switch_currents(&self, speed: f64) -> impl Iterator<Item = Carried> {
        let at = move |of: &Affine| Current::from_amperes(of.at(speed));
        self.switches.iter().map(move |of| of.each_ref().map(at))
    }
}

impl Motion {
    /// The circuit's answer in the present setting as it is, with all of the flux.
    pub(super) fn answer(&mut self) -> Result<Arc<Response>, SolveError> {
        let at = self.lamp.as_ref().map(Glow::nodes);
        let response = match self.responses.get(&self.setting) {
            Some(response) => Arc::clone(response),
            None => {
                let response = Arc::new(self.circuit().response_to_load(at)?);
                self.responses
                    .insert(Arc::new(self.setting.clone()), Arc::clone(&response));
                response
            }
        };
        Ok(match &self.lamp {
            Some(lamp) => Arc::new(response.loaded(lamp.nodes(), lamp.resistance())),
            None => response,
        })
    }

    /// The circuit's answer in the present setting and with the present flux.
    pub(crate) fn response_at_flux(&mut self) -> Result<Arc<Response>, SolveError> {
        let response = self.response()?;
        Ok(match self.drive.as_ref().map(|drive| drive.motor.field) {
            Some(Field::Wound(_)) => Arc::new(response.at_flux(self.flux())),
            _ => response,
        })
    }

    /// The circuit in the present setting, with instruments and leads on it, the leads last; a lamp is not
    /// a part of it.
    pub(crate) fn circuit(&self) -> Circuit {
        let leads = self.leads.iter().map(Lead::instrument);
        let all: Vec<Instrument> = self.instruments.iter().copied().chain(leads).collect();
        self.circuit_in(&self.setting, &all)
    }

    /// What a meter sees of the circuit in the present setting.
    pub(crate) fn seen_by_meter(&self) -> Result<SourceResistance, SolveError> {
        self.circuit().seen_by_meter()
    }

    pub(super) fn regime(&mut self, probes: &[Probe]) -> Result<Regime, SolveError> {
        let response = self.response()?;
        Ok(self.regime_of(&response, probes))
    }

    /// The regime of an answer of the circuit.
    pub(super) fn regime_of(&self, response: &Response, probes: &[Probe]) -> Regime {
        let current = |component, path| {
            response
                .element_of(component, path)
                .map_or_else(Affine::default, |index| response.current(index))
        };
        let first_lead = response.elements().len() - self.leads.len();
        let voltage = |(red, black)| response.voltage(red, black);
        let torque = response.torque();
        let rate = self.drive.as_ref().map_or(1.0, |drive| {
            (drive.motor.damping_nms(1.0) - torque.per_speed)
                / drive.motor.inertia.kilogram_square_metres()
        });
        Regime {
            torque,
            turns: self.ampere_turns(response),
            lag: self.lag(),
            switches: self
                .relays
                .watched()
                .map(|(id, paths)| {
                    let of = |place: usize| paths.get(place).map(|&path| current(id, path));
                    [0, 1, 2].map(|place| of(place).unwrap_or_default())
                })
                .collect(),
            diodes: self.diodes_in(response),
            rate,
            kept: math::exp(-rate * STEP_S),
            losses: self.windings.losses(&self.vehicle, response),
            charging: self.cells.currents(response),
            breakers: self
                .breakers
                .iter()
                .map(|breaker| match breaker.of {
                    Protects::Component(component) => current(component, 0),
                    Protects::Lead(place) => response.current(first_lead + place),
                })
                .collect(),
            probes: probes
                .iter()
                .map(|probe| match *probe {
                    Probe::Voltage(red, black) => response.voltage(red, black),
                    Probe::Current(component, path) => current(component, path),
                    Probe::Needle(component) => current(component, 0),
                    Probe::Lead(place) => response.current(first_lead + place),
                })
                .collect(),
            lamp: self
                .lamp
                .as_ref()
                .map_or_else(Affine::default, |lamp| voltage(lamp.nodes())),
        }
    }
}
