//! The flux of a motor whose field is wound, by Euler steps: `m` follows the ampere turns of both windings and what
//! stays in the iron, `dm/dt = (goal - m) / lag`, and the flux is `m / (half + |m|)`.

use groundside_engine::vehicle::{Field, Kind, Vehicle};

use super::wiring::Wiring;

/// How near to its goal, as a share of half saturation, a field counts as settled.
const SETTLED: f64 = 1e-6;

/// A series and a shunt winding on one iron.
#[derive(Clone, Debug)]
pub(super) struct WoundField {
    /// Branches of the series and of the shunt winding.
    pub(super) branches: [usize; 2],
    turns: [f64; 2],
    half: f64,
    residual: f64,
    lag: f64,
    /// Ampere turns in effect.
    magnetised: f64,
    /// The sign of what stays in the iron.
    stays: f64,
    /// Whether it has come to where its currents lead it.
    pub(super) settled: bool,
}

impl WoundField {
    /// The field of a vehicle's motor, as after a run forward; `None` where there are magnets.
    pub(super) fn of(vehicle: &Vehicle, wiring: &Wiring) -> Option<Self> {
        let kinds = vehicle.components.iter().map(|part| &part.kind);
        let (place, field) = kinds.enumerate().find_map(|(place, kind)| match kind {
            Kind::Motor(data) => match data.field {
                Field::Wound(field) => Some((place, field)),
                Field::Magnets => None,
            },
            _ => None,
        })?;
        let winding = |name: &str| {
            let mut paths = vehicle.components[place].paths.iter();
            let path = paths.position(|path| path.name.as_str() == name)?;
            Some(wiring.branch(place, path))
        };
        Some(Self {
            branches: [winding("series-field")?, winding("shunt-field")?],
            turns: [field.series_turns, field.shunt_turns],
            half: field.half,
            residual: field.residual,
            lag: field.lag.seconds(),
            magnetised: field.residual,
            stays: 1.0,
            settled: false,
        })
    }

    /// The flux, as a share of the most.
    pub(super) fn flux(&self) -> f64 {
        self.magnetised / (self.half + self.magnetised.abs())
    }

    /// Lets it follow currents of both windings for a while.
    pub(super) fn follow(&mut self, amperes: [f64; 2], seconds: f64) {
        let [series, shunt] = [0, 1].map(|k| self.turns[k] * amperes[k]);
        let wound = series + shunt;
        if wound * self.stays < -self.residual {
            self.stays = -self.stays;
        }
        let goal = wound + self.stays * self.residual;
        self.magnetised += seconds * (goal - self.magnetised) / self.lag;
        self.settled = (goal - self.magnetised).abs() < SETTLED * self.half;
    }
}
