//! The washer: how much of its water comes out of the jets, and what that does to the glass.

use super::bench::WET_S;
use super::observation::{Observable, Quantity, Scale};
use super::scales::SPRAY;
use super::symptom::LITTLE_WATER;
use super::{Probe, World};
use crate::network::SolveError;
use crate::vehicle::{ComponentId, Kind};

/// For how long a pump is watched, seconds.
const WATCHED_S: f64 = 1.0;

impl World {
    /// What comes out of the jets, as a share of what a sound pump on its rated voltage brings through a sound hose;
    /// `None` for a vehicle without a washer. It runs the vehicle for a moment.
    pub(super) fn water_at_jets(&mut self) -> Result<Option<f64>, SolveError> {
        let is_pump = |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Pump(_));
        let Some(pump) = self.vehicle.ids().find(is_pump) else {
            return Ok(None);
        };
        let Kind::Pump(data) = self.vehicle.component(pump).kind else {
            return Ok(None);
        };
        if data.seized {
            return Ok(Some(0.0));
        }
        let handling = self.handling(None);
        let amperes = self
            .run(WATCHED_S, &[Probe::Current(pump, 0)], &handling)?
            .traces[0]
            .mean;
        let sound = self.sound.component(pump).paths.first();
        let rated = sound.map_or(1.0, |path| (data.rated / path.resistance).amperes());
        let hoses = self.vehicle.components.iter();
        let flow = hoses.filter_map(|part| match part.kind {
            Kind::Hose { flow } => Some(flow),
            _ => None,
        });
        Ok(Some((amperes / rated).abs() * flow.product::<f64>()))
    }

    /// Whether the person holds the washer's switch.
    pub(super) fn washes(&self) -> bool {
        let washer = self.sound.control("washer");
        washer.is_some_and(|washer| self.bench.positions[washer.index()] > 0)
    }

    /// Lets water that comes wet the glass for a while.
    pub(super) fn wash(&mut self) -> Result<(), SolveError> {
        if self.washes()
            && self
                .water_at_jets()?
                .is_some_and(|water| water >= LITTLE_WATER)
        {
            self.washed_until = self.bench.now.plus_micros(WET_S * 1_000_000);
        }
        Ok(())
    }

    /// Whether the glass is wet from rain, from the can or from the jets.
    pub(super) fn wetted(&self) -> bool {
        self.conditions.rain
            || self.bench.now < self.bench.wet_until
            || self.bench.now < self.washed_until
    }

    /// What water from the can has made of the windscreen, as far as one that pours it sees.
    pub(super) fn glass(&self) -> Option<Observable> {
        let windscreen =
            |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Windscreen(_));
        self.vehicle
            .ids()
            .find(windscreen)
            .and_then(|id| self.touched(id))
    }

    /// What is seen of the jets while the washer is held.
    pub(super) fn spray(&mut self) -> Result<Option<Observable>, SolveError> {
        if !self.washes() {
            return Ok(None);
        }
        let water = self.water_at_jets()?;
        Ok(water.map(|water| {
            let subject = "washer".to_owned();
            Observable::steady(Quantity::Spray, subject, water, Scale::Words(SPRAY))
        }))
    }
}
