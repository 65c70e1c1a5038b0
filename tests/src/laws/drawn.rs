//! Random operating points of the shipped vehicles: any variant, any control position, a plug off or a breaker
//! open now and then, any crank and shaft angle.

use std::sync::Arc;

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Gate, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::fleet::{Variant, variants, vehicles};

/// Every variant of every vehicle.
pub(super) fn fleet() -> Vec<Variant> {
    vehicles().iter().flat_map(variants).collect()
}

/// What is chosen of an operating point, whatever the vehicle.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    variant: Index,
    positions: Vec<Index>,
    /// A component that stands open if it can, one time in four.
    open: Option<Index>,
    crank_deg: f64,
    shaft_deg: f64,
    glass: Glass,
}

/// Positions drawn; a vehicle with more controls has some that stand alike.
const CONTROLS: usize = 8;

/// Any operating point.
pub(super) fn drawn() -> impl Strategy<Value = Drawn> {
    let positions = prop::collection::vec(any::<Index>(), CONTROLS);
    let open = prop_oneof![3 => Just(None), 1 => any::<Index>().prop_map(Some)];
    let glass = prop_oneof![Just(Glass::Dry), Just(Glass::Wet), Just(Glass::Streaming)];
    let angles = (0.0..360.0_f64, 0.0..360.0_f64);
    (any::<Index>(), positions, open, angles, glass).prop_map(
        |(variant, positions, open, (crank_deg, shaft_deg), glass)| Drawn {
            variant,
            positions,
            open,
            crank_deg,
            shaft_deg,
            glass,
        },
    )
}

impl Drawn {
    /// The variant it is of.
    pub(super) fn of<'a>(&self, fleet: &'a [Variant]) -> &'a Variant {
        self.variant.get(fleet)
    }

    /// What it asks of a vehicle. The last position of a control, which lets most current flow, comes up half
    /// the time.
    pub(super) fn query(&self, vehicle: &Vehicle, shaft: Shaft) -> PointQuery {
        let drawn = self.positions.iter().cycle();
        let positions = vehicle.controls().zip(drawn).map(|((id, control), drawn)| {
            let last = control.positions().len() - 1;
            (id, drawn.index(2 * (last + 1)).min(last))
        });
        let gated = |gate: &Gate| {
            let has = |id: &ComponentId| {
                let paths = &vehicle.component(*id).paths;
                paths.iter().any(|path| path.gate == *gate)
            };
            vehicle.ids().filter(has).collect::<Vec<_>>()
        };
        let (mated, untripped) = (gated(&Gate::Mated), gated(&Gate::Untripped));
        let open = self
            .open
            .map(|open| open.index(mated.len() + untripped.len()));
        PointQuery {
            positions: positions.collect(),
            unplugged: open
                .and_then(|k| mated.get(k).copied())
                .into_iter()
                .collect(),
            tripped: open
                .and_then(|k| untripped.get(k.checked_sub(mated.len())?).copied())
                .into_iter()
                .collect(),
            parted: Vec::new(),
            crank: Some(Angle::from_degrees(self.crank_deg)),
            shaft_angle: Some(Angle::from_degrees(self.shaft_deg)),
            shaft,
            glass: self.glass,
            instruments: Vec::new(),
        }
    }

    /// The engine's answer for a vehicle.
    pub(super) fn solve(&self, vehicle: &Arc<Vehicle>, shaft: Shaft) -> OperatingPoint {
        OperatingPoint::of(vehicle, &self.query(vehicle, shaft)).unwrap()
    }
}
