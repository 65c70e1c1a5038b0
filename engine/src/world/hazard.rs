//! What can hurt, and how it is recognised: from what the person has set and is about to do, never
//! from what is wrong with the vehicle. The caution comes before the act; going on counts.

use super::{Action, Bench, Measurement, Sense};
use crate::quantity::Resistance;
use crate::vehicle::{Circuit, ComponentId, Kind, Node, Region, Setting, Vehicle};

/// Volts over a load from which a point counts as having supply: leaks alone drive nothing.
const LIVE_V: f64 = 0.5;
/// The load.
const LOAD: Resistance = Resistance::from_ohms(1000.0);

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
    if measures_live_ohms(action, bench, vehicle) {
        return vec![Hazard::OhmsOnLiveCircuit];
    }
    let moves = |component: ComponentId| {
        let region = vehicle.component(component).region;
        matches!(region, Region::Motor | Region::Linkage) && motor_has_supply(bench, vehicle)
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
        Action::Repair { component, .. } if under_supply(*component, bench, vehicle) => {
            vec![Hazard::RepairUnderSupply]
        }
        Action::Unplug(part) | Action::Plug(part) if under_supply(*part, bench, vehicle) => {
            vec![Hazard::ConnectorUnderSupply]
        }
        _ => Vec::new(),
    }
}

/// Whether any end of a component has supply on a sound vehicle as things are set. The battery's own strap
/// comes off first whatever is on: that is what it is for.
fn under_supply(component: ComponentId, bench: &Bench, vehicle: &Vehicle) -> bool {
    let part = vehicle.component(component);
    if matches!(part.kind, Kind::Strap(_)) {
        return false;
    }
    let setting = setting(bench, vehicle);
    part.paths.iter().any(|path| {
        [path.p, path.n]
            .into_iter()
            .any(|node| has_supply(vehicle, &setting, node))
    })
}

fn setting(bench: &Bench, vehicle: &Vehicle) -> Setting {
    let mut setting = Setting::at_rest(vehicle);
    setting.positions.clone_from(&bench.positions);
    setting.unplugged.clone_from(&bench.unplugged);
    setting
}

/// Whether an action puts the ohmmeter on a point that has supply on a sound vehicle as things are set, or
/// across what drives current by itself, as the battery does with its strap off.
fn measures_live_ohms(action: &Action, bench: &Bench, vehicle: &Vehicle) -> bool {
    let Action::Measure {
        what: Measurement::Ohms,
        red,
        black,
    } = action
    else {
        return false;
    };
    let setting = setting(bench, vehicle);
    let (red, black) = (vehicle.node(*red), vehicle.node(*black));
    drives(vehicle, &setting, red, &[black])
        || [red, black]
            .iter()
            .any(|&node| has_supply(vehicle, &setting, node))
}

/// Whether a node of a vehicle at rest drives current both to the battery's negative post and to the
/// body: with the strap between them off, nothing does.
pub(crate) fn has_supply(vehicle: &Vehicle, setting: &Setting, node: Node) -> bool {
    drives(vehicle, setting, node, &[Node::REFERENCE, vehicle.body])
}

/// Whether a node of a vehicle at rest drives current through a load to each of some others.
fn drives(vehicle: &Vehicle, setting: &Setting, node: Node, others: &[Node]) -> bool {
    let circuit = Circuit::new(vehicle, setting, &[]);
    // A sound vehicle has a solution; if it had none, a caution too many would do no harm.
    let (Ok(source), Ok(response)) = (circuit.seen_by_meter(), circuit.response()) else {
        return true;
    };
    others.iter().all(|&other| {
        let load = LOAD / (LOAD + source.between(node, other));
        response.voltage(node, other).at_rest.abs() * load > LIVE_V
    })
}

/// Whether the motor of a sound vehicle has supply as things are set: it can then start by itself.
fn motor_has_supply(bench: &Bench, vehicle: &Vehicle) -> bool {
    let setting = setting(bench, vehicle);
    let motors = vehicle
        .components
        .iter()
        .filter(|part| matches!(part.kind, Kind::Motor(_)));
    motors
        .flat_map(|motor| &motor.terminals)
        .any(|terminal| has_supply(vehicle, &setting, terminal.node))
}
