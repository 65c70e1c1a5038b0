//! What can hurt, and how it is recognised: from what the person has set and is about to do, never
//! from what is wrong with the vehicle. The caution comes before the act; going on counts.

use super::{Action, Bench, Measurement, Sense};
use crate::vehicle::{ComponentId, Kind, Region, Vehicle};

/// How much going on counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// Bad habit.
    Minor,
    /// Someone can be hurt.
    Major,
}

/// Something that can hurt a person or the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Hands at a linkage or an arm that can start by itself: the key is on and the motor connected.
    HandsInLiveLinkage,
    /// An ohmmeter on a circuit that has supply: the reading is nonsense and the meter may suffer.
    OhmsOnLiveCircuit,
    /// Pulling or making a connector under supply: it sparks and spoils the pins.
    ConnectorUnderSupply,
    /// Taking parts out with the key on.
    RepairUnderSupply,
}

impl Hazard {
    /// All hazards.
    pub const ALL: [Self; 4] = [
        Self::HandsInLiveLinkage,
        Self::OhmsOnLiveCircuit,
        Self::ConnectorUnderSupply,
        Self::RepairUnderSupply,
    ];

    /// How much it counts.
    #[must_use]
    pub const fn gravity(self) -> Gravity {
        match self {
            Self::HandsInLiveLinkage => Gravity::Major,
            Self::OhmsOnLiveCircuit | Self::ConnectorUnderSupply | Self::RepairUnderSupply => {
                Gravity::Minor
            }
        }
    }

    /// The word used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::HandsInLiveLinkage => "hands-in-live-linkage",
            Self::OhmsOnLiveCircuit => "ohms-on-live-circuit",
            Self::ConnectorUnderSupply => "connector-under-supply",
            Self::RepairUnderSupply => "repair-under-supply",
        }
    }
}

/// The hazards of an action as things stand on the bench.
pub(super) fn hazards(action: &Action, bench: &Bench, vehicle: &Vehicle) -> Vec<Hazard> {
    let key_on = vehicle
        .control("key")
        .is_some_and(|key| bench.positions[key.index()] != 0);
    if !key_on {
        return Vec::new();
    }
    let moves = |component: ComponentId| {
        let region = vehicle.component(component).region;
        matches!(region, Region::Motor | Region::Linkage) && !motor_unplugged(bench, vehicle)
    };
    match action {
        Action::MoveArm(part) | Action::Loosen(part) | Action::Tighten(part) if moves(*part) => {
            vec![Hazard::HandsInLiveLinkage]
        }
        Action::Sense(Sense::Feel(part))
        | Action::Repair {
            component: part, ..
        } if moves(*part) => {
            vec![Hazard::HandsInLiveLinkage]
        }
        Action::Repair { .. } => vec![Hazard::RepairUnderSupply],
        Action::Measure {
            what: Measurement::Ohms,
            ..
        } => vec![Hazard::OhmsOnLiveCircuit],
        Action::Unplug(_) | Action::Plug(_) => vec![Hazard::ConnectorUnderSupply],
        _ => Vec::new(),
    }
}

fn motor_unplugged(bench: &Bench, vehicle: &Vehicle) -> bool {
    vehicle.ids().any(|id| {
        let mates_motor = match vehicle.component(id).kind {
            Kind::Connector { mates: Some(other) } => {
                matches!(vehicle.component(other).kind, Kind::Motor(_))
            }
            _ => false,
        };
        mates_motor && bench.unplugged[id.index()]
    })
}
